package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// helpMan prints the manual page fluedrift(1) in the roff language, with the man
// macros: the commands, their flags, the keys of the configuration and the exit codes,
// from the tables that the program itself goes by.
func helpMan(w io.Writer) {
	fmt.Fprintf(w, ".TH FLUEDRIFT 1 \"\" \"fluedrift %s\" \"User Commands\"\n", roff(version()))
	section := func(name, text string) {
		fmt.Fprintf(w, ".SH %s\n", name)
		if text != "" {
			fmt.Fprintln(w, roff(text))
		}
	}
	section("NAME", "")
	fmt.Fprintln(w, `fluedrift \- `+roff("watchlists of gas boilers from exported combustion-service records"))
	section("SYNOPSIS", "")
	for i, c := range commands {
		if i > 0 {
			fmt.Fprintln(w, ".br")
		}
		fmt.Fprintf(w, ".B fluedrift %s\n%s\n", roff(c.name), synopsisOf(c))
	}
	section("DESCRIPTION", "fluedrift reads exported combustion-service records of a fleet of gas boilers and writes ranked lists of the "+
		"units due for attention. Exports are only read. fluedrift help prints what else there is to know, a page a topic.")
	section("COMMANDS", "")
	for _, c := range commands {
		manCommand(w, c)
	}
	section("CONFIGURATION", "Keys of fluedrift.toml. A key that is not given has the value in brackets.")
	settings.EachKey(func(name, usual, meaning string) {
		fmt.Fprintf(w, ".TP\n.B %s\n%s\n", roff(name), roff(strings.TrimSpace(bracketed(usual)+" "+meaning)))
	})
	section("FILES", "The folders of exports, layouts, warehouse and lists stand in the configuration, relative to it.")
	section("EXIT STATUS", "")
	for _, e := range settings.Endings {
		fmt.Fprintf(w, ".TP\n.B %d\n%s\n", e.Condition, roff(fmt.Sprintf("%s (lists published: %s)", e.When, e.Published)))
	}
	section("CAUTIONS", "Only licensed contractors work on gas appliances; gas and power are shut off before one is opened. The appliance's "+
		"instructions and the local code come before a list. A list judges records, not boilers. It clears no boiler to run.")
}

// synopsisOf is what may stand behind a command: its arguments, and that it has flags.
func synopsisOf(c command) string {
	text := roff(c.args)
	if flagUse[c.name] != "" {
		text = strings.TrimSpace(`[\fIflags\fR] ` + text)
	}
	if text == "" {
		return `\&`
	}
	return text
}

// manCommand prints one command with its flags.
func manCommand(w io.Writer, c command) {
	fmt.Fprintf(w, ".SS %s\n%s\n", roff(strings.TrimSpace(c.name+" "+c.args)), roff(c.brief))
	flagSet(c.name, new(options)).VisitAll(func(f *flag.Flag) {
		value, use := flag.UnquoteUsage(f)
		usual := f.DefValue
		if usual == "0" || usual == "false" {
			usual = ""
		}
		name := `.BI \-` + roff(f.Name)
		if value != "" {
			name += ` " ` + strings.ReplaceAll(roff(value), `"`, `\(dq`) + `"`
		}
		fmt.Fprintf(w, ".TP\n%s\n%s\n", name, roff(strings.TrimSpace(use+" "+bracketed(usual))))
	})
}

// bracketed is a value in brackets; nothing where there is none.
func bracketed(value string) string {
	if value == "" {
		return ""
	}
	return "[" + value + "]"
}

// roff keeps a text as it is: no sign of it is taken for the language of the page. A
// hyphen stays the sign that is typed.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`, "~", `\(ti`, "^", `\(ha`, "`", `\(ga`, "\n", " ").Replace(text)
	if strings.HasPrefix(text, ".") || strings.HasPrefix(text, "'") {
		text = `\&` + text
	}
	return text
}
