package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// office writes a folder of exports that leaves three things to a person: two targets, a
// word of the visit type, and what CO is measured in.
func office(t *testing.T) (exports, dir string) {
	t.Helper()
	exports, dir = filepath.Join(t.TempDir(), "exports"), filepath.Join(t.TempDir(), "new")
	require.NoError(t, os.MkdirAll(exports, 0o755))
	for name, text := range map[string]string{
		"boilers.csv": "Tag,Type,Rating (MBH),Gas,Status\nK-1,T40,750,NG,Active\nK-2,T40,750,NG,Active\n",
		"cards.csv": "Test Date,Boiler,Visit type,HF O2,HF CO,HF O2 after\n03/25/2024,K-1,annual,5.1,20,4.8\n" +
			"03/26/2024,K-2,half,5.3,22,\n12/27/2024,K-1,annual,4.9,18,\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(exports, name), []byte(text), 0o644))
	}
	return exports, dir
}

// atTerminal runs start as if somebody typed the lines, and returns what stands on the
// screen.
func atTerminal(t *testing.T, exports, dir string, typed ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	s := quietStreams(&out, &errs)
	s.asks, s.in = true, strings.NewReader(strings.Join(typed, "\n"))
	require.Equal(t, exitDone, run(context.Background(), []string{"start", "-dir", dir, exports}, s), errs.String())
	return out.String()
}

func readText(t *testing.T, path ...string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(path...))
	require.NoError(t, err)
	return string(text)
}

// At a terminal the questions are asked in the order of what they cost. What is typed is
// checked, stands in the file of decisions, and holds at once.
func TestStartAsksAtATerminal(t *testing.T) {
	exports, dir := office(t)
	screen := atTerminal(t, exports, dir, "9.2 0.3 zero", "9,2 0.3 0.6", "", "ann", "m", "air-free", "left over")
	require.Less(t, strings.Index(screen, "1 of 3. What is each burner set to?"), strings.Index(screen, "2 of 3. "))
	for _, said := range []string{
		"3 questions, the most costly first. Answers go to " + dir,
		"cards.csv: 1 line, the first cards.csv:3", "    3  annual", "(return: not known) > ", "(return: unknown) > ",
		`"zero" is no percentage between 0 and 20`, `"m" is none of them: type one, or its number, or skip.`,
		"\n1 question, the most costly first",
	} {
		require.Contains(t, screen, said)
	}
	answers := readText(t, dir, decisionsName)
	require.Contains(t, answers, `"target of T40, natural gas, high fire" = "9,2 0.3 0.6"`)
	require.Contains(t, answers, `"target of T40, natural gas, low fire" = ""`)
	require.Contains(t, answers, `"cards.csv: Visit type \"half\"" = "annual"`)
	require.Contains(t, answers, `"cards.csv: basis of CO" = "air-free"`)
	require.Contains(t, readText(t, dir, configName), "co2 = 9.2\nset_rich = 0.3\n")
	require.Contains(t, readText(t, dir, "layouts", "cards.toml"), `"half" = "annual"`)

	// Only what is still open is asked again; the end of input leaves it.
	screen = atTerminal(t, exports, dir)
	require.Contains(t, screen, "target of T40, natural gas, low fire (return: later) > \n")
	require.NotContains(t, screen, "half")
	require.Equal(t, answers, readText(t, dir, decisionsName))
}

// The file of decisions is a person's: a line edited there is neither asked nor written.
func TestStartLeavesEditedAnswers(t *testing.T) {
	exports, dir := office(t)
	atTerminal(t, exports, dir)
	path := filepath.Join(dir, decisionsName)
	edited := strings.Replace(readText(t, path), `basis of CO" = ""`, `basis of CO" = "as I said" # mine`, 1)
	edited = strings.Replace(edited, `"cards.csv: Visit type \"half\"" = ""`, `'cards.csv: Visit type "half"' = ''`, 1)
	require.NoError(t, os.WriteFile(path, []byte(edited), 0o644))
	screen := atTerminal(t, exports, dir, "skip", "annual", "as measured")
	require.Contains(t, screen, "Not written: the line of this question in "+path+" was edited. Write the answer there.")
	require.Contains(t, screen, `"cards.csv: basis of CO": your answer "as I said" is none of these.`)
	require.Equal(t, edited, readText(t, path))
}

// Somebody is asked where input and output are a terminal, and nowhere else.
func TestStartKnowsATerminal(t *testing.T) {
	exports, dir := office(t)
	self, err := exec.LookPath("fluedrift")
	require.NoError(t, err)
	keyboard, screen := pseudoTerminal(t)
	c := exec.Command(self, "start", "-dir", dir, exports)
	c.Stdin, c.Stdout, c.Stderr = screen, screen, screen
	require.NoError(t, c.Start())
	require.NoError(t, screen.Close())
	_, err = keyboard.WriteString("9.2\n8.7\n\n\n")
	require.NoError(t, err)
	var shown bytes.Buffer
	_, _ = shown.ReadFrom(keyboard) // ends with an error of its own where the terminal closes
	require.NoError(t, c.Wait(), shown.String())
	require.Contains(t, shown.String(), "(return: unknown) > ")
	require.Contains(t, readText(t, dir, decisionsName), `low fire" = "8.7"`)

	aWholeNight(t) // the scripts run start where nobody can be asked
	c = exec.Command(self, "start", "-dir", dir, exports)
	out, err := c.Output()
	require.NoError(t, err)
	require.NotContains(t, string(out), "(return: ")
}

// pseudoTerminal opens both ends of one.
func pseudoTerminal(t *testing.T) (keyboard, screen *os.File) {
	t.Helper()
	keyboard, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo-terminals here: ", err)
	}
	t.Cleanup(func() { keyboard.Close() })
	require.NoError(t, unix.IoctlSetPointerInt(int(keyboard.Fd()), unix.TIOCSPTLCK, 0))
	n, err := unix.IoctlGetInt(int(keyboard.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	screen, err = os.OpenFile(filepath.Join("/dev/pts", strconv.Itoa(n)), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	return keyboard, screen
}

// Two registers that have a model line in common are asked for its targets once, and one
// entry of the configuration holds for both.
func TestStartAsksOnceForRegistersAlike(t *testing.T) {
	exports, dir := office(t)
	south := "Serial number;Model line;Input kW;Fuel\nS-1;T40;200;NG\nS-2;T40;200;NG\n"
	require.NoError(t, os.WriteFile(filepath.Join(exports, "south.csv"), []byte(south), 0o600))
	screen := atTerminal(t, exports, dir, "9.2", "8.8")
	require.Contains(t, screen, "T40, natural gas: 4 boilers, the first boilers.csv:2")
	require.Equal(t, 1, strings.Count(readText(t, dir, decisionsName), "target of T40, natural gas, high fire"))
	require.Equal(t, 2, strings.Count(readText(t, dir, configName), "[[targets]]"), "one a fire")
}

// What reads as a number but is none is no target: written into the configuration, it
// could not be read back.
func TestTargetsAreNumbers(t *testing.T) {
	for _, answer := range []string{"nan", "9.2 NaN", "inf", "-1", "0", "20"} {
		require.ErrorContains(t, validTarget(answer), "is no percentage between 0 and 20", answer)
	}
	require.NoError(t, validTarget("9,2 0.3"))
}
