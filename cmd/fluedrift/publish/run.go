package publish

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"fluedrift/cmd/fluedrift/settings"
)

// Run is what a reading command has to know of a publication.
type Run struct {
	AsOf        string    `json:"as_of"`
	Settings    string    `json:"settings_digest"`
	Publication string    `json:"publication"`
	Lists       []Written `json:"lists"`
	Inputs      []Input   `json:"inputs"`
}

// Input is what a reading command has to know of an export: its layout, and how many
// lines were read by that.
type Input struct {
	Layout   string `json:"layout"`
	Accepted int64  `json:"accepted"`
}

// ReadRun reads the run record of a publication's folder.
func ReadRun(folder string) (*Run, error) {
	text, err := os.ReadFile(filepath.Join(folder, "run.json"))
	if err != nil {
		return nil, err
	}
	r := new(Run)
	return r, json.Unmarshal(text, r)
}

// AboutToShow says whether a publication stands in its place while no link shows
// it yet: a night is about to move the links, or was cut down before.
func AboutToShow(c *settings.Config, day, publication string) bool {
	root, err := os.OpenRoot(c.Path(c.Output.Lists))
	if err != nil {
		return false
	}
	defer root.Close()
	s, err := ReadShelf(root)
	if err != nil {
		return false
	}
	return slices.ContainsFunc(s.editions, func(e edition) bool {
		if e.day != day || s.links[day] == e.name() && day <= s.Latest {
			return false
		}
		r, err := ReadRun(filepath.Join(c.Path(c.Output.Lists), e.name()))
		return err == nil && r.Publication == publication
	})
}

// Written is one published file with its digest.
type Written struct {
	Name   string `json:"name"`
	Lines  int    `json:"lines"`
	Digest string `json:"digest"`
}
