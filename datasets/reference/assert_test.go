package reference

import (
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// recorder is a test that only writes down its faults.
type recorder struct{ faults []string }

func (r *recorder) Helper() {}
func (r *recorder) Errorf(format string, args ...any) {
	r.faults = append(r.faults, fmt.Sprintf(format, args...))
}

// expected answers every quantity of a subject with what its rows want.
func expected(figures []Figure) map[string]func(Figure) float64 {
	computed := map[string]func(Figure) float64{}
	for _, f := range figures {
		computed[f.Quantity] = func(f Figure) float64 { return f.Expected }
	}
	return computed
}

// One fault for each row that is wrong, missing or not a number, one for each
// quantity nobody asks for, and none where all is well.
func TestAssertLeavesNoRowOut(t *testing.T) {
	figures, err := Figures("water")
	require.NoError(t, err)
	faults := func(change func(map[string]func(Figure) float64)) int {
		r, computed := &recorder{}, expected(figures)
		change(computed)
		Assert(r, "water", computed)
		return len(r.faults)
	}
	rows := 0
	for _, f := range figures {
		if f.Quantity == "dew point" {
			rows++
		}
	}
	require.Equal(t, 8, rows)
	require.Zero(t, faults(func(map[string]func(Figure) float64) {}))
	require.Equal(t, rows, faults(func(c map[string]func(Figure) float64) { delete(c, "dew point") }))
	require.Equal(t, rows, faults(func(c map[string]func(Figure) float64) {
		c["dew point"] = func(f Figure) float64 { return f.Expected + 1.01*f.Tolerance }
	}))
	require.Equal(t, rows, faults(func(c map[string]func(Figure) float64) {
		c["dew point"] = func(Figure) float64 { return math.NaN() }
	}))
	require.Equal(t, 1, faults(func(c map[string]func(Figure) float64) { c["unasked"] = c["dew point"] }))
	r := &recorder{}
	Assert(r, "no such subject", nil)
	require.Len(t, r.faults, 1)
}

// Assert leaves out no row of a subject, so every row is asserted when every
// subject is, by one test of the project and no more.
func TestEverySubjectIsAssertedOnce(t *testing.T) {
	call := regexp.MustCompile(`reference\.Assert\(t, "([a-z]+)"`)
	where := map[string][]string{}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") || filepath.Base(path) == "assert_test.go" {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range call.FindAllStringSubmatch(string(text), -1) {
			where[m[1]] = append(where[m[1]], path)
		}
		return err
	}))
	entries, err := files.ReadDir(".")
	require.NoError(t, err)
	for _, e := range entries {
		subject := strings.TrimSuffix(e.Name(), ".csv")
		require.Len(t, where[subject], 1, "figures on %q are asserted in %v", subject, where[subject])
	}
	require.Len(t, where, len(entries), "a test asserts a subject that has no file: %v", where)
}
