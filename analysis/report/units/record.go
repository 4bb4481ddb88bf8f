package units

import (
	"math"
	"strconv"
	"strings"
)

// step is the step that a value is rounded to where it is shown in a unit.
func (s Set) step(q Quantity, v float64, to unit) float64 {
	const digits = 2 // after the first
	from, decimals, ok := s.record(q, v)
	if !ok {
		return max(to.least, stepUnder(math.Abs(to.from(v)))/math.Pow10(digits))
	}
	if byTens(from, to) {
		return 0
	}
	fine := min(math.Pow10(-decimals), from.typed)
	step := max(stepUnder(fine*from.Mul/from.Div*to.Div/to.Mul), to.least)
	if q != Temperature { // its scale begins anywhere
		step = max(step, stepUnder(math.Abs(to.from(v)))/math.Pow10(digits))
	}
	return step
}

// record is the unit a value was recorded in, and with how many decimals: of the units
// that records of the quantity come in, that in which the value has the fewest digits.
// There is none where the value is short in no unit: then it was computed.
func (s Set) record(q Quantity, v float64) (from unit, decimals int, ok bool) {
	candidates := s.recorded[q]
	if len(candidates) == 0 {
		for _, u := range table[q] {
			if u.choice != "" {
				candidates = append(candidates, u.unit)
			}
		}
	}
	fewest := math.MaxInt
	for _, u := range candidates {
		d, digits, short := shortIn(u.from(v))
		if short && digits < fewest {
			from, decimals, fewest, ok = u, d, digits, true
		}
	}
	return from, decimals, ok
}

// shortIn reports whether a number looks typed: at most three decimals and six digits,
// as exactly as conversions there and back leave it. It tells the decimals and the
// digits without the zeros at either end.
func shortIn(v float64) (decimals, digits int, short bool) {
	const mostDecimals, mostDigits, exact = 3, 6, 1e-9
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, 0, false
	}
	for ; decimals <= mostDecimals; decimals++ {
		text := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
		near, err := strconv.ParseFloat(text, 64)
		if err == nil && math.Abs(near-math.Abs(v)) <= exact*max(1, math.Abs(v)) {
			digits = len(strings.Trim(strings.Replace(text, ".", "", 1), "0"))
			return decimals, digits, digits <= mostDigits
		}
	}
	return 0, 0, false
}

// byTens reports whether two units are the same, or powers of ten of each other: then
// a value keeps its digits.
func byTens(a, b unit) bool {
	if a.Zero != b.Zero {
		return false
	}
	p := math.Log10(a.Mul / a.Div * b.Div / b.Mul)
	return math.Abs(p-math.Round(p)) < 1e-9
}

// stepUnder is the largest power of ten that is not above a number.
func stepUnder(v float64) float64 {
	if !(v > 0) {
		return 0
	}
	return math.Pow10(int(math.Floor(math.Log10(v) + 1e-9)))
}

// rounded rounds a number to a step, a power of ten, and tells the decimals that
// leaves; with step 0 the number keeps what it has.
func rounded(v, step float64) (number float64, decimals int) {
	const most = 4
	if math.IsNaN(v) {
		return v, 0
	}
	if step < math.Pow10(-most) {
		step = math.Pow10(-most)
	}
	p := int(math.Round(math.Log10(step)))
	if p >= 0 {
		return math.Round(v/step) * step, 0
	}
	n, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', -p, 64), 64)
	if err != nil {
		return v, -p
	}
	return n, -p
}
