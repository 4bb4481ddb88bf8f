package ids

import (
	"slices"
	"strings"
	"unicode"
)

// mostShapes is how many shapes the ids of one register may have, and fewest the share
// of them that have one. The others have to stay as they are.
const (
	mostShapes = 4
	fewest     = 0.95
)

// ShapesOf finds the shapes that ids have; nil where they have none in common. Letters
// stand for themselves where that leaves few shapes, else for any letter.
func ShapesOf(ids []string) []string {
	for _, anyLetter := range []bool{false, true} {
		all, have := shapesOf(ids, nil, anyLetter)
		if float64(have) < fewest*float64(len(ids)) {
			continue
		}
		if all = leaving(all, ids); all != nil {
			return all
		}
	}
	return nil
}

// ShapesFor finds the shapes that some of the ids have, where all of them have none in
// common; nil where there are none, or where they would change another id.
func ShapesFor(ids, some []string) []string {
	for _, anyLetter := range []bool{false, true} {
		wanted := map[string]bool{}
		for _, id := range some {
			outline, _ := outlineOf(id, anyLetter)
			wanted[outline] = true
		}
		all, _ := shapesOf(ids, wanted, anyLetter)
		if all = leaving(all, ids); all != nil {
			return all
		}
	}
	return nil
}

// shapesOf gives the shapes of ids, of the wanted outlines alone where there are any, and
// how many ids have one; nil where there are none, or too many.
func shapesOf(ids []string, wanted map[string]bool, anyLetter bool) (all []string, have int) {
	groups := map[string][][]string{}
	for _, id := range ids {
		outline, runs := outlineOf(id, anyLetter)
		if len(runs) > 0 && (wanted == nil || wanted[outline]) {
			groups[outline] = append(groups[outline], runs)
		}
	}
	for outline, rows := range groups {
		if shape, ok := withDigits(outline, rows); ok && len(rows) > 1 {
			all, have = append(all, shape), have+len(rows)
		}
	}
	if len(all) > mostShapes {
		return nil, 0
	}
	slices.Sort(all)
	return all, have
}

// leaving is nil where there are no shapes, or where they would change an id.
func leaving(all, ids []string) []string {
	if len(all) == 0 {
		return nil
	}
	r, err := NewRules(all, nil)
	if err != nil {
		return nil
	}
	for _, id := range ids {
		if in, _ := r.Resolve(id); in != id {
			return nil
		}
	}
	return all
}

// outlineOf is an id with \x00 for each run of digits, and those runs.
func outlineOf(id string, anyLetter bool) (string, []string) {
	var outline, run strings.Builder
	var runs []string
	flush := func() {
		if run.Len() > 0 {
			outline.WriteByte(0)
			runs = append(runs, run.String())
			run.Reset()
		}
	}
	for _, r := range id {
		if isDigit(r) {
			run.WriteRune(r)
			continue
		}
		flush()
		switch {
		case anyLetter && unicode.IsLetter(r):
			outline.WriteByte('?')
		case strings.ContainsRune(`#?\`, r):
			outline.WriteString(`\` + string(r))
		default:
			outline.WriteRune(r)
		}
	}
	flush()
	return outline.String(), runs
}

// withDigits writes the runs of digits into an outline: of one width as that many
// digits, else as numbers, where none has a zero at the left.
func withDigits(outline string, rows [][]string) (string, bool) {
	var b strings.Builder
	at := 0
	for _, r := range outline {
		if r != 0 {
			b.WriteRune(r)
			continue
		}
		width, same, padded := len(rows[0][at]), true, false
		for _, runs := range rows {
			same = same && len(runs[at]) == width
			padded = padded || len(runs[at]) > 1 && runs[at][0] == '0'
		}
		switch {
		case same:
			b.WriteString(strings.Repeat("0", width))
		case padded:
			return "", false
		default:
			b.WriteByte('#')
		}
		at++
	}
	return b.String(), true
}
