package settings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"fluedrift/analysis/days"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
)

// readPromises reads visits agreed on from a table that people keep. A unit has
// one day; a line without a serial is passed over. Id gives the serial that a text
// stands for.
func readPromises(path string, id func(string) string) (all []days.Promise, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("crews.promises_file: %w", err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	head, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("crews.promises_file: %s: no header can be read: %w", path, err)
	}
	for i := range head {
		head[i] = strings.TrimSpace(strings.TrimPrefix(head[i], "\ufeff"))
	}
	serial, d, crew := slices.Index(head, "serial"), slices.Index(head, "day"), slices.Index(head, "crew")
	if serial < 0 || d < 0 {
		return nil, fmt.Errorf("crews.promises_file: %s: the header names no serial or no day\nit needs both columns; "+
			"crew is read too", path)
	}
	known := map[string]day.Day{}
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return all, nil
		}
		if err != nil {
			return nil, fmt.Errorf("crews.promises_file: %s: %w", path, err)
		}
		cell := func(at int) string {
			if at < 0 || at >= len(row) {
				return ""
			}
			return strings.TrimSpace(mend.Unguarded(row[at]))
		}
		one := days.Promise{Serial: id(cell(serial)), Crew: cell(crew)}
		if one.Serial == "" {
			continue
		}
		line, _ := r.FieldPos(0)
		if one.Day, err = DayOf(cell(d)); err != nil {
			return nil, fmt.Errorf("crews.promises_file: %s:%d: %w", path, line, err)
		}
		if before, ok := known[one.Serial]; ok && before != one.Day {
			return nil, fmt.Errorf("crews.promises_file: %s:%d: %q is promised for %s and for %s\nleave one of the "+
				"days", path, line, one.Serial, DayText(before), DayText(one.Day))
		}
		known[one.Serial] = one.Day
		all = append(all, one)
	}
}
