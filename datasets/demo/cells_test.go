package demo_test

import (
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// cellsOf reads one line of an export by itself: header to cell.
func cellsOf(t *testing.T, name, head, text string) map[string]string {
	t.Helper()
	if strings.HasSuffix(name, ".xlsx") {
		return zip(strings.Split(head, ";"), strings.Split(text, ";"))
	}
	read := func(s string) []string {
		r := csv.NewReader(strings.NewReader(s))
		if strings.HasPrefix(name, "releves") {
			r.Comma = ';'
		}
		cells, err := r.Read()
		require.NoError(t, err, s)
		return cells
	}
	return zip(read(head), read(text))
}

func zip(keys, values []string) map[string]string {
	out := map[string]string{}
	for i, v := range values {
		out[keys[i]] = v
	}
	return out
}

// celsius is a temperature as written in degF: C = (F - 32)/1.8, NIST SP 811.
func celsius(f float64) float64 { return (f - 32) / 1.8 }

// slotOf is how a row a visit names a reading's fire and condition.
func slotOf(name string, r judge.Reading) string {
	words := map[string]string{
		"high": "grand feu ", "low": "petit feu ", "single": "feu unique ", string(judge.AsFound): "avant",
		string(judge.AsLeft): "après",
	}
	if strings.HasPrefix(name, "west") {
		words = map[string]string{
			"high": "high, ", "low": "low, ", "single": "one fire, ", string(judge.AsFound): "before",
			string(judge.AsLeft): "after",
		}
	}
	return words[string(r.Fire)] + words[string(r.Condition)]
}

// The other measures of every reading, read cell by cell from the files with
// nothing but their headers, are those of the histories in SI.
func TestMeasuresAreTheCells(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 150})
	files := written(t, f)
	lines := map[string][]string{}
	for _, h := range f.Histories() {
		for _, r := range h.Readings {
			name, n := origin(t, r.Origin)
			if lines[name] == nil {
				lines[name] = physicalLines(t, name, files["exports/"+name])
			}
			head := lines[name][0]
			if strings.HasPrefix(name, "west") {
				head = lines[name][2]
			}
			cell := cellsOf(t, name, head, lines[name][n-1])
			get := func(header string) float64 {
				if cell[header] == "61 C" || cell[header] == "142 F" {
					return math.NaN() // a cell that is set aside, not its line
				}
				x, err := strconv.ParseFloat(strings.TrimPrefix(strings.Replace(cell[header], ",", ".", 1), "<"), 64)
				require.NoError(t, err, "%s %q", r.Origin, header)
				return x
			}
			slot := slotOf(name, r)
			var co, flue, air float64
			switch {
			case strings.HasPrefix(name, "north"):
				co, flue, air = get("CO air-free ppm"), celsius(get("Flue F")), celsius(get("Burner air F"))
				assert.InDelta(t, get("Supply in WC")*demo.PaPerInWC, r.SupplyPa, 1e-9)
				assert.Equal(t, strings.HasPrefix(cell["CO air-free ppm"], "<"), r.COLimit == "below")
			case strings.HasPrefix(name, "releves"):
				co, flue, air = get("CO ppm "+slot), get("T fumées °C "+slot), get("T air °C "+slot)
			case strings.HasPrefix(name, "west"):
				co, flue, air = get("CO at 3 % O2 "+slot), get("Flue C "+slot), get("Air C "+slot)
			default:
				co, flue, air = get("CO ppm"), get("Flue degC"), get("Air degC")
			}
			for _, pair := range [][2]float64{{co, r.COPPM}, {flue, r.FlueTempC}, {air, r.AirTempC}} {
				assert.InDelta(t, pair[0], pair[1], 1e-9, r.Origin)
			}
		}
	}
}
