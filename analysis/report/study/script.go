package study

import (
	_ "embed"
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/template"

	"fluedrift/analysis/study"
	"fluedrift/model/judge"
)

//go:embed vents.R
var ventsR string

var ventsScript = template.Must(template.New("model.R").Parse(ventsR))

// scriptFires are the fires of rows that go with the one asked for, as R text.
var scriptFires = map[judge.Fire]string{judge.High: `"high", "single"`, judge.Low: `"low"`, study.LowLessHigh: `"low less high"`}

// WriteVentsScript writes the R script that makes the declared comparison again from
// the table of rows beside it.
func WriteVentsScript(w io.Writer, s *study.Study) error {
	p := s.Settings.Primary
	var controls []string
	for _, c := range study.Controls(s) {
		controls = append(controls, strconv.Quote(c))
	}
	if err := ventsScript.Execute(w, struct{ Question, Fires, Control, Controls string }{
		string(p.Kind), scriptFires[p.Fire], string(p.Control), strings.Join(controls, ", "),
	}); err != nil {
		return fmt.Errorf("write model.R: %w", err)
	}
	return nil
}
