package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
)

// mixed reads lines of the example whose CO says its own basis.
func mixed(t *testing.T, rows ...string) (Result, fakeWarehouse) {
	t.Helper()
	e := exampleOf(t, "basis_of_cells")
	head, _, _ := strings.Cut(e.File, "\n")
	return readInto(t, folder(t, map[string]string{"x.toml": e.Layout, e.Named: head + "\n" + strings.Join(rows, "\n") + "\n"}))
}

// TestBasisOfCells: each cell of CO has the basis and the unit that the line says; where it
// says no basis, or one that nobody knows, CO is kept with an unknown one. 1 mg/kWh is 1/1.074
// ppm at no excess air (tables of units for natural gas, from memory).
func TestBasisOfCells(t *testing.T) {
	r, w := mixed(t, "7310,2024-03-25,high,as left,9.1,18 raw,ppm", "7310,2024-03-25,low,as left,8.6,0.0025 AF,%",
		"7311,2024-03-25,high,as left,9.1,40,ppm", "7312,2024-03-25,high,as left,9.1,107.4,mg", "7313,2024-03-25,high,as left,9.1,107.4 raw,mg")
	var got []string
	for _, x := range w["record.readings"] {
		got = append(got, x.show("co_basis"))
	}
	assert.Equal(t, []string{"co_basis=as measured", "co_basis=air-free", "co_basis=unknown", "co_basis=air-free", ""}, got)
	assert.InDelta(t, 25, numberOf(t, fmt.Sprint(w["record.readings"][1]["co_ppm"])), 1e-9)
	assert.InDelta(t, 100, numberOf(t, fmt.Sprint(w["record.readings"][3]["co_ppm"])), 0.1)
	assert.EqualValues(t, []int64{5, 1}, []int64{r.Files[0].Parsed, r.Files[0].CellsSetAside})
	aside := w["source.cells_set_aside"][0]
	assert.Equal(t, "line=6 column_name=CO reason=basis-contradicted", aside.show("line", "column_name", "reason"))
	assert.Contains(t, fmt.Sprint(aside["message"]), `CO in mg/kWh is free of air, and column "CO_basis" says "raw"; correct one of the two`)
	assert.Equal(t, "co_basis=air-free", w["source.unused_co"][0].show("co_basis"), "its CO is not lost")
	for _, c := range w["source.columns"] {
		if c["header"] == "CO_value" {
			assert.Equal(t, "air-free or as measured", c["basis"])
		}
	}
}

// TestBasisNotKnown: texts that basis_codes do not know are counted, and no CO is lost by them.
func TestBasisNotKnown(t *testing.T) {
	e := exampleOf(t, "basis_of_cells")
	r, w := readInto(t, folder(t, map[string]string{
		"x.toml": strings.Replace(e.Layout, "AF|raw", "[A-Za-z]+", 1), e.Named: strings.ReplaceAll(e.File, "raw", "odd"),
	}))
	assert.Equal(t, `basis_codes do not know "odd", and 1 cell of CO beside it have an unknown basis`, r.Files[0].Message)
	assert.Equal(t, "co_ppm=18 co_basis=unknown", w["record.readings"][0].show("co_ppm", "co_basis"))

	r, _ = readInto(t, folder(t, map[string]string{"x.toml": strings.Replace(e.Layout, "basis_from = \"CO_basis\"", "basis_from = \"Base\"",
		1), e.Named: e.File}))
	assert.Equal(t, Refused, r.Files[0].Outcome)
	assert.Contains(t, r.Files[0].Message, `not in the header: "Base", which says on which basis "CO_value" is`)
}

// TestFaultsOfBases: what a layout cannot say of bases, by line and with what to do.
func TestFaultsOfBases(t *testing.T) {
	text := exampleOf(t, "basis_of_cells").Layout
	for from, c := range map[string]struct{ to, want string }{
		"basis_codes =":                      {"unit_codes2 =", "unknown key"},
		"basis_from = \"CO_basis\"\n":        {"", "basis_from and basis_codes belong together"},
		"basis_from = \"CO_basis\"":          {"basis = \"air-free\"\nbasis_from = \"CO_basis\"", "take basis away"},
		"\"AF\" = \"air-free\"":              {"\"AF\" = \"dry\"", `basis code "AF" means "dry", which is not one of as measured, air-free`},
		"\"raw\" = \"as measured\"":          {"\"raw\" = \"reference\"", "basis reference and a reference_o2"},
		"basis_from = \"CO_basis\"\nbasis_c": {"basis_from = \"CO_value\"\nbasis_c", "cut its cells in two by a step separate"},
	} {
		_, err := layout.Parse("x.toml", strings.Replace(text, from, c.to, 1))
		require.ErrorContains(t, err, c.want)
		assert.ErrorContains(t, err, "x.toml:")
	}
}

// TestBasisChangesTheContent: a later export that corrects the basis of CO alone says
// something else; and in whatever order lines stand, each keeps its basis.
func TestBasisChangesTheContent(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		bases := rapid.SliceOfN(rapid.SampledFrom([]string{"AF", "raw", ""}), 1, 6).Draw(rt, "bases")
		var rows []string
		for i, b := range bases {
			rows = append(rows, fmt.Sprintf("%d,2024-03-25,high,as left,9.1,18 %s,ppm", 7310+i, b))
		}
		r, w := mixed(t, rapid.Permutation(rows).Draw(rt, "order")...)
		if f := r.Files[0]; f.Parsed != int64(len(rows)) || f.CellsSetAside != 0 {
			rt.Fatalf("%+v", f)
		}
		serials := map[string]string{}
		for _, v := range w["record.visits"] {
			serials[fmt.Sprint(v["visit_row"])] = fmt.Sprint(v["serial"])
		}
		want := map[string]string{"AF": "air-free", "raw": "as measured", "": "unknown"}
		for _, x := range w["record.readings"] {
			var i int
			fmt.Sscan(serials[fmt.Sprint(x["visit_row"])], &i)
			if x["co_basis"] != want[bases[i-7310]] {
				rt.Fatalf("%v: %v", bases, x)
			}
		}
	})
	contents := map[string]bool{}
	for _, b := range []string{"AF", "raw", ""} {
		_, w := mixed(t, "7310,2024-03-25,high,as left,9.1,18 "+b+",ppm")
		contents[fmt.Sprint(w["record.readings"][0]["content_hash"])] = true
	}
	assert.Len(t, contents, 3)
}
