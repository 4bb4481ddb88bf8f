package queries

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// madeBy is what a file of build begins its statements with.
var madeBy = regexp.MustCompile(`(?m)^create (table|view) \S+ as$`)

// TestNoJoinOfEveryPair: no statement compares every row of one relation with every row
// of another, which the engine does where an outer join asks for something of one side
// alone. It grows with the square of the fleet.
func TestNoJoinOfEveryPair(t *testing.T) {
	w := ready(t, "moved")
	for _, folder := range []string{"build", "read", "check"} {
		for _, s := range steps(folder) {
			if folder == "build" && !madeBy.MatchString(s.text) || strings.Contains(s.text, "?") || strings.Contains(s.text, "main.incoming") {
				continue
			}
			for statement := range strings.SplitSeq(s.text, ";\n") {
				statement = madeBy.ReplaceAllString(statement, "")
				if !strings.Contains(statement, "select") {
					continue
				}
				var kind, plan string
				require.NoError(t, w.conn.QueryRowContext(t.Context(), "explain (format json) "+statement).Scan(&kind, &plan), s.name)
				var nodes []planned
				require.NoError(t, json.Unmarshal([]byte(plan), &nodes), s.name)
				require.Empty(t, ofEveryPair(nodes), "%s: ask it of the rows before they are joined", s.name)
			}
		}
	}
}

// planned is a node of a plan of the engine.
type planned struct {
	Name     string    `json:"name"`
	Children []planned `json:"children"`
	Extra    struct {
		JoinType  string `json:"Join Type"`
		Condition any    `json:"Condition"`
	} `json:"extra_info"`
}

// ofEveryPair are the conditions of outer joins for which every pair is tried.
func ofEveryPair(nodes []planned) (all []any) {
	for _, n := range nodes {
		if n.Name == "BLOCKWISE_NL_JOIN" && n.Extra.JoinType != "INNER" {
			all = append(all, n.Extra.Condition)
		}
		all = append(all, ofEveryPair(n.Children)...)
	}
	return all
}
