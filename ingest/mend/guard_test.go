package mend

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Every text comes back as it was, and none of those that a spreadsheet
// computes starts as one.
func TestGuardedComesBack(t *testing.T) {
	for _, text := range []string{"=1+1", "@SUM(1)", "+T-03", "-T1", "-2+3", "\t=1", "'=1", "''=1", `"=1`, "＝1", "-6,5 \xb0C", "--x"} {
		assert.NotEqual(t, text, guarded(text), text)
		assert.Equal(t, text, Unguarded(guarded(text)))
	}
	for _, text := range []string{"", "9.1", "-6.5", "+6,5 °C", "-", "--", "U-1", "'", "O'Hara", " a=b"} {
		assert.Equal(t, text, guarded(text))
		assert.Equal(t, text, Unguarded(text))
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune(`=+-@'" 1a.,`+"\t＝\u00a0"))).Draw(t, "text")
		assert.Equal(t, text, Unguarded(guarded(text)))
		if text == "" {
			return
		}
		first := []rune(guarded(text))[0]
		assert.NotContains(t, []rune("=@\t＝"), first)
	})
}
