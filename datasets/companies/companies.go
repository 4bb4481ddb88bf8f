// Package companies invents what other companies hand over: exports in styles that no
// layout of ours was written for, with the truth of what they say beside, so that a
// test can count the columns a draft maps, the lines it reads, the values it gets right
// and the boilers it invents. It is for tests only.
//
//   - Branch: the branch of a service company whose people type into workbooks. A
//     workbook a year, a sheet a month or a quarter, headers over two lines with merged
//     cells, German words, decimal commas, days without their year, a register with
//     semicolons in windows-1252.
//   - App: a company whose people type into a telephone. JSON lines with the readings of
//     a visit inside it, keys that an update renamed, milliseconds in older records, and
//     tables dumped from the database behind it.
//
// Both make the mistakes people make: ids misspelt, rows doubled and corrected, blank
// cells, a unit of measure other than the column's, a decimal point forgotten. The
// styles are common practice, no source; the companies, their people and places are
// invented. The same seed gives the same bytes. The package knows no clock and reads no
// file.
package companies

import (
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Company is what a company hands over, what is true, and what its people know.
type Company struct {
	Name  string
	AsOf  day.Day // the day it is handed over
	Files []File
	// Copy is one of the files under another name, as a second download is. It is not
	// among Files.
	Copy  File
	Truth Truth
	Known Known
}

// File is one export.
type File struct {
	Name string // with the folder it lies in, by slashes
	Data []byte
	// Record is what its lines are: readings, units, analyzers, or "" where they are
	// nothing that a list is made of.
	Record string
	Lines  int // that hold a record: no titles, headers, blank lines and footers
	// Useful are the columns that a list is made of.
	Useful []Column
}

// Column is one column of a file and the field that it truly is.
type Column struct {
	// Header is its header, a part a line of the header or, in JSON, a key a level.
	Header []string
	Field  string
	Fire   judge.Fire      // of a column of readings in the wide form
	Cond   judge.Condition // of a column of readings in the wide form
	Unit   string          // in which its cells are written; "" for none
}

// Truth is what the files say, read by somebody who knows the company.
type Truth struct {
	Boilers      []Boiler
	Readings     []Reading
	Calibrations []Calibration
}

// Boiler is a line of the register. A number that is not known is NaN, a day day.None.
type Boiler struct {
	ID, SecondID               string
	Site, Area, ModelLine      string
	Fuel                       string // natural gas | propane
	InputKW                    float64
	Installed, Removed         day.Day
	Standby                    bool
	Sealed                     bool // combustion air from outside through a run of its own
	VentDiameterM, VentLengthM float64
	Elbows90                   int
	Material                   string
}

// Reading is one set of gas values, rounded as it is written. A number that is not
// written is NaN.
type Reading struct {
	ID                        string
	Day                       day.Day
	Fire                      judge.Fire
	Condition                 judge.Condition
	CO2, O2, COPPM, Flue, Air float64
	COBasis                   string // as measured | air-free
	File                      string
	Row                       int // of the file or of its sheet, from 1
	Sheet                     string
	// Fault says what is wrong with the row as it is written; "" for nothing. What is
	// doubled stands here once, what was corrected with the values that are right.
	Fault Fault
}

// Fault is a mistake of somebody who typed.
type Fault string

// Faults. Misspelt and OtherUnit can be read by somebody who is told how; the others
// are for a person to decide.
const (
	Misspelt  Fault = "id spelt otherwise"
	OtherUnit Fault = "unit of measure in the cell"
	Doubled   Fault = "row twice"
	Corrected Fault = "row corrected by a later one"
	NoPoint   Fault = "decimal point forgotten"
)

// Calibration is what a calibration found.
type Calibration struct {
	Analyzer   string
	Day        day.Day
	FoundError float64 // points of CO2 that the analyzer read high
}

// Known is what the people of a company answer when they are asked.
type Known struct {
	// Targets are in points of CO2, by model line and fuel; the bands in points.
	Targets                 []Target
	SettingBand, ActionBand float64
	// Words are the words of an export by ours; "column|word" where a word means something
	// else in another column.
	Words map[string]string
	// IDShape is how ids are written, letters as themselves and 0 for a digit.
	IDShape, AnalyzerShape string
	DayOrder               string // of dates in figures: day first, month first
	Zone                   string // of stamps that name none, as the tz database writes it
	COBasis                map[string]string
	Remarks                []string // what else they would say
}

// Target is the CO2 that the instructions of a model line ask for.
type Target struct {
	ModelLine, Fuel string
	High, Low       float64
}

// All gives both companies.
func All(seed uint64) ([]Company, error) {
	branch, err := Branch(seed)
	if err != nil {
		return nil, err
	}
	app, err := App(seed)
	return []Company{branch, app}, err
}

// stream gives the random numbers that belong to one thing.
func stream(seed uint64, keys ...uint64) *rand.Rand {
	h := seed ^ 0x9e3779b97f4a7c15
	for _, k := range keys {
		h = (h ^ k) * 0xbf58476d1ce4e5b9
		h ^= h >> 29
	}
	return rand.New(rand.NewPCG(seed, h))
}

// one gives one of several things.
func one[T any](r *rand.Rand, things []T) T { return things[r.IntN(len(things))] }

// round rounds to a number of decimals.
func round(x float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(x*p) / p
}
