package judge_test

import (
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	. "fluedrift/model/judge"
)

// cpu returns the processor time this process has used.
func cpu(t testing.TB) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkMillionReadings judges the invented fleet over and over until a
// million readings are judged, and reports the processor time of that.
func BenchmarkMillionReadings(b *testing.B) {
	histories := worlds.Demo(demo.Options{Units: 2000}).Histories()
	r := rules(b)
	delete(r.Fuels, "butane")
	r.TargetOf = targetsOf(histories)
	readings := 0
	for i := range histories {
		readings += len(histories[i].Readings)
	}
	b.ReportAllocs()
	b.ResetTimer()
	before, judged := cpu(b), 0
	for range b.N {
		for judged = 0; judged < 1_000_000; judged += readings {
			for i := range histories {
				Judge(&histories[i], r)
			}
		}
	}
	seconds := (cpu(b) - before).Seconds() / float64(b.N)
	b.ReportMetric(seconds*1e6/float64(judged), "cpu-s/million")
}
