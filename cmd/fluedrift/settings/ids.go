package settings

import (
	"fmt"
	"os"

	"fluedrift/ingest"
	"fluedrift/ingest/ids"
	"fluedrift/ingest/layout"
)

// IDs says how ids are written that are one. It holds for all exports, targets and
// promises alike.
type IDs struct {
	Serial          layout.Patterns `toml:"serial"`
	SerialAliases   string          `toml:"serial_aliases"`
	Analyzer        layout.Patterns `toml:"analyzer"`
	AnalyzerAliases string          `toml:"analyzer_aliases"`
	AnalyzerUsers   string          `toml:"analyzer_users"`
}

// idRules are the ids of a configuration with the files it names, read.
type idRules struct {
	serial, analyzer *ids.Rules
	users            *ids.Users
	files            []byte // the text of the files: it shapes lists as the configuration does
}

// read reads the files that the section names and checks it against them.
func (s *IDs) read(path func(string) string) (r idRules, err error) {
	if r.serial, err = r.rulesOf("ids.serial", s.Serial, "ids.serial_aliases", path(s.SerialAliases), s.SerialAliases != ""); err != nil {
		return r, err
	}
	r.analyzer, err = r.rulesOf("ids.analyzer", s.Analyzer, "ids.analyzer_aliases", path(s.AnalyzerAliases), s.AnalyzerAliases != "")
	if err != nil || s.AnalyzerUsers == "" {
		return r, err
	}
	text, err := r.file(path(s.AnalyzerUsers))
	if err == nil {
		r.users, err = ids.ReadUsers(path(s.AnalyzerUsers), text, r.analyzer)
	}
	if err != nil {
		return r, fmt.Errorf("ids.analyzer_users: %w", err)
	}
	return r, nil
}

// rulesOf are the rules of the ids of one thing, with a file of aliases where one is
// named.
func (r *idRules) rulesOf(shapeKey string, shapes []string, fileKey, file string, named bool) (*ids.Rules, error) {
	rules, err := ids.NewRules(shapes, nil)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shapeKey, err)
	}
	if !named {
		return rules, nil
	}
	text, err := r.file(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", fileKey, err)
	}
	aliases, err := ids.Aliases(file, text)
	if err == nil {
		rules, err = ids.NewRules(shapes, aliases)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", fileKey, err)
	}
	return rules, nil
}

// file is the text of a file that the section names.
func (r *idRules) file(path string) ([]byte, error) {
	text, err := os.ReadFile(path)
	r.files = append(append(r.files, text...), 0)
	return text, err
}

// ingest are the ids as the reader takes them, with what stands for technician codes.
func (r *idRules) ingest(alias func(code string) string) ingest.IDs {
	return ingest.IDs{Serial: r.serial, Analyzer: r.analyzer, Users: r.users.As(alias)}
}
