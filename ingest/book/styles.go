package book

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fluedrift/ingest/parse"
)

// shown is how a workbook shows a number: as one, as a day, as a time of day, or
// a hundred times as great with a percent sign.
type shown uint8

const (
	shownNumber shown = iota
	shownDay
	shownTime
	shownPercent
)

// styleTable tell which numbers of a workbook are days or times: a cell holds
// no more than a number, and only its style says that 45300 is 9 January 2024,
// which a spreadsheet may have made of a CO2 of 9.1 as well.
type styleTable struct {
	of    []shown // by the style of a cell
	lined []bool  // the same: its font is struck out
	days  parse.Days
}

// stylePart is what the styles' part says.
type stylePart struct {
	Formats []struct {
		ID   int    `xml:"numFmtId,attr"`
		Code string `xml:"formatCode,attr"`
	} `xml:"numFmts>numFmt"`
	Fonts []struct {
		Strike *struct {
			Value string `xml:"val,attr"`
		} `xml:"strike"`
	} `xml:"fonts>font"`
	Cells []struct {
		Format int `xml:"numFmtId,attr"`
		Font   int `xml:"fontId,attr"`
	} `xml:"cellXfs>xf"`
}

// readStyles reads the styles of a workbook that counts its days in a system.
func (p *parts) readStyles(system int) (styleTable, error) {
	s := styleTable{}
	s.days, _ = parse.NewDays(fmt.Sprintf("day number %d", system), 0)
	name := p.one("styles")
	if name == "" {
		return s, nil
	}
	var part stylePart
	if err := p.decode(name, 4*partLimit, &part); err != nil {
		return s, err
	}
	custom := map[int]string{}
	for _, f := range part.Formats {
		custom[f.ID] = f.Code
	}
	for _, c := range part.Cells {
		font := c.Font >= 0 && c.Font < len(part.Fonts)
		s.lined = append(s.lined, font && part.Fonts[c.Font].Strike != nil && strikes(part.Fonts[c.Font].Strike.Value))
		if code, ok := custom[c.Format]; ok {
			s.of = append(s.of, formatShows(code))
			continue
		}
		s.of = append(s.of, builtInShows(c.Format))
	}
	return s, nil
}

// builtInShows tells the formats that have a number alone (ECMA-376 part 1,
// 18.8.30, from memory; 27 to 36 and 50 to 58 are days in East Asian workbooks).
func builtInShows(format int) shown {
	switch {
	case format >= 14 && format <= 17, format == 22, format >= 27 && format <= 36, format >= 50 && format <= 58:
		return shownDay
	case format >= 18 && format <= 21, format >= 45 && format <= 47:
		return shownTime
	case format == 9, format == 10:
		return shownPercent
	}
	return shownNumber
}

// formatShows tells a format by its letters outside quotes, brackets and
// escapes: y and d make it a day, h and s a time, m alone a day, and % percent.
func formatShows(code string) shown {
	code, _, _ = strings.Cut(code, ";")
	if strings.EqualFold(code, "General") {
		return shownNumber
	}
	day, time, month, percent := false, false, false, false
	for i := 0; i < len(code); i++ {
		switch c := code[i] | 0x20; {
		case code[i] == '"':
			i += 1 + max(strings.IndexByte(code[i+1:], '"'), 0)
		case code[i] == '[':
			end := strings.IndexByte(code[i:], ']')
			inside := strings.ToLower(code[i+1 : i+max(end, 1)])
			time = time || inside != "" && (strings.Trim(inside, "h") == "" || strings.Trim(inside, "m") == "" || strings.Trim(inside, "s") == "")
			i += max(end, 0)
		case code[i] == '\\' || code[i] == '_' || code[i] == '*':
			i++
		case c == 'y' || c == 'd':
			day = true
		case c == 'h' || c == 's':
			time = true
		case c == 'm':
			month = true
		case code[i] == '%':
			percent = true
		}
	}
	switch {
	case day || month && !time:
		return shownDay
	case time:
		return shownTime
	case percent:
		return shownPercent
	}
	return shownNumber
}

// shows is what the style of a cell makes of a number.
func (s *styleTable) shows(style string) shown {
	i, err := strconv.Atoi(style)
	if err != nil || i < 0 || i >= len(s.of) {
		return shownNumber
	}
	return s.of[i]
}

// struck reports a style whose font is struck out.
func (s *styleTable) struck(style string) bool {
	i, err := strconv.Atoi(style)
	return err == nil && i >= 0 && i < len(s.lined) && s.lined[i]
}

// text is a number shown as a day, with the time of day where it has one, or as
// a time; "" where it can be neither.
func (s *styleTable) text(as shown, value string) string {
	v, err := strconv.ParseFloat(value, 64)
	if err != nil || v < 0 || v > 1e7 {
		return ""
	}
	whole := math.Floor(v)
	seconds := int(math.Round((v - whole) * 86400))
	clock := fmt.Sprintf("%02d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
	if as == shownTime {
		if whole > 0 {
			seconds += int(whole) * 86400
			return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
		}
		return clock
	}
	if seconds == 86400 {
		whole, clock, seconds = whole+1, "00:00:00", 0
	}
	day, _, f := s.days.Parse(strconv.FormatFloat(whole, 'f', -1, 64))
	switch {
	case f != nil:
		return ""
	case seconds == 0:
		return parse.ISO.Format(day)
	}
	return parse.ISO.Format(day) + " " + clock
}
