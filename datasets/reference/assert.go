package reference

import "math"

// T is what Assert needs of a test; *testing.T is one.
type T interface {
	Helper()
	Errorf(format string, args ...any)
}

// Assert holds what a package computes against every figure of a subject, at
// the tolerance of its row. computed maps a figure's quantity to what the
// package makes of its inputs. A row whose quantity nothing computes fails,
// and so does a quantity that no row asks for, so that neither side can be
// left out unseen.
func Assert(t T, subject string, computed map[string]func(Figure) float64) {
	t.Helper()
	figures, err := Figures(subject)
	if err != nil {
		t.Errorf("%v", err)
		return
	}
	asked := map[string]bool{}
	for _, f := range figures {
		asked[f.Quantity] = true
		compute, ok := computed[f.Quantity]
		if !ok {
			t.Errorf("%s: nothing computes %q", f.ID, f.Quantity)
			continue
		}
		if got := compute(f); !f.Agrees(got) {
			t.Errorf("%s: got %.10g %s, want %g within %g: %s %s %s (%s)",
				f.ID, got, f.Unit, f.Expected, f.Tolerance, f.Document, f.Table, f.Edition, f.Verified)
		}
	}
	for quantity := range computed {
		if !asked[quantity] {
			t.Errorf("%s: no figure asks for %q", subject, quantity)
		}
	}
}

// Agrees reports whether a value is the figure's within its tolerance and the
// last binary digit.
func (f Figure) Agrees(v float64) bool {
	return math.Abs(v-f.Expected) <= f.Tolerance+1e-14*math.Abs(f.Expected)
}
