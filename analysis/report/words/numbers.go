package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fluedrift/model/day"
)

func YesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// Decimal writes a number with so many decimals; there is no negative zero.
func Decimal(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

// ISODay writes a day as ISO 8601 does.
func ISODay(d day.Day) string { return d.Time().Format(time.DateOnly) }

// Number writes a figure, a dash where there is none.
func Number(v float64, decimals int) string {
	if math.IsNaN(v) {
		return "-"
	}
	return Decimal(v, decimals)
}

// Units writes a number of units.
func Units(n int) string { return Counted(n, "unit") }

// Counted writes "1 day", "3 days".
func Counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Signed writes a number with its sign.
func Signed(v float64) string {
	s := Number(v, 3)
	if s != "-" && !strings.HasPrefix(s, "-") {
		return "+" + s
	}
	return s
}

// Capital writes the first letter large.
func Capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
