package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// biggerSmall is the fleet of testdata/small with more lines in each export: a
// register of 20 units, six targets, and 400 readings.
func biggerSmall(t *testing.T) (dir, config string) {
	dir = afterNight(t, biggerNight)
	return dir, filepath.Join(dir, "fluedrift.toml")
}

var biggerNight = builtTree(func(dir string) error {
	var units, readings strings.Builder
	for i := range 17 {
		fmt.Fprintf(&units, "9%04d,Mill House,east,Tern,natural gas,2019-09-02,24,K-1\n", i)
	}
	last := time.Date(2025, time.February, 28, 0, 0, 0, 0, time.UTC)
	for i := range 400 {
		fmt.Fprintf(&readings, "D%d,9%04d,%s,yearly,high,after,9.1,20,no\n", i, i%17, last.AddDate(0, 0, -2*i).Format(time.DateOnly))
	}
	if err := copyTree("testdata/small", dir); err != nil {
		return err
	}
	for name, text := range map[string]string{
		"boilers_2025-03-01.csv":  units.String(),
		"readings_2025-03-01.csv": readings.String(),
		"lines_2025-03-01.csv": "Tern,propane,high,10.2,0.2,0.2\nTern,propane,low,9.8,0.2,0.2\nTern,propane,single,10.0,0.2,0.2\n" +
			"Tern,natural gas,single,9.0,0.2,0.2\n",
	} {
		path := filepath.Join(dir, "exports", name)
		old, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := os.WriteFile(path, append(old, text...), 0o644); err != nil {
			return err
		}
	}
	return nil
})

// addTo adds text to an export.
func addTo(t *testing.T, dir, name, text string) {
	f, err := os.OpenFile(filepath.Join(dir, "exports", name), os.O_APPEND|os.O_WRONLY|os.O_CREATE, 0o644)
	require.NoError(t, err)
	_, err = f.WriteString(text)
	require.NoError(t, err)
	require.NoError(t, f.Close())
}

// changeIn replaces a text of an export, everywhere.
func changeIn(t *testing.T, dir, name, from, to string) {
	path := filepath.Join(dir, "exports", name)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(text), from)
	require.NoError(t, os.WriteFile(path, []byte(strings.ReplaceAll(string(text), from, to)), 0o644))
}

// tolerating adds a guard's word to a configuration.
func tolerating(t *testing.T, config, guard string) {
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(config, append(text, fmt.Sprintf("\n[guards]\ntolerate = [%q]\n", guard)...), 0o644))
}

// A small export that loses its lines is a small share of all lines, and stops
// the night all the same: the code word of a new export changed, lines of the
// register cannot be read, the targets of one fuel cannot be read.
func TestSmallExportThatLosesItsLines(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	for _, fault := range []struct {
		name, guard, says string
		plant             func(t *testing.T, dir string)
	}{
		{
			"a code word changed", "newest file", `6 of 6 lines in readings_2025-03-02.csv (mostly unknown-code in column "Fire": "High fire")`,
			func(t *testing.T, dir string) {
				addTo(t, dir, "readings_2025-03-02.csv",
					"Call,Boiler,Done,Why,Fire,State,CO2,CO,Adjusted\n"+strings.Repeat("E1,00417,2025-03-02,yearly,High fire,after,9.1,20,no\n", 6))
			},
		},
		{
			"register", "register lines", `3 of 20 lines in boilers_2025-03-01.csv (mostly unit-mark-mismatch in column "Run ft": "2A")`,
			func(t *testing.T, dir string) {
				for _, serial := range []string{"90001", "90004", "90009"} {
					changeIn(t, dir, "boilers_2025-03-01.csv", serial+",Mill House,east,Tern,natural gas,2019-09-02,24",
						serial+",Mill House,east,Tern,natural gas,2019-09-02,2A")
				}
			},
		},
		{
			"targets of a fuel", "register lines", `3 of 6 lines in lines_2025-03-01.csv (mostly unreadable-number in column "Target CO2")`,
			func(t *testing.T, dir string) {
				for _, co2 := range []string{"10.2", "9.8", "10.0"} {
					changeIn(t, dir, "lines_2025-03-01.csv", ","+co2+",", `,"`+strings.Replace(co2, ".", ",", 1)+`",`)
				}
			},
		},
	} {
		t.Run(fault.name, func(t *testing.T) {
			if fault.name != "a code word changed" {
				onlyLong(t) // code12_files loses lines of the register
			}
			dir, config := biggerSmall(t)
			before := publishedFiles(t, dir)
			fault.plant(t, dir)
			code, errs := nightHere(config, testNow)
			require.Equal(t, exitRefused, code, errs)
			require.Contains(t, errs, fault.says)
			samePublished(t, before, publishedFiles(t, dir), "the last list stays")
			if !long() {
				return // code10_look and code12_refused tolerate
			}
			tolerating(t, config, fault.guard)
			code, errs = nightHere(config, testNow)
			if fault.name != "a code word changed" { // what can be used shrank, too
				require.Equal(t, exitRefused, code, errs)
				require.Contains(t, errs, "by more than guards.max_export_shrink")
				return
			}
			require.Equal(t, exitLook, code, errs)
			require.Contains(t, errs, fmt.Sprintf("(tolerated: guards.tolerate has %q)", fault.guard))
		})
	}
}

// One line of a register that cannot be used is no reason to publish nothing,
// and none to say nothing.
func TestOneRegisterLineIsSaid(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir, config := biggerSmall(t)
	addTo(t, dir, "boilers_2025-03-01.csv", "99999,Mill House,east,Tern,natural gas,2019-09-02,2A,K-1\n")
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitLook, code, errs)
	require.Contains(t, errs,
		`lines of a register, targets or calibrations cannot be used in full: 1 of 21 lines in boilers_2025-03-01.csv (mostly `+
			`unit-mark-mismatch in column "Run ft": "2A")`)
	require.Contains(t, publishedFiles(t, dir)["records-to-fix.csv"], "99999")
	if !long() {
		return // guards_test.go holds the key to its number
	}
	text, err := os.ReadFile(config)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(config, append(text, "\n[guards]\nregister_set_aside_tolerated = 0.05\nstrangers_tolerated = 0.1\n"...),
		0o644))
	code, errs = nightHere(config, testNow)
	require.Zero(t, code, errs)
}
