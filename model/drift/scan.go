package drift

import (
	"context"
	"math"
	"slices"
)

// WholeFleet is the Group of a step that all units share.
const WholeFleet = -1

// minStraddling is how many differences must span a day before a step on that
// day is looked for.
const minStraddling = 30

// StepTest is what the readings say of a step of all true levels of a group at
// one time: the coefficient that the column "0 before, 1 after" would have if it
// were added to the fit, at the fit's ratios.
type StepTest struct {
	Group       int // WholeFleet, or as given
	T           float64
	Size, SE, Z float64 // points; Z = Size/SE
	Straddling  int     // differences that span the time
	// Kept is the share of the information on the step that the analyzers'
	// biases leave: where it is small a change of instruments or of their
	// calibration explains the step as well.
	Kept float64
}

// scanRoom is how many numbers a scan may hold: a row of biases a candidate.
const scanRoom = 1 << 23

// minPull is the pull, c'P r over its standard deviation before anything is
// eliminated, from which a candidate is worth its elimination.
const minPull = 2

// stepScan looks for steps in what a solution leaves, some groups a pass: candidate k is
// group first+k/len(times) at time k%len(times).
type stepScan struct {
	*solution
	plain         []float64 // plainFactor
	times         []float64
	group         []int
	members       [][]int // units of each group, in order
	first, groups int
}

// newStepScan makes one.
func newStepScan(s *solution, times []float64, group []int, groups int) (*stepScan, error) {
	plain, err := plainFactor(s)
	if err != nil {
		return nil, err
	}
	members := make([][]int, groups)
	for u, g := range group {
		if g >= 0 && g < groups {
			members[g] = append(members[g], u)
		}
	}
	return &stepScan{solution: s, plain: plain, times: times, group: group, members: members}, nil
}

// units are those of the groups that a pass looks at, in order.
func (s *stepScan) units() (all []int) {
	if s.first == WholeFleet {
		for u := range s.group {
			all = append(all, u)
		}
		return all
	}
	for _, of := range s.members[s.first : s.first+s.groups] {
		all = append(all, of...)
	}
	slices.Sort(all)
	return all
}

// groupsAtOnce is how many groups one pass looks at.
func (s *stepScan) groupsAtOnce() int {
	return min(max(1, scanRoom/max(1, len(s.times)*len(s.f.layout.of))), 32)
}

// candidate returns the first candidate of unit u, -1 where its group is not looked at.
func (s *stepScan) candidate(u int) int {
	g := s.group[u]
	if s.first == WholeFleet {
		g = WholeFleet
	}
	if g < s.first || g >= s.first+s.groups {
		return -1
	}
	return (g - s.first) * len(s.times)
}

// pass tests the candidates of the groups that it looks at.
func (s *stepScan) pass(ctx context.Context) (out []StepTest, err error) {
	total, err := s.scan(ctx)
	if err != nil {
		return nil, err
	}
	for k := range s.groups * len(s.times) {
		if total.n[k] < minStraddling || !s.promising(total, k) {
			continue
		}
		test := s.step(total, k)
		if !math.IsNaN(test.Z) {
			test.Group, test.T, test.Straddling = s.first+k/len(s.times), s.times[k%len(s.times)], total.n[k]
			out = append(out, test)
		}
	}
	return out, nil
}

// promising tells from the pull whether a candidate can be a step.
func (s *stepScan) promising(total *scanSums, k int) bool {
	q, m := s.q, s.sums.m
	pull := total.cx[k*m+m-1]
	for i, b := range s.beta {
		pull -= b * total.cx[k*m+i]
	}
	for a, u := range s.u {
		pull -= s.scale[a] * u * total.cz[k*q+a]
	}
	return pull*pull > minPull*minPull*total.cc[k]*s.sigma*s.sigma
}

// scanSums are the products of every candidate's column with itself, with the
// coefficients' and d, and with the biases' columns, under P.
type scanSums struct {
	q, m int
	n    []int
	cc   []float64
	cx   []float64 // m a candidate
	cz   []float64 // q a candidate, of the whole
	czs  entries   // of a part
}

func newScanSums(candidates, q, m int) *scanSums {
	return &scanSums{q: q, m: m, n: make([]int, candidates), cc: make([]float64, candidates), cx: make([]float64, candidates*m)}
}

func (s *scanSums) plus(o *scanSums) {
	for k, n := range o.n {
		s.n[k] += n
	}
	addTo(s.cc, o.cc)
	addTo(s.cx, o.cx)
	o.czs.addTo(s.cz)
}

func (s *scanSums) reset() {
	clear(s.n)
	clear(s.cc)
	clear(s.cx)
	s.czs.reset()
}

// scan sums over the units, shard by shard in their order.
func (s *stepScan) scan(ctx context.Context) (*scanSums, error) {
	f := s.f
	q, m := f.in.Analyzers+f.in.Periods, len(f.used)+1
	n, units := s.groups*len(s.times), f.units()
	parts, listed := parts(units), s.units()
	total := newScanSums(n, q, m)
	total.cz = make([]float64, n*q)
	orderedReduce(parts, s.o.Workers, func() (work func(int), add func()) {
		k, part := newKernel(f, s.th), newScanSums(n, q, m)
		work = func(shard int) {
			part.reset()
			first, _ := slices.BinarySearch(listed, shard*units/parts)
			for _, u := range listed[first:] {
				if u >= (shard+1)*units/parts || ctx.Err() != nil {
					break
				}
				part.unit(s, k, u)
			}
		}
		return work, func() { total.plus(part) }
	})
	return total, ctx.Err()
}

// unit adds one unit: its columns are those of the times some difference spans.
func (s *scanSums) unit(scan *stepScan, k *kernel, u int) {
	f, to := k.f, scan.candidate(u)
	if to < 0 {
		return
	}
	k.gather(u)
	var spanned, count []int
	at := make([]int, len(scan.times))
	for t, time := range scan.times {
		at[t] = -1
		for _, d := range k.diffs {
			if f.t[d.i] < time && time <= f.t[d.j] {
				if at[t] < 0 {
					at[t] = len(spanned)
					spanned, count = append(spanned, t), append(count, 0)
				}
				count[at[t]]++
			}
		}
	}
	if len(spanned) == 0 {
		return
	}
	first := k.p + 2 + len(k.cols)
	ok := k.pass(len(spanned), func(i int, row []float64) {
		d := k.diffs[i]
		for c, t := range spanned {
			if time := scan.times[t]; f.t[d.i] < time && time <= f.t[d.j] {
				row[first+c]++
			}
		}
	})
	if !ok {
		return
	}
	k.absorb()
	for c, t := range spanned {
		s.add(k, first+c, to+t, count[c])
	}
}

// add takes column c of the kernel as one of candidate to.
func (s *scanSums) add(k *kernel, c, to, n int) {
	s.n[to] += n
	s.cc[to] += k.at(c, c)
	for i, x := range k.xs {
		s.cx[to*s.m+int(x)] += k.at(c, i)
	}
	s.cx[to*s.m+s.m-1] += k.at(c, k.p)
	for z, col := range k.cols {
		s.czs.at, s.czs.value = append(s.czs.at, int32(to*s.q+int(col))), append(s.czs.value, k.at(c, k.p+2+z))
	}
}

// plainFactor is the Cholesky factor of X'P X, the biases left where they are.
func plainFactor(s *solution) ([]float64, error) {
	m := s.sums.m
	l := append([]float64{}, s.sums.xx...)
	for k := range m - 1 {
		for j := range k + 1 {
			sum := l[k*m+j]
			for i := range j {
				sum -= l[k*m+i] * l[j*m+i]
			}
			if j < k {
				l[k*m+j] = sum / l[j*m+j]
				continue
			}
			if !(sum > 0) {
				return nil, ErrPivot
			}
			l[k*m+k] = math.Sqrt(sum)
		}
	}
	return l, nil
}

// step eliminates the biases and the coefficients from a candidate's column, and
// fits what is left; Z is NaN where nothing is.
func (s *stepScan) step(total *scanSums, k int) StepTest {
	q, m := s.q, s.sums.m
	p := m - 1
	x := append([]float64{}, total.cx[k*m:(k+1)*m]...)
	cc, alone := total.cc[k], total.cc[k]
	for _, w := range forward(s.plain, x[:p], m) {
		alone -= w * w
	}
	if q > 0 {
		z := make([]float64, q)
		for a := range z {
			z[a] = s.scale[a] * total.cz[k*q+a]
		}
		s.f.layout.solveFewT(s.sums.zz, z)
		for a, za := range z {
			if za == 0 { // of instruments that never meet the group
				continue
			}
			cc -= za * za
			for i, v := range s.v[a*m : (a+1)*m] {
				x[i] -= za * v
			}
		}
	}
	pull := x[p]
	for i, w := range forward(s.lx, x[:p], m) {
		cc -= w * w
		pull -= w * s.lx[p*m+i]
	}
	out := StepTest{Z: math.NaN()}
	if !(cc > 1e-6*total.cc[k]) || s.dof <= 1 {
		return out
	}
	out.Size = pull / cc
	out.SE = math.Sqrt(math.Max(0, s.rss-pull*pull/cc) / (s.dof - 1) / cc)
	out.Z, out.Kept = out.Size/out.SE, cc/alone
	return out
}

// forward solves L w = x for a lower triangle with rows of m.
func forward(l, x []float64, m int) []float64 {
	w := make([]float64, len(x))
	for i := range w {
		sum := x[i]
		for j := range i {
			sum -= l[i*m+j] * w[j]
		}
		w[i] = sum / l[i*m+i]
	}
	return w
}
