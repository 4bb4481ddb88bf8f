package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"fluedrift/cmd/fluedrift/settings"
)

// decisions are the answers in decisions.toml, a line a question. Lines that are
// there are never changed; new questions go to the end.
type decisions struct {
	path  string
	file  []byte
	given map[string]string
	used  map[string]bool // answers to a question that is asked
}

func readDecisions(path string) (*decisions, error) {
	d := &decisions{path: path, given: map[string]string{}, used: map[string]bool{}}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return d, nil
	}
	if err != nil {
		return nil, settings.Fail(settings.Usage, "start: %w", err)
	}
	d.file = text
	if _, err := toml.Decode(string(text), &d.given); err != nil {
		if p, ok := errors.AsType[toml.ParseError](err); ok {
			return nil, settings.Fail(settings.Usage, "%s:%d: %s\nwrite each answer between quotes: \"question\" = \"answer\"", path,
				p.Position.Line, p.Message)
		}
		return nil, settings.Fail(settings.Usage, "%s: %w\nwrite each answer between quotes: \"question\" = \"answer\"", path, err)
	}
	return d, nil
}

// decisionID names a question about the files of a label.
func decisionID(label, key string) string { return label + ": " + key }

// of is the answer to a question about the files of a label.
func (d *decisions) of(label, key string) string { return d.text(decisionID(label, key)) }

func (d *decisions) text(id string) string { return strings.TrimSpace(d.given[plain(id)]) }

func (d *decisions) use(label, key string) { d.used[decisionID(label, key)] = true }

// plain is a text as it can be read back from a file: control characters are blanks.
func plain(id string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(id, "\uFFFD"))
}

// idle are answers to no question that is asked.
func (d *decisions) idle(open []asked) (all []string) {
	asks := map[string]bool{}
	for _, q := range open {
		for _, l := range q.lines {
			asks[plain(l)] = true
		}
	}
	for id := range d.used {
		asks[plain(id)] = true
	}
	for _, id := range slices.Sorted(maps.Keys(d.given)) {
		if d.given[id] != "" && !asks[id] {
			all = append(all, id)
		}
	}
	return all
}

// with is the file with the questions that it does not have yet.
func (d *decisions) with(open []asked) (text []byte, added bool) {
	var b strings.Builder
	b.Write(d.file)
	if len(d.file) == 0 {
		b.WriteString("# What only a person can know. Write each answer between the quotes and run fluedrift start again.\n" +
			"# An answer that stays empty leaves what is said to hold until then.\n")
	} else if d.file[len(d.file)-1] != '\n' {
		b.WriteString("\n")
	}
	for _, q := range open {
		var lines []string
		for _, l := range q.lines {
			if _, there := d.given[plain(l)]; !there {
				lines = append(lines, fmt.Sprintf("%s = \"\"\n", quoted(l)))
			}
		}
		if len(lines) == 0 {
			continue
		}
		added = true
		b.WriteString("\n")
		for _, line := range q.comment() {
			for _, part := range wrap(line, 110) {
				fmt.Fprintf(&b, "# %s\n", plain(part))
			}
		}
		b.WriteString(strings.Join(lines, ""))
	}
	return []byte(b.String()), added
}

// filled is the file with an answer between the quotes of a line that has none; false
// where a person wrote that line otherwise.
func (d *decisions) filled(id, answer string) (text []byte, ok bool) {
	empty := quoted(id) + ` = ""`
	for line := range strings.Lines(string(d.file)) {
		rest, found := strings.CutPrefix(line, empty)
		if found && !ok {
			line, ok = quoted(id)+" = "+quoted(answer)+rest, true
		}
		text = append(text, line...)
	}
	return text, ok
}

// told are a question and what it rests on.
func (q asked) told() []string { return append([]string{q.ask}, q.evidence...) }

// comment is a question in words.
func (q asked) comment() []string {
	all := q.told()
	if len(q.choices) > 0 {
		all = append(all, "One of: "+strings.Join(q.choices, ", ")+".")
	}
	if q.guess != "" {
		all = append(all, "Until it is answered: "+q.guess+".")
	}
	return all
}
