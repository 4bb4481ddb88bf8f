package measured

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// writeReadme makes README.md of a folder from its files.
func writeReadme(folder string) error {
	names, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil {
		return err
	}
	texts := map[string]string{}
	for _, path := range names {
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		texts[strings.TrimSuffix(filepath.Base(path), ".csv")] = string(text)
	}
	readme, err := render(texts)
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(folder, "README.md"), []byte(readme), 0o644)
}

// render makes the README of files by subject.
func render(texts map[string]string) (string, error) {
	var b strings.Builder
	b.WriteString(`# What was measured

Made from the CSV files beside it; do not edit. Each figure names the command, the commit and the machine it was measured
with. ` + "`FLUEDRIFT_LONG=1 go test -timeout 0 -run NAME ./PACKAGE -update`" + ` measures again and rewrites
the rows of that test. A figure in square brackets is the bound; numbers in round brackets are standard errors.
`)
	for _, subject := range subjects {
		text, ok := texts[subject.name]
		if !ok {
			continue // not measured yet
		}
		delete(texts, subject.name)
		rows, err := parse(subject.name+".csv", text)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(&b, "\n## %s\n\n%s File: `%s.csv`.\n", subject.title, subject.about, subject.name)
		for _, part := range byOrigin(rows) {
			fmt.Fprintf(&b, "\n`%s`\n(commit %s; %s)\n\n%s", part[0].Command, part[0].Commit, part[0].Machine, table(part))
		}
		if subject.name == "growth" {
			b.WriteString(growthPage(rows))
		}
	}
	for name := range texts {
		return "", fmt.Errorf("%s.csv has no title in subjects.go", name)
	}
	return b.String(), nil
}

// byOrigin splits rows into runs of one command, commit and machine.
func byOrigin(rows []Row) [][]Row {
	var parts [][]Row
	for i, r := range rows {
		if i > 0 && sameOrigin(r, rows[i-1]) {
			parts[len(parts)-1] = append(parts[len(parts)-1], r)
			continue
		}
		parts = append(parts, []Row{r})
	}
	return parts
}

func sameOrigin(a, b Row) bool {
	return a.Command == b.Command && a.Commit == b.Commit && a.Machine == b.Machine
}

// table shows rows: cases down and figures across where most cases have most
// figures, else a line a figure.
func table(rows []Row) string {
	var cases, figures []string
	at := map[[2]string]Figure{}
	for _, r := range rows {
		f := r.Figure
		cases, figures = add(cases, f.Case), add(figures, f.Figure)
		at[[2]string{f.Case, f.Figure}] = f
	}
	if 5*len(at) < 3*len(cases)*len(figures) || len(cases) == 1 || len(at) < len(rows) {
		return long(rows)
	}
	var b strings.Builder
	common := make([]string, len(figures))
	b.WriteString("| |")
	for i, name := range figures {
		common[i] = commonBound(rows, name)
		fmt.Fprintf(&b, " %s%s |", name, bracket(common[i]))
	}
	b.WriteString("\n|---|" + strings.Repeat("---|", len(figures)) + "\n")
	for _, c := range cases {
		fmt.Fprintf(&b, "| %s |", c)
		for i, name := range figures {
			f, ok := at[[2]string{c, name}]
			if !ok {
				b.WriteString(" |")
				continue
			}
			if f.Bound == common[i] {
				f.Bound = ""
			}
			fmt.Fprintf(&b, " %s |", cell(f))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// long shows a line a figure.
func long(rows []Row) string {
	var b strings.Builder
	b.WriteString("| case | figure | value |\n|---|---|---|\n")
	for _, r := range rows {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", r.Figure.Case, r.Figure.Figure, cell(r.Figure))
	}
	return b.String()
}

// cell is a value with what belongs to it.
func cell(f Figure) string {
	s := f.Value
	if f.Of != "" {
		s += " of " + f.Of
	}
	if f.Error != "" {
		s += " (" + f.Error + ")"
	}
	return s + bracket(f.Bound)
}

func bracket(bound string) string {
	if bound == "" {
		return ""
	}
	return " [" + bound + "]"
}

// commonBound is the bound that all cases of a figure share; "" where they differ.
func commonBound(rows []Row, figure string) string {
	var bounds []string
	for _, r := range rows {
		if r.Figure.Figure == figure {
			bounds = add(bounds, r.Figure.Bound)
		}
	}
	if len(bounds) != 1 {
		return ""
	}
	return bounds[0]
}

// add appends a text that is not there yet.
func add(texts []string, text string) []string {
	if slices.Contains(texts, text) {
		return texts
	}
	return append(texts, text)
}
