package drift

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/datasets/measured"
)

// A fleet too large for one machine can be fitted in parts. The parts agree once on a
// heading: the columns in the fit, their scales, and the blocks of the instruments. Then
// each evaluation asks every part for its sums and adds them; nothing of a unit leaves its
// part. What a part sends is exchanged as numbers of eight bytes.

// fleetOfPart is a part of a fleet made of nothing but its own units and the heading.
func fleetOfPart(t require.TestingT, whole *Fleet, units []int) *Fleet {
	in := whole.in
	in.Series, in.Certificates = nil, nil
	for _, u := range units {
		in.Series = append(in.Series, whole.in.Series[u])
	}
	part, err := NewFleet(in)
	require.NoError(t, err)
	for i := range part.f {
		c := i % part.stride
		part.f[i] *= part.scale[c] / whole.scale[c] // powers of two
	}
	part.covariates, part.layout = whole.covariates, whole.layout
	part.rows = newDifferenceRows(part)
	part.pairs = newPairs(part.rows, &part.layout)
	return part
}

// message is what a part sends at given ratios.
func message(t require.TestingT, part *Fleet, th Theta) []byte {
	d := &desk{}
	d.kernel.set(part, th)
	d.reset(part)
	for u := range part.in.Series {
		d.add(u)
	}
	require.False(t, d.failed)
	numbers := slices.Concat(d.zz, d.zx, d.xx, []float64{d.logdet, float64(d.n)})
	var out []byte
	for _, x := range numbers {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(x))
	}
	return out
}

// received adds what a part sent.
func (s *sums) received(message []byte) {
	next := func() float64 {
		x := math.Float64frombits(binary.LittleEndian.Uint64(message))
		message = message[8:]
		return x
	}
	for _, block := range [][]float64{s.zz, s.zx, s.xx} {
		for i := range block {
			block[i] += next()
		}
	}
	s.logdet += next()
	s.n += int(next())
}

// joined is the solution of what the parts sent.
func joined(t require.TestingT, whole *Fleet, th Theta, messages [][]byte) *solution {
	total := &sums{}
	total.clear(whole, true)
	for _, m := range messages {
		total.received(m)
	}
	s := &solution{evaluation: evaluation{f: whole, th: th}, sums: total, scale: make([]float64, len(whole.layout.of))}
	for a := range s.scale {
		s.scale[a] = th.B1
		if a >= whole.in.Analyzers {
			s.scale[a] = th.B2
		}
	}
	require.NoError(t, s.finish())
	s.biases()
	return s
}

// However the units of a fleet are split, the sums of the parts give the fit of the whole
// to 1e-12: its criterion at any ratios, and so its search; sigma, coefficients, biases.
func TestSumsOfPartitionsJoin(t *testing.T) {
	whole, err := NewFleet(invented(90, 6, 3))
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		th := anyTheta(t).positive()
		parts := make([][]int, rapid.IntRange(1, 7).Draw(t, "parts"))
		for u := range whole.in.Series {
			p := rapid.IntRange(0, len(parts)-1).Draw(t, "part")
			parts[p] = append(parts[p], u)
		}
		var messages [][]byte
		for _, units := range parts {
			if len(units) > 0 {
				messages = append(messages, message(t, fleetOfPart(t, whole, units), th))
			}
		}
		want, err := evaluation{f: whole, th: th}.solve(ctx)
		require.NoError(t, err)
		got := joined(t, whole, th, messages)
		assert.InEpsilon(t, want.crit, got.crit, 1e-12)
		assert.InEpsilon(t, want.sigma, got.sigma, 1e-12)
		scaled := func(all []float64) float64 {
			return 1e-12 * (1 + math.Max(slices.Max(all), -slices.Min(all)))
		}
		assert.InDeltaSlice(t, want.beta, got.beta, scaled(want.beta))
		assert.InDeltaSlice(t, want.u, got.u, scaled(want.u))
	})
}

// A message has the size of the instruments and the columns, not of the units.
func TestBytesOfAnExchange(t *testing.T) {
	sizes, kept := []int{60, 240}, measured.Of(t, "partitions")
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		sizes = []int{1_000, 10_000}
	}
	q, m := 6+48, 5+1
	most := 8 * (q*(q+1)/2 + q*m + m*m + 2)
	for _, n := range sizes {
		whole, err := NewFleet(invented(n, 6, 3))
		require.NoError(t, err)
		var all []int
		for u := range whole.in.Series {
			all = append(all, u)
		}
		bytes := len(message(t, fleetOfPart(t, whole, all), Theta{1, 1, 1, 1}))
		assert.Equal(t, 8*(whole.layout.size+q*m+m*m+2), bytes,
			"what the factor of the instruments holds, their columns, the columns, determinant and count")
		assert.LessOrEqual(t, bytes, most, "%d units", n)
		kept.Number(fmt.Sprintf("%d units, 6 analyzers, 48 periods, 5 columns", n), "bytes an evaluation and part", float64(bytes), 0,
			fmt.Sprintf("at most %d at any number of units", most))
	}
}
