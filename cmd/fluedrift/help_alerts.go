package main

import (
	"fmt"
	"io"
	"strings"
)

// alertRules are rules for the collector that reads the metrics of nights. A night
// that never starts writes nothing, so the age of the lists tells of it, and a
// file that is gone tells by its absence.
const alertRules = `groups:
  - name: fluedrift
    rules:
      - alert: FluedriftListTooOld
        expr: time() - fluedrift_publication_time_seconds > 36 * 3600
        labels: {severity: urgent}
        annotations:
          summary: "No new list for {{ $value | humanizeDuration }}: nights fail or do not start."
      - alert: FluedriftNightFailed
        expr: fluedrift_night_exit_code != 0 and fluedrift_night_exit_code != 10
        for: 10m
        labels: {severity: urgent}
        annotations:
          summary: "The last night ended with code {{ $value }}: fluedrift help operations says what to do."
      - alert: FluedriftSomethingToLookAt
        expr: fluedrift_night_exit_code == 10
        for: 2d
        labels: {severity: look}
        annotations:
          summary: "Lists are published with something to look at, for two days now: see notes in run.json."
      - alert: FluedriftMetricsMissing
        expr: absent(fluedrift_publication_time_seconds) or absent(fluedrift_night_exit_code)
        for: 1h
        labels: {severity: urgent}
        annotations:
          summary: "No metrics of nights: the file is gone, not collected, or nothing was ever published."
`

// helpAlerts prints the rules, indented as the page around them.
func helpAlerts(w io.Writer) {
	fmt.Fprint(w, "\nAlert rules for a collector that evaluates PromQL\n")
	for line := range strings.Lines(alertRules) {
		fmt.Fprintf(w, "  %s", line)
	}
}
