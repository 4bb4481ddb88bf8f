package ingest

import (
	"archive/zip"
	"errors"
	"io/fs"
	"os"
	"path"
	"strings"

	"fluedrift/ingest/lines"
)

// isArchive reports a name that says the file is a packed folder.
func isArchive(name string) bool { return strings.EqualFold(path.Ext(name), ".zip") }

// members are the files in a packed folder, each named archive.zip/name. One that
// cannot be opened is listed itself, with the reason.
func members(f found) []found {
	if f.info == nil || f.skipped != "" {
		return []found{f}
	}
	list, err := listMembers(f)
	if fault, refused := errors.AsType[*lines.Refusal](err); refused {
		f.reason, f.skipped = fault.Reason, fault.Message
		return []found{f}
	} else if err != nil {
		f.reason, f.skipped = notReadable, "cannot be read: "+err.Error()
		return []found{f}
	}
	return list
}

func listMembers(f found) (all []found, err error) {
	file, err := os.Open(f.path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var head [2]byte
	switch n, _ := file.ReadAt(head[:], 0); {
	case f.info.Size() == 0:
		return nil, lines.Refuse(lines.EmptyFile, "the file has no bytes")
	case n == 2 && string(head[:]) != "PK":
		return nil, lines.Refuse(lines.NotText, "the content is no archive, whatever the name says")
	}
	z, err := lines.OpenZip(file, f.info.Size())
	if err != nil {
		return nil, err
	}
	seen, unpacked := map[string]bool{}, uint64(0)
	for _, m := range z.File {
		unpacked += m.UncompressedSize64
		if seen[m.Name] || !fs.ValidPath(strings.TrimSuffix(m.Name, "/")) {
			return nil, lines.Refuse(lines.NotText, "the archive holds a file %.200q, which %s\npack it again", m.Name, why(seen[m.Name]))
		}
		seen[m.Name] = true
		if one, ok := memberOf(f, m); ok {
			all = append(all, one)
		}
	}
	for i := range all {
		all[i].unpacked = int64(min(unpacked, 1<<62))
	}
	if len(all) == 0 {
		return nil, lines.Refuse(lines.EmptyFile, "the archive holds no file")
	}
	return all, nil
}

func why(twice bool) string {
	if twice {
		return "it holds twice"
	}
	return "is no name within a folder"
}

// memberOf is a file of an archive. Folders, layouts and files with a dot before their
// name are left out, as they are in a folder.
func memberOf(f found, m *zip.File) (found, bool) {
	for part := range strings.SplitSeq(m.Name, "/") {
		if strings.HasPrefix(part, ".") || part == "__MACOSX" {
			return found{}, false
		}
	}
	if strings.HasSuffix(m.Name, "/") || strings.HasSuffix(m.Name, ".toml") {
		return found{}, false
	}
	one := found{
		name: f.name + "/" + strings.ToValidUTF8(m.Name, "\uFFFD"), path: f.path, info: f.info, member: m.Name,
		memberBytes: int64(min(m.UncompressedSize64, 1<<62)),
	}
	switch {
	case isArchive(m.Name):
		one.reason, one.skipped = lines.NotText, "an archive within an archive is not read\nunpack the outer one"
	case !m.Mode().IsRegular():
		one.reason, one.skipped = notAFile, "not a regular file"
	}
	return one, true
}

// bytes is how many bytes the file has, unpacked from its archive.
func (f found) bytes() int64 {
	if f.member != "" {
		return f.memberBytes
	}
	return f.info.Size()
}

// file is the file as it is opened.
func (f found) file() lines.File { return lines.File{Path: f.path, Size: f.bytes(), Member: f.member} }

// countUnpacked refuses a file of an archive that unpacks to too much: all its files
// count, whichever are read.
func (l Config) countUnpacked(f found) error {
	limit := l.UnpackedBytes
	if limit <= 0 {
		limit = 64 << 30
	}
	if f.member != "" && f.unpacked > limit {
		return lines.Refuse(lines.TooLarge, "the archive unpacks to %d bytes, more than %d\nsplit it, or raise exports.max_unpacked_mb",
			f.unpacked, limit)
	}
	return nil
}
