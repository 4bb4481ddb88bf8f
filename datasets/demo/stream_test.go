package demo_test

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
)

// streamed writes a fleet region by region and returns all files by path.
func streamed(t *testing.T, o demo.Options) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, demo.Write(dir, o))
	return filesIn(t, dir)
}

func filesIn(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, _ := filepath.Rel(dir, path)
		files[rel], err = os.ReadFile(path)
		return err
	}))
	return files
}

// A fleet of one region is written as the fleet that New holds.
func TestAStreamIsTheFleetOfNew(t *testing.T) {
	o := demo.Options{Units: 60, Years: 6}
	dir := t.TempDir()
	require.NoError(t, demo.New(o).Write(dir))
	require.Equal(t, filesIn(t, dir), streamed(t, o))
}

// regionOf is the mark of a region in a file's name.
var regionOf = regexp.MustCompile(`r\d\d_`)

// A fleet written in regions holds the same units, the same truth and, in files of the
// same office and day, the same lines as the fleet in one piece. Blank lines, headings
// within and totals differ, and which register lines are spoilt.
func TestRegionsHoldTheSameFleet(t *testing.T) {
	o := demo.Options{Units: 450, Years: 4}
	whole, parts := streamed(t, o), streamed(t, o.InRegions(120))
	assert.Equal(t, 3, bytes.Count([]byte(strings.Join(names(parts), "\n")), []byte("unit_register_r0"))/2+1, "regions")
	for _, name := range []string{"units.csv", "co2.csv", "effects.csv", "about.txt"} {
		assert.True(t, bytes.Equal(whole["truth/"+name], parts["truth/"+name]), name)
	}
	assert.Equal(t, withoutPlaces(whole["truth/faults.csv"]), withoutPlaces(parts["truth/faults.csv"]))
	want, got := map[string][]string{}, map[string][]string{}
	for into, files := range map[*map[string][]string]map[string][]byte{&want: whole, &got: parts} {
		for path, text := range files {
			name := regionOf.ReplaceAllString(path, "")
			if strings.HasPrefix(path, "exports/") && !strings.Contains(path, "unit_register") {
				(*into)[name] = append((*into)[name], ordinaryLines(t, filepath.Base(path), text)...)
			}
		}
	}
	for name := range want {
		slices.Sort(want[name])
		slices.Sort(got[name])
		assert.Equal(t, want[name], got[name], name)
	}
	assert.Len(t, got, len(want))
}

func names(files map[string][]byte) (out []string) {
	for name := range files {
		out = append(out, name)
	}
	return out
}

// withoutPlaces are the planted faults without the file and the line where each stands.
func withoutPlaces(text []byte) []string {
	lines := strings.Split(string(text), "\n")
	place := regexp.MustCompile(`,[^,]*\.(csv|xlsx),\d+,`)
	for i := range lines {
		lines[i] = place.ReplaceAllString(lines[i], ",")
	}
	return lines
}

// ordinaryLines are the lines of an export that hold a record.
func ordinaryLines(t *testing.T, name string, text []byte) (out []string) {
	lines := physicalLines(t, name, text)
	for i, line := range lines {
		book := strings.HasSuffix(name, ".xlsx") && i < 3
		total := strings.HasPrefix(line, "Total readings") || strings.HasPrefix(line, "Nombre de fiches")
		if line != "" && line != lines[0] && !book && !total {
			out = append(out, line)
		}
	}
	return out
}
