package main

import (
	"errors"
	"flag"
	"io"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// options are the flags; a name means the same with every command that has it.
type options struct {
	config, asOf, output, format, area, site, group, dir, log, at, against string
	sql, sqlFile                                                           string
	top, units, years, seconds                                             int
	seed                                                                   uint64
	quiet, verbose, publish, schema                                        bool
	given                                                                  map[string]bool
}

// flagUse names the flags each command takes.
var flagUse = map[string]string{
	"demo":      "dir units years seed top q v",
	"start":     "dir as-of o format",
	"inspect":   "config as-of o format schema",
	"build":     "config as-of o log q v",
	"nightly":   "config as-of publish log q v",
	"list":      "config as-of o format area site group top",
	"unit":      "config as-of o format",
	"days":      "config as-of o format",
	"hindsight": "config as-of o",
	"vents":     "config as-of o at against format",
	"query":     "config as-of e f o format top seconds",
}

// resultForms are the values of -format by command.
var resultForms = map[string][]string{
	"start":   {"text", "html"},
	"inspect": {"text", "json", "layout", "html"},
	"list":    {"text", "csv", "json"},
	"unit":    {"text", "csv", "json", "html"},
	"days":    {"text", "csv", "json", "left", "compared", "xlsx", "html", "geojson", "ics"},
	"vents":   {"text", "html"},
	"query":   {"text", "csv", "json", "parquet"},
}

// flagSet declares the flags a command takes.
func flagSet(name string, o *options) *flag.FlagSet {
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	declare := map[string]func(){
		"config": func() {
			f.StringVar(&o.config, "config", "fluedrift.toml", "configuration `file`; paths in it are relative to it")
		},
		"as-of": func() {
			f.StringVar(&o.asOf, "as-of", "", "`day` (yyyy-mm-dd) the lists are made for; only what was known by then counts")
		},
		"publish": func() {
			f.BoolVar(&o.publish, "publish", false, "with -as-of of another day than the configuration's, or today: move warehouse "+
				"and latest to that day too")
		},
		"o": func() {
			f.StringVar(&o.output, "o", "", "write the result to this `file`, a device or a pipe instead of standard output; "+
				"vents without -at, and inspect -format layout: its files to this folder (inspect: a name that ends in "+
				".toml is a file with all drafts); build: the warehouse itself")
		},
		"format": func() {
			f.StringVar(&o.format, "format", "text", "form of the result: text, csv (lists), json, html (unit, days, "+
				"vents -at, start, inspect), parquet (query), or layout (inspect: the drafts alone)")
		},
		"area":  func() { f.StringVar(&o.area, "area", "", "only units of this `area`") },
		"site":  func() { f.StringVar(&o.site, "site", "", "only units of this `site`") },
		"group": func() { f.StringVar(&o.group, "group", "", "only units of this `group`, in the list's words") },
		"top":   func() { f.IntVar(&o.top, "top", 0, "only the first `n` lines; 0 for all") },
		"at": func() {
			f.StringVar(&o.at, "at", "", "what to expect of one vent `configuration` instead of the study, "+
				"as vent-length=12m,elbows-90=3,diameter=200mm; keys: "+configurationKeys())
		},
		"against": func() {
			f.StringVar(&o.against, "against", "", "another `configuration`: how far what to expect of -at differs from it")
		},
		"schema": func() {
			f.BoolVar(&o.schema, "schema", false, "write what a layout expects of its exports, as Table Schema, for whoever writes them")
		},
		"e":       func() { f.StringVar(&o.sql, "e", "", "the `statement` itself") },
		"f":       func() { f.StringVar(&o.sqlFile, "f", "", "`file` with the statement") },
		"seconds": func() { f.IntVar(&o.seconds, "seconds", querySeconds, "`n` seconds after which the engine is stopped") },
		"dir": func() {
			usual := map[string]string{"demo": "demo", "start": "."}[name]
			f.StringVar(&o.dir, "dir", usual, "`folder` that is written to (demo: all of it; start: fluedrift.toml, decisions.toml and layouts)")
		},
		"units": func() { f.IntVar(&o.units, "units", 600, "`n` units in the invented fleet") },
		"years": func() { f.IntVar(&o.years, "years", 12, "`n` years of records") },
		"seed":  func() { f.Uint64Var(&o.seed, "seed", 1, "`number` from which the invented fleet is drawn") },
		"log": func() {
			f.StringVar(&o.log, "log", "", "log records on the error stream instead of plain lines: `form` text or json")
		},
		"q": func() { f.BoolVar(&o.quiet, "q", false, "no progress, no summary; only errors") },
		"v": func() { f.BoolVar(&o.verbose, "v", false, "say what each step did and how long it took") },
	}
	for name := range strings.FieldsSeq(flagUse[name]) {
		declare[name]()
	}
	return f
}

// movedFlags are flags of earlier versions, with the name they have now.
var movedFlags = map[string]string{"tier": "group"}

// readFlags reads a command's flags and arguments.
func readFlags(c command, args []string, s streams) (*call, error) {
	one := &call{streams: s}
	f := flagSet(c.name, &one.options)
	if err := f.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			helpCommandFlags(s.out, c)
			return nil, err
		}
		for was, is := range movedFlags {
			if strings.HasSuffix(err.Error(), ": -"+was) {
				return nil, settings.Fail(settings.Usage, "%s: -%s is -%s now\nsee: fluedrift help %s", c.name, was, is, c.name)
			}
		}
		return nil, settings.Fail(settings.Usage, "%s: %w\nsee: fluedrift help %s", c.name, err, c.name)
	}
	one.args = f.Args()
	if c.args == "" && len(one.args) > 0 {
		return nil, settings.Fail(settings.Usage, "%s: unexpected argument %q\nsee: fluedrift help %s", c.name, one.args[0], c.name)
	}
	one.given = map[string]bool{}
	f.Visit(func(g *flag.Flag) { one.given[g.Name] = true })
	if forms := resultForms[c.name]; forms != nil && !slices.Contains(forms, one.format) {
		return nil, settings.Fail(settings.Usage, "%s: format %q is none of %s", c.name, one.format, strings.Join(forms, ", "))
	}
	if !slices.Contains(settings.LogForms, one.log) {
		return nil, settings.Fail(settings.Usage, "%s: -log %q is neither text nor json", c.name, one.log)
	}
	if one.top < 0 {
		return nil, settings.Fail(settings.Usage, "%s: -top %d is negative\ngive 0 for all lines", c.name, one.top)
	}
	return one, nil
}

// today is the clock's calendar day where the machine stands.
func (s streams) today() day.Day { return day.In(s.now()) }
