package days

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestInstances runs the search on published instances in a folder that the
// caller names, and holds it to the best known values beside them:
//
//	FLUEDRIFT_INSTANCES=folder go test ./analysis/days -run TestInstances -v
//
// best.csv in the folder has a header and a row an instance: file, best known
// value. Files may be
//   - *.tsp: TSPLIB (G. Reinelt, ORSA Journal on Computing 3:376-384, 1991),
//     EUC_2D, CEIL_2D, GEO, ATT and full or triangular matrices;
//   - *_budget_*.txt, set_*.txt: orienteering as Tsiligirides (Journal of the
//     Operational Research Society 35:797-809, 1984) and Chao, Golden and Wasil
//     (European Journal of Operational Research 88:475-489, 1996) have it: a line
//     with the budget and the number of paths, then x, y and prize; the first
//     point is the start, the last (Chao: the second) the end;
//   - p*.txt of team orienteering: lines n, m, tmax, then x, y, prize;
//   - c*, r*, rc*.txt with eight or more columns: time windows after Solomon,
//     the first point the depot, the demand the prize (Righini and Salani,
//     Computers and Operations Research 36:1191-1203, 2009: distances cut to one
//     decimal).
//
// No instance is stored here: their licences are not clear.
func TestInstances(t *testing.T) {
	folder := os.Getenv("FLUEDRIFT_INSTANCES")
	if folder == "" {
		t.Skip("name a folder of instances with FLUEDRIFT_INSTANCES")
	}
	f, err := os.Open(filepath.Join(folder, "best.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	gaps := map[string][]float64{}
	for _, row := range rows[1:] {
		best, err := strconv.ParseFloat(strings.TrimSpace(row[1]), 64)
		require.NoError(t, err)
		text, err := os.ReadFile(filepath.Join(folder, row[0]))
		require.NoError(t, err)
		p, kind, err := readInstance(row[0], text)
		require.NoError(t, err, row[0])
		began := time.Now()
		s := p.search(iterationsFor(kind, len(p.nodes)))
		held(t, s)
		got, gap := resultOf(s, kind, best)
		t.Logf("%-40s %-14s %5d nodes  best known %8.0f  found %8.0f  gap %6.2f %%  %6.1f s", row[0], kind, len(p.nodes)+1, best, got, 100*gap,
			time.Since(began).Seconds())
		assert.GreaterOrEqual(t, gap, -1e-9, "%s: better than the best known: the reader is wrong", row[0])
		if kind == "stop order" {
			kind = map[bool]string{true: "stop order to 76", false: "stop order to 200"}[len(p.nodes) < 77]
			if len(p.nodes) >= 200 {
				kind = "stop order above 200"
			}
		}
		gaps[kind] = append(gaps[kind], gap)
	}
	limits := map[string][2]float64{
		"stop order to 76": {0, 0}, "stop order to 200": {0.01, 0.01}, "stop order above 200": {1, 1},
		"orienteering": {0.02, 0.08}, "team": {0.02, 0.08}, "windows": {0.03, 1},
	}
	for _, kind := range slices.Sorted(keysOf(gaps)) {
		all, sum := gaps[kind], 0.0
		for _, g := range all {
			sum += g
		}
		mean, worst := sum/float64(len(all)), slices.Max(all)
		t.Logf("%-20s %3d instances, mean gap %.2f %%, worst %.2f %%", kind, len(all), 100*mean, 100*worst)
		assert.LessOrEqual(t, mean, limits[kind][0]+1e-9, kind)
		assert.LessOrEqual(t, worst, limits[kind][1]+1e-9, kind)
	}
}

func keysOf(m map[string][]float64) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

func iterationsFor(kind string, nodes int) int {
	if kind == "stop order" {
		return 3000 * nodes
	}
	return 20000
}

// resultOf is the value an instance is told by, and how far it is from the best.
func resultOf(s *state, kind string, best float64) (got, gap float64) {
	if kind == "stop order" {
		for r := range s.tours {
			got += s.tours[r].minutes
		}
		return got, got/best - 1
	}
	for r := range s.tours {
		got += s.tours[r].value
	}
	return got, 1 - got/best
}

// readInstance tells the formats apart.
func readInstance(name string, text []byte) (*problem, string, error) {
	switch base := strings.ToLower(filepath.Base(name)); {
	case strings.HasSuffix(base, ".tsp"):
		p, err := readTSPLIB(text)
		return p, "stop order", err
	case strings.HasPrefix(base, "p") && bytes.HasPrefix(bytes.TrimSpace(text), []byte("n")):
		p, err := readTeam(text)
		return p, "team", err
	case strings.Contains(base, "budget"), strings.HasPrefix(base, "set_"):
		p, err := readOrienteering(text, strings.HasPrefix(base, "set_"))
		return p, "orienteering", err
	}
	p, err := readWindows(text)
	return p, "windows", err
}

// readTSPLIB reads a symmetric instance of TSPLIB.
func readTSPLIB(text []byte) (*problem, error) {
	head, section := map[string]string{}, ""
	var numbers []float64
	for sc := bufio.NewScanner(bytes.NewReader(text)); sc.Scan(); {
		line := strings.TrimSpace(sc.Text())
		if key, value, ok := strings.Cut(line, ":"); ok {
			head[strings.TrimSpace(key)] = strings.TrimSpace(value)
			continue
		}
		if line == "" || line == "EOF" || line[0] >= 'A' && line[0] <= 'Z' {
			section = line
			continue
		}
		if section == "DISPLAY_DATA_SECTION" {
			continue
		}
		for w := range strings.FieldsSeq(line) {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil {
				return nil, err
			}
			numbers = append(numbers, v)
		}
	}
	n, err := strconv.Atoi(head["DIMENSION"])
	if err != nil {
		return nil, err
	}
	m := &matrix{n: n, minutes: make([]float64, n*n), symmetric: true}
	if head["EDGE_WEIGHT_TYPE"] == "EXPLICIT" {
		err = fillExplicit(m, head["EDGE_WEIGHT_FORMAT"], numbers)
	} else {
		err = fillPlane(m, head["EDGE_WEIGHT_TYPE"], numbers)
	}
	if err != nil {
		return nil, err
	}
	return roundTrip(m), nil
}

// roundTrip is the problem of seeing every point once, from the first and back.
func roundTrip(m *matrix) *problem {
	p := &problem{m: m, minuteWorth: 1, routes: []route{{until: math.Inf(1), most: math.Inf(1)}}}
	for i := 1; i < m.n; i++ {
		p.nodes = append(p.nodes, node{spot: i, must: true, value: []float64{mustWorth}, routes: []bool{true}})
	}
	return p
}

func fillExplicit(m *matrix, format string, v []float64) error {
	k := 0
	for i := range m.n {
		from, to := 0, m.n
		switch format {
		case "FULL_MATRIX":
		case "LOWER_DIAG_ROW", "UPPER_DIAG_COL":
			to = i + 1
		case "UPPER_ROW", "LOWER_COL":
			from = i + 1
		case "UPPER_DIAG_ROW":
			from = i
		case "LOWER_ROW":
			to = i
		default:
			return fmt.Errorf("matrix in form %q", format)
		}
		for j := from; j < to; j++ {
			if k == len(v) {
				return fmt.Errorf("a matrix of %d numbers for %d points", len(v), m.n)
			}
			m.minutes[i*m.n+j], m.minutes[j*m.n+i] = v[k], v[k]
			k++
		}
	}
	return nil
}

// fillPlane reckons distances by the rules of TSPLIB 95, section 2.
func fillPlane(m *matrix, kind string, v []float64) error {
	if len(v) != 3*m.n {
		return fmt.Errorf("%d numbers for %d points", len(v), m.n)
	}
	rad := func(x float64) float64 {
		whole := math.Trunc(x)
		return 3.141592 * (whole + 5*(x-whole)/3) / 180
	}
	for i := range m.n {
		for j := range m.n {
			x, y := v[3*i+1]-v[3*j+1], v[3*i+2]-v[3*j+2]
			d := 0.0
			switch kind {
			case "EUC_2D":
				d = math.Floor(math.Hypot(x, y) + 0.5)
			case "CEIL_2D":
				d = math.Ceil(math.Hypot(x, y))
			case "ATT":
				r := math.Sqrt((x*x + y*y) / 10)
				if d = math.Floor(r + 0.5); d < r {
					d++
				}
			case "GEO":
				a, b, c, e := rad(v[3*i+1]), rad(v[3*i+2]), rad(v[3*j+1]), rad(v[3*j+2])
				q1, q2, q3 := math.Cos(b-e), math.Cos(a-c), math.Cos(a+c)
				d = math.Floor(6378.388*math.Acos(0.5*((1+q1)*q2-(1-q1)*q3)) + 1)
			default:
				return fmt.Errorf("distances of kind %q", kind)
			}
			if i != j {
				m.minutes[i*m.n+j] = d
			}
		}
	}
	return nil
}

// fieldsOf reads all numbers of a text by lines.
func fieldsOf(text []byte) (rows [][]float64, err error) {
	for sc := bufio.NewScanner(bytes.NewReader(text)); sc.Scan(); {
		var row []float64
		for _, w := range strings.FieldsFunc(sc.Text(), func(r rune) bool { return r == ' ' || r == '\t' || r == ';' || r == ',' }) {
			v, err := strconv.ParseFloat(w, 64)
			if err != nil {
				continue // the names of Chao's lines: n 21
			}
			row = append(row, v)
		}
		if len(row) > 0 {
			rows = append(rows, row)
		}
	}
	return rows, nil
}

// points makes a problem of prizes: start and end among the points.
func points(rows [][]float64, start, end, paths int, budget float64, cut func(float64) float64) *problem {
	n := len(rows)
	m := &matrix{n: n, minutes: make([]float64, n*n), symmetric: true}
	for i := range rows {
		for j := range rows {
			m.minutes[i*n+j] = cut(math.Hypot(rows[i][0]-rows[j][0], rows[i][1]-rows[j][1]))
		}
	}
	p := &problem{m: m, minuteWorth: 1e-4}
	for range paths {
		p.routes = append(p.routes, route{home: start, end: end, until: budget, most: math.Inf(1)})
	}
	for i := range rows {
		if i == start || i == end {
			continue
		}
		p.nodes = append(p.nodes, node{spot: i, value: []float64{rows[i][2]}, routes: slices.Repeat([]bool{true}, paths)})
	}
	return p
}

func exactly(d float64) float64 { return d }

// readOrienteering reads a budget, a number of paths, and points with prizes.
func readOrienteering(text []byte, endSecond bool) (*problem, error) {
	rows, err := fieldsOf(text)
	if err != nil || len(rows) < 4 || len(rows[0]) < 2 || len(rows[1]) != 3 {
		return nil, fmt.Errorf("no budget with points: %v", err)
	}
	end := len(rows) - 2
	if endSecond {
		end = 1
	}
	return points(rows[1:], 0, end, int(rows[0][1]), rows[0][0], exactly), nil
}

// readTeam reads n, m, tmax and points with prizes.
func readTeam(text []byte) (*problem, error) {
	rows, err := fieldsOf(text)
	if err != nil || len(rows) < 6 || len(rows[3]) != 3 {
		return nil, fmt.Errorf("no n, m, tmax and points: %v", err)
	}
	return points(rows[3:], 0, len(rows)-4, int(rows[1][0]), rows[2][0], exactly), nil
}

// readWindows reads points with prizes, minutes of service and one window each:
// number, x, y, service or prize, and as the last two the window.
func readWindows(text []byte) (*problem, error) {
	rows, err := fieldsOf(text)
	if err != nil {
		return nil, err
	}
	var xyp [][]float64
	var kept [][]float64
	for _, r := range rows {
		if len(r) == 7 { // number, x, y, demand, opens, closes, service
			xyp, kept = append(xyp, []float64{r[1], r[2], r[3]}), append(kept, r)
		}
	}
	if len(kept) < 3 {
		return nil, fmt.Errorf("no points with windows")
	}
	p := points(xyp, 0, 0, 1, kept[0][5], func(d float64) float64 { return math.Floor(10*d+1e-9) / 10 })
	for i := range p.nodes {
		r, v := kept[i+1], &p.nodes[i]
		v.onSite = r[6]
		v.open = [][]Window{{{int(r[4]), int(r[5] + r[6])}}}
	}
	return p, nil
}

// The readers take what the formats' own texts describe; points are invented.
func TestInstanceReaders(t *testing.T) {
	p, kind, err := readInstance("square.tsp",
		[]byte("NAME : square\nTYPE : TSP\nDIMENSION : 4\nEDGE_WEIGHT_TYPE : EUC_2D\nNODE_COORD_SECTION\n1 0 0\n2 0 10\n3 10 10\n4 10 0\nEOF\n"))
	require.NoError(t, err)
	require.Equal(t, "stop order", kind)
	got, gap := resultOf(p.search(20), kind, 40)
	assert.InDelta(t, 40, got, 1e-9) // four sides
	assert.InDelta(t, 0, gap, 1e-9)
	p, kind, err = readInstance("x_budget_12.txt", []byte("12\t1\n0\t0\t0\n1\t0\t5\n5\t5\t50\n0\t0\t0\n"))
	require.NoError(t, err)
	got, _ = resultOf(p.search(20), kind, 5)
	assert.InDelta(t, 5, got, 1e-9) // the far prize needs 14.1
	p, kind, err = readInstance("c1.txt", []byte("0 0 0 0 0 100 0\n1 3 4 10 50 60 10\n2 0 1 7 0 5 10\n3 0 90 90 0 100 10\n"))
	require.NoError(t, err)
	got, _ = resultOf(p.search(20), kind, 17)
	assert.Equal(t, "windows", kind)
	assert.InDelta(t, 17, got, 1e-9)
	p, kind, err = readInstance("p1.txt", []byte("n 4\nm 2\ntmax 8\n0 0 0\n0 3 1\n0 -3 2\n0 0 0\n"))
	require.NoError(t, err)
	assert.Equal(t, "team", kind)
	got, _ = resultOf(p.search(20), kind, 3)
	assert.InDelta(t, 3, got, 1e-9) // one path up, one down
	_, _, err = readInstance("bad.tsp", []byte("DIMENSION : 3\nEDGE_WEIGHT_TYPE : EUC_2D\n1 0 0\n"))
	assert.Error(t, err)
}
