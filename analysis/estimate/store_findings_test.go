package estimate

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A finding is stored with the reading it begins at and the sentence that it is given.
func TestFindingsAreStoredWithTheirSentence(t *testing.T) {
	h := &judge.History{Unit: judge.Unit{Key: 7}, Readings: []judge.Reading{{Origin: "north.csv:2"}, {Origin: "north.csv:3"}}}
	f := &Fleet{Judgements: []judge.Judgement{{Findings: []judge.Finding{
		{Kind: judge.ExactDouble, Fire: judge.High, Readings: []int{1}, Against: []int{0}, Open: true},
	}}}}
	rows := findings([]*judge.History{h}, f, func(of *judge.History, x *judge.Finding) string {
		return of.Readings[x.Against[0]].Origin + " again"
	})
	require.Equal(t, []queries.Finding{
		{UnitKey: 7, Fire: judge.High, Kind: "entered-twice", Origin: "north.csv:3", Open: true, Words: "north.csv:2 again"},
	}, rows)
}
