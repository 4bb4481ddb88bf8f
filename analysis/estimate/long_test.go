package estimate_test

import (
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/model/day"
)

// longSeeds is how many fleets the long suite runs on; FLUEDRIFT_SEEDS changes it.
func longSeeds(t *testing.T, usual int) int {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("a matter of hours: set FLUEDRIFT_LONG")
	}
	if n, err := strconv.Atoi(os.Getenv("FLUEDRIFT_SEEDS")); err == nil {
		return n
	}
	return usual
}

// eachSeed runs seeds 1..n, two at a time, and takes their results in order.
func eachSeed[T any](n int, run func(seed uint64) T, take func(T)) {
	out := make([]T, n)
	var wg sync.WaitGroup
	next := make(chan int, n)
	for k := range n {
		next <- k
	}
	close(next)
	for range 2 {
		wg.Go(func() {
			for k := range next {
				out[k] = run(uint64(k + 1))
			}
		})
	}
	wg.Wait()
	for _, x := range out {
		take(x)
	}
}

// batch is how many fleets a table is printed after, on the way to all.
const batch = 20

// modelsWorld is the world the model assumes: effects of age and settling that
// all controls share, as its columns have them.
func modelsWorld() demo.World {
	w := demo.Plain()
	for k, e := range w.Effects {
		e.High.AgeRatePerYear, e.Low.AgeRatePerYear = 0.002, 0.002
		e.High.Settling, e.Low.Settling = 0.04, 0.04
		w.Effects[k] = e
	}
	return w
}

// horizons are the days ahead at which forecasts meet the truth: half a year, one,
// two and three years.
var horizons = []int32{183, 365, 731, 1096}

// recovered is what one fleet says of its planted truth.
type recovered struct {
	in, all  map[string]int
	group    map[string]string  // of a coefficient: what it is one of
	off      map[string]float64 // estimate less truth, summed
	z2       map[string]float64
	held     [4]int // intervals that hold the truth at each horizon
	forecast int
}

func noneYet() recovered {
	return recovered{
		in: map[string]int{}, all: map[string]int{}, group: map[string]string{}, off: map[string]float64{},
		z2: map[string]float64{},
	}
}

func recover(t testing.TB, seed uint64, units int, w demo.World) recovered {
	o := estimated(t, seed, units, w, func(r *estimate.Config) { r.Workers = 1 })
	r := noneYet()
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		for _, c := range fit.Beta.Coefficients {
			truth, group := o.planted(fit.Fire, c.Name)
			if group == "" || math.IsNaN(c.Value) || math.IsNaN(truth) {
				continue
			}
			r.group[string(fit.Fire)+" "+c.Name] = group
			for _, k := range []string{group, string(fit.Fire) + " " + c.Name} {
				r.all[k]++
				r.off[k] += c.Value - truth
				r.z2[k] += (c.Value - truth) * (c.Value - truth) / (c.SE * c.SE)
				if c.Low <= truth && truth <= c.High {
					r.in[k]++
				}
			}
		}
		days := make([]day.Day, len(horizons))
		for k, h := range horizons {
			days[k] = asOf + day.Day(h)
		}
		index, fires, states := o.out.StatesOn(fit, days)
		for k, at := range index {
			u := o.units[at]
			if u < 0 || o.fleet.WrongLabel(u) {
				continue
			}
			r.forecast++
			for d, s := range states[k] {
				if y := o.fleet.TrueCO2At(u, fires[k], days[d], o.fleet.AirC(u, days[d])); y >= s.Low && y <= s.High {
					r.held[d]++
				}
			}
		}
	}
	return r
}

// add takes in another fleet.
func (sum *recovered) add(r recovered) {
	maps.Copy(sum.group, r.group)
	for k := range r.all {
		sum.in[k] += r.in[k]
		sum.all[k] += r.all[k]
		sum.off[k] += r.off[k]
		sum.z2[k] += r.z2[k]
	}
	for d := range sum.held {
		sum.held[d] += r.held[d]
	}
	sum.forecast += r.forecast
}

// print prints the tables of some fleets.
func (sum *recovered) print(name string, fleets, units int) {
	fmt.Printf("%s: %d fleets of %d units\n\n| coefficient | intervals | cover | mean error | rms z |\n|---|---|---|---|---|\n", name, fleets,
		units)
	for _, k := range sortedKeys(sum.all) {
		m := float64(sum.all[k])
		fmt.Printf("| %s | %d | %.3f | %+.4f | %.2f |\n", k, sum.all[k], float64(sum.in[k])/m, sum.off[k]/m, math.Sqrt(sum.z2[k]/m))
	}
	fmt.Printf("\n| years ahead | 0.5 | 1 | 2 | 3 |\n|---|---|---|---|---|\n| 90 %% intervals that hold |")
	for d := range sum.held {
		fmt.Printf(" %.3f |", float64(sum.held[d])/float64(sum.forecast))
	}
	fmt.Printf("\n\n")
}

// keep hands on the figures of the tables.
func (sum *recovered) keep(kept *measured.Figures, bounds map[string][2]float64) {
	for _, k := range sortedKeys(sum.all) {
		m, bound := float64(sum.all[k]), ""
		if b, held := bounds[sum.group[k]]; held {
			bound = fmt.Sprintf("%.2f to %.2f", b[0], b[1])
		}
		kept.Share(k, "intervals that hold, share", float64(sum.in[k])/m, sum.all[k], bound)
		kept.Number(k, "mean error", sum.off[k]/m, 4, "")
		kept.Number(k, "root mean square z", math.Sqrt(sum.z2[k]/m), 2, "")
	}
	for d := range sum.held {
		of := fmt.Sprintf("forecast %.1f years ahead", float64(horizons[d])/365.25)
		kept.Share(of, "intervals that hold, share", float64(sum.held[d])/float64(sum.forecast), sum.forecast,
			map[bool]string{true: "0.87 to 0.93", false: "0.88 to 0.92"}[horizons[d] > 2*366])
	}
}

// recoveries are the worlds of the recovery and what their intervals are held to.
func recoveries() []recovery {
	wide := func(groups ...string) map[string][2]float64 {
		out := map[string][2]float64{}
		for _, g := range groups {
			out[g] = [2]float64{0.88, 1}
		}
		return out
	}
	models := map[string][2]float64{}
	for _, g := range []string{"rate", "vent rate", "age rate", "settling", "temperature"} {
		models[g] = [2]float64{0.92, 0.98}
	}
	return []recovery{
		{"the model's world", modelsWorld(), models},
		{"the demo's world", demo.Default(), wide("rate", "vent rate", "age rate")},
	}
}

type recovery struct {
	name  string
	world demo.World
	bound map[string][2]float64 // by group of coefficients
}

// Over 400 fleets: in the world the model assumes, 95 % intervals cover 0.92 to
// 0.98 for each coefficient; in the demo's world rate, vent and age cover 0.88;
// 90 % intervals of forecasts hold 0.88 to 0.92 in both up to two years ahead, and 0.87
// to 0.93 at three, where the limit by the spread of readings narrows them.
func TestRecoveryOverManyFleets(t *testing.T) {
	n := longSeeds(t, 400)
	units := 300
	if k, err := strconv.Atoi(os.Getenv("FLUEDRIFT_UNITS")); err == nil {
		units = k
	}
	kept := map[string]*measured.Figures{}
	for _, name := range []string{"model", "demo"} {
		kept["the "+name+"'s world"] = measured.Of(t, "recovery-"+name)
	}
	for _, c := range recoveries() {
		t.Run(c.name, func(t *testing.T) {
			sum := noneYet()
			for done := 0; done < n; done += batch {
				eachSeed(min(batch, n-done), func(seed uint64) recovered { return recover(t, uint64(done)+seed, units, c.world) }, sum.add)
				sum.print(c.name, min(done+batch, n), units)
			}
			sum.keep(kept[c.name], c.bound)
			for _, k := range sortedKeys(sum.group) { // each coefficient
				if bound, held := c.bound[sum.group[k]]; held {
					share := float64(sum.in[k]) / float64(sum.all[k])
					assert.True(t, share >= bound[0] && share <= bound[1], "%s covers %.3f", k, share)
				}
			}
			for d := range sum.held {
				room := 0.02
				if horizons[d] > 2*366 { // where no forecast spreads further than the fleet's readings do
					room = 0.03
				}
				assert.InDelta(t, 0.9, float64(sum.held[d])/float64(sum.forecast), room, "horizon %d days", horizons[d])
			}
		})
	}
}

// The model's world over few small fleets (the demo's has a test of its own),
// coefficients pooled, the bounds wider by two standard errors of a share of so
// many; coefficients of a fleet and fires of a unit err together, so that half of
// them count.
func TestRecoveryOverFewFleets(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		t.Skip("TestRecoveryOverManyFleets says more")
	}
	const n, units = 3, 150
	sum := noneYet()
	eachSeed(n, func(seed uint64) recovered { return recover(t, seed, units, modelsWorld()) }, sum.add)
	in, all := 0, 0
	for k := range recoveries()[0].bound {
		in, all = in+sum.in[k], all+sum.all[k]
	}
	slack := func(p float64, of int) float64 { return 2 * math.Sqrt(p*(1-p)/(float64(of)/2)) }
	t.Logf("%d of %d coefficients, forecasts %v of %d", in, all, sum.held, sum.forecast)
	require.InDelta(t, 0.95, float64(in)/float64(all), 0.03+slack(0.95, all))
	for d := range sum.held {
		require.InDelta(t, 0.9, float64(sum.held[d])/float64(sum.forecast), 0.02+slack(0.9, sum.forecast), "horizon %d days", horizons[d])
	}
}

func sortedKeys[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
