//go:build unix

package measured_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
)

// TestGrowth measures a night of the demo's fleet at several sizes, stage by stage, in
// processor seconds and as ratios to floors of the same run, with the slope of each
// stage from the smallest to the largest size. FLUEDRIFT_UNITS names the sizes:
//
//	FLUEDRIFT_UNITS="1000 10000" FLUEDRIFT_LONG=1 go test -timeout 0 -run 'TestGrowth$' -v ./datasets/measured
//
// A size of n units needs about 65 KB of disk a unit in the folder for temporary files.
func TestGrowth(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("FLUEDRIFT_LONG=1 runs it")
	}
	g := &growth{kept: measured.Of(t, "growth"), program: program(t), at: map[string]map[int]float64{}}
	for _, n := range sizesAsked(t) {
		g.measure(t, n)
	}
	g.keep(t)
}

// sizesAsked are those of FLUEDRIFT_UNITS.
func sizesAsked(t *testing.T) (sizes []int) {
	text := os.Getenv("FLUEDRIFT_UNITS")
	if text == "" {
		text = "1000 10000"
	}
	for word := range strings.FieldsSeq(text) {
		n, err := strconv.Atoi(word)
		require.NoError(t, err)
		sizes = append(sizes, n)
	}
	return sizes
}

// program builds the command.
func program(t *testing.T) string {
	path := filepath.Join(t.TempDir(), "fluedrift")
	said, err := exec.Command("go", "build", "-o", path, "../../cmd/fluedrift").CombinedOutput()
	require.NoError(t, err, string(said))
	return path
}

// spent is what a process took.
type spent struct{ cpu, peakMiB float64 }

// took runs a command to its end and returns what it took; code 10 is a night with
// something to look at, which the demo plants.
func took(t *testing.T, c *exec.Cmd) spent {
	t.Helper()
	said, err := c.CombinedOutput()
	if c.ProcessState == nil || c.ProcessState.ExitCode() != 0 && c.ProcessState.ExitCode() != 10 {
		require.NoError(t, err, "%s: %s", c, said)
	}
	u := c.ProcessState.SysUsage().(*syscall.Rusage)
	return spent{(c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds(), float64(u.Maxrss) / 1024}
}

// growth is what was measured: by name of the figure and size, and the names in order.
type growth struct {
	kept    *measured.Figures
	program string
	names   []string
	units   []string // of each name
	sizes   []int
	at      map[string]map[int]float64
}

func (g *growth) add(name, unit string, n int, value float64) {
	if g.at[name] == nil {
		g.at[name] = map[int]float64{}
		g.names, g.units = append(g.names, name), append(g.units, unit)
	}
	g.at[name][n] = value
}

// The units of measure of the figures.
const (
	cpuSeconds = "CPU s"
	mebibytes  = "MiB"
)

// measure writes a fleet of n units and takes it through the floors, two nights and the
// commands that people wait for.
func (g *growth) measure(t *testing.T, n int) {
	g.sizes = append(g.sizes, n)
	dir := filepath.Join(t.TempDir(), "fleet")
	c := exec.Command(os.Args[0], "-test.run", "^TestHelperWritesFleet$")
	c.Env = append(os.Environ(), "FLUEDRIFT_WRITES="+dir, fmt.Sprint("FLUEDRIFT_FLEET=", n))
	wrote := took(t, c)
	g.add("writing the demo's exports", cpuSeconds, n, wrote.cpu)
	floorsOf(t, filepath.Join(dir, "exports"), func(name string, cpu float64) { g.add(name, cpuSeconds, n, cpu) })
	config := filepath.Join(dir, "fluedrift.toml")
	night := took(t, exec.Command(g.program, "nightly", "-q", "-config", config))
	stages := stagesOf(t, dir)
	for _, s := range stages {
		g.add(s.Name, cpuSeconds, n, s.CPUSeconds)
	}
	g.add(wholeNight, cpuSeconds, n, night.cpu)
	g.add("the same night once more", cpuSeconds, n, took(t, exec.Command(g.program, "nightly", "-q", "-config", config)).cpu)
	for _, words := range [][]string{{"list", "-top", "20"}, {"unit", aSerial(t, dir)}, {"inspect"}, {"days"}} {
		asked := append([]string{words[0], "-config", config}, words[1:]...)
		g.add("command "+words[0], cpuSeconds, n, took(t, exec.Command(g.program, asked...)).cpu)
	}
	for _, s := range stages {
		g.add("most memory by the end of "+s.Name, mebibytes, n, s.PeakMiB)
	}
	lists, whole := sizeOf(t, filepath.Join(dir, "lists")), sizeOf(t, dir)
	g.add("lists of two nights on the disk", mebibytes, n, lists)
	g.add("exports, truth, warehouse and lists on the disk", mebibytes, n, whole)
	g.add("most memory writing the demo's exports", mebibytes, n, wrote.peakMiB)
	g.add("most memory of the night", mebibytes, n, night.peakMiB)
	require.NoError(t, os.RemoveAll(dir))
}

const wholeNight = "the whole night"

// TestHelperWritesFleet writes a fleet in a process of its own, whose memory is measured.
func TestHelperWritesFleet(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("FLUEDRIFT_FLEET"))
	if err != nil {
		t.Skip("a helper of TestGrowth")
	}
	require.NoError(t, demo.Write(os.Getenv("FLUEDRIFT_WRITES"), demo.Options{Units: n}))
}

// stageTook is a stage as run.json has it.
type stageTook struct {
	Name       string  `json:"stage"`
	CPUSeconds float64 `json:"cpu_seconds"`
	PeakMiB    float64 `json:"peak_mib"`
}

func stagesOf(t *testing.T, dir string) []stageTook {
	text, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
	require.NoError(t, err)
	var record struct {
		Timing struct {
			Stages []stageTook `json:"stages"`
		} `json:"timing"`
	}
	require.NoError(t, json.Unmarshal(text, &record))
	require.NotEmpty(t, record.Timing.Stages)
	return record.Timing.Stages
}

// aSerial is that of one unit of the fleet.
func aSerial(t *testing.T, dir string) string {
	text, err := os.ReadFile(filepath.Join(dir, "truth", "units.csv"))
	require.NoError(t, err)
	serial, _, _ := strings.Cut(strings.SplitN(string(text), "\n", 3)[1], ",")
	return serial
}

// sizeOf is what the files of a folder take, MiB; links are not followed.
func sizeOf(t *testing.T, dir string) (mib float64) {
	require.NoError(t, filepath.WalkDir(dir, func(_ string, d os.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		info, err := d.Info()
		if err == nil {
			mib += float64(info.Size()) / (1 << 20)
		}
		return err
	}))
	return mib
}

// keep hands on what was measured, with ratios to the engine's scan and slopes.
func (g *growth) keep(t *testing.T) {
	for i, name := range g.names {
		var line strings.Builder
		line.WriteString(fmt.Sprintf("%-50s", name))
		for _, n := range g.sizes {
			value, ok := g.at[name][n]
			if !ok {
				continue
			}
			digits := 2
			if value >= 100 || g.units[i] == mebibytes {
				digits = 0
			}
			g.kept.Number(name+", "+g.units[i], fmt.Sprintf("at %s units", thousands(n)), value, digits, "")
			line.WriteString(fmt.Sprintf(" %10.2f %s", value, g.units[i]))
			if scan := g.at[engineScan][n]; g.units[i] == cpuSeconds && scan > 0 {
				line.WriteString(fmt.Sprintf(" %6.1f scans", value/scan))
				if n == g.sizes[len(g.sizes)-1] && name != engineScan {
					g.kept.Number(name+", "+g.units[i], fmt.Sprintf("typed scans at %s units", thousands(n)), value/scan, 1, "")
				}
			}
		}
		least, most := g.sizes[0], g.sizes[len(g.sizes)-1]
		a, b := g.at[name][least], g.at[name][most]
		if least < most && a >= 0.05 && b > 0 {
			slope := math.Log(b/a) / math.Log(float64(most)/float64(least))
			g.kept.Number(name+", "+g.units[i], fmt.Sprintf("slope from %s to %s units", thousands(least), thousands(most)), slope, 2, "")
			line.WriteString(fmt.Sprintf("  slope %.2f", slope))
		}
		t.Log(line.String())
	}
}

// thousands writes a number with commas.
func thousands(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
