package ingest

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"github.com/zeebo/xxh3"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// store holds the tables that are filled while files are read.
type store struct {
	sink       sink
	files      *table[File]
	columns    *table[columnRow]
	setAside   *table[setAsideRow]
	cellsAside *table[cellRow]
	returned   *table[returnedRow]
	unusedCO   *table[unusedRow]
	visits     *table[recordRow]
	readings   *table[recordRow]
	register   map[string]*table[recordRow]
	all        []batch // of all of these, in order
	visitRow   int32   // rows of record.visits made so far
	earlier    int32   // of those, rows of files before the one that is read
	hasher     hasher  // of contents
	keys       hasher
}

// batch is a table, whatever its rows.
type batch interface {
	begin()
	undo(ctx context.Context) (loaded bool, err error)
	flush(ctx context.Context) error
	release()
}

func newStore(to sink) *store {
	s := &store{
		sink:       to,
		files:      newTable("source.files", fileFields, to),
		columns:    newTable("source.columns", columnFields, to),
		setAside:   newTable("source.set_aside", setAsideFields, to),
		cellsAside: newTable("source.cells_set_aside", cellFields, to),
		returned:   newTable("source.returned", returnedFields, to),
		unusedCO:   newTable("source.unused_co", unusedFields, to),
		visits:     newTable("record.visits", visitFields, to),
		readings:   newTable("record.readings", readingFields, to),
		register:   map[string]*table[recordRow]{},
	}
	s.all = []batch{s.files, s.columns, s.setAside, s.cellsAside, s.returned, s.unusedCO, s.visits, s.readings}
	for _, record := range layout.Records() {
		if record != layout.Readings && record != layout.Visits {
			t := newTable("record."+record, registerFields(record), to)
			s.register[record] = t
			s.all = append(s.all, t)
		}
	}
	return s
}

// begin notes that a file begins.
func (s *store) begin() {
	s.earlier = s.visitRow
	for _, t := range s.all {
		t.begin()
	}
}

// undo takes back the rows of the file that is read.
func (s *store) undo(ctx context.Context, file int32) error {
	s.visitRow = s.earlier
	discard := false
	for _, t := range s.all {
		loaded, err := t.undo(ctx)
		if err != nil {
			return err
		}
		discard = discard || loaded
	}
	if !discard {
		return nil
	}
	return s.sink.Discard(ctx, file)
}

// flush loads what the tables still hold.
func (s *store) flush(ctx context.Context) error {
	for _, t := range s.all {
		if err := t.flush(ctx); err != nil {
			return err
		}
	}
	return nil
}

func (s *store) release() {
	for _, t := range s.all {
		t.release()
	}
}

// emitter turns the read lines of one file into rows of record tables.
type emitter struct {
	*store
	layout *layout.Layout
	reader *rowReader
	file   int32
	visit  map[uint64]visitSeen // long form: visits of this file by key
	occurs *occurrences
	counts *File
}

// visitSeen is what the lines of a visit in the long form are compared with;
// the analyzer by its hash, to keep the visits of a big file small.
type visitSeen struct {
	row      int32 // -1: so far it has only lines without values, which have rows of their own
	day      day.Day
	analyzer uint64
}

func newEmitter(s *store, r *rowReader, f *File) *emitter {
	return &emitter{store: s, layout: r.layout, reader: r, file: f.Key, visit: map[uint64]visitSeen{}, occurs: newOccurrences(), counts: f}
}

// emit stores the line that the row reader has just read, or says why it is set
// aside after all.
func (e *emitter) emit(ctx context.Context, number int) (*cellFault, error) {
	row := &recordRow{file: e.file, line: int32(number), base: e.reader.base, coReference: math.NaN(), minute: -1}
	switch {
	case e.layout.Record == layout.Visits:
		return nil, e.alone(ctx, row)
	case e.layout.Record != layout.Readings:
		return nil, e.record(ctx, row)
	case e.layout.Form == layout.Wide:
		return nil, e.wide(ctx, row)
	}
	return e.long(ctx, row)
}

// record stores a line of a register: units, model lines, analyzers, plants or
// answers.
func (e *emitter) record(ctx context.Context, row *recordRow) error {
	row.digested = true
	row.key = e.keys.recordKey(e.layout, row.base)
	row.carry = carryJSON(e.reader.carry)
	e.hasher.reset()
	e.hasher.values(layout.Fields(e.layout.Record), row.base, -1)
	e.hasher.text(row.carry)
	losses{e.reader}.digestSpoilt(&e.hasher)
	row.content = e.hasher.sum()
	row.marks = strings.Join(e.reader.marks, " ")
	return e.register[e.layout.Record].add(ctx, row)
}

// carryJSON writes carried columns as an object with sorted keys.
func carryJSON(carry map[string]string) string {
	if len(carry) == 0 {
		return ""
	}
	b, err := json.Marshal(carry)
	if err != nil {
		return "" // a map of strings always marshals
	}
	return string(b)
}

// minuteOf is the time of a line: its own column, else the time behind the day.
func minuteOf(base []value) int16 {
	switch {
	case base[fieldTime].ok:
		return base[fieldTime].minute
	case base[fieldDay].ok:
		return base[fieldDay].minute
	}
	return -1
}

// visitDays is how many days after its first line a visit may still have
// lines: work may run over a few days, but a visit id that comes back later
// was given twice (common practice, no source).
const visitDays = 30

// long stores a line that is one reading; the first line of a visit in the
// file makes the visit's row. A line whose day lies too far from that of its
// visit is set aside: as a part of it, its day would be lost.
func (e *emitter) long(ctx context.Context, row *recordRow) (*cellFault, error) {
	row.reading = e.reader.groups[0]
	row.fire, row.condition = judge.Fire(row.reading[fieldFire].text), judge.Condition(row.reading[fieldCondition].text)
	row.minute = minuteOf(row.base)
	e.keys.visitKey(e.layout, row.base)
	visitKey := e.keys.sum()
	seen, ok := e.visit[visitKey]
	analyzer := xxh3.HashString(row.base[fieldAnalyzer].text)
	if !ok {
		seen = visitSeen{-1, row.base[fieldDay].day, analyzer}
	}
	if apart := int32(row.base[fieldDay].day - seen.day); apart > visitDays || apart < -visitDays {
		return &cellFault{e.reader.headerOf("visit_id", "day"), row.base[fieldVisitID].text, visitIDTwice, fmt.Sprintf(
			"the visit %q of this unit is on %s further up, and on %s here: two visits under one "+
				"id", row.base[fieldVisitID].text, iso(seen.day), iso(row.base[fieldDay].day))}, nil
	}
	if seen.row < 0 && !e.reader.bare {
		seen.row = e.visitRow
		if err := e.addVisit(ctx, row, seen.row); err != nil {
			return nil, err
		}
	}
	e.visit[visitKey] = seen
	e.keys.visitKey(e.layout, row.base)
	e.keys.readingKey(row)
	row.content = e.content(row)
	row.occurrence = e.occurs.of(e.keys.sum(), row.content)
	e.keys.number(uint64(row.occurrence))
	row.key, row.digested = e.keys.sum(), true
	if e.reader.bare {
		return nil, e.bareVisit(ctx, row)
	}
	row.visit = seen.row
	row.adjusted = row.base[fieldAdjusted].text
	if analyzer != seen.analyzer {
		row.analyzer = row.base[fieldAnalyzer].text
	}
	e.withCO(row, 0)
	row.marks = strings.Join(e.reader.marks, " ")
	if row.base[fieldDay].day != seen.day {
		row.marks = strings.TrimSpace(row.marks + " day:not-the-visits")
	}
	e.counts.Readings++
	return nil, e.readings.add(ctx, row)
}

// bareVisit stores a line of the long form without any value as the row of its
// visit. Its key is that of the reading it might have been, so that a later
// export that has the values corrects it.
func (e *emitter) bareVisit(ctx context.Context, row *recordRow) error {
	row.wide = true // the visit's row is the line's
	switch said := row.base[fieldAdjusted].text; row.fire {
	case judge.Low:
		row.adjLow = said
	case "":
		row.adjusted = said
	default:
		row.adjHigh = said
	}
	row.marks = strings.Join(e.reader.marks, " ")
	return e.addVisit(ctx, row, e.visitRow)
}

func (e *emitter) addVisit(ctx context.Context, row *recordRow, number int32) error {
	row.visit = number
	e.visitRow++
	e.counts.Visits++
	return e.visits.add(ctx, row)
}

// content hashes all values of a line; the site only says where the boiler is.
func (e *emitter) content(row *recordRow) uint64 {
	e.hasher.reset()
	fields := layout.Fields(layout.Readings)
	for i := range fields { // a field is large: not copied for each cell
		if i != fieldSite {
			e.hasher.value(&fields[i], &row.base[i])
		}
		if row.reading != nil {
			e.hasher.value(&fields[i], &row.reading[i])
		}
	}
	losses{e.reader}.digestSpoilt(&e.hasher)
	basisOf{e.reader}.digest(&e.hasher)
	return e.hasher.sum()
}

// withCO adds the basis of a CO value of a group.
func (e *emitter) withCO(row *recordRow, group int) {
	if b := e.reader.co[group]; b != nil && row.reading[fieldCO].ok {
		if row.coBasis = e.reader.bases[group]; row.coBasis == "" {
			row.coBasis = b.Basis
		}
		if b.ReferenceO2 > 0 && row.coBasis == "reference" {
			row.coReference = b.ReferenceO2
		}
	}
}

// wide stores a line that is one visit and the readings of its groups. The
// visit's row carries the hashes of the line.
func (e *emitter) wide(ctx context.Context, row *recordRow) error {
	row.wide, row.digested = true, true
	row.minute = minuteOf(row.base)
	row.visit = e.visitRow
	row.content = e.wideContent(row)
	e.keys.visitKey(e.layout, row.base)
	if e.reader.half != "" {
		halves{e}.key(row)
	}
	row.key = e.keys.sum()
	visit := *row
	halves{e}.ofVisit(&visit)
	visit.marks = strings.Join(e.reader.marks, " ")
	e.visitRow++
	e.counts.Visits++
	if err := e.visits.add(ctx, &visit); err != nil {
		return err
	}
	row.digested = false
	for g, own := range e.reader.own {
		if !own {
			continue
		}
		row.part = int8(g)
		row.reading = e.reader.groups[g]
		at := half{e.reader}.at(g)
		row.fire, row.condition = at.Fire, at.Condition
		row.adjusted = halves{e}.ofReading(row)
		row.coBasis, row.coReference = "", math.NaN()
		e.withCO(row, g)
		row.marks = strings.Join(e.reader.gmarks[g], " ")
		e.counts.Readings++
		if err := e.readings.add(ctx, row); err != nil {
			return err
		}
	}
	return nil
}

// wideContent hashes all values of a line of the wide form.
func (e *emitter) wideContent(row *recordRow) uint64 {
	e.hasher.reset()
	fields := layout.Fields(layout.Readings)
	e.hasher.values(fields, row.base, fieldSite)
	for g, group := range e.reader.of {
		e.hasher.text(string(group.Fire))
		e.hasher.text(string(group.Condition))
		e.hasher.values(fields, e.reader.groups[g], -1)
	}
	losses{e.reader}.digestSpoilt(&e.hasher)
	basisOf{e.reader}.digest(&e.hasher)
	return e.hasher.sum()
}
