package settings

import (
	"bytes"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every key has a meaning, and every meaning is of a key or a section.
func TestEveryKeyHasAMeaning(t *testing.T) {
	var text bytes.Buffer
	WriteKeys(&text)
	known := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^\[*([a-z0-9_.]+)`).FindAllStringSubmatch(text.String(), -1) {
		known[strings.TrimSuffix(m[1], ".")] = true
		if section, _, ok := bytes.Cut([]byte(m[1]), []byte(".")); ok {
			known[string(section)] = true
		}
	}
	for key := range known {
		sectionAlone := !bytes.ContainsRune([]byte(key), '.')
		require.True(t, sectionAlone || meanings[key] != "", "help.go has no meaning of %s", key)
	}
	for _, key := range slices.Sorted(maps.Keys(meanings)) {
		require.True(t, known[key], "help.go: %s is no key", key)
	}
}
