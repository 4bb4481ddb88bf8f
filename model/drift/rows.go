package drift

// differenceRows are what the differences of a fleet are whatever the ratios: laid out
// once, read by every evaluation. A unit's covariates are those that change in it: of
// the columns of a fleet of many classes that is a few.
type differenceRows struct {
	first  []int32 // differences of unit u: first[u] .. first[u+1]
	diffs  []differenceRow
	xfirst []int32 // its covariates: xcols[xfirst[u]:xfirst[u+1]], in order
	xcols  []int32
	x      []float64 // their changes: a row a difference, unit after unit
	xat    []int     // where those of a unit begin
	zfirst []int32   // its analyzer columns, likewise
	zcols  []int32
}

// differenceRow is one difference.
type differenceRow struct {
	i, j   int32
	h, y   float64 // years and points between its readings
	wi, wj float64 // their variance multiples
	// Of the analyzer columns of the unit: the analyzer and the period of i, which
	// it subtracts, and those of j; -1 where both are the same, or not known.
	z      [4]int16
	linked bool     // it begins where the one before it ends
	blind  [4]uint8 // 1 where the analyzer, the period of i, of j is not known
}

// A search evaluates the criterion some hundred times on the same differences; what does
// not depend on the ratios is worked out once, in dense rows read from front to back.

// newDifferenceRows lays out the differences that readings removed and segments cut leave.
func newDifferenceRows(f *Fleet) *differenceRows {
	n := len(f.in.Series)
	t := &differenceRows{first: make([]int32, 1, n+1), xfirst: make([]int32, 1, n+1), zfirst: make([]int32, 1, n+1), xat: make([]int, 0, n)}
	local := make([]int16, f.in.Analyzers+f.in.Periods)
	for i := range local {
		local[i] = -1
	}
	changes := make([]bool, f.stride)
	for u := range n {
		t.unit(f, u, local, changes)
	}
	return t
}

// unit adds one unit; local and changes are scratch, left as they were.
func (t *differenceRows) unit(f *Fleet, u int, local []int16, changes []bool) {
	from, zfrom := len(t.diffs), len(t.zcols)
	number := func(col int32) int16 {
		if local[col] < 0 {
			local[col] = int16(len(t.zcols) - zfrom)
			t.zcols = append(t.zcols, col)
		}
		return local[col]
	}
	f.eachDiff(u, func(i, j int) {
		d := differenceRow{i: int32(i), j: int32(j), h: f.t[j] - f.t[i], y: f.y[j] - f.y[i], wi: f.w[i], wj: f.w[j], z: [4]int16{-1, -1, -1, -1}}
		if n := len(t.diffs); n > from {
			d.linked = t.diffs[n-1].j == d.i
		}
		for k, list := range [2][]int32{f.an, f.per} {
			a, b := list[i], list[j]
			offset := int32(k * f.in.Analyzers)
			switch {
			case a < 0:
				d.blind[k] = 1
			case a != b:
				d.z[k] = number(a + offset)
			}
			switch {
			case b < 0:
				d.blind[k+2] = 1
			case a != b:
				d.z[k+2] = number(b + offset)
			}
		}
		for c := range changes {
			changes[c] = changes[c] || f.f[j*f.stride+c] != f.f[i*f.stride+c]
		}
		t.diffs = append(t.diffs, d)
	})
	xfrom := len(t.xcols)
	for c, did := range changes {
		if did {
			t.xcols = append(t.xcols, int32(c))
			changes[c] = false
		}
	}
	t.xat = append(t.xat, len(t.x))
	for _, d := range t.diffs[from:] {
		for _, c := range t.xcols[xfrom:] {
			t.x = append(t.x, f.f[int(d.j)*f.stride+int(c)]-f.f[int(d.i)*f.stride+int(c)])
		}
	}
	for _, c := range t.zcols[zfrom:] {
		local[c] = -1
	}
	t.first = append(t.first, int32(len(t.diffs)))
	t.xfirst, t.zfirst = append(t.xfirst, int32(len(t.xcols))), append(t.zfirst, int32(len(t.zcols)))
}
