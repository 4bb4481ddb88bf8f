package measured

import (
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Figures collects what one test measured.
type Figures struct{ rows []Figure }

// Of collects the figures of a test for a subject's file. When the test ends well
// in the long suite with -update, they take the place of the rows it left there
// before, and README.md is made anew; otherwise nothing is written. The test must
// run in the folder of its package, as go test has it; subtests add to the
// figures of the test that called Of.
func Of(t testing.TB, subject string) *Figures {
	t.Helper()
	f := &Figures{}
	if os.Getenv("FLUEDRIFT_LONG") == "" || !updating() {
		return f
	}
	t.Cleanup(func() {
		if t.Failed() || t.Skipped() || len(f.rows) == 0 {
			t.Logf("datasets/measured/%s.csv stays as it is", subject)
			return
		}
		root, here, err := find()
		if err != nil {
			t.Error(err)
			return
		}
		origin := Row{Command: command(t.Name(), here), Commit: commit(root), Machine: machine()}
		if err := keep(filepath.Join(root, "datasets", "measured"), subject, origin, f.rows); err != nil {
			t.Error(err)
		}
	})
	return f
}

// Number adds a figure with some digits after the point; bound may be "".
func (f *Figures) Number(of, figure string, value float64, digits int, bound string) {
	f.rows = append(f.rows, Figure{Case: of, Figure: figure, Value: decimal(value, digits), Bound: bound})
}

// Mean adds a figure with its standard error.
func (f *Figures) Mean(of, figure string, value, se float64, digits int, bound string) {
	f.rows = append(f.rows, Figure{Case: of, Figure: figure, Value: decimal(value, digits), Error: decimal(se, digits), Bound: bound})
}

// Count adds how many of n there were.
func (f *Figures) Count(of, figure string, k, n int, bound string) {
	f.rows = append(f.rows, Figure{Case: of, Figure: figure, Value: strconv.Itoa(k), Of: strconv.Itoa(n), Bound: bound})
}

// Share adds a share of n, three digits after the point.
func (f *Figures) Share(of, figure string, share float64, n int, bound string) {
	f.rows = append(f.rows, Figure{Case: of, Figure: figure, Value: decimal(share, 3), Of: strconv.Itoa(n), Bound: bound})
}

func decimal(value float64, digits int) string { return strconv.FormatFloat(value, 'f', digits, 64) }

// command is what a person types to measure a test of a package again.
func command(test, here string) string {
	c := fmt.Sprintf("FLUEDRIFT_LONG=1 go test -timeout 0 -run '%s$' -v ./%s", test, here)
	if n := os.Getenv("FLUEDRIFT_FLEETS"); n != "" {
		c = "FLUEDRIFT_FLEETS=" + n + " " + c
	}
	return c
}

// testOf finds the test and the package that a command measures.
var testOf = regexp.MustCompile(`-run '?(\w+)\$?'? -v (\./\S+)`)

// sameTest tells whether two commands measure the same test.
func sameTest(a, b string) bool {
	x, y := testOf.FindStringSubmatch(a), testOf.FindStringSubmatch(b)
	if x == nil || y == nil {
		return a == b
	}
	return x[1] == y[1] && x[2] == y[2]
}

// updating tells whether the test binary has the flag -update and it was given.
func updating() bool {
	f := flag.Lookup("update")
	return f != nil && f.Value.String() == "true"
}

// keep puts figures in the place of those of the same test.
func keep(folder, subject string, origin Row, figures []Figure) error {
	path := filepath.Join(folder, subject+".csv")
	var rows []Row
	text, err := os.ReadFile(path)
	switch {
	case err == nil:
		if rows, err = parse(subject+".csv", string(text)); err != nil {
			return err
		}
	case !errors.Is(err, os.ErrNotExist):
		return err
	}
	at := slices.IndexFunc(rows, func(r Row) bool { return sameTest(r.Command, origin.Command) })
	rows = slices.DeleteFunc(rows, func(r Row) bool { return sameTest(r.Command, origin.Command) })
	if at < 0 {
		at = len(rows)
	}
	fresh := make([]Row, len(figures))
	for i, f := range figures {
		fresh[i] = Row{f, origin.Command, origin.Commit, origin.Machine}
		if err := fresh[i].check(); err != nil {
			return fmt.Errorf("%s: %w", subject, err)
		}
	}
	if err := os.WriteFile(path, format(slices.Insert(rows, at, fresh...)), 0o644); err != nil {
		return err
	}
	return writeReadme(folder)
}

// format writes rows as the text of a file.
func format(rows []Row) []byte {
	var b strings.Builder
	w := csv.NewWriter(&b)
	_ = w.Write(columns) // a builder takes everything
	for _, r := range rows {
		f := r.Figure
		_ = w.Write([]string{f.Case, f.Figure, f.Value, f.Of, f.Error, f.Bound, r.Command, r.Commit, r.Machine})
	}
	w.Flush()
	return []byte(b.String())
}

// find returns the folder of go.mod and the way from there to the working
// folder, which is the package's.
func find() (root, here string, err error) {
	wd, err := os.Getwd()
	if err != nil {
		return "", "", err
	}
	for root = wd; ; root = filepath.Dir(root) {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			here, err = filepath.Rel(root, wd)
			return root, filepath.ToSlash(here), err
		}
		if root == filepath.Dir(root) {
			return "", "", fmt.Errorf("no go.mod above %s", wd)
		}
	}
}

// commit names the state of the files that was measured.
func commit(root string) string {
	head, err := exec.Command("git", "-C", root, "rev-parse", "--short=9", "HEAD").Output()
	if err != nil {
		return "unknown"
	}
	name := strings.TrimSpace(string(head))
	if exec.Command("git", "-C", root, "diff", "--quiet", "HEAD", "--", "*.go", "*.sql").Run() != nil {
		name += "+"
	}
	return name
}

// machine describes where it was measured, without a name.
func machine() string {
	return fmt.Sprintf("%d cores, %s/%s, %s", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version())
}
