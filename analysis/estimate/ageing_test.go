package estimate_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// outside is a fleet of a world that the model does not describe, estimated.
type outside struct {
	f     *worlds.Fleet
	out   *estimate.Fleet
	rules estimate.Config
}

// estimateOutside estimates such a fleet by the demo's rules.
func estimateOutside(t testing.TB, f *worlds.Fleet, changes ...func(*estimate.Config)) *outside {
	t.Helper()
	var histories []*judge.History
	for i := range f.Histories {
		histories = append(histories, &f.Histories[i])
	}
	r := rulesFor(t, histories)
	for _, c := range f.Certificates {
		r.Certificates = append(r.Certificates, estimate.Certificate{Analyzer: c.Analyzer, Day: c.Day, FoundErrorPoints: c.FoundPoints})
	}
	for _, change := range changes {
		change(&r)
	}
	out, err := estimate.Run(t.Context(), histories, r)
	require.NoError(t, err)
	return &outside{f, out, r}
}

// tally is what some fleets of a world say of today's states.
type tally struct {
	in, all, bias, square, width float64
	auc, slope, slopeSE, trend   float64 // sums over the fleets
	fleets                       float64
}

func (s *tally) add(o *outside) {
	s.fleets++
	var p []float64
	var out []bool
	for i, forecast := range o.out.Forecasts {
		worst := math.Inf(-1)
		for _, f := range forecast.Fires {
			worst = math.Max(worst, f.Today.Out())
			y := f.TargetCO2Percent + o.f.TrueDeviation(i, f.Fire, o.f.AsOf())
			s.all++
			if f.LowPercent <= y && y <= f.HighPercent {
				s.in++
			}
			d := f.CO2Percent - y
			s.bias, s.square, s.width = s.bias+d, s.square+d*d, s.width+f.HighPercent-f.LowPercent
		}
		if !math.IsInf(worst, -1) {
			p, out = append(p, worst), append(out, o.f.TrulyOut(i, o.f.AsOf()))
		}
	}
	s.auc += rank(p, out).auc
	fit := &o.out.Fits[0]
	if c, ok := fit.Beta.Coefficient("years since calibration"); ok {
		s.slope, s.slopeSE = s.slope+c.Value, s.slopeSE+c.SE
	}
	s.trend += fit.Trend
}

func (s *tally) String() string {
	return fmt.Sprintf("90 %% intervals hold %.3f, width %.2f, bias %+.3f, rmse %.3f; AUC %.3f; ageing %+.3f (se %.3f), trend of "+
		"calibrations %+.4f",
		s.in/s.all, s.width/s.all, s.bias/s.all, math.Sqrt(s.square/s.all), s.auc/s.fleets, s.slope/s.fleets, s.slopeSE/s.fleets,
		s.trend/s.fleets)
}

// Analyzers that lose CO2 between calibrations leave the forecasts as right as sound
// ones do; without ageing in the model biases would have to walk from calibration to
// calibration, and the alarm sees it.
func TestAgeingAnalyzers(t *testing.T) {
	fleets, units, alarm := 1, 300, estimate.Alarm/2
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		fleets, units, alarm = longSeeds(t, 20), 600, estimate.Alarm
	}
	var sound *tally
	kept := measured.Of(t, "ageing")
	for _, certified := range []bool{false, true} {
		for _, lost := range []float64{0, 0.04, 0.08, 0.13} {
			if fleets == 1 && lost != 0.13 && (certified || lost > 0) {
				continue
			}
			s := &tally{}
			for seed := range fleets {
				o := estimateOutside(t, worlds.Ageing(worlds.Options{Units: units, Seed: uint64(seed + 1)},
					worlds.AgeingOptions{PointsPerYear: lost, Certificates: certified}))
				require.NoError(t, o.out.Trends(t.Context()))
				s.add(o)
			}
			t.Logf("%.2f points a year, certificates %v: %v", lost, certified, s)
			of := fmt.Sprintf("analyzers lose %.2f points a year, certificates %v", lost, certified)
			kept.Mean(of, "ageing estimated, points a year", s.slope/s.fleets, s.slopeSE/s.fleets, 3, "")
			kept.Share(of, "90 % intervals hold, share", s.in/s.all, int(s.all), "0.90 to 0.99")
			kept.Number(of, "width, points", s.width/s.all, 2, "")
			kept.Number(of, "AUC", s.auc/s.fleets, 3, "")
			if lost == 0 && !certified {
				sound = s
			}
			assert.InDelta(t, -lost, s.slope/s.fleets, 4*s.slopeSE/s.fleets)
			assert.Greater(t, s.in/s.all, 0.90)
			assert.Less(t, s.in/s.all, 0.99)
			assert.Greater(t, s.auc/s.fleets, sound.auc/s.fleets-0.01, "as if the analyzers did not age")
			if lost == 0 {
				assert.Less(t, math.Abs(s.trend/s.fleets), estimate.Alarm/2)
			} else if lost == 0.13 && !certified { // certificates hold the walk down
				assert.Greater(t, s.trend/s.fleets, alarm)
			}
		}
	}
}

// Certificates observe the ends of the periods they closed: with half of them in the
// fit the errors found by the other half are known better than without, and as well
// as the fit says. One that contradicts the readings is named and not used.
func TestCertificatesObserveTheEnds(t *testing.T) {
	f := worlds.Ageing(worlds.Options{Units: 120, Seed: 1}, worlds.AgeingOptions{PointsPerYear: 0.08, Certificates: true})
	var used, kept []worlds.Certificate
	for i, c := range f.Certificates {
		if i%2 == 0 {
			used = append(used, c)
		} else {
			kept = append(kept, c)
		}
	}
	wrong := &used[len(used)/2]
	wrong.FoundPoints += 0.8
	f.Certificates = used
	with := estimateOutside(t, f, quick)
	without := estimateOutside(t, f, quick, func(r *estimate.Config) { r.Certificates = nil })
	errorsOf := func(o *outside) (rms, z float64) {
		n := 0.0
		for _, a := range o.out.Fits[0].Analyzers {
			for k, p := range a.Periods {
				for _, c := range kept {
					if c.Analyzer != a.Name || p.Calibrated == day.None || !p.Known || k+1 >= len(a.Periods) || a.Periods[k+1].Calibrated != c.Day {
						continue
					}
					value, sd := p.On(c.Day)
					d := value - f.Reads(c.Analyzer, c.Day-1)
					rms, z, n = rms+d*d, z+d*d/(sd*sd), n+1
				}
			}
		}

		require.Greater(t, n, 5.0)
		return math.Sqrt(rms / n), math.Sqrt(z / n)
	}
	rms, z := errorsOf(with)
	bare, _ := errorsOf(without)
	t.Logf("ends of periods: off by %.3f with half of the certificates, %.3f without; z %.2f", rms, bare, z)
	require.LessOrEqual(t, rms, bare)
	require.InDelta(t, 1, z, 0.4)
	named := func(o *outside) bool {
		return slices.ContainsFunc(o.out.Fits[0].Notes, func(n estimate.Note) bool {
			refused, ok := n.(estimate.CertificateRefused)
			return ok && refused.Analyzer == wrong.Analyzer
		})
	}
	require.True(t, named(with))
	require.False(t, named(without))
}

// A trend of the biases over the calibrations is said from a hundredth of a point a
// year on, with its direction.
func TestTrendIsSaid(t *testing.T) {
	said := func(trend float64) []string {
		return words.Notes((&estimate.FireFit{Fire: "high", Trend: trend}).CalibrationTrend())
	}
	require.Empty(t, said(0.009))
	require.Empty(t, said(math.NaN()))
	require.Contains(t, said(0.02)[0], "would have to read 0.02 points more each year")
	require.Contains(t, said(-0.02)[0], "0.02 points less")
}

// An analyzer that comes into use half a year before the as-of day and reads 0.6 low
// is named as a difference to what read its units before, and of its units nobody
// says that they stand outside unless they do whichever analyzer is right.
func TestLowAnalyzerIsNamed(t *testing.T) {
	fleets, sizes := uint64(1), []int{40, 200}
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		fleets, sizes = uint64(longSeeds(t, 20)), []int{40, 200, 600}
	}
	kept := measured.Of(t, "ageing")
	for _, units := range sizes {
		total, most, out := 0, 0, 0
		for seed := range fleets {
			f := worlds.LowSeason(worlds.Options{Units: units, Seed: seed + 1})
			o := estimateOutside(t, f)
			name, from := f.LowAnalyzer()
			for i := range o.out.Fits {
				fit := &o.out.Fits[i]
				require.Len(t, fit.Fit.Steps, 1, "%d units, seed %d, %s fire", units, seed+1, fit.Fire)
				s := fit.Fit.Steps[0]
				require.Contains(t, strings.Join(words.Notes(o.out.InstrumentNotes()), " "),
					fmt.Sprintf("%s fire: analyzer %s reads %.2f points of CO2 below what read its units before", fit.Fire, name, -s.Difference))
				require.Equal(t, name, fit.Analyzers[s.Analyzer].Name)
				require.False(t, s.After)
				require.InDelta(t, -0.6, s.Difference, 0.25)
				require.GreaterOrEqual(t, s.From, float64(from)/365.25)
			}
			first := 0
			for _, u := range f.StepUnits() {
				h := &f.Histories[u]
				l := assess(h, watch.DefaultConfig(f.AsOf(), o.rules.Judge), o.out.Forecasts[u])
				if l.Group == watch.GoToday || l.Group == watch.BookSooner {
					if f.TrulyOut(u, f.AsOf()) {
						out++
					}
					first++
				}
				if l.Ground == watch.ReadAgain {
					require.Equal(t, watch.AskFirst, l.Group)
					require.True(t, l.Marked(analysis.MarkNotSeparable))
				}
			}
			t.Logf("%d units, seed %d: %d of %d in the groups that drive", units, seed+1, first, len(f.StepUnits()))
			total, most = total+first, max(most, first)
		}
		t.Logf("%d units, %d fleets: %d in the groups that drive, %d at most of one fleet; %d of them truly out", units, fleets, total, most, out)
		of := fmt.Sprintf("an analyzer that reads 0.6 low, fleets of %d", units)
		kept.Count(of, "fleets in which the step is named", int(fleets), int(fleets), "all")
		kept.Count(of, "units of the step in the groups that drive, of one fleet at most", most, 40, "2")
		kept.Count(of, "units of the step in the groups that drive, of them truly outside", out, total, "")
		require.LessOrEqual(t, most, 2)
	}
}

// Biases that change from calibration to calibration by more than instruments do are
// explained by no calibration: they go by calendar year, which is said; sound ones stay.
func TestWildCalibrations(t *testing.T) {
	wild := estimated(t, 7, 120, plainWith(func(w *demo.World) { w.CalibrationSD = 0.4 }))
	fit := &wild.out.Fits[0]
	require.Greater(t, fit.PeriodSD, 0.2)
	for _, a := range fit.Analyzers {
		for _, p := range a.Periods {
			require.Equal(t, day.None, p.Calibrated)
		}
	}
	require.Contains(t, wild.out.InstrumentNotes(), estimate.WildPeriods{Fire: fit.Fire, SDPoints: fit.PeriodSD})
	require.NoError(t, wild.out.Trends(t.Context()))
	require.True(t, math.IsNaN(fit.Trend), "nothing is told of calibrations that are not used")
	sound := estimated(t, 7, 100, modelsWorld())
	require.True(t, math.IsNaN(sound.out.Fits[0].PeriodSD))
	require.Empty(t, sound.out.InstrumentNotes())
}
