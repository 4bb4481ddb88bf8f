package main

import (
	"bytes"
	"errors"
	"fluedrift/cmd/fluedrift/settings"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"time"
)

// metricsBegin is how a metrics file of this program begins.
var metricsBegin = regexp.MustCompile(`^# (TYPE|HELP) fluedrift_`)

// isMetrics says whether a file may be replaced by metrics: it holds none of
// anybody else's.
func isMetrics(path string) (bool, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	return err == nil && (len(bytes.TrimSpace(text)) == 0 || metricsBegin.Match(text)), err
}

// metricsPatience is how long a pipe's reader may take to read the metrics.
const metricsPatience = 10 * time.Second

// saveMetrics writes the metrics to their place. A file comes into it in one
// step, so that a collector never reads half of it; it holds numbers only and is
// readable by all.
func saveMetrics(path string, text []byte, guards []guard) error {
	p, err := destinationOf("output.metrics", path, guards)
	if err != nil {
		return err
	}
	if !p.replaces() {
		if err := p.putSoon(text, metricsPatience); err != nil {
			return fmt.Errorf("cannot write the metrics: %w", err)
		}
		return nil
	}
	ours, err := isMetrics(p.path)
	if err == nil && !ours {
		return settings.Fail(settings.Usage, "output.metrics: %s holds no metrics of this program and is not replaced\nmove it away, or name another file", path)
	}
	if err == nil {
		err = replaceMetrics(p.path, text)
	}
	if err != nil {
		return fmt.Errorf("cannot write the metrics: %w", err)
	}
	return nil
}

// replaceMetrics puts the file in place. The name it is written under is always
// the same, so that a killed night leaves one file, which the next one takes away.
func replaceMetrics(path string, text []byte) error {
	root, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer root.Close()
	name := filepath.Base(path)
	half := "." + name + ".new" // a collector takes only names that end in .prom
	if err := root.RemoveAll(half); err != nil {
		return err
	}
	d := &disk{roots: map[string]*os.Root{inLists: root}}
	err = d.all([]fileOp{
		{do: "write", in: inLists, path: half, text: text}, {do: "sync", in: inLists, path: half}})
	if err == nil {
		err = root.Chmod(half, 0o644)
	}
	if err == nil {
		err = d.all([]fileOp{{do: "rename", in: inLists, path: half, to: name}, {do: "sync", in: inLists, path: "."}})
	}
	if err != nil {
		root.RemoveAll(half)
	}
	return err
}

// saveMetrics writes the metrics of a night, where the configuration asks for
// them.
func (n *night) saveMetrics(text []byte) error {
	if n.config.Output.Metrics == "" {
		return nil
	}
	return saveMetrics(n.config.Path(n.config.Output.Metrics), text, append(inputGuards(n.config), warehouseGuards(n.config)...))
}

// guardsIn are the inputs of a configuration that is wrong, as far as it can be
// read.
func guardsIn(path string) []guard {
	c := settings.ReadLeniently(path)
	return append(inputGuards(c), warehouseGuards(c)...)
}
