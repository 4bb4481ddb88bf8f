package night

import (
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// guardInputs looks at the files of a night and at those of the publication
// before it. Guards stand in the order of the condition table.
func guardInputs(c *settings.Config, now []Input, last *Record) []fault {
	var found []fault
	found = append(found, lostFiles(now, last)...)
	found = append(found, refusedShare(c, now)...)
	found = append(found, registerLines(c, now)...)
	found = append(found, filesAside(c, now)...)
	found = append(found, withoutGas(c, now)...)
	found = append(found, setAsideShare(c, now)...)
	found = append(found, notOurs(now)...)
	found = append(found, partsUnread(now)...)
	return append(found, toLookAt(now, last)...)
}

// lostFiles finds files that were read for the last publication and are now
// refused, incomplete or gone. A file is gone when neither its name nor its
// bytes are there: a rename is no loss.
func lostFiles(now []Input, last *Record) []fault {
	if last == nil {
		return nil
	}
	byName, byDigest := index(now)
	var gone, refused []string
	for _, old := range last.Inputs {
		if old.Outcome != "read" && old.Outcome != "same bytes" {
			continue
		}
		file, named := byName[old.Name]
		_, there := byDigest[old.Digest]
		switch {
		case there:
		case !named:
			gone = append(gone, old.Name)
		case file.Outcome != "read" && file.Outcome != "same bytes":
			refused = append(refused, fmt.Sprintf("%s (%s)", file.Name, file.why()))
		}
	}
	var found []fault
	if len(refused) > 0 {
		found = append(found, fault{"refused", fmt.Sprintf("%s of the last publication cannot be read now: %s\nmend "+
			"or restore it, or set guards.tolerate = [\"refused\"]",
			Count(len(refused), "file"), firstThree(refused))})
	}
	if len(gone) > 0 {
		found = append(found, fault{"gone", fmt.Sprintf("%s of the last publication gone: %s\nrestore it, or set "+
			"guards.tolerate = [\"gone\"] for one night",
			Count(len(gone), "file"), firstThree(gone))})
	}
	return found
}

// index finds the files that hold records by name and by what they hold.
func index(files []Input) (byName, byDigest map[string]Input) {
	byName, byDigest = map[string]Input{}, map[string]Input{}
	for _, f := range files {
		byName[f.Name] = f
		if f.Digest != "" && (f.Outcome == "read" || f.Outcome == "same bytes") {
			byDigest[f.Digest] = f
		}
	}
	return byName, byDigest
}

// refusedShare finds a refused file that carries a large part of all bytes.
func refusedShare(c *settings.Config, now []Input) []fault {
	var all int64
	for _, f := range now {
		if f.ours() {
			all += f.Bytes
		}
	}
	var large []string
	for _, f := range now {
		if f.Outcome == "refused" && float64(f.Bytes) > c.Guards.MaxRefusedShare*float64(all) {
			large = append(large, fmt.Sprintf("%s (%d of %d bytes; %s)", f.Name, f.Bytes, all, f.why()))
		}
	}
	if large == nil {
		return nil
	}
	return []fault{{"refused", fmt.Sprintf("a refused file holds more than guards.max_refused_share = %g of all "+
		"exports: %s\nmend or remove it", c.Guards.MaxRefusedShare, firstThree(large))}}
}

// setAsideShare compares the lines that cannot be used with both limits: those
// set aside, or without a reading of theirs, with the upper one, and with the lower
// one doubtful lines, those that no layout reads and those without a cell as well.
func setAsideShare(c *settings.Config, now []Input) []fault {
	var aside, lostReadings, doubtful, unread, cells, records int64
	for _, f := range now {
		if f.Outcome == "read" {
			aside += f.aside()
			lostReadings += f.LostReadings
			cells += f.LinesSpoilt
			doubtful += f.Doubtful
			unread += f.linesUnread()
			records += f.Records
		}
	}
	if share := float64(aside+lostReadings) / float64(max(records, 1)); share > c.Guards.MaxSetAside {
		return []fault{{"set aside", fmt.Sprintf("%d of %d record lines set aside, or a reading on them: %.1f %% is over "+
			"guards.max_set_aside = %g\nfluedrift help config names the limits; records-to-fix.csv of a tolerated "+
			"night lists the lines", aside+lostReadings, records, 100*share, c.Guards.MaxSetAside)}}
	}
	lost, all := aside+doubtful+unread+cells, records+unread
	if share := float64(lost) / float64(max(all, 1)); share > c.Guards.SetAsideTolerated {
		return []fault{{"", fmt.Sprintf("%d of %d record lines cannot be used in full (%s): %.1f %% is over "+
			"guards.set_aside_tolerated = %g; see records-to-fix.csv", lost, all, lostKinds(aside, doubtful, unread, cells), 100*share,
			c.Guards.SetAsideTolerated)}}
	}
	return nil
}

// lostKinds says what kinds of lines cannot be used.
func lostKinds(aside, doubtful, unread, cells int64) string {
	var kinds []string
	for _, k := range []struct {
		lines int64
		what  string
	}{{aside, "set aside"}, {doubtful, "doubtful"}, {unread, "not read"}, {cells, "without a cell"}} {
		if k.lines > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %s", k.lines, k.what))
		}
	}
	return strings.Join(kinds, ", ")
}

// toLookAt lists refused and incomplete files that do not stop the night.
func toLookAt(now []Input, last *Record) []fault {
	known := map[string]bool{}
	if last != nil {
		_, byDigest := index(now)
		for _, f := range last.Inputs {
			_, elsewhere := byDigest[f.Digest] // the same bytes under another name: nothing is lost
			known[f.Name] = (f.Outcome == "read" || f.Outcome == "same bytes") && !elsewhere
		}
	}
	var refused, waiting []string
	ours := 0
	for _, f := range now {
		if f.ours() {
			ours++
		}
		switch {
		case known[f.Name]: // lostFiles speaks of these
		case f.Outcome == "refused":
			refused = append(refused, fmt.Sprintf("%s (%s)", f.Name, f.why()))
		case f.Outcome == "incomplete":
			waiting = append(waiting, fmt.Sprintf("%s (%s)", f.Name, f.why()))
		}
	}
	var found []fault
	if len(refused) > 0 {
		found = append(found, fault{"", fmt.Sprintf("%d of %d files refused: %s", len(refused), ours, firstThree(refused))})
	}
	if len(waiting) > 0 {
		found = append(found, fault{"", fmt.Sprintf("%d of %d files incomplete, read once whole: %s", len(waiting), ours,
			firstThree(waiting))})
	}
	return found
}

// ours says whether a layout claims the file.
func (f Input) ours() bool { return f.Outcome != "not ours" && f.Outcome != "skipped" }

// why is the reason a file was not read.
func (f Input) why() string {
	if f.Message != "" {
		return f.Reason + ": " + f.Message
	}
	return f.Reason
}
