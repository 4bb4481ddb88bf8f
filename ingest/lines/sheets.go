package lines

import "fmt"

// SheetLines is how far the numbers of lines of one sheet are apart from those of the
// next where several are read: line 2000012 is row 12 of the third.
const SheetLines = 1_000_000

// Top says what a line above the rows of a further sheet is: it is no row of the file.
type Top uint8

// A line may be none, stand above the header of a further sheet, or be in that header.
const (
	NoTop Top = iota
	AboveHeader
	InHeader
)

// InSheet says in words where a line of one of several sheets stands.
func InSheet(sheet string, number int) string {
	return fmt.Sprintf("sheet %q, row %d", sheet, number%SheetLines)
}
