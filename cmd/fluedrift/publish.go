package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"github.com/google/renameio/v2"
)

// A publication is a folder lists/<as-of>.<n> that was written whole under a
// temporary name and then renamed. The link lists/<as-of> points to the newest
// of its day, and lists/latest to the link of the day published last.

// runRecord is run.json: what a publication was made from and how it went.
// Everything but Timing is the same for the same inputs.
type runRecord struct {
	Program   string           `json:"program"`
	AsOf      string           `json:"as_of"`
	Condition string           `json:"condition"`
	Code      int              `json:"code"`
	Notes     []string         `json:"notes"`
	Config    string           `json:"config_digest"`
	Previous  string           `json:"previous"`
	Counts    map[string]int64 `json:"counts"`
	Inputs    []inputRecord    `json:"inputs"`
	Lists     []listRecord     `json:"lists"`
	Cautions  []string         `json:"cautions"`
	Timing    map[string]any   `json:"timing"`
}

// inputRecord is one export of a publication.
type inputRecord struct {
	Name       string `json:"name"`
	Bytes      int64  `json:"bytes"`
	Digest     string `json:"digest"`
	Layout     string `json:"layout"`
	Outcome    string `json:"outcome"`
	Reason     string `json:"reason"`
	Message    string `json:"message"`
	ExportDay  string `json:"export_day"`
	Lines      int64  `json:"lines"`
	Records    int64  `json:"records"` // lines that hold a record, set aside or not
	Accepted   int64  `json:"accepted"`
	Superseded int64  `json:"superseded"`
	Duplicate  int64  `json:"duplicate"`
	Doubtful   int64  `json:"doubtful"`
	SetAside   int64  `json:"set_aside"`
}

// listRecord is one published file with its digest.
type listRecord struct {
	Name   string `json:"name"`
	Lines  int    `json:"lines"`
	Digest string `json:"digest"`
}

// latestRun reads the run record of the newest publication, nil if none.
func latestRun(lists string) (*runRecord, error) {
	return readRun(filepath.Join(lists, "latest"))
}

// runBefore reads the newest publication with an earlier as-of day, nil if none.
func runBefore(lists, asOf string) (*runRecord, error) {
	entries, err := os.ReadDir(lists)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	best := ""
	for _, e := range entries {
		if name := e.Name(); isDay.MatchString(name) && name < asOf && name > best {
			best = name
		}
	}
	if best == "" {
		return nil, nil
	}
	return readRun(filepath.Join(lists, best))
}

var (
	isDay      = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)
	isLeftover = regexp.MustCompile(`^\.(writing-|latest|\d{4}-\d{2}-\d{2})`)
	isEdition  = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})\.(\d+)$`)
)

func readRun(folder string) (*runRecord, error) {
	text, err := os.ReadFile(filepath.Join(folder, "run.json"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	r := new(runRecord)
	if err := json.Unmarshal(text, r); err != nil {
		return nil, fmt.Errorf("%s/run.json is damaged: %w\nremove that publication, or put an undamaged copy in its place", folder, err)
	}
	return r, nil
}

// A stage is a publication being written.
type stage struct{ lists, asOf, folder string }

// newStage clears what a broken night left behind and opens a fresh folder.
func newStage(lists, asOf string) (*stage, error) {
	if err := os.MkdirAll(lists, 0o755); err != nil {
		return nil, fmt.Errorf("cannot write in %s: %w", lists, err)
	}
	if err := clearBroken(lists); err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp(lists, ".writing-")
	if err != nil {
		return nil, fmt.Errorf("cannot write in %s: %w", lists, err)
	}
	return &stage{lists, asOf, folder}, os.Chmod(folder, 0o755)
}

// clearBroken removes what a killed night may have left in the lists folder:
// stages and half-made links, which all have names that begin with a dot.
func clearBroken(lists string) error {
	entries, err := os.ReadDir(lists)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if !isLeftover.MatchString(e.Name()) {
			continue
		}
		if err := os.RemoveAll(filepath.Join(lists, e.Name())); err != nil {
			return fmt.Errorf("cannot clear %s: %w", e.Name(), err)
		}
	}
	return nil
}

// drop removes a stage that was not published.
func (s *stage) drop() { os.RemoveAll(s.folder) }

// write puts one synced file into the stage.
func (s *stage) write(name string, content []byte) error {
	f, err := os.OpenFile(filepath.Join(s.folder, name), os.O_CREATE|os.O_WRONLY|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err := f.Write(content); err != nil {
		f.Close()
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	return f.Close()
}

// publish renames the stage into place, swaps the links and removes earlier
// editions of the same day but the one before, which a reader may hold open.
func (s *stage) publish() error {
	if err := syncFolder(s.folder); err != nil {
		return err
	}
	editions, err := s.editions()
	if err != nil {
		return err
	}
	next := 1
	if n := len(editions); n > 0 {
		next = editions[n-1] + 1
	}
	name := s.asOf + "." + strconv.Itoa(next)
	if err := os.Rename(s.folder, filepath.Join(s.lists, name)); err != nil {
		return fmt.Errorf("cannot publish %s: %w", name, err)
	}
	if err := syncFolder(s.lists); err != nil {
		return err
	}
	for _, link := range [][2]string{{name, s.asOf}, {s.asOf, "latest"}} {
		if err := renameio.Symlink(link[0], filepath.Join(s.lists, link[1])); err != nil {
			return fmt.Errorf("cannot point %s to %s: %w", link[1], link[0], err)
		}
	}
	for _, old := range editions[:max(0, len(editions)-1)] {
		if err := os.RemoveAll(filepath.Join(s.lists, s.asOf+"."+strconv.Itoa(old))); err != nil {
			return err
		}
	}
	return syncFolder(s.lists)
}

// editions lists the numbers of the as-of day's publications, ascending.
func (s *stage) editions() ([]int, error) {
	entries, err := os.ReadDir(s.lists)
	if err != nil {
		return nil, err
	}
	var found []int
	for _, e := range entries {
		if m := isEdition.FindStringSubmatch(e.Name()); m != nil && m[1] == s.asOf {
			n, err := strconv.Atoi(m[2])
			if err != nil {
				return nil, fmt.Errorf("%s: the number of the edition is too large", e.Name())
			}
			found = append(found, n)
		}
	}
	sort.Ints(found)
	return found, nil
}

func syncFolder(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// jsonText writes a value as indented JSON with a last line end.
func jsonText(v any) ([]byte, error) {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(v)
	return []byte(b.String()), err
}
