package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// An Op is one change to the output of a night. Publishing is a list of
// them, so that a test can stop after any one, or play what a power cut may
// leave of them, and see what a reader would find.
type Op struct {
	Do   string // folder, write, sync, rename, link, remove
	In   string // InLists or InStore
	Path string // relative to the folder it is in
	To   string // the new name of a rename; what a link points to
	Text []byte // of a write
}

// The two folders a night writes in: the published lists, and the folder of the
// warehouse.
const (
	InLists = "lists"
	InStore = "store"
)

// A Disk does file operations below the two folders and nowhere else: a name or
// a link that leads out of them is an error. A library for renames would make temporary
// names that cannot be told from somebody else's; the stage has a fixed one.
type Disk struct {
	roots  map[string]*os.Root
	group  bool     // readable by the group
	Traced func(Op) // sees each operation before it is done; nil but in tests
}

// OpenDisk opens both folders and makes those that are missing.
func OpenDisk(lists, store string, group bool) (*Disk, error) {
	d := &Disk{roots: map[string]*os.Root{}, group: group}
	for name, path := range map[string]string{InLists: lists, InStore: store} {
		root, err := openFolder(path, d.folderMode())
		if err != nil {
			d.Close()
			return nil, err
		}
		d.roots[name] = root
	}
	return d, nil
}

// openFolder opens a folder, made where it is missing, as the root of all that
// is written in it.
func openFolder(path string, mode fs.FileMode) (*os.Root, error) {
	if err := makeFolder(path, mode); err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("cannot write in %s: %w", path, err)
	}
	return root, nil
}

// makeFolder makes a folder that is missing, whatever the umask.
func makeFolder(path string, mode fs.FileMode) error {
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		return nil // what else is wrong with it, its opening tells
	}
	if err := os.MkdirAll(path, mode); err != nil {
		return fmt.Errorf("cannot write in %s: %w", path, err)
	}
	return os.Chmod(path, mode)
}

// Lists is the folder of the published lists, store that of the warehouse.
func (d *Disk) Lists() *os.Root { return d.roots[InLists] }
func (d *Disk) Store() *os.Root { return d.roots[InStore] }

// Probe sees whether a file can be made beside the warehouse.
func (d *Disk) Probe(name string) error {
	return d.All([]Op{{Do: "write", In: InStore, Path: name}, {Do: "remove", In: InStore, Path: name}})
}

func (d *Disk) Close() {
	for _, r := range d.roots {
		r.Close()
	}
}

// FileMode and folderMode are private unless the configuration lets the group
// read.
func (d *Disk) FileMode() fs.FileMode {
	if d.group {
		return 0o640
	}
	return 0o600
}

func (d *Disk) folderMode() fs.FileMode { return folderMode(d.group) }

func folderMode(group bool) fs.FileMode {
	if group {
		return 0o750
	}
	return 0o700
}

// All does operations in order and stops at the first that fails.
func (d *Disk) All(ops []Op) error {
	for _, op := range ops {
		if err := d.one(op); err != nil {
			return fmt.Errorf("cannot write in %s: %w", d.roots[op.In].Name(), err)
		}
	}
	return nil
}

func (d *Disk) one(op Op) error {
	if d.Traced != nil {
		d.Traced(op)
	}
	root := d.roots[op.In]
	switch op.Do {
	case "folder":
		if err := root.Mkdir(op.Path, d.folderMode()); err != nil {
			return err
		}
		return root.Chmod(op.Path, d.folderMode()) // whatever the umask took away
	case "write":
		return d.write(root, op)
	case "sync":
		return syncPath(root, op.Path)
	case "rename":
		return root.Rename(op.Path, op.To)
	case "link":
		return root.Symlink(op.To, op.Path)
	case "remove":
		return root.RemoveAll(op.Path)
	}
	panic("no file operation " + op.Do)
}

func (d *Disk) write(root *os.Root, op Op) error {
	f, err := root.OpenFile(op.Path, os.O_CREATE|os.O_WRONLY|os.O_EXCL, d.FileMode())
	if err != nil {
		return err
	}
	_, err = f.Write(op.Text)
	return errors.Join(err, f.Chmod(d.FileMode()), f.Close())
}
