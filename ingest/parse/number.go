package parse

import (
	"math"
	"strconv"
	"strings"

	"fluedrift/model/quantity"
)

// Numbers is the declared way of writing numbers.
type Numbers struct {
	Decimal   string // the decimal mark, one character
	Thousands string // the thousands mark, one character; "" for none; " " stands for any blank
}

// Number is a number as written, in the declared unit of measure.
type Number struct {
	Value      float64
	Decimals   int8 // digits behind the decimal mark; -1 where an exponent hides them
	Scientific bool
	Limit      string // Below or Above where the number is only a limit; "" for a number itself
}

// Limits that a CO cell may carry. An over-range without a number has the
// value NaN and the limit Above.
const (
	Below = "below"
	Above = "above"
)

// Measure reads a number with the declared unit of measure allowed behind it.
// The value stays in that unit; text is trimmed here.
func (g Numbers) Measure(text string, u quantity.Unit) (Number, *Fault) {
	s := Trim(text)
	n, rest, f := g.scan(s)
	if f != nil {
		return n, f
	}
	if rest == "" || u.HasMark(rest) {
		return n, nil
	}
	if names := quantity.MarkOf(rest); len(names) > 0 {
		if u.Kind == quantity.None {
			return n, fault(UnitMark, "%q carries the unit %q; the column has none", Short(s), rest)
		}
		return n, fault(UnitMark, "%q carries the unit %q; the column is declared in %q", Short(s), rest, u.Name)
	}
	return n, g.unreadable(s)
}

// Limited reads a number that may be a limit: <5, >2000, or OL for over range.
func (g Numbers) Limited(text string, u quantity.Unit) (Number, *Fault) {
	s := Trim(text)
	if strings.EqualFold(s, "OL") {
		return Number{Value: math.NaN(), Decimals: -1, Limit: Above}, nil
	}
	limit := ""
	switch {
	case strings.HasPrefix(s, "<"):
		limit = Below
	case strings.HasPrefix(s, ">"):
		limit = Above
	default:
		return g.Measure(s, u)
	}
	n, f := g.Measure(s[1:], u)
	if f != nil {
		if f.Reason == UnreadableNumber {
			f = g.unreadable(s)
		}
		return n, f
	}
	n.Limit = limit
	return n, nil
}

// Whole reads a count: a number without decimals, exponent or unit.
func (g Numbers) Whole(text string) (int32, *Fault) {
	s := Trim(text)
	n, f := g.Measure(s, quantity.Unit{Kind: quantity.None, Mul: 1, Div: 1})
	switch {
	case f != nil:
		return 0, f
	case n.Scientific || n.Value != math.Trunc(n.Value):
		return 0, fault(UnreadableNumber, "%q is not a whole number", Short(s))
	case math.Abs(n.Value) > math.MaxInt32:
		return 0, fault(OutOfRange, "%q is out of any range", Short(s))
	}
	return int32(n.Value), nil
}

// Split reads the number at the start of a text and returns what stands behind
// it, trimmed: a unit of measure, or rubbish.
func (g Numbers) Split(text string) (Number, string, *Fault) { return g.scan(Trim(text)) }

// scan reads the number at the start of a trimmed text and returns what stands
// behind it, trimmed.
func (g Numbers) scan(s string) (Number, string, *Fault) {
	t := normal(s)
	i, negative := 0, false
	if i < len(t) && (t[i] == '+' || t[i] == '-') {
		negative = t[i] == '-'
		i++
	}
	if !digit(t, i) {
		return Number{}, "", g.notANumber(s, t[i:])
	}
	m := mantissa{}
	i, ok := g.wholePart(t, i, &m)
	if !ok {
		return Number{}, "", g.unreadable(s)
	}
	if strings.HasPrefix(t[i:], g.Decimal) && digit(t, i+len(g.Decimal)) {
		for i += len(g.Decimal); digit(t, i); i++ {
			m.add(t[i])
			m.decimals++
		}
	}
	exponent, i := exponentAt(t, i)
	n := Number{Value: m.value(exponent), Decimals: int8(min(m.decimals, 100)), Scientific: exponent != ""}
	if n.Scientific {
		n.Decimals = -1
	}
	if math.IsInf(n.Value, 0) || n.Value == 0 && m.some {
		return n, "", fault(OutOfRange, "%q is out of any range", Short(s))
	}
	if negative && n.Value != 0 {
		n.Value = -n.Value
	}
	return n, Trim(t[i:]), nil
}

// wholePart reads the digits before the decimal mark. A thousands mark counts
// only between digits; then every group but the first has three digits, the
// first one to three, and the number does not begin with 0.
func (g Numbers) wholePart(t string, i int, m *mantissa) (int, bool) {
	start, group, marks := i, 0, 0
	for {
		if digit(t, i) {
			m.add(t[i])
			group++
			i++
			continue
		}
		w := g.thousandsAt(t, i)
		if w == 0 || !digit(t, i+w) {
			break
		}
		if group > 3 || marks > 0 && group != 3 {
			return i, false
		}
		marks, group, i = marks+1, 0, i+w
	}
	return i, marks == 0 || group == 3 && t[start] != '0'
}

// thousandsAt is the width of the thousands mark at i, 0 where there is none.
func (g Numbers) thousandsAt(t string, i int) int {
	if g.Thousands == "" || i >= len(t) {
		return 0
	}
	if strings.HasPrefix(t[i:], g.Thousands) {
		return len(g.Thousands)
	}
	if g.Thousands != " " {
		return 0
	}
	for _, blank := range []string{"\u00a0", "\u202f"} {
		if strings.HasPrefix(t[i:], blank) {
			return len(blank)
		}
	}
	return 0
}

// exponentAt reads an exponent with a capital E: its text without the E, "" if
// there is none.
func exponentAt(t string, i int) (string, int) {
	if i >= len(t) || t[i] != 'E' {
		return "", i
	}
	j := i + 1
	if j < len(t) && (t[j] == '+' || t[j] == '-') {
		j++
	}
	if !digit(t, j) {
		return "", i
	}
	for digit(t, j) {
		j++
	}
	return t[i+1 : j], j
}

// notANumber tells the texts that other readers take for numbers, and the
// spreadsheet errors, from the rest.
func (g Numbers) notANumber(s, unsigned string) *Fault {
	if f := formulaError(s); f != nil {
		return f
	}
	switch strings.ToLower(unsigned) {
	case "nan", "inf", "infinity":
		return fault(NotFinite, "%q is not a finite number", s)
	}
	return g.unreadable(s)
}

func (g Numbers) unreadable(s string) *Fault {
	if g.Thousands == "" {
		return fault(UnreadableNumber, "%q is not a number with decimal mark %q", Short(s), g.Decimal)
	}
	return fault(UnreadableNumber, "%q is not a number with decimal mark %q and thousands mark %q", Short(s), g.Decimal, g.Thousands)
}

// mantissa gathers digits; up to 15 of them divide exactly by their power of
// ten, more go through strconv.
type mantissa struct {
	first    [24]byte // digits; a slice of it would put each number on the heap
	more     []byte   // digits after those
	whole    uint64
	n        int
	decimals int
	some     bool // a digit is not 0
}

func (m *mantissa) add(c byte) {
	if m.n < len(m.first) {
		m.first[m.n] = c
	} else {
		m.more = append(m.more, c)
	}
	if m.n < 18 {
		m.whole = m.whole*10 + uint64(c-'0')
	}
	m.n++
	m.some = m.some || c != '0'
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

func (m *mantissa) value(exponent string) float64 {
	if m.n <= 15 && exponent == "" {
		return float64(m.whole) / tens[m.decimals]
	}
	digits := string(m.first[:min(m.n, len(m.first))]) + string(m.more)
	whole := m.n - m.decimals
	text := digits[:whole] + "." + digits[whole:] + "0"
	if exponent != "" {
		text += "E" + exponent
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.Inf(1) // the grammar is checked: only the range is left
	}
	return v
}
