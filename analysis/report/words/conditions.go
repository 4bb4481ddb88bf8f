package words

// InAirOf states the condition a probability is of: the air to be expected on its day
// and not a reference temperature, with the spread of a single day about the season.
func InAirOf(day string) string {
	return ", in the combustion air expected on " + day + ", with its spread about the season included"
}
