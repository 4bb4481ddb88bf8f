package night

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// unusedOf sorts the lines of this night that could not be used by the unit they
// name; a line that was mended is none. Only units are kept whose line on the
// list speaks of it: those that the register does not hold, and those without a
// reading.
func unusedOf(e *evidence, histories []*judge.History) map[string]watch.Unused {
	all, kinds := map[string]watch.Unused{}, map[string]string{}
	for _, h := range histories {
		if !h.Unit.InRegister || len(h.Readings) == 0 {
			all[h.Unit.Serial] = watch.Unused{}
		}
	}
	for _, f := range e.inputs {
		kinds[f.Name] = f.Record
	}
	seen := map[mend.Place]bool{}
	for _, a := range e.aside {
		at := mend.Place{File: a.File, Line: int(a.Line)}
		u, wanted := all[a.Serial]
		if _, mended := e.mended[at]; mended || !wanted || seen[at] || a.Reason == watch.ReasonNotRegister {
			continue
		}
		seen[at] = true
		switch name := fmt.Sprintf("%s:%d", a.File, a.Line); {
		case kinds[a.File] == "readings":
			if u.Lines++; u.First == "" {
				u.First = name
			}
		case kinds[a.File] == "units" && u.Register == "":
			u.Register = name
		}
		all[a.Serial] = u
	}
	for serial, u := range all {
		if u == (watch.Unused{}) {
			delete(all, serial)
		}
	}
	return all
}

// TakeFleet gives rules what the publication of a day took from the whole fleet,
// so that a command that reads one unit says of it what the list says.
func TakeFleet(c *settings.Config, asOf day.Day, r *watch.Config) {
	text, err := os.ReadFile(filepath.Join(c.Path(c.Output.Lists), settings.DayText(asOf), "run.json"))
	if err != nil {
		return
	}
	var told struct {
		Unused      map[string]watch.Unused `json:"unused"`
		CommonCause string                  `json:"common_cause"`
		StillBooked []string                `json:"still_booked"`
	}
	if json.Unmarshal(text, &told) == nil {
		r.Unused, r.CommonCause = told.Unused, told.CommonCause
		r.Booked = watch.SetOf(told.StillBooked)
	}
}
