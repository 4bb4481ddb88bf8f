package mend

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/ingest/layout"
)

// TestCutLines: an export is cut into lines for mending as it is for reading: a
// quoted cell takes the next line in, a quote that never closes does not.
func TestCutLines(t *testing.T) {
	l := &layout.Layout{File: layout.File{Delimiter: ",", Header: 1}}
	text := "a,b,c\r\n1,\"2\r\n2\",3\r\n4,\"5,6\r\n7,8\"8,9\n\n1,2,3\r4,5,\"6\n\""
	var got []string
	var numbers []int
	for _, line := range cutLines([]byte(text), l) {
		got, numbers = append(got, string(line.text)), append(numbers, line.number)
	}
	assert.Equal(t, []string{"a,b,c\r\n", "1,\"2\r\n2\",3\r\n", "4,\"5,6\r\n", "7,8\"8,9\n", "\n", "1,2,3\r", "4,5,\"6\n\""}, got)
	assert.Equal(t, []int{1, 2, 4, 5, 6, 7, 8}, numbers)
}
