package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// linked is a fleet's layout made of random units of some columns, with the matrix that
// their products add up to.
func linked(g *rand.Rand, columns, units, each int) (l layout, zz []float64, whole *mat.SymDense) {
	rows := &differenceRows{zfirst: []int32{0}}
	for range units {
		from := len(rows.zcols)
		for range 1 + g.IntN(each) {
			if c := int32(g.IntN(columns)); !slices.Contains(rows.zcols[from:], c) {
				rows.zcols = append(rows.zcols, c)
			}
		}
		rows.zfirst = append(rows.zfirst, int32(len(rows.zcols)))
	}
	f := &Fleet{in: Input{Series: make([]Series, units), Analyzers: columns}, rows: rows}
	l = newLayout(f)
	kept := newPairs(rows, &l)
	zz, whole = make([]float64, l.size), mat.NewSymDense(columns, nil)
	for u := range units {
		cols := rows.zcols[rows.zfirst[u]:rows.zfirst[u+1]]
		x := make([]float64, len(cols))
		for i := range x {
			x[i] = g.NormFloat64()
		}
		at := kept.of(u)
		for i, a := range cols {
			for j, b := range cols[:i+1] {
				zz[at[0]] += x[i] * x[j]
				at = at[1:]
				whole.SetSym(int(a), int(b), whole.At(int(a), int(b))+x[i]*x[j])
			}
		}
	}
	return l, zz, whole
}

// Factor, solutions and inverse are those of a full matrix by a general library, blocks
// of every kind: columns that nobody shows, many small ones, one large one.
func TestFactorAgainstFullMatrix(t *testing.T) {
	g := rand.New(rand.NewPCG(3, 1))
	for round := range 40 {
		columns := 1 + g.IntN(70)
		l, zz, whole := linked(g, columns, g.IntN(60), 1+g.IntN(6))
		scale := make([]float64, columns)
		for i := range scale {
			if scale[i] = g.Float64() * 2; g.IntN(7) == 0 {
				scale[i] = 0
			}
		}
		for i := range columns {
			for j := range i + 1 {
				x := whole.At(i, j) * scale[i] * scale[j]
				if i == j {
					x++
				}
				whole.SetSym(i, j, x)
			}
		}
		log, err := l.factorize(zz, scale, 1+round%3)
		require.NoError(t, err)
		var chol mat.Cholesky
		require.True(t, chol.Factorize(whole))
		assert.InDelta(t, chol.LogDet(), log, 1e-10)
		var inverse mat.SymDense
		require.NoError(t, chol.InverseTo(&inverse))
		const m = 3
		y := make([]float64, columns*m)
		for i := range y {
			y[i] = g.NormFloat64()
		}
		one := make([]float64, columns)
		for i := range one {
			one[i] = y[i*m]
		}
		right := mat.NewDense(columns, m, slices.Clone(y))
		var want mat.Dense
		want.Mul(&inverse, right)
		l.solveT(zz, y, m, 2)
		l.solve(zz, y, m, 2)
		l.solveFewT(zz, one)
		l.solve(zz, one, 1, 1)
		kept := l.inverse(zz, 2)
		for i := range int32(columns) {
			if l.of[i] < 0 {
				continue
			}
			column := l.column(zz, i)
			assert.InDelta(t, want.At(int(i), 0), one[i], 1e-10)
			for k := range m {
				assert.InDelta(t, want.At(int(i), k), y[int(i)*m+k], 1e-10)
			}
			for j := range int32(columns) {
				if l.of[i] != l.of[j] {
					continue
				}
				assert.InDelta(t, inverse.At(int(i), int(j)), column[l.place[j]], 1e-11)
				if at := l.at(i, j); at >= 0 {
					assert.InDelta(t, inverse.At(int(i), int(j)), kept[at], 1e-11)
				}
			}
		}
	}
}

// A matrix that is not positive definite is refused.
func TestFactorRefusesWhatIsNotPositive(t *testing.T) {
	l, zz, _ := linked(rand.New(rand.NewPCG(3, 2)), 5, 9, 3)
	for i := range zz {
		zz[i] = math.NaN()
	}
	_, err := l.factorize(zz, []float64{1, 1, 1, 1, 1}, 1)
	require.ErrorIs(t, err, ErrPivot)
}

// crewed is an invented fleet in which every crew has its own units and analyzers, but
// for one visit in so many, which an analyzer of another crew made.
func crewed(units, crews, strayEvery int) Input {
	in := invented(units, 6*crews, 8)
	visits := 0
	for u := range in.Series {
		crew := u % crews
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			of := crew
			if visits++; strayEvery > 0 && visits%strayEvery == 0 {
				of = (crew + 1 + visits%(crews-1)) % crews
			}
			move := func(a, p *int) {
				year := *p % 8
				*a = 6*of + *a%6
				*p = *a*8 + year
			}
			move(&vis.Analyzer, &vis.Period)
			for r := range vis.Readings {
				move(&vis.Readings[r].Analyzer, &vis.Readings[r].Period)
			}
		}
	}
	return in
}

// A fleet whose crews are all linked by a few visits is one block, and yet its factor
// grows with its crews and not with their square.
func TestLinkedCrewsCostTheirOwn(t *testing.T) {
	apart, err := NewFleet(crewed(400, 8, 0))
	require.NoError(t, err)
	assert.Len(t, apart.layout.blocks, 8)
	size := func(crews int) (numbers, square int) {
		f, err := NewFleet(crewed(50*crews, crews, 500))
		require.NoError(t, err)
		most := 0
		for b := range f.layout.blocks {
			most = max(most, len(f.layout.blocks[b].cols))
		}
		return f.layout.size, most * most
	}
	few, _ := size(8)
	many, square := size(32)
	assert.Less(t, many, 5*few)
	assert.Less(t, 5*many, square)
}
