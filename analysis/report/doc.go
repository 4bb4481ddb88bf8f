// Package report holds the rooms in which lists and pages are made from the rows of
// the analyses. Nothing is computed in them: every value comes from the row it is in.
//
//   - words: every sentence a person reads, made from kinds and numbers
//   - table: columns and cells, and the forms of a list: CSV, JSON, XLSX, Parquet, text
//   - lists: the columns of every list, and the days on the road
//   - page: the page of a publication, sheets, units, days and hindsight as HTML
//   - study: the vent study as tables, page and script
//
// A room imports those above it and none below.
package report
