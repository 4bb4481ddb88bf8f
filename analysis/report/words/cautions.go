package words

// Caution is the shortest of them, for a place that holds no more than a line.
func Caution() string {
	return "Only licensed contractors work on gas appliances. This list judges records; it clears no boiler to run."
}

// Cautions stand at the head or foot of every list. A CSV has no room for
// them: there they go into a file beside it (WriteCautions).
func Cautions() []string {
	return []string{
		"Only licensed contractors work on gas appliances; shut off gas and power before opening one.",
		"The appliance's own instructions and the local code come before anything on this list.",
		"A CO2 inside its band does not show that a vent is clear.",
		"The numbers are statistics of what was recorded. This list judges records, not boilers. It clears no boiler to run.",
	}
}
