package ingest

import (
	"context"
	"maps"
	"path"
	"slices"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/mend"
)

// Proposal is a layout proposed for the files of one kind in the exports folder.
type Proposal struct {
	draft.Draft
	Label string   // tells kinds apart in questions: a name pattern
	Files []string // paths in the folder
	By    string   // layout of a person's that these files have: it holds, not the draft
}

// proposeRows is how many rows of a file a proposal is made from.
const proposeRows = 20_000

// Propose looks at all files of the exports folder together and proposes a layout
// for each kind of file: files of one kind have one header. Patterns are the name
// patterns of layouts that a person wrote, by their names: those hold for their
// files. Answer gives what a person answered to a question on files of a
// label, "" where nothing.
func Propose(ctx context.Context, o Options, patterns map[string][]string, answer func(label, key string) string) ([]Proposal, error) {
	files, err := find(o.Folder, o.Layouts)
	if err != nil {
		return nil, err
	}
	if err := o.Limits.count(o.Folder, len(files)); err != nil {
		return nil, err
	}
	var kinds []kind
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f.limits = o.Limits
		if f.skipped != "" {
			continue
		}
		one := kind{draft.Look(unknown(ctx, f, proposeRows)), written(f, patterns)}
		if !slices.ContainsFunc(kinds, func(k kind) bool { return k.by == one.by && k.Join(one.Kind) }) {
			kinds = append(kinds, one)
		}
	}
	return proposeAll(kinds, answer), nil
}

// kind is a kind of file, with the layout that a person wrote for it.
type kind struct {
	*draft.Kind
	by string
}

// written is the layout of a person's that files of a name have.
func written(f found, patterns map[string][]string) string {
	for _, name := range slices.Sorted(maps.Keys(patterns)) {
		if slices.ContainsFunc(patterns[name], func(p string) bool { return mend.Fits(p, f.name) }) {
			return name
		}
	}
	return ""
}

func proposeAll(kinds []kind, answer func(label, key string) string) (all []Proposal) {
	values, keys := make([]map[string]bool, len(kinds)), make([]map[string]bool, len(kinds))
	columns := make([][]map[string]bool, len(kinds))
	for i, k := range kinds {
		values[i], keys[i], columns[i] = k.Values(), k.Keys(), k.Columns()
	}
	shared := joined(kinds)
	called, labels := namesOf(kinds)
	for i, k := range kinds {
		known := draft.Known{Pattern: patternsOf(kinds, i), Name: called[i], IsTable: slices.Contains(shared, i)}
		if at := shared[i]; at >= 0 {
			known.Table = &draft.Rows{Kind: kinds[at].Kind, Name: called[at]}
		}
		known.Others = slices.Concat(values[:i], values[i+1:])
		known.Keys = slices.Concat(keys[:i], keys[i+1:])
		for j := range kinds {
			if j != i {
				known.Columns = append(known.Columns, columns[j]...)
			}
		}
		label := labels[i]
		known.Answer = func(key string) string { return answer(label, key) }
		all = append(all, Proposal{Draft: draft.Propose(k.Kind, known), Label: label, Files: k.Names(), By: k.by})
	}
	return all
}

// namesOf gives the names of the layouts of kinds, and what tells the kinds apart in questions.
func namesOf(kinds []kind) (names, labels []string) {
	for i, k := range kinds {
		label := shortest(patternsOf(kinds, i)) // a second copy's is longer
		name := draft.NameOf(path.Base(shortest(k.Names())))
		if slices.Contains(names, name) {
			name = label
		}
		names, labels = append(names, name), append(labels, label)
	}
	return names, labels
}

// joined are, for each kind, the kind whose rows its own are joined to; -1 for none. What a
// person wrote a layout for is left to it.
func joined(kinds []kind) (to []int) {
	for i, k := range kinds {
		to = append(to, -1)
		var at []int
		var others []*draft.Kind
		for j, other := range kinds {
			if j != i && k.by == "" && other.by == "" {
				at, others = append(at, j), append(others, other.Kind)
			}
		}
		if found := draft.JoinedTo(k.Kind, others); found >= 0 {
			to[i] = at[found]
		}
	}
	return to
}

func shortest(all []string) string {
	return slices.MinFunc(all, func(x, y string) int { return len(x) - len(y) })
}

// patternsOf are the name patterns of a kind: names with other digits, unless a file
// of another kind would have one of them too.
func patternsOf(kinds []kind, i int) (all []string) {
	add := func(p string) {
		if !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	for _, name := range kinds[i].Names() {
		add(draft.NamePattern(path.Base(name)))
	}
	for j, other := range kinds {
		for _, name := range other.Names() {
			if j != i && slices.ContainsFunc(all, func(p string) bool { return mend.Fits(p, name) }) {
				all = nil
				for _, own := range kinds[i].Names() {
					add(layout.ExactPattern(path.Base(own)))
				}
				return all
			}
		}
	}
	return all
}
