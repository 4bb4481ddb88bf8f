package estimate_test

import (
	"bufio"
	"flag"
	"fmt"
	"hash/fnv"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/worlds"
)

var update = flag.Bool("update", false, "make the kept predictions of gradient boosting anew (needs python3 with scikit-learn)")

// keptBoosting holds what gradient boosting made of each fleet of the long suite, a
// fleet a line: world, seed, digest of the cases, and the place of each unit as a
// letter, from '!' for the last ninetieth to 'z' for the first.
const keptBoosting = "testdata/boosting.txt"

const letters = 90

// features are a case's, for gradient boosting.
func (p *past) features(expected float64) []float64 {
	return []float64{
		p.years, p.last, p.slope, p.far, p.outside, p.found, p.vent, p.noVent, p.age, p.air, p.low, p.fixed, p.linked,
		expected, p.last + p.slope*p.years,
	}
}

// boostingCases are the cases of a fleet as tables.
func (o *foreign) boostingCases(t testing.TB) (learn, today string, units []int) {
	t.Helper()
	past, now := o.pasts()
	beta, _ := regressions(t, past)
	var a, b strings.Builder
	row := func(to *strings.Builder, values []float64) {
		for i, v := range values {
			if i > 0 {
				to.WriteByte(',')
			}
			to.WriteString(strconv.FormatFloat(v, 'f', 4, 64))
		}
		to.WriteByte('\n')
	}
	for i := range past {
		p := &past[i]
		row(&a, append([]float64{outsideOf(p.next)}, p.features(dot(beta, p.moved())+p.last)...))
	}
	for i := range now {
		p := &now[i]
		row(&b, p.features(dot(beta, p.moved())+p.last))
		units = append(units, p.unit)
	}
	return a.String(), b.String(), units
}

func digestOf(texts ...string) string {
	h := fnv.New64a()
	for _, s := range texts {
		_, _ = h.Write([]byte(s))
	}
	return fmt.Sprintf("%016x", h.Sum64())
}

// boostingOf gives the places of a fleet's units by gradient boosting as kept.
func boostingOf(t testing.TB, world string, seed uint64, o *foreign) []float64 {
	t.Helper()
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		return nil
	}
	learn, today, _ := o.boostingCases(t)
	f, err := os.Open(keptBoosting)
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	for s := bufio.NewScanner(f); s.Scan(); {
		name, rest, _ := strings.Cut(s.Text(), "\t")
		part := strings.SplitN(rest, "\t", 3)
		if len(part) == 3 && name == sameRecords(world) && part[0] == strconv.FormatUint(seed, 10) {
			require.Equal(t, digestOf(learn, today), part[1],
				"%s, seed %d: the world has changed; make the predictions anew (-run KeepBoosting -update)", world, seed)
			require.Len(t, part[2], len(o.histories))
			out := make([]float64, len(o.histories))
			for i := range out {
				out[i] = float64(part[2][i])
			}
			return out
		}
	}
	t.Fatalf("%s, seed %d: no kept prediction; make them (-run KeepBoosting -update)", world, seed)
	return nil
}

// sameRecords names the world whose records a world shares: no rule reads certificates.
func sameRecords(world string) string { return strings.TrimSuffix(world, ", certificates") }

// withLearners finds a Python that has scikit-learn.
func withLearners() string {
	for _, python := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(python, "-c", "import sklearn").Run() == nil {
			return python
		}
	}
	return ""
}

// learn runs a script of a learner on a folder; one thread, so that it always says the same.
func learn(t testing.TB, python, script, dir string) {
	t.Helper()
	run := exec.Command(python, script, dir)
	run.Env = append(os.Environ(), "OMP_NUM_THREADS=1")
	said, err := run.CombinedOutput()
	require.NoError(t, err, string(said))
}

// TestKeepBoosting makes the kept predictions of the long suite's fleets, with
// -update and where scikit-learn is installed (tried: 1.2.1 of Debian 12).
func TestKeepBoosting(t *testing.T) {
	if !*update || os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("makes testdata/boosting.txt: FLUEDRIFT_LONG=1 and -update")
	}
	python := withLearners()
	if python == "" {
		t.Skip("needs python3 with scikit-learn (Debian: python3-sklearn)")
	}
	var kept strings.Builder
	for _, w := range unmodelled {
		if sameRecords(w.name) != w.name {
			continue
		}
		dir := t.TempDir()
		digests, units := map[uint64]string{}, map[uint64][]int{}
		at := func(seed uint64, kind string) string {
			return filepath.Join(dir, fmt.Sprintf("%02d.%s.csv", seed, kind))
		}
		for seed := uint64(1); seed <= longFleets; seed++ {
			learn, today, of := recordsOnly(w.invent(worlds.Options{Units: longUnits, Seed: seed})).boostingCases(t)
			require.NoError(t, os.WriteFile(at(seed, "learn"), []byte(learn), 0o600))
			require.NoError(t, os.WriteFile(at(seed, "today"), []byte(today), 0o600))
			digests[seed], units[seed] = digestOf(learn, today), of
		}
		learn(t, python, "testdata/boosting.py", dir)
		for seed := uint64(1); seed <= longFleets; seed++ {
			text, err := os.ReadFile(at(seed, "answer"))
			require.NoError(t, err)
			fmt.Fprintf(&kept, "%s\t%d\t%s\t%s\n", w.name, seed, digests[seed], placesOf(t, strings.Fields(string(text)), units[seed]))
		}
	}
	require.NoError(t, os.WriteFile(keptBoosting, []byte(kept.String()), 0o600))
}

// recordsOnly is a fleet that is not estimated.
func recordsOnly(f *worlds.Fleet) *foreign {
	o := &foreign{fleet: f}
	for i := range f.Histories {
		o.histories = append(o.histories, &f.Histories[i])
	}
	return o
}

// placesOf writes the places of units by the larger chance of their fires.
func placesOf(t testing.TB, answers []string, units []int) string {
	t.Helper()
	require.Len(t, answers, len(units))
	chance := make([]float64, longUnits)
	for k, text := range answers {
		p, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		chance[units[k]] = max(chance[units[k]], p)
	}
	sorted := slices.Sorted(slices.Values(chance))
	out := make([]byte, len(chance))
	for i, p := range chance {
		out[i] = byte('!' + sort.SearchFloat64s(sorted, p)*letters/len(chance))
	}
	return string(out)
}
