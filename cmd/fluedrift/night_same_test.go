//go:build linux

package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// surroundings are what must not show in a list.
type surroundings struct {
	cores      int
	zone, lang string
	umask      string
	order      uint64 // in which the exports are written into the folder
}

// combinations are all pairs of two such settings and some more: 1, or 16.
func combinations() (all []surroundings) {
	zones := []string{"UTC", "Pacific/Kiritimati", "America/St_Johns", "Pacific/Pago_Pago"}
	langs := []string{"C", "de_DE.UTF-8", "tr_TR.UTF-8", "ja_JP.UTF-8"}
	umasks := []string{"022", "077", "000", "027"}
	for i := range 16 {
		all = append(all, surroundings{1 + i%4, zones[(i+i/4)%4], langs[(2*i+i/4)%4], umasks[(3*i+i/4)%4], uint64(i)})
	}
	if !long() {
		return all[6:7]
	}
	return all
}

// Lists are the same bytes whatever the cores, the time zone, the language, the
// order of the files in the folder and the umask.
func TestSameBytesInAnySurroundings(t *testing.T) {
	t.Parallel()
	files, err := thirty()
	require.NoError(t, err)
	names := slices.Sorted(maps.Keys(files))
	self, err := exec.LookPath("fluedrift")
	require.NoError(t, err)
	for _, s := range combinations() {
		dir := fastDir(t)
		for _, at := range rand.New(rand.NewPCG(s.order, 1)).Perm(len(names)) {
			path := filepath.Join(dir, names[at])
			require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
			require.NoError(t, os.WriteFile(path, files[names[at]], 0o644))
			then := time.Now().Add(-time.Duration(at) * time.Hour)
			require.NoError(t, os.Chtimes(path, then, then))
		}
		c := exec.Command("sh", "-c", fmt.Sprintf(`umask %s; exec "$0" nightly -config "$1"`, s.umask), self,
			filepath.Join(dir, "fluedrift.toml"))
		c.Env = append(slices.DeleteFunc(os.Environ(), func(e string) bool { return strings.HasPrefix(e, "LC_") }),
			fmt.Sprintf("GOMAXPROCS=%d", s.cores), "TZ="+s.zone, "LANG="+s.lang, "LC_ALL="+s.lang)
		nightProcess(t, 0, c)
		privateModes(t, dir, 0o600, 0o700)
		samePublished(t, reference(t).files, publishedFiles(t, dir), fmt.Sprint(s))
	}
}
