package study

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
)

// R 4.2.2: p.adjust(c(.01, .04, .03, .005, .5), "holm"); quantities without an estimate
// are no part of the family.
func TestAdjustedAsByR(t *testing.T) {
	var all []PerMetre
	for _, p := range []float64{0.01, 0.04, math.NaN(), 0.03, 0.005, 0.5} {
		all = append(all, PerMetre{P: p, Holm: math.NaN()})
	}
	holm(all)
	want := []float64{0.04, 0.09, math.NaN(), 0.09, 0.025, 0.5}
	for i, m := range all {
		require.InDelta(t, want[i], m.Holm, 1e-12, "%d", i)
	}
	// 2*pt(-2, 7.5)
	require.InDelta(t, 0.0828969952982, (&Estimate{Contrast: Contrast{Value: -0.4, SE: 0.2, DF: 7.5}}).p(), 1e-10)
}

// So many units make an error at which two one-sided tests of 5 % show an effect of
// none with power .8, in R: s <- .05/(qnorm(.95)+qnorm(.9)); 100*(.1/s)^2 of 100 units
// with an error of .1; 2*pnorm(.05/s-qnorm(.95))-1 is .8.
func TestUnitsThatWouldSettleIt(t *testing.T) {
	m := PerMetre{Counts: Counts{Units: 100}, Estimates: []Estimate{{Contrast: Contrast{SE: 0.1}}}}
	require.Equal(t, 3426, m.Needed(0.05))
	for _, x := range []struct {
		value, se float64
		want      Verdict
	}{{0, 0.02, None}, {0, 0.1, Open}, {0.3, 0.1, Matters}, {-0.3, 0.1, Matters}, {0.2, 0.1, Open}} {
		c := contrastOf(x.value, x.se, 1000)
		require.Equal(t, x.want, c.Against(0.05))
	}
}

// Of a quantity the drift model's estimate is quoted, unless the model advises against
// it or tells vents apart by loss; the others stand beside it, all per metre.
func TestQuotedEstimates(t *testing.T) {
	s := newStudied(t, knownFans(6, 200), nil)
	of := Primary{Installation, judge.High, judge.ControlRatio}
	rows := within(s.rowsOf(s.Rows, of.Kind, of.Fire), of.Control)
	fitting{s}.fit(declaredTask(of), rows)
	own := s.Effects[1]
	require.Equal(t, VentName, own.Name)
	for _, x := range []struct {
		model  ModelEffect
		quoted EstimateBy
		all    int
	}{
		{
			ModelEffect{Fit: string(Installation), Fire: judge.High, Name: "vent, ratio", Value: 0.3, SE: 0.1, Low: 0.1, High: 0.5},
			ByDriftModel,
			2,
		},
		{ModelEffect{Fit: string(Installation), Fire: judge.High, Name: "vent loss, ratio", Value: 0.3, SE: 0.1}, ByWithinControl, 1},
		{ModelEffect{Fit: string(Installation), Fire: judge.Low, Name: "vent, ratio", Value: 0.3, SE: 0.1}, ByWithinControl, 1},
		{ModelEffect{Fit: string(Installation), Fire: judge.High, Name: "vent, fixed air", Value: 0.3, SE: 0.1}, ByWithinControl, 1},
	} {
		s.Model = new(Model)
		s.Model.add(x.model)
		m := metre(s, of)
		require.Len(t, m.Estimates, x.all)
		require.Equal(t, x.quoted, m.Estimates[0].By)
		factor := perMetre(rows)
		require.InDelta(t, own.Contrast.Value*factor, m.Estimates[x.all-1].Value, 1e-12)
		if x.quoted == ByDriftModel {
			require.InDelta(t, 0.3*factor, m.Estimates[0].Value, 1e-12)
		}
	}
	require.Equal(t, TooFew{Needed: fewest}, metre(s, Primary{Rerouting, judge.High, judge.ControlNaturalDraft}).Why)
}
