package words

import (
	"strings"

	"fluedrift/analysis/watch"
)

// Checks puts the first checks in a row.
func Checks(l *watch.Line) string {
	var do []string
	for _, c := range l.CheckFirst {
		do = append(do, c.Do)
	}
	return strings.Join(do, " ")
}
