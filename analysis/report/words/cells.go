package words

// CellSetAside says what is wrong with a cell, and that its line is used all the same.
func CellSetAside(message string, withReading bool) string {
	if withReading {
		return message + ". The reading it belongs to is left out; the rest of the line is used."
	}
	return message + ". The line is used without it."
}
