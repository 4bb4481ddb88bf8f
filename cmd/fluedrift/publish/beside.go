package publish

import (
	"bytes"
	"io"
	"path/filepath"

	"fluedrift/cmd/fluedrift/settings"
)

// File is one file of a publication.
type File struct {
	Name  string
	Lines int
	Write func(io.Writer) error
}

// FileOf is a file that holds one thing in one of its forms.
func FileOf[T any](name string, lines int, write func(io.Writer, T) error, of T) File {
	return File{name, lines, func(w io.Writer) error { return write(w, of) }}
}

// WriteBeside writes files into a folder beside the publications, in order, each
// whole or not at all and as private as the lists; folders that are missing are
// made.
func WriteBeside(c *settings.Config, folder string, all []File) error {
	as, guards := &Disk{group: c.Output.GroupReadable}, Inputs(c)
	if err := Allowed("the folder of the result", folder, guards); err != nil {
		return err
	}
	for _, f := range []string{filepath.Dir(filepath.Dir(folder)), filepath.Dir(folder), folder} {
		if err := makeFolder(f, as.folderMode()); err != nil {
			return err
		}
	}
	for _, f := range all {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return err
		}
		p, err := DestinationOf("the result", filepath.Join(folder, f.Name), guards)
		if err != nil {
			return err
		}
		if err := p.Put(b.Bytes(), as.FileMode()); err != nil {
			return err
		}
	}
	return nil
}
