package study

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// Figures of this file come from R 4.2.2 with clubSandwich 0.5.8, lme4 1.1-31 and
// mvtnorm 1.1-3. The data are the reaction times of Belenky et al. (J. Sleep Res. 12,
// 2003) as shipped with lme4, of which these rows, so that clusters differ in size
// (4 to 8 rows of 18 subjects):
//
//	s <- sleepstudy; s$i <- seq_len(nrow(s)); s <- s[(7*s$i) %% 11 >= 4, ]
//	s$late <- as.integer(as.integer(s$Subject) > 12)
func reactions(t *testing.T) (days, late, y []float64, subject []string) {
	t.Helper()
	f, err := os.Open("../../model/drift/testdata/sleepstudy.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	order := map[string]int{}
	for i, l := range lines[1:] {
		if _, ok := order[l[2]]; !ok {
			order[l[2]] = len(order) + 1
		}
		if 7*(i+1)%11 < 4 {
			continue
		}
		v, err := strconv.ParseFloat(l[0], 64)
		require.NoError(t, err)
		d, err := strconv.ParseFloat(l[1], 64)
		require.NoError(t, err)
		days, late, y, subject = append(days, d), append(late, one(order[l[2]] > 12)), append(y, v), append(subject, l[2])
	}
	require.Len(t, y, 115)
	return days, late, y, subject
}

// Errors, degrees of freedom and joint tests of clusters of unequal size:
//
//	m <- lm(Reaction ~ Days + I(Days^2) + late + late:Days, s)
//	V <- vcovCR(m, cluster = s$Subject, type = "CR2")
//	coef_test(m, V, test = "Satterthwaite")
//	Wald_test(m, constrain_zero(k), V, test = "HTZ")
//	linear_contrast(m, V, matrix(c(0,1,0,0,1),1), test = "Satterthwaite")
func TestAgainstClubSandwich(t *testing.T) {
	days, late, y, subject := reactions(t)
	d := Data{Names: []string{"constant", "days", "days2", "late", "late x days"}, Y: y, Cluster: subject}
	for i := range y {
		d.X = append(d.X, []float64{1, days[i], days[i] * days[i], late[i], late[i] * days[i]})
	}
	r, err := Regress(d)
	require.NoError(t, err)
	for i, want := range [][3]float64{
		{262.155878665182, 11.722913856748, 12.30071652806},
		{1.159679494321, 4.459545233314, 15.57477248297},
		{1.113736982275, 0.348306871869, 15.87414633630},
		{5.759879308467, 13.134142459380, 9.60700571918},
		{-0.105166143491, 3.019362465926, 9.65293753697},
	} {
		c := r.Coefficient(i)
		require.InDelta(t, want[0], c.Value, 1e-9)
		require.InDelta(t, want[1], c.SE, 1e-9)
		require.InDelta(t, want[2], c.DF, 1e-8)
	}
	for _, x := range []struct {
		zero []int
		want [4]float64 // F, degrees of freedom, p
	}{
		{[]int{1, 2}, [4]float64{18.8629942082, 2, 12.4310275069, 1.71588617616e-4}},
		{[]int{3, 4}, [4]float64{0.0938007446836, 2, 8.8166411403455, 0.9113605123489}},
		{[]int{1, 2, 3, 4}, [4]float64{27.857297779, 4, 9.0856062167, 4.1293968196e-5}},
		{[]int{2}, [4]float64{10.22447920578390, 1, 15.87414633629688, 0.00565161349826}},
	} {
		j, err := r.wald(x.zero)
		require.NoError(t, err)
		require.InEpsilonSlice(t, x.want[:], []float64{j.F, j.DF1, j.DF2, j.P}, 1e-8)
	}
	c := r.combine([]float64{0, 1, 0, 0, 1})
	require.InEpsilonSlice(t, []float64{1.05451335083, 4.13801799588, 14.31322586237, -7.80246598650, 9.91149268816},
		[]float64{c.Value, c.SE, c.DF, c.Low, c.High}, 1e-9)
}

// The spline spans what ns spans, beyond its outer knots too:
//
//	b <- ns(s$Days, knots = c(2,6), Boundary.knots = c(0,8))
//	predict(lm(Reaction ~ b, s), list(b = predict(b, c(-1,0,1.5,3,5,7.5,9,10))))
func TestSplineAgainstNs(t *testing.T) {
	days, _, y, subject := reactions(t)
	s := Spline{[]float64{0, 2, 6, 8}}
	d := Data{Names: []string{"constant", "1", "2", "3"}, Y: y, Cluster: subject}
	for _, v := range days {
		d.X = append(d.X, append([]float64{1}, s.basis(v)...))
	}
	r, err := Regress(d)
	require.NoError(t, err)
	want := []float64{253.354372725, 260.450141511, 270.850508993, 280.116803937, 295.710728589, 335.112345785, 365.300633839, 385.462411654}
	for i, x := range []float64{-1, 0, 1.5, 3, 5, 7.5, 9, 10} {
		require.InDelta(t, want[i], r.combine(append([]float64{1}, s.basis(x)...)).Value, 1e-7)
	}
}

// The greater p of two one-sided t tests and their 90 % interval, on Student's sleep
// data (Biometrika 6, 1908; R's datasets), differences of ten people:
//
//	d <- with(sleep, extra[group==2] - extra[group==1])
//	t.test(d, mu = -b, alternative = "greater"); t.test(d, mu = b, alternative = "less"); t.test(d, conf.level = .9)
func TestEquivalenceAgainstTTests(t *testing.T) {
	d := Data{Names: []string{"mean"}, Y: []float64{1.2, 2.4, 1.3, 1.3, 0, 1, 1.8, 0.8, 4.6, 1.4}}
	for i := range d.Y {
		d.X, d.Cluster = append(d.X, []float64{1}), append(d.Cluster, strconv.Itoa(i))
	}
	r, err := Regress(d)
	require.NoError(t, err)
	e := r.Coefficient(0).equivalent(1)
	require.InDelta(t, 0.914944114551, e.P, 1e-10)
	require.False(t, e.Holds)
	require.InDelta(t, 0.866994732971, e.Low, 1e-10)
	require.InDelta(t, 2.293005267029, e.High, 1e-10)
	e = r.Coefficient(0).equivalent(2.5)
	require.InDelta(t, 0.0211168602465, e.P, 1e-10)
	require.True(t, e.Holds)
}

// A level and a slope of its own for each cluster:
//
//	lmer(Reaction ~ Days + late + (1|Subject) + (0+Days|Subject), s); REMLcrit
func TestMixedAgainstLmer(t *testing.T) {
	days, late, y, subject := reactions(t)
	d := Data{Names: []string{"constant", "days", "late"}, Y: y, Cluster: subject}
	for i := range y {
		d.X = append(d.X, []float64{1, days[i], late[i]})
	}
	m, err := fitMixed(d, []int{0, 1})
	require.NoError(t, err)
	require.InDelta(t, 1076.41671583, m.Criterion, 1e-6)
	require.InEpsilonSlice(t, []float64{247.75335846792, 10.99233263975, 5.95768349884}, m.Beta, 1e-4)
	require.InEpsilonSlice(t, []float64{9.25979103163, 1.59663895878, 15.91841092491}, m.SE, 1e-3)
	require.InEpsilonSlice(t, []float64{28.6626138770, 6.1900917003, 19.7298502954}, append(m.SD, m.ResidualSD), 1e-3)
}

// How far a band over all places reaches, of three places with 14 degrees of freedom;
// mvtnorm integrates, the band draws:
//
//	C <- matrix(c(4,1.2,-.8, 1.2,2,.3, -.8,.3,1),3); X <- cbind(1, c(0,.5,1), c(0,.25,1))
//	qmvt(.95, tail = "both.tails", df = 14, corr = cov2cor(X %*% C %*% t(X)))
func TestBandAgainstMultivariateT(t *testing.T) {
	r := &Regression{
		Beta: []float64{0, 0, 0}, DF: []float64{14, 14, 14},
		Covariance: mat.NewSymDense(3, []float64{4, 1.2, -0.8, 1.2, 2, 0.3, -0.8, 0.3, 1}),
	}
	b, err := r.curve([]float64{0, 0.5, 1}, [][]float64{{1, 0, 0}, {1, 0.5, 0.25}, {1, 1, 1}}, 100000, 3)
	require.NoError(t, err)
	require.InDelta(t, 2.41059298348, b.Critical, 0.02) // three standard errors of the draws
}

// A worked example as printed: "Cluster-robust standard errors and hypothesis tests in
// panel data models" (documentation of clubSandwich, read), effects of legal drinking
// age and beer tax on deaths in traffic in 50 states and 14 years (data of Carpenter
// and Dobkin, J. Econ. Perspect. 25, 2011, as shipped with the package; here to eight
// digits, states and years numbered). A column for every state and year stands beside.
// Printed: 7.59 (2.51, 24.58 degrees of freedom, p 0.00583) and 3.82 (5.27, 5.77,
// 0.49663). The joint test is that package's own: F 5.6709750 with 2 and 11.5811686.
func TestPanelAsPrinted(t *testing.T) {
	f, err := os.Open("testdata/panel.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	const states, years = 50, 14
	d := Data{Names: []string{"legal", "beer tax"}, Nuisance: states + years - 1}
	for i := range states + years - 1 {
		d.Names = append(d.Names, "level "+strconv.Itoa(i))
	}
	for _, l := range lines[1:] {
		var v [5]float64
		for k := range v {
			v[k], err = strconv.ParseFloat(l[k], 64)
			require.NoError(t, err)
		}
		x := make([]float64, len(d.Names))
		x[0], x[1] = v[2], v[3]
		x[1+int(v[0])] = 1
		if v[1] > 1 {
			x[states+int(v[1])] = 1
		}
		d.X, d.Y, d.Cluster = append(d.X, x), append(d.Y, v[4]), append(d.Cluster, l[0])
	}
	require.Len(t, d.Y, states*years)
	r, err := Regress(d)
	require.NoError(t, err)
	for i, want := range [][3]float64{{7.59, 2.51, 24.58}, {3.82, 5.27, 5.77}} {
		c := r.Coefficient(i)
		require.InDeltaSlice(t, want[:], []float64{c.Value, c.SE, c.DF}, 0.005)
	}
	for i, want := range []float64{0.00583, 0.49663} {
		j, err := r.wald([]int{i})
		require.NoError(t, err)
		require.InDelta(t, want, j.P, 5e-6)
	}
	j, err := r.wald([]int{0, 1})
	require.NoError(t, err)
	require.InEpsilonSlice(t, []float64{5.6709750343, 11.5811685569}, []float64{j.F, j.DF2}, 1e-6)
}
