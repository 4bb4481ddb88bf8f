//go:build !unix

package publish

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// UmaskPrivate and IgnoreSizeSignal have no meaning here.
func UmaskPrivate()     {}
func IgnoreSizeSignal() {}

// Spent and Resident are not told here.
func Resident() float64                      { return 0 }
func Spent() (cpuSeconds, peakBytes float64) { return 0, 0 }

// replaceFile puts a whole file in the place of the one that is there.
func replaceFile(path string, text []byte, mode fs.FileMode) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".fluedrift-*")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err == nil {
		if err = os.Chmod(f.Name(), mode); err == nil {
			err = os.Rename(f.Name(), path)
		}
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// duplicate is never asked for: no path here stands for an open file.
func duplicate(_ int, path string) (*os.File, error) {
	return nil, &fs.PathError{Op: "write to", Path: path, Err: errors.ErrUnsupported}
}

func connectSocket(path string) (*os.File, error) {
	return nil, &fs.PathError{Op: "connect to", Path: path, Err: errors.ErrUnsupported}
}

// syncPath waits until a file is on the disk. It has to be open for writing for
// that here; a folder cannot be waited for.
func syncPath(root *os.Root, path string) error {
	info, err := root.Stat(path)
	if err != nil || info.IsDir() {
		return err
	}
	f, err := root.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// noteHolder writes nothing: a lock here keeps its own process from the file too.
func noteHolder(string, string) error { return nil }
