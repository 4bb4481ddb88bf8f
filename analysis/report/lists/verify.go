package lists

import (
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// verifyColumns are the columns of the list of last readings to verify.
var verifyColumns = []table.ColumnOf[watch.Doubt]{
	table.TextColumn("serial", "serial", "register",
		"serial of the unit, text",
		func(d *watch.Doubt) string { return d.Unit.Serial }),
	table.TextColumn("site", "site", "register",
		"building or address of the unit",
		func(d *watch.Doubt) string { return d.Unit.Site }),
	table.TextColumn("area", "area", "register",
		"office, region or route it belongs to",
		func(d *watch.Doubt) string { return d.Unit.Area }),
	table.CountColumn("rank", "#", "", "judged",
		"rank on the watchlist",
		func(d *watch.Doubt) int { return d.Rank }),
	table.TextColumn("fire", "fire", "readings",
		"fire of the reading",
		func(d *watch.Doubt) string { return string(d.Fire) }),
	table.DayColumn("day", "day", "readings",
		"day of the reading",
		func(d *watch.Doubt) day.Day { return d.Day }),
	table.NumberColumn("read_co2_percent", "read", "% by volume dry", "readings",
		"CO2 as recorded",
		2, func(d *watch.Doubt) float64 { return d.ReadPercent }),
	table.NumberColumn("expected_co2_percent", "expected", "% by volume dry", "forecast",
		"CO2 that the other records imply",
		2, func(d *watch.Doubt) float64 { return d.ExpectedPercent }),
	table.NumberColumn("mistake_probability", "mistake", "", "forecast",
		"probability that the reading is wrong, not the burner",
		2, func(d *watch.Doubt) float64 { return d.MistakeProbability }),
	table.NumberColumn("out_probability", "chance out", "", "forecast",
		"chance out of limits: the larger of that with the reading believed and that without it"+words.InAirOf("the as-of day"),
		2, func(d *watch.Doubt) float64 { return d.LargerOut }),
}

const verifyMeaning = "last readings that nobody has confirmed: the reading may be wrong, or the burner changed"

// Verify makes the list of units whose last reading is unconfirmed: the reading
// or the unit. It is ordered by the larger probability of being outside.
func Verify(doubts []watch.Doubt, asOf day.Day) table.Table {
	t := table.Fill("verify", verifyColumns, doubts)
	t.AsOf = asOf
	t.Opening, t.Head = words.Capital(verifyMeaning)+".", []string{"Ask the technician: one answer decides. Neither is called an " +
		"error here."}
	return t
}
