package table

import (
	"errors"
	"fmt"
)

// Schema is the number of what a publication is made of: the columns of the
// lists, their words, and the fields of run.json. It is raised where a program
// that reads them, this one among them, could misread what is new: a name gone or
// with another meaning. A name added raises nothing.
const Schema = 4

// OldestSchema is the oldest that is read as well: the publications of the last
// release wait where a new version of the program runs its first night, and so do
// those made on the way to it.
const OldestSchema = 1

// ErrOtherSchema: a publication is of a schema that this program does not read.
var ErrOtherSchema = errors.New("made by another version of the program")

// Readable says whether publications of a schema can be read: nil, or
// ErrOtherSchema. Those from before schemas had numbers, 0, are of the first.
func Readable(schema int) error {
	if schema = max(schema, 1); schema < OldestSchema || schema > Schema {
		return fmt.Errorf("%w: of schema %d, this one reads schemas %d to %d", ErrOtherSchema, schema, OldestSchema, Schema)
	}
	return nil
}
