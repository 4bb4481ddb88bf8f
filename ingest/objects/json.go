package objects

import (
	"encoding/json"
	"errors"
	"strings"

	"fluedrift/ingest/lines"
)

// mostNested is how deep objects may stand in one another and still be columns.
const mostNested = 32

var (
	errNoObject = errors.New("the line is no JSON object")
	errNoText   = errors.New("its text is no UTF-8, or half of a character")
	errNested   = errors.New("objects stand too deep in one another")
)

// walk calls fn with the name and the text of each value of an object that is no
// object itself. The text is checked first, whole.
func walk(object, prefix string, fn func(name, value string) error) error {
	object = strings.TrimSpace(object)
	if object == "" || object[0] != '{' || !json.Valid([]byte(object)) {
		return errNoObject
	}
	return walkValid(object, prefix, 0, fn)
}

func walkValid(object, prefix string, depth int, fn func(name, value string) error) error {
	if depth > mostNested {
		return errNested
	}
	for rest := skipBlanks(object[1:]); rest[0] != '}'; {
		key, after := cutValue(rest)
		name, err := textOf(key)
		if err != nil {
			return err
		}
		value, after := cutValue(skipBlanks(skipBlanks(after)[1:]))
		if value[0] == '{' {
			err = walkValid(value, prefix+name+".", depth+1, fn)
		} else {
			err = fn(prefix+name, value)
		}
		if err != nil {
			return err
		}
		if rest = skipBlanks(after); rest[0] == ',' {
			rest = skipBlanks(rest[1:])
		}
	}
	return nil
}

func skipBlanks(s string) string { return strings.TrimLeft(s, " \t\r\n") }

// cutValue cuts the value at the start of a valid text off.
func cutValue(s string) (value, rest string) {
	depth := 0
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"':
			for i++; s[i] != '"'; i++ {
				if s[i] == '\\' {
					i++
				}
			}
		case '{', '[':
			depth++
			continue
		case '}', ']':
			depth--
		default:
			if depth == 0 {
				end := strings.IndexAny(s[i:], ",]} \t\r\n")
				if end < 0 {
					return s, ""
				}
				return s[:i+end], s[i+end:]
			}
			continue
		}
		if depth == 0 {
			return s[:i+1], s[i+1:]
		}
	}
	return s, ""
}

// textOf is the text of a JSON string.
func textOf(value string) (text string, err error) {
	if !strings.Contains(value, `\`) && !strings.Contains(value, "\uFFFD") {
		text = value[1 : len(value)-1]
		if strings.ToValidUTF8(text, "") != text {
			return "", errNoText
		}
		return text, nil
	}
	if err := json.Unmarshal([]byte(value), &text); err != nil {
		return "", err
	}
	if strings.Count(text, "\uFFFD") > strings.Count(value, "\uFFFD")+strings.Count(strings.ToLower(value), `\ufffd`) {
		return "", errNoText
	}
	return text, nil
}

// cellOf is a value as a cell, and how it is stored. A list of plain values is written
// with commas, any other as it stands.
func cellOf(value string) (string, lines.Stored, error) {
	switch value[0] {
	case '"':
		text, err := textOf(value)
		return text, lines.AsText, err
	case 'n':
		return "", lines.AsText, nil
	case 't', 'f':
		return value, lines.AsText, nil
	case '[':
		text, err := listed(value)
		return text, lines.AsText, err
	}
	return strings.ToUpper(value), lines.AsDecimal, nil
}

// listed writes a list as a cell.
func listed(value string) (string, error) {
	var all []string
	plain, fault := true, error(nil)
	eachElement(value, func(element string) {
		plain = plain && element[0] != '{' && element[0] != '['
		if plain && fault == nil {
			var text string
			text, _, fault = cellOf(element)
			all = append(all, text)
		}
	})
	if !plain {
		return value, nil
	}
	return strings.Join(all, ", "), fault
}

// eachElement calls fn with the text of each element of a list.
func eachElement(list string, fn func(element string)) {
	for rest := skipBlanks(list[1:]); rest[0] != ']'; {
		element, after := cutValue(rest)
		fn(element)
		if rest = skipBlanks(after); rest[0] == ',' {
			rest = skipBlanks(rest[1:])
		}
	}
}

// listOfObjects reports a list that begins with an object.
func listOfObjects(value string) bool {
	return value[0] == '[' && strings.HasPrefix(skipBlanks(value[1:]), "{")
}
