package estimate_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/fleet"
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
		wg.Add(1)
		go func() {
			defer wg.Done()
			for k := range next {
				out[k] = run(uint64(k + 1))
			}
		}()
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
func modelsWorld() fleet.World {
	w := fleet.Plain()
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
	off      map[string]float64 // estimate less truth, summed
	z2       map[string]float64
	held     [4]int // intervals that hold the truth at each horizon
	forecast int
}

func recover(t testing.TB, seed uint64, units int, w fleet.World) recovered {
	o := estimated(t, seed, units, w, func(r *estimate.Rules) { r.Workers = 1 })
	r := recovered{in: map[string]int{}, all: map[string]int{}, off: map[string]float64{}, z2: map[string]float64{}}
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		for _, c := range fit.Beta.Coefficients {
			truth, group := o.planted(fit.Fire, c.Name)
			if group == "" || math.IsNaN(c.Value) || math.IsNaN(truth) {
				continue
			}
			for _, k := range []string{group, fit.Fire + " " + c.Name} {
				r.all[k]++
				r.off[k] += c.Value - truth
				r.z2[k] += (c.Value - truth) * (c.Value - truth) / (c.SE * c.SE)
				if c.Low <= truth && truth <= c.High {
					r.in[k]++
				}
			}
		}
		days := make([]int32, len(horizons))
		for k, h := range horizons {
			days[k] = asOf + h
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
	fmt.Printf("%s: %d fleets of %d units\n\n| coefficient | intervals | cover | mean error | rms z |\n|---|---|---|---|---|\n", name, fleets, units)
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

// Over 400 fleets: in the world the model assumes, 95 % intervals cover 0.92 to
// 0.98 for each coefficient; in the demo's world rate, vent and age cover 0.88;
// 90 % intervals of forecasts hold 0.88 to 0.92 at every horizon in both.
func TestRecoveryOverManyFleets(t *testing.T) {
	n := longSeeds(t, 400)
	units := 300
	if k, err := strconv.Atoi(os.Getenv("FLUEDRIFT_UNITS")); err == nil {
		units = k
	}
	for _, c := range []struct {
		name  string
		world fleet.World
		bound map[string][2]float64
	}{
		{"the model's world", modelsWorld(), map[string][2]float64{"rate": {0.92, 0.98}, "vent rate": {0.92, 0.98}, "age rate": {0.92, 0.98}, "settling": {0.92, 0.98}, "temperature": {0.92, 0.98}}},
		{"the demo's world", fleet.Demo(), map[string][2]float64{"rate": {0.88, 1}, "vent rate": {0.88, 1}, "age rate": {0.88, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			sum := recovered{in: map[string]int{}, all: map[string]int{}, off: map[string]float64{}, z2: map[string]float64{}}
			for done := 0; done < n; done += batch {
				eachSeed(min(batch, n-done), func(seed uint64) recovered { return recover(t, uint64(done)+seed, units, c.world) }, sum.add)
				sum.print(c.name, min(done+batch, n), units)
			}
			for k, bound := range c.bound {
				share := float64(sum.in[k]) / float64(sum.all[k])
				require.True(t, share >= bound[0] && share <= bound[1], "%s covers %.3f", k, share)
			}
			for d := range sum.held {
				require.InDelta(t, 0.9, float64(sum.held[d])/float64(sum.forecast), 0.02, "horizon %d days", horizons[d])
			}
		})
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
