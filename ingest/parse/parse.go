// Package parse turns the text of one cell into a typed value, or says why it
// is none. It is pure: no file, no clock, no layout. Nothing turns into a
// missing value here; whether a cell is a missing marker is asked first, with
// Trim, by the caller.
//
// The grammar of a number: an optional sign (ASCII or U+2212), digits (ASCII
// or full-width) with the declared thousands mark only in groups of three, the
// declared decimal mark between digits, an optional exponent with a capital E.
// The declared unit of measure may be repeated behind it. Nothing else parses:
// no nan, no 0x10, no 1_000, no blank inside, no dash of another kind.
//
// The grammar of a day: the declared pattern, digit for digit, with an optional
// time of day and offset behind it. The day is the calendar day as written; an
// offset never moves it.
package parse

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Reasons why a cell is not a value, one to one with the reasons of lines set
// aside.
const (
	ControlChar      = "control-char"
	BlankRequired    = "blank-required"
	UnknownCode      = "unknown-code"
	UnreadableDate   = "unreadable-date"
	ImpossibleDate   = "impossible-date"
	UnreadableNumber = "unreadable-number"
	NotFinite        = "not-finite"
	FormulaError     = "formula-error-cell"
	UnitMark         = "unit-mark-mismatch"
	OutOfRange       = "out-of-physical-range"
	DamagedID        = "identifier-damaged"
)

// Fault is why a cell is not a value: its reason, and the message a person
// reads, which quotes the cell.
type Fault struct {
	Reason, Message string
}

// Error gives reason and message.
func (f *Fault) Error() string { return f.Reason + ": " + f.Message }

func fault(reason, format string, args ...any) *Fault {
	return &Fault{Reason: reason, Message: fmt.Sprintf(format, args...)}
}

// Mark is the byte order mark, U+FEFF. Within a text it shows nothing and means
// nothing (Unicode 15, section 23.8): it was left there where one file was put
// behind another.
const Mark = "\ufeff"

// Unmarked drops every byte order mark of a text.
func Unmarked(s string) string {
	if !strings.Contains(s, Mark) {
		return s
	}
	return strings.ReplaceAll(s, Mark, "")
}

// Trim cuts blanks, tabs, non-breaking spaces (U+00A0, U+202F) and byte order
// marks off both ends.
func Trim(s string) string {
	if s == "" || (plain(s[0]) && plain(s[len(s)-1])) {
		return s
	}
	return strings.TrimFunc(s, isBlank)
}

// plain reports a byte that is neither a blank nor part of a longer character.
func plain(b byte) bool { return b > ' ' && b < utf8.RuneSelf }

func isBlank(r rune) bool {
	return r == ' ' || r == '\t' || r == '\u00a0' || r == '\u202f' || r == '\ufeff'
}

// normal replaces full-width digits and the typographic minus by ASCII.
func normal(s string) string {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			return strings.Map(asASCII, s)
		}
	}
	return s
}

func asASCII(r rune) rune {
	switch {
	case r >= '０' && r <= '９':
		return r - '０' + '0'
	case r == '\u2212':
		return '-'
	}
	return r
}

func digit(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

// spreadsheet error values as in ECMA-376 part 1, 18.17.3, from memory, and the
// two later ones seen in practice.
var formulaErrors = []string{
	"#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "#GETTING_DATA", "#SPILL!", "#CALC!",
}

// isFormulaError reports a cell in which a spreadsheet wrote that its formula
// failed.
func isFormulaError(s string) bool {
	if !strings.HasPrefix(s, "#") {
		return len(s) == 7 && strings.EqualFold(s[:4], "err:") && digit(s, 4) && digit(s, 5) && digit(s, 6)
	}
	for _, e := range formulaErrors {
		if strings.EqualFold(s, e) {
			return true
		}
	}
	return false
}

// formulaError is the fault of such a cell, nil for any other.
func formulaError(s string) *Fault {
	if !isFormulaError(s) {
		return nil
	}
	return fault(FormulaError, "%q is a spreadsheet's error, not a value", s)
}

// control is the fault of a text with control characters in it. Tabs and line
// ends pass where lines is set.
func control(s string, lines bool) *Fault {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= ' ' && c != 0x7f {
			continue
		}
		if lines && (c == '\t' || c == '\n' || c == '\r') {
			continue
		}
		return fault(ControlChar, "%q holds the control character %q", Short(s), c)
	}
	return nil
}

// Short cuts a text to 80 characters for a message.
func Short(s string) string {
	const limit = 80
	if utf8.RuneCountInString(s) <= limit {
		return s
	}
	return string([]rune(s)[:limit]) + "…"
}
