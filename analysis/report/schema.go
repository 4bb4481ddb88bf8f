package report

import (
	"errors"
	"fmt"
)

// Schema is the number of what a publication is made of: the columns of the
// lists, their words, and the fields of run.json. It is raised where a program
// that reads them, this one among them, could misread what is new: a name gone or
// with another meaning. A name added raises nothing.
const Schema = 2

// PreviousSchema is read as well: its publications wait where a new version of the
// program runs its first night.
const PreviousSchema = Schema - 1

// ErrOtherSchema: a publication is of a schema that this program does not read.
var ErrOtherSchema = errors.New("made by another version of the program")

// Readable says whether publications of a schema can be read: nil, or
// ErrOtherSchema. Those from before schemas had numbers, 0, are of the first.
func Readable(schema int) error {
	if schema = max(schema, 1); schema != Schema && schema != PreviousSchema {
		return fmt.Errorf("%w: of schema %d, this one reads schemas %d and %d", ErrOtherSchema, schema, PreviousSchema, Schema)
	}
	return nil
}
