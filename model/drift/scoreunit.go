package drift

// scoreDesk is what one worker sums a shard of units on.
type scoreDesk struct {
	*scoring
	scoreSums
	deletion
	own   []int     // places of the free parts that have a column of their own
	slope int       // place of the units' slopes among the free parts, -1 where held
	local []float64 // posterior covariance of the unit's columns, lower triangle
	w     []float64 // P_u W, a row a difference
	one   []float64
}

func newScoreDesk(c *scoring) *scoreDesk {
	d := &scoreDesk{scoring: c, scoreSums: *newScoreSums(len(c.free), c.sums.m-1), slope: -1}
	d.kernel = newKernel(c.f, c.th)
	d.keep = true
	for i, k := range c.free {
		if k == 1 {
			d.slope = i
			continue
		}
		d.own = append(d.own, i)
	}
	return d
}

func (d *scoreDesk) reset() { d.scoreSums.reset() }

// unit adds one unit. Its e, and what P_u has on and beside the diagonal, are those of
// the statistics of deletion.
func (d *scoreDesk) unit(u int) {
	d.run(d.fit, u)
	k := d.kernel
	if len(k.diffs) == 0 {
		return
	}
	first := k.p + 2 + len(k.cols)
	k.pass(len(d.own), func(at int, row []float64) {
		for c, i := range d.own {
			row[first+c] += d.moved(d.free[i]-2, at)
		}
	})
	k.absorb()
	d.products(first)
	d.covariance(u)
	d.columns(first)
	for i, part := range d.free {
		switch part {
		case 0:
			d.wandering(i)
		case 1:
			d.slopes(i)
		default:
			d.unknown(i, part-2)
		}
	}
}

// moved is f_k of one difference: of wandering (part -2), or of a part of the biases.
func (d *scoreDesk) moved(part, at int) float64 {
	if part < 0 {
		return d.diffs[at].h * d.a[at]
	}
	row := &d.rows[at]
	sum := 0.0
	if z := row.z[part]; z >= 0 {
		sum -= d.shown[d.cols[z]]
	}
	if z := row.z[part+2]; z >= 0 {
		sum += d.shown[d.cols[z]]
	}
	if row.blind[part] != 0 {
		sum -= d.own1(at)
	}
	if row.blind[part+2] != 0 {
		sum += d.own2(at)
	}
	return sum
}

// own1 and own2 are e seen by the earlier and by the later reading of a difference: the
// product with a column that is 1 at this reading alone.
func (d *scoreDesk) own1(at int) float64 {
	if d.diffs[at].off != 0 {
		return d.a[at-1] - d.a[at]
	}
	return -d.a[at]
}

func (d *scoreDesk) own2(at int) float64 {
	if at+1 < len(d.diffs) && d.diffs[at+1].off != 0 {
		return d.a[at] - d.a[at+1]
	}
	return d.a[at]
}

// products adds those of the f_k; that of the slopes is a multiple of the column h.
func (d *scoreDesk) products(first int) {
	k, n := d.kernel, len(d.free)
	he := 0.0
	for at := range k.diffs {
		he += k.diffs[at].h * d.a[at]
	}
	column := func(i int) (c int, times float64) {
		if i == d.slope {
			return k.p + 1, he
		}
		c = first
		for _, o := range d.own {
			if o == i {
				return c, 1
			}
			c++
		}
		return c, 1
	}
	for i := range n {
		ci, ti := column(i)
		for j := range n {
			cj, tj := column(j)
			d.ff[i*n+j] += ti * tj * k.at(ci, cj)
		}
		for c, x := range k.xs {
			d.xf[int(x)*n+i] += ti * k.at(ci, c)
		}
		for z, col := range k.cols {
			d.zfs.at, d.zfs.value = append(d.zfs.at, col*int32(n)+int32(i)), append(d.zfs.value, ti*k.at(ci, k.p+2+z))
		}
	}
}

// covariance fills local for the unit's coefficients, then its biases.
func (d *scoreDesk) covariance(u int) {
	k, c := d.kernel, d.cov
	n := k.p + len(k.cols)
	d.local = zeros(d.local, n*n)
	for i, x := range k.xs {
		for j, y := range k.xs[:i+1] {
			d.local[i*n+j] = c.beta[int(x)*c.p+int(y)]
		}
	}
	pairs := k.f.pairs.of(u)
	for a, col := range k.cols {
		row, ta := d.local[(k.p+a)*n:], c.scale[col]
		wc := c.wc[int(col)*c.p:][:c.p]
		for j, y := range k.xs {
			row[j] = -ta * wc[y]
		}
		for b, other := range k.cols[:a+1] {
			sum := c.inv[pairs[b]]
			w := c.w[int(other)*c.p:][:len(wc)]
			for x, v := range wc {
				sum += v * w[x]
			}
			row[k.p+b] = ta * c.scale[other] * sum
		}
		pairs = pairs[a+1:]
	}
}

// quadratic is the product of a column of P_u W with itself under the covariance.
func (d *scoreDesk) quadratic(w []float64) float64 {
	n, sum := len(w), 0.0
	for i, wi := range w {
		if wi == 0 {
			continue
		}
		row := d.local[i*n : i*n+i]
		left := 0.0
		for j, x := range row {
			left += x * w[j]
		}
		sum += wi * (2*left + d.local[i*n+i]*wi)
	}
	return sum
}

// columns fills P_u W by back substitution of the rows that the forward pass kept, and
// takes the slope out.
func (d *scoreDesk) columns(first int) {
	k := d.kernel
	n, h := k.p+len(k.cols), k.p+1
	tau2 := k.th.Tau * k.th.Tau
	d.w = zeros(d.w, n*len(k.diffs))
	for at := len(k.diffs) - 1; at >= 0; at-- {
		row := k.kept[at*k.c : at*k.c+first]
		if at+1 < len(k.diffs) && d.sub[at+1] != 0 {
			for c, x := range k.kept[(at+1)*k.c : (at+1)*k.c+first] {
				row[c] -= d.sub[at+1] * x
			}
		}
		inv := 1 / d.l[at]
		for c := range row {
			row[c] *= inv
		}
		out, of := d.w[at*n:(at+1)*n], tau2*row[h]
		for c := range out {
			from := c
			if c >= k.p {
				from += 2
			}
			out[c] = row[from] - of*k.at(h, from)
		}
	}
}

// row is one of P_u W.
func (d *scoreDesk) row(at int) []float64 {
	n := len(d.w) / len(d.diffs)
	return d.w[at*n : (at+1)*n]
}

// wandering adds trace and square of V_q = diag(h).
func (d *scoreDesk) wandering(i int) {
	for at := range d.diffs {
		h := d.diffs[at].h
		d.trace[i] += h * (d.diag[at] - d.quadratic(d.row(at)))
		d.square[i] += h * d.a[at] * d.a[at]
	}
}

// slopes adds those of V_tau = h h'.
func (d *scoreDesk) slopes(i int) {
	k := d.kernel
	h, n := k.p+1, k.p+len(k.cols)
	d.one = zeros(d.one, n)
	for c := range d.one {
		from := c
		if c >= k.p {
			from += 2
		}
		d.one[c] = k.at(h, from)
	}
	he := 0.0
	for at := range d.diffs {
		he += d.diffs[at].h * d.a[at]
	}
	d.trace[i] += k.at(h, h) - d.quadratic(d.one)
	d.square[i] += he * he
}

// unknown adds those of the readings whose analyzer, or period, nobody knows: each is a
// bias seen once.
func (d *scoreDesk) unknown(i, part int) {
	for at := range d.diffs {
		row := &d.rows[at]
		if row.blind[part] != 0 && d.diffs[at].off == 0 {
			d.trace[i] += d.diag[at] - d.quadratic(d.row(at))
			d.square[i] += square(d.own1(at))
		}
		if row.blind[part+2] == 0 {
			continue
		}
		d.square[i] += square(d.own2(at))
		if at+1 == len(d.diffs) || d.diffs[at+1].off == 0 {
			d.trace[i] += d.diag[at] - d.quadratic(d.row(at))
			continue
		}
		d.one = append(d.one[:0], d.row(at)...)
		for c, x := range d.row(at + 1) {
			d.one[c] -= x
		}
		d.trace[i] += d.diag[at] + d.diag[at+1] - 2*d.off[at+1] - d.quadratic(d.one)
	}
}
