package night

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
)

// The pages of a publication lead to each other, and to the newest look back where there
// is one.
func TestLinksOfAPublication(t *testing.T) {
	l := &Lists{Tables: []table.Table{{Name: "watchlist"}, {Name: "co"}, {Name: "dictionary"}}}
	plain := []page.Link{{Name: "List", Address: "lists.html"}, {Name: "CO", Address: "co.html"}, {Name: "Sheets", Address: "sheets.html"}}
	require.Equal(t, plain, l.links())
	l.lookedBack = "2026-02-01"
	require.Equal(t, append(plain, page.Link{Name: "Hindsight", Address: "../hindsight/2026-02-01/hindsight.html"}), l.links())
}
