package layout

import (
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
	for _, f := range Fields(l.Record) {
		wide := l.Form == Wide && (f.Name == "fire" || f.Name == "condition")
		if f.Required && !wide && !l.Has(f.Name) {
			return atKey("record", "record %s needs the field %q\nadd a [[column]] or a constant for it", l.Record, f.Name)
		}
	}
	if l.Record == Units && !Register(l.Has) {
		return atKey("record", "a register of units needs one of %s: serials alone make boilers that nothing else knows\n"+
			"add a [[column]] for one of them", strings.Join(registerFields, ", "))
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
	if l.Record != Readings || l.Has("visit_id") {
		return atKey("key", "key is for readings without a visit_id")
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

// checkGroups: every column of the wide form has a reading to belong to.
func (l compiler) checkGroups() error {
	groups := l.Groups()
	if len(groups) == 0 {
		return atKey("form", "the wide form needs co2 or o2 columns with a fire and a condition")
	}
	for _, c := range l.Columns {
		fits := slices.ContainsFunc(groups, c.Fits)
		if c.Of.Place == OfReading && !fits {
			return c.fault("no co2 or o2 column has fire %q and condition %q", c.Fire, c.Condition)
		}
	}
	return nil
}

// Fits reports whether a column of the wide form gives a value to the readings
// of a group: its fire and its condition are that of the group or not given.
func (c Column) Fits(g Group) bool {
	return (c.Fire == "" || c.Fire == g.Fire) && (c.Condition == "" || c.Condition == g.Condition)
}
