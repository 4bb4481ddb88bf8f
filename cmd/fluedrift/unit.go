package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

var unitCommand = command{"unit", "SERIAL", "one unit's history, newest first, and why it is ranked where it is", readsWarehouse(unit)}

// mostCandidates is how many units a serial that is not unique lists.
const mostCandidates = 20

func unit(ctx context.Context, c *call) error {
	if len(c.args) != 1 || c.args[0] == "" {
		return settings.Fail(settings.Usage, "unit: give one serial, or a part of one\nsee: fluedrift list")
	}
	cfg, w, err := openForecasts(ctx, c)
	if err != nil {
		return err
	}
	defer w.Close()
	serial, err := findSerial(ctx, cfg, c, w)
	if err != nil {
		return err
	}
	p, err := story(ctx, c, cfg, w, serial)
	if err != nil {
		return err
	}
	in, err := night.UnitsOf(ctx, cfg, w)
	if err != nil {
		return err
	}
	s := p.Detail.Story
	return c.writeResult(func(out io.Writer) error {
		switch c.format {
		case "text":
			return lists.WriteStory(out, in, s)
		case "html":
			return page.WriteUnitPage(out, in, p.Detail, p.Sheet, w.AsOf())
		}
		write, err := writerFor(c.format)
		if err != nil {
			return err
		}
		return write(out, lists.History(units.SI, s))
	})
}

// findSerial finds the one unit a person means: the serial that a text stands for by
// the configuration, else the same in other letter case, else a part of one. Several
// are listed.
func findSerial(ctx context.Context, cfg *settings.Config, c *call, w *queries.Warehouse) (string, error) {
	serial := cfg.Serial(c.args[0])
	exact, err := w.Units(ctx, serial)
	if err != nil {
		return "", err
	}
	if len(exact) == 1 {
		if serial != c.args[0] {
			fmt.Fprintf(c.err, "%s is %s: the configuration declares it (ids)\n", night.OneLine(c.args[0]), serial)
		}
		return exact[0].Serial, nil
	}
	second, err := w.WithSecondID(ctx, c.args[0])
	if err != nil {
		return "", err
	}
	if len(second) == 1 {
		fmt.Fprintf(c.err, "%s is a second id of %s\n", night.OneLine(c.args[0]), second[0])
		return second[0], nil
	}
	all, err := w.Units(ctx, "")
	if err != nil {
		return "", err
	}
	want := strings.ToLower(c.args[0])
	var folded, parts []judge.Unit
	for _, u := range all {
		switch have := strings.ToLower(u.Serial); {
		case have == want:
			folded = append(folded, u)
		case strings.Contains(have, want):
			parts = append(parts, u)
		}
	}
	if len(folded) == 0 {
		folded = parts
	}
	switch len(folded) {
	case 0:
		return "", settings.Fail(settings.Usage, "no unit has the serial %q or one that contains it", c.args[0])
	case 1:
		return folded[0].Serial, nil
	}
	var b strings.Builder
	for i, u := range folded {
		if i == mostCandidates {
			fmt.Fprintf(&b, "\n  and %d more", len(folded)-i)
			break
		}
		fmt.Fprintf(&b, "\n  %s  %s, %s", u.Serial, u.Site, u.Area)
	}
	return "", settings.Fail(settings.Usage, "%d units have %q in their serial; name one of them:%s", len(folded), c.args[0], b.String())
}

// story tells one unit's history and its rank in the newest list of the
// warehouse's day.
func story(ctx context.Context, c *call, cfg *settings.Config, w *queries.Warehouse, serial string) (night.Picture, error) {
	judged, lines, err := storedLines(ctx, c, cfg, w, serial)
	if err != nil {
		return night.Picture{}, err
	}
	if len(lines) == 0 {
		return night.Picture{}, fmt.Errorf("the warehouse has no history of %q", serial)
	}
	carry := cfg.Columns.Carry
	if carry == nil {
		carry = night.CarriedNames(judged.Histories)
	}
	line := lines[0]
	rankOf(&line, cfg, w.AsOf())
	return night.PictureOf(judged.Histories[0], &line, judged.Rules.List, carry), nil
}

// rankOf looks up a unit's rank, and the interval of it, in the published list
// of a day; they stay 0 where there is none. A published list has a row a line,
// so that the others need not be taken apart.
func rankOf(l *watch.Line, cfg *settings.Config, asOf day.Day) {
	text, _, _, err := publish.ReadFile(filepath.Join(cfg.Path(cfg.Output.Lists), settings.DayText(asOf)), "watchlist.json")
	if err != nil {
		return
	}
	name, err := table.EncodeJSON(l.Unit.Serial, "")
	if err != nil {
		return
	}
	name = bytes.TrimSpace(name)
	for line := range bytes.Lines(text) {
		if !bytes.Contains(line, name) {
			continue
		}
		var row struct {
			Rank       int
			RankFrom   int    `json:"rank_from"`
			RankTo     int    `json:"rank_to"`
			AskedSince string `json:"co_asked_since"`
			Serial     string
		}
		if json.Unmarshal(bytes.TrimRight(line, ",\n"), &row) != nil || row.Serial != l.Unit.Serial {
			continue
		}
		l.Rank, l.RankFrom, l.RankTo = row.Rank, row.RankFrom, row.RankTo
		if since, err := settings.DayOf(row.AskedSince); err == nil {
			l.AskSince(since)
		}
		return
	}
}
