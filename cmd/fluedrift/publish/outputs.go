package publish

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

// A Protected is a path that an output must not touch: what the program reads, or
// what another output of it is.
type Protected struct {
	What  string         // for a person: "the exports folder"
	Path  string         // absolute
	Below *regexp.Regexp // names in the folder of that path under which nothing is written; nil: path alone
}

// anyName guards a folder with all that is in it.
var anyName = regexp.MustCompile(``)

// madeInLists are the names in the lists folder that the program itself makes and
// takes away: editions, links to them, half-made ones, and studies beside them.
var madeInLists = regexp.MustCompile(`^(\.|latest$|\d{4}-\d{2}-\d{2}(\.\d+)?$|days$|vents$|hindsight$)`)

// besideWarehouse are the ends of the names that a night makes beside its
// warehouse: the one under way, its log, what the engine spills, the lock, and
// the copy of a look back.
var besideWarehouse = []string{
	"", ".wal", ".tmp", ".lock", ".new", ".new.wal", ".new.tmp", ".hindsight", ".hindsight.wal",
	".hindsight.tmp",
}

// Folder is a folder that no output may touch.
func Folder(what, path string) Protected { return Protected{what, path, anyName} }

// Inputs are what a configuration reads.
func Inputs(c *settings.Config) []Protected {
	all := []Protected{
		{"the configuration", c.File, nil},
		{"the exports folder", c.Path(c.Exports.Folder), anyName},
		{"the layouts folder", c.Path(c.Exports.Layouts), anyName},
	}
	for key, path := range map[string]string{
		"output.pseudonym_key": c.Output.PseudonymKey, "crews.minutes_file": c.Crews.Minutes,
		"crews.promises_file": c.Crews.Promises,
	} {
		if path != "" {
			all = append(all, Protected{key, c.Path(path), nil})
		}
	}
	return all
}

// warehouseFiles are the warehouse and what stands beside it.
func warehouseFiles(c *settings.Config) (all []Protected) {
	for _, end := range besideWarehouse {
		all = append(all, Protected{"output.warehouse", c.Path(c.Output.Warehouse) + end, anyName})
	}
	return all
}

// Outputs are the outputs of the configuration that no other output may touch.
func Outputs(c *settings.Config) []Protected {
	all := append(warehouseFiles(c), Protected{"the publications", c.Path(c.Output.Lists), madeInLists})
	if c.Output.Metrics != "" {
		all = append(all, Protected{"output.metrics", c.Path(c.Output.Metrics), nil})
	}
	return all
}

// ReadSettings reads a configuration and refuses one whose outputs would touch what
// it reads. A warehouse that is a link is followed.
func ReadSettings(path string) (*settings.Config, error) {
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
	inputs, published := Inputs(c), Protected{"the publications", c.Path(c.Output.Lists), madeInLists}
	for _, end := range besideWarehouse {
		if err := Allowed("output.warehouse", c.Path(c.Output.Warehouse)+end, append(inputs, published)); err != nil {
			return err
		}
	}
	if err := Allowed("output.lists", c.Path(c.Output.Lists), append(inputs, warehouseFiles(c)...)); err != nil {
		return err
	}
	if c.Output.Metrics != "" {
		if err := Allowed("output.metrics", c.Path(c.Output.Metrics), append(append(inputs, warehouseFiles(c)...), published)); err != nil {
			return err
		}
	}
	for _, in := range inputs { // what a night clears up must hold no input
		if err := Allowed(in.What, in.Path, append(warehouseFiles(c), published)); err != nil {
			return err
		}
	}
	return nil
}

// Allowed refuses an output that a guard stands before; name is the key or the
// flag that asks for it.
func Allowed(name, path string, guards []Protected) error {
	at, err := realPath(path)
	if err != nil {
		return settings.Fail(settings.Usage, "%s: %w", name, err)
	}
	for _, g := range guards {
		if words := g.touched(at); words != "" {
			return settings.Fail(settings.Usage, "%s: %s %s\nname another place: nothing is written over what the "+
				"program reads, and each output has a place of its own", name, path, words)
		}
	}
	return nil
}

// touched says how a real path touches what the guard stands before; "" where it
// does not. Files and folders are compared as the system knows them, so that no
// link and no second name gets by.
func (g Protected) touched(at string) string {
	own, err := realPath(g.Path)
	if err != nil {
		return ""
	}
	below := ""
	for one := at; ; one = filepath.Dir(one) {
		if sameFile(one, own) {
			switch {
			case below == "" && g.Below != madeInLists:
				return fmt.Sprintf("is %s %s", g.What, g.Path)
			case below != "" && g.Below == anyName:
				return fmt.Sprintf("lies in %s %s", g.What, g.Path)
			case below != "" && g.Below != nil && g.Below.MatchString(below):
				return fmt.Sprintf("lies among %s in %s", g.What, g.Path)
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

// WarehouseAt makes a configuration write its warehouse to the path that -o names: the
// warehouse of the configuration, or a place of its own. "": as configured.
func WarehouseAt(c *settings.Config, path string) error {
	if path == "" {
		return nil
	}
	at, err := realPath(path)
	if err != nil {
		return settings.Fail(settings.Usage, "-o: %w", err)
	}
	guards := Inputs(c)
	for _, g := range Outputs(c) {
		if own, err := realPath(c.Path(c.Output.Warehouse)); err != nil || g.What != "output.warehouse" || !sameFile(at, own) {
			guards = append(guards, g)
		}
	}
	for _, end := range besideWarehouse {
		if err := Allowed("-o", at+end, guards); err != nil {
			return err
		}
	}
	c.Output.Warehouse = at
	return nil
}

// CheckWarehouse refuses to replace a file that is no warehouse of this program.
// One that was cut or damaged cannot say whose it is: there the lock beside it
// does, which only a night or a build leaves.
func CheckWarehouse(ctx context.Context, c *settings.Config) error {
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
	return settings.Fail(settings.Usage, "the warehouse: %s is no warehouse of this program and is not "+
		"replaced\nmove it away, or name another file", path)
}

// heldByNights says whether a file is the lock that nights of this program leave.
func heldByNights(lock string) bool {
	text, err := os.ReadFile(lock)
	return err == nil && strings.HasPrefix(string(text), lockNote)
}

// followWarehouse takes the file a link points to for the warehouse: the link
// stays, and all that is made beside it lies where the file does.
func followWarehouse(c *settings.Config) (err error) {
	path := c.Path(c.Output.Warehouse)
	if info, broken := os.Lstat(path); broken == nil && info.Mode().Type() == fs.ModeSymlink {
		c.Output.Warehouse, err = realPath(path)
	}
	return err
}
