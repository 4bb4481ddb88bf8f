package companies_test

import (
	"archive/zip"
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"fluedrift/datasets/companies"
	"fluedrift/model/day"
)

// first are the companies of seed 1, made once for all tests.
var first = sync.OnceValues(func() ([]companies.Company, error) { return companies.All(1) })

func all(t *testing.T) []companies.Company {
	t.Helper()
	both, err := first()
	require.NoError(t, err)
	return both
}

// FLUEDRIFT_COMPANIES names a folder to which the exports are written, for a person to
// look at.
func TestExportsAreWrittenForAPerson(t *testing.T) {
	dir := os.Getenv("FLUEDRIFT_COMPANIES")
	if dir == "" {
		t.Skip("FLUEDRIFT_COMPANIES is not set")
	}
	for _, c := range all(t) {
		for _, f := range c.Files {
			path := filepath.Join(dir, c.Name, filepath.FromSlash(f.Name))
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, f.Data, 0o644))
		}
	}
}

// The same seed gives the same bytes, another seed others.
func TestCompaniesAreOfTheirSeed(t *testing.T) {
	first := all(t)
	again, err := companies.All(1)
	require.NoError(t, err)
	other, err := companies.All(2)
	require.NoError(t, err)
	for i, c := range first {
		require.Len(t, again[i].Files, len(c.Files))
		for j, f := range c.Files {
			require.True(t, bytes.Equal(f.Data, again[i].Files[j].Data), f.Name)
			require.False(t, bytes.Equal(f.Data, other[i].Files[j].Data), f.Name)
		}
		// Readings that are not written are NaN, which is unequal to itself.
		require.Len(t, again[i].Truth.Readings, len(c.Truth.Readings))
	}
}

// Both companies are of the size that the package says, their records complete but for
// what people get wrong.
func TestCompaniesAreOfTheirSize(t *testing.T) {
	for _, c := range all(t) {
		t.Run(c.Name, func(t *testing.T) {
			require.Len(t, c.Truth.Boilers, 150)
			useful, lines, bytesIn := map[string]bool{}, 0, 0
			for _, f := range c.Files {
				bytesIn += len(f.Data)
				if f.Record != "" {
					lines += f.Lines
				}
				for _, u := range f.Useful {
					useful[f.Record+" "+strings.Join(u.Header, "/")] = true
				}
			}
			require.GreaterOrEqual(t, len(useful), 40)
			require.Less(t, bytesIn, 2<<20)
			known := map[string]companies.Boiler{}
			for _, b := range c.Truth.Boilers {
				require.NotContains(t, known, b.ID)
				known[b.ID] = b
			}
			faults, days := map[companies.Fault]int{}, map[day.Day]bool{}
			for _, r := range c.Truth.Readings {
				b, ok := known[r.ID]
				require.True(t, ok, r.ID)
				require.True(t, b.Removed == day.None || r.Day < b.Removed+3, "%s was removed %s, read %s", r.ID, b.Removed, r.Day)
				require.False(t, math.IsNaN(r.CO2))
				faults[r.Fault]++
				days[r.Day] = true
			}
			require.Greater(t, len(days), 400)
			require.Greater(t, faults[companies.Misspelt], 30)
			for _, f := range []companies.Fault{companies.Doubled, companies.Corrected, companies.OtherUnit} {
				require.NotZero(t, faults[f], f)
			}
			t.Logf("%d useful columns, %d lines, %d readings, faults %v", len(useful), lines, len(c.Truth.Readings), faults)
		})
	}
}

// The branch writes as it is said to: a reader of workbooks, and one of the register's
// encoding, find what the truth says where it says so.
func TestBranchWritesWhatIsTrue(t *testing.T) {
	c := all(t)[0]
	for _, f := range c.Files {
		if !strings.HasSuffix(f.Name, ".xlsx") {
			text, err := charmap.Windows1252.NewDecoder().String(string(f.Data))
			require.NoError(t, err)
			require.Equal(t, f.Lines+2, len(strings.Split(text, "\r\n")))
			continue
		}
		_, err := zip.NewReader(bytes.NewReader(f.Data), int64(len(f.Data)))
		require.NoError(t, err)
		book, err := excelize.OpenReader(bytes.NewReader(f.Data))
		require.NoError(t, err)
		rows := map[string][][]string{}
		for _, r := range c.Truth.Readings {
			if r.File != f.Name || r.Fault != "" {
				continue
			}
			if rows[r.Sheet] == nil {
				rows[r.Sheet], err = book.GetRows(r.Sheet)
				require.NoError(t, err)
			}
			require.Contains(t, rows[r.Sheet][r.Row-1], r.ID)
		}
	}
}
