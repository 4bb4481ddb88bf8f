package publish

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"time"

	"fluedrift/cmd/fluedrift/settings"
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

// SaveMetrics writes the metrics of a night to their place. A file comes into it in one
// step, so that a collector never reads half of it; it holds numbers only and is
// readable by all.
func SaveMetrics(c *settings.Config, path string, text []byte) error {
	p, err := DestinationOf("output.metrics", path, append(Inputs(c), warehouseFiles(c)...))
	if err != nil {
		return err
	}
	if !p.Replaces() {
		if err := p.putSoon(text, metricsPatience); err != nil {
			return fmt.Errorf("cannot write the metrics: %w", err)
		}
		return nil
	}
	ours, err := isMetrics(p.path)
	if err == nil && !ours {
		return settings.Fail(settings.Usage, "output.metrics: %s holds no metrics of this program and is not "+
			"replaced\nmove it away, or name another file", path)
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
	d := &Disk{roots: map[string]*os.Root{InLists: root}}
	err = d.All([]Op{
		{Do: "write", In: InLists, Path: half, Text: text}, {Do: "sync", In: InLists, Path: half},
	})
	if err == nil {
		err = root.Chmod(half, 0o644)
	}
	if err == nil {
		err = d.All([]Op{{Do: "rename", In: InLists, Path: half, To: name}, {Do: "sync", In: InLists, Path: "."}})
	}
	if err != nil {
		root.RemoveAll(half)
	}
	return err
}
