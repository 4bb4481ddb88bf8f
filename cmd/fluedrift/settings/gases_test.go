package settings

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A composition gives its CO2max; one that limits gives goes before it. Methane
// with 20 % hydrogen by the atom balance: 0.8 mol CO2 beside the nitrogen of
// (0.8 x 2 + 0.2 x 0.5) mol O2 of air at 20.9 %.
func TestGasesOfTheConfiguration(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	write := func(text string) (*Config, error) {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return Read(path)
	}
	c, err := write("[gases.\"blend\"]\nmethane = 80\nhydrogen = 20\n[gases.biogas]\nmethane = 60\n\"carbon dioxide\" = 40\n")
	require.NoError(t, err)
	gases, fuels, err := c.Burnable()
	require.NoError(t, err)
	require.Len(t, gases["blend"].Parts, 2)
	require.InDelta(t, 100*0.8/(0.8+1.7*79.1/20.9), fuels["blend"].CO2MaxPercent, 1e-9)
	require.InDelta(t, 100*1/(1+1.2*79.1/20.9), fuels["biogas"].CO2MaxPercent, 1e-9)
	require.InDelta(t, 11.8, fuels["natural gas"].CO2MaxPercent, 1e-9)

	c, err = write("[limits]\nco2max_percent = {blend = 11.2}\n[gases.blend]\nmethane = 80\nhydrogen = 20\n")
	require.NoError(t, err)
	_, fuels, err = c.Burnable()
	require.NoError(t, err)
	require.InDelta(t, 11.2, fuels["blend"].CO2MaxPercent, 1e-9)

	for text, want := range map[string]string{
		"[gases.\"town gas\"]\nmethane = 80\nwater = 20\n": ":3: ",
		"[gases.blend]\nmethane = -1\n":                    ":2: ",
		"\n[gases.blend]\nnitrogen = 100\n":                ":2: ",
	} {
		_, err = write(text)
		require.ErrorContains(t, err, want)
		require.Equal(t, Usage, ConditionOf(err))
	}
	var help bytes.Buffer
	WriteKeys(&help)
	require.Contains(t, help.String(), `[gases."name"]`)
}
