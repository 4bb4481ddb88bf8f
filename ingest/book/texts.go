package book

import (
	"encoding/xml"
	"strconv"
	"strings"
	"unicode/utf8"
)

// texts are the shared texts of a workbook, in chunks: millions of short texts take
// no more than their bytes and sixteen each.
type texts struct {
	all   []string
	chunk strings.Builder
	held  int
	lined []uint64 // a bit each: a part of it is struck out; no longer than it has to be
}

const textChunk = 1 << 20

func (t *texts) count() int { return len(t.all) }

// add adds a text, and reports false where they are more than may be held.
func (t *texts) add(text string, struck bool) bool {
	if struck {
		for len(t.lined) <= len(t.all)/64 {
			t.lined = append(t.lined, 0)
		}
		t.lined[len(t.all)/64] |= 1 << (len(t.all) % 64)
	}
	t.held += len(text) + 32
	if t.held > stringLimit {
		return false
	}
	if t.chunk.Cap()-t.chunk.Len() < len(text) {
		t.chunk = strings.Builder{}
		t.chunk.Grow(max(textChunk, len(text)))
	}
	at := t.chunk.Len()
	t.chunk.WriteString(text)
	t.all = append(t.all, t.chunk.String()[at:])
	return true
}

// strikes reports that a mark of a font is set: without a value it is.
func strikes(value string) bool { return value == "" || isOn(value) }

// of is the text of a number as a cell refers to it.
func (t *texts) of(number string) (string, bool) {
	i, err := strconv.Atoi(number)
	if err != nil || i < 0 || i >= len(t.all) {
		return "", false
	}
	return t.all[i], true
}

// struck reports a text of a number of which a part is struck out.
func (t *texts) struck(number string) bool {
	i, err := strconv.Atoi(number)
	return err == nil && i >= 0 && i/64 < len(t.lined) && t.lined[i/64]&(1<<(i%64)) != 0
}

// richText gathers the runs of a text up to the end of its element, without
// the reading aids some scripts carry, and reports one of which a part is struck out.
func richText(tokens *tokenReader, end string) (text string, struck bool, err error) {
	var b strings.Builder
	in, aid := false, false
	for {
		t, err := tokens.Token()
		if err != nil {
			return "", false, noEOF(err)
		}
		switch e := t.(type) {
		case xml.StartElement:
			in = e.Name.Local == "t"
			aid = aid || e.Name.Local == "rPh"
			struck = struck || e.Name.Local == "strike" && strikes(attribute(e, "val"))
		case xml.EndElement:
			in = false
			if e.Name.Local == "rPh" {
				aid = false
			}
			if e.Name.Local == end {
				return b.String(), struck, nil
			}
		case xml.CharData:
			if in && !aid {
				b.Write(e)
			}
		}
	}
}

// unescape resolves characters that XML cannot hold, which workbooks write as
// _xHHHH_ (ECMA-376 part 1, 22.9.2.19). Line ends become line feeds, as in a text
// file.
func unescape(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	var b strings.Builder
	for {
		before, rest, found := strings.Cut(text, "_x")
		b.WriteString(before)
		if !found {
			break
		}
		code, err := uint64(0), error(strconv.ErrSyntax)
		if len(rest) > 4 && rest[4] == '_' {
			code, err = strconv.ParseUint(rest[:4], 16, 16)
		}
		if err != nil || !utf8.ValidRune(rune(code)) {
			b.WriteString("_x")
			text = rest
			continue
		}
		b.WriteRune(rune(code))
		text = rest[5:]
	}
	return strings.ReplaceAll(strings.ReplaceAll(b.String(), "\r\n", "\n"), "\r", "\n")
}

// mostCharacters is how many characters, counted as UTF-16 counts them, a cell of a
// workbook can hold (common practice, no source).
const mostCharacters = 32767

// tooLong reports a text that no cell can hold.
func tooLong(text string) bool {
	if len(text) <= mostCharacters {
		return false
	}
	n := 0
	for _, r := range text {
		if n++; r > 0xffff {
			n++
		}
	}
	return n > mostCharacters
}
