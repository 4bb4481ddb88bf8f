package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"syscall"
	"time"

	"fluedrift/cmd/fluedrift/settings"
)

// A destination is where an output goes, links followed.
type destination struct {
	path       string
	descriptor int  // an open file of this process, -1: none
	stream     bool // a device, a pipe or a socket: written to, never replaced
}

// DestinationOf decides, for every output of the program, what becomes of the path
// asked for: refused where it touches what a guard stands before, or is a folder;
// written to where it is a device, a pipe, a socket or an open file of this
// process; else replaced as a whole, through links the file they point to.
func DestinationOf(name, path string, guards []Protected) (destination, error) {
	if err := Allowed(name, path, guards); err != nil {
		return destination{}, err
	}
	at, err := realPath(path)
	if err != nil {
		return destination{}, settings.Fail(settings.Usage, "%s: %w", name, err)
	}
	p := destination{path: at, descriptor: descriptorOf(at)}
	info, err := os.Stat(at)
	switch {
	case p.descriptor >= 0, errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return p, fmt.Errorf("%s: %w", name, err)
	case info.IsDir():
		return p, settings.Fail(settings.Usage, "%s: %s is a folder\nname a file in it", name, path)
	default:
		p.stream = !info.Mode().IsRegular()
	}
	return p, nil
}

// Replaces says whether a file comes in as a whole.
func (p destination) Replaces() bool { return !p.stream && p.descriptor < 0 }

// Put writes a whole output. A file that is there keeps its rights; a new one
// gets those given.
func (p destination) Put(text []byte, mode fs.FileMode) error {
	if p.Replaces() {
		return replaceFile(p.path, text, mode)
	}
	f, err := p.open(os.O_WRONLY)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	return errors.Join(err, f.Close())
}

// putSoon writes to a device or a pipe and does not wait for a reader.
func (p destination) putSoon(text []byte, patience time.Duration) error {
	f, err := p.open(os.O_WRONLY | syscall.O_NONBLOCK)
	if err != nil {
		return err
	}
	late := time.AfterFunc(patience, func() { f.Close() })
	_, err = f.Write(text)
	if !late.Stop() {
		return errors.Join(err, fmt.Errorf("%s: nobody read it within %v", p.path, patience))
	}
	return errors.Join(err, f.Close())
}

// open opens what is not replaced.
func (p destination) open(flag int) (*os.File, error) {
	if p.descriptor >= 0 {
		return duplicate(p.descriptor, p.path)
	}
	info, err := os.Stat(p.path)
	if err != nil {
		return nil, err
	}
	if info.Mode().Type() == fs.ModeSocket {
		return connectSocket(p.path)
	}
	return os.OpenFile(p.path, flag, 0)
}
