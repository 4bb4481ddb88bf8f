package main

import (
	"io"
	"slices"
	"strings"

	"fluedrift/analysis/report/table"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest/layout"
)

// inspectSchema writes what a layout expects of its exports, for whoever writes them.
func inspectSchema(c *call) error {
	cfg, err := c.readConfig()
	if err != nil {
		return err
	}
	all, err := layout.Load(cfg.Path(cfg.Exports.Layouts))
	if err != nil {
		return settings.Fail(settings.Usage, "%w", err)
	}
	var names []string
	for _, l := range all {
		names = append(names, l.Name)
	}
	at := slices.Index(names, strings.Join(c.args, " "))
	if len(all) == 1 && len(c.args) == 0 {
		at = 0
	}
	if at < 0 {
		return settings.Fail(settings.Usage, "inspect: name one layout whose exports are to be described\nthere are: %s",
			strings.Join(names, ", "))
	}
	text, err := table.EncodeJSON(layout.SchemaOf(all[at]), "  ")
	if err != nil {
		return err
	}
	return c.writeResult(func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
