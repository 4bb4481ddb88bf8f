package ingest

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// platesLayout is a register whose boilers have a plate beside their serial.
const platesLayout = `
name = "plates"
record = "units"
source = "mill"
[match]
names = ["units*.csv"]
[[column]]
header = "serial"
field = "serial"
[[column]]
header = "line"
field = "model_line"
[[column]]
header = "plate"
field = "second_id"
[[column]]
header = "gone"
field = "removed"
`

// gasLayout is of readings that say which boiler by either.
const gasLayout = `
name = "gas"
record = "readings"
form = "long"
source = "mill"
[match]
names = ["gas*.csv"]
[constants]
fire = "high"
condition = "as found"
[[column]]
header = "boiler"
field = "serial"
[[column]]
header = "day"
field = "day"
[[column]]
header = "co2"
field = "co2"
`

// bySecondID gives the units with their states, marks and CO2, and the lines that wait.
func bySecondID(t *testing.T, files map[string]string) (units, waiting []string) {
	t.Helper()
	ctx := context.Background()
	all := map[string]string{"plates.toml": platesLayout, "gas.toml": gasLayout}
	maps.Copy(all, files)
	_, w := build(t, folder(t, all), mustDay(t, "2024-06-01"))
	slice, err := w.Slices(ctx, "")
	require.NoError(t, err)
	co2 := map[int32][]string{}
	for _, s := range slice {
		of := map[int32]int32{}
		for v, err := range w.Visits(ctx, s) {
			require.NoError(t, err)
			of[v.Key] = v.UnitKey
		}
		for r, err := range w.Readings(ctx, s) {
			require.NoError(t, err)
			co2[of[r.VisitKey]] = append(co2[of[r.VisitKey]], fmt.Sprint(r.CO2Percent))
		}
	}
	found, err := w.Units(ctx, "")
	require.NoError(t, err)
	for _, u := range found {
		slices.Sort(co2[u.Key])
		units = append(units, strings.Join(strings.Fields(fmt.Sprint(u.Serial, " ", u.State, " ", strings.Join(co2[u.Key], " "), " ", u.Marks)),
			" "))
	}
	aside, err := w.SetAside(ctx)
	require.NoError(t, err)
	for _, a := range aside {
		waiting = append(waiting, fmt.Sprintf("%s:%d %s %s", a.File, a.Line, a.Reason, a.Message))
	}
	return units, waiting
}

// Readings name a boiler by its plate: they are its own. A serial goes before another
// boiler's plate, a plate of two boilers names neither, and the register's day of removal
// holds from that day on.
func TestSecondIDs(t *testing.T) {
	units, waiting := bySecondID(t, map[string]string{
		"units.csv": asLines("serial,line,plate,gone", "BX-1,L 40,P-1,", "BX-2,L 40,P-2,2024-05-31", "BX-3,L 40,P-9,2024-06-02", "BX-4,L 40,P-9,",
			"BX-5,L 40,BX-1,"),
		"gas.csv": asLines("boiler,day,co2", "P-1,2024-01-05,9.1", "BX-1,2024-02-05,9.2", "P-2,2024-02-06,9.3", "P-9,2024-02-07,9.4",
			"P-7,2024-02-08,9.5"),
	})
	assert.Equal(t, []string{
		"BX-1 9.1 9.2 serial:second-id", "BX-2 removed 9.3 serial:second-id",
		"BX-3", "BX-4", "BX-5", "P-7 9.5 not-in-register",
	}, units)
	assert.Equal(t, []string{
		"gas.csv:5 second-id-of-several units.csv:4 and units.csv:5", "gas.csv:6 not-in-register ",
		"units.csv:4 second-id-shared BX-3 and BX-4", "units.csv:5 second-id-shared BX-3 and BX-4", "units.csv:6 second-id-unused ",
	}, waiting)
}

// Whatever order lines and files come in, the same boilers have the same readings.
func TestOrderOfSecondIDs(t *testing.T) {
	register := []string{"BX-1,L 40,P-1,", "BX-2,L 40,P-2,2024-05-31", "BX-3,L 40,P-9,", "BX-4,L 40,P-9,", "BX-5,L 40,BX-1,"}
	gas := []string{"P-1,2024-01-05,9.1", "BX-1,2024-02-05,9.2", "p-2,2024-02-06,9.3", "P-9,2024-02-07,9.4", "P-2,2024-03-06,9.6"}
	var want []string
	tries := 2
	if long() {
		tries = 200
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range tries {
		rnd.Shuffle(len(register), func(i, j int) { register[i], register[j] = register[j], register[i] })
		rnd.Shuffle(len(gas), func(i, j int) { gas[i], gas[j] = gas[j], gas[i] })
		cut := rnd.IntN(len(register) + 1)
		header := []string{"serial,line,plate,gone"}
		units, waiting := bySecondID(t, map[string]string{
			"units_1.csv": asLines(slices.Concat(header, register[:cut])...), "units_2.csv": asLines(slices.Concat(header, register[cut:])...),
			"gas.csv": asLines(slices.Concat([]string{"boiler,day,co2"}, gas)...),
		})
		if want == nil {
			want = units
		}
		assert.Equal(t, want, units)
		assert.Len(t, waiting, 5)
	}
}
