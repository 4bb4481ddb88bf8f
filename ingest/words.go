package ingest

import "fluedrift/ingest/reshape"

// Outcomes of a file.
const (
	WasRead    = "read"
	Refused    = "refused"
	Incomplete = "incomplete"
	NotOurs    = "not ours"
	SameBytes  = "same bytes"
	Skipped    = "skipped"
)

// Reasons why an entry of the folder is skipped or no export of ours. Folder is
// a folder with the name of a file: the files in it are read.
const (
	Folder      = "folder"
	noLayout    = "no-layout"
	badLayout   = "layout-wrong"
	aLink       = "link"
	aPipe       = "pipe"
	notAFile    = "not-a-file"
	notReadable = "not-readable"
)

// Reasons why a line is set aside, beside those of package parse.
const (
	wrongFieldCount = reshape.WrongFieldCount
	controlChar     = "control-char"
	blankRequired   = "blank-required"
	futureDate      = "future-date"
	outOfRange      = "out-of-physical-range"
	footerLine      = "footer-line"
	waterUnknown    = "water-unknown"
	visitIDTwice    = "visit-id-given-twice"
)
