// Package ingest reads exported files and loads typed rows into the schemas
// source and record of the warehouse; it is their only writer.
//
// The steps, in order: find the files of the exports folder (find.go); match
// each to the one declared layout that fits (package layout); read it once, from
// end to end (pass.go): cut it into lines and cells (packages lines and book),
// turn cells into values (package parse), store rows with stable hashes of key
// and content (emit.go, hash.go) in Arrow batches (table.go, schema.go). Only its
// end may show that a file must not be read (encoding, quotes, the end of the last
// line, days that contradict the declared order, a second header whose columns
// stand in another order): then its rows are taken back, loaded or not.
//
// A file that no layout fits gets one proposed (package draft), and what is wrong
// goes out and comes back corrected (package mend).
//
// A bad line is a record: it is set aside with file, line, column, value and
// reason. A bad file is refused with a reason and never stops the others. Every
// line of a file that is read ends in exactly one of header, blank, skipped,
// set aside, parsed and joined (read into a parsed line by a step), and their sum is
// checked. A quoted cell with line ends in it counts as one line, numbered by the
// physical line it begins in.
//
// What is deliberately not decided here: which of two lines of one key counts,
// doubles, what was in force on a day, whether a serial is in the register and
// whether a reading lies before the install day. Those are relations between
// files and are decided in the warehouse; the rows are the same in whatever
// order the files are read.
//
// Memory does not grow with the size of a file but for the hashes of its lines
// in the long form, at most 64 bytes each, and rows that a step holds (package reshape),
// which end at 32 MiB; all else of this package stays below
// 96 MiB (TestMemory, TestHostileFiles), but for the shared texts of a workbook,
// of which 256 MiB are held at most, 32 bytes of them counted for each text, and
// for tables that steps join, of which as much is held of each at most. One
// line is at most 16 MiB; a batch has 122,880 rows or, in one column, 16 MiB of
// text. The engine's share is set where the warehouse is made, and that of the
// process that reads a Parquet file in package parquet.
package ingest
