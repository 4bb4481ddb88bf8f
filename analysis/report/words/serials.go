package words

import (
	"fmt"
	"strings"
)

// slipWords say by what one serial was written for another, by the kind of slip.
var slipWords = map[string]string{
	"separator":   "separator missing or another one",
	"zeros":       "zeros missing or too many",
	"letter case": "letter case",
	"look-alike":  "a letter for a digit that looks like it, or the other way round",
	"one digit":   "one digit differs",
	"two digits":  "two digits exchanged",
}

// ProbablyUnit says for which unit of the register a serial was probably written, and by
// which slips. Where is how its site agrees, "" where the line names none.
func ProbablyUnit(serial, where string, slips []string) string {
	var why []string
	if where != "" {
		why = append(why, where)
	}
	for _, s := range slips {
		why = append(why, slipWords[s])
	}
	return fmt.Sprintf("probably %s (%s)", serial, strings.Join(why, ", "))
}
