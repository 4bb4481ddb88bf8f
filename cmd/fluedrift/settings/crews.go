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

	"fluedrift/analysis"
	"fluedrift/analysis/days"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Crews is the section [crews]: who drives, and how days are planned.
type Crews struct {
	FirstDay    time.Time `toml:"first_day"`
	Weeks       int       `toml:"weeks" default:"-"`
	Start       string    `toml:"start" default:"08:00"`
	End         string    `toml:"end" default:"16:30"`
	WorkingDays []string  `toml:"working_days"`
	Holidays    []string  `toml:"holidays"`
	Country     string    `toml:"country"`
	Speed       float64   `toml:"km_per_hour" default:"-"`
	Detour      float64   `toml:"detour" default:"-"`
	Unknown     float64   `toml:"unknown_minutes" default:"-"`
	Minutes     string    `toml:"minutes_file"`
	Arrive      float64   `toml:"arrive_minutes" default:"-"`
	First       float64   `toml:"first_unit_minutes" default:"-"`
	Further     float64   `toml:"further_unit_minutes" default:"-"`

	ByGroup     map[string]float64 `toml:"minutes_by_group"`
	PullForward int                `toml:"pull_forward_days" default:"-"`
	Must        []string           `toml:"has_to_be_seen"`
	Least       float64            `toml:"least_days" default:"-"`
	DueTest     float64            `toml:"due_test_days" default:"-"`
	Iterations  int                `toml:"iterations" default:"-"`
	Crew        []Crew             `toml:"crew"`
	Hours       []Hours            `toml:"hours"`
	Promises    string             `toml:"promises_file"`
	Promised    []Promise          `toml:"promised"`
}

// Crew is one entry of [[crews.crew]].
type Crew struct {
	Code       string   `toml:"code"`
	Latitude   float64  `toml:"latitude"`
	Longitude  float64  `toml:"longitude"`
	Start      string   `toml:"start"`
	End        string   `toml:"end"`
	Days       []string `toml:"working_days"`
	Away       []string `toml:"away"`
	Areas      []string `toml:"areas"`
	Fuels      []string `toml:"fuels"`
	ModelLines []string `toml:"model_lines"`
	Most       int      `toml:"most_drive_minutes"`
}

// Hours is one entry of [[crews.hours]].
type Hours struct {
	Site   string   `toml:"site"`
	Open   []string `toml:"open"`
	Days   []string `toml:"days"`
	Closed []string `toml:"closed"`
}

// Promise is one entry of [[crews.promised]].
type Promise struct {
	Serial string    `toml:"serial"`
	Day    time.Time `toml:"day"`
	Crew   string    `toml:"crew"`
}

// weekdays are the names of days in the configuration.
var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// Planning makes the rules and the crews of a plan from the configuration.
func (c *Config) Planning(asOf day.Day) (in days.Input, err error) {
	k := &c.Crews
	if len(k.Crew) == 0 {
		return in, errors.New("no crew is named\nadd to the configuration, for each: [[crews.crew]] with code, " +
			"latitude, longitude; the keys: fluedrift help config")
	}
	in.AsOf, in.Rules = asOf, days.DefaultConfig(asOf+1)
	in.Rules.Visit = c.Visits()
	if !k.FirstDay.IsZero() {
		in.Rules.From = day.In(k.FirstDay)
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
		in.Promises = append(in.Promises, days.Promise{Serial: c.Serial(p.Serial), Day: day.In(p.Day), Crew: p.Crew})
	}
	if k.Promises != "" {
		more, err := readPromises(c.Path(k.Promises), c.Serial)
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

// Visits are the rules by which the benefit of a visit is counted.
func (c *Config) Visits() analysis.VisitConfig {
	return analysis.VisitConfig{
		UnseenDays: int32(c.Plan.UnseenDays), RichWeight: c.Plan.RichWeight, LeanWeight: c.Plan.LeanWeight,
	}
}

// habits takes over the figures of planning.
func (k *Crews) habits(r *days.Config) (err error) {
	r.Weeks, r.KmPerHour, r.Detour, r.UnknownMinutes = k.Weeks, k.Speed, k.Detour, k.Unknown
	r.ArriveMinutes, r.FirstUnitMinutes, r.FurtherMinutes = k.Arrive, k.First, k.Further
	r.PullForwardDays, r.LeastDays, r.DueTestDays, r.Iterations = int32(k.PullForward), k.Least, k.DueTest, k.Iterations
	if r.MinutesOfGroup, err = byGroup(k.ByGroup); err != nil {
		return fmt.Errorf("crews.minutes_by_group: %w", err)
	}
	for _, words := range k.Must {
		g, ok := watch.GroupOf(words, watch.Config{})
		if !ok {
			return fmt.Errorf("crews.has_to_be_seen: %q is no group", words)
		}
		r.MustGroups[g] = true
	}
	r.Holidays, err = daysOf(k.Holidays)
	if err != nil {
		return fmt.Errorf("crews.holidays: %w", err)
	}
	national, err := holidaysOf(k.Country, r.From, r.From+day.Day(7*r.Weeks))
	if err != nil {
		return fmt.Errorf("crews.country: %w", err)
	}
	r.Holidays = append(r.Holidays, national...)
	return nil
}

// byGroup reads figures by a group's usual words.
func byGroup(words map[string]float64) (map[watch.Group]float64, error) {
	out := map[watch.Group]float64{}
	for w, v := range words {
		g, ok := watch.GroupOf(w, watch.Config{})
		if !ok {
			return nil, fmt.Errorf("%q is no group", w)
		}
		if !(v > 0) {
			return nil, fmt.Errorf("%q: %g is not positive", w, v)
		}
		out[g] = v
	}
	return out, nil
}

// Serving are the crews with what they can go to, and nothing of when.
func (k *Crews) Serving() (crews []days.Crew) {
	for i := range k.Crew {
		if c := &k.Crew[i]; c.Code != "" {
			crews = append(crews, days.Crew{Code: c.Code, Areas: c.Areas, Fuels: c.Fuels, ModelLines: c.ModelLines})
		}
	}
	return crews
}

// crew reads one crew.
func (k *Crews) crew(c *Crew) (out days.Crew, err error) {
	out = days.Crew{
		Code: c.Code, Home: days.Place{LatitudeDeg: c.Latitude, LongitudeDeg: c.Longitude}, Areas: c.Areas,
		Fuels: c.Fuels, ModelLines: c.ModelLines, MostMinutes: c.Most,
	}
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

func daysOf(texts []string) (out []day.Day, err error) {
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
