package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"fluedrift/analysis/fleet"
	studypage "fluedrift/analysis/report/study"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/quantity"
)

// configurationKey is something that can be said of a vent: a quantity with a unit of
// measure, a count, or a word. One of the three functions is set.
type configurationKey struct {
	name   string
	kind   quantity.Kind // of number
	number func(*study.Configuration) *float64
	count  func(*study.Configuration) *int
	word   func(*study.Configuration) *string
}

// configurationTable lists all keys of -at.
var configurationTable = []configurationKey{
	{name: "vent-length", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.LengthM }},
	{name: "vent-rise", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.RiseM }},
	{name: "diameter", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.DiameterM }},
	{name: "elbows-90", count: func(c *study.Configuration) *int { return &c.Elbows90 }},
	{name: "elbows-45", count: func(c *study.Configuration) *int { return &c.Elbows45 }},
	{name: "terminal", word: func(c *study.Configuration) *string { return &c.Terminal }},
	{name: "material", word: func(c *study.Configuration) *string { return &c.Material }},
	{name: "air-from", word: func(c *study.Configuration) *string { return &c.AirFrom }},
	{name: "intake-length", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.IntakeLengthM }},
	{name: "intake-diameter", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.IntakeDiameterM }},
	{name: "intake-elbows-90", count: func(c *study.Configuration) *int { return &c.IntakeElbows90 }},
	{name: "intake-elbows-45", count: func(c *study.Configuration) *int { return &c.IntakeElbows45 }},
	{name: "model-line", word: func(c *study.Configuration) *string { return &c.Line }},
	{name: "control", word: func(c *study.Configuration) *string { return (*string)(&c.Control) }},
	{name: "fuel", word: func(c *study.Configuration) *string { return &c.Fuel }},
	{name: "input", kind: quantity.Power, number: func(c *study.Configuration) *float64 { return &c.InputKW }},
	{name: "altitude", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.AltitudeM }},
	{name: "longest-run", kind: quantity.Length, number: func(c *study.Configuration) *float64 { return &c.LongestRunM }},
	{name: "fan-pressure", kind: quantity.Pressure, number: func(c *study.Configuration) *float64 { return &c.FanPa }},
	{name: "age-years", kind: quantity.None, number: func(c *study.Configuration) *float64 { return &c.AgeYears }},
}

// configurationKeys lists the keys in one line.
func configurationKeys() string {
	var names []string
	for _, k := range configurationTable {
		names = append(names, k.name)
	}
	return strings.Join(names, ", ")
}

// readConfiguration reads key=value pairs parted by commas.
func readConfiguration(flag, text string) (study.Configuration, error) {
	c := study.Unknown()
	given := map[string]bool{}
	for pair := range strings.SplitSeq(text, ",") {
		key, value, ok := strings.Cut(pair, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		i := slices.IndexFunc(configurationTable, func(k configurationKey) bool { return k.name == key })
		switch {
		case !ok || value == "":
			return c, settings.Fail(settings.Usage, "%s %q: %q is not key=value\nas in: vent-length=12m,elbows-90=3; "+
				"the keys: %s", flag, text, pair, configurationKeys())
		case i < 0:
			return c, settings.Fail(settings.Usage, "%s: unknown key %q\nwrite one of %s", flag, key, configurationKeys())
		case given[key]:
			return c, settings.Fail(settings.Usage, "%s: %q is given twice", flag, key)
		}
		given[key] = true
		if err := configurationTable[i].set(&c, value); err != nil {
			return c, settings.Fail(settings.Usage, "%s: %s: %w", flag, key, err)
		}
	}
	return c, nil
}

// set reads one value into its place.
func (k *configurationKey) set(c *study.Configuration, value string) error {
	switch {
	case k.word != nil:
		*k.word(c) = value
		return nil
	case k.count != nil:
		n, err := strconv.Atoi(value)
		if err != nil || n < 0 {
			return fmt.Errorf("%q is not a whole number from 0 on", value)
		}
		*k.count(c) = n
		return nil
	}
	v, err := measuredValue(value, k.kind)
	if err != nil {
		return err
	}
	const most = 1e6
	if !(v >= 0 && v <= most) && k.name != "vent-rise" && k.name != "altitude" {
		return fmt.Errorf("%q is negative or beyond any vent", value)
	}
	*k.number(c) = v
	return nil
}

// measuredValue reads a number with its unit of measure into the canonical one.
func measuredValue(text string, kind quantity.Kind) (float64, error) {
	end := strings.LastIndexAny(text, "0123456789.") + 1
	for ; end > 0; end-- { // the longest start that is a number: 12m, 3.5 in w.c.
		if _, err := strconv.ParseFloat(strings.TrimSpace(text[:end]), 64); err == nil {
			break
		}
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(text[:end]), 64)
	if err != nil {
		return 0, fmt.Errorf("%q does not start with a number", text)
	}
	name := strings.TrimSpace(text[end:])
	if kind == quantity.None {
		if name != "" {
			return 0, fmt.Errorf("%q is not a plain number", text)
		}
		return v, nil
	}
	var allowed []string
	for _, n := range quantity.Names() {
		u := quantity.MustLookup(n)
		if u.Kind != kind {
			continue
		}
		if name != "" && u.HasMark(name) {
			return u.ToCanonical(v), nil
		}
		allowed = append(allowed, n)
	}
	return 0, fmt.Errorf("%q has no unit of %s\nwrite it with one of %s", text, kind, strings.Join(allowed, ", "))
}

// answerAt writes what to expect of one configuration, and against another where one
// is given.
func answerAt(c *call, in units.Set, judged *fleet.Judged, set study.Config, asked, against *study.Configuration) error {
	s, err := study.Prepare(judged, set)
	if err != nil {
		return err
	}
	answer := func(flag, text string, c *study.Configuration) (*studypage.VentAsked, error) {
		if c == nil {
			return nil, nil
		}
		a, err := s.At(*c)
		if errors.Is(err, study.ErrConfiguration) {
			return nil, settings.Fail(settings.Usage, "%s: %w", flag, err)
		}
		return &studypage.VentAsked{Answer: &a, Asked: text}, err
	}
	one, err := answer("-at", c.at, asked)
	if err != nil {
		return err
	}
	other, err := answer("-against", c.against, against)
	if err != nil {
		return err
	}
	return c.writeResult(func(w io.Writer) error {
		if c.format == "html" {
			return studypage.WriteVentAnswer(w, in, s, *one, other)
		}
		return writeAnswer(w, in, s, one, other)
	})
}

// ageWords is the age that drift is asked for at.
func ageWords(years float64) string {
	if math.IsNaN(years) {
		return "the mean age of its rows"
	}
	return fmt.Sprintf("%g years of age", years)
}

// writeAnswer writes what a study expects of a configuration.
func writeAnswer(w io.Writer, in units.Set, s *study.Study, one, other *studypage.VentAsked) error {
	a := one.Answer
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "Expected of this vent, from records as of %s (no change of combustion air; re-routing: from no "+
		"vent to this one; drift: after settling, at %s)\n", settings.DayText(s.AsOf), ageWords(a.Configuration.AgeYears))
	if len(a.Assumed) > 0 {
		fmt.Fprintf(t, "Not given and taken from the nearest units: %s\n", words.Assumed(in, a.Assumed))
	}
	fmt.Fprintf(t, "%s %s, %s %s\n", study.ByLength, words.Number(a.OfRun, 3), study.ByFan, words.Number(a.OfFan, 3))
	for _, o := range a.Outside {
		fmt.Fprintf(t, "EXTRAPOLATION: outside the data: %s\n", words.Beyond(in, o))
	}
	for _, b := range study.Benches(s, a) {
		fmt.Fprintln(t, words.Bench(b))
	}
	if other != nil {
		writeDifferences(t, study.Differences(s, a, other.Answer), other.Asked)
		for _, o := range other.Outside {
			fmt.Fprintf(t, "EXTRAPOLATION: that one is outside the data: %s\n", words.Beyond(in, o))
		}
	}
	fmt.Fprint(t, "\nquestion\tfire\tvent measured by\tfit\texpected\t95 % of the mean\t95 % of single units\tunit\trows\tunits\t\n")
	for _, e := range a.Expected {
		if e.Response != "CO2" {
			continue
		}
		mark := ""
		if e.Outside {
			mark = "extrapolation"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t%s to %s\t%s\t%d\t%d\t%s\n", e.Kind, e.Fire, e.Measure, e.Fit, words.Signed(e.Mean.Value),
			words.Span(e.Mean), words.Signed(e.OneLow), words.Signed(e.OneHigh), e.Unit, e.Rows, e.Units, mark)
	}
	for _, n := range a.NotMade {
		if n.Response != study.InLnLambda {
			fmt.Fprintf(t, "not made: %s\n", words.NotMade(n))
		}
	}
	fmt.Fprintf(t, "\nNearest units, by %s; distance in standard deviations\nunit\tsite\tvent length %s\tdiameter "+
		"%s\t90 degree elbows\tmodel line\tdistance\n", words.Compared(a.Compared), in.UnitOf(units.Length), in.UnitOf(units.Width))
	for _, n := range a.Nearest {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%d\t%s\t%.2f\n", night.Shown(n.Serial), night.Shown(n.Site), studypage.Length(in, n.LengthM),
			studypage.Width(in, n.DiameterM), n.Elbows90, night.Shown(n.Line), n.Distance)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	return table.WriteCautions(w)
}

// writeDifferences writes what the vent asked about is expected to do more than another.
func writeDifferences(w io.Writer, all []study.Difference, against string) {
	fmt.Fprintf(w, "\nMore than at %s\nquestion\tfire\tfit\tdifference\t95 %% interval\tunit\trows\tunits\t\n", night.Shown(against))
	for _, d := range all {
		mark := ""
		if d.Outside {
			mark = "extrapolation"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%d\t%d\t%s\n", d.Kind, d.Fire, d.Fit, words.Signed(d.Mean.Value), words.Span(d.Mean),
			words.PointsOf(d.Kind), d.Rows, d.Units, mark)
	}
}
