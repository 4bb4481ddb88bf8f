package night

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A serial outside the register is compared with those of its site; a digit is a slip
// only there. Where two units fit alike, none is named.
func TestSerialsThatResembleOneOfTheRegister(t *testing.T) {
	unit := func(serial, site string, in bool) watch.Line {
		return watch.Line{Unit: judge.Unit{Serial: serial, Site: site, InRegister: in}}
	}
	k := newLikely([]watch.Line{
		unit("B-0102", "Mill House", true), unit("B-0201", "Hall", true), unit("B-0202", "Hall", true), unit("B-0377", "Depot", true),
		unit("B0102", "", false),
	})
	for _, c := range []struct{ serial, site, want string }{
		{"B0102", "mill-house", "B0102: probably B-0102 (same site, separator missing or another one); "},
		{"b 102", "", "b 102: probably B-0102 (separator missing or another one, zeros missing or too many, letter case); "},
		{"B-O102", "Mill House", "B-O102: probably B-0102 (same site, a letter for a digit that looks like it, or the other way round); "},
		{"B-0378", "Depot", "B-0378: probably B-0377 (same site, one digit differs); "},
		{"B-0737", "Depot", "B-0737: probably B-0377 (same site, two digits exchanged); "},
		{"B-0378", "", ""},      // of any site, it may be another boiler
		{"B-0203", "Hall", ""},  // two fit
		{"B-O102", "Depot", ""}, // of another site
		{"B0102", "Depot", "B0102: probably B-0102 (the register has it at Mill House, separator missing or another one); "},
		{"X-9", "Mill House", ""},
	} {
		a := queries.SetAside{Reason: "not-in-register", Serial: c.serial, Site: c.site}
		require.Equal(t, c.want+waitsFor(a), k.message(a), c)
	}
	require.Equal(t, "torn", k.message(queries.SetAside{Reason: "other", Message: "torn", Serial: "B0102"}))
}
