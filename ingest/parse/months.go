package parse

import (
	"maps"
	"slices"
	"strings"
	"time"
	"unicode"
)

// months are the names of months by language, as people write them in full; from
// memory, as in the Unicode Common Locale Data Repository.
var months = map[string][12]string{
	"de": {"januar", "februar", "märz", "april", "mai", "juni", "juli", "august", "september", "oktober", "november", "dezember"},
	"en": {"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"},
	"es": {"enero", "febrero", "marzo", "abril", "mayo", "junio", "julio", "agosto", "septiembre", "octubre", "noviembre", "diciembre"},
	"fr": {"janvier", "février", "mars", "avril", "mai", "juin", "juillet", "août", "septembre", "octobre", "novembre", "décembre"},
	"it": {"gennaio", "febbraio", "marzo", "aprile", "maggio", "giugno", "luglio", "agosto", "settembre", "ottobre", "novembre", "dicembre"},
	"nl": {"januari", "februari", "maart", "april", "mei", "juni", "juli", "augustus", "september", "oktober", "november", "december"},
}

// otherMonths are names and short forms that do not begin a name above.
var otherMonths = map[string]map[string]int{
	"de": {"jänner": 1, "feber": 2, "mrz": 3, "maerz": 3, "sept": 9},
	"en": {"sept": 9},
	"es": {"set": 9, "setiembre": 9},
	"nl": {"mrt": 3},
}

// Languages lists the languages whose names of months are known.
func Languages() []string { return slices.Sorted(maps.Keys(months)) }

// Named is the same with the names of months in these languages, instead of the
// English ones.
func (d Days) Named(languages ...string) Days {
	d.languages = languages
	further := make([]Days, len(d.further))
	for i, f := range d.further {
		further[i] = f.Named(languages...)
	}
	d.further = further
	return d
}

// month reads the name of a month at the start of a text, whole or cut to three letters
// or more, with or without a full stop; a cut that begins the names of two months is
// none.
func (d Days) month(t string) (month int, rest string, ok bool) {
	n := strings.IndexFunc(t, func(r rune) bool { return !unicode.IsLetter(r) })
	if n < 0 {
		n = len(t)
	}
	if n < 3 {
		return 0, t, false
	}
	word := bare(t[:n])
	for _, language := range d.namesIn() {
		if m := monthIn(language, word); m > 0 && (month == 0 || month == m) {
			month = m
		} else if m > 0 {
			return 0, t, false // two languages do not agree
		}
	}
	return month, strings.TrimPrefix(t[n:], "."), month > 0
}

func (d Days) namesIn() []string {
	if d.languages == nil {
		return []string{"en"}
	}
	return d.languages
}

// monthIn is the month that a bare word names in a language, 0 for none.
func monthIn(language, word string) (month int) {
	for i, name := range months[language] {
		switch name = bare(name); {
		case name == word:
			return i + 1
		case !strings.HasPrefix(name, word):
		case month > 0:
			return 0
		default:
			month = i + 1
		}
	}
	for name, m := range otherMonths[language] {
		if bare(name) == word {
			return m
		}
	}
	return month
}

// bare is a word in small letters without accents.
func bare(word string) string {
	return strings.NewReplacer("ä", "a", "é", "e", "è", "e", "û", "u", "ù", "u", "ú", "u").Replace(strings.ToLower(word))
}

// monthName is the short name that a day is written back with: in the first language, as
// far as no other month of it begins so.
func (d Days) monthName(m time.Month) string {
	language := d.namesIn()[0]
	name := []rune(months[language][m-1])
	for n := 3; n < len(name); n++ {
		if monthIn(language, bare(string(name[:n]))) == int(m) {
			name = name[:n]
		}
	}
	return string(unicode.ToUpper(name[0])) + string(name[1:])
}

// ordinals are what may stand behind the number of a day.
var ordinals = []string{"st", "nd", "rd", "th", "er", "ème", "eme", "e", "º", "ª", "°", "."}

// withoutOrdinal cuts the ending of an ordinal number.
func withoutOrdinal(t string) string {
	for _, end := range ordinals {
		if len(t) >= len(end) && strings.EqualFold(t[:len(end)], end) {
			return t[len(end):]
		}
	}
	return t
}
