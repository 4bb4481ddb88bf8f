package main

import (
	"bufio"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/gofrs/flock"
	"github.com/rogpeppe/go-internal/testscript"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/parquet"
	"fluedrift/queries"
)

func TestMain(m *testing.M) {
	parquet.Serve()
	if !long() {
		commented = false
		runtime.GOMAXPROCS(1)    // the nights are small: a second core costs more than it gains
		debug.SetGCPercent(400)  // and so is what they hold
		os.Setenv("GOGC", "400") // of the processes they run in
	}
	testscript.Main(m, map[string]func(){
		"fluedrift": main,
		// cancelled runs a command line whose context has already ended, as if
		// a signal had come before its first step.
		"cancelled": func() {
			ctx, cancel := context.WithCancel(context.Background())
			cancel()
			os.Exit(run(ctx, os.Args[1:], systemStreams()))
		},
		// hold takes the lock of a file, says so and waits to be stopped.
		"hold": func() {
			l := flock.New(os.Args[1])
			if err := l.Lock(); err != nil {
				panic(err)
			}
			if err := os.WriteFile(os.Args[1], []byte("process of a test\n"), 0o644); err != nil {
				panic(err)
			}
			fmt.Println("held")
			time.Sleep(time.Minute)
		},
		// stubborn runs a night with a step that never looks up.
		"stubborn": func() {
			c := &call{streams: systemStreams()}
			c.config = os.Args[1]
			n, err := nightOf(c)
			if err != nil {
				panic(err)
			}
			c.trace = func(op publish.Op) {
				if op.In == publish.InLists && op.Do == "write" {
					fmt.Println("stuck")
					time.Sleep(time.Minute)
				}
			}
			n.Run(systemContext())
		},
		// faulty runs a night with a step that panics.
		"faulty": func() {
			c := &call{streams: systemStreams()}
			c.config = os.Args[1]
			n, err := nightOf(c)
			if err != nil {
				panic(err)
			}
			c.trace = func(op publish.Op) {
				if op.In == publish.InLists && op.Do == "write" {
					panic("a slip")
				}
			}
			ctx := systemContext()
			os.Exit(conclude(ctx, c.streams, wholeNight(ctx, c, n)))
		},
		// engineer works on a warehouse until it is killed, and leaves a log.
		"engineer": func() {
			db, err := sql.Open("duckdb", os.Args[1])
			if err != nil {
				panic(err)
			}
			if _, err := db.Exec("create table notes as select 'mine' as note"); err != nil {
				panic(err)
			}
			fmt.Println("written")
			time.Sleep(time.Minute)
		},
		// reader reads the newest list, holds it to its digests and opens the
		// warehouse.
		"reader": func() {
			if err := wholeOrNone(filepath.Dir(os.Args[1])); err != nil {
				fmt.Println(err)
				os.Exit(1)
			}
		},
		// oldwarehouse makes a warehouse of another schema.
		"oldwarehouse": func() {
			w, err := queries.Create(context.Background(), os.Args[1], queries.Options{Version: "0.0.0", Schema: "0"})
			if err != nil {
				panic(err)
			}
			if err := w.Build(context.Background(), 0); err != nil {
				panic(err)
			}
			if err := w.Close(); err != nil {
				panic(err)
			}
		},
	})
}

// TestScripts runs whole command lines: one script a row of the condition
// table and one a story of a user.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			// code N command... runs a command and holds its exit code to N.
			"code": func(ts *testscript.TestScript, _ bool, args []string) {
				err := ts.Exec(args[1], args[2:]...)
				got := 0
				if err != nil {
					exit, ok := err.(*exec.ExitError)
					if !ok {
						ts.Fatalf("%v", err)
					}
					got = exit.ExitCode()
				}
				if fmt.Sprint(got) != args[0] {
					ts.Fatalf("exit code %d, want %s", got, args[0])
				}
			},
			// holding LOCK starts hold in the background and waits for the lock.
			"holding": func(ts *testscript.TestScript, _ bool, args []string) {
				self, err := exec.LookPath("hold")
				ts.Check(err)
				c := exec.Command(self, ts.MkAbs(args[0]))
				out, err := c.StdoutPipe()
				ts.Check(err)
				ts.Check(c.Start())
				ts.Defer(func() {
					c.Process.Kill()
					c.Wait()
				})
				if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || line != "held\n" {
					ts.Fatalf("no lock: %q %v", line, err)
				}
			},
			// published puts in place what "fluedrift nightly" leaves of the small fleet.
			"published": func(ts *testscript.TestScript, _ bool, _ []string) {
				all, err := smallNight()
				ts.Check(err)
				ts.Check(all.write(ts.MkAbs(".")))
			},
			// append FILE TEXT adds a line; cut FILE removes the last byte.
			"append": func(ts *testscript.TestScript, _ bool, args []string) {
				f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_APPEND|os.O_WRONLY, 0)
				ts.Check(err)
				_, err = f.WriteString(args[1] + "\n")
				ts.Check(err)
				ts.Check(f.Close())
			},
			// mend FILE WRONG RIGHT corrects a text in a file.
			"mend": func(ts *testscript.TestScript, _ bool, args []string) {
				path := ts.MkAbs(args[0])
				text, err := os.ReadFile(path)
				ts.Check(err)
				ts.Check(os.WriteFile(path, []byte(strings.Replace(string(text), args[1], args[2], 1)), 0o644))
			},
			"cut": func(ts *testscript.TestScript, _ bool, args []string) {
				path := ts.MkAbs(args[0])
				text, err := os.ReadFile(path)
				ts.Check(err)
				ts.Check(os.WriteFile(path, text[:len(text)-1], 0o644))
			},
		},
		// [long] holds in the long suite. "[!long] stop" ends a script of whose
		// condition enough was seen. [nights] holds where aWholeNight skips nothing.
		Condition: func(name string) (bool, error) {
			switch name {
			case "long":
				return long(), nil
			case "nights":
				return allNights(), nil
			}
			return false, fmt.Errorf("unknown condition %q", name)
		},
		Setup: func(e *testscript.Env) error {
			if !long() {
				e.Setenv("GOMAXPROCS", "1") // the scripts run side by side
			}
			return copyTree("testdata/small", e.WorkDir)
		},
	})
}

// copyTree copies a small fleet's exports, layouts and configuration.
func copyTree(from, to string) error {
	return os.CopyFS(to, os.DirFS(from))
}

// TestEveryConditionHasAScript holds the condition table complete: the normal
// suite ends a command with each code.
func TestEveryConditionHasAScript(t *testing.T) {
	scripts, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, s := range scripts {
		text, err := os.ReadFile(s)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), "[!nights] skip") {
			all.Write(text)
		}
	}
	for _, c := range settings.Endings {
		if !strings.Contains(all.String(), fmt.Sprintf("\ncode %d ", c.Condition)) {
			t.Errorf("no script of the normal suite ends with code %d (%s)", c.Condition, c.Name)
		}
	}
}
