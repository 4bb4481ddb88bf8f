// Package publish puts what the program makes in its place, whole or not at all.
//
// One rule decides for every output what becomes of the path asked for
// (DestinationOf): refused where it touches what the program reads or what another
// output of it is; written to where it is a device, a pipe or a socket; else
// replaced as a whole, through links the file they point to.
//
// A publication is a folder lists/<as-of>.<n> that was written whole under a
// temporary name and then renamed. The link lists/<as-of> points to the newest of
// its day, and lists/latest to the link of the day published last. Putting one in
// place is a list of file operations (Op): write and sync each file in
// lists/.writing, sync it, rename it to <as-of>.<n>, sync, read back; sync the
// warehouse, remove the log and the spilled data beside the old one, sync, rename,
// sync; for each of <as-of> and latest: link under a dot name, rename over, sync;
// retire old ones, renamed to a dot name first. Tests play every prefix of them and
// every choice of what was not synced; the syncs needed are those of each file, of
// .writing, of the warehouse, of its folder before its rename, and of the lists
// folder between the links.
//
// All that is written into the lists folder, and the renames of the warehouse, go
// through os.Root: a name or a link that leads out of them is an error. Locks are
// the kernel's: a lock file left behind holds nobody up.
package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"

	"fluedrift/cmd/fluedrift/settings"
)

// StageName is the folder a publication is written in. Names that begin with a
// dot are never part of a publication.
const StageName = ".writing"

// A Stage is a publication being written.
type Stage struct {
	*Disk
	asOf    string
	edition string            // the folder it becomes
	written map[string]string // digest of each file
}

// NewStage clears what a broken night left behind and opens a fresh folder.
func NewStage(d *Disk, asOf string) (*Stage, error) {
	if err := clearBroken(d); err != nil {
		return nil, err
	}
	s, err := ReadShelf(d.roots[InLists])
	if err != nil {
		return nil, err
	}
	next := 1
	for _, e := range s.editions {
		if e.day == asOf {
			next = max(next, e.number+1)
		}
	}
	if err := d.All([]Op{{Do: "folder", In: InLists, Path: StageName}}); err != nil {
		return nil, err
	}
	return &Stage{d, asOf, fmt.Sprintf("%s.%d", asOf, next), map[string]string{}}, nil
}

// clearBroken removes what a killed night may have left in the lists folder:
// stages, half-made links, folders on the way out, and editions that were moved
// into place while no link had been set to them.
func clearBroken(d *Disk) error {
	root := d.roots[InLists]
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return fmt.Errorf("cannot write in %s: %w", root.Name(), err)
	}
	var ops []Op
	for _, e := range entries {
		if isLeftover.MatchString(e.Name()) {
			ops = append(ops, Op{Do: "remove", In: InLists, Path: e.Name()})
		}
	}
	s, err := ReadShelf(root)
	if err != nil {
		return err
	}
	for _, e := range s.editions {
		if shown := s.shown(e.day); shown == nil || e.number > shown.number {
			ops = append(ops, takeAway(e.name())...)
		}
	}
	return d.All(ops)
}

// takeAway removes a folder in such a way that half of it is never seen under
// its own name.
func takeAway(name string) []Op {
	return []Op{{Do: "rename", In: InLists, Path: name, To: ".removing-" + name}, {Do: "remove", In: InLists, Path: ".removing-" + name}}
}

// DropStage removes a stage that was not published.
func (d *Disk) DropStage() { d.roots[InLists].RemoveAll(StageName) }

// Write puts one synced file into the stage.
func (s *Stage) Write(name string, content []byte) error {
	at := path.Join(StageName, name)
	s.written[name] = settings.DigestOf(content)
	return s.All([]Op{{Do: "write", In: InLists, Path: at, Text: content}, {Do: "sync", In: InLists, Path: at}})
}

// settle moves the written stage to its place, where no link points to it yet.
func (s *Stage) settle() []Op {
	return []Op{
		{Do: "sync", In: InLists, Path: StageName},
		{Do: "rename", In: InLists, Path: StageName, To: s.edition},
		{Do: "sync", In: InLists, Path: "."},
	}
}

// swap puts the new warehouse and the new publication in the place of the old.
// A link is renamed over the old one, which is one step for a reader. The sync
// between the two links keeps a power cut from leaving latest without the day it
// points to.
func (s *Stage) swap(warehouse string) []Op {
	return slices.Concat(useStore(warehouse), s.show(s.asOf, s.edition), s.show("latest", s.asOf))
}

// show lets a link point to what is in its place.
func (s *Stage) show(link, to string) []Op {
	half := "." + link + ".new"
	return []Op{
		{Do: "link", In: InLists, Path: half, To: to},
		{Do: "rename", In: InLists, Path: half, To: link},
		{Do: "sync", In: InLists, Path: "."},
	}
}

// useStore renames a finished warehouse over the one in use. A log beside that
// one, left by a session that was killed, belongs to it alone: it goes first, and
// for certain, or the next session that writes would play it into the new one.
func useStore(warehouse string) []Op {
	return []Op{
		{Do: "sync", In: InStore, Path: warehouse + ".new"},
		{Do: "remove", In: InStore, Path: warehouse + ".wal"},
		{Do: "remove", In: InStore, Path: warehouse + ".tmp"},
		{Do: "sync", In: InStore, Path: "."},
		{Do: "rename", In: InStore, Path: warehouse + ".new", To: warehouse},
		{Do: "sync", In: InStore, Path: "."},
	}
}

// UseWarehouse puts a finished warehouse in the place of the old, without a
// publication.
func (d *Disk) UseWarehouse(warehouse string) error { return d.All(useStore(warehouse)) }

// PublishNewest puts the stage and the new warehouse in place: latest and the link of
// its day show it.
func (s *Stage) PublishNewest(warehouse string, keep Retention) error {
	return s.publish(s.swap(warehouse), "latest", keep)
}

// PublishBeside puts the stage in place beside the newest: the link of its day
// alone shows it. It is for a day that is neither the configuration's nor the clock's.
func (s *Stage) PublishBeside(keep Retention) error {
	return s.publish(s.show(s.asOf, s.edition), s.asOf, keep)
}

// publish moves the stage into place, reads it back, does the swap, reads what the
// link shows and retires old publications. Until the swap, any fault leaves the old
// list; from then on nothing stops it but the machine.
func (s *Stage) publish(swap []Op, shown string, keep Retention) error {
	if err := s.All(s.settle()); err != nil {
		return err
	}
	if err := s.readBack(s.edition); err != nil {
		return errors.Join(err, s.All(takeAway(s.edition)))
	}
	if err := s.All(swap); err != nil {
		return err
	}
	if err := s.readBack(shown); err != nil {
		return err
	}
	shelf, err := ReadShelf(s.roots[InLists])
	if err != nil {
		return err
	}
	return s.All(shelf.retire(s.asOf, keep, s.size))
}

// size is how many bytes the files of an edition have.
func (s *Stage) size(edition string) (bytes int64) {
	entries, err := fs.ReadDir(s.roots[InLists].FS(), edition)
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			bytes += info.Size()
		}
	}
	if err != nil {
		return 0 // what cannot be looked into is not counted, and not taken away for it
	}
	return bytes
}

// readBack compares a publication on disk with what was written.
func (s *Stage) readBack(name string) error {
	root := s.roots[InLists]
	entries, err := fs.ReadDir(root.FS(), name)
	if err == nil && len(entries) != len(s.written) {
		err = fmt.Errorf("%d files, %d were written", len(entries), len(s.written))
	}
	for i := 0; i < len(entries) && err == nil; i++ {
		err = SameDigest(root, name, entries[i].Name(), s.written[entries[i].Name()])
	}
	if err != nil {
		return fmt.Errorf("the publication %s does not read back as written: %w\nthe disk may be failing; the night "+
			"was not finished", name, err)
	}
	return nil
}

// SameDigest compares one file with the digest it should have.
func SameDigest(root *os.Root, folder, name, want string) error {
	text, err := root.ReadFile(path.Join(folder, name))
	if err != nil {
		return err
	}
	if settings.DigestOf(text) != want {
		return fmt.Errorf("%s holds other bytes than its digest says", name)
	}
	return nil
}
