package estimate_test

import (
	"bufio"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// keptAvoided holds the order that gradient boosting puts the units of each fleet in by
// what a visit avoids, a fleet a line: world, day, seed, digest of the truth, and the
// first fifth of its units in order, two letters a unit.
const keptAvoided = "testdata/avoided.txt"

// truthDigest tells whether a fleet and its truth are still those of a kept order.
func truthDigest(cases []visitCase) string {
	var b strings.Builder
	for i := range cases {
		fmt.Fprintf(&b, "%s %.1f\n", cases[i].serial, cases[i].truth.Key)
	}
	return digestOf(b.String())
}

func avoidedName(w *harmWorld, date day.Day, seed int) string {
	return fmt.Sprintf("%s\t%s\t%d", w.name, date, seed)
}

// boostedFirst are the first units of each fleet of a world as boosting has them, by
// their number; nil where the oracle is there to compare with.
func (w *harmWorld) boostedFirst(t testing.TB, fleets [][]visitCase, date day.Day) (first [][]int) {
	t.Helper()
	if w.learned {
		f, err := os.Open(keptAvoided)
		require.NoError(t, err)
		defer func() { _ = f.Close() }()
		kept := map[string][]string{}
		for s := bufio.NewScanner(f); s.Scan(); {
			if part := strings.Split(s.Text(), "\t"); len(part) == 5 {
				kept[strings.Join(part[:3], "\t")] = part[3:]
			}
		}
		for k, cases := range fleets {
			line := kept[avoidedName(w, date, k+1)]
			require.NotNil(t, line, "no kept order of %s on %s, fleet %d (-run KeepAvoided -update)", w.name, date, k+1)
			require.Equal(t, truthDigest(cases), line[0], "%s on %s, fleet %d has changed; make the order anew (-run KeepAvoided -update)", w.name,
				date, k+1)
			var at []int
			for i := 0; i+1 < len(line[1]); i += 2 {
				at = append(at, int(line[1][i]-'!')*letters+int(line[1][i+1]-'!'))
			}
			first = append(first, at)
		}
	}
	return first
}

// TestKeepAvoided makes the kept orders of the long suite's fleets, with -update and
// where scikit-learn is installed (tried: 1.2.1 of Debian 12).
func TestKeepAvoided(t *testing.T) {
	if !*update || os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("makes testdata/avoided.txt: FLUEDRIFT_LONG=1 and -update")
	}
	python := withLearners()
	if python == "" {
		t.Skip("needs python3 with scikit-learn (Debian: python3-sklearn)")
	}
	fleets, units, in, on, _ := harmRuns()
	var kept strings.Builder
	for k := range in {
		w := &in[k]
		for _, date := range on {
			if !w.learned {
				continue
			}
			dir, all := t.TempDir(), w.ofFleets(t, fleets, units, date)
			for k, cases := range all {
				require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%02d.csv", k+1)), []byte(learningTable(cases)), 0o600))
			}
			learn(t, python, "testdata/avoided.py", dir)
			for k, cases := range all {
				text, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("%02d.answer", k+1)))
				require.NoError(t, err)
				fmt.Fprintf(&kept, "%s\t%s\t%s\n", avoidedName(w, date, k+1), truthDigest(cases),
					firstFifth(t, strings.Fields(string(text)), len(cases)))
			}
		}
	}
	require.NoError(t, os.WriteFile(keptAvoided, []byte(kept.String()), 0o600))
}

// learningTable is a fleet's truth and what the list says of it, a unit a line.
func learningTable(cases []visitCase) string {
	var b strings.Builder
	for i := range cases {
		b.WriteString(strconv.FormatFloat(cases[i].truth.Key, 'f', 4, 64))
		for _, v := range cases[i].features {
			b.WriteString("," + strconv.FormatFloat(v, 'f', 4, 64))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// firstFifth writes the numbers of the units of which most is expected.
func firstFifth(t testing.TB, answers []string, units int) string {
	t.Helper()
	require.Len(t, answers, units)
	expected, order := make([]float64, units), make([]int, units)
	for i, text := range answers {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		expected[i], order[i] = v, i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(expected[b], expected[a]) })
	var out []byte
	for _, i := range order[:units/5] {
		out = append(out, byte('!'+i/letters), byte('!'+i%letters))
	}
	return string(out)
}
