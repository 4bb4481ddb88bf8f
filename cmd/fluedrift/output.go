package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// A guard is a path that an output must not touch: what the program reads, or
// what another output of it is.
type guard struct {
	what  string         // for a person: "the exports folder"
	path  string         // absolute
	below *regexp.Regexp // names in the folder of that path under which nothing is written; nil: path alone
}

// anyName guards a folder with all that is in it.
var anyName = regexp.MustCompile(``)

// madeInLists are the names in the lists folder that the program itself makes and
// takes away: editions, links to them, half-made ones, and studies beside them.
var madeInLists = regexp.MustCompile(`^(\.|latest$|\d{4}-\d{2}-\d{2}(\.\d+)?$|days$|vents$|hindsight$)`)

// besideWarehouse are the ends of the names that a night makes beside its
// warehouse: the one under way, its log, what the engine spills, the lock, and
// the copy of a look back.
var besideWarehouse = []string{"", ".wal", ".tmp", ".lock", ".new", ".new.wal", ".new.tmp", ".hindsight", ".hindsight.wal", ".hindsight.tmp"}

// inputs are what a configuration reads.
func inputGuards(c *settings.Config) []guard {
	all := []guard{
		{"the configuration", c.File, nil},
		{"the exports folder", c.Path(c.Exports.Folder), anyName},
		{"the layouts folder", c.Path(c.Exports.Layouts), anyName},
	}
	for key, path := range map[string]string{"output.pseudonym_key": c.Output.PseudonymKey, "crews.minutes_file": c.Crews.Minutes, "crews.promises_file": c.Crews.Promises} {
		if path != "" {
			all = append(all, guard{key, c.Path(path), nil})
		}
	}
	return all
}

// warehouseFiles are the warehouse and what stands beside it.
func warehouseGuards(c *settings.Config) (all []guard) {
	for _, end := range besideWarehouse {
		all = append(all, guard{"output.warehouse", c.Path(c.Output.Warehouse) + end, anyName})
	}
	return all
}

// made are the outputs of the configuration that no other output may touch.
func outputGuards(c *settings.Config) []guard {
	all := append(warehouseGuards(c), guard{"the publications", c.Path(c.Output.Lists), madeInLists})
	if c.Output.Metrics != "" {
		all = append(all, guard{"output.metrics", c.Path(c.Output.Metrics), nil})
	}
	return all
}

// openConfig reads a configuration and refuses one whose outputs would touch what
// it reads. A warehouse that is a link is followed.
func openConfig(path string) (*settings.Config, error) {
	c, err := settings.Read(path)
	if err != nil {
		return nil, err
	}
	if err := checkOutputs(c); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return c, followWarehouse(c)
}

// checkOutputs refuses a configuration of which an output would touch an input
// or another output.
func checkOutputs(c *settings.Config) error {
	inputs, published := inputGuards(c), guard{"the publications", c.Path(c.Output.Lists), madeInLists}
	for _, end := range besideWarehouse {
		if err := allowed("output.warehouse", c.Path(c.Output.Warehouse)+end, append(inputs, published)); err != nil {
			return err
		}
	}
	if err := allowed("output.lists", c.Path(c.Output.Lists), append(inputs, warehouseGuards(c)...)); err != nil {
		return err
	}
	if c.Output.Metrics != "" {
		if err := allowed("output.metrics", c.Path(c.Output.Metrics), append(append(inputs, warehouseGuards(c)...), published)); err != nil {
			return err
		}
	}
	for _, in := range inputs { // what a night clears up must hold no input
		if err := allowed(in.what, in.path, append(warehouseGuards(c), published)); err != nil {
			return err
		}
	}
	return nil
}

// allowed refuses an output that a guard stands before; name is the key or the
// flag that asks for it.
func allowed(name, path string, guards []guard) error {
	at, err := realPath(path)
	if err != nil {
		return settings.Fail(settings.Usage, "%s: %w", name, err)
	}
	for _, g := range guards {
		if words := g.touched(at); words != "" {
			return settings.Fail(settings.Usage, "%s: %s %s\nname another place: nothing is written over what the program reads, and each output has a place of its own", name, path, words)
		}
	}
	return nil
}

// touched says how a real path touches what the guard stands before; "" where it
// does not. Files and folders are compared as the system knows them, so that no
// link and no second name gets by.
func (g guard) touched(at string) string {
	own, err := realPath(g.path)
	if err != nil {
		return ""
	}
	below := ""
	for one := at; ; one = filepath.Dir(one) {
		if sameFile(one, own) {
			switch {
			case below == "" && g.below != madeInLists:
				return fmt.Sprintf("is %s %s", g.what, g.path)
			case below != "" && g.below == anyName:
				return fmt.Sprintf("lies in %s %s", g.what, g.path)
			case below != "" && g.below != nil && g.below.MatchString(below):
				return fmt.Sprintf("lies among %s in %s", g.what, g.path)
			}
			return ""
		}
		if one == filepath.Dir(one) {
			return ""
		}
		below = filepath.Base(one)
	}
}

// sameFile says whether two real paths are one file or folder.
func sameFile(a, b string) bool {
	if a == b {
		return true
	}
	one, err := os.Stat(a)
	other, err2 := os.Stat(b)
	return err == nil && err2 == nil && os.SameFile(one, other)
}

// realPath follows the links of a path, the last name's too. What is not there
// yet is what it is called.
func realPath(path string) (string, error) {
	full, err := filepath.Abs(path)
	for range 40 {
		if err != nil {
			return "", err
		}
		folder, base := filepath.Dir(full), filepath.Base(full)
		if folder == full {
			return full, nil
		}
		if folder, err = realFolder(folder); err != nil {
			return "", err
		}
		at := filepath.Join(folder, base)
		to, broken := os.Readlink(at)
		if broken != nil || descriptorOf(at) >= 0 {
			return at, nil
		}
		if full = to; !filepath.IsAbs(to) {
			full = filepath.Join(folder, to)
		}
	}
	return "", &fs.PathError{Op: "follow links of", Path: path, Err: syscall.ELOOP}
}

// realFolder is a folder without links, as far as it is there.
func realFolder(path string) (string, error) {
	at, err := filepath.EvalSymlinks(path)
	if errors.Is(err, fs.ErrNotExist) {
		return realPath(path)
	}
	return at, err
}

var ofProcess = regexp.MustCompile(`^/proc/(\d+)(?:/task/\d+)?/fd/(\d+)$`)

// descriptorOf is the open file of this process that a real path stands for, as
// /dev/stdout stands for 1; -1 for any other path.
func descriptorOf(at string) int {
	m := ofProcess.FindStringSubmatch(at)
	self, err := os.Readlink("/proc/self")
	if m == nil || err != nil || m[1] != self {
		return -1
	}
	n, err := strconv.Atoi(m[2])
	if err != nil {
		return -1
	}
	return n
}

// checkWarehouse refuses to replace a file that is no warehouse of this program.
// One that was cut or damaged cannot say whose it is: there the lock beside it
// does, which only a night or a build leaves.
func checkWarehouse(c *settings.Config, ctx context.Context) error {
	path := c.Path(c.Output.Warehouse)
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil && info.Mode().IsRegular() {
		if info.Size() == 0 {
			return nil
		}
		ours, err := queries.Ours(ctx, path)
		if ours || err != nil && heldByNights(path+".lock") {
			return nil
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
	}
	return settings.Fail(settings.Usage, "output.warehouse: %s is no warehouse of this program and is not replaced\nmove it away, or name another file", path)
}

// heldByNights says whether a file is the lock that nights of this program leave.
func heldByNights(lock string) bool {
	text, err := os.ReadFile(lock)
	return err == nil && strings.HasPrefix(string(text), lockNote)
}
