package main

import (
	"context"
	"fmt"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// lost says, for the head of every list and for what a night prints, what was
// exported and could not be used, and which sources are silent: a sentence each,
// none where there is nothing of the kind.
func (n *night) lost() []string { return lossesOf(n.inputs, n.silent) }

func lossesOf(inputs []inputRecord, silent []silence) (sentences []string) {
	if unused := notUsed(inputs); unused != nil {
		sentences = append(sentences, oneLine("Not used: "+strings.Join(unused, "; ")+"."))
	}
	var sources []string
	for _, s := range silent {
		sources = append(sources, fmt.Sprintf("%q since %s", s.source, watch.DayWords(s.since)))
	}
	if sources != nil {
		sentences = append(sentences, oneLine("Silent: source "+firstNames(sources)+"."))
	}
	return sentences
}

// lostIn is the same of a warehouse that was made before.
func lostIn(c *settings.Config, ctx context.Context, w *queries.Warehouse) ([]string, error) {
	files, err := w.Files(ctx)
	if err != nil {
		return nil, err
	}
	waiting, err := w.SetAside(ctx)
	if err != nil {
		return nil, err
	}
	inputs := inputRecords(files)
	mended, err := mendedOf(c, inputs, waiting)
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
func notUsed(inputs []inputRecord) (all []string) {
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
			registers = append(registers, fmt.Sprintf("%d of %s in %s", lost, count(int(f.Records), "line"), f.Name))
		}
	}
	if exports != nil {
		all = append(all, fmt.Sprintf("%s (%s)", count(len(exports), "export"), firstNames(exports)))
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

// linesLost counts the lines of all exports that take no part.
func linesLost(inputs []inputRecord) []string {
	var aside, doubtful, unread, records int64
	for _, f := range inputs {
		if f.Outcome == "read" {
			aside, doubtful, records = aside+f.aside(), doubtful+f.Doubtful, records+f.Records
			unread += f.linesUnread()
		}
	}
	lost := aside + doubtful + unread
	if lost == 0 {
		return nil
	}
	return []string{fmt.Sprintf("%d of %s in all (%s)", lost, count(int(records+unread), "record line"), lostKinds(aside, doubtful, unread))}
}

// firstNames lists at most three names and counts the rest.
func firstNames(all []string) string {
	if len(all) <= 3 {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:3], ", "), len(all)-3)
}
