package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/ingest/layout"
)

// TestWorkedExamples: each worked example of a layout reads its file, line for line.
func TestWorkedExamples(t *testing.T) {
	for _, e := range layout.Examples() {
		r, _ := readInto(t, folder(t, map[string]string{"example.toml": e.Layout, e.Named: e.File}))
		assert.Equal(t, WasRead, r.Files[0].Outcome, "%s: %s", e.Form, r.Files[0].Message)
		assert.EqualValues(t, 2, r.Files[0].Parsed, "%s: %v", e.Form, r.Files[0].Reasons)
	}
}
