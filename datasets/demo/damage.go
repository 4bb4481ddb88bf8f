package demo

import (
	"math"

	"fluedrift/model/judge"
)

// damage is what makes one line of an entry unreadable.
type damage struct {
	kind   string // see damages
	line   int    // index of the value in long form, else 0
	reason string // kind of reason a reader should give
	co2    bool   // the first gas column of the office is of CO2, else of O2
}

// damages are the ways a line of each office is spoilt, with the reason a
// reader should give. Some spoil the line so that it cannot be read at all, others
// one cell of it.
var damages = [3][]struct{ kind, reason string }{
	LongOffice: {
		{"letter in number", "unreadable-number"},
		{"comma in number", "unreadable-number"},
		{"degC behind degF", "unit-mark-mismatch"},
		{"field missing", "wrong-field-count"},
		{"field added", "wrong-field-count"},
		{"31 February", "impossible-date"},
		{"words for date", "unreadable-date"},
		{"year to come", "future-date"},
		{"unknown condition", "unknown-code"},
		{"serial as number", "identifier-damaged"},
		{"formula error", "formula-error-cell"},
		{"no serial", "blank-required"},
		{"ten times", "out-of-physical-range"},
		{"not a number", "not-finite"},
		{"control character", "control-char"},
	},
	WideOffice: {
		{"letter in number", "unreadable-number"},
		{"degF behind degC", "unit-mark-mismatch"},
		{"field missing", "wrong-field-count"},
		{"field added", "wrong-field-count"},
		{"31 February", "impossible-date"},
		{"words for date", "unreadable-date"},
		{"unknown reason", "unknown-code"},
		{"serial as number", "identifier-damaged"},
		{"formula error", "formula-error-cell"},
		{"ten times", "out-of-physical-range"},
	},
	BookOffice: {
		{"letter in number", "unreadable-number"},
		{"formula error", "formula-error-cell"},
		{"words for date", "unreadable-date"},
		{"unknown reason", "unknown-code"},
		{"serial as number", "identifier-damaged"},
		{"ten times", "out-of-physical-range"},
	},
}

// damageFor chooses how an entry is spoilt: the ways of its office in turn.
func (s *spoiler) damageFor(e *Entry) damage {
	office := e.Unit.office()
	list := damages[office]
	d := list[s.damaged[office]%len(list)]
	s.damaged[office]++
	u, n := uint64(e.Unit.index), uint64(e.Visit.number)
	out := damage{kind: d.kind, reason: d.reason, co2: newPen(&s.world).writesCO2(office)}
	if e.Unit.office() == LongOffice {
		out.line = int(s.draw(kindDamage, u, n, 2) * float64(len(e.Values)))
	}
	return out
}

// spoil changes the cells of a damaged line. Columns are found by what they
// hold; gas is the cell of the first gas value written.
func (d damage) spoil(cells []string, col columns) []string {
	set := func(i int, text string) { cells[i] = text }
	switch d.kind {
	case "letter in number":
		set(col.gas, "9.l")
	case "comma in number":
		set(col.gas, "9,4")
	case "degC behind degF":
		set(col.flue, "61 C")
	case "degF behind degC":
		set(col.flue, "142 F")
	case "field missing":
		return cells[:len(cells)-1]
	case "field added":
		return append(cells, "")
	case "31 February":
		set(col.day, col.impossibleDay)
	case "words for date":
		set(col.day, "early in spring")
	case "year to come":
		set(col.day, "03/14/2092")
	case "unknown condition":
		set(col.condition, "Midway")
	case "unknown reason":
		set(col.reason, "???")
	case "serial as number":
		set(col.serial, "7.0013E+11")
	case "formula error":
		set(col.gas, "#DIV/0!")
	case "no serial":
		set(col.serial, "")
	case "ten times":
		set(col.gas, "94")
	case "not a number":
		set(col.gas, "NaN")
	case "control character":
		set(col.tester, cells[col.tester]+"\x07")
	}
	return cells
}

// Cells that a kind of damage spoils alone.
const (
	gasCell    = "gas"
	flueCell   = "flue"
	reasonCell = "reason"
)

// cell is the one cell that cannot be read, "" where the line cannot.
func (d damage) cell() string {
	switch d.kind {
	case "letter in number", "comma in number", "formula error", "ten times", "not a number":
		return gasCell
	case "degC behind degF", "degF behind degC":
		return flueCell
	case "unknown reason":
		return reasonCell
	}
	return ""
}

// AsRead returns the kth value without the cell of it that cannot be read.
func (e *Entry) AsRead(k int) Value {
	x := e.Values[k]
	if e.hit(k, e.File == nil || e.File.Long()) {
		e.spoilt.blank(&x)
	}
	return x
}

// hit reports the value in which the damage lies: in a row a visit that of its first
// columns of gases.
func (e *Entry) hit(k int, long bool) bool {
	if long {
		return k == e.spoilt.line
	}
	x := &e.Values[k]
	return e.Unit.Line.FireName(x.Fire) == judge.High && x.Condition == judge.AsFound
}

// blank takes out of a value the cell that cannot be read.
func (d damage) blank(x *Value) {
	switch cell := d.cell(); {
	case cell == gasCell && d.co2:
		x.CO2 = math.NaN()
	case cell == gasCell:
		x.O2 = math.NaN()
	case cell == flueCell:
		x.Flue = math.NaN()
	}
}

// ReasonRead returns the reason of the visit, "" where it cannot be read.
func (e *Entry) ReasonRead() judge.Reason {
	if e.spoilt.cell() == reasonCell {
		return ""
	}
	return e.Visit.Reason
}

// HasGas reports a value with CO2 or O2.
func (x *Value) HasGas() bool { return !math.IsNaN(x.CO2) || !math.IsNaN(x.O2) }

// spoiltOutcome is what a spoilt line ends in.
func (e *Entry) spoiltOutcome(long bool) string {
	cell := e.spoilt.cell()
	gas := cell != gasCell // beside the cell that cannot be read
	for k := range e.Values {
		if x := e.AsRead(k); e.hit(k, long) {
			gas = gas || x.HasGas()
		}
	}
	switch {
	case e.ReasonRead() != e.Visit.Reason:
		return CellAside
	case cell == "", !gas && long:
		return setAside
	case !gas:
		return ReadingAside
	}
	return CellAside
}

// columns says where a line holds what damage touches.
type columns struct {
	serial, day, reason, condition, tester, gas, flue int
	impossibleDay                                     string
}
