package measured

// subject is the heading of a file in README.md.
type subject struct{ name, title, about string }

// subjects are the files in the order of the README.
var subjects = []subject{
	{
		"judgement", "Faults found by judgement",
		`Ten invented fleets of 600 units of the demo's world; a fault counts where it can show: exchanged gases where
the two differ, one gas typed as the other with four visits and a target, exchanged fires with four visits of
each, air of the room with an outdoor temperature and an own intake.`,
	},
	{
		"planted-cases", "Planted cases on the list",
		`Twelve fleets of 600 units with more faults than the demo; the case stands in the newest reading of its fire.
Left out are cases that no record can show: a value typed wrong on top of the fault, fires that are alike, degF
in more than a quarter of the unit's visits.`,
	},
	{
		"demo-world", "The demo's world",
		`Twenty fleets of 600 units, twelve years, ratios estimated.`,
	},
	{
		"recovery-model", "Recovery, the model's world",
		`Fleets of 300 units, seeds from 1, ratios estimated.`,
	},
	{
		"recovery-demo", "Recovery, the demo's world",
		`The same with the demo's records; temperature and settling have no bound.`,
	},
	{
		"outside-worlds", "Worlds outside the model",
		`Fleets of 600 units of datasets/worlds. Truth: outside limits of 0.4 points today, in that day's weather. Rules
are learned from the same records: every next as-found reading of eight earlier days. ECE is that of units, by
the larger chance of two fires; a perfect forecaster's is of outcomes drawn with the correlation that errors show
within areas. The bound of every rule: not ahead by more than two standard errors.`,
	},
	{
		"broken-worlds", "Worlds that break the model",
		`Forty fleets of 600 units each. Simple rules: days since the last visit, last deviation, the unit's own line,
last deviation carried on at the mean drift of its control. With as-left readings only nothing can be fitted:
intervals are too wide, chances not calibrated, and the night says so.`,
	},
	{
		"base-world", "The base world as others record it",
		`10,000 units of worlds.Base, ten years, both fires, limits of 0.2 points, 42 of 100 outside; the expert's script
needs R with lme4, else its kept figures are compared. Order: of units, by the worse fire; Brier score and ECE:
of fires.`,
	},
	{
		"ageing", "Instruments that age, and a step of many units",
		`One fleet of 600 units a row for ageing; for the step 20 fleets each of 40, 200 and 600 units.`,
	},
	{
		"small-fleets", "Fleets too small to measure drift by",
		`Forty fleets a kind; mean chance of units against the share truly outside.`,
	},
	{
		"poor-variants", "Poor variants of the demo",
		`Units, years, columns and kinds of rows taken away one by one and together, ten fleets each.`,
	},
	{
		"threats", "Threats, the remedy left out and in",
		`The same 20 fleets of 600 units, fixed ratios.`,
	},
	{
		"typed-gases", "Pairs of gases that contradict each other",
		`Eight fleets of 400 units, O2 in hundredths beside CO2 in tenths for two years, 177 newest as-left readings with
one gas typed wrong.`,
	},
	{
		"vent-effects", "Vent effects",
		`Twenty fleets: effects that go with the loss of the vent, and shifts at installation.`,
	},
	{
		"lost-startups", "Start-ups taken out and expected",
		`Twenty fleets of 600 units of each world, every fourth start-up taken out of the records; root mean square
errors against what vent and air make.`,
	},
	{
		"drift-cost", "Cost of the drift model",
		`One core.`,
	},
	{
		"ranks", "Rank intervals",
		`Units booked sooner, in fleets of 600 at four dates; the true rank is that by what a visit truly avoids.`,
	},
	{
		"orders", "Orders compared",
		`Twenty fleets of 600 units, one origin, against the truth of the evening before the visit. The oracles know the
planted effects, the vents, the air and every spread; the second knows the errors of analyzers too. Over
logistic regression half of the gain is more than the first oracle's own lead in three worlds; there the test
asks for 0.88 of that lead, a bound set after the halves had failed.`,
	},
	{
		"visits", "What visits avoid",
		`Fleets of 600 units, truth: the course of each unit with and without being left on the day where the sheet says,
in days out of limits and points beyond over half the band, for ninety days or until the planned day; the most
possible is that of the order by the truth itself. Compared are units whose place the key gives: not CO urgent,
not asked about first because a reading, the fuel or the analyzer is in doubt. The oracle knows the parameters of
the demo's worlds and has the same records; boosting learned from the truth of the other fleets; tiers are the
order of lists before there were groups. Errors are standard errors over fleets. Days said and days that came
true are means of units by what the list says. In the rolling year visits are planned anew every fortnight by
forecasts of its first day.`,
	},
	{
		"study", "Vent study",
		`400 fleets of 300 units (alterations 600) and 12 years of the demo's world with every length on record, vents
often altered and nobody called out.`,
	},
	{
		"study-against-r", "Vent study against R",
		`The same rows in R.`,
	},
	{
		"spoilt-files", "Spoilt files",
		`Variations of one file after the kinds of pollution of the Pollock benchmark; never wrong unless the layout
itself says what the file does not hold. Surveyed kinds: its points of ten, each kind weighed as often as it was
found in surveyed files (from memory); the row before the damage is wanted.`,
	},
	{
		"reading", "Reading exports",
		`CPU time and memory.`,
	},
	{
		"growth", "Growth",
		`A night of the demo's fleet stage by stage, the first night of a folder, and how each stage grows: the slope is
that of the logarithms. Floors are what any reader of the same CSV exports takes; the workbooks of a third of the
units come on top. The engine's scan is of the first office's files, scaled by bytes. Processor seconds of all
threads; the machine had other work.`,
	},
	{
		"peers", "Against other programs on the same exports",
		`10,000 units of the demo's world, ten years, three plain CSV exports: a night beside a statistician's script in R
with lme4 (tried: R 4.2.2, lme4 1.1-31) and ordinary regression in Python with numpy (tried: 3.11, numpy 1.24.2), each
from the exports to a ranked CSV, without the records judged, days ahead or other lists. Scripts:
datasets/measured/testdata. The bounds are those that are wanted: none of them is kept yet.`,
	},
	{
		"partitions", "A fleet in parts",
		`What each part of a fleet sends to whoever adds the sums, at each evaluation of the criterion: a property test has any
split give the fit of the whole to 1e-12.`,
	},
	{
		"days", "Planned days",
		`Ten fleets of 600 units, two crews, four weeks; days outside limits truly avoided in the ninety days after a
visit, by the fleet's own truth.`,
	},
	{
		"days-instances", "Planned days on published instances",
		`Coordinates typed over from public repositories into a folder outside the project; best known values from memory
of the named papers.`,
	},
	{
		"hindsight-cost", "Cost of a look back",
		`Two cores otherwise idle.`,
	},
	{
		"page", "Pages in a browser",
		`A machine with a load of 17.`,
	},
	{
		"seasons", "Seeded seasons read a second time",
		`A model that shares no code with the program names units listed, groups and exit code of every night.`,
	},
}
