package hindsight

// leastGroup is how many units a group needs to be told apart.
const leastGroup = 30

// groups measures parts of the fleet: groups of the list, areas, fuels, controls, fires.
func groups(cases []Case, s Config) (out []Group) {
	_, sites := sitesOf(cases)
	r := newResampler(sites, s)
	for _, p := range partsOf(cases) {
		u := byUnit(p.cases)
		if u.n < leastGroup {
			continue
		}
		y, chance := outcomesOf(p.cases), chancesOf(p.cases, Model)
		unitSite := firstSites(p.cases, p.site)
		one := make([]int, sites)
		for i := range one {
			one[i] = i
		}
		f := r.figures(one, func(weight []float64) []float64 {
			byFire, byUnit := picked(weight, p.site), picked(weight, unitSite)
			return []float64{mean(y, byFire), mean(chance, byFire), u.auc(Model, byUnit), u.precision(Model, byUnit, 0.10, 0)}
		})
		if u.n < LeastForArea {
			f[2] = none
		}
		out = append(out, Group{p.kind, p.name, u.n, f[0], f[1], f[2], f[3]})
	}
	return out
}

// firstSites are the sites of the units of cases, in the order byUnit has them.
func firstSites(cases []Case, site []int) (out []int) {
	for i := range cases {
		if i == 0 || cases[i-1].Origin != cases[i].Origin || cases[i-1].Serial != cases[i].Serial {
			out = append(out, site[i])
		}
	}
	return out
}

// picked are the weights of sites, one a case; nil stays nil.
func picked(weight []float64, site []int) []float64 {
	if weight == nil {
		return nil
	}
	out := make([]float64, len(site))
	for i, s := range site {
		out[i] = weight[s]
	}
	return out
}
