// Package mend makes files of lines to be corrected and finds the corrected
// lines among the exports again.
//
// A file to mend has the header of an export, the lines as they stand in it, and
// one column more (Column) that says where each line stands and what is wrong
// with it. A person corrects the lines and puts the file among the exports,
// where it is read as one of them: Fits finds the layout of its export by its
// name, and Unguarded takes off the apostrophes that keep a spreadsheet from
// computing a cell. A file to mend is of the kind its export is of: a workbook is
// mended in a workbook. A Parquet file is made by a program and no spreadsheet
// opens it: its lines are corrected where they come from.
//
// Files makes them; FindReturned tells which lines a corrected one stands in place
// of. The package reads exports and makes bytes; where those are written, and
// which lines are wrong, is decided elsewhere.
package mend
