package objects

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"slices"

	"fluedrift/ingest/lines"
)

// ByLine gives the objects of a text with one a line.
func ByLine(text *lines.Text) Source { return &byLine{text} }

type byLine struct{ text *lines.Text }

func (b *byLine) Next() (string, int, bool, bool, error) {
	l, err := b.text.Next()
	if err != nil {
		return "", 0, false, false, err
	}
	if lines.Blank(l.Cells) {
		return "", l.Number, l.Ended, l.Cut, nil
	}
	return l.Text, l.Number, l.Ended, l.Cut, nil
}

func (b *byLine) Close() error { return b.text.Close() }

// Listed gives the objects of a list, or of objects one after the other.
func Listed(src io.ReadCloser) Source {
	return &list{src: src, r: bufio.NewReaderSize(src, 64<<10), line: 1}
}

type list struct {
	src    io.Closer
	r      *bufio.Reader
	line   int
	open   bool // the list is open
	closed bool
	buf    []byte
	begun  bool
}

func (s *list) Close() error { return s.src.Close() }

func (s *list) Next() (string, int, bool, bool, error) {
	for {
		b, err := s.read()
		if errors.Is(err, io.EOF) && s.open && !s.closed {
			return "", 0, false, false, s.early()
		}
		if err != nil {
			return "", 0, false, false, err
		}
		switch {
		case b == ' ' || b == '\t' || b == '\r' || b == '\n' || b == ',' && s.begun && !s.closed:
		case b == '[' && !s.open && !s.begun:
			s.open = true
		case b == ']' && s.open && !s.closed:
			s.closed = true
		case b == '{' && !s.closed:
			s.begun = true
			line := s.line
			text, err := s.object()
			return text, line, true, false, err
		default:
			return "", 0, false, false, lines.Refuse(lines.NotText, "line %d: %q stands where an object of JSON is expected", s.line, b)
		}
	}
}

func (s *list) read() (byte, error) {
	b, err := s.r.ReadByte()
	if err == nil && b == '\n' {
		s.line++
	}
	return b, err
}

func (s *list) early() error {
	return lines.Refuse(lines.IncompleteFile, "the file ends within its objects: the copy may not be finished")
}

// object reads up to the brace that closes the one just read.
func (s *list) object() (string, error) {
	s.buf = append(s.buf[:0], '{')
	first, depth, inText := s.line, 1, false
	for depth > 0 {
		b, err := s.read()
		if errors.Is(err, io.EOF) {
			return "", s.early()
		}
		if err != nil {
			return "", err
		}
		if s.buf = append(s.buf, b); len(s.buf) > lines.Limit {
			return "", lines.Refuse(lines.TooLarge, "the object that begins in line %d has more than %d bytes", first, lines.Limit)
		}
		switch {
		case inText && b == '\\':
			if b, err = s.read(); err != nil {
				return "", s.early()
			}
			s.buf = append(s.buf, b)
		case b == '"':
			inText = !inText
		case inText:
		case b == '{':
			depth++
		case b == '}':
			depth--
		}
	}
	return string(s.buf), nil
}

// Whole reports a text that is an object of JSON from its first to its last byte.
func Whole(text []byte) bool {
	text = bytes.TrimSpace(text)
	return len(text) > 1 && text[0] == '{' && json.Valid(text)
}

// List is the key of the list of objects that has the most elements among the first
// objects of a file, "" where there is none. The text may end anywhere.
func List(head []byte) string {
	src := Listed(io.NopCloser(bytes.NewReader(head)))
	elements := map[string]int{}
	for {
		text, _, _, _, err := src.Next()
		if err != nil {
			break
		}
		_ = walk(text, "", func(name, value string) error {
			if listOfObjects(value) {
				eachElement(value, func(string) { elements[name]++ })
			}
			return nil
		})
	}
	best := ""
	for _, name := range slices.Sorted(maps.Keys(elements)) {
		if elements[name] > elements[best] {
			best = name
		}
	}
	return best
}
