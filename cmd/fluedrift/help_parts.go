package main

import (
	"io"
	"maps"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
)

// A helpPart is a page of help that is a file as a program reads it, such as a shell
// or a service manager.
type helpPart struct {
	name  string
	print func(w io.Writer)
}

// partsOf are the parts of one topic.
type partsOf []helpPart

// helpParts are the parts of a topic, by the topic's name: help completion bash.
var helpParts map[string]partsOf

func init() {
	helpParts = map[string]partsOf{"completion": completions, "schedule": scheduleFiles}
}

func helpPartNames() []string { return slices.Sorted(maps.Keys(helpParts)) }

func (p partsOf) names() (names []string) {
	for _, one := range p {
		names = append(names, one.name)
	}
	return names
}

// printPart prints one part of a topic.
func (p partsOf) printPart(w io.Writer, topic string, of []string) error {
	for _, one := range p {
		if len(of) == 1 && one.name == of[0] {
			one.print(w)
			return nil
		}
	}
	return settings.Fail(settings.Usage, "help %s: no part %q\nname one of %s", topic, strings.Join(of, " "), strings.Join(p.names(), ", "))
}
