package layout

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/quantity"
)

// example is the layout of a worked example.
func example(t *testing.T, form string) string {
	t.Helper()
	for _, e := range Examples() {
		if e.Form == form {
			return e.Layout
		}
	}
	t.Fatalf("no example of %q", form)
	return ""
}

// TestExamples: each record has a worked example, readings one of each form.
func TestExamples(t *testing.T) {
	shown := map[string]bool{}
	for _, e := range Examples() {
		l, err := Parse(e.Form+".toml", e.Layout)
		require.NoError(t, err)
		shown[l.Record], shown[l.Form] = true, true
	}
	for _, record := range append(Records(), Long, Wide) {
		assert.True(t, shown[record], record)
	}
	wide, err := Parse("wide.toml", example(t, Wide))
	require.NoError(t, err)
	assert.Equal(t, []Group{{"high", "as found"}, {"high", "as left"}}, wide.Groups())
}

// TestKeys: the table of keys has each key that a layout is read by, and no other.
func TestKeys(t *testing.T) {
	var read, listed []string
	for table, of := range map[string]reflect.Type{
		"": reflect.TypeFor[Layout](), "match": reflect.TypeFor[Match](), "export_day": reflect.TypeFor[ExportDay](),
		"file": reflect.TypeFor[File](), "step": reflect.TypeFor[Step](), "column": reflect.TypeFor[Column](),
	} {
		for field := range of.Fields() {
			if key := field.Tag.Get("toml"); key != "-" && key != "" && (table != "" || !isTable(key)) {
				read = append(read, table+"."+key)
			}
		}
	}
	for _, k := range Keys() {
		assert.NotEmpty(t, k.What, k.Name)
		if k.Table != "constants" {
			listed = append(listed, k.Table+"."+k.Name)
		}
	}
	assert.ElementsMatch(t, read, listed)
}

func isTable(key string) bool {
	return slices.Contains([]string{"match", "export_day", "file", "constants", "step", "column"}, key)
}

// TestMeanings: each field says what it is.
func TestMeanings(t *testing.T) {
	n := 0
	for _, record := range Records() {
		for _, f := range Fields(record) {
			assert.NotEmpty(t, f.Meaning(), "%s.%s", record, f.Name)
			n++
		}
	}
	assert.Len(t, meanings, n, "a field that is gone is described")
}

// TestFaultsOfLayouts: one edit of a good layout, and the line and words the
// error has to name.
func TestFaultsOfLayouts(t *testing.T) {
	good := example(t, Long)
	for _, c := range []struct{ old, new, want string }{
		{`header = "Serial"`, `heder = "Serial"`, `x.toml:17: unknown key "column.heder"`},
		{`dates = "mm/dd/yyyy"`, `date = "mm/dd/yyyy"`, `x.toml:11: unknown key "file.date"`},
		{`source = "north"`, `sorce = "north"`, `x.toml:4: unknown key "sorce"`},
		{`[match]`, `[mach]`, `x.toml:5: unknown key "mach`},
		{`missing = ["--"]`, `missing = ["--"`, `x.toml:1`},
		{`record = "readings"`, `record = "reading"`, `x.toml:2: record "reading" is not one of`},
		{`form = "long"`, `form = "tall"`, `x.toml:3: form "tall"`},
		{`source = "north"`, ``, `needs a source`},
		{`names = ["north_*.csv"]`, `names = ["north_[.csv"]`, `x.toml:6: name pattern`},
		{`names = ["north_*.csv"]`, ``, `names or columns`},
		{`pattern = "yyyy-mm-dd"`, `pattern = "yyyy-mm"`, `x.toml:9: pattern "yyyy-mm": write year, month and day`},
		{`from = "name"`, `from = "inside"`, `x.toml:8: from "inside"`},
		{`from = "name"`, `from = "column"`, `needs the column's header`},
		{`dates = "mm/dd/yyyy"`, `dates = "mm/dd/yy"`, `century`},
		{`dates = "mm/dd/yyyy"`, `delimiter = ",\r"`, `x.toml:11: delimiter`},
		{`dates = "mm/dd/yyyy"`, `delimiter = "123456789"`, `x.toml:11: delimiter "123456789" is not one to eight`},
		{`dates = "mm/dd/yyyy"`, `header = [1, 3]`, `name lines that follow each other`},
		{`dates = "mm/dd/yyyy"`, `header = "top"`, `write the number of a line`},
		{`dates = "mm/dd/yyyy"`, `header = 0`, `needs its position, from 1`},
		{`header = "Serial"`, "header = \"Serial\"\nposition = 2", `position is for files without a header`},
		{`header = "Serial"`, `header = ["Serial", "Visit"]`, `declared twice`},
		{`header = "Serial"`, `header = ["Serial", ""]`, `needs the header it has in the file`},
		{`dates = "mm/dd/yyyy"`, `encoding = "ascii"`, `x.toml:11: encoding "ascii"`},
		{`dates = "mm/dd/yyyy"`, `thousands = "."`, `x.toml:11: thousands mark`},
		{`dates = "mm/dd/yyyy"`, `decimal = "1"`, `x.toml:11: decimal mark`},
		{`dates = "mm/dd/yyyy"`, `footer = ["(Total"]`, `x.toml:11: footer`},
		{`dates = "mm/dd/yyyy"`, `header = -1`, `x.toml:11: header -1`},
		{`dates = "mm/dd/yyyy"`, `last_line = "cut"`, `x.toml:11: last_line`},
		{`dates = "mm/dd/yyyy"`, "type = \"xlsx\"\nsheet = 0", `x.toml:12: sheet 0`},
		{`dates = "mm/dd/yyyy"`, "type = \"xlsx\"\nsheet = [\"a\", 0]", `x.toml:12: sheet 0`},
		{`dates = "mm/dd/yyyy"`, "type = \"xlsx\"\nsheet = []", `x.toml:12: a list of sheets needs a sheet`},
		{`dates = "mm/dd/yyyy"`, "type = \"xlsx\"\nsheet = \"20[*\"", `x.toml:12: sheet "20[*" is no pattern`},
		{`dates = "mm/dd/yyyy"`, `sheet = 1`, `x.toml:11: sheet has no use in a file of type "csv"`},
		{`dates = "mm/dd/yyyy"`, "type = \"xlsx\"\ndelimiter = \",\"", `x.toml:12: delimiter has no use in a file of type "xlsx"`},
		{`dates = "mm/dd/yyyy"`, "dates = \"mm/dd/yy\"\ncentury = 70", `x.toml:12: century 70`},
		{`dates = "mm/dd/yyyy"`, `century = 1970`, `x.toml:11: century is for years of two digits`},
		{`dates = "mm/dd/yyyy"`, `footer = [""]`, `x.toml:11: footer "" would fit every line`},
		{`names = ["north_*.csv"]`, `names = ["2024/north_*.csv"]`, `x.toml:6: name pattern "2024/north_*.csv": patterns are for the name alone`},
		{`from = "name"`, `from = "unknown"`, `x.toml:9: pattern is for from = "name"`},
		{`dates = "mm/dd/yyyy"`, `type = "ods"`, `x.toml:11: type "ods"`},
		{`dates = "mm/dd/yyyy"`, `quote = ","`, `x.toml:11: quote`},
		{`dates = "mm/dd/yyyy"`, `escape = "\\\\"`, `x.toml:11: escape`},
		{`dates = "mm/dd/yyyy"`, `escape = ","`, `x.toml:11: escape`},
		{`dates = "mm/dd/yyyy"`, `escape = "\""`, `x.toml:11: escape`},
		{`field = "co2"`, `field = "co3"`, `x.toml:30: column "CO2 %": record readings has no field "co3"`},
		{`field = "co2"`, `field = "co2"` + "\nfire = \"high\"", `for the wide form`},
		{`field = "co2"`, `ignore = true`, `a column for co2 or for o2`},
		{`field = "co2"`, `carry = "x"`, `for the unit register only`},
		{`field = "co2"`, `field = "co2"` + "\nignore = true", `one of field, carry or ignore`},
		{`field = "co2"`, `field = "co2"` + "\nbasis = \"air-free\"", `for CO`},
		{`field = "co2"`, `field = "co2"` + "\ncodes = { \"a\" = \"b\" }", `takes no codes`},
		{`field = "serial"`, `field = "serial"` + "\nunit = \"m\"", `has no unit of measure`},
		{`field = "serial"`, `field = "technician"`, `needs the field "serial"`},
		{`field = "serial"`, `field = "visit_id"`, `field "visit_id" twice`},
		{`header = "Serial"`, `header = "Visit"`, `declared twice`},
		{`unit = "degF"`, ``, `x.toml:37: column "Flue F": field "flue_temp" needs its unit of measure`},
		{`unit = "degF"`, `unit = "F"`, `ambiguous`},
		{`unit = "degF"`, `unit = "psi"`, `cannot be measured in "psi"`},
		{`unit = "degF"`, `unit = "MBtu"`, `ambiguous`},
		{`basis = "as measured"`, `basis = "dry"`, `basis "dry"`},
		{`basis = "as measured"`, `basis = "reference"`, `belong together`},
		{`basis = "as measured"`, `reference_o2 = 3`, `belong together`},
		{`basis = "as measured"`, "basis = \"as measured\"\nunit = \"mg/kWh\"", `write basis = "air-free"`},
		{`"Hi" = "high"`, `"Hi" = "full"`, `means "full"`},
		{`"Hi" = "high"`, `"Hi" = "high", "hi " = "low"`, `means both`},
		{`basis = "as measured"`, `gas = "wet"`, `CO of wet gas cannot be read`},
		{`field = "co2"`, "field = \"co2\"\ngas = \"wet\"", `x.toml:30: column "CO2 %": a share of wet gas needs wet_fuel`},
		{`field = "co2"`, "field = \"co2\"\ngas = \"wet\"\nwet_fuel = \"coal\"", `write one of butane, natural gas, propane`},
		{`field = "co2"`, "field = \"co2\"\ngas = \"moist\"", `gas "moist": write dry or wet`},
		{`field = "co2"`, "field = \"co2\"\nwet_fuel = \"propane\"", `gas and wet_fuel are for`},
		{`dates = "mm/dd/yyyy"`, `skip = ["("]`, `x.toml:11: skip "("`},
		{`dates = "mm/dd/yyyy"`, `skip_lines = [1]`, `x.toml:11: skip_lines 1: name lines below the header`},
		{`dates = "mm/dd/yyyy"`, "type = \"parquet\"\nheader = 2", `x.toml:12: header 2: a file of type`},
		{
			`[[column]]`, "[constants]\nreason = \"annual\"\nfire = \"high\"\n[[column]]",
			`x.toml:15: constant "fire": column "Fire" gives the field too`,
		},
		{`[[column]]`, "[constants]\nreason = \"yearly\"\n[[column]]", `x.toml:14: constant "reason": unknown-code`},
		{`[[column]]`, "[constants]\no2 = \"5,1\"\n[[column]]", `x.toml:14: constant "o2": unreadable-number`},
		{`[[column]]`, "[constants]\nair_temp = \"900\"\n[[column]]", `x.toml:14: constant "air_temp": 900 degC is outside`},
		{`[[column]]`, "[constants]\narea = \"mill\"\n[[column]]", `x.toml:14: constant`},
	} {
		require.Contains(t, good, c.old)
		_, err := Parse("x.toml", strings.Replace(good, c.old, c.new, 1))
		if assert.Error(t, err, c.new) {
			assert.Contains(t, err.Error(), c.want, c.new)
		}
	}
}

func TestFaultsOfWideLayouts(t *testing.T) {
	good := example(t, Wide)
	for _, c := range []struct{ old, new, want string }{
		{"condition = \"as found\"", "condition = \"found\"", `condition "found"`},
		{"condition = \"as found\"", "", "x.toml:17: column \"CO2 high before\": it has no condition\nadd condition = \"as found\""},
		{"fire = \"high\"\ncondition = \"as left\"", "condition = \"as left\"", "column \"CO2 high after\": it has no fire\nadd fire = \"high\""},
		{
			"[[column]]\nheader = \"CO2 high after\"",
			"[[column]]\nheader = \"CO high\"\nfield = \"co\"\nfire = \"high\"\n[[column]]\nheader = \"CO after\"\n" +
				"field = \"co\"\nfire = \"high\"\ncondition = \"as left\"\n[[column]]\nheader = \"CO2 high after\"",
			"x.toml:22: column \"CO high\": it has no condition, and column \"CO after\" gives the co of the reading at high fire as left too\n" +
				"add the condition it was read at",
		},
		{
			"[[column]]\nheader = \"CO2 high after\"",
			"[[column]]\nheader = \"CO low\"\nfield = \"co\"\nfire = \"low\"\n[[column]]\nheader = \"CO2 high after\"",
			"column \"CO low\": no co2 or o2 column has fire \"low\"\n" +
				"the readings of this layout are high fire as found, high fire as left: add the co2 or o2",
		},
		{"fire = \"high\"", "fire = \"full\"", `fire "full"`},
		{"condition = \"as found\"", "condition = \"as left\"", `means the same as`},
		{"field = \"day\"", "field = \"day\"\nfire = \"high\"", `belongs to the visit`},
	} {
		_, err := Parse("x.toml", strings.Replace(good, c.old, c.new, 1))
		if assert.Error(t, err, c.new) {
			assert.Contains(t, err.Error(), c.want)
		}
	}
}

func TestLoad(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "lay[o]uts")
	_, err := Load(dir)
	assert.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.Mkdir(dir, 0o755))
	_, err = Load(dir)
	assert.ErrorContains(t, err, "holds no *.toml")
	text := example(t, Long)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "a.toml"), []byte(text), 0o644))
	all, err := Load(dir)
	require.NoError(t, err)
	assert.Len(t, all, 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "b.toml"), []byte(text), 0o644))
	_, err = Load(dir)
	assert.ErrorContains(t, err, "is taken by")
}

// TestCodes: our own words are known, but for those declared in another way.
func TestCodes(t *testing.T) {
	l, err := Parse("x.toml", example(t, Long))
	require.NoError(t, err)
	for _, c := range l.Columns {
		switch c.Field {
		case "condition":
			assert.Equal(t, map[string]string{"af": "as found", "al": "as left", "between": "between"}, c.Words)
		case "fire":
			assert.Equal(t, map[string]string{"hi": "high", "lo": "low", "middle": "middle", "single": "single", "point": "point"}, c.Words)
		}
	}
}

// TestFieldTable: every field has a column, a reader, and a unit that its kind
// of quantity knows; bounds hold their own middle; names and columns are
// unique in a record.
func TestFieldTable(t *testing.T) {
	for _, record := range Records() {
		names, columns := map[string]bool{}, map[string]bool{}
		require.NotEmpty(t, Fields(record))
		for _, f := range Fields(record) {
			label := record + " " + f.Name
			assert.False(t, names[f.Name] || columns[f.Column], label)
			names[f.Name], columns[f.Column] = true, true
			assert.NotEmpty(t, f.Column, label)
			assert.NotEmpty(t, f.Readers, label)
			assert.NotEmpty(t, f.Place, label)
			assert.Equal(t, record, f.Record)
			assert.Equal(t, f.Kind == Code, len(f.Words) > 0, label)
			if f.Kind == Measured || f.Kind == CO {
				assert.NotEqual(t, quantity.None, f.Quantity, label)
				assert.Equal(t, f.Quantity, f.Unit().Kind, label)
				assert.Less(t, f.Low, f.High, label)
				assert.NoError(t, f.InBounds((f.Low+f.High)/2, f.Unit()), label)
				assert.Error(t, f.InBounds(f.High*1.001+0.01, f.Unit()), label)
				assert.Error(t, f.InBounds(f.Low-0.01-f.High*0.001, f.Unit()), label)
			}
		}
		if f, ok := FieldOf(record, "serial"); ok {
			assert.True(t, f.Required && f.Kind == ID)
		}
	}
	_, ok := FieldOf(Readings, "none")
	assert.False(t, ok)
}

// A list of serials is a register of units where something describes the boiler:
// model line, input or install day.
func TestARegisterDescribesItsUnits(t *testing.T) {
	text := "name = \"u\"\nrecord = \"units\"\nsource = \"s\"\n[match]\nnames = [\"u.csv\"]\n[[column]]\nheader = \"A\"\n" +
		"field = \"serial\"\n[[column]]\nheader = \"B\"\nfield = %q\n"
	for _, field := range []string{"model_line", "installed"} {
		_, err := Parse("u.toml", fmt.Sprintf(text, field))
		require.NoError(t, err)
	}
	_, err := Parse("u.toml", fmt.Sprintf(text, "site"))
	require.ErrorContains(t, err, "u.toml:2: a register of units needs one of model_line, input, installed")
}

// A value that cannot be is told in the unit of its column, as the file has it.
func TestBoundsAreToldInTheUnitOfTheColumn(t *testing.T) {
	f, ok := FieldOf(Readings, "flue_temp")
	require.True(t, ok)
	degF := quantity.MustLookup("degF")
	require.EqualError(t, f.InBounds(degF.ToCanonical(2000), degF), "2000 degF is outside -58 to 1472")
	require.EqualError(t, f.InBounds(900, f.Unit()), "900 degC is outside -50 to 800")
	f, ok = FieldOf(Readings, "co")
	require.True(t, ok)
	require.ErrorContains(t, f.InBounds(60000, quantity.MustLookup("%")), "6 % is outside 0 to 5")
}
