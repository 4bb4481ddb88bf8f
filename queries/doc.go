// Package queries keeps the warehouse: one file that holds what the exports
// said, put in relation. It is the only package that knows the database and
// SQL, and it imports no other package of the project.
//
// The SQL lies in six folders, a question or a relation a file:
//
//	build  NN_name.sql, run in order: listing the folder shows the data's way.
//	       01-09 make the empty tables of the schemas source and record,
//	       10 and up make the schemas joined and about from them.
//	load   one insert a table, from the record batch being loaded.
//	discard  takes back the loaded rows of a file that must not be read.
//	read   one question each, answered to Go.
//	comment  what each relation and column holds: columns.csv is the table, and a
//	       file a relation the statements made of it, for those who open the file with another program.
//	check  each returns the rows that are wrong, none when all is well.
//
// The steps of a warehouse's life, in order: Create, Load as often as needed,
// Build once, Load of result tables, Close; then Open, which only reads. A
// warehouse is disposable: it is made whole from the exports and never changed
// in place.
//
// A Parquet export is read by the engine too, in a session of its own
// (OpenParquet): the session of a warehouse may not look at files.
//
// The package decides relations (which line stands, what was in force on a
// day, in which order a unit's readings were taken) and nothing else: cells
// are read before it, physics and judgement come after it, and no sum of
// floating-point numbers is taken in SQL.
//
// Missing values are NULL in the database and NaN, "", day.None or -1 in Go. Days
// count from 1970-01-01. Units of measure are in the names.
package queries
