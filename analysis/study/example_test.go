package study_test

import (
	"fmt"
	"math"

	"fluedrift/analysis/study"
)

// A shift that falls by 0.4 points for each whole vent run, over twelve sites whose
// units share a part of their own. The interval allows for that.
func ExampleRegress() {
	d := study.Data{Names: []string{"constant", "vent"}}
	for site := range 12 {
		own := 0.1 * math.Sin(float64(5*site))
		for unit := range 4 {
			z := float64((7*site+3*unit)%10) / 10
			d.X = append(d.X, []float64{1, z})
			d.Y = append(d.Y, 0.1-0.4*z+own+0.03*math.Cos(float64(11*site+unit)))
			d.Cluster = append(d.Cluster, fmt.Sprint("site ", site))
		}
	}
	r, err := study.Regress(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := r.Coefficient(1)
	fmt.Printf("%.2f points a run (%.2f to %.2f) from %d sites\n", c.Value, c.Low, c.High, r.Clusters)
	// Output:
	// -0.38 points a run (-0.43 to -0.32) from 12 sites
}
