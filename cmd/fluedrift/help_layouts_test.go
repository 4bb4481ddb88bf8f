package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// The help on layouts names each key, field, unit of measure and word that a layout
// may have, and every topic is one of those that help lists.
func TestHelpOnLayouts(t *testing.T) {
	pages := map[string]string{}
	for _, topic := range helpTopics {
		var out, errs bytes.Buffer
		require.Equal(t, exitDone, run(context.Background(), []string{"help", topic.name}, quietStreams(&out, &errs)))
		pages[topic.name] = out.String()
		assert.Contains(t, helpCommand.args, topic.name)
	}
	for _, k := range layout.Keys() {
		assert.Contains(t, pages["layouts"], "  "+k.Name+" ", k.Table)
	}
	for _, e := range layout.Examples() {
		for line := range strings.Lines(e.Layout + e.File) {
			assert.Contains(t, pages["layouts"], "    "+line)
		}
	}
	for _, record := range layout.Records() {
		for _, f := range layout.Fields(record) {
			assert.Contains(t, pages["fields"], f.Meaning())
			for _, w := range f.Words {
				assert.Contains(t, strings.Join(strings.Fields(pages["codes"]), " "), w)
			}
		}
	}
	assert.Regexp(t, `(?m)^  in w\.c\. +in WC`, pages["units"])
	assert.Contains(t, pages["units"], `write "MBH" for 1000 Btu/h or "kW"`)
}
