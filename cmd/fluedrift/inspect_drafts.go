package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

// writeDrafts writes the drafts alone, so that they can be put into a file.
func writeDrafts(w io.Writer, all []inspected) error {
	found := false
	for _, one := range all {
		if one.Draft == "" {
			continue
		}
		if found {
			fmt.Fprintln(w)
		}
		found = true
		if _, err := io.WriteString(w, one.Draft); err != nil {
			return err
		}
	}
	if !found {
		return errNoDraft()
	}
	return nil
}

func errNoDraft() error {
	return settings.Fail(settings.Usage, "inspect: no file here needs a draft, or none has lines to make one "+
		"from\nsee: fluedrift inspect -format text")
}

// namesFolder reports an output that is a folder for drafts: one that is there, or a
// name that is neither a layout's nor taken by something else.
func namesFolder(path string) bool {
	if path == "" {
		return false
	}
	info, err := os.Stat(path)
	if err != nil {
		return filepath.Ext(path) != ".toml"
	}
	return info.IsDir()
}

// writeDraftFiles writes each draft into a file of its own, named after the export.
// A file that is there is left, since somebody may have edited it, and then none is
// written.
func writeDraftFiles(c *call, all []inspected) error {
	names, drafts := map[string]bool{}, map[string]string{}
	var paths []string
	for _, one := range all {
		if one.Draft == "" {
			continue
		}
		path := filepath.Join(c.output, draftName(one.Name, names))
		if err := publish.Allowed("-o", path, c.guards); err != nil {
			return err
		}
		if !notThere(path) {
			return settings.Fail(settings.Usage, "-o: %s is there, and may have been edited; no draft is written\nname another folder, "+
				"or take it away", path)
		}
		paths, drafts[path] = append(paths, path), one.Draft
	}
	if len(paths) == 0 {
		return errNoDraft()
	}
	if err := os.MkdirAll(c.output, 0o700); err != nil {
		return err
	}
	for _, path := range paths {
		p, err := publish.DestinationOf("-o", path, c.guards)
		if err != nil {
			return err
		}
		if err := p.Put([]byte(drafts[path]), 0o600); err != nil {
			return fmt.Errorf("cannot write %s: %w", path, err)
		}
		fmt.Fprintf(c.out, "%s\n", path)
	}
	return nil
}

// draftName is the name of the file for a draft: the export's own with another
// ending, and a number where two exports have one name.
func draftName(export string, taken map[string]bool) string {
	base := strings.TrimLeft(strings.Map(func(r rune) rune {
		if strings.ContainsRune(` /\*?[]:"<>|`, r) || r < ' ' {
			return '_'
		}
		return r
	}, filepath.Base(export)), ".-")
	name := base + ".toml"
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s-%d.toml", base, n)
	}
	taken[name] = true
	return name
}
