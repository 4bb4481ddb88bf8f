package settings

import "time"

// DayOf reads a yyyy-mm-dd day as days since 1970-01-01.
func DayOf(text string) (int32, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return 0, Fail(Usage, "day %q is not a day written yyyy-mm-dd", text)
	}
	return int32(t.Unix() / 86400), nil
}

// DayText writes a day as yyyy-mm-dd.
func DayText(day int32) string {
	return time.Unix(int64(day)*86400, 0).UTC().Format(time.DateOnly)
}

// CalendarDay is the day on the calendar of a time's own zone, as days since
// 1970-01-01: a day of the configuration is read as its midnight where the
// machine stands, and is that day everywhere.
func CalendarDay(t time.Time) int32 {
	y, m, d := t.Date()
	return int32(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// OwnDay is the day a night is made for where no flag names another.
func (c *Config) OwnDay(today int32) int32 {
	if c.Plan.AsOf.IsZero() {
		return today
	}
	return CalendarDay(c.Plan.AsOf)
}
