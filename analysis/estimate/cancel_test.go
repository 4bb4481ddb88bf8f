package estimate_test

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// looks is a context that is canceled when it is looked at for the n-th time; a
// negative n never comes.
type looks struct {
	context.Context
	left, after atomic.Int64
	once        sync.Once
	done        chan struct{}
	at          time.Time // of the cancel
}

func canceledAfter(n int64) *looks {
	c := &looks{Context: context.Background(), done: make(chan struct{})}
	c.left.Store(n)
	return c
}

func (c *looks) Done() <-chan struct{} { return c.done }

func (c *looks) Err() error {
	n := c.left.Add(-1)
	if n == -1 {
		c.once.Do(func() { c.at = time.Now(); close(c.done) })
	}
	select {
	case <-c.done:
		c.after.Add(1)
		return context.Canceled
	default:
		return nil
	}
}

// never is more looks than any run here takes.
const never = int64(1) << 40

// moments are the looks at which to cancel: the first ones, and some over the whole run.
func moments(looks int64) (all []int64) {
	parts := int64(8)
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		parts = 24
	}
	for n := int64(0); n < looks; n += max(1, min(n/2, looks/parts)) {
		all = append(all, n)
	}
	return append(all, looks-1)
}

// settled waits until no more goroutines run than before.
func settled(t *testing.T, before int) {
	t.Helper()
	for range 2000 { // a goroutine that is done may take a moment to go
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(time.Millisecond)
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before)
}

// everyMoment runs a piece of work once to the end, then cancels it at moments spread
// over all its looks at the context: each time it ends with the context's error, gives
// nothing, stops looking (looks of its workers apart) and leaves no goroutine.
func everyMoment(t *testing.T, work func(ctx context.Context) (result bool, err error)) {
	t.Helper()
	before := runtime.NumGoroutine()
	whole := canceledAfter(never)
	start := time.Now()
	result, err := work(whole)
	took := time.Since(start)
	require.NoError(t, err)
	require.True(t, result)
	settled(t, before)
	n := never - whole.left.Load()
	require.Greater(t, n, int64(10), "hardly looks at the context")
	var most int64
	var slowest time.Duration
	for _, k := range moments(n) {
		ctx := canceledAfter(k)
		result, err := work(ctx)
		if ctx.after.Load() == 0 { // searches may take fewer looks with other workers
			require.NoError(t, err)
			continue
		}
		late := time.Since(ctx.at)
		require.ErrorIs(t, err, context.Canceled, "at look %d of %d", k, n)
		require.False(t, result, "at look %d of %d", k, n)
		settled(t, before)
		most, slowest = max(most, ctx.after.Load()), max(slowest, late)
	}
	t.Logf("%d looks in %v; after a cancel at most %d more looks and %v", n, took, most, slowest)
	require.LessOrEqual(t, most, int64(100))
}

// A run canceled at any moment ends with the context's error and no result: before
// anything is judged, in the search for the ratios, in the forecasts and their draws,
// in the checks after them. The histories stay as they were.
func TestRunIsCanceledAtAnyMoment(t *testing.T) {
	o := invented(1, 60, demo.Default())
	same := invented(1, 60, demo.Default())
	r := rulesFor(t, o.histories)
	r.Draws, r.Workers = 50, 2
	everyMoment(t, func(ctx context.Context) (bool, error) {
		out, err := estimate.Run(ctx, o.histories, r)
		return out != nil, err
	})
	require.Equal(t, fmt.Sprintf("%+v", same.flat()), fmt.Sprintf("%+v", o.flat()))
}

// So does the study, the fits of shifts among it, and a fit of the drift model alone.
func TestStudyAndFitAreCanceledAtAnyMoment(t *testing.T) {
	o := estimated(t, 3, 60, demoWith(func(w *demo.World) { w.FactoryTests = true }), quick)
	everyMoment(t, func(ctx context.Context) (bool, error) {
		s, err := o.out.Study(ctx)
		return s != nil, err
	})
	f := o.out.Fits[0].Fit.Fleet()
	everyMoment(t, func(ctx context.Context) (bool, error) {
		fit, err := f.Fit(ctx, drift.Options{Workers: 2, Ratios: drift.Search{}.Ratios})
		return fit != nil, err
	})
}

// flat are the histories as values, to be printed: NaN is not equal to itself.
func (o *world) flat() (all []judge.History) {
	for _, h := range o.histories {
		all = append(all, *h)
	}
	return all
}
