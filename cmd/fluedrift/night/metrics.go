package night

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"time"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// A metric is one family of a text file in the exposition format 0.0.4 that
// textfile collectors read (Prometheus, "Exposition formats"). All are gauges: a
// collector refuses a whole file for one type that the format does not have.
type metric struct {
	name, help string
	samples    []sample
}

// sample is one value, with a label where the family has one.
type sample struct {
	label, value string
	number       float64
}

func plain(v float64) []sample { return []sample{{number: v}} }

// ended is how a night ended, for its metrics.
type ended struct {
	version   string
	began, at time.Time
	condition settings.Condition
	notes     int    // things to look at
	folder    string // of the lists; "": it could not be read from the configuration
	asOf      day.Day
	beside    bool
	inputs    []Input
	readings  int64
	steps     []step
	lists     *Lists // nil where nothing was published
}

// shown says whether the night put new lists in lists/latest.
func (e *ended) shown() bool { return e.lists != nil && !e.beside }

// write writes how a night ended, a family a metric.
func (e *ended) write(w io.Writer) {
	all := []metric{
		{"fluedrift_build_info", "version of the program", []sample{{"version", e.version, 1}}},
		{"fluedrift_night_exit_code", "exit code of the last night", plain(float64(e.condition))},
		{"fluedrift_night_condition", "1 for the condition the last night ended in, 0 for the others", conditionStates(e.condition)},
		{"fluedrift_night_start_time_seconds", "when the last night began", plain(seconds(e.began))},
		{"fluedrift_night_end_time_seconds", "when the last night ended", plain(seconds(e.at))},
		{"fluedrift_night_duration_seconds", "how long the last night took", plain(e.at.Sub(e.began).Seconds())},
		{"fluedrift_night_notes", "things to look at", plain(float64(e.notes))},
		{"fluedrift_night_published", "1 if the last night put new lists in lists/latest", plain(truth(e.shown()))},
	}
	all = append(all, e.lastPublished()...)
	all = append(all, e.counted()...)
	for _, m := range all {
		if len(m.samples) > 0 {
			m.write(w)
		}
	}
}

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func seconds(t time.Time) float64 { return float64(t.UnixMilli()) / 1000 }

// conditionStates are all conditions: 1 for the one a night ended in, else 0.
func conditionStates(end settings.Condition) (states []sample) {
	for _, e := range settings.Endings {
		states = append(states, sample{"condition", e.Name, truth(e.Condition == end)})
	}
	return states
}

// lastPublished tells of the newest publication, which after a failed night is
// an earlier one.
func (e *ended) lastPublished() []metric {
	var when, asOf []sample
	switch {
	case e.shown():
		when, asOf = plain(seconds(e.at)), plain(float64(e.asOf.Time().Unix()))
	case e.folder != "":
		folder := filepath.Join(e.folder, "latest")
		info, err := os.Stat(filepath.Join(folder, "run.json"))
		shown, linkErr := os.Readlink(folder)
		if err != nil || linkErr != nil {
			return nil
		}
		when = plain(seconds(info.ModTime()))
		if d, err := settings.DayOf(filepath.Base(shown)); err == nil {
			asOf = plain(float64(d.Time().Unix()))
		}
	}
	return []metric{
		{"fluedrift_publication_time_seconds", "when the newest lists were published", when},
		{"fluedrift_publication_as_of_time_seconds", "the day the newest lists speak for", asOf},
	}
}

// counted are the counts of a night, as far as it came.
func (e *ended) counted() []metric {
	files, lines := map[string]float64{}, map[string]float64{}
	for _, f := range e.inputs {
		files[f.Outcome]++
		for name, v := range map[string]int64{
			"header": f.Header, "blank": f.Blank, "skipped": f.Skipped, "accepted": f.Accepted,
			"superseded": f.Superseded, "duplicate": f.Duplicate, "doubtful": f.Doubtful, "set aside": f.SetAside,
		} {
			lines[name] += float64(v)
		}
	}
	out := []metric{
		{"fluedrift_exports", "exports found, by outcome", labelled("outcome", files, "read", "refused", "incomplete", "not ours",
			"same bytes", "skipped")},
		{"fluedrift_lines", "lines of the exports, by outcome", labelled("outcome", lines, "header", "blank", "skipped",
			"accepted", "superseded", "duplicate", "doubtful", "set aside")},
	}
	var steps []sample
	for _, s := range e.steps {
		steps = append(steps, sample{"step", s.name, s.seconds})
	}
	out = append(out, metric{"fluedrift_step_duration_seconds", "how long each step took", steps})
	if e.lists == nil {
		return out
	}
	var groups []sample
	for _, g := range e.lists.Summary.Groups {
		groups = append(groups, sample{"group", g.Words, float64(g.Units)})
	}
	return append(out,
		metric{"fluedrift_readings", "readings that stand", plain(float64(e.readings))},
		metric{"fluedrift_units", "units with a record", plain(float64(e.lists.Summary.Units))},
		metric{"fluedrift_listed_units", "units listed, by group", groups})
}

func labelled(label string, values map[string]float64, order ...string) (out []sample) {
	if len(values) == 0 {
		return nil
	}
	for _, name := range order {
		out = append(out, sample{label, name, values[name]})
	}
	return out
}

// write writes one family: help, type, samples.
func (m metric) write(w io.Writer) {
	fmt.Fprintf(w, "# HELP %s %s\n# TYPE %s gauge\n", m.name, m.help, m.name)
	for _, s := range m.samples {
		if s.label == "" {
			fmt.Fprintf(w, "%s %v\n", m.name, s.number)
			continue
		}
		fmt.Fprintf(w, "%s{%s=\"%s\"} %v\n", m.name, s.label, labelText.Replace(s.value), s.number)
	}
}

var labelText = strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`)

var metricsLine = regexp.MustCompile(`^\s*metrics\s*=\s*(?:"([^"\\]*)"|'([^']*)')`)

// metricsIn finds the metrics file in a configuration that is otherwise wrong,
// so that its night can be seen to fail.
func metricsIn(config string) (path string, given bool) {
	text, err := os.ReadFile(config)
	if err != nil {
		return "", false
	}
	section := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") {
			section = strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t")
		}
		m := metricsLine.FindStringSubmatch(line)
		if section != "output" || m == nil || m[1]+m[2] == "" {
			continue
		}
		path = m[1] + m[2]
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(config), path)
		}
		return path, true
	}
	return "", false
}
