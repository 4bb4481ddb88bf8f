package ingest

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A log of calibrations says what each span is of in a column of gases; where it does not,
// a person does. Other gases than CO2 are no calibrations of ours. The error is what was
// found less the span: 9.8 of a gas of 10.0 % reads 0.2 low.
func TestDraftOfSpans(t *testing.T) {
	log := func(gases ...string) string {
		rows := []string{"id,analyzer,calibrated on,gas,span,found,certificate"}
		for i := range 12 {
			gas, span, found := gases[i%len(gases)], "10.0", "9.8"
			if gas == "O2" {
				span, found = "4.0", "4.1"
			}
			rows = append(rows, fmt.Sprintf("%d,A-%d,2024-03-%02d,%s,%s,%s,C%05d", i, i, i+1, gas, span, found, 4100+i))
		}
		return asLines(rows...)
	}
	german := strings.NewReplacer("gas,span,found", "Prüfgas CO2 %,Wert CO2 %", "x,", "").Replace(log("x"))
	bare := strings.ReplaceAll(strings.ReplaceAll(log("x"), ",gas", ""), ",x,", ",")
	for _, c := range []struct {
		name, text, answer, step, asked string
		read                            int
	}{
		{"one gas", log("co2"), "", "", "", 12},
		{"two gases", log("CO2", "O2"), "", "leave_out \"gas\": 6 of 12 calibrations are with other gases than CO2", "", 6},
		{"nobody says", bare, "", "", "gas of span", 0},
		{"a person says", bare, "co2", "", "", 12},
		{"a person says no", bare, "another gas", "", "", 0},
		{"half by its header", german, "", "", "", 12},
		{"half alone", strings.Replace(german, "Prüfgas CO2 %,Wert CO2 %", "Wert,Anzeige CO2 %", 1), "", "", "", 0},
		{"no CO2", log("O2"), "", "", "", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			o := folder(t, map[string]string{"x.csv": c.text})
			all, err := Propose(context.Background(), o, nil, func(_, key string) string {
				return map[string]string{"gas of span": c.answer}[key]
			})
			require.NoError(t, err)
			require.Equal(t, "analyzers", all[0].Record)
			if c.step != "" {
				assert.Equal(t, []string{c.step}, all[0].Steps)
			}
			var open strings.Builder
			for _, q := range all[0].Questions {
				if !q.Answered {
					open.WriteString(q.Key)
					assert.Contains(t, q.Evidence, `"span": 10.0`)
				}
			}
			assert.Equal(t, c.asked, open.String())
			r, w := readInto(t, folder(t, map[string]string{"x.toml": all[0].Text, "x.csv": c.text}))
			require.Zero(t, r.Files[0].SetAside, r.Files[0].Message)
			read := 0
			for _, row := range w["record.analyzers"] {
				if row["found_error"] != "" {
					require.InDelta(t, -0.2, numberOf(t, row["found_error"]), 1e-9)
					read++
				}
			}
			assert.Equal(t, c.read, read)
		})
	}
}
