package settings

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A key that has moved is refused with its line and the name it has now, which is one.
func TestMovedKeysNameTheNewOnes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	for was, now := range movedKeys {
		require.NoError(t, os.WriteFile(path, []byte("# a comment\n"+was+" = 1\n"), 0o600))
		_, err := Read(path)
		require.Error(t, err, was)
		assert.Contains(t, err.Error(), path+":2: \""+was+"\" is \""+now+"\" now")
		value := "1"
		if strings.Contains(now, "by_group") || strings.Contains(now, "group_words") {
			value = "{}"
		}
		require.NoError(t, os.WriteFile(path, []byte(now+" = "+value+"\n"), 0o600))
		_, err = Read(path)
		require.NoError(t, err, now)
	}
}

// A key that is gone is refused with its line and why.
func TestGoneKeysSayWhy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	for was, why := range goneKeys {
		require.NoError(t, os.WriteFile(path, []byte("# a comment\n"+was+" = 1\n"), 0o600))
		_, err := Read(path)
		require.ErrorContains(t, err, path+":2: \""+was+"\" is gone: "+why, was)
	}
}

// How a visit is counted is bounded: days from one to a year, weights that weigh
// something.
func TestVisitsAreBounded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	for _, text := range []string{
		"plan.unseen_days = 0", "plan.unseen_days = 367", "plan.rich_weight = -1", "plan.lean_weight = nan",
		"[plan]\nrich_weight = 0\nlean_weight = 0",
	} {
		require.NoError(t, os.WriteFile(path, []byte(text+"\n"), 0o600))
		_, err := Read(path)
		require.ErrorContains(t, err, "plan", text)
	}
}
