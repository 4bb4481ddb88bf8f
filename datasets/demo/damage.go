package demo

// damage is what makes one line of an entry unreadable.
type damage struct {
	kind   string // see damages
	line   int    // index of the value in long form, else 0
	reason string // kind of reason a reader should give
}

// damages are the ways a line of each office is spoilt, with the reason a
// reader should give. Each spoils the line so that it cannot be read at all.
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
	out := damage{kind: d.kind, reason: d.reason}
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

// columns says where a line holds what damage touches.
type columns struct {
	serial, day, reason, condition, tester, gas, flue int
	impossibleDay                                     string
}
