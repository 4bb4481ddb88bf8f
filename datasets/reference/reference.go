// Package reference holds published figures, one file a subject, for tests to
// loop over. It contains no figure the project made up.
//
// A row says what was printed where, or how the figure follows, and how far it
// was verified: seen (in the document, or in a copy or quotation of it where
// the row says so), arithmetic (an identity stated in the document column), or
// memory. A tolerance is half the last printed digit unless the table's own
// rounding, or a gas it does not state, asks for more.
package reference

import (
	"embed"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
)

//go:embed *.csv
var files embed.FS

// columns is the heading every file must have.
var columns = []string{"id", "quantity", "inputs", "expected", "unit", "tolerance", "document", "table", "edition", "verified"}

// Figure is one published figure.
type Figure struct {
	ID, Quantity             string
	Inputs                   map[string]string // "gas=methane; air=20.95" by name
	Expected, Tolerance      float64           // in Unit
	Unit                     string
	Document, Table, Edition string
	Verified                 string // seen | arithmetic | memory
}

// Number returns an input as a number; NaN where it is missing or none.
func (f Figure) Number(input string) float64 {
	v, err := strconv.ParseFloat(f.Inputs[input], 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// Figures returns the figures of a subject such as "combustion", in the file's
// order. An error for an unknown subject or a row that breaks the form.
func Figures(subject string) ([]Figure, error) {
	f, err := files.Open(subject + ".csv")
	if err != nil {
		return nil, fmt.Errorf("no published figures on %q: %w", subject, err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s.csv: %w", subject, err)
	}
	if len(rows) == 0 || strings.Join(rows[0], ",") != strings.Join(columns, ",") {
		return nil, fmt.Errorf("%s.csv: heading is not %q", subject, strings.Join(columns, ","))
	}
	figures := make([]Figure, 0, len(rows)-1)
	seen := map[string]bool{}
	for i, row := range rows[1:] {
		figure, err := figureOf(row)
		if err == nil && seen[figure.ID] {
			err = fmt.Errorf("id %q stands twice", figure.ID)
		}
		if err != nil {
			return nil, fmt.Errorf("%s.csv:%d: %w", subject, i+2, err)
		}
		seen[figure.ID] = true
		figures = append(figures, figure)
	}
	return figures, nil
}

// figureOf reads one row of a file.
func figureOf(row []string) (Figure, error) {
	f := Figure{ID: row[0], Quantity: row[1], Unit: row[4], Document: row[6], Table: row[7], Edition: row[8], Verified: row[9]}
	f.Inputs = map[string]string{}
	for pair := range strings.SplitSeq(row[2], ";") {
		name, value, ok := strings.Cut(strings.TrimSpace(pair), "=")
		if !ok && pair != "" {
			return f, fmt.Errorf("input %q is not name=value", pair)
		}
		f.Inputs[name] = value
	}
	var err error
	if f.Expected, err = strconv.ParseFloat(row[3], 64); err != nil {
		return f, fmt.Errorf("expected %q is not a number", row[3])
	}
	if f.Tolerance, err = strconv.ParseFloat(row[5], 64); err != nil {
		return f, fmt.Errorf("tolerance %q is not a number", row[5])
	}
	if f.ID == "" || f.Quantity == "" || f.Document == "" {
		return f, fmt.Errorf("id, quantity or document is blank")
	}
	switch f.Verified {
	case "seen", "arithmetic", "memory":
		return f, nil
	}
	return f, fmt.Errorf("verified %q is none of seen, arithmetic, memory", f.Verified)
}
