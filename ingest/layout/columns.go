package layout

import (
	"maps"
	"slices"
	"sort"
	"strings"

	"fluedrift/ingest/parse"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// markers folds missing markers; blank is always one.
func markers(list []string) map[string]bool {
	m := map[string]bool{"": true}
	for _, s := range list {
		m[parse.Fold(s)] = true
	}
	return m
}

func (l compiler) checkColumns() error {
	if len(l.Columns) == 0 {
		return atKey("", "a layout needs at least one [[column]]")
	}
	if err := checkPlaces(l.Layout); err != nil {
		return err
	}
	uses := map[string]string{}
	for i := range l.Columns {
		c := &l.Columns[i]
		if err := l.checkColumn(c); err != nil {
			return err
		}
		use := c.use()
		if other, ok := uses[use]; ok && use != "" {
			return c.fault("means the same as column %q: field %q twice", other, c.Field)
		}
		uses[use] = c.Header
	}
	return nil
}

// use tells two columns of one meaning; "" for columns that are not read.
func (c Column) use() string {
	switch {
	case c.Ignore:
		return ""
	case c.Carry != "":
		return "carry\x00" + c.Carry
	}
	return c.Field + "\x00" + string(c.Fire) + "\x00" + string(c.Condition)
}

func (l compiler) checkColumn(c *Column) error {
	if err := checkMerged(l.Layout, c); err != nil {
		return err
	}
	given := 0
	for _, b := range []bool{c.Field != "", c.Carry != "", c.Ignore} {
		if b {
			given++
		}
	}
	switch {
	case given != 1:
		return c.fault("a column needs one of field, carry or ignore = true")
	case c.Ignore:
		return nil
	case c.Carry != "" && l.Record != Units:
		return c.fault("carry is for the unit register only")
	case c.Carry != "":
		c.Markers = l.markersOf(c)
		return nil
	}
	if err := l.checkField(c); err != nil {
		return err
	}
	if err := l.checkWide(c); err != nil {
		return err
	}
	for _, check := range []func(*Column) error{checkUnits, checkUnit, checkBasis, checkGas, checkCodes} {
		if err := check(c); err != nil {
			return err
		}
	}
	fillAlternatives(c)
	return nil
}

func (l compiler) checkField(c *Column) error {
	f, ok := FieldOf(l.Record, c.Field)
	if !ok {
		return c.fault("record %s has no field %q\nit has %s", l.Record, c.Field, strings.Join(fieldNames(l.Record), ", "))
	}
	c.Of = f
	c.Markers = l.markersOf(c)
	c.Days = l.Days
	if c.Dates != nil {
		if f.Kind != Day {
			return c.fault("dates is for fields that are days")
		}
		days, err := daysIn(l, c.Dates)
		if err != nil {
			return c.fault("%w", err)
		}
		c.Days = days
	}
	if p := c.Days.Precision(); f.Kind == Day && p != parse.ToDay && !f.Coarse {
		return c.fault("field %q needs whole days, and a pattern of this column has a %s alone\nadd dates = \"yyyy-mm-dd\", or how its "+
			"days are written", c.Field, p)
	}
	return nil
}

// markersOf are what stands for no value in a column: its own, else those of the file.
func (l *Layout) markersOf(c *Column) map[string]bool {
	if c.Missing != nil {
		return markers(c.Missing)
	}
	return l.Missing
}

func fieldNames(record string) []string {
	var names []string
	for _, f := range Fields(record) {
		names = append(names, f.Name)
	}
	return names
}

// checkWide holds fire and condition to the wide form: reading fields may have
// them, adjusted may have a fire.
func (l compiler) checkWide(c *Column) error {
	if c.Fire == "" && c.Condition == "" {
		return nil
	}
	if l.Form != Wide {
		return c.fault("fire and condition of a column are for the wide form")
	}
	if c.Fire != "" && !c.Fire.Valid() {
		return c.fault("fire %q is not one of %s", c.Fire, strings.Join(fires, ", "))
	}
	if c.Condition != "" && !c.Condition.Valid() {
		return c.fault("condition %q is not one of %s", c.Condition, strings.Join(conditions, ", "))
	}
	if c.Field == "adjusted" {
		if c.Condition != "" || c.Fire != judge.High && c.Fire != judge.Low && c.Fire != judge.Single {
			return c.fault("adjusted takes a fire of high, low or single and no condition")
		}
		return nil
	}
	if c.Of.Place != OfReading || c.Field == "fire" || c.Field == "condition" {
		return c.fault("field %q belongs to the visit and takes no fire or condition", c.Field)
	}
	return nil
}

func checkUnit(c *Column) error {
	f := c.Of
	if f.Kind != Measured && f.Kind != CO {
		if c.Unit != "" {
			return c.fault("field %q has no unit of measure", c.Field)
		}
		return nil
	}
	if c.UnitFrom != "" {
		c.Measure = c.Alternatives[0].Measure
		return nil
	}
	name := c.Unit
	if name == "" {
		name = f.Default
	}
	if name == "" {
		return c.fault("field %q needs its unit of measure\nadd unit = %q or another unit of %s", c.Field, f.Canonical, f.Quantity)
	}
	u, err := quantity.Lookup(name)
	if err != nil {
		return c.fault("%w", err)
	}
	if !f.Takes(u) {
		return c.fault("field %q is a %s and cannot be measured in %q", c.Field, f.Quantity, name)
	}
	c.Unit, c.Measure = name, u
	return nil
}

// wetFuels are the compositions that stand for the fuels of wet_fuel.
var wetFuels = map[string]combustion.Gas{
	"natural gas": combustion.PipelineGas, "propane": combustion.Propane, "butane": combustion.Butane,
}

func wetFuelNames() []string { return slices.Sorted(maps.Keys(wetFuels)) }

// checkGas: a share of the wet gas needs the fuel, of which its water follows.
func checkGas(c *Column) error {
	wet := c.Gas == "wet"
	switch {
	case c.Gas != "" && c.Gas != "dry" && !wet:
		return c.fault("gas %q: write dry or wet", c.Gas)
	case wet && c.Field == "co":
		return c.fault("CO of wet gas cannot be read: how much water the gas held is known only with the CO2 or O2 of that reading\n" +
			"export CO of dry gas")
	case c.Gas != "" && c.Field != "co" && c.Field != "co2" && c.Field != "o2", !wet && c.WetFuel != "":
		return c.fault("gas and wet_fuel are for CO2 and O2, gas = \"dry\" for CO too")
	case !wet:
		return nil
	}
	gas, ok := wetFuels[c.WetFuel]
	if !ok {
		known := strings.Join(wetFuelNames(), ", ")
		return c.fault("a share of wet gas needs wet_fuel, the one fuel of these exports, since its water follows from it\n"+
			"write one of %s", known)
	}
	s, err := gas.Burn(combustion.AirO2Field)
	if err != nil {
		return c.fault("%w", err)
	}
	c.Wet = &s
	return nil
}

// checkCodes makes the word list of a code column: the declared words, and our
// own words except those that the export is declared to write in another way.
func checkCodes(c *Column) error {
	if c.Of.Kind != Code {
		if len(c.Codes) > 0 {
			return c.fault("field %q takes no codes", c.Field)
		}
		return nil
	}
	c.Words = map[string]string{}
	declared := map[string]bool{}
	from := make([]string, 0, len(c.Codes))
	for word := range c.Codes {
		from = append(from, word)
	}
	sort.Strings(from)
	for _, word := range from {
		ours := c.Codes[word]
		if !slices.Contains(c.Of.Words, ours) && (!c.Of.Open || ours == "") {
			return c.fault("code %q means %q, which is not one of %s", word, ours, strings.Join(c.Of.Words, ", "))
		}
		if other, ok := c.Words[parse.Fold(word)]; ok && other != ours {
			return c.fault("code %q means both %q and %q", word, other, ours)
		}
		c.Words[parse.Fold(word)] = ours
		declared[ours] = true
	}
	for _, w := range c.Of.Words {
		if _, taken := c.Words[w]; !taken && !declared[w] {
			c.Words[w] = w
		}
	}
	return nil
}
