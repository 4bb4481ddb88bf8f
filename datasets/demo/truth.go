package demo

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Effect is one planted effect by name.
type Effect struct {
	Name    string // rate, vent rate, age rate, settling, temperature, vent level
	Control judge.Control
	Fire    judge.Fire // high (and single) | low
	Value   float64
	Unit    string
}

// PlantedEffects returns every planted effect by burner control and fire.
func (t *Truth) PlantedEffects() []Effect {
	controls := make([]judge.Control, 0, len(t.world.Effects))
	for c := range t.world.Effects {
		controls = append(controls, c)
	}
	slices.Sort(controls)
	var out []Effect
	for _, c := range controls {
		for k, e := range []Effects{t.world.Effects[c].High, t.world.Effects[c].Low} {
			fire := []judge.Fire{judge.High, judge.Low}[k]
			out = append(out,
				Effect{"rate", c, fire, e.RatePerYear, "points a year"},
				Effect{"vent rate", c, fire, e.VentRatePerYear, "points a year per unit of vent covariate"},
				Effect{"age rate", c, fire, e.AgeRatePerYear, "points a year per year of age"},
				Effect{"settling", c, fire, e.Settling, "points in the first year after an adjustment"},
				Effect{"temperature", c, fire, e.PerKelvin, "points per K of combustion air"},
				Effect{"vent level", c, fire, e.VentLevel, "points per unit of vent covariate"})
		}
	}
	return out
}

// Faults returns the planted faults in the order of units and days.
func (f *Fleet) Faults() []Fault {
	faults := append([]Fault(nil), f.spoil.faults...)
	for i := range faults {
		x := &faults[i]
		if x.entry != nil && x.entry.File != nil {
			n := 0
			if x.value > 0 && len(x.entry.Lines) > 1 {
				n = x.value
			}
			x.File, x.Line = x.entry.File.Name, x.entry.Lines[n].Number
		}
	}
	faults = append(faults, f.unitFaults()...)
	slices.SortStableFunc(faults, func(a, b Fault) int {
		return cmp.Or(cmp.Compare(a.Unit, b.Unit), cmp.Compare(a.Day, b.Day), cmp.Compare(a.Kind, b.Kind))
	})
	return faults
}

// unitFaults returns what was planted at units and visits rather than values.
func (t *Truth) unitFaults() []Fault {
	var out []Fault
	nan := math.NaN()
	for _, u := range t.Units {
		if u.WrongLabel {
			out = append(out, Fault{
				Unit: u.index, Serial: u.Serial, Kind: FaultLabel, Day: day.None, True: nan, Written: nan,
				Detail: fmt.Sprintf("burns %s, registered %s", u.fuels[0].fuel, u.labelOf(u.fuels[0].fuel)),
			})
		}
		if u.coFrom != day.None {
			out = append(out, Fault{
				Unit: u.index, Serial: u.Serial, Kind: FaultCOHigh, Day: u.coFrom, True: nan, Written: nan,
				Detail: fmt.Sprintf("CO times %.1f", u.coTimes),
			})
		}
		for _, j := range u.jumps {
			out = append(out, Fault{
				Unit: u.index, Serial: u.Serial, Kind: FaultJump, Day: j.Day, True: nan, Written: j.CO2Points,
				Detail: "set right " + iso(j.Repaired),
			})
		}
	}
	for _, s := range t.Settings {
		out = append(out, Fault{
			Unit: s.Unit, Serial: s.Serial, Kind: FaultSetting, Day: s.Day, True: nan, Written: nan,
			Detail: "set to " + s.Fuel,
		})
	}
	return out
}

// PlantedLine is one line of an export whose outcome is known from how it was
// made: damaged, double, corrected, correcting, or no record at all.
type PlantedLine struct {
	File    string // base name
	Line    int    // physical line of a CSV, row of a workbook, from 1
	Outcome string // accepted, superseded, duplicate, doubtful, set aside, cell or reading set aside, blank, header, skipped
	Reason  string // kind of reason where the line, a cell or a reading is set aside, or the line is doubtful
	Kind    string // how it was made
	Serial  string // the unit's own, "" where none
}

// PlantedLines returns every planted line, by file and line. All other lines
// of the readings are to be accepted.
func (f *Fleet) PlantedLines() []PlantedLine {
	var out []PlantedLine
	for _, x := range f.files {
		for _, r := range x.rows {
			p := PlantedLine{File: x.Name, Line: r.number, Outcome: r.special, Kind: r.special}
			if r.special == headerLine {
				p.Reason, p.Kind = "repeated-header", "repeated header"
			}
			if r.special == skipped {
				p.Reason, p.Kind = "footer-line", "total line"
			}
			if e := r.entry; e != nil {
				l := e.Lines[r.index]
				p.Outcome, p.Reason, p.Kind, p.Serial = l.Outcome, l.reason, e.kindOf(r.index, x.Long()), e.Unit.Serial
			}
			if p.Kind != "" {
				out = append(out, p)
			}
		}
	}
	for _, t := range f.registry.tables() {
		out = append(out, t.planted...)
	}
	return out
}

// writeTruth writes what was planted as CSV: lines, faults, units, effects, and
// true CO2 by month from two years before the as-of day to two years after.
func (f *Fleet) writeTruth(dir string) error {
	for _, x := range []struct {
		name string
		rows iter.Seq[[]string]
	}{
		{"lines.csv", slices.Values(f.lineRows())},
		{"faults.csv", slices.Values(f.faultRows())},
		{"units.csv", slices.Values(f.unitRows())},
		{"co2.csv", f.co2Rows()},
	} {
		if err := f.addRows(dir, x.name, x.rows); err != nil {
			return err
		}
	}
	if f.region > 0 {
		return nil
	}
	if err := put(dir, "truth", "about.txt", []byte(aboutTruth)); err != nil {
		return err
	}
	return put(dir, "truth", "effects.csv", csvBytes(f.effectRows(), ","))
}

func (f *Fleet) lineRows() [][]string {
	rows := [][]string{{"file", "line", "outcome", "reason", "kind", "serial"}}
	for _, p := range f.PlantedLines() {
		rows = append(rows, []string{p.File, strconv.Itoa(p.Line), p.Outcome, p.Reason, p.Kind, p.Serial})
	}
	return rows
}

func (f *Fleet) faultRows() [][]string {
	rows := [][]string{{"serial", "kind", "day", "fire", "condition", "true", "written", "file", "line", "detail"}}
	for _, x := range f.Faults() {
		at := ""
		if x.Line > 0 {
			at = strconv.Itoa(x.Line)
		}
		rows = append(rows, []string{
			x.Serial, x.Kind, iso(x.Day), string(x.Fire), string(x.Condition), number(x.True, 3), number(x.Written, 3), x.File,
			at, x.Detail,
		})
	}
	return rows
}

func (t *Truth) effectRows() [][]string {
	rows := [][]string{{"effect", "control", "fire", "value", "unit"}}
	for _, e := range t.PlantedEffects() {
		rows = append(rows, []string{e.Name, string(e.Control), string(e.Fire), number(e.Value, 4), e.Unit})
	}
	w := &t.world
	for _, x := range []struct {
		name  string
		value float64
		unit  string
	}{
		{"noise sd", w.NoiseSD, "points"},
		{"wander sd", w.WanderSD, "points after one year"},
		{"slope sd", w.SlopeSD, "points a year"},
		{"analyzer sd", w.AnalyzerSD, "points"},
		{"calibration sd", w.CalibrationSD, "points"},
	} {
		rows = append(rows, []string{x.name, "", "", number(x.value, 4), x.unit})
	}
	return rows
}

func (t *Truth) unitRows() [][]string {
	rows := [][]string{{
		"serial", "site", "area", "model_line", "control", "true_fuel", "registered_fuel", "installed", "vent_covariate",
		"vent_length_m", "vent_length_registered_m", "slope_high", "slope_low", "records",
	}}
	for _, u := range t.Units {
		v, day := u.runOn(t.Options.AsOf), t.Options.AsOf
		slopes := []string{number(u.Slope[first], 5), ""}
		if u.Line.Fires() == 2 {
			slopes[1] = number(u.Slope[second], 5)
		}
		s := u.SiteOn(day)
		rows = append(rows, []string{
			u.Serial, s.Name, AreaName(s.Area), u.Line.Name, string(u.Line.Control), u.FuelOn(day),
			u.labelOf(u.FuelOn(day)), iso(u.Installed),
			number(t.VentCovariate(u.index, day), 4), number(v.lengthFt*MetresPerFoot, 3), number(v.RecordedFt*MetresPerFoot, 3), slopes[0],
			slopes[1],
			[]string{"north", "south", "west"}[u.office()],
		})
	}
	return rows
}

// co2Rows are the heading and the rows of true CO2, 49 a unit and fire.
func (t *Truth) co2Rows() iter.Seq[[]string] {
	span := int32(math.Round(2 * daysPerYear))
	days := append(monthly(t.Options.AsOf-day.Day(span), t.Options.AsOf-1), t.Options.AsOf)
	days = append(days, monthly(t.Options.AsOf+1, t.Options.AsOf+day.Day(span))...)
	return func(yield func([]string) bool) {
		if !yield([]string{"serial", "fire", "day", "true_co2", "target_co2", "deviation"}) {
			return
		}
		for _, u := range t.Units {
			for _, fire := range t.Fires(u.index) {
				for k, co2 := range t.TrueCO2Days(u.index, fire, days) {
					target := t.TrueTarget(u.index, fire, days[k])
					row := []string{u.Serial, string(fire), iso(days[k]), number(co2, 3), number(target, 3), number(co2-target, 3)}
					if !yield(row) {
						return
					}
				}
			}
		}
	}
}

// aboutTruth says what the files of truth/ hold.
const aboutTruth = `What made the invented fleet. No reader of the exports needs this folder.
All sizes are invented; days are yyyy-mm-dd, CO2 is % by volume dry.

lines.csv    lines of the exports that are not ordinary ones, and what is to become of each
faults.csv   what a line does not show: typing errors, copies, labels, settings, jumps, high CO
units.csv    units as they truly are: fuel, vent, and the drift that is their own (points a year)
effects.csv  planted effects by burner control and fire, and the spreads of chance
co2.csv      true CO2 by month, two years back and two ahead, at the temperature to be expected
`
