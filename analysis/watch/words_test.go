package watch_test

import (
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// The tests of package watch read what its kinds say to a person; package words,
// which says it, imports watch.
func init() {
	watch.Say.Reasons, watch.Say.Reason, watch.Say.Change = words.Reasons, words.Reason, words.Change
	watch.Say.Standing = func(l *watch.Line, notRead string) []string { s := words.StandingOf(l, notRead); return s.All() }
	watch.Say.Outlook = words.Outlook
}
