package night

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/publish"
)

// verified reads the run record of a publication and holds every list to its
// digest. nil without an error: there is no such publication.
func verified(root *os.Root, name string) (*Record, error) {
	text, err := root.ReadFile(path.Join(name, "run.json"))
	if errors.Is(err, fs.ErrNotExist) {
		if _, err := root.Lstat(name); errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
	}
	if err != nil {
		return nil, fmt.Errorf("publication %s: %w", name, err)
	}
	r, err := readRecord(text)
	if err != nil {
		return nil, fmt.Errorf("publication %s: %w", name, err)
	}
	for _, l := range r.Lists {
		if err := publish.SameDigest(root, name, l.Name, l.Digest); err != nil {
			return nil, fmt.Errorf("publication %s: %w", name, err)
		}
	}
	return r, nil
}

// readRecord reads a run record of a schema this program reads: the fields of
// another may mean something else.
func readRecord(text []byte) (*Record, error) {
	var one struct {
		Schema int `json:"schema"`
	}
	if json.Unmarshal(text, &one) == nil {
		if err := table.Readable(one.Schema); err != nil {
			return nil, err
		}
	}
	r := new(Record)
	if err := json.Unmarshal(text, r); err != nil {
		return nil, fmt.Errorf("run.json is damaged: %w", err)
	}
	return r, nil
}

// newestGood finds the newest whole publication among the days that are asked
// for, latest first where it is among them. Those passed over are named: each
// damaged one, and the newest of another schema.
func newestGood(root *os.Root, wanted func(day string) bool) (r *Record, passed []string, err error) {
	s, err := publish.ReadShelf(root)
	if err != nil {
		return nil, nil, err
	}
	others := 0
	days := s.Days()
	if at := slices.Index(days, s.Latest); at > 0 {
		days = slices.Concat([]string{s.Latest}, days[:at], days[at+1:])
	}
	for _, day := range days {
		if !wanted(day) {
			continue
		}
		r, err := verified(root, day)
		if errors.Is(err, table.ErrOtherSchema) {
			if others++; others > 1 {
				continue
			}
		}
		if err != nil {
			passed = append(passed, err.Error())
			continue
		}
		if r != nil {
			return r, passed, nil
		}
	}
	return nil, passed, nil
}

// jsonText writes a value as indented JSON with a last line end.
func jsonText(v any) ([]byte, error) { return table.EncodeJSON(v, "  ") }
