package queries

import "context"

// File is one exported file and what became of it. In a file that was read
// Lines = Header + Blank + Skipped + SetAside + Accepted + Superseded +
// Duplicate + Doubtful.
type File struct {
	Key                                       int32
	Name                                      string
	Bytes                                     int64
	Digest                                    string // SHA-256 in hexadecimal
	Layout, Record, Source, Form              string
	ExportDay                                 int32
	Outcome                                   string // read | refused | incomplete | not ours | same bytes | skipped
	Reason, Message                           string
	Lines, Header, Blank, Skipped             int64
	SetAside, Parsed                          int64
	Accepted, Superseded, Duplicate, Doubtful int64
	Readings                                  int64 // readings parsed, whatever became of them
	WithoutGas                                int64 // parsed lines of readings without CO2 and O2, visits without any value among them
}

// Files gives every file found, in order of its key.
func (w *Warehouse) Files(ctx context.Context) ([]File, error) {
	return collect(ctx, w, "files.sql", func(f *File) []field {
		return []field{
			whole("file_key", &f.Key, 0), text("name", &f.Name), whole("bytes", &f.Bytes, 0), text("digest", &f.Digest),
			text("layout", &f.Layout), text("record", &f.Record), text("source", &f.Source), text("form", &f.Form),
			day("export_day", &f.ExportDay), text("outcome", &f.Outcome), text("reason", &f.Reason), text("message", &f.Message),
			whole("lines", &f.Lines, 0), whole("header", &f.Header, 0), whole("blank", &f.Blank, 0), whole("skipped", &f.Skipped, 0),
			whole("set_aside", &f.SetAside, 0), whole("parsed", &f.Parsed, 0),
			whole("accepted", &f.Accepted, 0), whole("superseded", &f.Superseded, 0),
			whole("duplicate", &f.Duplicate, 0), whole("doubtful", &f.Doubtful, 0), whole("readings", &f.Readings, 0),
			whole("without_gas", &f.WithoutGas, 0),
		}
	})
}

// FileNames gives the name of each file by its key.
func (w *Warehouse) FileNames(ctx context.Context) (map[int32]string, error) {
	var key int32
	var name string
	names := map[int32]string{}
	err := w.fetch(ctx, "file_names.sql", []field{whole("file_key", &key, 0), text("name", &name)}, func() error {
		names[key] = name
		return nil
	})
	return names, err
}

// SetAside is a line that takes no part until a person has looked at it: set
// aside because it could not be read or lies before the install day, doubtful
// because another line contradicts or repeats it (named in Other), or of a serial
// that is not in the register.
type SetAside struct {
	FileKey                 int32
	File                    string
	Line                    int32
	Outcome                 string // set aside | doubtful | accepted (not in register)
	Column, Value           string
	Reason, Message, Serial string
	Day                     int32  // of the record, NoDay where it has none or it cannot be read
	Other                   string // file:line of the line it contradicts or repeats
	Raw                     string // the line as it stands in the file, where it was set aside
}

// SetAside gives every such line in order of file and line.
func (w *Warehouse) SetAside(ctx context.Context) ([]SetAside, error) {
	return collect(ctx, w, "set_aside.sql", func(s *SetAside) []field {
		return []field{
			whole("file_key", &s.FileKey, 0), text("file", &s.File), whole("line", &s.Line, 0), text("outcome", &s.Outcome),
			text("column_name", &s.Column), text("value", &s.Value), text("reason", &s.Reason), text("message", &s.Message),
			text("serial", &s.Serial), day("day", &s.Day), text("other", &s.Other), text("raw", &s.Raw),
		}
	})
}
