package ingest

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// zipped compresses with the standard library's RFC 1952 writer.
func zipped(t *testing.T, text string) string {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	_, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.String()
}

func testdata(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	require.NoError(t, err)
	return string(b)
}

// parquetKeys declare a way of writing that no typed column follows.
var parquetKeys = fileKeys{"type": `"parquet"`, "decimal": `","`, "thousands": `"."`, "dates": `"dd.mm.yyyy"`}

// TestParquet: typed columns are read as what they are, whatever way of writing
// the layout declares for texts.
func TestParquet(t *testing.T) {
	layout := strings.Replace(readingsLayout(parquetKeys), "tests*.csv", "tests*.parquet", 1)
	for _, c := range []struct {
		name    string
		columns []string
		want    []string
		message string
	}{
		{
			"tests.parquet",
			[]string{"co2_percent", "co2_decimals", "co_ppm", "co_decimals", "flue_temp_c", "flue_decimals", "air_temp_c", "marks"},
			[]string{
				"2 read co2_percent=9.1 co2_decimals=1 co_ppm=17 co_decimals=0 flue_temp_c=181.5 flue_decimals=2 air_temp_c=-4",
				"3 read co_ppm=0 co_decimals=0 flue_temp_c=181 flue_decimals=2 air_temp_c=19.25 marks=co2:missing",
				"4 read co_ppm=17 co_decimals=0 flue_temp_c=181.5 flue_decimals=2 air_temp_c=19 marks=co2:unreadable cell not-finite",
				"5 read co2_percent=9 flue_temp_c=181.5 flue_decimals=2 air_temp_c=19 marks=co:unreadable cell out-of-physical-range",
				"6 aside identifier-damaged",
			},
			"",
		},
		{"tests_numbers.parquet", nil, []string{"2 aside identifier-damaged"}, ""},
		{"tests_stamps.parquet", []string{"minute"}, []string{"2 read minute=450"}, ""},
		{"tests_no_rows.parquet", nil, nil, "a header and no rows"},
		{"tests_other.parquet", nil, []string{"refused missing-column"}, `not in the header: "CO2"`},
		{"tests_nested.parquet", []string{"co2_percent"}, []string{"2 read co2_percent=9.1"}, `columns the layout does not declare: "List"`},
	} {
		bytes := testdata(t, c.name)
		r, w := readInto(t, folder(t, map[string]string{c.name: bytes, c.name + ".gz": zipped(t, bytes), "tests.toml": layout}))
		for _, f := range r.Files {
			assert.Equal(t, c.want, fate(f, w, "record.readings", c.columns...), "%s: %s", f.Name, f.Message)
			assert.Equal(t, c.message, f.Message, f.Name)
		}
	}
	whole := testdata(t, "tests.parquet")
	broken := []byte(whole)
	copy(broken[len(broken)-600:], strings.Repeat("#", 500))
	for text, want := range map[string]string{
		whole[:len(whole)-9]: "incomplete incomplete-file", "PAR1": "incomplete incomplete-file", "Visit,Serial\n": "refused not-a-text-file",
		string(broken): "refused not-a-text-file", zipped(t, whole): "refused not-a-text-file",
	} {
		r, w := readInto(t, folder(t, map[string]string{"tests.parquet": text, "tests.toml": layout}))
		assert.Equal(t, []string{want}, fate(r.Files[0], w, ""), "%.20q: %s", text, r.Files[0].Message)
	}
}

// TestCompressed: a text and a workbook read the same compressed; what is cut,
// damaged or not compressed says so.
func TestCompressed(t *testing.T) {
	text := readingsFile(goodRow, goodRowWith("high", "low"))
	packed := zipped(t, text)
	damaged := []byte(packed)
	damaged[len(damaged)-6] ^= 1 // in the checksum
	for _, c := range []struct{ name, text, want string }{
		{"tests.csv.gz", packed, "read"},
		{"tests.csv.GZ", packed, "read"},
		{"tests.csv.gz", packed + zipped(t, goodRow+"\n"), "read"}, // two members, one after the other
		{"tests.csv.gz", zipped(t, "\xef\xbb\xbf"+text), "read"},
		{"tests.csv.gz", packed[:len(packed)-4], "incomplete incomplete-file"},
		{"tests.csv.gz", packed[:5], "incomplete incomplete-file"},
		{"tests.csv.gz", zipped(t, text[:len(text)-1]), "incomplete incomplete-file"},
		{"tests.csv.gz", zipped(t, ""), "refused empty-file"},
		{"tests.csv.gz", "", "refused empty-file"},
		{"tests.csv.gz", string(damaged), "refused not-a-text-file"},
		{"tests.csv.gz", packed + strings.Repeat("rest", 9), "refused not-a-text-file"},
		{"tests.csv.gz", text, "refused not-a-text-file"},
		{"tests.csv.gz", zipped(t, packed), "refused not-a-text-file"},
		{"tests.csv", packed, "refused not-a-text-file"},
		{"tests.csv", testdata(t, "tests.parquet"), "refused not-a-text-file"},
		{"tests.csv.zip", packed, "skipped not-a-text-file"},
	} {
		r, _ := readInto(t, folder(t, map[string]string{c.name: c.text, "tests.toml": readingsLayout(nil)}))
		f := r.Files[0]
		assert.Equal(t, c.want, strings.TrimSpace(f.Outcome+" "+f.Reason), "%s %.20q: %s", c.name, c.text, f.Message)
		if f.Outcome == WasRead {
			assert.GreaterOrEqual(t, f.Parsed, int64(2))
			assert.Equal(t, int64(len(c.text)), f.Bytes)
		}
	}
}
