package ids

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"fluedrift/ingest/parse"
)

// A shape is how the ids of one thing are written: B-0000. In it, 0 is a digit, and
// missing ones are zeros at the left; # is a number of any length; ? is a letter; a
// letter or any other digit stands for itself; a character behind \ stands for itself;
// the rest separates. A text fits where it is an id of the shape but for letter case,
// separators and zeros at the left.
type shape struct {
	text  string
	parts []part
}

// part is a piece of a shape.
type part struct {
	kind  byte   // of the pieces below
	text  []rune // of a literal, or a separator as it is written
	width int    // of digits
	exact bool   // digits that stand beside others: all are written
}

const (
	literal   byte = 'l'
	separator byte = 's'
	digits    byte = '0'
	number    byte = '#'
	letter    byte = '?'
)

// longestShape is how long a shape may be; ids are shorter (common practice, no
// source).
const longestShape = 60

// newShape reads a shape.
func newShape(text string) (shape, error) {
	text = parse.Trim(text)
	s := shape{text: text}
	if len(text) > longestShape {
		return s, fmt.Errorf("the shape %q is longer than %d characters", text, longestShape)
	}
	escaped := false
	for _, r := range norm.NFKC.String(text) {
		switch {
		case escaped:
			s.add(literal, r)
			escaped = false
		case r == '\\':
			escaped = true
		case r == '0':
			s.add(digits, r)
		case r == '#':
			s.add(number, r)
		case r == '?':
			s.add(letter, r)
		case separates(r):
			s.add(separator, r)
		case unicode.IsControl(r):
			return s, fmt.Errorf("the shape %q holds a character that is not shown", text)
		default:
			s.add(literal, r)
		}
	}
	if escaped {
		return s, fmt.Errorf("the shape %q ends in \\ with nothing behind it", text)
	}
	return s, s.check()
}

// add adds a character to the last piece where it is of its kind.
func (s *shape) add(kind byte, r rune) {
	if n := len(s.parts); n > 0 && s.parts[n-1].kind == kind && kind != number && kind != letter {
		s.parts[n-1].text = append(s.parts[n-1].text, r)
		s.parts[n-1].width++
		return
	}
	s.parts = append(s.parts, part{kind: kind, text: []rune{r}, width: 1})
}

// check refuses a shape that every text or none fits, or of which nobody can say where
// a number ends.
func (s *shape) check() error {
	open := false
	for i := range s.parts {
		p := &s.parts[i]
		open = open || p.kind == digits || p.kind == number || p.kind == letter
		if i == 0 {
			continue
		}
		before := &s.parts[i-1]
		if !before.endsInDigit() || !p.startsWithDigit() {
			continue
		}
		if p.kind == number || before.kind == number {
			return fmt.Errorf("in the shape %q nothing tells where # ends\nput a letter or a separator between it and other digits", s.text)
		}
		before.exact, p.exact = true, true
	}
	if !open {
		return fmt.Errorf("the shape %q has no place for a digit or a letter\nwrite 0 for a digit, # for a number of any length, ? for a "+
			"letter: \"B-0000\"", s.text)
	}
	return nil
}

func (p *part) startsWithDigit() bool {
	return p.kind == digits || p.kind == number || p.kind == literal && isDigit(p.text[0])
}

func (p *part) endsInDigit() bool {
	return p.kind == digits || p.kind == number || p.kind == literal && isDigit(p.text[len(p.text)-1])
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// separates reports a character that people write between the parts of an id, or leave
// out, or exchange for another one.
func separates(r rune) bool {
	return unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || strings.ContainsRune("_./:,|·−", r)
}

// fit writes a text as the shape has it, where it fits.
func (s shape) fit(text string) (string, bool) {
	f := fitting{in: []rune(norm.NFKC.String(text))}
	for i := range s.parts {
		p := &s.parts[i]
		if p.kind == separator {
			f.skip()
			f.out = append(f.out, p.text...)
			continue
		}
		if i == 0 || !alike(s.parts[i-1], *p) {
			f.skip()
		}
		if !f.fit(p, s.parts[i+1:]) {
			return "", false
		}
	}
	f.skip()
	return string(f.out), len(f.in) == 0
}

// alike reports two pieces next to each other that only a declared separator may part.
func alike(before, p part) bool {
	return before.kind != separator && before.endsInDigit() == p.startsWithDigit()
}

// fitting is a text on its way into a shape.
type fitting struct{ in, out []rune }

func (f *fitting) skip() {
	for len(f.in) > 0 && separates(f.in[0]) {
		f.in = f.in[1:]
	}
}

// fit takes what a piece stands for; rest are the pieces behind it.
func (f *fitting) fit(p *part, rest []part) bool {
	switch p.kind {
	case literal:
		if len(f.in) < len(p.text) {
			return false
		}
		for i, r := range p.text {
			if f.in[i] != r && unicode.ToUpper(f.in[i]) != unicode.ToUpper(r) {
				return false
			}
		}
		f.out, f.in = append(f.out, p.text...), f.in[len(p.text):]
		return true
	case letter:
		if len(f.in) == 0 || !unicode.IsLetter(f.in[0]) {
			return false
		}
		f.out, f.in = append(f.out, unicode.ToUpper(f.in[0])), f.in[1:]
		return true
	case number:
		run := f.run()
		if run == 0 {
			return false
		}
		f.out, f.in = append(f.out, withoutZeros(f.in[:run], 1)...), f.in[run:]
		return true
	}
	return f.digits(p, rest)
}

// run is how many digits come next.
func (f *fitting) run() (n int) {
	for n < len(f.in) && isDigit(f.in[n]) {
		n++
	}
	return n
}

// digits takes a group of digits. A run of digits that is as long as this group and
// those behind it, of which the separators are left out, is cut at their widths.
func (f *fitting) digits(p *part, rest []part) bool {
	run, sum := f.run(), p.width
	if p.exact {
		run = min(run, p.width)
		if run < p.width {
			return false
		}
	}
	for i := 0; run > sum && i < len(rest) && (rest[i].kind == separator || rest[i].kind == digits); i++ {
		if rest[i].kind == digits {
			sum += rest[i].width
		}
	}
	if run == sum {
		run = p.width
	}
	have := withoutZeros(f.in[:run], p.width)
	if run == 0 || len(have) > p.width {
		return false
	}
	for range p.width - len(have) {
		f.out = append(f.out, '0')
	}
	f.out, f.in = append(f.out, have...), f.in[run:]
	return true
}

// withoutZeros takes zeros at the left away, as far as more than keep digits stand.
func withoutZeros(run []rune, keep int) []rune {
	for len(run) > keep && run[0] == '0' {
		run = run[1:]
	}
	return run
}
