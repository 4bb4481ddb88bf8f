package main

import (
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// completions are the shells that complete a command line, with the script each
// loads for it.
var completions = partsOf{
	{"bash", completeBash},
	{"zsh", completeZsh},
	{"fish", completeFish},
}

// helpWords are what can stand behind help.
func helpWords() (words []string) {
	for _, c := range commands {
		words = append(words, c.name)
	}
	for _, topic := range helpTopics {
		words = append(words, topic.name)
	}
	words = append(append(words, helpPartNames()...), "tables")
	slices.Sort(words)
	return slices.Compact(words)
}

// wordsOf are the values a flag can have where they are few words.
func wordsOf(command, flag string) []string {
	switch flag {
	case "format":
		return resultForms[command]
	case "log":
		return slices.DeleteFunc(slices.Clone(settings.LogForms), func(form string) bool { return form == "" })
	}
	return nil
}

// A completed is a flag as a shell needs to know it.
type completed struct {
	name, brief string
	value       string   // what its value is called; "" for one without
	words       []string // the values it can have, where they are few
}

// completedFlags are the flags of a command.
func completedFlags(command string) (all []completed) {
	flagSet(command, new(options)).VisitAll(func(f *flag.Flag) {
		value, use := flag.UnquoteUsage(f)
		brief, _, _ := strings.Cut(use, ";")
		brief, _, _ = strings.Cut(brief, " (")
		brief, _, _ = strings.Cut(brief, ":")
		all = append(all, completed{f.Name, brief, value, wordsOf(command, f.Name)})
	})
	return all
}

func commandNames() (names []string) {
	for _, c := range commands {
		names = append(names, c.name)
	}
	return names
}

// completeBash prints a function of the shell that fills COMPREPLY.
func completeBash(w io.Writer) {
	fmt.Fprintf(w, `# bash completion of fluedrift; made by: fluedrift help completion bash
_fluedrift() {
	local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} words=
	if [ "$COMP_CWORD" -eq 1 ]; then
		COMPREPLY=($(compgen -W '%s' -- "$word"))
		return
	fi
	case ${COMP_WORDS[1]}:$before in
`, strings.Join(commandNames(), " "))
	for _, c := range commands {
		for _, f := range completedFlags(c.name) {
			switch {
			case f.words != nil:
				fmt.Fprintf(w, "	%s:-%s) COMPREPLY=($(compgen -W '%s' -- \"$word\")); return ;;\n", c.name, f.name, strings.Join(f.words, " "))
			case f.value != "":
				fmt.Fprintf(w, "	%s:-%s) COMPREPLY=($(compgen -f -- \"$word\")); return ;;\n", c.name, f.name)
			}
		}
	}
	for _, topic := range helpPartNames() {
		fmt.Fprintf(w, "	help:%s) words='%s' ;;\n", topic, strings.Join(helpParts[topic].names(), " "))
	}
	fmt.Fprintf(w, "	help:*) words='%s' ;;\n", strings.Join(helpWords(), " "))
	for _, c := range commands {
		if flags := completedFlags(c.name); len(flags) > 0 {
			fmt.Fprintf(w, "	%s:*) words='", c.name)
			for i, f := range flags {
				fmt.Fprintf(w, "%s-%s", blankBehind(i), f.name)
			}
			fmt.Fprintln(w, "' ;;")
		}
	}
	fmt.Fprint(w, `	esac
	COMPREPLY=($(compgen -W "$words" -- "$word"))
	case $word in
	-*) ;;
	*) [ "${COMP_WORDS[1]}" = help ] || COMPREPLY+=($(compgen -f -- "$word")) ;;
	esac
}
complete -o filenames -F _fluedrift fluedrift
`)
}

// blankBehind separates words but for the first.
func blankBehind(i int) string {
	if i == 0 {
		return ""
	}
	return " "
}

// completeZsh prints a function of the shell's completion system.
func completeZsh(w io.Writer) {
	fmt.Fprint(w, `#compdef fluedrift
# zsh completion of fluedrift; made by: fluedrift help completion zsh
local -a commands
commands=(
`)
	plain := strings.NewReplacer("'", `'\''`, "[", "(", "]", ")")
	for _, c := range commands {
		fmt.Fprintf(w, "\t'%s:%s'\n", c.name, strings.ReplaceAll(plain.Replace(c.brief), ":", `\:`))
	}
	fmt.Fprint(w, `)
if (( CURRENT == 2 )); then
	_describe command commands
	return
fi
shift words
(( CURRENT-- ))
case $words[1] in
`)
	for _, c := range commands {
		if c.name == helpCommand.name {
			continue
		}
		fmt.Fprintf(w, "%s)\n\t_arguments", c.name)
		for _, f := range completedFlags(c.name) {
			action := ""
			switch {
			case f.words != nil:
				action = ":" + f.value + ":(" + strings.Join(f.words, " ") + ")"
			case f.value != "":
				action = ":" + f.value + ":_files"
			}
			fmt.Fprintf(w, " \\\n\t\t'-%s[%s]%s'", f.name, plain.Replace(f.brief), action)
		}
		fmt.Fprintln(w, " \\\n\t\t'*:file:_files'\n\t;;")
	}
	fmt.Fprintf(w, "%s)\n\tcase $words[2] in\n", helpCommand.name)
	for _, topic := range helpPartNames() {
		fmt.Fprintf(w, "\t%s) (( CURRENT > 2 )) && compadd %s ;;\n", topic, strings.Join(helpParts[topic].names(), " "))
	}
	fmt.Fprintf(w, "\tesac\n\t(( CURRENT == 2 )) && compadd %s\n\t;;\nesac\n", strings.Join(helpWords(), " "))
}

// completeFish prints the shell's own commands.
func completeFish(w io.Writer) {
	fmt.Fprintln(w, "# fish completion of fluedrift; made by: fluedrift help completion fish")
	plain := strings.NewReplacer("'", `\'`, `\`, `\\`)
	for _, c := range commands {
		fmt.Fprintf(w, "complete -c fluedrift -f -n __fish_use_subcommand -a %s -d '%s'\n", c.name, plain.Replace(c.brief))
	}
	for _, c := range commands {
		for _, f := range completedFlags(c.name) {
			kind := "-o"
			if len(f.name) == 1 {
				kind = "-s"
			}
			switch {
			case f.words != nil:
				kind = "-x -a '" + strings.Join(f.words, " ") + "' " + kind
			case f.value != "":
				kind = "-r " + kind
			}
			fmt.Fprintf(w, "complete -c fluedrift -n '__fish_seen_subcommand_from %s' %s %s -d '%s'\n", c.name, kind, f.name,
				plain.Replace(f.brief))
		}
	}
	fmt.Fprintf(w, "complete -c fluedrift -f -n '__fish_seen_subcommand_from help' -a '%s'\n", strings.Join(helpWords(), " "))
	for _, topic := range helpPartNames() {
		names := strings.Join(helpParts[topic].names(), " ")
		fmt.Fprintf(w, "complete -c fluedrift -f -n '__fish_seen_subcommand_from %s' -a '%s'\n", topic, names)
	}
}
