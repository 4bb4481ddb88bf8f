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
	plain := reflect.ValueOf(defaults()).Elem()
	for i := range plain.NumField() {
		section := plain.Type().Field(i)
		name := section.Tag.Get("toml")
		if name == "" || name == "-" {
			continue
		}
		kind, values := section.Type, plain.Field(i)
		if kind.Kind() == reflect.Map {
			fmt.Fprintf(t, "[%s.\"name\"]\t\t%s\n", name, meanings[name])
			continue
		}
		if kind.Kind() == reflect.Slice {
			fmt.Fprintf(t, "[[%s]]\t\t%s\n", name, meanings[name])
			kind = kind.Elem()
			values = reflect.Zero(kind)
		}
		for j := range kind.NumField() {
			key := kind.Field(j)
			full := name + "." + key.Tag.Get("toml")
			fmt.Fprintf(t, "%s\t%s\t%s\n", full, defaultText(key, values.Field(j)), meanings[full])
		}
		helpEntries(t, name, kind)
	}
	t.Flush()
}

// helpEntries prints the keys of a section's entries: [[crews.crew]].
func helpEntries(w io.Writer, section string, kind reflect.Type) {
	for list := range kind.Fields() {
		if list.Type.Kind() != reflect.Slice || list.Type.Elem().Kind() != reflect.Struct {
			continue
		}
		for key := range list.Type.Elem().Fields() {
			full := section + "." + list.Tag.Get("toml") + "." + key.Tag.Get("toml")
			fmt.Fprintf(w, "%s\t%s\t%s\n", full, key.Tag.Get("default"), meanings[full])
		}
	}
}
