package judge

// repeatCheck finds values on record more than once.
type repeatCheck struct{ *checker }

// copiedVisits finds values of a fire that repeat the visit before: every number recorded
// in both equal, and at least CopyFields of them; for as found also two, where neither
// reading has more. (As-left readings meet at the target, so two of theirs agree by
// chance.) The repeat is no measurement: it is left out, and the earlier reading stays the
// unit's state.
func (c repeatCheck) copiedVisits(s *series) {
	for k := 1; k < s.visits(); k++ {
		var f Finding
		for _, i := range s.visit(k) {
			j := c.copiedFrom(i, s.visit(k-1))
			if j < 0 {
				continue
			}
			c.lower(i, LeftOut)
			f.Readings, f.Against = append(f.Readings, i), append(f.Against, j)
		}
		if len(f.Readings) == 0 {
			continue
		}
		f.Kind = CopiedVisit
		c.add(s, f)
	}
}

// copiedFrom returns the reading of an earlier visit that i repeats, -1 if
// none.
func (c repeatCheck) copiedFrom(i int, earlier []int) int {
	x := &c.h.Readings[i]
	for _, j := range earlier {
		y := &c.h.Readings[j]
		if x.Condition == Between || y.Day == x.Day {
			continue
		}
		a := compare(x, y)
		few := x.Condition == AsFound && a.equal == 2 && a.oneOnly == 0
		if a.gas && a.differ == 0 && (a.equal >= c.r.CopyFields || few) {
			return j
		}
	}
	return -1
}

// copiedAsLefts finds as-left readings that repeat the as-found reading of their visit, so
// that the two are one measurement.
//
// Where no adjustment is recorded and CopyFields values agree, as left is
// marked: the pair counts once, and it says that nothing was changed. With
// fewer values two measurements of an untouched burner may well agree.
// Where an adjustment is recorded one of the two was never read, and nobody
// can tell which: as found leaves, as left stays as the unit's state only.
// That costs a difference and biases none.
func (c repeatCheck) copiedAsLefts(s *series) {
	for k := range s.visits() {
		found, left := c.first(s.visit(k), AsFound), c.first(s.visit(k), AsLeft)
		if found < 0 || left < 0 {
			continue
		}
		x, y := &c.h.Readings[found], &c.h.Readings[left]
		a := compare(x, y)
		if !a.gas || a.differ > 0 {
			continue
		}
		if c.flag(left) == Yes {
			c.lower(found, LeftOut)
			c.lower(left, StateOnly)
			c.add(s, Finding{Kind: CopiedAsLeft, Readings: []int{found, left}})
		} else if a.equal >= c.r.CopyFields {
			c.lower(left, Marked)
			c.add(s, Finding{Kind: CopiedAsLeft, Readings: []int{left}, Against: []int{found}})
		}
	}
}

// doubles finds one reading entered twice: same day, fire, condition and
// values, in one visit or in two. The first stays.
func (c repeatCheck) doubles(s *series) {
	for n, i := range s.order {
		x := &c.h.Readings[i]
		for m := n - 1; m >= 0 && c.h.Readings[s.order[m]].Day == x.Day; m-- {
			j := s.order[m]
			y := &c.h.Readings[j]
			if x.Condition == Between || y.Condition != x.Condition || !double(x, y) {
				continue
			}
			c.lower(i, LeftOut)
			c.add(s, Finding{Kind: ExactDouble, Readings: []int{i}, Against: []int{j}})
			break
		}
	}
}

// double reports whether two readings hold the same values and the same gaps.
func double(x, y *Reading) bool {
	a := compare(x, y)
	return a.gas && a.differ == 0 && a.oneOnly == 0
}
