package hindsight

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// predictions are those of a look back on an invented fleet (demo's world, 220
// units, seed 3, 2024-08-31), written out once: probability, found outside, site.
func predictions(t *testing.T) (p, y []float64, site []int) {
	f, err := os.Open("testdata/predictions.csv")
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		require.NoError(t, err)
		return v
	}
	for _, row := range rows[1:] {
		p, y, site = append(p, number(row[0])), append(y, number(row[1])), append(site, int(number(row[2])))
	}
	return p, y, site
}

// reference is what scikit-learn 1.2.1 (Python 3.11) gives of the predictions in
// testdata/predictions.csv, with and without weights (site%3 + 2*(site%2)):
//
//	AUC             roc_auc_score(y, p, sample_weight=w); pROC 1.18.0 in R 4.2.2,
//	                auc(roc(y, p)), prints the same figure without weights
//	mean            brier_score_loss(y, p, sample_weight=w)
//	miscalibration  mean less that of c = IsotonicRegression().fit(p, y, w).predict(p)
//	discrimination  that of the base rate less that of c; uncertainty: the former
//	curve           IsotonicRegression(out_of_bounds="clip").fit(p, y, w).predict(at)
type reference struct {
	weighted bool
	auc      float64
	parts    Brier
	curve    []float64
}

var references = []reference{
	{
		false, 0.820200302343,
		Brier{0.115766005464, 0.012370432894, 0.054626464516, 0.158022037087},
		[]float64{0, 0.057692307692, 0.170212765957, 0.170212765957, 0.202127659574, 0.375, 0.428571428571, 0.428571428571, 0.428571428571, 1, 1},
	},
	{
		true, 0.773754847928,
		Brier{0.123286626062, 0.014848175776, 0.048821458709, 0.157259908995},
		[]float64{
			0, 0.089285714286, 0.204545454545, 0.204545454545, 0.274686520376, 0.344827586207, 0.344827586207, 0.344827586207,
			0.447599729547, 1, 1,
		},
	},
}

// The area, the parts of the Brier score and the calibration curve are those of a
// general library on the same predictions.
func TestMeasuresAgreeWithALibrary(t *testing.T) {
	p, y, site := predictions(t)
	require.Len(t, p, 183)
	for _, r := range references {
		var w []float64
		if r.weighted {
			for _, s := range site {
				w = append(w, float64(s%3+2*(s%2)))
			}
		}
		require.InDelta(t, r.auc, auc(p, y, w, ascending(p)), 1e-11)
		b := brierOf(p, y, w, nil)
		require.InDelta(t, r.parts.Mean, b.Mean, 1e-11)
		require.InDelta(t, r.parts.Miscalibration, b.Miscalibration, 1e-11)
		require.InDelta(t, r.parts.Discrimination, b.Discrimination, 1e-11)
		require.InDelta(t, r.parts.Uncertainty, b.Uncertainty, 1e-11)
		f := fit(p, y, w, nil)
		for i, at := range []float64{0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 0.95} {
			require.InDelta(t, r.curve[i], f.at(at), 1e-11, "at %g", at)
		}
	}
}
