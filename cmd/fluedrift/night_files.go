package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
)

// A fileOp is one change to the output of a night. Publishing is a list of
// them, so that a test can stop after any one, or play what a power cut may
// leave of them, and see what a reader would find.
type fileOp struct {
	do   string // folder, write, sync, rename, link, remove
	in   string // inLists or inStore
	path string // relative to the folder it is in
	to   string // the new name of a rename; what a link points to
	text []byte // of a write
}

// The two folders a night writes in: the published lists, and the folder of the
// warehouse.
const (
	inLists = "lists"
	inStore = "store"
)

// A disk does file operations below the two folders and nowhere else: a name or
// a link that leads out of them is an error.
type disk struct {
	roots  map[string]*os.Root
	group  bool         // readable by the group
	traced func(fileOp) // sees each operation before it is done; nil but in tests
}

// openDisk opens both folders and makes those that are missing.
func openDisk(lists, store string, group bool) (*disk, error) {
	d := &disk{roots: map[string]*os.Root{}, group: group}
	for name, path := range map[string]string{inLists: lists, inStore: store} {
		root, err := openFolder(path, d.folderMode())
		if err != nil {
			d.close()
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

func (d *disk) close() {
	for _, r := range d.roots {
		r.Close()
	}
}

// fileMode and folderMode are private unless the configuration lets the group
// read.
func (d *disk) fileMode() fs.FileMode {
	if d.group {
		return 0o640
	}
	return 0o600
}

func (d *disk) folderMode() fs.FileMode { return folderMode(d.group) }

func folderMode(group bool) fs.FileMode {
	if group {
		return 0o750
	}
	return 0o700
}

// all does operations in order and stops at the first that fails.
func (d *disk) all(ops []fileOp) error {
	for _, op := range ops {
		if err := d.one(op); err != nil {
			return fmt.Errorf("cannot write in %s: %w", d.roots[op.in].Name(), err)
		}
	}
	return nil
}

func (d *disk) one(op fileOp) error {
	if d.traced != nil {
		d.traced(op)
	}
	root := d.roots[op.in]
	switch op.do {
	case "folder":
		if err := root.Mkdir(op.path, d.folderMode()); err != nil {
			return err
		}
		return root.Chmod(op.path, d.folderMode()) // whatever the umask took away
	case "write":
		return d.write(root, op)
	case "sync":
		f, err := root.Open(op.path)
		if err != nil {
			return err
		}
		defer f.Close()
		return f.Sync()
	case "rename":
		return root.Rename(op.path, op.to)
	case "link":
		return root.Symlink(op.to, op.path)
	case "remove":
		return root.RemoveAll(op.path)
	}
	panic("no file operation " + op.do)
}

func (d *disk) write(root *os.Root, op fileOp) error {
	f, err := root.OpenFile(op.path, os.O_CREATE|os.O_WRONLY|os.O_EXCL, d.fileMode())
	if err != nil {
		return err
	}
	_, err = f.Write(op.text)
	return errors.Join(err, f.Chmod(d.fileMode()), f.Close())
}
