package queries

import (
	"cmp"
	"context"
	"slices"

	"fluedrift/model/day"
)

// Exports reads which files were found and what became of their lines.
type Exports struct{ session *session }

// File is one exported file and what became of it. In a file that was read
// Lines = Header + Blank + Skipped + SetAside + Accepted + Superseded +
// Duplicate + Doubtful + Joined.
type File struct {
	Key                                       int32
	Name                                      string
	Bytes                                     int64
	Digest                                    string // SHA-256 in hexadecimal
	Layout, Record, Source, Form              string
	ExportDay                                 day.Day
	Outcome                                   string // read | refused | incomplete | not ours | same bytes | skipped
	Reason, Message                           string
	Lines, Header, Blank, Skipped             int64
	SetAside, Parsed                          int64
	Joined                                    int64 // read into parsed lines
	Accepted, Superseded, Duplicate, Doubtful int64
	Readings                                  int64   // readings parsed, whatever became of them
	CellsSetAside                             int64   // cells that cannot be read on lines that stand without them
	LinesWithCells                            int64   // those lines
	LinesWithLost                             int64   // of those, lines that lost a reading by such a cell
	WorstColumn                               string  // column of which the largest share of cells is set aside, where some are
	WorstShare                                float64 // that share; NaN without such a column
	WithoutGas                                int64   // parsed lines of readings without CO2 and O2, visits without any value among them
}

// Files gives every file found, in order of its key.
func (q Exports) Files(ctx context.Context) ([]File, error) {
	return collect(ctx, q.session, "files.sql", func(f *File) []Field {
		return []Field{
			Whole("file_key", &f.Key), Text("name", &f.Name), Whole("bytes", &f.Bytes), Text("digest", &f.Digest),
			Text("layout", &f.Layout), Text("record", &f.Record), Text("source", &f.Source), Text("form", &f.Form),
			Day("export_day", &f.ExportDay), Text("outcome", &f.Outcome), Text("reason", &f.Reason), Text("message", &f.Message),
			Whole("lines", &f.Lines), Whole("header", &f.Header), Whole("blank", &f.Blank), Whole("skipped", &f.Skipped),
			Whole("set_aside", &f.SetAside), Whole("parsed", &f.Parsed), Whole("joined", &f.Joined),
			Whole("accepted", &f.Accepted), Whole("superseded", &f.Superseded),
			Whole("duplicate", &f.Duplicate), Whole("doubtful", &f.Doubtful), Whole("readings", &f.Readings),
			Whole("without_gas", &f.WithoutGas), Whole("cells_set_aside", &f.CellsSetAside),
			Whole("lines_with_cells", &f.LinesWithCells), Whole("lines_with_readings_lost", &f.LinesWithLost),
			Text("worst_column", &f.WorstColumn), Number("worst_share", &f.WorstShare),
		}
	})
}

// FileNames gives the name of each file by its key.
func (q Exports) FileNames(ctx context.Context) (map[int32]string, error) {
	type file struct {
		key  int32
		name string
	}
	names := map[int32]string{}
	for f, err := range rows(ctx, q.session, "file_names.sql", func(f *file) []Field {
		return []Field{Whole("file_key", &f.key), Text("name", &f.name)}
	}) {
		if err != nil {
			return nil, err
		}
		names[f.key] = f.name
	}
	return names, nil
}

// SetAside is a line that takes no part until a person has looked at it: set
// aside because it could not be read or lies before the install day, doubtful
// because another line contradicts or repeats it (named in Other), of a serial that is
// not in the register, or of a second id of two boilers or of one that nothing names; or
// a cell of a line that stands without it.
type SetAside struct {
	FileKey                 int32
	File                    string
	Line                    int32
	Outcome                 string // set aside | doubtful | accepted (an id) | cell set aside | reading set aside (by the cell)
	Column, Value           string
	Reason, Message, Serial string
	Day                     day.Day // of the record, day.None where it has none or it cannot be read
	Other                   string  // file:line of the line it contradicts or repeats
	Raw                     string  // the line as it stands in the file, where it was set aside
	Site                    string  // that a line outside the register names
}

// Cell reports a cell that is set aside while its line stands.
func (s SetAside) Cell() bool { return s.Outcome == "cell set aside" || s.LostReading() }

// LostReading reports such a cell that a reading needs, which is set aside with it.
func (s SetAside) LostReading() bool { return s.Outcome == "reading set aside" }

// SetAside gives every such line in order of file and line.
func (q Exports) SetAside(ctx context.Context) ([]SetAside, error) {
	all, err := collect(ctx, q.session, "set_aside.sql", func(s *SetAside) []Field {
		return []Field{
			Whole("file_key", &s.FileKey), Text("file", &s.File), Whole("line", &s.Line), Text("outcome", &s.Outcome),
			Text("column_name", &s.Column), Text("value", &s.Value), Text("reason", &s.Reason), Text("message", &s.Message),
			Text("serial", &s.Serial), Day("day", &s.Day), Text("other", &s.Other), Text("raw", &s.Raw), Text("site", &s.Site),
		}
	})
	if err != nil {
		return nil, err
	}
	ids, err := collect(ctx, q.session, "second_id_faults.sql", func(s *SetAside) []Field {
		return []Field{
			Whole("file_key", &s.FileKey), Text("file", &s.File), Whole("line", &s.Line), Text("outcome", &s.Outcome),
			Text("value", &s.Value), Text("reason", &s.Reason), Text("message", &s.Message), Text("serial", &s.Serial),
		}
	})
	for i := range ids {
		ids[i].Day = day.None
	}
	all = append(all, ids...)
	slices.SortStableFunc(all, func(a, b SetAside) int {
		return cmp.Or(cmp.Compare(a.FileKey, b.FileKey), cmp.Compare(a.Line, b.Line))
	})
	return all, err
}

// Outcome is a readable line that does not stand, and the line that does.
type Outcome struct {
	File    string
	Line    int32
	Outcome string // superseded | duplicate | doubtful
	Reason  string // of a doubtful line
	Other   string // file:line of the line that stands, or that it contradicts
}

// Outcomes gives every superseded, duplicate and doubtful line in order of file
// and line.
func (q Exports) Outcomes(ctx context.Context) ([]Outcome, error) {
	return collect(ctx, q.session, "outcomes.sql", func(o *Outcome) []Field {
		return []Field{
			Text("file", &o.File), Whole("line", &o.Line), Text("outcome", &o.Outcome),
			Text("reason", &o.Reason), Text("other", &o.Other),
		}
	})
}
