package parse

import (
	"strings"
	"unicode"
)

// Text reads free text: trimmed, otherwise unchanged. Tabs and line ends pass,
// other control characters do not.
func Text(text string) (string, *Fault) {
	s := Trim(text)
	return s, control(s, true)
}

// ID reads an identifier: exact text, trimmed. 004417, 4417, 10E5 and 24-01-02
// are four identifiers. What a spreadsheet made of an identifier is damaged and
// belongs to nobody: scientific notation with a decimal mark or a signed
// exponent (7.0013E+11), a day with a time of day, or the marks of a column too
// narrow to show it (#####).
func ID(text string) (string, *Fault) {
	s := Trim(text)
	if f := control(s, false); f != nil {
		return "", f
	}
	if f := formulaError(s); f != nil {
		return "", f
	}
	if isScientific(s) {
		return "", fault(DamagedID, "%q is an identifier turned into a number in scientific notation; the true one is lost", Short(s))
	}
	if isDayTime(s) {
		return "", fault(DamagedID, "%q is an identifier turned into a date; the true one is lost", Short(s))
	}
	if len(s) > 1 && strings.Trim(s, "#") == "" {
		return "", fault(DamagedID, "%q stands for an identifier that its column was too narrow to show; the true one is lost", Short(s))
	}
	return s, nil
}

// isScientific reports digits, an optional decimal part, E and an exponent,
// with a decimal mark or a sign in the exponent. 10E5 has neither and passes.
func isScientific(s string) bool {
	t := strings.TrimLeft(normal(s), "+-")
	i, marked := 0, false
	for digit(t, i) {
		i++
	}
	if i == 0 {
		return false
	}
	if i < len(t) && (t[i] == '.' || t[i] == ',') && digit(t, i+1) {
		marked = true
		for i++; digit(t, i); i++ {
		}
	}
	if i >= len(t) || t[i] != 'E' && t[i] != 'e' {
		return false
	}
	i++
	if i < len(t) && (t[i] == '+' || t[i] == '-') {
		marked = true
		i++
	}
	if !digit(t, i) {
		return false
	}
	for digit(t, i) {
		i++
	}
	return marked && i == len(t)
}

// usualDays are the ways in which a spreadsheet writes a day; common practice,
// no source.
var usualDays = func() (all []Days) {
	for _, p := range []string{"yyyy-mm-dd", "d/m/yyyy", "m/d/yyyy", "d.m.yyyy", "d-m-yyyy", "yyyy/m/d"} {
		d, _ := NewDays(p, 0)
		all = append(all, d)
	}
	return all
}()

// isDayTime reports a day of a usual writing with a time of day behind it.
func isDayTime(s string) bool {
	if strings.IndexByte(s, ':') < 0 {
		return false
	}
	for _, d := range usualDays {
		if _, _, _, rest, ok := d.match(s); ok && rest != "" {
			if _, ok := trailingTime(rest); ok {
				return true
			}
		}
	}
	return false
}

// Fold is the form in which code words are compared: trimmed, small letters.
func Fold(s string) string { return strings.ToLower(Trim(s)) }

// Code looks a code word up among the known ones, whose keys are folded.
func Code(text string, words map[string]string) (string, *Fault) {
	s := Trim(text)
	if w, ok := words[s]; ok {
		return w, nil
	}
	if w, ok := words[Fold(s)]; ok {
		return w, nil
	}
	if f := formulaError(s); f != nil {
		return "", f
	}
	if f := control(s, false); f != nil {
		return "", f
	}
	return "", fault(UnknownCode, "%q is not a known word of this column", Short(s))
}

// Steers reports a character that a reader of the text would not see, or that
// changes how others are shown; line ends are none.
func Steers(r rune) bool { return r != '\n' && !unicode.IsPrint(r) && !unicode.Is(unicode.Zs, r) }
