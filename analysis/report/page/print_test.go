package page

import (
	"bytes"
	"html"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// The cautions stand at the foot of every printed page: in the rule of the page, not at
// each unit; the size of the paper is the printer's.
func TestCautionsOncePerPrintedPage(t *testing.T) {
	p := Page{Lines: partLines(), Summary: watch.Summary{AsOf: day.Of(2026, 3, 2)}}
	var b bytes.Buffer
	require.NoError(t, WritePage(&b, p))
	text := html.UnescapeString(b.String())
	for _, c := range words.Cautions() {
		assert.Equal(t, 2, strings.Count(text, c), "in the rule and at the end of the page")
	}
	assert.Contains(t, text, `@page{size:landscape;@bottom-left{content:"`+words.Cautions()[0])
	assert.NotContains(t, string(printed("")), "size")
	assert.Equal(t, 1, strings.Count(string(printed("")), `content:"`))
}
