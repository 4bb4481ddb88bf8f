package main

import (
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/night"
)

// writeQuestions numbers what only a person can know, the most costly first.
func (r report) writeQuestions(t *strings.Builder) {
	if len(r.questions) == 0 {
		return
	}
	fmt.Fprintf(t, "\n%s, the most costly first. Write the answers into %s\n", night.Count(len(r.questions), "question"), r.answers.path)
	for i, q := range r.questions {
		for j, line := range q.comment() {
			start := "     "
			if j == 0 {
				start = fmt.Sprintf("%3d. ", i+1)
			}
			writeWrapped(t, start, "     ", line)
		}
		for _, w := range q.wrong {
			writeWrapped(t, "     ", "     ", w)
		}
		for j, l := range q.lines {
			if j == 2 && len(q.lines) > 3 {
				fmt.Fprintf(t, "     and %d more lines\n", len(q.lines)-j)
				break
			}
			fmt.Fprintf(t, "     %s = \"\"\n", quoted(l))
		}
	}
}
