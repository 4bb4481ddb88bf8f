package report

import "fluedrift/analysis/watch"

// verifyColumns are the columns of the list of last readings to verify.
var verifyColumns = []column[watch.Doubt]{
	{Column{"serial", "serial of the unit, text", "", "register", Text, "serial"}, func(d *watch.Doubt) Cell { return TextCell(d.Unit.Serial) }},
	{Column{"site", "place of the unit", "", "register", Text, "site"}, func(d *watch.Doubt) Cell { return TextCell(d.Unit.Site) }},
	{Column{"area", "part of the map", "", "register", Text, "area"}, func(d *watch.Doubt) Cell { return TextCell(d.Unit.Area) }},
	{Column{"place", "place on the watchlist", "", "judged", Number, "#"}, func(d *watch.Doubt) Cell { return CountCell(d.Place) }},
	{Column{"fire", "fire of the reading", "", "readings", Text, "fire"}, func(d *watch.Doubt) Cell { return TextCell(d.Fire) }},
	{Column{"day", "day of the reading", "day", "readings", Day, "day"}, func(d *watch.Doubt) Cell { return DayCell(d.Day) }},
	{Column{"read_co2_percent", "CO2 as recorded", "% by volume dry", "readings", Number, "read"}, func(d *watch.Doubt) Cell { return NumberCell(d.ReadPercent, 2) }},
	{Column{"expected_co2_percent", "CO2 to be expected from the other records", "% by volume dry", "forecast", Number, "expected"}, func(d *watch.Doubt) Cell { return NumberCell(d.ExpectedPercent, 2) }},
	{Column{"mistake_probability", "probability that the reading, not the burner, is wrong", "", "forecast", Number, "mistake"}, func(d *watch.Doubt) Cell { return NumberCell(d.MistakeProbability, 2) }},
	{Column{"out_probability", "larger probability of standing outside the action band, of believing the reading and of not" + inAirOf("the as-of day"), "", "forecast", Number, "P out"}, func(d *watch.Doubt) Cell { return NumberCell(d.LargerOut, 2) }},
}

// Verify makes the list of units whose last reading is unconfirmed: the reading
// or the unit. It is ordered by the larger probability of being outside.
func Verify(doubts []watch.Doubt, asOf int32) Table {
	t := fill("verify", verifyColumns, doubts)
	t.AsOf = asOf
	t.Head = []string{"Last readings nobody has confirmed: the reading or the unit. One phone call decides; neither is called an error here."}
	return t
}
