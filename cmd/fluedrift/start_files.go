package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/layout"
)

// Names of what start writes beside the layouts.
const (
	configName    = "fluedrift.toml"
	decisionsName = "decisions.toml"
)

// markStart begins the first line of a file that start wrote; the digest of the lines
// below it follows. A file whose lines have another digest was edited.
const markStart = "# Written by fluedrift start and never again once a person has edited it. Digest of the lines below: "

func marked(text string) []byte {
	return fmt.Appendf(nil, "%s%x\n%s", markStart, sha256.Sum256([]byte(text)), text)
}

// untouched reports a file that is as start wrote it.
func untouched(file []byte) bool {
	first, rest, ok := bytes.Cut(file, []byte("\n"))
	digest, marked := bytes.CutPrefix(first, []byte(markStart))
	return ok && marked && string(digest) == fmt.Sprintf("%x", sha256.Sum256(rest))
}

// edited reports a file that is not as start wrote it, or cannot be read.
func edited(path string) bool {
	text, err := os.ReadFile(path)
	return err != nil || !untouched(text)
}

// put writes a file, unless a person edited the one that is there.
func (b *beginning) put(path, text string) error {
	old, err := os.ReadFile(path)
	switch {
	case err == nil && !untouched(old):
		b.kept = append(b.kept, path)
		return nil
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return settings.Fail(settings.Usage, "start: %w", err)
	}
	if bytes.Equal(old, marked(text)) {
		return nil
	}
	return replaceFile(path, marked(text))
}

// replaceFile writes a file whole.
func replaceFile(path string, text []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return fmt.Errorf("cannot make %s: %w", filepath.Dir(path), err)
	}
	p, err := publish.DestinationOf("start", path, nil)
	if err != nil {
		return err
	}
	if err := p.Put(text, 0o600); err != nil {
		return fmt.Errorf("cannot write %s: %w", path, err)
	}
	return nil
}

// write writes layouts, configuration and open questions.
func (b *beginning) write() error {
	if err := os.MkdirAll(b.layouts(), 0o700); err != nil {
		return fmt.Errorf("cannot make %s: %w", b.layouts(), err)
	}
	wanted := map[string]bool{}
	for i := range b.kinds {
		k := &b.kinds[i]
		if k.By != "" || !readable(k) {
			continue
		}
		path := filepath.Join(b.layouts(), draftName(k.Name, wanted))
		if err := b.put(path, k.Text); err != nil {
			return err
		}
	}
	if err := b.clear(wanted); err != nil {
		return err
	}
	if err := b.put(filepath.Join(b.dir, configName), b.config()); err != nil {
		return err
	}
	text, added := b.answers.with(b.questions)
	if !added {
		return nil
	}
	return replaceFile(filepath.Join(b.dir, decisionsName), text)
}

// readable reports a kind of file whose layout loads as it is written.
func readable(k *ingest.Proposal) bool { return k.Text != "" && k.Sure && faultOf(k) == nil }

// faultOf is why the layout of a kind of file does not load.
func faultOf(k *ingest.Proposal) error {
	_, err := layout.Parse(k.Name, k.Text)
	return err
}

// clear takes away layouts that start wrote before and would not write now.
func (b *beginning) clear(wanted map[string]bool) error {
	entries, err := os.ReadDir(b.layouts())
	if err != nil {
		return err
	}
	for _, e := range entries {
		path := filepath.Join(b.layouts(), e.Name())
		if filepath.Ext(path) != ".toml" || wanted[e.Name()] || edited(path) {
			continue
		}
		if err := os.Remove(path); err != nil {
			return err
		}
	}
	return nil
}

// config is the configuration that reads the exports with the layouts.
func (b *beginning) config() string {
	var t strings.Builder
	t.WriteString("# The keys and their defaults: fluedrift help config\n\n")
	fmt.Fprintf(&t, "[exports]\nfolder = %s\nlayouts = \"layouts\"\n", quoted(b.folder()))
	if ignored := b.ignored(); len(ignored) > 0 {
		fmt.Fprintf(&t, "ignore = [%s] # neither a register nor readings\n", strings.Join(ignored, ", "))
	}
	t.WriteString(naming{b}.section())
	for _, x := range b.targets() {
		fmt.Fprintf(&t, "\n[[targets]]\nline = %s\nfuel = %s\nfire = %s\n", quoted(x.line), quoted(x.fuel), quoted(string(x.fire)))
		fmt.Fprintf(&t, "co2 = %g\n", x.co2)
		if x.set > 0 {
			fmt.Fprintf(&t, "set_rich = %g\nset_lean = %g\n", x.set, x.set)
		}
		if x.act > 0 {
			fmt.Fprintf(&t, "act_rich = %g\nact_lean = %g\n", x.act, x.act)
		}
	}
	return t.String()
}

// readsOther refuses a configuration of a person's that reads another folder: what is
// said of one folder would be read from the other.
func (b *beginning) readsOther() error {
	path := filepath.Join(b.dir, configName)
	if notThere(path) || !edited(path) {
		return nil
	}
	cfg, err := publish.ReadSettings(path)
	if err != nil {
		return err
	}
	if len(cfg.IDs.Serial) > 0 {
		b.declared = append(b.declared, "serial")
	}
	if len(cfg.IDs.Analyzer) > 0 {
		b.declared = append(b.declared, "analyzer")
	}
	own, err := os.Stat(cfg.Path(cfg.Exports.Folder))
	if given, e := os.Stat(b.exports); err == nil && (e != nil || os.SameFile(own, given)) {
		return nil
	}
	return settings.Fail(settings.Usage, "start: %s reads the exports folder %s, and not %s\nset exports.folder there, or name another "+
		"folder to write to with -dir", path, cfg.Exports.Folder, b.exports)
}

// folder is where the exports lie as seen from the configuration.
func (b *beginning) folder() string {
	exports, err := filepath.Abs(b.exports)
	if err != nil {
		return b.exports
	}
	dir, err := filepath.Abs(b.dir)
	if err != nil {
		return exports
	}
	if rel, err := filepath.Rel(dir, exports); err == nil && filepath.IsLocal(rel) {
		return rel
	}
	return exports
}

// ignored are the files that hold nothing for this program.
func (b *beginning) ignored() (all []string) {
	for _, k := range b.kinds {
		if k.By == "" && !k.Sure && k.Text != "" {
			for _, f := range k.Files {
				all = append(all, quoted(layout.ExactPattern(f)))
			}
		}
	}
	slices.Sort(all)
	return all
}

// quoted writes a text as a TOML string.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(plain(s)) + `"`
}
