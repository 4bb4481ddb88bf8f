package reference

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Every file must keep the form, so that a test looping over one cannot loop
// over nothing.
func TestEveryFileReads(t *testing.T) {
	entries, err := files.ReadDir(".")
	require.NoError(t, err)
	require.NotEmpty(t, entries)
	for _, e := range entries {
		subject := e.Name()[:len(e.Name())-len(".csv")]
		figures, err := Figures(subject)
		require.NoError(t, err)
		require.NotEmpty(t, figures, subject)
	}
}

func TestFiguresRefusesAnUnknownSubject(t *testing.T) {
	_, err := Figures("no such subject")
	require.Error(t, err)
}

// A row of the right form, and each way of breaking it.
func TestFigureOf(t *testing.T) {
	good := []string{"a-1", "q", "gas=methane; air=20.9", "1.5", "%", "0.05", "document", "", "", "seen"}
	f, err := figureOf(good)
	require.NoError(t, err)
	require.Equal(t, "methane", f.Inputs["gas"])
	require.InDelta(t, 20.9, f.Number("air"), 0)
	for column, bad := range map[int]string{0: "", 1: "", 2: "methane", 3: "x", 5: "", 6: "", 9: "believed"} {
		row := append([]string(nil), good...)
		row[column] = bad
		_, err := figureOf(row)
		require.Error(t, err, columns[column])
	}
}
