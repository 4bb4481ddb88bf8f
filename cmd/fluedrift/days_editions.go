package main

import (
	"encoding/json"
	"errors"
	"fluedrift/cmd/fluedrift/settings"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// A plan of visit days is written as publications are: whole, in a folder
// lists/days/<as-of>.<n> of its own, to which the link lists/days/<as-of> then
// points. People edit plans, so that no edition is ever written again or removed.

// planRecord is plan.json: what an edition of a plan was written with.
type planRecord struct {
	AsOf  string       `json:"as_of"`
	Files []listRecord `json:"files"`
}

const planRecordName = "plan.json"

// writePlan writes the files of a plan as the next edition of its day and says
// what became of the one before. The same plan again is not written again.
func writePlan(cfg *settings.Config, asOf string, all []form) (folder, before string, err error) {
	days := filepath.Join(cfg.Path(cfg.Output.Lists), "days")
	folder = filepath.Join(days, asOf)
	if err := allowed("the folder of the plan", folder, inputGuards(cfg)); err != nil {
		return "", "", err
	}
	if err := makeFolder(filepath.Dir(days), folderMode(cfg.Output.GroupReadable)); err != nil {
		return "", "", err
	}
	root, err := openFolder(days, folderMode(cfg.Output.GroupReadable))
	if err != nil {
		return "", "", err
	}
	d := &disk{roots: map[string]*os.Root{inLists: root}, group: cfg.Output.GroupReadable}
	defer d.close()
	if err := adoptPlans(d); err != nil {
		return "", "", err
	}
	record, texts := planRecord{AsOf: asOf}, map[string][]byte{}
	for _, f := range all {
		var b strings.Builder
		if err := f.write(&b); err != nil {
			return "", "", err
		}
		texts[f.name] = []byte(b.String())
		record.Files = append(record.Files, listRecord{f.name, f.lines, settings.DigestOf(texts[f.name])})
	}
	last, edited := lastPlan(root, asOf)
	if last != nil && slices.Equal(last.Files, record.Files) {
		if len(edited) > 0 {
			before = fmt.Sprintf("The plan is the one that stands there already; it was edited (%s) and stays as it is.", strings.Join(edited, ", "))
		}
		return folder, before, nil
	}
	shownBefore, err := root.Readlink(asOf)
	switch {
	case err != nil: // the first of its day
	case len(edited) > 0:
		before = fmt.Sprintf("The plan before was edited (%s) and stays in %s.", strings.Join(edited, ", "), filepath.Join(days, shownBefore))
	default:
		before = fmt.Sprintf("The plan before stays in %s.", filepath.Join(days, shownBefore))
	}
	s, err := newStage(d, asOf)
	if err != nil {
		return "", "", err
	}
	defer s.drop()
	for _, f := range record.Files {
		if err := s.write(f.Name, texts[f.Name]); err != nil {
			return "", "", err
		}
	}
	text, err := jsonText(record)
	if err != nil {
		return "", "", err
	}
	if err := errors.Join(s.write(planRecordName, text)); err != nil {
		return "", "", err
	}
	if err := s.all(s.settle()); err != nil {
		return "", "", err
	}
	if err := s.readBack(s.edition); err != nil {
		return "", "", errors.Join(err, s.all(takeAway(s.edition)))
	}
	return folder, before, s.all(s.show(asOf, s.edition))
}

// adoptPlans makes editions of the plain folders that plans were written to
// before they had any: what was edited there stays.
func adoptPlans(d *disk) error {
	root := d.roots[inLists]
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !e.IsDir() || !isDay.MatchString(e.Name()) {
			continue
		}
		k := 1
		for ; ; k++ {
			if _, err := root.Lstat(edition{e.Name(), k}.name()); errors.Is(err, fs.ErrNotExist) {
				break
			}
		}
		s := &stage{disk: d, asOf: e.Name(), edition: edition{e.Name(), k}.name()}
		ops := append([]fileOp{{do: "rename", in: inLists, path: e.Name(), to: s.edition}}, s.show(e.Name(), s.edition)...)
		if err := d.all(ops); err != nil {
			return err
		}
	}
	return nil
}

// lastPlan reads what the plan of a day was written with, and which of its files
// hold other bytes now; nil where there is none, or none that says so.
func lastPlan(root *os.Root, asOf string) (last *planRecord, edited []string) {
	text, err := root.ReadFile(path.Join(asOf, planRecordName))
	if err != nil {
		return nil, nil
	}
	last = new(planRecord)
	if json.Unmarshal(text, last) != nil {
		return nil, nil
	}
	for _, f := range last.Files {
		if sameDigest(root, asOf, f.Name, f.Digest) != nil {
			edited = append(edited, f.Name)
		}
	}
	return last, edited
}
