package settings

import (
	"time"

	"fluedrift/model/day"
)

// DayOf reads a yyyy-mm-dd day as days since 1970-01-01.
func DayOf(text string) (day.Day, error) {
	d, err := day.Parse(text)
	if err != nil {
		return 0, Fail(Usage, "day %q is not a day written yyyy-mm-dd", text)
	}
	return d, nil
}

// DayText writes a day as yyyy-mm-dd.
func DayText(d day.Day) string { return d.Time().Format(time.DateOnly) }
