package words

import "fmt"

// SecondIDShared says that the register gives an id beside the serial to several boilers.
func SecondIDShared(id, serials string) string {
	return fmt.Sprintf("The register gives %q to %s, so it names none of them. Correct the id.", id, serials)
}

// SecondIDUnused says that nothing names a boiler, by its serial or by the id beside it.
func SecondIDUnused(id string) string {
	return fmt.Sprintf("Nothing on record names this boiler, by its serial or as %q. Correct the id if its visits name another.", id)
}

// CellSetAside says what is wrong with a cell, and that its line is used all the same.
func CellSetAside(message string, withReading bool) string {
	if withReading {
		return message + ". The reading it belongs to is left out; the rest of the line is used."
	}
	return message + ". The line is used without it."
}
