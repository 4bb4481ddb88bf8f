package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
)

// By what vents are compared follows from the exports: by their loss where the
// model lines' export names the fan of at least half of the units, else by length.
// run.json says which, and its coefficients are named after it.
func TestVentMeasureFollowsTheExports(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	all := demo.Default()
	all.Fans, all.VentByFan = demo.FansOfAll, true
	for _, c := range []struct {
		world              demo.World
		note, name, absent string
	}{
		{all, "vents are compared by loss as a share of the fan's pressure: of ", "vent loss, ", "vent, "},
		{demo.Default(), "vents are compared by length as a share of the longest run: of ", "vent, ", "vent loss, "},
	} {
		dir := afterNight(t, demoNight)
		if c.world.VentByFan {
			_, dir = writeFleet(t, suite(24, 60), c.world)
			runNight(t, filepath.Join(dir, "fluedrift.toml"))
		}
		text, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
		require.NoError(t, err)
		var record struct {
			Notes []string `json:"fleet_notes"`
			Fits  []struct {
				Coefficients []struct {
					Name string `json:"name"`
				} `json:"coefficients"`
			} `json:"fits"`
		}
		require.NoError(t, json.Unmarshal(text, &record))
		require.True(t, slices.ContainsFunc(record.Notes, func(n string) bool { return strings.HasPrefix(n, c.note) }), record.Notes)
		require.NotEmpty(t, record.Fits)
		named := 0
		for _, f := range record.Fits {
			for _, x := range f.Coefficients {
				require.False(t, strings.HasPrefix(x.Name, c.absent), x.Name)
				if strings.HasPrefix(x.Name, c.name) {
					named++
				}
			}
		}
		require.Positive(t, named)
	}
}
