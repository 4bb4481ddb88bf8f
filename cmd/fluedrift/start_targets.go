package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/model/judge"
)

// targetFires are the fires that targets are asked for.
var targetFires = []judge.Fire{judge.High, judge.Low}

// target is the answer for a model line, a fuel and a fire.
type target struct {
	line, fuel string
	fire       judge.Fire
	co2        float64
	set, act   float64 // half widths of the bands; 0 where not given
}

// askTargets asks for the targets of the model lines and fuels of the registers,
// unless an export holds them. Without them no unit has a chance.
func (b *beginning) askTargets() (asked, bool) {
	q := asked{
		ask: "What is each burner set to? Write the target CO2 in %, the setting band ± and the action band ± in points, " +
			"as \"9.2 0.3 0.6\".",
		cost:  math.MaxInt,
		valid: validTarget,
	}
	if slices.ContainsFunc(b.kinds, func(k ingest.Proposal) bool { return k.Sure && k.Record == layout.ModelLines }) {
		return asked{}, false
	}
	for _, l := range b.modelLines() {
		open := false
		for _, fire := range targetFires {
			id := targetID(l.Line, l.Fuel, fire)
			if answer := b.answers.text(id); answer != "" {
				_, err := parseTarget(answer)
				if err == nil {
					b.answers.used[id] = true
					continue
				}
				q.wrong = append(q.wrong, fmt.Sprintf("%q: %s.", id, err))
			}
			open = true
			q.lines = append(q.lines, id)
		}
		if open {
			q.evidence = append(q.evidence, fmt.Sprintf("%s, %s: %s, the first %s", l.Line, l.Fuel, night.Count(l.Units, "boiler"), l.First))
		}
	}
	return q, len(q.lines) > 0
}

// modelLines are the model lines of all registers, each once for a fuel.
func (b *beginning) modelLines() (all []draft.ModelLine) {
	for _, k := range b.kinds {
		if !k.Sure || k.Record != layout.Units {
			continue
		}
		for _, l := range k.Lines {
			at := slices.IndexFunc(all, func(o draft.ModelLine) bool { return o.Line == l.Line && o.Fuel == l.Fuel })
			if at < 0 {
				all = append(all, l)
			} else {
				all[at].Units += l.Units
			}
		}
	}
	return all
}

func targetID(line, fuel string, fire judge.Fire) string {
	return fmt.Sprintf("target of %s, %s, %s fire", line, fuel, fire)
}

// targets are the answered targets.
func (b *beginning) targets() (all []target) {
	for _, l := range b.modelLines() {
		for _, fire := range targetFires {
			t, err := parseTarget(b.answers.text(targetID(l.Line, l.Fuel, fire)))
			if err != nil {
				continue
			}
			t.line, t.fuel, t.fire = l.Line, l.Fuel, fire
			all = append(all, t)
		}
	}
	return all
}

// validTarget says what is wrong with an answer.
func validTarget(answer string) error {
	_, err := parseTarget(answer)
	return err
}

// parseTarget reads an answer: a target and, where they are given, two bands.
func parseTarget(answer string) (target, error) {
	var numbers [3]float64
	fields := strings.Fields(answer)
	if len(fields) < 1 || len(fields) > 3 {
		return target{}, fmt.Errorf("%q is not one to three numbers with blanks between them", answer)
	}
	for i, f := range fields {
		v, err := strconv.ParseFloat(strings.Replace(f, ",", ".", 1), 64)
		if err != nil || !(v > 0 && v < 20) { // NaN is not either
			return target{}, fmt.Errorf("%q is no percentage between 0 and 20", f)
		}
		numbers[i] = v
	}
	return target{co2: numbers[0], set: numbers[1], act: numbers[2]}, nil
}
