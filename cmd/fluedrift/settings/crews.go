package settings

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"fluedrift/analysis/days"
	"fluedrift/analysis/watch"
)

// Crews is the section [crews]: who drives, and how days are planned.
type Crews struct {
	FirstDay    time.Time `toml:"first_day" help:"first day to plan; the day after the as-of day where not given"`
	Weeks       int       `toml:"weeks" default:"-" help:"weeks to plan"`
	Start       string    `toml:"start" default:"08:00" help:"when crews start, where a crew has no other time"`
	End         string    `toml:"end" default:"16:30" help:"when crews are back, where a crew has no other time"`
	WorkingDays []string  `toml:"working_days" help:"mon, tue, wed, thu, fri, sat, sun; monday to friday where not given"`
	Holidays    []string  `toml:"holidays" help:"days (yyyy-mm-dd) on which nobody drives"`
	Speed       float64   `toml:"km_per_hour" default:"-" help:"speed on the road, where no table gives minutes"`
	Detour      float64   `toml:"detour" default:"-" help:"road over great circle (mean Earth radius 6371.0088 km)"`
	Unknown     float64   `toml:"unknown_minutes" default:"-" help:"drive between places of which nothing is known"`
	Minutes     string    `toml:"minutes_file" help:"CSV with a header and the columns from, to, minutes: drives between sites, or crew codes"`
	Arrive      float64   `toml:"arrive_minutes" default:"-" help:"at a stop, before and after the work"`
	First       float64   `toml:"first_unit_minutes" default:"-" help:"on site for the first unit of a stop"`
	Further     float64   `toml:"further_unit_minutes" default:"-" help:"for each further unit of the stop"`

	ByTier      map[string]float64 `toml:"minutes_by_tier" help:"other minutes for units of a tier, by its usual words: {\"CO urgent\" = 120}"`
	PullForward int                `toml:"pull_forward_days" default:"-" help:"a test due so many days after the weeks may be made within them"`
	Unseen      int                `toml:"unseen_days" default:"-" help:"days an overdue unit that is left over is taken to go unseen"`
	Rich        float64            `toml:"rich_weight" default:"-" help:"weight of a day outside on the rich side"`
	Lean        float64            `toml:"lean_weight" default:"-" help:"weight of a day outside on the lean side"`
	TierWeight  map[string]float64 `toml:"tier_weight" help:"weight of the days of a tier, by its usual words; 1 where not given"`
	Must        []string           `toml:"has_to_be_seen" help:"tiers that have to be seen, by their usual words; CO urgent always is"`
	Least       float64            `toml:"least_days" default:"-" help:"days outside avoided below which a stop is not worth the drive"`
	DueTest     float64            `toml:"due_test_days" default:"-" help:"days outside that a test made when it falls due counts as"`
	Iterations  int                `toml:"iterations" default:"-" help:"times a part of the plan is dropped and inserted anew"`
	Crew        []Crew             `toml:"crew" help:"one entry [[crews.crew]] a crew"`
	Hours       []Hours            `toml:"hours" help:"one entry [[crews.hours]] a site with hours of its own"`
	Promises    string             `toml:"promises_file" help:"CSV with a header and the columns serial and day (crew too, where it is fixed; others are passed over): visits agreed on. It is only read; a copy of an edited days.csv will do"`
	Promised    []Promise          `toml:"promised" help:"one entry [[crews.promised]] a visit agreed on, beside the answers on record"`
}

// Crew is one entry of [[crews.crew]].
type Crew struct {
	Code       string   `toml:"code" help:"short name, as in the plan"`
	Latitude   float64  `toml:"latitude" help:"of where it starts and ends, degrees"`
	Longitude  float64  `toml:"longitude" help:"of where it starts and ends, degrees"`
	Start      string   `toml:"start" help:"hh:mm; crews.start where not given"`
	End        string   `toml:"end" help:"hh:mm; crews.end where not given"`
	Days       []string `toml:"working_days" help:"crews.working_days where not given"`
	Away       []string `toml:"away" help:"days (yyyy-mm-dd) it does not work"`
	Areas      []string `toml:"areas" help:"areas it goes to; all where not given"`
	Fuels      []string `toml:"fuels" help:"fuels it may work on; all where not given"`
	ModelLines []string `toml:"model_lines" help:"model lines it may work on; all where not given"`
	Most       int      `toml:"most_drive_minutes" help:"minutes of driving a day at most; no limit but the hours where not given"`
}

// Hours is one entry of [[crews.hours]].
type Hours struct {
	Site   string   `toml:"site" help:"the site, as in the register"`
	Open   []string `toml:"open" help:"stretches hh:mm-hh:mm in which the work must lie"`
	Days   []string `toml:"days" help:"weekdays it is open; all where not given"`
	Closed []string `toml:"closed" help:"days (yyyy-mm-dd) it is closed"`
}

// Promise is one entry of [[crews.promised]].
type Promise struct {
	Serial string    `toml:"serial" help:"the unit"`
	Day    time.Time `toml:"day" help:"the day"`
	Crew   string    `toml:"crew" help:"the crew; any where not given"`
}

// weekdays are the names of days in the configuration.
var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// Planning makes the rules and the crews of a plan from the configuration.
func (c *Config) Planning(asOf int32) (in days.Input, err error) {
	k := &c.Crews
	if len(k.Crew) == 0 {
		return in, errors.New("no crew is named\nadd to the configuration, for each: [[crews.crew]] with code, latitude, longitude; the keys: fluedrift help config")
	}
	in.AsOf, in.Rules = asOf, days.Defaults(asOf+1)
	if !k.FirstDay.IsZero() {
		in.Rules.From = CalendarDay(k.FirstDay)
	}
	if in.Rules.From <= asOf-7 {
		return in, fmt.Errorf("crews.first_day: %s is long before the as-of day %s", DayText(in.Rules.From), DayText(asOf))
	}
	if err := k.habits(&in.Rules); err != nil {
		return in, err
	}
	for i := range k.Crew {
		one, err := k.crew(&k.Crew[i])
		if err != nil {
			return in, fmt.Errorf("crews.crew %q: %w", k.Crew[i].Code, err)
		}
		in.Crews = append(in.Crews, one)
	}
	for _, h := range k.Hours {
		one, err := h.hours()
		if err != nil {
			return in, fmt.Errorf("crews.hours of %q: %w", h.Site, err)
		}
		in.Hours = append(in.Hours, one)
	}
	for _, p := range k.Promised {
		if p.Serial == "" || p.Day.IsZero() {
			return in, errors.New("crews.promised: serial and day are needed")
		}
		in.Promises = append(in.Promises, days.Promise{Serial: p.Serial, Day: CalendarDay(p.Day), Crew: p.Crew})
	}
	if k.Promises != "" {
		more, err := readPromises(c.Path(k.Promises))
		if err != nil {
			return in, err
		}
		in.Promises = append(in.Promises, more...)
	}
	if k.Minutes != "" {
		in.Minutes, err = readMinutes(c.Path(k.Minutes))
	}
	return in, err
}

// habits takes over the figures of planning.
func (k *Crews) habits(r *days.Rules) (err error) {
	r.Weeks, r.KmPerHour, r.Detour, r.UnknownMinutes = k.Weeks, k.Speed, k.Detour, k.Unknown
	r.ArriveMinutes, r.FirstUnitMinutes, r.FurtherMinutes = k.Arrive, k.First, k.Further
	r.PullForwardDays, r.UnseenDays = int32(k.PullForward), int32(k.Unseen)
	r.RichWeight, r.LeanWeight, r.LeastDays, r.DueTestDays, r.Iterations = k.Rich, k.Lean, k.Least, k.DueTest, k.Iterations
	if r.MinutesOfTier, err = byTier(k.ByTier); err != nil {
		return fmt.Errorf("crews.minutes_by_tier: %w", err)
	}
	if r.TierWeight, err = byTier(k.TierWeight); err != nil {
		return fmt.Errorf("crews.tier_weight: %w", err)
	}
	for _, words := range k.Must {
		t, ok := watch.TierOf(words, watch.Rules{})
		if !ok {
			return fmt.Errorf("crews.has_to_be_seen: %q is no tier", words)
		}
		r.MustTiers[t] = true
	}
	r.Holidays, err = daysOf(k.Holidays)
	if err != nil {
		return fmt.Errorf("crews.holidays: %w", err)
	}
	return nil
}

// byTier reads figures by a tier's usual words.
func byTier(words map[string]float64) (map[watch.Tier]float64, error) {
	out := map[watch.Tier]float64{}
	for w, v := range words {
		t, ok := watch.TierOf(w, watch.Rules{})
		if !ok {
			return nil, fmt.Errorf("%q is no tier", w)
		}
		if !(v > 0) {
			return nil, fmt.Errorf("%q: %g is not positive", w, v)
		}
		out[t] = v
	}
	return out, nil
}

// crew reads one crew.
func (k *Crews) crew(c *Crew) (out days.Crew, err error) {
	out = days.Crew{Code: c.Code, Home: days.Place{LatitudeDeg: c.Latitude, LongitudeDeg: c.Longitude}, Areas: c.Areas, Fuels: c.Fuels, ModelLines: c.ModelLines, MostMinutes: c.Most}
	if c.Code == "" {
		return out, errors.New("a code is needed")
	}
	if c.Latitude == 0 && c.Longitude == 0 {
		out.Home = days.Place{LatitudeDeg: math.NaN(), LongitudeDeg: math.NaN()}
	}
	if math.Abs(c.Latitude) > 90 || math.Abs(c.Longitude) > 180 {
		return out, fmt.Errorf("latitude %g, longitude %g are no place", c.Latitude, c.Longitude)
	}
	start, end, on := orElse(c.Start, k.Start), orElse(c.End, k.End), c.Days
	if on == nil {
		on = k.WorkingDays
	}
	if on == nil {
		on = weekdays[1:6]
	}
	w, err := stretch(start + "-" + end)
	if err != nil {
		return out, err
	}
	for _, name := range on {
		d, err := weekday(name)
		if err != nil {
			return out, err
		}
		out.Days[d] = w
	}
	out.Away, err = daysOf(c.Away)
	return out, err
}

// hours reads one site's hours.
func (h *Hours) hours() (out days.SiteHours, err error) {
	out.Site = h.Site
	on := h.Days
	if on == nil {
		on = weekdays
	}
	var open []days.Window
	for _, text := range h.Open {
		w, err := stretch(text)
		if err != nil {
			return out, err
		}
		open = append(open, w)
	}
	if len(open) == 0 {
		open = []days.Window{{From: 0, Until: 24 * 60}}
	}
	slices.SortFunc(open, func(a, b days.Window) int { return a.From - b.From })
	for _, name := range on {
		d, err := weekday(name)
		if err != nil {
			return out, err
		}
		out.Open[d] = open
	}
	out.Closed, err = daysOf(h.Closed)
	return out, err
}

func orElse(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func weekday(name string) (int, error) {
	d := slices.Index(weekdays, strings.ToLower(name))
	if d < 0 {
		return 0, fmt.Errorf("%q is none of %s", name, strings.Join(weekdays, ", "))
	}
	return d, nil
}

// stretch reads "hh:mm-hh:mm".
func stretch(text string) (w days.Window, err error) {
	from, until, ok := strings.Cut(text, "-")
	a, err1 := time.Parse("15:04", strings.TrimSpace(from))
	b, err2 := time.Parse("15:04", strings.TrimSpace(until))
	if !ok || err1 != nil || err2 != nil || !b.After(a) {
		return w, fmt.Errorf("%q is no stretch of a day written hh:mm-hh:mm", text)
	}
	return days.Window{From: a.Hour()*60 + a.Minute(), Until: b.Hour()*60 + b.Minute()}, nil
}

func daysOf(texts []string) (out []int32, err error) {
	for _, t := range texts {
		d, err := DayOf(t)
		if err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, nil
}

// readMinutes reads drives in minutes.
func readMinutes(path string) (out []days.Between, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("crews.minutes_file: %w", err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord, r.ReuseRecord = 3, true
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		line, _ := r.FieldPos(0)
		if line == 1 {
			continue
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(row[2]), 64)
		if err != nil || !(v >= 0) || v > 24*60 {
			return nil, fmt.Errorf("%s:%d: %q is no number of minutes of a drive", path, line, row[2])
		}
		out = append(out, days.Between{From: strings.Clone(row[0]), To: strings.Clone(row[1]), Minutes: v})
	}
}
