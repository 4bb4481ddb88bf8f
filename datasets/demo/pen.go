package demo

// pen is how the offices of a world write: which gases, and how finely.
type pen struct {
	gases   Gases
	display bool
}

// newPen returns the pen of a world.
func newPen(w *World) pen { return pen{gases: w.Gases, display: w.Display} }

// writesCO2 reports whether an office has a CO2 column in this world.
func (p pen) writesCO2(office int) bool {
	return p.gases == OnlyCO2 || p.gases == AsOffices && office != BookOffice
}

// writesO2 reports whether an office has an O2 column in this world.
func (p pen) writesO2(office int) bool {
	return p.gases == OnlyO2 || p.gases == AsOffices && (office == LongOffice || office == BookOffice)
}

// gasDecimals returns the decimals with which a gas is written.
func (p pen) gasDecimals(gas Gases) int {
	if p.display && !(gas == OnlyO2 && p.gases == OnlyO2) {
		return 1
	}
	return 4
}

// GasText writes a gas as the offices do, % by volume dry; NaN as "".
func (p pen) GasText(percent float64, gas Gases) string {
	return number(percent, p.gasDecimals(gas))
}

// tempDecimals returns the decimals of temperatures: none on a display.
func (p pen) tempDecimals(fine int) int {
	if p.display {
		return 0
	}
	return fine
}
