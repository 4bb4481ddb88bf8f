package study

import (
	_ "embed"
	"fmt"
	"io"
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
	if err := ventsScript.Execute(w, struct{ Question, Fires string }{string(p.Kind), scriptFires[p.Fire]}); err != nil {
		return fmt.Errorf("write model.R: %w", err)
	}
	return nil
}
