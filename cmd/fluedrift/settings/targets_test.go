package settings

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// A target at a fire that no reading has is refused where it is written.
func TestTargetsNeedAFireOfReadings(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	for fire, ok := range map[string]bool{"high": true, "low": true, "single": true, "point": true, "hihg": false, "both": false} {
		text := "[[targets]]\nline = \"Brindlow 65\"\nfuel = \"natural gas\"\nfire = \"" + fire + "\"\nco2 = 9.0\n"
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		_, err := Read(path)
		if ok {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, "\""+fire+"\" is neither high, low, single nor point")
	}
}
