package night

import (
	"bytes"
	"path/filepath"
	"slices"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// earlierLines are the lines of the publication before, and its day: day.None where
// there is none.
func earlierLines(e *evidence, rules watch.Config) ([]watch.Earlier, day.Day, error) {
	if e.before == nil {
		return nil, day.None, nil
	}
	d, err := settings.DayOf(e.before.AsOf)
	if err != nil {
		return nil, day.None, err
	}
	list, err := ReadList(filepath.Join(e.folder, e.before.AsOf), "watchlist")
	if err != nil {
		return nil, day.None, err
	}
	return lists.EarlierLines(list, rules), d, nil
}

// changedSince compares the lines, removed ones included, with the publication
// before.
func changedSince(e *evidence, ordered, all []watch.Line, earlier []watch.Earlier, rules watch.Config, d day.Day) table.Table {
	if e.before == nil {
		return lists.Changed(nil, 0, e.asOf, day.None)
	}
	lines := slices.Clone(ordered)
	for _, l := range all {
		if l.Removed {
			lines = append(lines, l)
		}
	}
	changes, byTime := watch.Changes(lines, earlier, rules, words.Recorded)
	return lists.Changed(changes, byTime, e.asOf, d)
}

// ReadList reads one list of a publication's folder.
func ReadList(folder, name string) (table.Table, error) {
	text, _, _, err := publish.ReadFile(folder, name+".json")
	if err != nil {
		return table.Table{}, err
	}
	return lists.Read(bytes.NewReader(text))
}

// rankDraws is how many joint draws the intervals of ranks are made of: their
// ends are then good to a place or two in a hundred.
const rankDraws = 500

// ranked asks an estimate for ranks too.
func ranked(e estimate.Config) estimate.Config {
	e.Draws = rankDraws
	return e
}

// groupingOf is what recording habits are counted by.
func groupingOf(c *settings.Config) watch.Grouping {
	if c.Output.HabitsByTechnician {
		return watch.ByTechnician
	}
	return watch.BySource
}
