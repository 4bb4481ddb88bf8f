package publish

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// A plan of visit days is written as publications are: whole, in a folder
// lists/days/<as-of>.<n> of its own, to which the link lists/days/<as-of> then
// points. People edit plans, so that no edition is ever written again or removed.

// planRecord is plan.json: what an edition of a plan was written with.
type planRecord struct {
	AsOf  string    `json:"as_of"`
	Files []Written `json:"files"`
}

const planRecordName = "plan.json"

// WritePlan writes the files of a plan as the next edition of its day and says
// what became of the one before. The same plan again is not written again.
func WritePlan(cfg *settings.Config, asOf string, all []File) (folder, before string, err error) {
	days := filepath.Join(cfg.Path(cfg.Output.Lists), "days")
	folder = filepath.Join(days, asOf)
	if err := Allowed("the folder of the plan", folder, Inputs(cfg)); err != nil {
		return "", "", err
	}
	if err := makeFolder(filepath.Dir(days), folderMode(cfg.Output.GroupReadable)); err != nil {
		return "", "", err
	}
	root, err := openFolder(days, folderMode(cfg.Output.GroupReadable))
	if err != nil {
		return "", "", err
	}
	d := &Disk{roots: map[string]*os.Root{InLists: root}, group: cfg.Output.GroupReadable}
	defer d.Close()
	if err := adoptPlans(d); err != nil {
		return "", "", err
	}
	record, texts := planRecord{AsOf: asOf}, map[string][]byte{}
	for _, f := range all {
		var b strings.Builder
		if err := f.Write(&b); err != nil {
			return "", "", err
		}
		texts[f.Name] = []byte(b.String())
		record.Files = append(record.Files, Written{f.Name, f.Lines, settings.DigestOf(texts[f.Name])})
	}
	last, edited := lastPlan(root, asOf)
	if last != nil && slices.Equal(last.Files, record.Files) {
		if len(edited) > 0 {
			before = fmt.Sprintf("The plan is the one that stands there already; it was edited (%s) and stays as it is.",
				strings.Join(edited, ", "))
		}
		return folder, before, nil
	}
	shownBefore, err := root.Readlink(asOf)
	switch {
	case err != nil: // the first of its day
	case len(edited) > 0:
		before = fmt.Sprintf("The plan before was edited (%s) and stays in %s.", strings.Join(edited, ", "),
			filepath.Join(days, shownBefore))
	default:
		before = fmt.Sprintf("The plan before stays in %s.", filepath.Join(days, shownBefore))
	}
	s, err := NewStage(d, asOf)
	if err != nil {
		return "", "", err
	}
	defer s.DropStage()
	for _, f := range record.Files {
		if err := s.Write(f.Name, texts[f.Name]); err != nil {
			return "", "", err
		}
	}
	text, err := json.MarshalIndent(record, "", "  ")
	if err != nil {
		return "", "", err
	}
	if err := s.Write(planRecordName, append(text, '\n')); err != nil {
		return "", "", err
	}
	if err := s.All(s.settle()); err != nil {
		return "", "", err
	}
	if err := s.readBack(s.edition); err != nil {
		return "", "", errors.Join(err, s.All(takeAway(s.edition)))
	}
	return folder, before, s.All(s.show(asOf, s.edition))
}

// adoptPlans makes editions of the plain folders that plans were written to
// before they had any: what was edited there stays.
func adoptPlans(d *Disk) error {
	root := d.roots[InLists]
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
		s := &Stage{Disk: d, asOf: e.Name(), edition: edition{e.Name(), k}.name()}
		ops := append([]Op{{Do: "rename", In: InLists, Path: e.Name(), To: s.edition}}, s.show(e.Name(), s.edition)...)
		if err := d.All(ops); err != nil {
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
		if SameDigest(root, asOf, f.Name, f.Digest) != nil {
			edited = append(edited, f.Name)
		}
	}
	return last, edited
}
