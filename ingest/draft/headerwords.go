package draft

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"fluedrift/ingest/parse"
)

// words cuts a header into small words. Digits stay with their letters, so CO2 is one
// word. Behind a word follow the parts that it is joined from, as TestDate and
// Kesselnummer are, and what an abbreviation stands for.
func words(header string) []string {
	var all []string
	for _, w := range strings.FieldsFunc(plainLetters(header), betweenWords) {
		var parts []string
		for _, p := range humps(w) {
			parts = append(parts, pieces(p)...)
		}
		if len(parts) != 1 {
			all = append(all, parse.Fold(w))
		}
		for _, p := range parts {
			all = append(append(all, p), abbreviations[p]...)
		}
	}
	return all
}

// codeParts are the words of a code, small: NatGas is two, and itself one.
func codeParts(text string) []string {
	var all []string
	for _, w := range strings.FieldsFunc(plainLetters(text), betweenWords) {
		all = append(all, parse.Fold(w))
		if parts := humps(w); len(parts) > 1 {
			all = append(all, parts...)
		}
	}
	return all
}

// plainLetters leaves letters without their marks, so that those who type without them
// are understood too.
func plainLetters(text string) string {
	return strings.ReplaceAll(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(text)), "ß", "ss")
}

func betweenWords(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// humps parts a word where a small letter or a digit meets a capital with a small one
// behind, or a small letter a capital: InstallDate, O2Pct, MaxInputMBH. A part of one
// letter is none, as in kW.
func humps(word string) []string {
	runes, from := []rune(word), 0
	var parts []string
	for i := 1; i <= len(runes); i++ {
		joint := i == len(runes)
		if !joint && unicode.IsUpper(runes[i]) {
			joint = unicode.IsLower(runes[i-1]) || unicode.IsDigit(runes[i-1]) && i+1 < len(runes) && unicode.IsLower(runes[i+1])
		}
		if !joint {
			continue
		}
		if i-from < 2 {
			return []string{parse.Fold(word)}
		}
		parts, from = append(parts, parse.Fold(string(runes[from:i]))), i
	}
	return parts
}

// pieces takes a word that nobody knows apart into the fewest words that are known; the
// word itself where that cannot be done.
func pieces(word string) []string {
	known := knownWords()
	if known[word] || utf8.RuneCountInString(word) < shortestJoined {
		return []string{word}
	}
	best := make([][]string, len(word)+1) // of the first so many bytes; nil: cannot be done
	best[0] = []string{}
	for end := 2; end <= len(word); end++ {
		for from := range end - 1 {
			if best[from] == nil || !known[word[from:end]] || best[end] != nil && len(best[end]) <= len(best[from])+1 {
				continue
			}
			best[end] = append(slices.Clone(best[from]), word[from:end])
		}
	}
	if best[len(word)] == nil {
		return []string{word}
	}
	return best[len(word)]
}

// shortestJoined is the length from which a word may be joined from others.
const shortestJoined = 5

// knownWords are the words that a joined one may be made from.
var knownWords = sync.OnceValue(func() map[string]bool {
	all := map[string]bool{}
	add := func(texts ...string) {
		for _, t := range texts {
			for w := range strings.FieldsSeq(t) {
				all[w] = utf8.RuneCountInString(w) > 1
			}
		}
	}
	for _, rules := range fieldRules {
		for _, r := range rules {
			add(r.any...)
		}
	}
	for _, r := range carryWords {
		add(r.any...)
	}
	add(slices.Collect(maps.Keys(fireWords))...)
	add(slices.Collect(maps.Keys(conditionWords))...)
	add(slices.Collect(maps.Keys(abbreviations))...)
	add("nr nummer number numero temp temperatur temperature datum date id type typ name pct percent mbh ppm mbar")
	for _, w := range neverJoined {
		delete(all, w)
	}
	return all
})

// neverJoined are words that stand at the ends of too many others.
var neverJoined = []string{"on", "by", "one", "only", "at", "in", "from", "long", "line", "cd", "me"}

// abbreviations are short forms in the names of columns, with what they stand for;
// common practice, no source.
var abbreviations = map[string][]string{
	"amb": {"ambient"}, "anl": {"analyzer"}, "anlz": {"analyzer"}, "anlzr": {"analyzer"}, "bldg": {"building"}, "blr": {"boiler"},
	"cert": {"certificate"}, "dist": {"district"}, "dt": {"date"}, "elb": {"elbows"}, "elbs": {"elbows"}, "eqp": {"asset"},
	"equip": {"asset"}, "equipment": {"asset"}, "exh": {"exhaust"}, "fga": {"analyzer"}, "inp": {"input"},
	"inst": {"installed", "instrument"}, "len": {"length"}, "lgth": {"length"}, "loc": {"location"}, "mdl": {"model"},
	"prs": {"pressure"}, "rtd": {"rated"}, "stat": {"status"}, "stk": {"stack"}, "tmp": {"temp"}, "tst": {"test"}, "typ": {"type"},
	"vnt": {"vent"}, "vst": {"visit"},
}

// ratio is a header of one gas over another.
var ratio = regexp.MustCompile(`\b(co|o2)\s*[/:]\s*(co2|co)\b`)

// ratioOfGases reports a header of the ratio of two gases, which is neither.
func ratioOfGases(header string) bool { return ratio.MatchString(parse.Fold(header)) }

// saysDate reports a header that calls its cells dates.
func saysDate(header string) bool {
	return slices.ContainsFunc(words(header), func(w string) bool { return w == "date" || w == "datum" || w == "fecha" })
}
