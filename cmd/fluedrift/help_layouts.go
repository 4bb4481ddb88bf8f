package main

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"text/tabwriter"

	"fluedrift/ingest/layout"
	"fluedrift/model/quantity"
)

// helpLayouts prints the grammar of layouts with a worked example of each form.
func helpLayouts(w io.Writer) {
	fmt.Fprintln(w, "A layout is a TOML file that says what one kind of export means. Put it into the layouts folder.")
	fmt.Fprintln(w, "fluedrift inspect FILE drafts one; help fields, help units and help codes list what it may name.")
	table := "-"
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, k := range layout.Keys() {
		if k.Table != table {
			table = k.Table
			fmt.Fprintf(t, "\n%s\n", tableHeading(table))
		}
		what := wrap(k.What+oneOf(k.Words), 96)
		fmt.Fprintf(t, "  %s\t%s\n", k.Name, what[0])
		for _, more := range what[1:] {
			fmt.Fprintf(t, "  \t%s\n", more)
		}
	}
	t.Flush()
	fmt.Fprintln(w, "\nWhere [file] does not say: csv, comma, double quote, no escape, utf-8, header in line 1, decimal point, no thousands")
	fmt.Fprintln(w, "mark, days as yyyy-mm-dd, first sheet, a whole last line.")
	fmt.Fprintln(w, "Codes ignore letter case. Our own words are known too, but for those that codes writes in another way.")
	for _, e := range layout.Examples() {
		fmt.Fprintf(w, "\nExample: %s\n%s\n\n%s\n%s", e.Form, e.Means, indent(e.File), indent(e.Layout))
		if e.Table != "" {
			fmt.Fprintf(w, "\n%s", indent(e.Table))
		}
		for _, name := range slices.Sorted(maps.Keys(e.Beside)) {
			fmt.Fprintf(w, "\n%s:\n\n%s", name, indent(e.Beside[name]))
		}
	}
}

func tableHeading(table string) string {
	switch table {
	case "":
		return "At the top"
	case "step":
		return "[[step]], in order: what is done to the rows before columns are read"
	case "column":
		return "[[column]], one for each column that is read"
	}
	return "[" + table + "]"
}

func oneOf(of []string) string {
	if len(of) == 0 {
		return ""
	}
	return ": " + strings.Join(of, ", ")
}

func indent(text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString("    " + line)
	}
	return b.String()
}

// helpFields prints the fields of every record.
func helpFields(w io.Writer) {
	fmt.Fprintln(w, "Fields that a column of a layout may give; * has to be given, and a blank cell sets its line aside.")
	fmt.Fprintln(w, "A unit in brackets is what values are stored in; where no unit is named as usual, a column has to declare its own.")
	for _, record := range layout.Records() {
		fmt.Fprintf(w, "\nrecord = %q\n", record)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, f := range layout.Fields(record) {
			name := f.Name
			if f.Required {
				name += " *"
			}
			fmt.Fprintf(t, "  %s\t%s\t%s\n", name, readAs(f), f.Meaning())
		}
		t.Flush()
	}
}

// readAs is how the cells of a field are read.
func readAs(f layout.Field) string {
	switch {
	case f.Kind == layout.Code:
		return "one of its words"
	case f.Kind == layout.Whole:
		return fmt.Sprintf("count, %g to %g", f.Low, f.High)
	case f.Kind != layout.Measured && f.Kind != layout.CO:
		return string(f.Kind)
	}
	text := fmt.Sprintf("%s [%s], %.6g to %.6g", f.Quantity, f.Canonical, f.Low, f.High)
	if f.Default != "" {
		text += ", usual " + f.Default
	}
	return text
}

// helpUnits prints the units of measure.
func helpUnits(w io.Writer) {
	fmt.Fprintln(w, "Units of measure that a column may declare, and the marks by which they are known behind a number.")
	var kinds []quantity.Kind
	byKind := map[quantity.Kind][]quantity.Unit{}
	for _, name := range quantity.Names() {
		u := quantity.MustLookup(name)
		if u.Kind == quantity.None {
			continue
		}
		if !slices.Contains(kinds, u.Kind) {
			kinds = append(kinds, u.Kind)
		}
		byKind[u.Kind] = append(byKind[u.Kind], u)
	}
	for _, k := range kinds {
		fmt.Fprintf(w, "\n%s\n", k)
		t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		for _, u := range byKind[k] {
			fmt.Fprintf(t, "  %s\t%s\n", u.Name, strings.Join(u.Marks, "  "))
		}
		t.Flush()
	}
	fmt.Fprintln(w, "\nNot taken, because people write them for different quantities")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range quantity.AllRefused() {
		fmt.Fprintf(t, "  %s\t%s: write %s\n", r.Name, r.Reason, r.Remedy)
	}
	t.Flush()
}

// helpCodes prints the words of fields that are codes.
func helpCodes(w io.Writer) {
	fmt.Fprintln(w, "Fields whose cells are words. Where an export has its own, codes says what each means:")
	fmt.Fprintln(w, `  codes = { "AF" = "as found", "AL" = "as left" }`)
	for _, record := range layout.Records() {
		for _, f := range layout.Fields(record) {
			if f.Kind != layout.Code {
				continue
			}
			fmt.Fprintf(w, "\n%s of %s\n", f.Name, record)
			for _, line := range wrap(strings.Join(f.Words, ", "), 96) {
				fmt.Fprintf(w, "  %s\n", line)
			}
			if f.Open {
				fmt.Fprintln(w, "  or a name of your own, where codes declares it")
			}
		}
	}
}
