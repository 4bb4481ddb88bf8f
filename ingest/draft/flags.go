package draft

import (
	"slices"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
	"fluedrift/model/judge"
)

// flag is what yes and no mean in a column whose header has a word; "" where that is
// not known.
type flag struct {
	field, word, yes, no string
}

// flags are headers of columns that answer a question; common practice, no source.
var flags = []flag{
	{"state", "standby", string(judge.Standby), string(judge.InService)},
	{"state", "backup", string(judge.Standby), string(judge.InService)},
	{"state", "removed", string(judge.Removed), string(judge.InService)},
	{"state", "decommissioned", string(judge.Removed), string(judge.InService)},
	{"state", "retired", string(judge.Removed), string(judge.InService)},
	{"state", "scrapped", string(judge.Removed), string(judge.InService)},
	{"state", "active", string(judge.InService), ""},
	{"state", "use", string(judge.InService), ""},
	{"air_from", "sealed", "own run", "room"},
}

// Words that answer yes and no, small.
var (
	yesWords = []string{"y", "yes", "t", "true", "1", "x", "ja", "j", "oui", "si"}
	noWords  = []string{"n", "no", "f", "false", "0", "nein", "nee", "non"}
)

// code is the word of ours that a word of a column may stand for.
func (c *draftColumn) code(f layout.Field, word string) string {
	if ours := guessCode(f, word); ours != "" {
		return ours
	}
	yes, no := slices.Contains(yesWords, parse.Fold(plainLetters(word))), slices.Contains(noWords, parse.Fold(word))
	if !yes && !no {
		return ""
	}
	have := words(c.header)
	for _, g := range flags {
		switch {
		case g.field != f.Name || !slices.Contains(have, g.word):
		case yes:
			return g.yes
		default:
			return g.no
		}
	}
	return ""
}
