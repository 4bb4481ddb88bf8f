package drift

import "math"

// readings are those of all units in segments: flat slices, unit after unit. A reading
// that is removed stays in them, marked as gone.
type readings struct {
	stride int // numbers of a row of f

	start   []int32 // readings of unit u: start[u] .. start[u+1]
	t, y, w []float64
	an, per []int32 // -1 none
	seg     []int32
	vis     []int32
	idx     []int32
	set     []float64
	f       []float64 // covariates over their scale, stride a reading

	gone []bool // reading removed
	cut  []bool // segment cut before the reading
}

// units is how many units there are.
func (rs *readings) units() int { return len(rs.start) - 1 }

// eachDiff visits the differences of a unit: readings i, j of one segment with
// none that counts between them and no cut.
func (rs *readings) eachDiff(u int, visit func(i, j int)) {
	prev, cut := -1, false
	for r := int(rs.start[u]); r < int(rs.start[u+1]); r++ {
		cut = cut || rs.cut[r]
		if rs.gone[r] {
			continue
		}
		if prev >= 0 && !cut && rs.seg[prev] == rs.seg[r] {
			visit(prev, r)
		}
		prev, cut = r, false
	}
}

// rescale divides each column by the power of two nearest to its root mean
// square difference, which it returns: conditioning without rounding.
func (rs *readings) rescale() (scale []float64) {
	sum, n := make([]float64, rs.stride), 0
	for u := range rs.units() {
		rs.eachDiff(u, func(i, j int) {
			n++
			for k := range sum {
				x := rs.f[j*rs.stride+k] - rs.f[i*rs.stride+k]
				sum[k] += x * x
			}
		})
	}
	scale = make([]float64, rs.stride)
	for k := range sum {
		scale[k] = 1
		if sum[k] > 0 {
			scale[k] = math.Exp2(math.Round(math.Log2(math.Sqrt(sum[k] / float64(n)))))
		}
	}
	for at := range rs.f {
		rs.f[at] /= scale[at%rs.stride]
	}
	return scale
}

// columnGram sums the products of the scaled covariate differences.
func (rs *readings) columnGram() []float64 {
	n := rs.stride
	gram, x := make([]float64, n*n), make([]float64, n)
	for u := range rs.units() {
		rs.eachDiff(u, func(i, j int) {
			for k := range x {
				x[k] = rs.f[j*n+k] - rs.f[i*n+k]
			}
			for a, xa := range x {
				if xa == 0 {
					continue
				}
				for b := range a + 1 {
					gram[a*n+b] += xa * x[b]
				}
			}
		})
	}
	return gram
}

// levelMoments are those of the n level columns over all readings: what the next
// reading's instrument is expected to be like.
func (rs *readings) levelMoments(n int) []moments {
	out := make([]moments, n)
	count := float64(len(rs.t))
	if count == 0 {
		return out
	}
	for at := range rs.t {
		for k, x := range rs.f[at*rs.stride:][:n] {
			out[k].mean += x / count
		}
	}
	for at := range rs.t {
		for k, x := range rs.f[at*rs.stride:][:n] {
			out[k].variance += (x - out[k].mean) * (x - out[k].mean) / count
		}
	}
	return out
}

// mostlyRounded reports whether the displays of most readings hide more than they
// show (W above 2): the noise of a reading then cannot be told from their steps. The
// same value comes back at visit after visit, and noise would run to nothing.
func (rs *readings) mostlyRounded() bool {
	n := 0
	for r, w := range rs.w {
		if !rs.gone[r] && w > 2 {
			n++
		} else {
			n--
		}
	}
	return n > 0
}

// With gaps all equal to g and two readings a segment every difference has the variance
// 2 sigma^2 + q g: only the sum can be estimated. Unequal gaps, or three readings in a
// row (neighbouring differences share noise but no wandering), tell the two apart.

// gapsAlike reports that gaps are all alike and no segment has an interior
// reading: noise and wandering then make the same variance.
func (rs *readings) gapsAlike() bool {
	n, sum, sq, interior := 0.0, 0.0, 0.0, false
	for u := range rs.units() {
		last := -1
		rs.eachDiff(u, func(i, j int) {
			h := rs.t[j] - rs.t[i]
			n, sum, sq = n+1, sum+h, sq+h*h
			interior = interior || i == last
			last = j
		})
	}
	if interior || n == 0 {
		return false
	}
	mean := sum / n
	return math.Sqrt(math.Max(0, sq/n-mean*mean)) < sameGaps*mean
}

// pick copies the readings of some units.
func (rs *readings) pick(units []int) readings {
	out := readings{stride: rs.stride, start: []int32{0}}
	for _, u := range units {
		a, z := rs.start[u], rs.start[u+1]
		out.t, out.y, out.w = append(out.t, rs.t[a:z]...), append(out.y, rs.y[a:z]...), append(out.w, rs.w[a:z]...)
		out.set, out.f = append(out.set, rs.set[a:z]...), append(out.f, rs.f[int(a)*rs.stride:int(z)*rs.stride]...)
		out.an, out.per, out.seg = append(out.an, rs.an[a:z]...), append(out.per, rs.per[a:z]...), append(out.seg, rs.seg[a:z]...)
		out.vis, out.idx = append(out.vis, rs.vis[a:z]...), append(out.idx, rs.idx[a:z]...)
		out.gone, out.cut = append(out.gone, rs.gone[a:z]...), append(out.cut, rs.cut[a:z]...)
		out.start = append(out.start, int32(len(out.t)))
	}
	return out
}
