package ingest

import (
	"encoding/binary"
	"math"

	"github.com/zeebo/xxh3"

	"fluedrift/ingest/layout"
)

// hasher makes the 64-bit hashes by which lines are compared across files.
// They depend on the values alone, never on the file, the order or the clock.
type hasher struct{ buf []byte }

func (h *hasher) reset() { h.buf = h.buf[:0] }

func (h *hasher) sum() uint64 { return xxh3.Hash(h.buf) }

// text adds a text and an end mark no text contains.
func (h *hasher) text(s string) { h.buf = append(append(h.buf, s...), 0) }

func (h *hasher) number(v uint64) { h.buf = binary.LittleEndian.AppendUint64(h.buf, v) }

// value adds a value and its field; a missing value adds nothing, so a column
// added to an export later changes no hash while it is blank.
func (h *hasher) value(f *layout.Field, v *value) {
	if !v.ok {
		return
	}
	h.text(f.Name)
	switch f.Kind {
	case layout.Day:
		h.number(uint64(uint32(v.day)))
		h.number(uint64(uint16(v.minute)))
	case layout.Whole:
		h.number(uint64(uint32(v.whole)))
	case layout.Clock:
		h.number(uint64(uint16(v.minute)))
	case layout.Measured, layout.CO:
		if math.IsNaN(v.num) {
			h.number(math.MaxUint64)
		} else {
			h.number(math.Float64bits(v.num))
		}
		h.text(v.limit)
	default:
		h.text(v.text)
	}
}

// values adds the values of a record, but for those of one field (-1: of none).
func (h *hasher) values(fields []layout.Field, all []value, but int) {
	for i := range fields {
		if i != but {
			h.value(&fields[i], &all[i])
		}
	}
}

// keyFields names the fields of a record's key, beside record kind and source.
var keyFields = map[string][]string{
	layout.Units:      {"serial", "valid_from"},
	layout.ModelLines: {"model_line", "fuel", "fire", "valid_from"},
	layout.Analyzers:  {"analyzer", "calibrated"},
	layout.Plants:     {"plant", "serial"},
	layout.Answers:    {"serial", "day"},
}

// visitKey starts the key of a visit or a reading: the visit id, else the day,
// and the serial. A visit alone and a reading are two records, whatever they share.
func (h *hasher) visitKey(l *layout.Layout, base []value) {
	h.reset()
	h.text(l.Record)
	h.text(l.Source)
	fields := layout.Fields(layout.Readings)
	if base[fieldVisitID].ok {
		h.value(&fields[fieldVisitID], &base[fieldVisitID])
	} else {
		h.number(uint64(uint32(base[fieldDay].day)))
	}
	h.value(&fields[fieldSerial], &base[fieldSerial])
}

// readingKey adds what tells the readings of a visit apart.
func (h *hasher) readingKey(r *recordRow) {
	h.text(string(r.fire))
	h.value(&layout.Fields(layout.Readings)[fieldRate], &r.reading[fieldRate])
	h.text(string(r.condition))
}

// recordKey is the key of a register line.
func (h *hasher) recordKey(l *layout.Layout, base []value) uint64 {
	h.reset()
	h.text(l.Record)
	h.text(l.Source)
	for _, name := range keyFields[l.Record] {
		for i := range layout.Fields(l.Record) {
			if f := &layout.Fields(l.Record)[i]; f.Name == name {
				h.value(f, &base[i])
			}
		}
	}
	return h.sum()
}

// occurrences numbers the lines of one key in a file by their contents: a line
// of new content gets the next number, an exact repeat the number of the line
// it repeats. Only hashes are kept: 16 bytes a line of the file, and a list for
// the keys that repeat.
type occurrences struct {
	first map[uint64]uint64
	more  map[uint64][]uint64
}

func newOccurrences() *occurrences {
	return &occurrences{map[uint64]uint64{}, map[uint64][]uint64{}}
}

func (o *occurrences) of(key, content uint64) int16 {
	first, ok := o.first[key]
	if !ok {
		o.first[key] = content
		return 0
	}
	if first == content {
		return 0
	}
	for i, c := range o.more[key] {
		if c == content {
			return int16(i + 1)
		}
	}
	o.more[key] = append(o.more[key], content)
	return int16(min(len(o.more[key]), math.MaxInt16))
}
