package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
)

// namesIn are files of a register and of readings with the ids they hold.
func namesIn(register, second, readings string) naming {
	of := func(record, field, texts string) ingest.Proposal {
		p := ingest.Proposal{Draft: draft.Draft{Record: record, Sure: true}}
		for i, text := range strings.Fields(texts) {
			p.IDs = append(p.IDs, draft.ID{Field: field, Text: text, Lines: 2, First: fmt.Sprintf("x.csv:%d", i+2)})
		}
		return p
	}
	return naming{&beginning{answers: &decisions{given: map[string]string{}, used: map[string]bool{}}, kinds: []ingest.Proposal{
		of(layout.Units, "serial", register), of(layout.Units, "second_id", second), of(layout.Readings, "serial", readings),
	}}}
}

// Ids that a shape takes to those of the register are asked about, however many others
// there are: those of a register without one shape, and second ids of its boilers.
func TestIDsBesideOthersAreAskedAbout(t *testing.T) {
	register := "KB-00117 KB-00148 KB-00179 KB-00210"
	for _, c := range []struct{ name, register, second, readings, asks, evidence string }{
		{"second ids", register, "1001 1002 1003 1004", "KB-00117 1001 1002 1003 1004 KB148", "KB-00000, 1 id on 2 lines", ""},
		{"odd ids of the register", register + " mill roof annex", "", "KB148 kb-210", "KB-00000, 2 ids on 4 lines", ""},
		{
			"strangers", register, "", "KB148 S-1 S-2 S-3 S-4", "KB-00000, 1 id on 2 lines",
			"4 other ids on 8 lines stay as they are: they are listed nowhere in the shape either",
		},
		{"numbers", "00117 00148 00179", "", "117 900 901", "", ""},
		{"second ids in the shape", "00117 00148 00179", "117 118", "148 179", "", ""},
		{"one id without its like", register[:8] + " M-7 hall east", "", "M7", "", ""},
		{"no shape goes back", "KB-117 KB117 KB-148", "", "kb148", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			all := namesIn(c.register, c.second, c.readings).ask()
			if c.asks == "" {
				require.Empty(t, all)
				return
			}
			require.Len(t, all, 1)
			require.Contains(t, all[0].ask, c.asks)
			require.Equal(t, "no", all[0].guess)
			if c.evidence != "" {
				require.Contains(t, all[0].evidence, c.evidence)
			}
		})
	}
}
