package night

import (
	"fmt"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// A guard keeps a good list from being replaced by a bad one. It finds faults;
// a fault refuses the night unless the configuration tolerates that guard.
type fault struct {
	guard string // as in guards.tolerate; "" for what is only to be looked at
	text  string
}

// findings are what the guards of a night found that does not refuse it.
type findings struct {
	config *settings.Config
	notes  []string // to be looked at: they end the night with settings.Look
	let    []string // of guards that are tolerated and only ask for a look: of the record alone
}

// note adds what there is to look at.
func (f *findings) note(texts ...string) { f.notes = append(f.notes, texts...) }

// settle turns faults into the end of a night: an error for the first fault
// that is not tolerated, else notes to look at.
func (f *findings) settle(faults []fault) error {
	for _, x := range faults {
		if x.guard != "" && !slices.Contains(f.config.Guards.Tolerate, x.guard) {
			return settings.Fail(settings.Refused, "input refused, the last list stays: %s", x.text)
		}
	}
	for _, x := range faults {
		note, _, _ := strings.Cut(x.text, "\n")
		if x.guard != "" {
			note += fmt.Sprintf(" (tolerated: guards.tolerate has %q)", x.guard)
		}
		f.notes = append(f.notes, note)
	}
	return nil
}

// ask notes what a night is to be looked at for. A guard that is tolerated is
// kept in the night's record alone and leaves the code as it is.
func (f *findings) ask(faults []fault) {
	for _, x := range faults {
		note, _, _ := strings.Cut(x.text, "\n")
		if slices.Contains(f.config.Guards.Tolerate, x.guard) {
			f.let = append(f.let, note+fmt.Sprintf(" (tolerated: guards.tolerate has %q)", x.guard))
			continue
		}
		f.notes = append(f.notes, note)
	}
}
