package parse

import (
	"errors"
	"strings"
)

// NoMinute stands for a time of day that is not known.
const NoMinute int16 = -1

// errTime: a text that is no time of day.
var errTime = errors.New("not a time")

// Time reads a time of day in its own cell: hh:mm or h:mm, optional seconds,
// optional AM or PM, optional offset. Midnight is 0 here.
func Time(text string) (int16, *Fault) {
	s := Trim(text)
	if f := formulaError(s); f != nil {
		return NoMinute, f
	}
	minute, _, err := clock(normal(s))
	if err != nil {
		return NoMinute, fault(UnreadableDate, "%q is not a time of day written hh:mm", Short(s))
	}
	return minute, nil
}

// trailingTime reads what stands behind a day: a blank or T, then a time.
func trailingTime(s string) (int16, bool) {
	t := strings.TrimLeftFunc(s, isBlank)
	if t == s {
		if !strings.HasPrefix(s, "T") {
			return NoMinute, false
		}
		t = s[1:]
	}
	minute, midnight, err := clock(t)
	if err != nil {
		return NoMinute, false
	}
	if midnight {
		return NoMinute, true
	}
	return minute, true
}

// clock reads h:mm[:ss[.fff]] [AM|PM] [Z|UTC|GMT|+hh:mm|+hhmm|+hh].
func clock(t string) (minute int16, midnight bool, err error) {
	h, t, ok := small(t, 1)
	if !ok || !strings.HasPrefix(t, ":") {
		return NoMinute, false, errTime
	}
	m, t, ok := small(t[1:], 2)
	if !ok || h > 23 || m > 59 {
		return NoMinute, false, errTime
	}
	sec := 0
	if strings.HasPrefix(t, ":") {
		if sec, t, ok = small(t[1:], 2); !ok || sec > 60 {
			return NoMinute, false, errTime
		}
		t = skipFraction(t)
	}
	if h, t, ok = halfDay(h, t); !ok || !isOffset(t) {
		return NoMinute, false, errTime
	}
	return int16(h*60 + m), h == 0 && m == 0 && sec == 0, nil
}

func skipFraction(t string) string {
	if len(t) < 2 || t[0] != '.' && t[0] != ',' || !digit(t, 1) {
		return t
	}
	i := 1
	for digit(t, i) {
		i++
	}
	return t[i:]
}

// halfDay applies AM or PM where it stands.
func halfDay(h int, t string) (int, string, bool) {
	r := Trim(t)
	if len(r) < 2 {
		return h, r, true
	}
	if len(r) >= 4 && r[1] == '.' && r[3] == '.' { // a.m., p.m.
		r = r[:1] + r[2:3] + r[4:]
	}
	half := strings.ToUpper(r[:2])
	if half != "AM" && half != "PM" {
		return h, r, true
	}
	if h < 1 || h > 12 {
		return h, r, false
	}
	h %= 12
	if half == "PM" {
		h += 12
	}
	return h, Trim(r[2:]), true
}

// isOffset accepts nothing, Z, UTC, GMT, or a sign with hours and minutes.
func isOffset(t string) bool {
	switch t {
	case "", "Z", "UTC", "GMT":
		return true
	}
	if t[0] != '+' && t[0] != '-' {
		return false
	}
	h, rest, ok := small(t[1:], 2)
	if !ok || h > 15 {
		return false
	}
	if rest == "" {
		return true
	}
	m, rest, ok := small(strings.TrimPrefix(rest, ":"), 2)
	return ok && rest == "" && m < 60
}

// small reads a number of at least low and at most two digits.
func small(t string, low int) (int, string, bool) {
	n, v := 0, 0
	for n < 2 && digit(t, n) {
		v = v*10 + int(t[n]-'0')
		n++
	}
	return v, t[n:], n >= low
}
