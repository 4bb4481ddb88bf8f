package judge

// limitCheck finds readings beyond what a burner, a fuel or a setting allows.
type limitCheck struct{ *checker }

// limits finds readings that complete combustion with enough air cannot show.
func (c limitCheck) limits(s *series) {
	for _, i := range s.order {
		x := &c.h.Readings[i]
		c.overCO2Max(s, i, x)
		if x.Condition != Between {
			c.richPossible(s, i, x)
		}
	}
}

// overCO2Max finds a recorded CO2 above what the fuel can make: the fuel
// label, the analyzer's fuel or the number is wrong.
func (c limitCheck) overCO2Max(s *series, i int, x *Reading) {
	fuel := c.r.Fuels[x.Fuel]
	if !fuel.Declared() || !(x.CO2Percent > fuel.CO2MaxPercent+c.r.OverCO2MaxPoints+hair) {
		return
	}
	c.lower(i, LeftOut)
	c.add(s, Finding{Kind: OverCO2Max, Readings: []int{i}, Facts: FuelLimit{CO2MaxPercent: fuel.CO2MaxPercent}})
}

// richPossible finds O2 below RichO2Percent, and CO over the analyzer's range
// or in the thousands. The same CO2 occurs on both sides of stoichiometric, so
// a CO2 inside its action band then says nothing and is left out; one outside
// it stays the unit's state.
func (c limitCheck) richPossible(s *series, i int, x *Reading) {
	sign := c.sign(x)
	if sign == NoSign {
		return
	}
	use := LeftOut
	if action, _ := c.r.Action(&x.Target, x.Fuel); action.Side(c.r.surely(x)) >= Rich {
		use = StateOnly
	}
	c.lower(i, use)
	c.add(s, Finding{Kind: RichPossible, Readings: []int{i}, Facts: TooLittleAir{Sign: sign}})
}

// sign returns what in a reading points to too little air.
func (c limitCheck) sign(x *Reading) AirSign {
	switch {
	case x.O2Percent < c.r.RichO2Percent-hair:
		return LowO2
	case x.COPPM >= 0 && x.COLimit == Above:
		return COOverRange
	case x.COPPM >= c.r.RichCOPPM && x.COLimit == "":
		return HighCO
	}
	return NoSign
}

// farAsLefts finds as-left readings further from target than FarBands setting bands after
// an adjustment. A fresh as-left reading has no second reading to test it by: it opens nothing in
// the fit, and is the unit's state as long as nothing newer is known.
func (c limitCheck) farAsLefts(s *series) {
	for k := range s.visits() {
		found, left := c.first(s.visit(k), AsFound), c.first(s.visit(k), AsLeft)
		if left < 0 || c.wrong[left] || !c.adjusted(found, left) {
			continue
		}
		x := &c.h.Readings[left]
		side := c.r.Setting(&x.Target, x.Fuel).Scaled(c.r.FarBands).Side(c.r.Deviation(x))
		if side < Rich {
			continue
		}
		c.lower(left, StateOnly)
		c.add(s, Finding{Kind: AsLeftFar, Readings: []int{left}, Facts: FarOff{Side: side}})
	}
}
