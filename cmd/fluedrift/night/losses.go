package night

import (
	"context"
	"fmt"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

func lossesOf(inputs []Input, silent []silence) (sentences []string) {
	if unused := notUsed(inputs); unused != nil {
		sentences = append(sentences, OneLine("Not used: "+strings.Join(unused, "; ")+"."))
	}
	var sources []string
	for _, s := range silent {
		sources = append(sources, fmt.Sprintf("%q since %s", s.source, words.Day(s.since)))
	}
	if sources != nil {
		sentences = append(sentences, OneLine("Silent: source "+firstNames(sources)+"."))
	}
	return sentences
}

// LostIn is the same of a warehouse that was made before.
func LostIn(ctx context.Context, c *settings.Config, w *queries.Warehouse) ([]string, error) {
	files, err := w.Files(ctx)
	if err != nil {
		return nil, err
	}
	waiting, err := w.SetAside(ctx)
	if err != nil {
		return nil, err
	}
	inputs := inputRecords(files)
	mended, err := MendedOf(c, inputs, waiting)
	if err != nil {
		return nil, err
	}
	byFile := asideByFile(waiting, mended)
	for i := range inputs {
		f := &inputs[i]
		f.Ignored = !f.ours() && c.IsIgnored(f.Name)
		if of := byFile[f.Name]; of != nil {
			f.Mended = of.mended
		}
	}
	days, err := w.RecordDays(ctx)
	return lossesOf(inputs, silentOn(c, days, w.AsOf())), err
}

// notUsed lists losses in the order in which they can mislead: whole exports
// first, then lines of registers and targets, what no layout is for, and single
// lines last.
func notUsed(inputs []Input) (all []string) {
	var exports, registers, entries, parts []string
	for _, f := range inputs {
		for _, u := range f.Unread {
			parts = append(parts, unreadWords(f, u))
		}
		switch lost := f.aside() + f.Doubtful; {
		case f.Outcome == "refused" || f.Outcome == "incomplete":
			exports = append(exports, f.Name)
		case f.notLookedInto():
			entries = append(entries, f.Name)
		case f.Outcome == "read" && f.states() && lost > 0:
			registers = append(registers, fmt.Sprintf("%d of %s in %s", lost, Count(int(f.Records), "line"), f.Name))
		}
	}
	if exports != nil {
		all = append(all, fmt.Sprintf("%s (%s)", Count(len(exports), "export"), firstNames(exports)))
	}
	if registers != nil {
		all = append(all, firstNames(registers))
	}
	if entries != nil {
		all = append(all, fmt.Sprintf("what no layout is for (%s)", firstNames(entries)))
	}
	if parts != nil {
		all = append(all, firstNames(parts))
	}
	return append(all, linesLost(inputs)...)
}

// linesLost counts the lines of all exports that take no part, or not with all their
// cells.
func linesLost(inputs []Input) (all []string) {
	var aside, doubtful, unread, cells, records int64
	for _, f := range inputs {
		if f.Outcome == "read" {
			aside, doubtful, records = aside+f.aside(), doubtful+f.Doubtful, records+f.Records
			unread += f.linesUnread()
			cells += f.LinesSpoilt
		}
	}
	if lost := aside + doubtful + unread; lost > 0 {
		all = append(all, fmt.Sprintf("%d of %s in all (%s)", lost, Count(int(records+unread), "record line"),
			lostKinds(aside, doubtful, unread, 0)))
	}
	if cells > 0 {
		all = append(all, "cells of "+Count(int(cells), "more line"))
	}
	return all
}
