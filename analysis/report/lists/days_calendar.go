package lists

import (
	"bufio"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"strings"
	"time"
	"unicode/utf8"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

// WriteDaysCalendar writes a plan's stops as events of a calendar: iCalendar by
// RFC 5545, lines ended by CRLF and folded at 75 octets (section 3.1), text
// escaped (section 3.3.11), times of the place where the calendar is read
// (form 1 of section 3.3.5). An event keeps its UID from plan to plan as long as
// its site and day stay; the stamp is the as-of day.
func WriteDaysCalendar(w io.Writer, p *days.Plan) error {
	c := calendar{bufio.NewWriter(w)}
	c.line("BEGIN", "VCALENDAR")
	c.line("VERSION", "2.0")
	c.line("PRODID", "-//fluedrift//days//EN")
	c.line("CALSCALE", "GREGORIAN")
	c.line("METHOD", "PUBLISH")
	for i := range p.Days {
		for k := range p.Days[i].Stops {
			c.event(p, &p.Days[i], k)
		}
	}
	c.line("END", "VCALENDAR")
	if err := c.Flush(); err != nil {
		return fmt.Errorf("write days as calendar: %w", err)
	}
	return nil
}

// calendar writes content lines; a write error shows at the flush.
type calendar struct{ *bufio.Writer }

// event writes one stop.
func (c calendar) event(p *days.Plan, d *days.CrewDay, k int) {
	s := &d.Stops[k]
	serials, units := []string{}, []string{}
	for i := range s.Visits {
		v := &s.Visits[i]
		serials = append(serials, v.Line.Unit.Serial)
		units = append(units, fmt.Sprintf("%s: %s. %s", v.Line.Unit.Serial, v.Line.GroupWords, words.Checks(v.Line)))
	}
	name := s.Site
	if name == "" {
		name = strings.Join(serials, ", ")
	}
	c.line("BEGIN", "VEVENT")
	key := sha256.Sum256(fmt.Append(nil, int32(d.Day), "\x00", s.Site, "\x00", strings.Join(serials, "\x00")))
	c.line("UID", fmt.Sprintf("%x@fluedrift.invalid", key[:12]))
	c.line("DTSTAMP", p.AsOf.Time().Format("20060102T150405Z"))
	c.line("DTSTART", moment(d.Day, s.Begin))
	c.line("DTEND", moment(d.Day, s.Leave))
	c.line("SUMMARY", escapeText(fmt.Sprintf("%s: %s (%d)", d.Crew, name, len(s.Visits))))
	c.line("LOCATION", escapeText(strings.Trim(s.Site+", "+s.Area, ", ")))
	c.line("CATEGORIES", escapeText(d.Crew))
	if !NoPlace(s.Place) {
		c.line("GEO", fmt.Sprintf("%.6f;%.6f", s.Place.LatitudeDeg, s.Place.LongitudeDeg))
	}
	units = append(units, words.Cautions()...)
	c.line("DESCRIPTION", escapeText(strings.Join(units, "\n")))
	c.line("STATUS", "TENTATIVE")
	c.line("END", "VEVENT")
}

// line writes a content line, folded: no line has more than 75 octets without
// its end, and no character is cut.
func (c calendar) line(name, value string) {
	text := name + ":" + value
	room := 75
	for len(text) > room {
		n := room
		for n > 0 && !utf8.RuneStart(text[n]) {
			n--
		}
		c.WriteString(text[:n] + "\r\n ")
		text, room = text[n:], 74
	}
	c.WriteString(text + "\r\n")
}

// escapeText escapes a value of type TEXT; what would steer a terminal is made
// visible.
func escapeText(s string) string {
	parts := strings.Split(s, "\n")
	for i := range parts {
		parts[i] = strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`).Replace(words.Visible(parts[i]))
	}
	return strings.Join(parts, `\n`)
}

// moment is a local time, to the minute.
func moment(d day.Day, minutes float64) string {
	at := d.Time().Add(time.Duration(math.Round(minutes)) * time.Minute)
	return at.Format("20060102T150405")
}
