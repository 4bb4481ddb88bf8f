package parse

import (
	"math"
	"regexp"
	"strings"

	"fluedrift/model/quantity"
)

// Loose is what the digits of a cell that cannot be read may mean at most.
type Loose struct {
	Value float64 // in the unit asked for; NaN where the text says "over range" without a number
	Limit string  // Above or Below where the text says so
}

// looseMost is a share of all the gas: no digits mean more than that.
const looseMostPercent = 100

var (
	aDate    = regexp.MustCompile(`^\d{1,4}[-./]\d{1,2}[-./]\d{1,4}\b`)
	aClock   = regexp.MustCompile(`^\d{1,2}:\d{2}\b`)
	aRun     = regexp.MustCompile(`\d(?:[\d.,'’]|[ \x{a0}\x{202f}]\d{3}(?:\D|$))*`)
	exponent = regexp.MustCompile(`^[eE][+-]?\d{1,2}`)
)

// looseGrammars are the usual ways to write a number.
var looseGrammars = []Numbers{
	{Decimal: "."},
	{Decimal: ","},
	{Decimal: ".", Thousands: ","},
	{Decimal: ",", Thousands: "."},
	{Decimal: ".", Thousands: " "},
	{Decimal: ",", Thousands: " "},
	{Decimal: ".", Thousands: "'"},
	{Decimal: ",", Thousands: "'"},
	{Decimal: ".", Thousands: "’"},
}

// LooseShare reads a share of a gas out of a text that is no number by any
// grammar: the greatest that its digits may mean in any usual writing, in the
// unit to. It is for values that must not pass unseen because of how they are
// written, never for values that are used: 1.200 is 1200, "900 !" is 900, and
// a letter O between digits is a zero. The unit behind the digits counts, else the
// column's. False where the text holds no digits, a spreadsheet's error, a day or
// a time.
func LooseShare(text string, column, to quantity.Unit) (Loose, bool) {
	s := letterDigits(normal(Trim(text)))
	if isFormulaError(s) || aDate.MatchString(s) || aClock.MatchString(s) {
		return Loose{}, false
	}
	l := Loose{Value: math.NaN(), Limit: looseLimit(s)}
	for rest := s; ; {
		at := aRun.FindStringIndex(rest)
		if at == nil {
			break
		}
		run := strings.TrimRight(rest[at[0]:at[1]], " \u00a0\u202f.,'’")
		behind := rest[at[0]+len(run):]
		power := exponent.FindString(behind)
		rest = behind[len(power):]
		v := looseShare(run, power, unitBehind(rest, column), to)
		if !(v <= l.Value) && v <= most(to) {
			l.Value = v
		}
	}
	return l, !math.IsNaN(l.Value) || l.Limit == Above
}

// letterDigits puts digits for the letters O, l and I beside a digit.
func letterDigits(s string) string {
	b := []byte(s)
	swap := func(i, beside int) {
		if beside < 0 || beside >= len(b) || b[beside] < '0' || b[beside] > '9' {
			return
		}
		switch b[i] {
		case 'O', 'o':
			b[i] = '0'
		case 'l', 'I':
			b[i] = '1'
		}
	}
	for i := range b {
		swap(i, i-1)
	}
	for i := len(b) - 1; i >= 0; i-- {
		swap(i, i+1)
	}
	return string(b)
}

// looseLimit tells a limit, and the ways to write "over range".
func looseLimit(s string) string {
	low := strings.ToLower(s)
	switch {
	case strings.Contains(s, ">"), strings.Contains(low, "over"), low == "o.l.", low == "o.l", low == "o/l":
		return Above
	case strings.Contains(s, "<"):
		return Below
	}
	return ""
}

// unitBehind is the unit of a share that is written behind a number, else the
// column's. A mass in a volume is taken at 25 degC, of which a milligram is more
// ppm than at 0 degC.
func unitBehind(rest string, column quantity.Unit) quantity.Unit {
	rest = Trim(rest)
	for end := min(len(rest), longestMark); end > 0; end-- {
		for _, name := range quantity.MarkOf(rest[:end]) {
			u, err := quantity.Lookup(name)
			switch {
			case err != nil:
			case u.Kind == quantity.Share:
				return u
			case u.Kind == quantity.COMass:
				return quantity.MustLookup("mg/m3 at 25 degC")
			}
		}
	}
	return column
}

// longestMark is more bytes than any unit of a share is written with.
const longestMark = 16

// looseShare is the greatest value of a run of digits and marks, NaN of none.
func looseShare(run, power string, from, to quantity.Unit) float64 {
	value := math.NaN()
	for _, g := range looseGrammars {
		n, rest, f := g.scan(run + strings.ToUpper(power))
		if f != nil || rest != "" {
			continue
		}
		if v, err := quantity.Convert(n.Value, from, to); err == nil && !(v <= value) {
			value = v
		}
	}
	if !math.IsNaN(value) {
		return value
	}
	for _, part := range strings.FieldsFunc(run, func(r rune) bool { return !('0' <= r && r <= '9') }) {
		if part != run {
			if v := looseShare(part, "", from, to); !(v <= value) {
				value = v
			}
		}
	}
	return value
}

// most is all of the gas in a unit.
func most(u quantity.Unit) float64 {
	v, err := quantity.Convert(looseMostPercent, quantity.MustLookup("%"), u)
	if err != nil {
		return math.Inf(1)
	}
	return v
}
