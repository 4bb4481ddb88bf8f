package reshape

import (
	"fmt"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
)

// wrongWidth says what is wrong with a line of more or fewer cells than the header.
func wrongWidth(cells, header int) string {
	return fmt.Sprintf("the line has %d cells and the header %d", cells, header)
}

// absent: a column that a step reads is not there.
func absent(s *layout.Step, name string) error {
	return lines.Refuse(lines.MissingColumn, "not in the header: %q, which the step %s reads\ndeclare optional = true in that step if "+
		"some exports lack it", name, s.Do)
}

// twice: a column that a step reads is there more than once.
func twice(s *layout.Step, name string) error {
	return lines.Refuse(lines.DuplicateColumn, "the header has several columns named %q (letter case aside), which the step %s "+
		"reads", name, s.Do)
}

// taken: a step makes a column that is there already.
func taken(s *layout.Step, name string) error {
	return lines.Refuse(lines.DuplicateColumn, "the step %s makes a column %q, and the header has one of that name\nname the new "+
		"column otherwise", s.Do, name)
}
