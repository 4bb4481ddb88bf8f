package vent

// What the tests compare with published figures, and no other package calls.
var (
	ElbowK       = elbowK
	TerminalK    = terminalK
	Churchill    = churchill
	Density      = density
	AirViscosity = airViscosity
)

func (s Stream) DensityKgM3() float64                 { return s.densityKgM3() }
func (s Stream) VelocityMS(diameterM float64) float64 { return s.velocityMS(diameterM) }
func (s Stream) Reynolds(diameterM float64) float64   { return s.reynolds(diameterM) }
