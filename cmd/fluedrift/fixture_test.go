package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
)

// A tree is all that a folder holds, kept so that a fleet is built once and every
// test that needs it gets a copy of its own.
type tree map[string]treeFile

type treeFile struct {
	text []byte
	link string
	mode fs.FileMode
}

// readTree takes a folder in.
func readTree(dir string) (tree, error) {
	all := tree{}
	return all, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		f := treeFile{mode: info.Mode()}
		switch {
		case d.Type()&fs.ModeSymlink != 0:
			f.link, err = os.Readlink(path)
		case !d.IsDir():
			f.text, err = os.ReadFile(path)
		}
		all[name] = f
		return err
	})
}

// write puts a copy into a folder.
func (all tree) write(dir string) error {
	for name, f := range all {
		path := filepath.Join(dir, name)
		folder := filepath.Dir(path)
		if f.mode.IsDir() {
			folder = path
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return err
		}
		switch {
		case f.link != "":
			if err := os.Symlink(f.link, path); err != nil {
				return err
			}
		case !f.mode.IsDir():
			if err := errors.Join(os.WriteFile(path, f.text, f.mode.Perm()), os.Chmod(path, f.mode.Perm())); err != nil {
				return err
			}
		}
	}
	for name, f := range all {
		if f.mode.IsDir() && name != "." {
			if err := os.Chmod(filepath.Join(dir, name), f.mode.Perm()); err != nil {
				return err
			}
		}
	}
	return nil
}

// under is the part of it below one of its folders.
func (all tree) under(folder string) tree {
	part := maps.Clone(all)
	maps.DeleteFunc(part, func(name string, _ treeFile) bool {
		return name != folder && !strings.HasPrefix(name, folder+string(filepath.Separator))
	})
	return part
}

// builtTree fills a folder, runs a night on it and takes all of it in.
func builtTree(fill func(dir string) error) func() (tree, error) {
	return sync.OnceValues(func() (tree, error) {
		dir, err := os.MkdirTemp("/dev/shm", "fluedrift-test-")
		if err != nil {
			if dir, err = os.MkdirTemp("", "fluedrift-test-"); err != nil {
				return nil, err
			}
		}
		defer os.RemoveAll(dir)
		if err := fill(dir); err != nil {
			return nil, err
		}
		if code, errs := nightHere(filepath.Join(dir, "fluedrift.toml"), testNow); code != exitDone && code != exitLook {
			return nil, fmt.Errorf("the night ended with %d: %s", code, errs)
		}
		return readTree(dir)
	})
}

// The small fleet, and the demo's world with few units, after a night.
var (
	smallNight = builtTree(func(dir string) error { return copyTree("testdata/small", dir) })
	// and with metrics of it in night.prom
	smallMetrics = builtTree(func(dir string) error {
		return errors.Join(copyTree("testdata/small", dir), addKeys(filepath.Join(dir, "fluedrift.toml"), `metrics = "night.prom"`))
	})
	demoNight = builtTree(func(dir string) error { return demoUnits().Write(dir) })
)

// demoUnits is the fleet of demoNight.
func demoUnits() *demo.Fleet {
	return demo.New(demo.Options{Units: suite(24, 60), Years: 12, Seed: 7, AsOf: testAsOf, World: demo.Default()})
}

// afterNight writes what a night left into a folder of the test's own.
func afterNight(t *testing.T, night func() (tree, error)) (dir string) {
	t.Helper()
	all, err := night()
	require.NoError(t, err)
	dir = fastDir(t)
	require.NoError(t, all.write(dir))
	return dir
}
