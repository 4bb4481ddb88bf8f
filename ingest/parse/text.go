package parse

import "strings"

// Text reads free text: trimmed, otherwise unchanged. Tabs and line ends pass,
// other control characters do not.
func Text(text string) (string, *Fault) {
	s := Trim(text)
	return s, control(s, true)
}

// ID reads an identifier: exact text, trimmed. 004417, 4417, 10E5 and 24-01-02
// are four identifiers. What a spreadsheet made of an identifier is damaged and
// belongs to nobody: scientific notation with a decimal mark or a signed
// exponent (7.0013E+11), or a day with a time of day.
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

var isoDays, _ = NewDays("yyyy-mm-dd", 0)

func isDayTime(s string) bool {
	_, _, _, rest, ok := isoDays.match(s)
	if !ok || rest == "" {
		return false
	}
	_, ok = trailingTime(rest)
	return ok
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
