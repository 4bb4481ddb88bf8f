// Package reshape does to the rows of a file what the steps of its layout say,
// before any field is read: blank cells are filled from above, one cell is cut into
// several, rows are left out or put together. What comes out are rows as before, under
// a header with the columns that the steps made.
//
// A step sees rows alone. What lies above the header, blank lines, repeated headers,
// and lines that the layout skips pass by untouched, and so do lines that cannot be
// told apart or that have too many cells: they are what they would be without steps.
// The header is one line by then, at the number that the layout declares or later.
//
// No line is lost: a row that is left out says why (lines.Line.Left), a row made of
// several has the others with it (Joined), a cell that does not fit is a fault of that
// cell (Wrong), and what a step could not use is counted (Notes).
package reshape
