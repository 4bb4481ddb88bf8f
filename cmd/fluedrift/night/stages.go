package night

import (
	"math"
	"time"

	"fluedrift/cmd/fluedrift/publish"
)

// Stage is a part of a night with what it took: finer than a step, and by the
// processor's time, which another program on the same machine does not lengthen.
type Stage struct {
	Name       string  `json:"stage"`
	Seconds    float64 `json:"seconds"`
	CPUSeconds float64 `json:"cpu_seconds"` // 0 where the system does not tell
	PeakMiB    float64 `json:"peak_mib"`    // most memory the process has had by its end; 0 likewise
}

// stages are those of one night, in the order in which each first began.
type stages struct {
	now   func() time.Time
	all   []Stage
	at    int // of the one that runs; -1: none
	began time.Time
	cpu   float64
}

// newStages counts by a clock.
func newStages(now func() time.Time) *stages { return &stages{now: now, at: -1} }

// begin ends the stage that runs, and begins or takes up another.
func (s *stages) begin(name string) {
	s.end()
	s.at = 0
	for s.at < len(s.all) && s.all[s.at].Name != name {
		s.at++
	}
	if s.at == len(s.all) {
		s.all = append(s.all, Stage{Name: name})
	}
	s.began = s.now()
	s.cpu, _ = publish.Spent()
}

// end ends the stage that runs.
func (s *stages) end() {
	if s.at < 0 {
		return
	}
	cpu, peak := publish.Spent()
	one := &s.all[s.at]
	one.Seconds = hundredths(one.Seconds + s.now().Sub(s.began).Seconds())
	one.CPUSeconds = hundredths(one.CPUSeconds + cpu - s.cpu)
	one.PeakMiB = math.Round(peak / (1 << 20))
	s.at = -1
}

func hundredths(x float64) float64 { return math.Round(100*x) / 100 }
