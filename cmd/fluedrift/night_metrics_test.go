package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/settings"

	"github.com/gofrs/flock"
	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	promodel "github.com/prometheus/common/model"
	"github.com/stretchr/testify/require"
)

// readMetrics reads a text file as a textfile collector does, with the parser of
// github.com/prometheus/common/expfmt, and holds every family to a gauge with
// help. It gives each sample by its name and label.
func readMetrics(t *testing.T, text string) map[string]float64 {
	t.Helper()
	parser := expfmt.NewTextParser(promodel.LegacyValidation)
	families, err := parser.TextToMetricFamilies(strings.NewReader(text))
	require.NoError(t, err)
	values := map[string]float64{}
	for name, f := range families {
		require.Equal(t, dto.MetricType_GAUGE, f.GetType(), name)
		require.NotEmpty(t, f.GetHelp(), name)
		for _, m := range f.GetMetric() {
			require.Nil(t, m.TimestampMs, name)
			for _, l := range m.GetLabel() {
				name = fmt.Sprintf("%s{%s=%q}", f.GetName(), l.GetName(), l.GetValue())
			}
			values[name] = m.GetGauge().GetValue()
		}
	}
	return values
}

// withOutput adds keys to the configuration's output section.
func withOutput(t *testing.T, config, keys string) {
	t.Helper()
	require.NoError(t, addKeys(config, keys))
}

func addKeys(config, keys string) error {
	text, err := os.ReadFile(config)
	if err != nil {
		return err
	}
	if bytes.Contains(text, []byte("[output]\n")) {
		text = bytes.Replace(text, []byte("[output]\n"), []byte("[output]\n"+keys+"\n"), 1)
	} else {
		text = append(text, "\n[output]\n"+keys+"\n"...)
	}
	return os.WriteFile(config, text, 0o644)
}

// The metrics agree with the exit code for every condition a night can end in.
func TestMetricsAgreeWithTheExitCode(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	ends := map[int]func(t *testing.T, dir string) (args []string, ctx context.Context){
		exitDone: func(*testing.T, string) ([]string, context.Context) { return nil, nil },
		exitLook: func(t *testing.T, dir string) ([]string, context.Context) {
			require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", "readings_2025-03-02.csv"), []byte("a,b\n"), 0o644))
			return nil, nil
		},
		exitNoInput: func(t *testing.T, dir string) ([]string, context.Context) {
			require.NoError(t, os.RemoveAll(filepath.Join(dir, "exports")))
			return nil, nil
		},
		exitRefused: func(t *testing.T, dir string) ([]string, context.Context) {
			require.NoError(t, os.Remove(filepath.Join(dir, "exports", "readings_2025-03-01.csv")))
			return nil, nil
		},
		exitLocked: func(t *testing.T, dir string) ([]string, context.Context) {
			l := flock.New(filepath.Join(dir, "warehouse.duckdb.lock"))
			require.NoError(t, l.Lock())
			t.Cleanup(func() { l.Unlock() })
			return nil, nil
		},
		exitUsage: func(t *testing.T, dir string) ([]string, context.Context) {
			withOutput(t, filepath.Join(dir, "fluedrift.toml"), "metricks = 1")
			return nil, nil
		},
		exitInterrupted: func(*testing.T, string) ([]string, context.Context) {
			ctx, cancel := context.WithCancel(context.Background())
			cancel()
			return nil, ctx
		},
		exitOther: func(t *testing.T, dir string) ([]string, context.Context) {
			require.NoError(t, os.WriteFile(filepath.Join(dir, "lists", "2020-01-01"), nil, 0o644)) // where a link should be
			return nil, nil
		},
	}
	first := afterNight(t, smallMetrics)
	for _, c := range settings.Endings {
		if c.Condition == settings.NoWarehouse {
			continue // of commands that read: a night makes the warehouse
		}
		t.Run(c.Name, func(t *testing.T) {
			dir := filepath.Join(fastDir(t), "night")
			require.NoError(t, copyTree(first, dir))
			config := filepath.Join(dir, "fluedrift.toml")
			_, ctx := ends[int(c.Condition)](t, dir)
			if ctx == nil {
				ctx = context.Background()
			}
			got := exitDone
			if c.Condition != settings.Done || long() { // that night was run
				var out, e bytes.Buffer
				got = run(ctx, []string{"nightly", "-config", config}, quietStreams(&out, &e))
				require.Equal(t, int(c.Condition), got, e.String())
			}
			text, err := os.ReadFile(filepath.Join(dir, "night.prom"))
			require.NoError(t, err)
			values := readMetrics(t, string(text))
			require.Equal(t, float64(got), values["fluedrift_night_exit_code"])
			for _, other := range settings.Endings {
				require.Equal(t, oneIf(int(other.Condition) == got), values[fmt.Sprintf(`fluedrift_night_condition{condition="%s"}`, other.Name)],
					other.Name)
			}
			require.Equal(t, oneIf(strings.HasPrefix(c.Published, "yes")), values["fluedrift_night_published"])
			if got != exitUsage {
				require.Equal(t, float64(20150*86400), values["fluedrift_publication_as_of_time_seconds"]) // 2025-03-03
				require.Positive(t, values["fluedrift_publication_time_seconds"])
			}
			entries, err := os.ReadDir(dir)
			require.NoError(t, err)
			for _, entry := range entries {
				require.False(t, strings.HasPrefix(entry.Name(), ".night"), entry.Name())
			}
		})
	}
}

// A quiet night says one line: on standard output, or as one log record.
func TestOneLineAQuietNight(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	require.NoError(t, copyTree("testdata/small", dir))
	config := filepath.Join(dir, "fluedrift.toml")
	for _, form := range []string{"json", "", "text"} {
		if !long() {
			break // code00_done has the one without, the night below the log record
		}
		var out, errs bytes.Buffer
		require.Zero(t, run(t.Context(), []string{"nightly", "-config", config, "-log", form}, quietStreams(&out, &errs)), errs.String())
		if form == "" {
			require.Equal(t, 1, strings.Count(out.String(), "\n"))
			require.Empty(t, errs.String())
			continue
		}
		require.Empty(t, out.String())
		require.Equal(t, 1, strings.Count(errs.String(), "\n"), errs.String())
		require.Contains(t, errs.String(), "night done")
	}
	withOutput(t, config, `log = "json"`)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", "readings_2025-03-02.csv"), []byte("a,b\n"), 0o644))
	var out, errs bytes.Buffer
	require.Equal(t, exitLook, run(t.Context(), []string{"nightly", "-v", "-config", config}, quietStreams(&out, &errs)))
	var last map[string]any
	for line := range strings.Lines(errs.String()) {
		last = map[string]any{}
		require.NoError(t, json.Unmarshal([]byte(line), &last), line)
	}
	require.Equal(t, "night done", last["msg"])
	require.Equal(t, float64(exitLook), last["code"])
	errs.Reset()
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "exports")))
	require.Equal(t, exitNoInput, run(t.Context(), []string{"nightly", "-config", config}, quietStreams(&out, &errs)))
	require.NoError(t, json.Unmarshal(errs.Bytes(), &last))
	require.Equal(t, "ERROR", last["level"])
	require.Equal(t, "no input", last["condition"])
}

// What help schedule prints is taken by systemd, and leaves a night little to do
// but its work.
func TestScheduleIsTakenBySystemd(t *testing.T) {
	text := runCommand(t, 0, "help", "schedule")
	require.Contains(t, text, "OnCalendar=")
	require.Regexp(t, `(?m)^\d+ \d+ \* \* \*  fluedrift  `, text)
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Skip("no systemd-analyze here")
	}
	dir := t.TempDir()
	service := filepath.Join(dir, "fluedrift.service")
	require.NoError(t, os.WriteFile(service, []byte(strings.ReplaceAll(serviceUnit, "/usr/local/bin/fluedrift", "/bin/true")), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "fluedrift.timer"), []byte(timerUnit), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "fluedrift-failed.service"), []byte(failedUnit), 0o644))
	said, err := exec.Command("systemd-analyze", "verify", service, filepath.Join(dir, "fluedrift.timer")).CombinedOutput()
	require.NoError(t, err, string(said))
	require.NotContains(t, string(said), "fluedrift.service:", "unknown keys are warned of")
	said, err = exec.Command("systemd-analyze", "security", "--offline=true", "--threshold=15", service).CombinedOutput()
	require.NoError(t, err, "exposure is over 1.5: %s", said)
}

// The page on operations says what to do for each row of the condition table.
func TestOperationsCoversEveryCode(t *testing.T) {
	text := runCommand(t, 0, "help", "operations")
	for _, c := range settings.Endings {
		require.NotEmpty(t, advice[c.Condition], c.Name)
		require.Regexp(t, fmt.Sprintf(`(?m)^ +%d  %s$`, c.Condition, regexp.QuoteMeta(c.Name)), text)
	}
}

// Where the tools of a collector are installed, they accept the metrics and the
// alert rules that help prints.
func TestCollectorToolsAccept(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("promtool")
	if err != nil {
		t.Skip("promtool is not installed: the parser of the same project has read the metrics")
	}
	dir := afterNight(t, smallMetrics)
	text, err := os.ReadFile(filepath.Join(dir, "night.prom"))
	require.NoError(t, err)
	check := exec.Command(tool, "check", "metrics")
	check.Stdin = bytes.NewReader(text)
	said, err := check.CombinedOutput()
	require.NoError(t, err, string(said))
	rules := filepath.Join(dir, "alerts.yml")
	require.NoError(t, os.WriteFile(rules, []byte(alertRules), 0o644))
	said, err = exec.Command(tool, "check", "rules", rules).CombinedOutput()
	require.NoError(t, err, string(said))
}

// Every metric that an alert rule asks for is one that a night writes.
func TestAlertRulesAskForMetricsThatAreWritten(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(filepath.Join(afterNight(t, smallMetrics), "night.prom"))
	require.NoError(t, err)
	values := readMetrics(t, string(text))
	asked := regexp.MustCompile(`fluedrift_[a-z_]+`).FindAllString(alertRules, -1)
	require.NotEmpty(t, asked)
	for _, name := range asked {
		require.Contains(t, values, name)
	}
	var help bytes.Buffer
	helpOperations(&help)
	require.Contains(t, help.String(), "absent(fluedrift_publication_time_seconds)")
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
