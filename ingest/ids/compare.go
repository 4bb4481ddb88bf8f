package ids

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Difference is a kind of slip by which one id becomes another.
type Difference string

// Differences.
const (
	Separator  Difference = "separator"
	Padding    Difference = "zeros"
	LetterCase Difference = "letter case"
	LookAlike  Difference = "look-alike" // O for 0, I for 1
	OneDigit   Difference = "one digit"
	Swapped    Difference = "two digits"
)

// Compare says by which slips an id could have become another: those of writing all
// that apply, else one look-alike or digit. Nil: none that is known.
func Compare(written, id string) []Difference {
	a, b := cut(written), cut(id)
	if a.plain == b.plain {
		return slipsOfWriting(a, b)
	}
	one, two := []rune(a.joined), []rune(b.joined)
	if len(one) != len(two) {
		return nil
	}
	var at []int
	for i := range one {
		if one[i] != two[i] {
			at = append(at, i)
		}
	}
	switch {
	case len(at) == 0:
		return nil
	case !slices.ContainsFunc(at, func(i int) bool { return lookAlike(one[i]) != lookAlike(two[i]) }):
		return []Difference{LookAlike}
	case len(at) == 1 && isDigit(one[at[0]]) && isDigit(two[at[0]]):
		return []Difference{OneDigit}
	case len(at) == 2 && at[1] == at[0]+1 && one[at[0]] == two[at[1]] && one[at[1]] == two[at[0]] &&
		isDigit(one[at[0]]) && isDigit(one[at[1]]):
		return []Difference{Swapped}
	}
	return nil
}

// slipsOfWriting tells two ways of writing one id apart.
func slipsOfWriting(a, b pieces) (all []Difference) {
	if a.spaced != b.spaced {
		all = append(all, Separator)
	}
	if a.joined != b.joined {
		all = append(all, Padding)
	}
	if a.letters != b.letters {
		all = append(all, LetterCase)
	}
	return all
}

// Plain is an id in capitals, without separators and without zeros at the left of its
// numbers: what people write of it, however they write it.
func Plain(id string) string { return cut(id).plain }

// pieces are an id, cut where people cut it.
type pieces struct {
	plain   string // in capitals, without separators and without zeros at the left of a number
	joined  string // in capitals, without separators
	spaced  string // in capitals, without zeros at the left of a number
	letters string // as they are written
}

func cut(id string) (p pieces) {
	var plain, joined, spaced, letters strings.Builder
	runes, afterNumber := []rune(norm.NFKC.String(id)), false
	for i := 0; i < len(runes); i++ {
		r := runes[i]
		if separates(r) {
			spaced.WriteRune(r)
			continue
		}
		if !isDigit(r) {
			if unicode.IsLetter(r) {
				letters.WriteRune(r)
			}
			for _, b := range []*strings.Builder{&plain, &joined, &spaced} {
				b.WriteRune(unicode.ToUpper(r))
			}
			afterNumber = false
			continue
		}
		end := i
		for end < len(runes) && isDigit(runes[end]) {
			end++
		}
		short := string(withoutZeros(runes[i:end], 1))
		if afterNumber {
			plain.WriteByte(' ') // 1-23 is not 12-3
		}
		plain.WriteString(short)
		spaced.WriteString(short)
		joined.WriteString(string(runes[i:end]))
		i, afterNumber = end-1, true
	}
	return pieces{plain.String(), joined.String(), spaced.String(), letters.String()}
}

// lookAlike is what characters that are taken for each other have in common.
func lookAlike(r rune) rune {
	switch r {
	case 'O', 'Q', 'D':
		return '0'
	case 'I', 'L', '|':
		return '1'
	case 'Z':
		return '2'
	case 'S':
		return '5'
	case 'B':
		return '8'
	}
	return r
}
