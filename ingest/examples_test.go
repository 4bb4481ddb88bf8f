package ingest

import (
	"maps"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// TestWorkedExamples: each worked example of a layout reads its file, line for line.
func TestWorkedExamples(t *testing.T) {
	for _, e := range layout.Examples() {
		files := map[string]string{"example.toml": e.Layout, e.Named: e.File}
		maps.Copy(files, e.Beside)
		o := folder(t, files)
		if e.Table != "" {
			require.NoError(t, os.WriteFile(filepath.Join(o.Layouts, "lines.csv"), []byte(e.Table), 0o644))
		}
		r, _ := readInto(t, o)
		assert.Equal(t, WasRead, r.Files[0].Outcome, "%s: %s", e.Form, r.Files[0].Message)
		assert.EqualValues(t, 2, r.Files[0].Parsed, "%s: %v", e.Form, r.Files[0].Reasons)
	}
}
