package book

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFormats: what formats of common workbooks show (ECMA-376 part 1, 18.8.31,
// from memory).
func TestFormats(t *testing.T) {
	for code, want := range map[string]shown{
		"General": shownNumber, "0.0": shownNumber, `#,##0.00\ "m"`: shownNumber, `0.0" sd"`: shownNumber, "0.00E+00": shownNumber,
		"_-* #,##0.00_d;-0": shownNumber, "[$-409]0": shownNumber,
		"yyyy-mm-dd": shownDay, "d/m/yy": shownDay, "mmm": shownDay, `[$-407]dd/mm/yyyy;@`: shownDay, "dd.mm.yyyy hh:mm": shownDay,
		"m/d/yy h:mm AM/PM": shownDay,
		"h:mm":              shownTime, "[h]:mm:ss": shownTime, "mm:ss.0": shownTime, "0%": shownPercent, "0.0 %": shownPercent,
		`0"%"`: shownNumber,
		`"`:    shownNumber, "[": shownNumber, `\`: shownNumber, "": shownNumber,
	} {
		assert.Equal(t, want, formatShows(code), code)
	}
}
