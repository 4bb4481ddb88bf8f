package ingest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestConstantSerial: a file of one boiler may have its serial as a constant; with two
// readings of one fire and condition on a day its lines are those of several boilers.
func TestConstantSerial(t *testing.T) {
	l := strings.Replace(readingsLayout(nil), "[[column]]\nheader = \"Serial\"\nfield = \"serial\"\n", "", 1)
	l = strings.Replace(l, "[[column]]", "[constants]\nserial = \"A1\"\n[[column]]", 1)
	other := goodRowWith("2023-02-06", "2023-02-07")
	r, _ := readInto(t, folder(t, map[string]string{"tests.toml": l, "tests.csv": readingsFile(goodRow, other)}))
	assert.EqualValues(t, 2, r.Files[0].Parsed, "%v %s", r.Files[0].Reasons, r.Files[0].Message)
	r, _ = readInto(t, folder(t, map[string]string{"tests.toml": l, "tests.csv": readingsFile(goodRow, other, goodRow)}))
	assert.Equal(t, []string{Refused, "convention-contradicted"}, []string{r.Files[0].Outcome, r.Files[0].Reason})
	assert.Contains(t, r.Files[0].Message, "lines 2 and 4 are both the reading at high fire as found of 2023-02-06")
	assert.Contains(t, r.Files[0].Message, "field = \"serial\", and take the constant away")
	assert.Zero(t, r.Files[0].Readings)

	wide := "name = \"cards\"\nrecord = \"readings\"\nform = \"wide\"\nsource = \"mill\"\n[match]\nnames = [\"cards.csv\"]\n" +
		"[constants]\nserial = \"A1\"\n[[column]]\nheader = \"Day\"\nfield = \"day\"\n" +
		"[[column]]\nheader = \"CO2 high\"\nfield = \"co2\"\nfire = \"high\"\ncondition = \"as found\"\n"
	twice := asLines("Day,CO2 high", "2023-02-06,9.1", "2023-02-06,9.4")
	r, _ = readInto(t, folder(t, map[string]string{"cards.toml": wide, "cards.csv": twice}))
	assert.Equal(t, "convention-contradicted", r.Files[0].Reason)
}

// TestOneLayoutIsWrong: an inspection goes on without a layout that cannot be read, and
// says which files wait for it.
func TestOneLayoutIsWrong(t *testing.T) {
	wrong := strings.NewReplacer("\"tests\"", "\"other\"", "tests*.csv", "other*.csv", "\"serial\"", "\"serail\"").Replace(readingsLayout(nil))
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "wrong.toml": wrong,
		"tests.csv": readingsFile(goodRow), "other.csv": readingsFile(goodRow),
	})
	all, err := Inspect(context.Background(), nil, o, everything)
	require.NoError(t, err)
	require.Len(t, all, 2)
	assert.Equal(t, []string{Refused, "layout-wrong"}, []string{all[0].Outcome, all[0].Reason})
	assert.Contains(t, all[0].Message, "has no field \"serail\"")
	assert.Empty(t, all[0].Draft)
	assert.EqualValues(t, 1, all[1].Parsed)
	assert.Contains(t, all[1].Fits[1].Why, "wrong.toml:")
	_, err = read(context.Background(), &inspected{nil, examples{}, examples{}}, o)
	assert.ErrorContains(t, err, "has no field \"serail\"", "a night reads nothing before its layouts are right")
}

// TestNoLayouts: without a layouts folder, layouts beside the caller take no part.
func TestNoLayouts(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tests.csv"), []byte(readingsFile(goodRow)), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "draft.toml"), nil, 0o644))
	t.Chdir(dir)
	one, err := InspectFile(context.Background(), Options{}, "tests.csv")
	require.NoError(t, err)
	assert.NotEmpty(t, one.Draft)
}

// TestDaysInSeveralWays: a column may write days in several ways; a file whose days
// contradict their order is refused all the same.
func TestDaysInSeveralWays(t *testing.T) {
	l := readingsLayout(fileKeys{"dates": `["mm/dd/yyyy", "m/d/yy"]`, "century": "1970"})
	on := func(id, day string) string {
		return goodRowWith("A1", id, "2023-02-06", day)
	}
	r, _ := readInto(t, folder(t, map[string]string{"tests.toml": l, "tests.csv": readingsFile(on("A1", "02/16/2023"), on("A2", "2/7/23"))}))
	assert.EqualValues(t, 2, r.Files[0].Parsed, "%v %s", r.Files[0].Reasons, r.Files[0].Message)
	r, _ = readInto(t, folder(t, map[string]string{"tests.toml": l, "tests.csv": readingsFile(on("A1", "16/02/2023"), on("A2", "17/2/23"))}))
	assert.Equal(t, []string{Refused, "convention-contradicted"}, []string{r.Files[0].Outcome, r.Files[0].Reason})
	assert.Contains(t, r.Files[0].Message, "all are possible when written dd/mm/yyyy or d/m/yy")
}

// TestDraftsOfMixedDays: a draft reads a column whose days are written in several ways.
func TestDraftsOfMixedDays(t *testing.T) {
	o := folder(t, map[string]string{"cards.csv": asLines("Date,Boiler,Fire,Condition,CO2",
		"02/16/2023,K1,high,as found,9.1", "2/17/23,K2,high,as found,9.1", "18-Feb-2023,K3,high,as found,9.1",
		"02/19/2023,K4,high,as found,9.1")})
	one, err := InspectFile(context.Background(), o, filepath.Join(o.Folder, "cards.csv"))
	require.NoError(t, err)
	assert.Contains(t, one.Draft, `dates = ["mm/dd/yyyy", "d-mmm-yyyy", "m/d/yy"]`)
	assert.Contains(t, one.Draft, "century = 1970")
	require.NoError(t, os.MkdirAll(o.Layouts, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(o.Layouts, "draft.toml"), []byte(one.Draft), 0o644))
	r, _ := readInto(t, o)
	assert.EqualValues(t, 4, r.Files[0].Parsed, "%v", r.Files[0].Reasons)
}
