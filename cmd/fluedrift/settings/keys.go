package settings

import (
	"fmt"
	"io"
	"reflect"
	"text/tabwriter"
)

// WriteKeys prints every key with its default and meaning.
func WriteKeys(w io.Writer) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "key\tdefault\tmeaning")
	EachKey(func(name, usual, meaning string) { fmt.Fprintf(t, "%s\t%s\t%s\n", name, usual, meaning) })
	t.Flush()
}

// EachKey gives every key with its default, "" where it has none, and its meaning.
func EachKey(give func(name, usual, meaning string)) {
	plain := reflect.ValueOf(defaults()).Elem()
	for i := range plain.NumField() {
		section := plain.Type().Field(i)
		name := section.Tag.Get("toml")
		if name == "" || name == "-" {
			continue
		}
		kind, values := section.Type, plain.Field(i)
		if kind.Kind() == reflect.Map {
			give("["+name+".\"name\"]", "", meanings[name])
			continue
		}
		if kind.Kind() == reflect.Slice {
			give("[["+name+"]]", "", meanings[name])
			kind = kind.Elem()
			values = reflect.Zero(kind)
		}
		for j := range kind.NumField() {
			key := kind.Field(j)
			full := name + "." + key.Tag.Get("toml")
			give(full, defaultText(key, values.Field(j)), meanings[full])
		}
		eachKeyOfEntries(name, kind, give)
	}
}

// eachKeyOfEntries gives the keys of a section's entries: [[crews.crew]].
func eachKeyOfEntries(section string, kind reflect.Type, give func(name, usual, meaning string)) {
	for list := range kind.Fields() {
		if list.Type.Kind() != reflect.Slice || list.Type.Elem().Kind() != reflect.Struct {
			continue
		}
		for key := range list.Type.Elem().Fields() {
			full := section + "." + list.Tag.Get("toml") + "." + key.Tag.Get("toml")
			give(full, key.Tag.Get("default"), meanings[full])
		}
	}
}
