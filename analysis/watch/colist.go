package watch

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// CORecord is the newest CO of one fire of one unit.
type CORecord struct {
	Unit      judge.Unit
	Rank      int
	Fire      FireAt // "": not readable on a record that could not be used
	CO        CO
	Older     bool           // the newest reading of the fire has none
	Missing   bool           // the last test of the fire recorded none
	DaysSince int32          // -1 where none is on record
	Trend     *judge.COTrend // nil where none can be told
}

// RisePerYear is the trend as the CO of one year over that of the year before,
// with its 95 % interval.
func (c *CORecord) RisePerYear() judge.Estimate {
	e := c.Trend.PerYear
	return judge.Estimate{Value: math.Exp(e.Value), Low: math.Exp(e.Low), High: math.Exp(e.High)}
}

// CORecords lists the newest CO on record at every fire of the listed units,
// the worst first: the higher level, then the higher number, then the later
// day, then the serial. A unit's worst CO on a record that could not be used has
// a row of its own. Fires that were read and have no CO on record come last.
func CORecords(lines []Line, asOf day.Day) []CORecord {
	var all []CORecord
	for i := range lines {
		l := &lines[i]
		for k := range l.Fires {
			f := &l.Fires[k]
			if l.Removed || f.CO.Level == COUnknown && !f.COMissing {
				continue
			}
			c := CORecord{
				Unit: l.Unit, Rank: l.Rank, Fire: FireAt{f.Fire, f.RatePercent},
				CO: f.CO, Older: f.COOlder, Missing: f.COMissing, DaysSince: -1, Trend: f.COTrend,
			}
			if f.CO.Day != day.None {
				c.DaysSince = int32(asOf - f.CO.Day)
			}
			all = append(all, c)
		}
		if u := worstUnused(l.unused); u != nil && !l.Removed {
			c := CORecord{Unit: l.Unit, Rank: l.Rank, Fire: FireAt{u.Fire, math.NaN()}, CO: u.line(), DaysSince: -1}
			if u.Day != day.None {
				c.DaysSince = int32(asOf - u.Day)
			}
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b CORecord) int {
		return cmp.Or(cmp.Compare(b.CO.Level, a.CO.Level), cmp.Compare(coSteps(b.CO), coSteps(a.CO)),
			cmp.Compare(b.CO.Day, a.CO.Day), strings.Compare(a.Unit.Serial, b.Unit.Serial), a.Fire.compare(b.Fire))
	})
	return all
}
