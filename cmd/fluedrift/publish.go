package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/settings"
)

// A publication is a folder lists/<as-of>.<n> that was written whole under a
// temporary name and then renamed. The link lists/<as-of> points to the newest
// of its day, and lists/latest to the link of the day published last.

// stageName is the folder a publication is written in. Names that begin with a
// dot are never part of a publication.
const stageName = ".writing"

// A stage is a publication being written.
type stage struct {
	*disk
	asOf    string
	edition string            // the folder it becomes
	written map[string]string // digest of each file
}

// newStage clears what a broken night left behind and opens a fresh folder.
func newStage(d *disk, asOf string) (*stage, error) {
	if err := clearBroken(d); err != nil {
		return nil, err
	}
	s, err := readShelf(d.roots[inLists])
	if err != nil {
		return nil, err
	}
	next := 1
	for _, e := range s.editions {
		if e.day == asOf {
			next = max(next, e.number+1)
		}
	}
	if err := d.all([]fileOp{{do: "folder", in: inLists, path: stageName}}); err != nil {
		return nil, err
	}
	return &stage{d, asOf, fmt.Sprintf("%s.%d", asOf, next), map[string]string{}}, nil
}

// clearBroken removes what a killed night may have left in the lists folder:
// stages, half-made links, folders on the way out, and editions that were moved
// into place while no link had been set to them.
func clearBroken(d *disk) error {
	root := d.roots[inLists]
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return fmt.Errorf("cannot write in %s: %w", root.Name(), err)
	}
	var ops []fileOp
	for _, e := range entries {
		if isLeftover.MatchString(e.Name()) {
			ops = append(ops, fileOp{do: "remove", in: inLists, path: e.Name()})
		}
	}
	s, err := readShelf(root)
	if err != nil {
		return err
	}
	for _, e := range s.editions {
		if shown := s.shown(e.day); shown == nil || e.number > shown.number {
			ops = append(ops, takeAway(e.name())...)
		}
	}
	return d.all(ops)
}

// takeAway removes a folder in such a way that half of it is never seen under
// its own name.
func takeAway(name string) []fileOp {
	return []fileOp{{do: "rename", in: inLists, path: name, to: ".removing-" + name}, {do: "remove", in: inLists, path: ".removing-" + name}}
}

// drop removes a stage that was not published.
func (s *stage) drop() { s.roots[inLists].RemoveAll(stageName) }

// write puts one synced file into the stage.
func (s *stage) write(name string, content []byte) error {
	at := path.Join(stageName, name)
	s.written[name] = settings.DigestOf(content)
	return s.all([]fileOp{{do: "write", in: inLists, path: at, text: content}, {do: "sync", in: inLists, path: at}})
}

// settle moves the written stage to its place, where no link points to it yet.
func (s *stage) settle() []fileOp {
	return []fileOp{
		{do: "sync", in: inLists, path: stageName},
		{do: "rename", in: inLists, path: stageName, to: s.edition},
		{do: "sync", in: inLists, path: "."},
	}
}

// swap puts the new warehouse and the new publication in the place of the old.
// A link is renamed over the old one, which is one step for a reader. The sync
// between the two links keeps a power cut from leaving latest without the day it
// points to.
func (s *stage) swap(warehouse string) []fileOp {
	return slices.Concat(useStore(warehouse), s.show(s.asOf, s.edition), s.show("latest", s.asOf))
}

// show lets a link point to what is in its place.
func (s *stage) show(link, to string) []fileOp {
	half := "." + link + ".new"
	return []fileOp{
		{do: "link", in: inLists, path: half, to: to},
		{do: "rename", in: inLists, path: half, to: link},
		{do: "sync", in: inLists, path: "."},
	}
}

// useStore renames a finished warehouse over the one in use. A log beside that
// one, left by a session that was killed, belongs to it alone: it goes first, and
// for certain, or the next session that writes would play it into the new one.
func useStore(warehouse string) []fileOp {
	return []fileOp{
		{do: "sync", in: inStore, path: warehouse + ".new"},
		{do: "remove", in: inStore, path: warehouse + ".wal"},
		{do: "remove", in: inStore, path: warehouse + ".tmp"},
		{do: "sync", in: inStore, path: "."},
		{do: "rename", in: inStore, path: warehouse + ".new", to: warehouse},
		{do: "sync", in: inStore, path: "."},
	}
}

// publish moves the stage into place, reads it back, does the swap, reads what the
// link shows and retires old publications. Until the swap, any fault leaves the old
// list; from then on nothing stops it but the machine.
func (s *stage) publish(swap []fileOp, shown string, keep retention) error {
	if err := s.all(s.settle()); err != nil {
		return err
	}
	if err := s.readBack(s.edition); err != nil {
		return errors.Join(err, s.all(takeAway(s.edition)))
	}
	if err := s.all(swap); err != nil {
		return err
	}
	if err := s.readBack(shown); err != nil {
		return err
	}
	shelf, err := readShelf(s.roots[inLists])
	if err != nil {
		return err
	}
	return s.all(shelf.retire(s.asOf, keep))
}

// readBack compares a publication on disk with what was written.
func (s *stage) readBack(name string) error {
	root := s.roots[inLists]
	entries, err := fs.ReadDir(root.FS(), name)
	if err == nil && len(entries) != len(s.written) {
		err = fmt.Errorf("%d files, %d were written", len(entries), len(s.written))
	}
	for i := 0; i < len(entries) && err == nil; i++ {
		err = sameDigest(root, name, entries[i].Name(), s.written[entries[i].Name()])
	}
	if err != nil {
		return fmt.Errorf("the publication %s does not read back as written: %w\nthe disk may be failing; the night was not finished", name, err)
	}
	return nil
}

// sameDigest compares one file with the digest it should have.
func sameDigest(root *os.Root, folder, name, want string) error {
	text, err := root.ReadFile(path.Join(folder, name))
	if err != nil {
		return err
	}
	if settings.DigestOf(text) != want {
		return fmt.Errorf("%s holds other bytes than its digest says", name)
	}
	return nil
}

// verified reads the run record of a publication and holds every list to its
// digest. nil without an error: there is no such publication.
func verified(root *os.Root, name string) (*runRecord, error) {
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
		if err := sameDigest(root, name, l.Name, l.Digest); err != nil {
			return nil, fmt.Errorf("publication %s: %w", name, err)
		}
	}
	return r, nil
}

// readRecord reads a run record of a schema this program reads: the fields of
// another may mean something else.
func readRecord(text []byte) (*runRecord, error) {
	var one struct {
		Schema int `json:"schema"`
	}
	if json.Unmarshal(text, &one) == nil {
		if err := table.Readable(one.Schema); err != nil {
			return nil, err
		}
	}
	r := new(runRecord)
	if err := json.Unmarshal(text, r); err != nil {
		return nil, fmt.Errorf("run.json is damaged: %w", err)
	}
	return r, nil
}

// newestGood finds the newest whole publication among the days that are asked
// for, latest first where it is among them. Those passed over are named: each
// damaged one, and the newest of another schema.
func newestGood(root *os.Root, wanted func(day string) bool) (r *runRecord, passed []string, err error) {
	s, err := readShelf(root)
	if err != nil {
		return nil, nil, err
	}
	others := 0
	days := s.daysDown()
	if at := slices.Index(days, s.latest); at > 0 {
		days = slices.Concat([]string{s.latest}, days[:at], days[at+1:])
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
