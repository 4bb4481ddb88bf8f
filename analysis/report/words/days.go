package words

import (
	"fmt"
	"math"

	"fluedrift/analysis/days"
)

// Days is the plan in one sentence.
func Days(p *days.Plan) string {
	c := p.Compared[0]
	must := 0
	for _, l := range p.Left {
		if l.Must {
			must++
		}
	}
	s := fmt.Sprintf("%s to %s: %s on %d crew days, %.0f minutes driven, %.0f days outside the action band expected to be avoided.",
		ISODay(p.From), ISODay(p.Until-1), Units(c.Units), c.CrewDays, c.DriveMinutes, c.GainDays)
	if must > 0 {
		s += fmt.Sprintf(" Units that have to be seen or are promised and found no day: %d; see what is left over.", must)
	}
	return s
}

// Clock writes minutes of the day as hh:mm, to the nearest minute.
func Clock(minutes float64) string {
	if math.IsNaN(minutes) {
		return ""
	}
	m := int(math.Round(minutes))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}
