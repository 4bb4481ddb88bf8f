package ingest

import (
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"sort"
	"strings"

	"fluedrift/ingest/layout"
)

// found is one entry of the exports folder.
type found struct {
	name    string // path from the folder, with slashes
	path    string
	info    fs.FileInfo
	skipped string // why it is not looked into, in words: a link, a pipe, a folder
	reason  string // the same as a code

	member      string // name in the archive at path; "": the file is no archive's
	memberBytes int64
	unpacked    int64 // bytes that all files of its archive unpack to

	limits Config
	only   *layout.Layout   // of several tables in the file: the layout that reads this one
	tables []*layout.Layout // and those that read the others
}

// resolved is where a folder is that a link may stand for; the name itself where there
// is none.
func resolved(folder string) string {
	if at, err := filepath.EvalSymlinks(folder); err == nil {
		return at
	}
	return folder
}

// find lists the files of a folder and its folders, sorted by name. The folder
// may be a link; links in it, pipes and the like are listed with the reason why they
// are skipped, and so are folders named like a file. Names that begin with a dot,
// layouts and the layouts folder are left out.
func find(folder, layouts string) ([]found, error) {
	var all []found
	folder = resolved(folder)
	layoutsAt, _ := filepath.Abs(resolved(layouts))
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil && path == folder {
			return err
		}
		if path == folder {
			return nil
		}
		rel, relErr := filepath.Rel(folder, path)
		if relErr != nil {
			return relErr
		}
		f := found{name: strings.ToValidUTF8(filepath.ToSlash(rel), "\uFFFD"), path: path}
		if err != nil {
			f.reason, f.skipped = notReadable, "cannot be read: "+err.Error()
			all = append(all, f)
			return nil
		}
		abs, _ := filepath.Abs(path)
		switch {
		case strings.HasPrefix(d.Name(), "."), d.IsDir() && abs == layoutsAt:
			if d.IsDir() {
				return filepath.SkipDir
			}
			return nil
		case d.IsDir():
			if named(d.Name()) {
				f.reason, f.skipped = Folder, "a folder with the name of a file; the files in it are read"
				all = append(all, f)
			}
			return nil
		case strings.HasSuffix(d.Name(), ".toml"):
			return nil
		}
		if f = look(f, d); isArchive(f.name) {
			all = append(all, members(f)...)
			return nil
		}
		all = append(all, f)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("exports folder %q: %w", folder, err)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].name < all[j].name })
	return all, nil
}

// named reports a folder's name that ends like an export's.
func named(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv", ".tsv", ".txt", ".xlsx", ".parquet", ".gz":
		return true
	}
	return false
}

// look says what kind of entry it is.
func look(f found, d fs.DirEntry) found {
	switch t := d.Type(); {
	case t&fs.ModeSymlink != 0:
		f.reason, f.skipped = aLink, "a link; put the file itself into the folder"
		if _, err := os.Stat(f.path); err != nil {
			f.skipped = "a link that leads nowhere"
		}
	case t&fs.ModeNamedPipe != 0:
		f.reason, f.skipped = aPipe, "a pipe, not a file"
	case !t.IsRegular():
		f.reason, f.skipped = notAFile, "not a regular file"
	default:
		info, err := d.Info()
		if err != nil {
			f.reason, f.skipped = notReadable, "cannot be looked at: "+err.Error()
		}
		f.info = info
	}
	return f
}

// unchanged reports whether the file still has the size and time it had when
// it was found.
func (f found) unchanged() bool {
	now, err := os.Stat(f.path)
	return err == nil && now.Size() == f.info.Size() && now.ModTime().Equal(f.info.ModTime())
}

// base is the name without its folder.
func (f found) base() string { return path.Base(f.name) }

// packed reports a name that says the file is gzip-compressed.
func (f found) packed() bool { return strings.EqualFold(path.Ext(f.name), ".gz") }
