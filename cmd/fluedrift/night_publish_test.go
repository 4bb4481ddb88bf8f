package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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
			n.digest = digestOf(n.text)
		}
		require.NoError(t, err)
		m.base[id] = n
		m.base[dir].entries[e.Name()] = id
	}
}

func rootOf(in string) int {
	if in == inLists {
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
func (m *crashModel) record(at int, op fileOp) {
	root := rootOf(op.in)
	dir, id := find(m.live, root, op.path)
	base := path.Base(op.path)
	add := func(c change) { c.op, c.durable = at, certain; m.changes = append(m.changes, c) }
	switch op.do {
	case "folder", "write", "link":
		m.next++
		n := &inode{text: op.text, digest: digestOf(op.text), link: op.to, torn: op.do == "write"}
		if op.do == "folder" {
			n.entries = map[string]int{}
		}
		m.live[m.next] = n
		copyOf := *n
		copyOf.entries = maps.Clone(n.entries)
		m.base[m.next] = &copyOf // exists, but no folder names it yet
		m.live[dir].entries[base] = m.next
		add(change{dir: dir, set: map[string]int{base: m.next}})
		if op.do == "write" {
			add(change{file: m.next})
		}
	case "rename":
		delete(m.live[dir].entries, base)
		m.live[dir].entries[op.to] = id
		add(change{dir: dir, set: map[string]int{base: 0, op.to: id}})
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

// seen is what a reader finds: the digest of the publication behind latest ("":
// none) and the bytes of the warehouse.
func seen(fs map[int]*inode, warehouse string) (publication, store string, err error) {
	if _, id := find(fs, 2, warehouse); id != 0 {
		if fs[id].torn {
			return "", "", errors.New("the warehouse is torn")
		}
		store = string(fs[id].text)
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

var listsRead = map[string][]listRecord{}

// listsOf reads the lists that a run.json names, each once.
func listsOf(record *inode) []listRecord {
	known, ok := listsRead[record.digest]
	if !ok {
		var r runRecord
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
func (m *crashModel) cuts(ops []fileOp, warehouse string) (looked int, err error) {
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
		if !long() && k >= 0 && k < len(ops)-1 && strings.HasPrefix(ops[k+1].path, stageName+"/") {
			continue // only the stage changed, which no reader sees: the long suite tries these too
		}
		for _, chosen := range choices(open) {
			looked++
			list, store, err := seen(m.after(k, func(i int) bool { return chosen[i] }), warehouse)
			switch {
			case err != nil:
				return looked, fmt.Errorf("after %d operations: %w", k+1, err)
			case list != oldList && list != newList, store != oldStore && store != newStore:
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

// traceNight runs a night here and returns its file operations with the picture
// of the disk before them.
func traceNight(t *testing.T, config, asOf string) (ops []fileOp, model func() *crashModel, warehouse string) {
	var out, errs bytes.Buffer
	c := &call{streams: quietStreams(&out, &errs)}
	c.config, c.asOf = config, asOf
	n, err := newNight(c)
	require.NoError(t, err)
	dir := filepath.Dir(config)
	before := filepath.Join(fastDir(t), "before")
	n.traced = func(op fileOp) {
		if op.in == inStore && (op.do == "write" || op.do == "remove") {
			return // the probe: made and gone before the warehouse is opened
		}
		if ops == nil {
			require.NoError(t, os.CopyFS(before, os.DirFS(filepath.Join(dir, "lists"))))
		}
		ops = append(ops, op)
	}
	_, none := os.Stat(filepath.Join(dir, n.storeName()))
	_, err = n.run(t.Context())
	require.NoError(t, err, errs.String())
	return ops, func() *crashModel {
		store := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(store, n.storeName()+".new"), []byte("new warehouse"), 0o600))
		if none == nil {
			require.NoError(t, os.WriteFile(filepath.Join(store, n.storeName()), []byte("old warehouse"), 0o600))
		}
		m := newCrashModel(t, before, store)
		_, id := find(m.base, 2, n.storeName()+".new")
		m.base[id].torn, m.live[id].torn = true, true // its bytes are certain once it is synced
		m.changes = append(m.changes, change{op: -1, durable: certain, file: id})
		return m
	}, n.storeName()
}

// Whatever a power cut leaves of the operations of a night, a reader finds the
// old set or the new set, whole: for a first publication, a further day, a
// repeat of a day, and one that retires old days.
func TestPowerCutLeavesOldOrNew(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	keepFew(t, config)
	disks := 0
	for _, asOf := range []string{"2026-03-01", "2026-03-02", "2026-03-02", "2026-03-03", "2026-03-06"} {
		ops, model, warehouse := traceNight(t, config, asOf)
		m := model()
		for i, op := range ops {
			m.record(i, op)
		}
		looked, err := m.cuts(ops, warehouse)
		require.NoError(t, err, "as of %s", asOf)
		disks += looked
		switch asOf {
		case "2026-03-03":
			needed := neededSyncs(ops, model, warehouse)
			require.Contains(t, needed, "sync "+stageName)
			require.Contains(t, needed, "sync .writing/watchlist.csv")
			require.Contains(t, needed, "sync .writing/run.json")
			require.Contains(t, needed, "sync warehouse.duckdb.new")
			require.GreaterOrEqual(t, slices.Index(needed, "sync ."), 0, "no sync of the folder is needed: the model finds nothing")
		case "2026-03-06":
			require.True(t, slices.ContainsFunc(ops, func(op fileOp) bool { return op.do == "remove" && op.path == "2026-03-01" }), "nothing was retired")
			require.NoDirExists(t, filepath.Join(dir, "lists", "2026-03-01.1"))
			require.FileExists(t, filepath.Join(dir, "lists", "2026-03-03", "run.json"))
		}
	}
	t.Logf("%d disks looked at", disks)
	require.Greater(t, disks, 500)
}

// neededSyncs leaves each sync out in turn and lists those whose loss the model
// notices. It is the proof that the model can fail.
func neededSyncs(ops []fileOp, model func() *crashModel, warehouse string) (needed []string) {
	for out, op := range ops {
		if op.do != "sync" {
			continue
		}
		m := model()
		for i, op := range ops {
			if i != out {
				m.record(i, op)
			}
		}
		if _, err := m.cuts(ops, warehouse); err != nil {
			needed = append(needed, "sync "+op.path)
		}
	}
	return needed
}

// keepFew sets a short retention.
func keepFew(t *testing.T, config string) {
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	text = bytes.Replace(text, []byte("[output]\n"), []byte("[output]\nkeep_days = 4\nkeep_count = 2\n"), 1)
	require.NoError(t, os.WriteFile(config, text, 0o644))
}

// A night that stopped after any of its operations is cleared up by the next,
// which publishes the same bytes.
func TestNextNightClearsUp(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	ops, _, _ := traceNight(t, config, "2026-03-02")
	want := publishedFiles(t, dir)
	var moments []int
	for i, op := range ops {
		if long() || op.do == "link" || op.do == "rename" && op.path == stageName {
			moments = append(moments, i)
		}
	}
	for _, k := range moments {
		again := fastDir(t)
		config := thirtyUnits(t, again)
		store := filepath.Join(again, "warehouse.duckdb.new")
		require.NoError(t, os.WriteFile(store, []byte("half a warehouse"), 0o600))
		d, err := openDisk(filepath.Join(again, "lists"), again, false)
		require.NoError(t, err)
		require.NoError(t, d.all(ops[:k+1]))
		d.close()
		code, errs := nightHere(config, testNow)
		require.Zero(t, code, errs)
		samePublished(t, want, publishedFiles(t, again), fmt.Sprintf("after operation %d, %s %s", k, ops[k].do, ops[k].path))
		nothingTemporary(t, again)
	}
}

// The lists folder is written through a root: a link that leads out of it is
// neither followed nor written through.
func TestLinksOutOfTheListsAreNotFollowed(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	elsewhere := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "lists"), 0o755))
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(dir, "lists", stageName)))
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(dir, "lists", "2026-03-02")))
	code, errs := nightHere(config, testNow)
	require.Contains(t, []int{0, 10}, code, errs)
	entries, err := os.ReadDir(elsewhere)
	require.NoError(t, err)
	require.Empty(t, entries)
	target, err := os.Readlink(filepath.Join(dir, "lists", "2026-03-02"))
	require.NoError(t, err)
	require.Equal(t, "2026-03-02.1", target)
}

// A publication that does not read back as written is never pointed to.
func TestPublicationIsReadBack(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	code, errs := nightHere(config, testNow, "-as-of", "2026-03-01")
	require.Zero(t, code, errs)
	var out, e bytes.Buffer
	c := &call{streams: quietStreams(&out, &e)}
	c.config = config
	n, err := newNight(c)
	require.NoError(t, err)
	n.traced = func(op fileOp) { // the disk loses a byte behind the program's back
		if op.do == "rename" && op.path == stageName {
			at := filepath.Join(dir, "lists", stageName, "watchlist.csv")
			text, err := os.ReadFile(at)
			require.NoError(t, err)
			text[len(text)/2] ^= 1
			require.NoError(t, os.WriteFile(at, text, 0o600))
		}
	}
	_, err = n.run(t.Context())
	require.ErrorContains(t, err, "does not read back as written: watchlist.csv")
	target, err := os.Readlink(filepath.Join(dir, "lists", "latest"))
	require.NoError(t, err)
	require.Equal(t, "2026-03-01", target)
	nothingTemporary(t, dir)

	// A publication that was damaged later is passed over, and said so.
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lists", "2026-03-01", "co.csv"), []byte("x"), 0o600))
	code, errs = nightHere(config, testNow)
	require.Equal(t, 10, code)
	require.Contains(t, errs, "passed over: publication 2026-03-01: co.csv holds other bytes")
}

// Retention never takes the latest good publication, nor the day published.
func TestRetention(t *testing.T) {
	s := &shelf{links: map[string]string{}, latest: "2020-01-01"}
	for _, day := range []string{"2020-01-01", "2024-05-01", "2026-01-01", "2026-02-01", "2026-03-01", "2026-03-02"} {
		s.links[day] = day + ".1"
		s.editions = append(s.editions, edition{day, 1})
	}
	require.Equal(t, []string{"2026-01-01", "2024-05-01"}, s.tooOld("2026-03-02", retention{30, 2}))
	require.Equal(t, []string{"2024-05-01"}, s.tooOld("2026-03-02", retention{400, 2}))
	require.Empty(t, s.tooOld("2026-03-02", retention{0, 0}), "0 days keeps all")
	require.Empty(t, s.tooOld("2026-03-02", retention{1, 6}), "the count keeps all")
	require.NotContains(t, s.tooOld("2024-05-01", retention{1, 0}), "2024-05-01", "the day published")
}
