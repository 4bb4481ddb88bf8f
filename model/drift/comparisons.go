package drift

// Counts says how much the fleet has to tell.
type Counts struct {
	Units, Readings, Segments, Differences int
	CrossAnalyzer, CrossPeriod             int // differences between two analyzers, two periods
	SeveralAnalyzers                       int // analyzers in such differences
}

// comparisons are what the differences compare: how many there are, and of which
// instruments.
type comparisons struct {
	counts Counts
	met    []int // differences to another analyzer, by bias column
	metBy  []int // units with such a difference
}

// newComparisons counts what readings and cuts leave to compare.
func newComparisons(rs *readings, analyzers, periods int) comparisons {
	c := comparisons{met: make([]int, analyzers+periods), metBy: make([]int, analyzers+periods)}
	c.counts.Units = rs.units()
	seen := make([]bool, analyzers)
	lastMet := make([]int, len(c.met))
	for u := range rs.units() {
		for r := rs.start[u]; r < rs.start[u+1]; r++ {
			if !rs.gone[r] {
				c.counts.Readings++
			}
		}
		rs.eachDiff(u, func(i, j int) {
			c.counts.Differences++
			if a, b := rs.an[i], rs.an[j]; a != b && a >= 0 && b >= 0 {
				c.counts.CrossAnalyzer++
				seen[a], seen[b] = true, true
				for _, r := range [2]int{i, j} {
					c.meet(u, int(rs.an[r]), lastMet)
					if rs.per[r] >= 0 {
						c.meet(u, analyzers+int(rs.per[r]), lastMet)
					}
				}
			}
			if a, b := rs.per[i], rs.per[j]; a != b && a >= 0 && b >= 0 {
				c.counts.CrossPeriod++
			}
		})
	}
	c.counts.Segments = c.counts.Readings - c.counts.Differences
	for _, s := range seen {
		if s {
			c.counts.SeveralAnalyzers++
		}
	}
	return c
}

// meet counts a bias column in a difference of a unit to another analyzer, and the
// units that have one; last holds the unit counted last, plus one.
func (c *comparisons) meet(unit, col int, last []int) {
	c.met[col]++
	if last[col] != unit+1 {
		last[col] = unit + 1
		c.metBy[col]++
	}
}

// links counts comparisons of analyzer columns and joins those compared.
type links struct {
	cross  []int
	parent []int
}

func newLinks(f *Fleet) links {
	q := f.in.Analyzers + f.in.Periods
	l := links{make([]int, q), make([]int, q)}
	for a := range l.parent {
		l.parent[a] = a
	}
	for u := range f.in.Series {
		f.eachDiff(u, func(i, j int) {
			l.join(f.an[i], f.an[j], 0)
			l.join(f.per[i], f.per[j], f.in.Analyzers)
		})
	}
	return l
}

func (l links) join(a, b int32, offset int) {
	if a == b || a < 0 || b < 0 {
		return
	}
	x, y := int(a)+offset, int(b)+offset
	l.cross[x]++
	l.cross[y]++
	x, y = l.root(x), l.root(y)
	l.parent[max(x, y)] = min(x, y)
}

func (l links) root(a int) int {
	for l.parent[a] != a {
		a = l.parent[a]
	}
	return a
}

func (l links) component(a int) int {
	if l.cross[a] == 0 {
		return -1
	}
	return l.root(a)
}
