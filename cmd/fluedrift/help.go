package main

import (
	"context"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"fluedrift/analysis/report/lists"
	"fluedrift/cmd/fluedrift/settings"
)

var helpCommand = command{
	"help", "[command|config|ids|layouts|fields|units|codes|columns|warehouse|tables|exit|schedule|operations|changes|man|completion]",
	"what there is: the commands, a command's flags, configuration keys, ids that are written in several ways, what layouts " +
		"can say of exports, list columns, the warehouse and its tables, exit codes, how to run it every night, what changed " +
		"between versions, the manual page, completion for shells", help,
}

// helpTopics are the pages of help that are no command.
var helpTopics = []struct {
	name  string
	print func(w io.Writer)
}{
	{"config", settings.WriteKeys},
	{"ids", helpIDs},
	{"layouts", helpLayouts},
	{"fields", helpFields},
	{"units", helpUnits},
	{"codes", helpCodes},
	{"columns", helpColumns},
	{"warehouse", helpWarehouse},
	{"exit", helpExit},
	{"schedule", helpSchedule},
	{"operations", helpOperations},
	{"changes", helpChanges},
	{"man", helpMan},
}

func help(_ context.Context, c *call) error {
	if len(c.args) == 0 {
		usage(c.out)
		return nil
	}
	if c.args[0] == "tables" {
		return helpTables(c.out, strings.Join(c.args[1:], " "))
	}
	if parts, ok := helpParts[c.args[0]]; ok && (len(c.args) > 1 || c.args[0] == "completion") {
		return parts.printPart(c.out, c.args[0], c.args[1:])
	}
	for _, topic := range helpTopics {
		if topic.name == c.args[0] {
			topic.print(c.out)
			return nil
		}
	}
	for _, one := range commands {
		if one.name == c.args[0] {
			helpCommandFlags(c.out, one)
			return nil
		}
	}
	return settings.Fail(settings.Usage, "no help on %q\nsee: fluedrift help", c.args[0])
}

// usage prints the commands.
func usage(w io.Writer) {
	fmt.Fprintln(w, "fluedrift reads exported combustion-service records of a fleet of gas boilers")
	fmt.Fprintln(w, "and writes ranked lists of the units due for attention.")
	fmt.Fprintln(w)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, c := range commands {
		fmt.Fprintf(t, "  %s %s\t%s\n", c.name, c.args, c.brief)
	}
	t.Flush()
	fmt.Fprintln(w)
	fmt.Fprintln(w, "fluedrift help COMMAND shows its flags; fluedrift help layouts what a layout says;\n"+
		"help exit the exit codes; help schedule and help operations how to run it every night.")
}

// helpCommandFlags prints one command with its flags.
func helpCommandFlags(w io.Writer, c command) {
	fmt.Fprintf(w, "fluedrift %s %s\n%s\n", c.name, c.args, c.brief)
	f := flagSet(c.name, new(options))
	f.SetOutput(w)
	f.PrintDefaults()
}

// helpColumns prints what every column of every list means.
func helpColumns(w io.Writer) {
	if err := lists.WriteColumns(w); err != nil {
		fmt.Fprintln(w, err)
	}
}
