package layout

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"fluedrift/ingest/parse"
)

// checkConstants compiles the constants as columns of their default unit.
func (l compiler) checkConstants() error {
	names := make([]string, 0, len(l.Constants))
	for n := range l.Constants {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		c := Column{Header: n, Field: n, Value: l.Constants[n]}
		if err := l.checkField(&c); err != nil {
			return atKey("constants."+n, "constant: %w", err)
		}
		for _, col := range l.Columns {
			if col.Field == n {
				return atKey("constants."+n, "constant %q: column %q gives the field too", n, col.Header)
			}
		}
		c.Unit = c.Of.Canonical
		if c.Of.Kind != Measured && c.Of.Kind != CO {
			c.Unit = ""
		}
		c.Days, _ = parse.NewDays("yyyy-mm-dd", 0)
		for _, check := range []func(*Column) error{checkUnit, checkBasis, checkCodes} {
			if err := check(&c); err != nil {
				return atKey("constants."+n, "constant: %w", err)
			}
		}
		if err := l.checkValue(c); err != nil {
			return atKey("constants."+n, "constant %q: %w", n, err)
		}
		l.Fixed = append(l.Fixed, c)
	}
	return nil
}

// checkValue reads the text of a constant as a cell is read.
func (l compiler) checkValue(c Column) error {
	var f *parse.Fault
	var n parse.Number
	switch c.Of.Kind {
	case Text:
		_, f = parse.Text(c.Value)
	case ID:
		_, f = parse.ID(c.Value)
	case Code:
		_, f = parse.Code(c.Value, c.Words)
	case Day:
		_, _, f = c.Days.Parse(c.Value)
	case Clock:
		_, f = parse.Time(c.Value)
	case Whole:
		_, f = l.Numbers.Whole(c.Value)
	default:
		n, f = l.Numbers.Limited(c.Value, c.Measure)
		if f == nil {
			return c.Of.InBounds(n.Value, c.Measure)
		}
	}
	if f != nil {
		return f
	}
	return nil
}

// checkRequired holds a layout to the fields without which no line of it could
// be accepted.
func (l compiler) checkRequired() error {
	if lacking := Lacking(l.Record, l.Form, l.Has); len(lacking) > 0 {
		f := lacking[0]
		return atKey("record", "record %s needs the field %q\nadd a [[column]] with field = "+
			"%q%s", l.Record, f.Name, f.Name, f.remedy())
	}
	if l.Record == Units && !Register(l.Has) {
		return atKey("record", "a register of units needs one of %s: serials alone describe no boiler\n"+
			"add a [[column]] for one of them", strings.Join(registerFields, ", "))
	}
	if l.Record == Analyzers && l.Has("span_co2") != l.Has("found_co2") {
		return atKey("record", "span_co2 and found_co2 belong together: the error of an analyzer is the difference")
	}
	if l.Record != Readings {
		return nil
	}
	if !l.Has("co2") && !l.Has("o2") {
		return atKey("record", "readings need a column for co2 or for o2")
	}
	if l.Form != Wide {
		return nil
	}
	return l.checkGroups()
}

// Lacking are the required fields of a record that nothing gives. The wide form has
// fire and condition beside its columns.
func Lacking(record, form string, has func(field string) bool) (all []Field) {
	for _, f := range Fields(record) {
		wide := form == Wide && (f.Name == "fire" || f.Name == "condition")
		if f.Required && !wide && !has(f.Name) {
			all = append(all, f)
		}
	}
	return all
}

// remedy is what else a layout can do for a required field. No constant is offered for
// what tells one reading from another: it would make one boiler, or one reading, of all.
func (f Field) remedy() string {
	switch {
	case f.Record == Readings && (f.Name == "fire" || f.Name == "condition"):
		return "\nor, where the header names fire and condition, form = \"wide\" with a fire and a condition for each column of a gas"
	case f.Kind == Code:
		return fmt.Sprintf("; its words are %s", strings.Join(f.Words, ", "))
	}
	return ""
}

// registerFields tell a register of units from any other list with serials: one of
// them at least describes the boiler.
var registerFields = []string{"model_line", "input", "installed"}

// Register reports whether a list of serials with such fields is a register of
// units.
func Register(has func(field string) bool) bool { return slices.ContainsFunc(registerFields, has) }

// keyFields may be declared as the key of exports without visit ids.
var keyFields = []string{"day", "time", "technician", "analyzer", "reason"}

// checkKey holds the declared key to fields that the layout gives.
func (l compiler) checkKey() error {
	if len(l.Key) == 0 {
		return nil
	}
	if l.Record != Readings && l.Record != Visits || l.Has("visit_id") {
		return atKey("key", "key is for readings and visits without a visit_id")
	}
	if !slices.Contains(l.Key, "day") {
		return atKey("key", "key needs \"day\": a visit is a day's work")
	}
	for i, k := range l.Key {
		switch {
		case !slices.Contains(keyFields, k):
			return atKey("key", "key %q is not one of %s\nthe serial is always part of it", k, strings.Join(keyFields, ", "))
		case slices.Contains(l.Key[:i], k):
			return atKey("key", "key names %q twice", k)
		case k != "time" && !l.Has(k):
			return atKey("key", "key names %q and no column or constant gives it", k)
		}
	}
	return nil
}

// checkGroups: every column of the wide form has a reading to belong to, and no
// reading has a value twice.
func (l compiler) checkGroups() error {
	if err := l.checkHalves(); err != nil {
		return err
	}
	groups := l.Groups()
	if len(groups) == 0 {
		return atKey("form", "the wide form needs co2 or o2 columns with a fire and a condition\n"+
			"add fire = \"high\" and condition = \"as found\", or what else each is, to the columns of co2 and o2")
	}
	given := map[string]Column{}
	for _, c := range l.Columns {
		fits := false
		for _, g := range groups {
			if c.Of.Place != OfReading || !c.Fits(g) {
				continue
			}
			fits = true
			key := c.Field + "/" + string(g.Fire) + "/" + string(g.Condition)
			if other, twice := given[key]; twice {
				return sharedTwice(c, other, g)
			}
			given[key] = c
		}
		if c.Of.Place == OfReading && !fits {
			return c.fault("no co2 or o2 column has %s\n%s", c.place(), l.placesOf(groups))
		}
	}
	return nil
}

// checkHalves: either the columns of gases all say fire and condition, or all say the
// same one of them, and a column of the file says the other.
func (l compiler) checkHalves() error {
	half := l.Halved()
	for _, c := range l.Columns {
		switch {
		case half != "" && !l.Has(half):
			if isGas(&c) && (c.Fire == "") != (c.Condition == "") {
				return c.half()
			}
		case isGas(&c) && half == "condition" && (c.Fire == "" || c.Condition != ""),
			isGas(&c) && half == "fire" && (c.Condition == "" || c.Fire != ""):
			return c.fault("other columns of CO2 and O2 leave the %s to a column of the file\nlet all of them do so, or none", half)
		case (c.Field == "fire" || c.Field == "condition") && c.Field != half:
			return c.fault("the columns of CO2 and O2 say the %s themselves\ntake it out of them, or set ignore = true here", c.Field)
		}
	}
	return nil
}

// half: a gas that has one of fire and condition alone belongs to no reading, unless a
// column says the other.
func (c Column) half() error {
	said := "; or declare the column that says it, with field = %q"
	if c.Condition == "" {
		return c.fault("it has no condition\nadd condition = \"as found\", or one of %s"+said, strings.Join(conditions, ", "), "condition")
	}
	return c.fault("it has no fire\nadd fire = \"high\", or one of %s"+said, strings.Join(fires, ", "), "fire")
}

// sharedTwice: two columns give one value of one reading.
func sharedTwice(c, other Column, g Group) error {
	if c.Fire != "" && c.Condition != "" {
		c, other = other, c
	}
	missing := "fire and condition"
	switch {
	case c.Fire != "":
		missing = "condition"
	case c.Condition != "":
		missing = "fire"
	}
	return c.fault("it has no %s, and column %q gives the %s of the reading at %s too\nadd the %s it was read at", missing,
		other.Header, c.Field, g, missing)
}

// place is the fire and condition that a column declares.
func (c Column) place() string {
	var all []string
	if c.Fire != "" {
		all = append(all, fmt.Sprintf("fire %q", c.Fire))
	}
	if c.Condition != "" {
		all = append(all, fmt.Sprintf("condition %q", c.Condition))
	}
	return strings.Join(all, " and ")
}

// placesOf names the readings that a layout of the wide form has.
func (l compiler) placesOf(groups []Group) string {
	var all []string
	for _, g := range groups {
		all = append(all, g.String())
	}
	return "the readings of this layout are " + strings.Join(all, ", ") + ": add the co2 or o2 of the other, or leave the column unread"
}

// Fits reports whether a column of the wide form gives a value to the readings
// of a group: its fire and its condition are that of the group or not given.
func (c Column) Fits(g Group) bool {
	return (c.Fire == "" || c.Fire == g.Fire) && (c.Condition == "" || c.Condition == g.Condition)
}
