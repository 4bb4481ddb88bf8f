package ingest

import (
	"fmt"
	"maps"
	"slices"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/lines"
)

// remarks is what a person should know about a file that was read.
func remarks(out *File) (all []string) {
	if out.Parsed+out.SetAside+out.Joined == 0 {
		all = append(all, "a header and no rows")
	}
	if len(out.Unmapped) > 0 {
		all = append(all, "columns the layout does not declare: "+lines.Quoted(out.Unmapped))
	}
	for _, why := range slices.Sorted(maps.Keys(out.Left)) {
		all = append(all, fmt.Sprintf("left out, %s: %s", why, lineCount(out.Left[why])))
	}
	all = append(all, out.Steps...)
	for _, u := range out.Unread {
		all = append(all, fmt.Sprintf("not read: %s (%s)", u.What, draft.Counted(int(u.Lines), "line")))
	}
	return all
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}

func lineCount(n int64) string {
	if n == 1 {
		return "1 line"
	}
	return fmt.Sprintf("%d lines", n)
}
