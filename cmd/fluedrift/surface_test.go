package main

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/layout"
)

// surface lists all that a user, a configuration, a layout or a program that
// reads the lists can meet by name, a name a line, with what it must not change
// without a word: "key plan.interval_months = 12".
func surface() []string {
	var all []string
	add := func(format string, args ...any) {
		all = append(all, strings.TrimRight(fmt.Sprintf(format, args...), " ="))
	}
	for _, c := range commands {
		add("command %s = %s", c.name, c.args)
		for f := range strings.FieldsSeq(flagUse[c.name]) {
			add("flag %s -%s = %s", c.name, f, flagSet(c.name, new(options)).Lookup(f).DefValue)
		}
	}
	for _, c := range settings.Endings {
		add("code %d = %s", c.Condition, c.Name)
	}
	for _, g := range settings.GuardNames {
		add("guard %s", strings.ReplaceAll(g, " ", "_"))
	}
	tagged(reflect.TypeFor[settings.Config](), "toml", "", func(name, _ string) { add("key %s = %s", name, defaultOf(name)) })
	tagged(reflect.TypeFor[layout.Layout](), "toml", "", func(name, _ string) { add("layout %s", name) })
	for _, record := range layout.Records() {
		for _, f := range layout.Fields(record) {
			add("field %s.%s = %s %s %s", record, f.Name, f.Kind, f.Canonical, strings.Join(f.Words, " "))
		}
	}
	for _, l := range lists.Lists() {
		for _, c := range l.Columns {
			add("column %s.%s = %s %s", l.Name, c.Name, c.Kind, c.Unit)
		}
	}
	tagged(reflect.TypeFor[night.Record](), "json", "", func(name, _ string) { add("run.json %s", name) })
	for _, g := range watch.Groups() {
		add("group %s", strings.ReplaceAll(g.Words(), " ", "_"))
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// defaultOf is the default of a key (section.key) as a configuration without keys has
// it; "" where it has none.
func defaultOf(key string) string {
	section, name, _ := strings.Cut(key, ".")
	f, v := fieldOf(reflect.ValueOf(settings.ReadLeniently("")).Elem(), section)
	if v.Kind() == reflect.Struct {
		f, v = fieldOf(v, name)
	}
	if text := f.Tag.Get("default"); text != "-" {
		return text
	}
	return fmt.Sprint(v.Interface())
}

// fieldOf finds a field by its key.
func fieldOf(v reflect.Value, key string) (reflect.StructField, reflect.Value) {
	for i := range v.NumField() {
		if f := v.Type().Field(i); f.Tag.Get("toml") == key {
			return f, v.Field(i)
		}
	}
	return reflect.StructField{}, reflect.Value{}
}

// tagged walks a struct by a tag of its fields and gives the names with dots.
func tagged(of reflect.Type, tag, within string, each func(name, value string)) {
	for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
		of = of.Elem()
	}
	for f := range of.Fields() {
		name, _, _ := strings.Cut(f.Tag.Get(tag), ",")
		if name == "" || name == "-" {
			continue
		}
		inner := f.Type
		for inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice {
			inner = inner.Elem()
		}
		if inner.Kind() == reflect.Struct && strings.HasPrefix(inner.PkgPath(), "fluedrift") {
			tagged(inner, tag, within+name+".", each)
			continue
		}
		if inner.Kind() == reflect.Struct && inner.Name() == "" { // a section
			tagged(inner, tag, within+name+".", each)
			continue
		}
		each(within+name, f.Tag.Get("default"))
	}
}

// surfaceFile keeps the surface of a release that is out.
func surfaceFile(version string) string {
	return filepath.Join("testdata", "surface", version+".txt")
}

// byName splits the lines of a surface into names and what they stand for.
func byName(lines []string) map[string]string {
	all := map[string]string{}
	for _, l := range lines {
		name, value, _ := strings.Cut(l, " = ")
		all[name] = value
	}
	return all
}

// covers says whether a name of the change log covers a name of the surface.
func covers(entry, name string) bool {
	start, open := strings.CutSuffix(entry, "*")
	return entry == name || open && strings.HasPrefix(name, start)
}

// Every name added, changed or gone since the last release has an entry in the
// newest of the change log, and every entry is true. -update keeps the surface of
// the newest entry's version: run it when that version goes out, and begin a new
// entry with the next change.
func TestEveryChangeHasAnEntry(t *testing.T) {
	now := surface()
	if *update {
		require.NoError(t, os.WriteFile(surfaceFile(settings.Releases[0].Version), []byte(strings.Join(now, "\n")+"\n"), 0o644))
		return
	}
	_, err := os.Stat(surfaceFile(settings.Releases[0].Version))
	require.ErrorIs(t, err, os.ErrNotExist, "version %s is out: begin a new entry in changes.go", settings.Releases[0].Version)
	text, err := os.ReadFile(surfaceFile(settings.Releases[1].Version))
	require.NoError(t, err)
	was, is := byName(strings.Split(strings.TrimSpace(string(text)), "\n")), byName(now)

	var entries []string
	for _, c := range settings.Releases[0].Changes {
		entries = append(entries, strings.Split(c.Names, ", ")...)
		require.NotEmpty(t, c.What, c.Names)
	}
	used, missing, gone := map[string]bool{}, []string{}, []string{}
	look := func(name, what string) {
		found := false
		for _, e := range entries {
			if covers(e, name) {
				used[e], found = true, true
			}
		}
		if !found {
			missing = append(missing, fmt.Sprintf("\t\t{%q, \"%s\"},", name, what))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(is)) {
		value, old := was[name]
		switch {
		case !old:
			look(name, "new: ...")
		case value != is[name]:
			look(name, fmt.Sprintf("was %s, is %s: ...", value, is[name]))
		}
	}
	for _, name := range slices.Sorted(maps.Keys(was)) {
		if _, still := is[name]; !still {
			look(name, "gone: ...")
			gone = append(gone, name)
		}
	}
	if len(missing) > 0 {
		t.Fatalf("no entry in changes.go; write there, in the newest release, what a user must know:\n%s", strings.Join(missing, "\n"))
	}
	for _, e := range entries {
		if _, same := is[e]; same { // what it does may have changed and its name not
			continue
		}
		require.True(t, used[e], "changes.go: %q has not changed since %s", e, settings.Releases[1].Version)
	}
	for _, name := range gone {
		read := strings.HasPrefix(name, "column ") || strings.HasPrefix(name, "run.json ") || strings.HasPrefix(name, "tier ") ||
			strings.HasPrefix(name, "group ")
		require.False(t, read && table.Schema == settings.Releases[1].Schema,
			"%s is gone: a program that reads publications may need it; raise table.Schema", name)
	}
}

// The change log and the schema of the publications go together.
func TestChangeLogIsInOrder(t *testing.T) {
	require.Equal(t, table.Schema, settings.Releases[0].Schema, "the newest entry has the schema of this program")
	for i, r := range settings.Releases[1:] {
		require.GreaterOrEqual(t, settings.Releases[i].Schema, r.Schema, r.Version)
	}
	text := runCommand(t, 0, "help", "changes")
	for _, r := range settings.Releases {
		require.Contains(t, text, r.Version)
	}
	require.Contains(t, text, "code 64")
}
