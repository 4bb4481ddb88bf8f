package ingest

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestDraftsWhatAnAnalyzerRead: of columns that no header names, the one that lies about the
// test gas in most rows is what the analyzer read of it, not what it read once put right.
func TestDraftsWhatAnAnalyzerRead(t *testing.T) {
	log := func(show func(i int) string) map[string]string {
		lines := []string{"Analyzer,Checked on,Bottle CO2 %,Zeigt an,Danach,Lfd."}
		for i := range 12 {
			after := ""
			if i%3 == 0 {
				after = "10.0"
			}
			lines = append(lines, fmt.Sprintf("K%d,2024-03-%02d,10.0,%s,%s,%d", i%3, i+1, show(i), after, i))
		}
		return map[string]string{"calibrations.csv": asLines(lines...)}
	}
	record, fields := takenFor(t, log(func(i int) string { return fmt.Sprintf("10.%d", i%5) }), "calibrations.csv")
	assert.Equal(t, "analyzers", record)
	assert.Equal(t, []string{"analyzer", "calibrated", "span_co2 %", "found_co2 %", "-", "-"}, fields)
	_, fields = takenFor(t, log(func(i int) string { return fmt.Sprint(10 + 4*(i%2)) }), "calibrations.csv")
	assert.Equal(t, []string{"analyzer", "calibrated", "-", "-", "-", "-"}, fields, "half of the numbers lie far from the gas")
}
