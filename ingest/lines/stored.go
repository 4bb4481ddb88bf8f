package lines

import (
	"fmt"
	"math"
	"strconv"

	"fluedrift/ingest/parse"
)

// stored is how a cell is stored where the format tells.
type Stored uint8

const (
	AsText    Stored = iota
	AsNumber         // a binary number: its text is written with a point, and 15 digits of it are meant
	AsDecimal        // a decimal number: its text is written with a point, digit for digit
	AsPercent        // a binary number that is shown a hundred times as great, with a percent sign
	AsDay            // a calendar day: its text is written yyyy-mm-dd
)

// identifier reads an identifier. One that a program keeps as a number or a day
// may no longer be what it was.
func Identifier(text string, as Stored) (string, *parse.Fault) {
	id, f := parse.ID(AsWritten(text, as))
	switch {
	case f != nil:
	case (as == AsNumber || as == AsPercent) && len(id) > 15:
		f = &parse.Fault{Reason: parse.DamagedID, Message: fmt.Sprintf("%q is stored as a number, which keeps 15 digits; the "+
			"true identifier is lost", text)}
	case as == AsDay:
		f = &parse.Fault{Reason: parse.DamagedID, Message: fmt.Sprintf("%q is an identifier turned into a date; the true one is lost", text)}
	}
	return id, f
}

// AsWritten writes a whole number that is stored as one by its digits.
func AsWritten(text string, as Stored) string {
	if as == AsNumber {
		return PlainNumber(text)
	}
	return text
}

// PlainNumber writes a whole binary number without the .0 the engine adds, so
// that a serial stored as a number is its digits.
func PlainNumber(text string) string {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v != math.Trunc(v) || math.Abs(v) >= 1e15 {
		return text
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// tidy rounds to the 15 digits that a binary number is meant with.
func Tidy(v float64) float64 {
	t, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	return t
}
