package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest"
)

// firstHour is what the first hour with somebody's exports comes to.
type firstHour struct {
	mapped, columns int   // columns of records that are taken for something, and all of them
	loaded, files   int   // files of records that are read, and all of them
	questions       int   // open after the answers
	read, lines     int64 // lines of records
	units           int   // listed
}

func hourOf(r report) (h firstHour) {
	records := map[string]bool{}
	for i := range r.kinds {
		k := &r.kinds[i]
		if !k.Sure && k.By == "" {
			continue
		}
		for _, c := range k.Columns {
			h.columns++
			if c.Field != "" || c.Carry != "" {
				h.mapped++
			}
		}
		for _, f := range k.Files {
			records[f] = true
		}
	}
	h.files, h.questions, h.units = len(records), len(r.questions), r.outlook.Summary.Listed
	for _, one := range r.all {
		if one.Outcome == ingest.WasRead && records[one.Name] {
			h.loaded, h.read, h.lines = h.loaded+1, h.read+one.Accepted, h.lines+recordLines(&one)
		}
	}
	return h
}

// begin looks at a company's exports, heeds the answers in dir, and says what they come to.
func begin(t *testing.T, exports, dir, asOf string) (h firstHour, asks []asked) {
	t.Helper()
	var out, errs bytes.Buffer
	c := &call{streams: quietStreams(&out, &errs)}
	c.dir, c.asOf, c.args = dir, asOf, []string{exports}
	b := &beginning{exports: exports, dir: dir}
	require.NoError(t, b.look(context.Background(), c))
	require.NoError(t, b.write())
	r, _, err := b.read(context.Background(), c)
	require.NoError(t, err)
	return hourOf(r), r.questions
}

// TestStartOnACompany takes the first hour with the exports in the folder that
// FLUEDRIFT_COMPANY names: start, the answers of FLUEDRIFT_COMPANY_ANSWERS (a
// decisions.toml), start again, a night. It counts; what is enough is for a person to say.
func TestStartOnACompany(t *testing.T) {
	exports := os.Getenv("FLUEDRIFT_COMPANY")
	if exports == "" {
		t.Skip("FLUEDRIFT_COMPANY names no folder of exports")
	}
	exports, err := filepath.Abs(exports)
	require.NoError(t, err)
	dir, asOf := t.TempDir(), os.Getenv("FLUEDRIFT_COMPANY_AS_OF")
	h, asks := begin(t, exports, dir, asOf)
	t.Logf("first start: %+v", h)
	for _, q := range asks {
		t.Logf("  asks, in %d lines: %s", len(q.lines), q.ask)
	}
	if path := os.Getenv("FLUEDRIFT_COMPANY_ANSWERS"); path != "" {
		answers, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, decisionsName), answers, 0o600))
		h, asks = begin(t, exports, dir, asOf)
		t.Logf("with the answers: %+v", h)
		for _, q := range asks {
			t.Logf("  still asks: %s %q", q.ask, q.lines)
		}
	}
	var out, errs bytes.Buffer
	args := []string{"nightly", "-config", filepath.Join(dir, configName)}
	if asOf != "" {
		args = append(args, "-as-of", asOf, "-publish")
	}
	code := run(context.Background(), args, quietStreams(&out, &errs))
	t.Logf("the night ended with %d\n%s%s", code, out.String(), errs.String())
	require.Contains(t, []int{exitDone, exitLook}, code)
}
