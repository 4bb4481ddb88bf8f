package night

import (
	"cmp"
	"fmt"
	"os"
	"path"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// The guards of this file look at each export by itself: in the share of all
// lines, a small or a new export can be lost without a trace.

// fewLines is a number of lines below which no guard refuses a night, and
// smallFile the size of an export too small to speak of its share.
const (
	fewLines  = 3
	smallFile = 5
)

// states says whether an export states how things are, so that its newest holds
// them all: a register, targets, or calibrations.
func (f Input) states() bool {
	return f.Record == layout.Units || f.Record == layout.Plants || f.Record == layout.ModelLines || f.Record == layout.Analyzers
}

// usable counts the lines that stand, and those that stand elsewhere: replaced
// by a later line, or the same as an earlier one.
func (f Input) usable() int64 { return f.Accepted + f.Superseded + f.Duplicate }

// aside counts the lines set aside that nobody has mended.
func (f Input) aside() int64 { return f.SetAside - f.Mended }

// registerLines finds exports that state how things are and of which lines take
// no part. Such a line is a unit without a vent, a fuel or a target.
func registerLines(c *settings.Config, now []Input) []fault {
	var refused, seen []string
	for _, f := range now {
		lost := f.aside() + f.Doubtful
		if f.Outcome != "read" || !f.states() || lost+f.LinesSpoilt == 0 {
			continue
		}
		text := lostOf(f, lost+f.LinesSpoilt)
		switch share := float64(lost) / float64(f.Records); {
		case lost >= fewLines && share > c.Guards.MaxRegisterAside:
			refused = append(refused, text)
		case float64(lost+f.LinesSpoilt)/float64(f.Records) > c.Guards.RegisterTolerated:
			seen = append(seen, text)
		}
	}
	var found []fault
	if refused != nil {
		found = append(found, fault{"register lines", fmt.Sprintf("%s of a register, targets or calibrations cannot "+
			"be used: %s: over guards.max_register_set_aside = %g\ncorrect the lines or the layout (fluedrift inspect "+
			"shows them), or set guards.tolerate = [\"register lines\"]",
			Count(len(refused), "export"), firstThree(refused), c.Guards.MaxRegisterAside)})
	}
	if seen != nil {
		found = append(found, fault{"", fmt.Sprintf("lines of a register, targets or calibrations cannot be used in full: %s; "+
			"see records-to-fix.csv", firstThree(seen))})
	}
	return found
}

// lostOf says how many lines of an export cannot be used, and why.
func lostOf(f Input, lost int64) string {
	text := fmt.Sprintf("%d of %s in %s", lost, Count(int(f.Records), "line"), f.Name)
	if f.Cause != "" {
		text += " (mostly " + f.Cause + ")"
	}
	return text
}

// mostOf says that most lines of an export, or most cells of one of its columns, are
// set aside; "" where they are not.
func mostOf(f Input, most float64) string {
	switch lost := f.aside() + f.LostReadings; {
	case float64(lost) > most*float64(f.Records):
		return lostOf(f, lost)
	case f.worstShare > most:
		return fmt.Sprintf("%.0f %% of the cells under %q in %s", 100*f.worstShare, f.worstColumn, f.Name)
	}
	return ""
}

// filesAside finds exports most of whose lines, or most of whose cells in a column, are
// set aside. In the newest of a
// source that is the way its office writes from now on.
func filesAside(c *settings.Config, now []Input) []fault {
	newest := newestOfSources(now)
	var refused, seen []string
	for _, f := range now {
		text := mostOf(f, c.Guards.MaxFileAside)
		if f.Outcome != "read" || f.Records < smallFile || text == "" {
			continue
		}
		if newest[f.Name] {
			refused = append(refused, text)
		} else {
			seen = append(seen, text)
		}
	}
	var found []fault
	if refused != nil {
		found = append(found, fault{"newest file", fmt.Sprintf("most of the newest export of a source is set aside: "+
			"%s: over guards.max_file_set_aside = %g\nfluedrift inspect shows the lines; add new words to the layout, or set "+
			"guards.tolerate = [\"newest file\"]",
			firstThree(refused), c.Guards.MaxFileAside)})
	}
	if seen != nil {
		found = append(found, fault{"", fmt.Sprintf("most of an export is set aside: %s; see "+
			"records-to-fix.csv", firstThree(seen))})
	}
	return found
}

// withoutGas notes the newest exports of a source most of whose lines hold
// neither CO2 nor O2: each is a visit, but a column that lost its values looks
// the same.
func withoutGas(c *settings.Config, now []Input) []fault {
	newest := newestOfSources(now)
	var seen []string
	for _, f := range now {
		if f.Outcome == "read" && f.Records >= smallFile && newest[f.Name] &&
			float64(f.WithoutGas) > c.Guards.MaxFileAside*float64(f.Records) {
			seen = append(seen, fmt.Sprintf("%d of %s in %s", f.WithoutGas, Count(int(f.Records), "line"), f.Name))
		}
	}
	if seen == nil {
		return nil
	}
	return []fault{{"", fmt.Sprintf("most lines of the newest export of a source hold neither CO2 nor O2: %s; they "+
		"count as visits without values, unless a column has lost its values", firstThree(seen))}}
}

// newestOfSources names the newest exports of each source and kind of record:
// all of the latest export day, or the last by name where no day is known.
func newestOfSources(files []Input) map[string]bool {
	newest := map[[2]string]Input{}
	for _, f := range files {
		if f.Outcome != "read" || f.ToMend {
			continue
		}
		of := [2]string{f.Source, f.Record}
		if was, ok := newest[of]; !ok || cmp.Or(cmp.Compare(f.ExportDay, was.ExportDay), cmp.Compare(f.Name, was.Name)) > 0 {
			newest[of] = f
		}
	}
	names := map[string]bool{}
	for _, f := range files {
		if last, ok := newest[[2]string{f.Source, f.Record}]; ok && f.Outcome == "read" && !f.ToMend {
			names[f.Name] = f.Name == last.Name || f.ExportDay != "" && f.ExportDay == last.ExportDay
		}
	}
	return names
}

// openQuotes names the lines in which a quote opens and never closes. Where there are
// some, what stands in the lines below has to be looked at.
func openQuotes(aside []queries.SetAside, mended mend.Returned) []string {
	var places []string
	for _, a := range aside {
		if a.Outcome == "set aside" && a.Reason == lines.UnterminatedQuote && !mended.Has(fmt.Sprintf("%s:%d", a.File, a.Line)) {
			places = append(places, fmt.Sprintf("%s:%d", a.File, a.Line))
		}
	}
	if places == nil {
		return nil
	}
	return []string{fmt.Sprintf("a quote opens and does not close in %s: %s; the lines below are read; see records-to-fix.csv",
		Count(len(places), "line"), firstThree(places))}
}

// shrinkage is an export that has far fewer usable lines than one before it.
type shrinkage struct {
	is, was Input
	asOf    string // of the publication that had it
}

// shrunkExports compares exports with those of the last publication, and of the
// publications of the last days: an export of the same name, and the newest of
// each layout whose exports state how things are. Where a publication let an
// export shrink, those before it no longer count for that export.
func shrunkExports(e *evidence) []shrinkage {
	most, closed := map[string]shrinkage{}, map[string]bool{}
	runs := e.recent
	if e.last != nil {
		runs = append([]*Record{e.last}, runs...)
	}
	for _, run := range runs {
		for key, f := range exportsByKey(run.Inputs) {
			if closed[key] {
				continue
			}
			closed[key] = f.ShrankOK
			if was, ok := most[key]; !ok || f.usable() > was.was.usable() {
				most[key] = shrinkage{was: f, asOf: run.AsOf}
			}
		}
	}
	now, shrank := exportsByKey(e.inputs), map[string]shrinkage{}
	for key, f := range now {
		s, ok := most[key]
		if lost := s.was.usable() - f.usable(); !ok || lost < fewLines ||
			float64(lost) <= e.Config.Guards.MaxExportShrink*float64(s.was.usable()) {
			continue
		}
		if other, ok := shrank[f.Name]; !ok || s.was.usable() > other.was.usable() {
			s.is = f
			shrank[f.Name] = s
		}
	}
	var all []shrinkage
	for _, f := range e.inputs {
		if s, ok := shrank[f.Name]; ok {
			all = append(all, s)
		}
	}
	return all
}

// noteShrunk notes with each export whether it shrank, by what this night found
// or by what an earlier edition of its day did: a night that publishes has let
// it, and later ones compare with what is left.
func noteShrunk(e *evidence, shrank []shrinkage) {
	let := map[string]bool{}
	for _, s := range shrank {
		let[s.is.Name] = true
	}
	if e.last != nil && e.last.AsOf == settings.DayText(e.asOf) {
		for _, f := range e.last.Inputs {
			let[f.Name] = let[f.Name] || f.ShrankOK
		}
	}
	for i := range e.inputs {
		e.inputs[i].ShrankOK = let[e.inputs[i].Name]
	}
}

// exportsByKey gives the exports that were read by their names and, where they
// state how things are, the newest by its layout.
func exportsByKey(files []Input) map[string]Input {
	by := map[string]Input{}
	for _, f := range files {
		if f.Outcome != "read" || f.ToMend {
			continue
		}
		by["name "+f.Name] = f
		if !f.states() {
			continue
		}
		if was, ok := by["layout "+f.Layout]; !ok || f.ExportDay >= was.ExportDay {
			by["layout "+f.Layout] = f
		}
	}
	return by
}

// shrunkFaults is the fault of exports that shrank.
func shrunkFaults(c *settings.Config, shrank []shrinkage) []fault {
	if len(shrank) == 0 {
		return nil
	}
	var texts []string
	for _, s := range shrank {
		was := "it had"
		if s.was.Name != s.is.Name {
			was = s.was.Name + " had"
		}
		texts = append(texts, fmt.Sprintf("%s has %s that can be used, %s %d in the publication of %s", s.is.Name,
			Count(int(s.is.usable()), "line"), was, s.was.usable(), s.asOf))
	}
	return []fault{{"shrunk", fmt.Sprintf("%s by more than guards.max_export_shrink = %g: %s\nexport it again, or set "+
		"guards.tolerate = [\"shrunk\"] for one night",
		Count(len(shrank), "export")+" shrank", c.Guards.MaxExportShrink, firstThree(texts))}}
}

// recentRuns reads the run records of the publications of the last days before
// an as-of day, the newest first. One that cannot be read is left out: it is
// passed over, and said so, where a night compares its lists with the last.
func recentRuns(root *os.Root, asOf day.Day, days int) ([]*Record, error) {
	s, err := publish.ReadShelf(root)
	if err != nil {
		return nil, err
	}
	var all []*Record
	for _, day := range s.Days() {
		if d, err := settings.DayOf(day); err != nil || d >= asOf || int32(asOf-d) > int32(days) {
			continue
		}
		text, err := root.ReadFile(path.Join(day, "run.json"))
		if err != nil {
			continue
		}
		if r, err := readRecord(text); err == nil {
			all = append(all, r)
		}
	}
	return all, nil
}
