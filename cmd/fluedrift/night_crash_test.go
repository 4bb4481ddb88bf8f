//go:build linux

package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// reference is what a night of the 30 units publishes undisturbed, and how long
// it takes.
func reference(t testing.TB) (r undisturbedNights) { return made(t, once) }

// reference2 is the same for the second of the nights of two days.
func reference2(t testing.TB) (r undisturbedNights) { return made(t, twice) }

type undisturbedNights struct {
	files map[string]string
	left  tree
	took  time.Duration
	err   error
}

var (
	once  = sync.OnceValue(func() undisturbedNights { return undisturbed("2026-03-02") })
	twice = sync.OnceValue(func() undisturbedNights { return undisturbed("2026-03-01", "2026-03-02") })
)

func made(t testing.TB, nights func() undisturbedNights) undisturbedNights {
	t.Helper()
	r := nights()
	require.NoError(t, r.err)
	return r
}

// SIGKILL at moments spread over a night: a reader finds the old set or the new
// one, whole, and the next night gives the reference bytes and clears up. The
// lock files stay behind and hold nobody up.
func TestKilledAtAnyMoment(t *testing.T) {
	t.Parallel()
	moments := suite(5, 50)
	if allNights() {
		moments = max(moments, 10)
	}
	ref := reference(t)
	r := rand.New(rand.NewPCG(1, 2))
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	took := ref.took
	for i, tries := 0, 0; i < moments; tries++ {
		require.Less(t, tries, 10*moments, "the nights end before they are killed")
		c := process(config)
		start := time.Now()
		require.NoError(t, c.Start())
		over := make(chan error, 1)
		go func() { over <- c.Wait() }()
		select {
		case err := <-over: // the machine got faster: this was no kill
			require.NoError(t, err)
			took = min(took, time.Since(start))
			continue
		case <-time.After(time.Duration((float64(i) + r.Float64()) / float64(moments) * float64(took))):
			c.Process.Kill()
			<-over
		}
		i++
		require.NoError(t, wholeOrNone(dir), "killed at moment %d of %d", i, moments)
		if long() { // else the killed night is killed again first
			nightProcess(t, 0, process(config))
			samePublished(t, ref.files, publishedFiles(t, dir), fmt.Sprintf("killed at moment %d of %d", i, moments))
			nothingTemporary(t, dir)
		}
	}
	nightProcess(t, 0, process(config))
	samePublished(t, ref.files, publishedFiles(t, dir), "last")
	nothingTemporary(t, dir)
}

// SIGTERM and SIGINT end a night with code 130, nothing half done; within two
// seconds, where nothing runs beside it.
func TestSignalsEndANight(t *testing.T) {
	t.Parallel()
	ref := reference(t)
	for i, sig := range []os.Signal{syscall.SIGTERM, os.Interrupt, syscall.SIGTERM}[:suite(2, 3)] {
		dir := fastDir(t)
		config := thirtyUnits(t, dir)
		c := process(config)
		var errs bytes.Buffer
		c.Stderr = &errs
		require.NoError(t, c.Start())
		underWay(t, dir)
		time.Sleep(ref.took * time.Duration(i) / 20)
		sent := time.Now()
		require.NoError(t, c.Process.Signal(sig))
		err := c.Wait()
		soon(t, sent)
		require.Error(t, err, "the night ended before the signal")
		require.Equal(t, exitInterrupted, c.ProcessState.ExitCode(), errs.String())
		require.Equal(t, "fluedrift: interrupted; nothing was published\n", errs.String())
		require.NoError(t, wholeOrNone(dir))
		nothingTemporary(t, dir)
		require.NoFileExists(t, filepath.Join(dir, "lists", "latest"))
	}
}

// underWay waits until a night has opened its new warehouse.
func underWay(t *testing.T, dir string) {
	t.Helper()
	await(func() bool {
		_, err := os.Stat(filepath.Join(dir, "warehouse.duckdb.new"))
		return err == nil
	})
}

// await waits until something has come about. It knows no clock: what never comes
// is ended by the test's own limit.
func await(come func() bool) {
	for !come() {
		time.Sleep(time.Millisecond)
	}
}

// soon holds in the long suite, where nothing else runs, that what a signal ends
// has ended within two seconds.
func soon(t *testing.T, sent time.Time) {
	t.Helper()
	if long() {
		require.Less(t, time.Since(sent), 2*time.Second)
	}
}

// A step that does not look up is ended all the same, and what it wrote goes.
func TestStubbornStepIsEnded(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	c := exec.Command("stubborn", config)
	var errs bytes.Buffer
	c.Stderr = &errs
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "stuck\n", line)
	sent := time.Now()
	require.NoError(t, c.Process.Signal(syscall.SIGTERM))
	require.Error(t, c.Wait())
	soon(t, sent)
	require.Equal(t, exitInterrupted, c.ProcessState.ExitCode(), errs.String())
	nothingTemporary(t, dir)
}

// A file size limit stands for a full disk while the warehouse is loaded: code
// 1, the old list stays, and a night with room gives the reference bytes.
func TestFileSizeLimit(t *testing.T) {
	t.Parallel()
	for _, kib := range []int{300, 4} {
		if kib == 4 && !long() {
			break
		}
		dir := fastDir(t)
		config := thirtyUnits(t, dir)
		if long() {
			nightProcess(t, 0, process(config, "-as-of", "2026-03-01", "-publish"))
		} else {
			require.NoError(t, reference(t).left.write(dir))
		}
		old := publishedFiles(t, dir)
		self, err := exec.LookPath("fluedrift")
		require.NoError(t, err)
		c := exec.Command("sh", "-c", fmt.Sprintf(`ulimit -f %d; exec "$0" nightly -config "$1"`, 2*kib), self, config)
		said := nightProcess(t, exitOther, c)
		require.NotContains(t, said, "goroutine", "it crashed")
		require.NoError(t, wholeOrNone(dir))
		samePublished(t, old, publishedFiles(t, dir), "after a full disk")
		nothingTemporary(t, dir)
		if long() { // TestNextNightClearsUp goes on
			nightProcess(t, 0, process(config))
			samePublished(t, reference2(t).files, publishedFiles(t, dir), "after space was freed")
		}
	}
}

// A small file system that is full while the warehouse is loaded, and one that
// is full while the lists are written: n06.
func TestFullDisk(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	for _, full := range []struct {
		name, folder string
		kib          int
	}{{"while loading", "store", 2000}, {"while writing the lists", "lists", 200}} {
		if full.folder == "store" && !long() {
			continue // TestFileSizeLimit fills that one
		}
		t.Run(full.name, func(t *testing.T) {
			dir := fastDir(t)
			config := thirtyUnits(t, dir)
			small := filepath.Join(dir, full.folder)
			require.NoError(t, os.Mkdir(small, 0o755))
			if err := syscall.Mount("none", small, "tmpfs", 0, fmt.Sprintf("size=%dk", full.kib)); err != nil {
				t.Skipf("no right to mount: %v", err)
			}
			t.Cleanup(func() { syscall.Unmount(small, 0) })
			text, err := os.ReadFile(config)
			require.NoError(t, err)
			if full.folder == "store" {
				text = bytes.Replace(text, []byte(`"warehouse.duckdb"`), []byte(`"store/warehouse.duckdb"`), 1)
			}
			require.NoError(t, os.WriteFile(config, text, 0o644))
			said := nightProcess(t, exitOther, process(config))
			require.Contains(t, strings.ToLower(said), "space", said)
			require.NoError(t, wholeOrNone(dir))
			if full.folder == "store" {
				require.NoFileExists(t, filepath.Join(small, "warehouse.duckdb.new"))
			}
			require.NoFileExists(t, filepath.Join(dir, "lists", "latest"))
			if !long() {
				return // TestFileSizeLimit goes on with room again
			}
			require.NoError(t, syscall.Mount("none", small, "tmpfs", syscall.MS_REMOUNT, "size=200m"))
			nightProcess(t, 0, process(config))
			samePublishedLists(t, reference(t).files, publishedFiles(t, dir))
		})
	}
}

// samePublishedLists compares all but run.json, which holds the digest of the
// configuration.
func samePublishedLists(t *testing.T, want, got map[string]string) {
	a, b := map[string]string{}, map[string]string{}
	for name := range want {
		if name != "run.json" {
			a[name] = want[name]
		}
	}
	for name := range got {
		if name != "run.json" {
			b[name] = got[name]
		}
	}
	samePublished(t, a, b, "lists")
}

// asNobody makes a command run as a plain user, for whom rights count; as one
// already, it runs as it is. The program goes to a place that user can read.
func asNobody(t *testing.T, dir string, c *exec.Cmd) {
	if os.Getuid() != 0 {
		return
	}
	const nobody = 65534
	self, err := exec.LookPath("fluedrift")
	require.NoError(t, err)
	text, err := os.ReadFile(self)
	require.NoError(t, err)
	bin := filepath.Join(dir, "bin", "fluedrift")
	require.NoError(t, os.MkdirAll(filepath.Dir(bin), 0o755))
	require.NoError(t, os.WriteFile(bin, text, 0o755))
	require.NoError(t, filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return os.Lchown(path, nobody, nobody)
	}))
	require.NoError(t, os.Chmod(dir, 0o755))
	c.Path, c.Dir = bin, dir
	c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
}

// Output that cannot be written is found before any work, and named: n05.
func TestReadOnlyOutput(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	ref := reference(t)
	if !long() {
		require.NoError(t, ref.left.write(dir)) // what that night leaves
	}
	first := process(config)
	asNobody(t, dir, first)
	if long() {
		nightProcess(t, 0, first)
		samePublished(t, ref.files, publishedFiles(t, dir), "as a plain user")
	}
	warehouse, err := os.ReadFile(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)
	for _, folder := range []string{filepath.Join(dir, "lists"), dir} {
		require.NoError(t, os.Chmod(folder, 0o555))
		c := process(config)
		c.Path, c.Dir, c.SysProcAttr = first.Path, first.Dir, first.SysProcAttr
		start := time.Now()
		said := nightProcess(t, exitOther, c)
		require.Contains(t, said, "cannot write in "+folder)
		if long() {
			require.Less(t, time.Since(start), ref.took, "it worked before it looked")
		}
		require.NoError(t, os.Chmod(folder, 0o755))
	}
	after, err := os.ReadFile(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(warehouse, after), "the warehouse changed")
	samePublished(t, ref.files, publishedFiles(t, dir), "after read-only output")
}

// A second night ends at once with its own code and names the first, which goes
// on undisturbed: n01.
func TestSecondNightAtOnce(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	first := process(config)
	require.NoError(t, first.Start())
	lock := filepath.Join(dir, "lists", ".lock")
	await(func() bool { text, _ := os.ReadFile(lock); return len(text) > 0 })
	said := nightProcess(t, exitLocked, process(config))
	require.Contains(t, said, fmt.Sprintf("(process %d since ", first.Process.Pid))
	require.NoError(t, first.Wait())
	samePublished(t, reference(t).files, publishedFiles(t, dir), "the first night")
	nothingTemporary(t, dir)
}

// Readers never block a night nor see half of one: n09. They open lists and
// warehouse all the while, and one holds the warehouse open from the start.
func TestReadersDuringNights(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	nights, want := suite(1, 20), int64(suite(5, 1000))
	dir := fastDir(t)
	require.NoError(t, reference(t).left.write(dir))
	config := filepath.Join(dir, "fluedrift.toml")
	w := openBuilt(t, dir)
	units, err := w.Units(t.Context(), "")
	require.NoError(t, err)
	old, err := os.Stat(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)

	stop := make(chan struct{})
	var opened atomic.Int64
	var readers sync.WaitGroup
	fail := make(chan error, 2)
	for range 2 {
		readers.Go(func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
				if err := readOnce(dir); err != nil {
					fail <- err
					return
				}
				opened.Add(1)
				if !long() {
					time.Sleep(100 * time.Millisecond)
				}
			}
		})
	}
	for i := 0; i < nights || opened.Load() < want && i < 20*nights; i++ {
		nightProcess(t, 0, process(config))
	}
	await(func() bool { return opened.Load() >= want || len(fail) > 0 })
	close(stop)
	readers.Wait()
	close(fail)
	require.NoError(t, <-fail)
	require.GreaterOrEqual(t, opened.Load(), want)
	t.Logf("%d opens during %d nights", opened.Load(), nights)

	again, err := w.Units(t.Context(), "")
	require.NoError(t, err, "the reader from the start keeps the old warehouse")
	require.Equal(t, units, again)
	now, err := os.Stat(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)
	require.False(t, os.SameFile(old, now))
}

// readOnce reads the newest list and opens the warehouse, in another process.
func readOnce(dir string) error {
	c := exec.Command("reader", filepath.Join(dir, "fluedrift.toml"))
	if out, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// A clock that was wrong for a night, back or ahead, does no lasting harm: the
// next night with the right one gives the reference lists.
func TestClockMoved(t *testing.T) {
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	text = bytes.ReplaceAll(text, []byte("as_of "), []byte("# as_of "))
	require.NoError(t, os.WriteFile(config, bytes.Replace(text, []byte("max_age_days        = 60"), nil, 1), 0o644))
	var code int
	var errs string
	if long() {
		code, errs = nightHere(config, testNow)
		require.Zero(t, code, errs)
	} else { // what that night leaves
		require.NoError(t, reference(t).left.under("lists").write(dir))
	}
	want := publishedFiles(t, dir)
	samePublishedLists(t, reference(t).files, want)
	for _, moved := range []struct {
		days, code, after int
		says              string
	}{
		{-20, exitRefused, 0, "the clock says 2026-02-10 and "},
		{400, exitLook, exitLook, "400 days after the last publication: nights were missed, or the clock is wrong"},
	} {
		code, errs = nightHere(config, testNow.AddDate(0, 0, moved.days))
		require.Equal(t, moved.code, code, errs)
		require.Contains(t, errs, moved.says)
		require.NoError(t, wholeOrNone(dir))
		if !long() {
			break // a night that published nothing: the next is as after any such one
		}
		code, errs = nightHere(config, testNow)
		require.Equal(t, moved.after, code, errs)
		samePublishedLists(t, want, publishedFiles(t, dir))
		nothingTemporary(t, dir)
	}
}
