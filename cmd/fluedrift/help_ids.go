package main

import (
	"fmt"
	"io"
)

// helpIDs says how ids that are written in several ways become one.
func helpIDs(w io.Writer) {
	fmt.Fprint(w, `One boiler has one serial, however people write it. What only a person can know is declared in
fluedrift.toml and holds for all exports, targets and promises; nothing is joined that is not declared.

  [ids]
  serial           = "B-0000"          # or several: ["B-0000", "K/000"]
  serial_aliases   = "serials.csv"
  analyzer         = "A-00"
  analyzer_aliases = "analyzers.csv"
  analyzer_users   = "who_used.csv"

A shape says how ids are written
  0   a digit; missing ones are zeros at the left
  #   a number of any length
  ?   a letter
  \   in front of a character that stands for itself
  -   this, a blank and . _ / : , | separate, and so do other dashes; people leave them out or exchange them
  any other character stands for itself

  "B-0000"   B0102, b-102, B 102 and B.0102 are B-0102. B-10102, C-0102, 0102 and B-0102/2 stay as they are.
  "K/000"    k7 and K-007 are K/007
  "SN#"      sn 710 and SN00710 are SN710
  "??-00"    qz7 is QZ-07

A register in which two serials become one is an error that names both lines.

A file of aliases names ids that no shape explains: an old number, a plate, a slip that comes back. It goes
before the shapes; letter case does not count. Other columns are remarks.
  written,id,remark
  P-1187,B-0102,plate of the manufacturer
  B-0201,B-0102,the office mistook it for years

Who used which analyzer stands for the analyzer that a reading does not name. Days are both counted; blank is open.
  technician,from,to,analyzer
  T07,,2022-06-30,A-04
  T07,2022-07-01,,A-11
`)
}
