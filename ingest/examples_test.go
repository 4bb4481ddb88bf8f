package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/ingest/layout"
)

// TestWorkedExamples: each worked example of a layout reads its file, line for line.
func TestWorkedExamples(t *testing.T) {
	names := map[string]string{
		layout.Long: "north_2024-04-01.csv", layout.Wide: "cards_1.csv", layout.Units: "boilers_2024-04-01.csv",
		layout.ModelLines: "targets.csv", layout.Analyzers: "calibrations_1.csv", layout.Plants: "plants.csv", layout.Answers: "answers_1.csv",
	}
	for _, e := range layout.Examples() {
		r, _ := readInto(t, folder(t, map[string]string{"example.toml": e.Layout, names[e.Form]: e.File}))
		assert.Equal(t, WasRead, r.Files[0].Outcome, "%s: %s", e.Form, r.Files[0].Message)
		assert.EqualValues(t, 2, r.Files[0].Parsed, "%s: %v", e.Form, r.Files[0].Reasons)
	}
}
