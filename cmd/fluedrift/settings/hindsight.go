package settings

import (
	"errors"
	"fmt"
	"runtime"
	"slices"

	"fluedrift/analysis/hindsight"
	"fluedrift/model/day"
)

// Hindsight is the section [hindsight].
type Hindsight struct {
	Origins     int  `toml:"origins" default:"8"`
	Horizon     int  `toml:"horizon_months" default:"18"`
	CrewVisits  int  `toml:"crew_visits" default:"50"`
	StaleMonths int  `toml:"stale_months" default:"12"`
	Draws       int  `toml:"draws" default:"200"`
	Seed        int  `toml:"seed" default:"1"`
	Recalibrate bool `toml:"recalibrate" default:"true"`
}

// check holds the values against each other.
func (h Hindsight) check() error {
	switch {
	case h.Origins < 1 || h.Origins > 40:
		return fmt.Errorf("hindsight.origins: %d is not from 1 to 40", h.Origins)
	case h.Horizon < 1 || h.Horizon > 60:
		return fmt.Errorf("hindsight.horizon_months: %d is not from 1 to 60", h.Horizon)
	case h.CrewVisits < 1 || h.StaleMonths < 1:
		return errors.New("hindsight: crew_visits and stale_months must be positive")
	case h.Draws < 20 || h.Draws > 10000:
		return fmt.Errorf("hindsight.draws: %d is not from 20 to 10000", h.Draws)
	}
	return nil
}

// Settings are those of the look back.
func (h Hindsight) Settings(asOf day.Day) hindsight.Config {
	return hindsight.Config{
		AsOf: asOf, HorizonDays: int32(monthsBack(asOf, -h.Horizon) - asOf), CrewVisits: h.CrewVisits, Draws: h.Draws,
		Seed: uint64(h.Seed), StaleDays: int32(asOf - monthsBack(asOf, h.StaleMonths)), Workers: runtime.GOMAXPROCS(0),
	}
}

// monthsBack is the same day of a month so many months before, the 28th at most.
func monthsBack(d day.Day, months int) day.Day { return d.MonthsOn(-months) }

// OriginDays are the days to look back from, oldest first: the newest lies half the
// horizon back, so that most of what followed it is known.
func (h Hindsight) OriginDays(asOf day.Day) (days []day.Day) {
	for k := range h.Origins {
		days = append(days, monthsBack(asOf, h.Horizon/2+3*k))
	}
	slices.Reverse(days)
	return days
}
