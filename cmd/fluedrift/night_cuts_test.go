package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"

	"github.com/stretchr/testify/require"
)

// A crashModel plays what a power cut may leave of a list of file operations.
// Its rules are those of POSIX fsync read strictly: an entry of a folder is on
// the disk once the folder is synced, the bytes of a file once the file is
// synced; of what is not synced yet any part may be there, in any order. A
// rename is one step (journaling file systems).
type crashModel struct {
	base    map[int]*inode
	live    map[int]*inode
	next    int
	changes []change
}

// inode is a file, a link or a folder.
type inode struct {
	text    []byte
	digest  string
	torn    bool // the bytes may not be there
	link    string
	entries map[string]int
}

// change is one step to one folder or file, and from which operation on it is
// on the disk for certain.
type change struct {
	op, durable int
	dir         int
	set         map[string]int // 0 removes the name
	file        int            // its bytes arrive
	empty       int            // a folder that loses its entries
}

const certain = 1 << 30

func clone(m map[int]*inode) map[int]*inode {
	out := map[int]*inode{}
	for k, v := range m {
		c := *v
		c.entries = maps.Clone(v.entries)
		out[k] = &c
	}
	return out
}

// newCrashModel takes a picture of the folders of a night.
func newCrashModel(t *testing.T, lists, store string) *crashModel {
	m := &crashModel{base: map[int]*inode{}}
	for at := range 2 {
		m.base[at+1] = &inode{entries: map[string]int{}}
	}
	m.next = 2
	for at, folder := range []string{lists, store} {
		m.load(t, at+1, folder, at == 0)
	}
	m.live = clone(m.base)
	return m
}

func (m *crashModel) load(t *testing.T, dir int, folder string, deep bool) {
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		at := filepath.Join(folder, e.Name())
		n := &inode{}
		m.next++
		id := m.next
		switch {
		case e.Type()&os.ModeSymlink != 0:
			n.link, err = os.Readlink(at)
		case e.IsDir() && deep:
			n.entries = map[string]int{}
			m.base[id] = n
			m.load(t, id, at, deep)
		case e.IsDir() || strings.HasSuffix(e.Name(), ".lock"):
			continue
		default:
			n.text, err = os.ReadFile(at)
			n.digest = settings.DigestOf(n.text)
		}
		require.NoError(t, err)
		m.base[id] = n
		m.base[dir].entries[e.Name()] = id
	}
}

func rootOf(in string) int {
	if in == publish.InLists {
		return 1
	}
	return 2
}

// find follows a path to the folder it lies in and what stands there, 0 for
// nothing.
func find(fs map[int]*inode, root int, name string) (dir, id int) {
	if name == "." {
		return root, root
	}
	dir = root
	parts := strings.Split(name, "/")
	for i, p := range parts {
		id = fs[dir].entries[p]
		if i < len(parts)-1 {
			if id == 0 {
				return 0, 0
			}
			dir = id
		}
	}
	return dir, id
}

// record does an operation on the live picture and notes its changes.
func (m *crashModel) record(at int, op publish.Op) {
	root := rootOf(op.In)
	dir, id := find(m.live, root, op.Path)
	base := path.Base(op.Path)
	add := func(c change) { c.op, c.durable = at, certain; m.changes = append(m.changes, c) }
	switch op.Do {
	case "folder", "write", "link":
		m.next++
		n := &inode{text: op.Text, digest: settings.DigestOf(op.Text), link: op.To, torn: op.Do == "write"}
		if op.Do == "folder" {
			n.entries = map[string]int{}
		}
		m.live[m.next] = n
		copyOf := *n
		copyOf.entries = maps.Clone(n.entries)
		m.base[m.next] = &copyOf // exists, but no folder names it yet
		m.live[dir].entries[base] = m.next
		add(change{dir: dir, set: map[string]int{base: m.next}})
		if op.Do == "write" {
			add(change{file: m.next})
		}
	case "rename":
		delete(m.live[dir].entries, base)
		m.live[dir].entries[op.To] = id
		add(change{dir: dir, set: map[string]int{base: 0, op.To: id}})
	case "remove":
		if id == 0 {
			return
		}
		if m.live[id].entries != nil {
			m.live[id].entries = map[string]int{}
			add(change{empty: id})
		}
		delete(m.live[dir].entries, base)
		add(change{dir: dir, set: map[string]int{base: 0}})
	case "sync":
		for i := range m.changes {
			c := &m.changes[i]
			if c.durable == certain && (c.dir == id && c.set != nil || c.file == id) {
				c.durable = at
			}
		}
	}
}

// after is the disk after a cut behind operation k, with the chosen ones of the
// changes that were not certain.
func (m *crashModel) after(k int, chosen func(i int) bool) map[int]*inode {
	fs := clone(m.base)
	for i, c := range m.changes {
		if c.op > k || c.durable > k && !chosen(i) {
			continue
		}
		switch {
		case c.file != 0:
			fs[c.file].torn = false
		case c.empty != 0:
			fs[c.empty].entries = map[string]int{}
		default:
			for name, id := range c.set {
				if id == 0 {
					delete(fs[c.dir].entries, name)
				} else {
					fs[c.dir].entries[name] = id
				}
			}
		}
	}
	return fs
}

// withLog marks a warehouse that has a log of some session beside it.
const withLog = " and a log"

// seen is what a reader finds: the digest of the publication behind latest ("":
// none) and the bytes of the warehouse, marked where a log lies beside it.
func seen(fs map[int]*inode, warehouse string) (publication, store string, err error) {
	if _, id := find(fs, 2, warehouse); id != 0 {
		if fs[id].torn {
			return "", "", errors.New("the warehouse is torn")
		}
		store = string(fs[id].text)
	}
	if _, id := find(fs, 2, warehouse+".wal"); id != 0 {
		store += withLog
	}
	_, latest := find(fs, 1, "latest")
	if latest == 0 {
		return "", store, nil
	}
	_, day := find(fs, 1, fs[latest].link)
	if day == 0 {
		return "", "", errors.New("latest leads nowhere")
	}
	_, folder := find(fs, 1, fs[day].link)
	if folder == 0 || fs[folder].entries == nil {
		return "", "", fmt.Errorf("%s leads nowhere", fs[latest].link)
	}
	record := fs[fs[folder].entries["run.json"]]
	if record == nil || record.torn {
		return "", "", errors.New("run.json is not there or torn")
	}
	for _, l := range listsOf(record) {
		n := fs[fs[folder].entries[l.Name]]
		if n == nil || n.torn || n.digest != l.Digest {
			return "", "", fmt.Errorf("%s is not what run.json says", l.Name)
		}
	}
	return record.digest, store, nil
}

var listsRead = map[string][]publish.Written{}

// listsOf reads the lists that a run.json names, each once.
func listsOf(record *inode) []publish.Written {
	known, ok := listsRead[record.digest]
	if !ok {
		var r publish.Run
		if err := json.Unmarshal(record.text, &r); err != nil {
			panic(err)
		}
		known = r.Lists
		listsRead[record.digest] = known
	}
	return known
}

// cuts tries every prefix of the operations and, for each, every choice of what
// was not certain: all subsets up to 8 changes, else each one alone, each one
// missing, and every prefix. It returns the number of disks looked at and the
// first fault.
func (m *crashModel) cuts(ops []publish.Op, warehouse string) (looked int, err error) {
	oldList, oldStore, err := seen(m.base, warehouse)
	if err != nil {
		return 0, err
	}
	newList, newStore, err := seen(m.after(len(ops), func(int) bool { return true }), warehouse)
	if err != nil {
		return 0, err
	}
	for k := -1; k < len(ops); k++ {
		var open []int
		for i, c := range m.changes {
			if c.op <= k && c.durable > k {
				open = append(open, i)
			}
		}
		if !long() && k >= 0 && k < len(ops)-1 && strings.HasPrefix(ops[k+1].Path, publish.StageName+"/") {
			continue // only the stage changed, which no reader sees: the long suite tries these too
		}
		for _, chosen := range choices(open) {
			looked++
			list, store, err := seen(m.after(k, func(i int) bool { return chosen[i] }), warehouse)
			switch {
			case err != nil:
				return looked, fmt.Errorf("after %d operations: %w", k+1, err)
			case list != oldList && list != newList, store != oldStore && store != strings.TrimSuffix(oldStore, withLog) && store != newStore:
				return looked, fmt.Errorf("after %d operations: neither the old set nor the new one", k+1)
			}
		}
	}
	return looked, nil
}

func choices(open []int) (all []map[int]bool) {
	if len(open) <= 8 {
		for bits := range 1 << len(open) {
			one := map[int]bool{}
			for i, c := range open {
				one[c] = bits>>i&1 == 1
			}
			all = append(all, one)
		}
		return all
	}
	for i := range open {
		single, missing, prefix := map[int]bool{}, map[int]bool{}, map[int]bool{}
		for j, c := range open {
			single[c], missing[c], prefix[c] = i == j, i != j, j <= i
		}
		all = append(all, single, missing, prefix)
	}
	return append(all, map[int]bool{})
}
