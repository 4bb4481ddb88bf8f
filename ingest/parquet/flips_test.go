package parquet

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
	"fluedrift/queries"
)

// visits is a Parquet file of invented visits as the engine writes it: compressed,
// pages without checksums, least and greatest values and missing ones in its end.
func visits(t *testing.T, rows int) []byte {
	t.Helper()
	schema := arrow.NewSchema([]arrow.Field{
		{Name: "Visit", Type: arrow.PrimitiveTypes.Int32},
		{Name: "Serial", Type: arrow.BinaryTypes.String},
		{Name: "Date", Type: arrow.FixedWidthTypes.Date32},
		{Name: "Fire", Type: arrow.BinaryTypes.String},
		{Name: "CO2", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
		{Name: "CO", Type: arrow.PrimitiveTypes.Int32, Nullable: true},
	}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	defer b.Release()
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range rows {
		b.Field(0).(*array.Int32Builder).Append(int32(41000 + 7*i))
		b.Field(1).(*array.StringBuilder).Append(fmt.Sprintf("BX-%04d", rng.IntN(40)))
		b.Field(2).(*array.Date32Builder).Append(arrow.Date32(18000 + 3*i))
		b.Field(3).(*array.StringBuilder).Append([]string{"high", "low"}[i%2])
		b.Field(4).(*array.Float64Builder).Append(float64(80+rng.IntN(20)) / 10)
		if i%5 == 0 {
			b.Field(5).AppendNull()
		} else {
			b.Field(5).(*array.Int32Builder).Append(int32(rng.IntN(120)))
		}
	}
	rec := b.NewRecord()
	defer rec.Release()
	w, err := queries.NewParquetWriter(context.Background())
	require.NoError(t, err)
	defer w.Close()
	file, err := w.File(context.Background(), rec)
	require.NoError(t, err)
	return file
}

// column is what the end of a file says of one.
type column struct {
	missing       int
	least, most   float64 // of numbers
	first, behind string  // of texts
	unordered     bool    // a number is none: the engine writes no bounds then
}

func columnsOf(rows []string) []column {
	names := strings.Split(rows[0], "\t")
	all := make([]column, len(names))
	for i := range all {
		all[i].least, all[i].most, all[i].first = math.Inf(1), math.Inf(-1), "\xff"
	}
	for _, row := range rows[1:] {
		for i, cell := range strings.Split(row, "\t") {
			c := &all[i]
			v, err := strconv.ParseFloat(cell, 64)
			switch {
			case cell == "":
				c.missing++
			case err != nil || names[i] == "Serial":
				c.first, c.behind = min(c.first, cell), max(c.behind, cell)
			case math.IsNaN(v):
				c.unordered = true
			default:
				c.least, c.most = min(c.least, v), max(c.most, v)
			}
		}
	}
	return all
}

// sameEnds reports columns of which the same is said: of texts, that they lie between.
func sameEnds(sound, read []column) bool {
	for i, s := range sound {
		r := read[i]
		numbers := s.unordered || s.least == r.least && s.most == r.most
		if s.missing != r.missing || !numbers || r.first < s.first || r.behind > s.behind {
			return false
		}
	}
	return true
}

// TestFlippedBits flips bits one at a time in files without checksums. Where a page is
// hit, what the end of the file says as well is right in every file that is read: as
// many rows, as many missing values in each column, the same least and greatest. A
// value that is another one between them cannot be seen, nor can an end that says
// itself what the columns are: those files are counted.
func TestFlippedBits(t *testing.T) {
	tests, err := os.ReadFile("../testdata/tests.parquet")
	require.NoError(t, err)
	step := 797
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		step = 7
	}
	flips, refused, wrong := 0, 0, 0
	for name, whole := range map[string][]byte{"visits": visits(t, 40), "tests": tests} {
		sound, err := all(t, whole)
		require.NoError(t, err)
		end := len(whole) - 8 - int(binary.LittleEndian.Uint32(whole[len(whole)-8:]))
		for bit := 0; bit < 8*len(whole); bit += step {
			bad := bytes.Clone(whole)
			bad[bit/8] ^= 1 << (bit % 8)
			rows, err := all(t, bad)
			flips++
			switch {
			case err != nil:
				refused++
			case !slices.Equal(rows, sound):
				wrong++
				if bit/8 >= end {
					break
				}
				require.Len(t, rows, len(sound), "%s: bit %d", name, bit)
				require.True(t, sameEnds(columnsOf(sound), columnsOf(rows)), "%s: bit %d: %q", name, bit, rows)
			}
		}
	}
	t.Logf("of %d files with a flipped bit %d are refused and %d read with another value", flips, refused, wrong)
	kept := measured.Of(t, "spoilt-files")
	kept.Count("one bit flipped in Parquet files without checksums", "refused", refused, flips, "")
	kept.Count("one bit flipped in Parquet files without checksums", "read, a value another one", wrong, flips, "")
}
