package ids_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/ids"
	"fluedrift/model/day"
)

func rules(t require.TestingT, shapes []string, aliases ...ids.Alias) *ids.Rules {
	r, err := ids.NewRules(shapes, aliases)
	require.NoError(t, err)
	return r
}

func TestShapesForgiveLetterCaseSeparatorsAndZeros(t *testing.T) {
	for _, c := range []struct{ shape, text, want string }{
		{"B-0000", "B-0102", "B-0102"},
		{"B-0000", "B0102", "B-0102"},
		{"B-0000", "b-102", "B-0102"},
		{"B-0000", " B 102 ", "B-0102"},
		{"B-0000", "B.0102", "B-0102"},
		{"B-0000", "B–0102", "B-0102"}, // an en dash
		{"B-0000", "B-000102", "B-0102"},
		{"B-0000", "Ｂ０１０２", "B-0102"}, // full width
		{"B-0000", "B-0", "B-0000"},
		{"A-00", "A04", "A-04"},
		{"00 000", "01002", "01 002"},
		{"00 000", "1-2", "01 002"},
		{"00-00-00", "010203", "01-02-03"},
		{"00-00-00", "0102-3", "01-02-03"},
		{"SN#", "sn 00710", "SN710"},
		{"??-000", "qz7", "QZ-007"},
		{"70000", "70012", "70012"},
		{`\0-00`, "0-7", "0-07"},
		{`B\#00`, "b#7", "B#07"},
	} {
		id, _ := rules(t, []string{c.shape}).Resolve(c.text)
		require.Equal(t, c.want, id, "%q in %q", c.text, c.shape)
	}
}

func TestWhatDoesNotFitAShapeStaysAsWritten(t *testing.T) {
	for _, c := range []struct{ shape, text string }{
		{"B-0000", "B-10102"},  // more digits than the shape has
		{"B-0000", "C-0102"},   // another letter
		{"B-0000", "B-01-02"},  // separated where the shape is not
		{"B-0000", "B-0102/2"}, // more behind it
		{"B-0000", "B-0102?"},  // somebody was not sure
		{"B-0000", "B-"},
		{"B-0000", "0102"},
		{"B-0000", "BO102"},
		{"B-0000", "B-٠١٠٢"}, // digits of another script
		{"00 000", "0102"},
		{"70000", "712"},
	} {
		id, how := rules(t, []string{c.shape}).Resolve(c.text)
		require.Equal(t, c.text, id, "%q in %q", c.text, c.shape)
		require.Equal(t, ids.AsWritten, how)
	}
}

func TestShapesThatSayNothingAreRefused(t *testing.T) {
	for shape, want := range map[string]string{
		"":                       "no place for a digit",
		"B-":                     "no place for a digit",
		"#0":                     "nothing tells where # ends",
		"#7":                     "nothing tells where # ends",
		`B\`:                     "nothing behind it",
		"B\x01" + "0":            "not shown",
		strings.Repeat("0", 100): "longer than",
	} {
		_, err := ids.NewRules([]string{shape}, nil)
		require.ErrorContains(t, err, want, shape)
	}
}

func TestAliasesGoBeforeShapes(t *testing.T) {
	r := rules(t, []string{"B-0000", "P-000"}, ids.Alias{"B0102", "B-0103", "a:2"}, ids.Alias{"P-007", "b 9", "a:3"})
	for text, want := range map[string]string{
		"B0102": "B-0103", "B-0102": "B-0102", "b0102": "B-0103", "b102": "B-0102", "p7": "B-0009",
		"P-007": "B-0009",
	} {
		id, _ := r.Resolve(text)
		require.Equal(t, want, id, text)
	}
	_, how := r.Resolve("p7")
	require.Equal(t, ids.ByAlias, how)
}

func TestChainsAndContradictionsOfAliasesAreRefused(t *testing.T) {
	aliases := func(text string) error {
		all, err := ids.Aliases("serials.csv", []byte(text))
		if err != nil {
			return err
		}
		_, err = ids.NewRules([]string{"B-0000"}, all)
		return err
	}
	require.ErrorContains(t, aliases("written,id\nx,B-0001\nx,B-0002\n"), "serials.csv:2 and serials.csv:3")
	require.ErrorContains(t, aliases("written,id\nx,y\ny,B-0002\n"), "serials.csv:2 and serials.csv:3")
	require.ErrorContains(t, aliases("written,id\nx,\n"), "serials.csv:2: written and id are both needed")
	require.ErrorContains(t, aliases("alt,neu\nx,y\n"), `serials.csv:1: the header has no column "written"`)
	require.ErrorContains(t, aliases(""), "no header")
	require.ErrorContains(t, aliases("written,id\n\"x,y\n"), "serials.csv")
	require.ErrorContains(t, aliases("written,id\n\xff,y\n"), "UTF-8")
	require.NoError(t, aliases("\ufeffWritten;ID;remark\r\nx;B-0001;said by the office\r\nx;b1;\r\n;;\r\nB-0001;B-0001;\r\n"))
}

func TestWhoUsedWhichAnalyzer(t *testing.T) {
	who := func(text string) (*ids.Users, error) {
		return ids.ReadUsers("who.csv", []byte(text), rules(t, []string{"A-00"}))
	}
	u, err := who("technician,from,to,analyzer\nT1,,2020-06-30,a4\nT1,2020-07-01,,A-05\nT2,2021-01-01,2021-01-01,A-04\n")
	require.NoError(t, err)
	on := func(text string) day.Day { d, err := day.Parse(text); require.NoError(t, err); return d }
	require.Equal(t, "A-04", u.Analyzer("T1", on("2020-06-30")))
	require.Equal(t, "A-05", u.Analyzer("T1", on("2020-07-01")))
	require.Equal(t, "A-04", u.Analyzer("T2", on("2021-01-01")))
	require.Empty(t, u.Analyzer("T2", on("2021-01-02")))
	require.Empty(t, u.Analyzer("T3", on("2021-01-02")))
	require.Equal(t, "A-04", u.As(strings.ToLower).Analyzer("t2", on("2021-01-01")))

	_, err = who("technician,from,to,analyzer\nT1,2020-01-01,2020-06-30,A-04\nT1,2020-06-30,,A-05\n")
	require.ErrorContains(t, err, "who.csv:2 and who.csv:3: the technician has two analyzers on 2020-06-30")
	_, err = who("technician,analyzer\nT1,A-04\nT1,A-05\n")
	require.ErrorContains(t, err, "who.csv:2 and who.csv:3")
	_, err = who("technician,from,to,analyzer\nT1,1.7.2020,,A-04\n")
	require.ErrorContains(t, err, `who.csv:2: "1.7.2020" is no day written yyyy-mm-dd`)
	_, err = who("technician,from,to,analyzer\nT1,2020-07-02,2020-07-01,A-04\n")
	require.ErrorContains(t, err, "who.csv:2: from 2020-07-02 is after to 2020-07-01")
	_, err = who("technician,from,to,analyzer\n,2020-07-02,,A-04\n")
	require.ErrorContains(t, err, "who.csv:2: technician and analyzer are both needed")
}

func TestCompareNamesTheSlip(t *testing.T) {
	is := func(all ...ids.Difference) []ids.Difference { return all }
	for _, c := range []struct {
		written, id string
		want        []ids.Difference
	}{
		{"B0102", "B-0102", is(ids.Separator)},
		{"B 0102", "B-0102", is(ids.Separator)},
		{"B-102", "B-0102", is(ids.Padding)},
		{"b-0102", "B-0102", is(ids.LetterCase)},
		{"b102", "B-0102", is(ids.Separator, ids.Padding, ids.LetterCase)},
		{"B-O102", "B-0102", is(ids.LookAlike)},
		{"B-0I02", "B-0102", is(ids.LookAlike)},
		{"B-0103", "B-0102", is(ids.OneDigit)},
		{"B-0120", "B-0102", is(ids.Swapped)},
		{"B-0112", "B-0021", nil},
		{"C-0102", "B-0102", nil},
		{"1-23", "12-3", nil},
		{"B-0102", "B-0102", nil},
	} {
		require.Equal(t, c.want, ids.Compare(c.written, c.id), "%s and %s", c.written, c.id)
	}
}

func TestShapesOfIDs(t *testing.T) {
	for _, c := range []struct {
		ids  string
		want []string
	}{
		{"B-0102 B-0103 B-0400", []string{"B-0000"}},
		{"B-1 B-2 B-400", []string{"B-#"}},
		{"N01 N02 S-001 S-002", []string{"N00", "S-000"}},
		{"AA-01 BB-02 CC-03 DD-04 EE-05 FF-06", []string{"??-00"}},
		{"B-01 B-002", nil}, // zeros that mean nothing in common
		{"B-01 C-02", []string{"?-00"}},
		{"north south", nil},
		{strings.Repeat("B-0102 B-0103 ", 20) + "spare", []string{"B-0000"}},
		{strings.Repeat("B-0102 B-0103 ", 20) + "b104", nil}, // which is no id of its own under the shape
		{`B#01 B#02`, []string{`B\#00`}},
	} {
		require.Equal(t, c.want, ids.ShapesOf(strings.Fields(c.ids)), c.ids)
	}
}

// Where the ids of a register have no shape in common, those that some of them have will
// do, unless another id would change.
func TestShapesForSomeIDs(t *testing.T) {
	for _, c := range []struct {
		ids, some string
		want      []string
	}{
		{"B-0102 B-0103 mill hall roof", "B-0102", []string{"B-0000"}},
		{"B-0102 B-0103 mill hall roof", "mill", nil},
		{"B-0102 B-0103 mill hall B104", "B-0102", nil},
		{"B-0102 B-0103 S/1 S/2", "", nil},
		{"B-0102 C-0103 mill hall", "B-0102", []string{"?-0000"}},
	} {
		require.Equal(t, c.want, ids.ShapesFor(strings.Fields(c.ids), strings.Fields(c.some)), c.ids)
	}
}

// Whatever is declared, an id that has been resolved is resolved.
func TestResolvingTwiceChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var shapes []string
		for range rapid.IntRange(0, 3).Draw(t, "n") {
			s := rapid.StringMatching(`[BCx7#?0\- ./]{1,6}`).Draw(t, "shape")
			if _, err := ids.NewRules([]string{s}, nil); err == nil {
				shapes = append(shapes, s)
			}
		}
		text := rapid.OneOf(rapid.StringMatching(`[BbCcXx0-9\- ./]{1,8}`), rapid.String())
		var aliases []ids.Alias
		for range rapid.IntRange(0, 3).Draw(t, "aliases") {
			aliases = append(aliases, ids.Alias{text.Draw(t, "written"), text.Draw(t, "id"), "a:1"})
		}
		r, err := ids.NewRules(shapes, aliases)
		if err != nil {
			return
		}
		once, _ := r.Resolve(text.Draw(t, "text"))
		twice, how := r.Resolve(once)
		require.Equal(t, once, twice)
		require.Equal(t, ids.AsWritten, how)
	})
}

// An id that is written with other letters, separators and zeros is still the id.
func TestShapesUndoSlipsOfWriting(t *testing.T) {
	r := rules(t, []string{"B-0000"})
	rapid.Check(t, func(t *rapid.T) {
		id := "B-" + rapid.StringMatching(`[0-9]{4}`).Draw(t, "number")
		written := strings.ReplaceAll(id, "-", rapid.SampledFrom([]string{"", "-", " ", ".", "/", "_", "--"}).Draw(t, "separator"))
		if rapid.Bool().Draw(t, "short") {
			head := strings.TrimRight(written, "0123456789")
			written = head + strings.TrimLeft(strings.TrimPrefix(written, head), "0")
			if written == head {
				written += "0"
			}
		}
		if rapid.Bool().Draw(t, "lower") {
			written = strings.ToLower(written)
		}
		got, _ := r.Resolve(written)
		require.Equal(t, id, got, written)
	})
}

// Shapes found in ids leave the ids as they are.
func TestShapesOfIDsLeaveThemAsTheyAre(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(rapid.StringMatching(`[A-C]{0,2}[\-/ ]?[0-9]{1,4}(-[0-9]{2})?`), 1, 8).Draw(t, "ids")
		shapes := ids.ShapesOf(all)
		if shapes == nil {
			return
		}
		r := rules(t, shapes)
		for _, id := range all {
			got, how := r.Resolve(id)
			require.Equal(t, strings.TrimSpace(id), got)
			require.Equal(t, ids.AsWritten, how)
		}
	})
}

func FuzzShape(f *testing.F) {
	f.Add("B-0000", "b0102")
	f.Add("##", "12")
	f.Add("?-#", "x 7")
	f.Fuzz(func(t *testing.T, shape, text string) {
		r, err := ids.NewRules([]string{shape}, nil)
		if err != nil {
			return
		}
		once, _ := r.Resolve(text)
		twice, how := r.Resolve(once)
		require.Equal(t, once, twice)
		require.Equal(t, ids.AsWritten, how)
	})
}

func FuzzTables(f *testing.F) {
	f.Add("written,id\nx,y\n")
	f.Add("technician;analyzer;from\nT;A;2020-01-01\n")
	f.Fuzz(func(t *testing.T, text string) {
		ids.Aliases("a.csv", []byte(text))
		ids.ReadUsers("b.csv", []byte(text), nil)
	})
}
