package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
)

// Words that are no answers.
const (
	skipWord = "skip"
	sameWord = "same"
)

// errEnded ends the questions: the terminal was closed.
var errEnded = errors.New("no more answers")

// An asker asks at a terminal. Each answer is in the file of decisions before the next
// question, so that nothing typed is ever lost.
type asker struct {
	*beginning
	in    *bufio.Reader
	out   io.Writer
	asked map[string]bool   // lines of decisions.toml that were asked for
	last  map[string]string // the answer before, of lines that ask for the like
}

// converse asks what is open, and what the answers open, until nothing is left to ask.
func converse(ctx context.Context, c *call, b *beginning) error {
	if c.exit != nil { // a read from a terminal does not end by a signal
		defer context.AfterFunc(ctx, func() {
			fmt.Fprintf(c.err, "\nfluedrift: interrupted; the answers so far are in %s\n", b.answers.path)
			c.exit(int(settings.Interrupted))
		})()
	}
	a := asker{beginning: b, in: bufio.NewReader(c.in), out: c.out, asked: map[string]bool{}, last: map[string]string{}}
	a.greet()
	for {
		open := a.open()
		if len(open) == 0 {
			return nil
		}
		if err := a.keep(); err != nil {
			return err
		}
		err := a.round(open)
		if err != nil && !errors.Is(err, errEnded) {
			return err
		}
		if look := b.look(ctx, c); look != nil || err != nil {
			return look
		}
	}
}

// greet says what was found, a line a kind of file.
func (a *asker) greet() {
	var t strings.Builder
	for i := range a.kinds {
		fmt.Fprintln(&t, headOfKind(&a.kinds[i]))
	}
	if len(a.questions) > 0 {
		fmt.Fprintf(&t, "\n%s, the most costly first. Answers go to %s.\n", night.Count(len(a.questions), "question"), a.answers.path)
		fmt.Fprintf(&t, "%q leaves a question for later; so does the end of input (Ctrl-D).\n", skipWord)
	}
	a.say(t.String())
}

func (a *asker) say(text string) { fmt.Fprint(a.out, night.Shown(text)) }

// open are the questions with a line that was not asked for yet.
func (a *asker) open() []asked {
	return slices.DeleteFunc(slices.Clone(a.questions), func(q asked) bool { return !slices.ContainsFunc(q.lines, a.waits) })
}

// waits reports a line to ask for. One that has an answer which cannot be read is a
// person's: it is mended in the file.
func (a *asker) waits(line string) bool { return !a.asked[line] && a.answers.text(line) == "" }

// keep makes sure that the file of decisions has a line for each question.
func (a *asker) keep() error {
	text, added := a.answers.with(a.questions)
	if !added {
		return nil
	}
	return a.store(text)
}

// store writes the file of decisions and reads it again.
func (a *asker) store(text []byte) error {
	if err := replaceFile(a.answers.path, text); err != nil {
		return err
	}
	used := a.answers.used
	var err error
	if a.answers, err = readDecisions(a.answers.path); err == nil {
		a.answers.used = used
	}
	return err
}

// round asks some questions, one after the other.
func (a *asker) round(open []asked) error {
	for i, q := range open {
		var t strings.Builder
		for j, line := range q.told() {
			start := [...]string{fmt.Sprintf("\n%d of %d. ", i+1, len(open)), "   "}[min(j, 1)]
			writeWrapped(&t, start, "   ", line)
		}
		for n, c := range q.choices {
			fmt.Fprintf(&t, "   %2d  %s\n", n+1, c)
		}
		a.say(t.String())
		if err := a.answer(q); err != nil {
			return err
		}
	}
	return nil
}

// answer asks for each line of a question.
func (a *asker) answer(q asked) error {
	for _, line := range q.lines {
		if !a.waits(line) {
			continue
		}
		a.asked[line] = true
		answer, err := a.line(q, line)
		if err != nil {
			return err
		}
		if answer == skipWord {
			for _, rest := range q.lines {
				a.asked[rest] = true
			}
			return nil
		}
		if answer == "" {
			continue
		}
		if err := a.write(line, answer); err != nil {
			return err
		}
		a.last[likeOf(line)] = answer
	}
	return nil
}

// likeOf tells what a line of a question asks for, leaving out of what: the target of
// another model line at the same fire is often the same.
func likeOf(line string) string {
	if _, like, ok := strings.Cut(line, ", "); ok {
		return like
	}
	_, like, _ := strings.Cut(line, ": ")
	return like
}

// prompt says of a line what return means.
func (q asked) prompt(line, last string) string {
	enter := cmp.Or(q.guess, "later")
	if len(q.lines) == 1 && q.valid == nil {
		return fmt.Sprintf("   (return: %s) > ", enter)
	}
	if last != "" {
		enter += "; " + sameWord + ": " + last
	}
	return fmt.Sprintf("   %s (return: %s) > ", line, enter)
}

// line asks for one line until it has an answer that can be read: "" leaves it.
func (a *asker) line(q asked, line string) (string, error) {
	last := a.last[likeOf(line)]
	prompt := q.prompt(line, last)
	for {
		a.say(prompt)
		typed, err := a.in.ReadString('\n')
		if err != nil && typed == "" {
			a.say("\n")
			return "", errEnded
		}
		answer, wrong := q.read(strings.TrimSpace(typed), last)
		if wrong == "" {
			return answer, nil
		}
		a.say("   " + wrong + "\n")
	}
}

// read makes an answer of what was typed, or says why it is none.
func (q asked) read(typed, last string) (answer, wrong string) {
	fold := strings.ToLower(typed)
	switch {
	case fold == skipWord:
		return skipWord, ""
	case typed == "":
		return q.guess, ""
	case fold == sameWord && len(q.lines) > 1 && last != "":
		return last, ""
	case q.valid != nil:
		if err := q.valid(typed); err != nil {
			return "", err.Error()
		}
		return typed, ""
	case len(q.choices) == 0:
		return typed, ""
	}
	return q.choice(typed)
}

// choice is the choice that was typed: whole, by its number, or as far as it takes to
// tell it from the others.
func (q asked) choice(typed string) (answer, wrong string) {
	var begin []string
	for _, c := range q.choices {
		if strings.EqualFold(c, typed) {
			return c, ""
		}
		if strings.HasPrefix(strings.ToLower(c), strings.ToLower(typed)) {
			begin = append(begin, c)
		}
	}
	if n, err := strconv.Atoi(typed); err == nil && n >= 1 && n <= len(q.choices) {
		return q.choices[n-1], ""
	}
	switch len(begin) {
	case 1:
		return begin[0], ""
	case 0:
		return "", fmt.Sprintf("%q is none of them: type one, or its number, or %s.", typed, skipWord)
	}
	return "", fmt.Sprintf("%q could be %s.", typed, strings.Join(begin, " or "))
}

// write puts an answer into the file of decisions, in the line that was made for it.
func (a *asker) write(line, answer string) error {
	text, ok := a.answers.filled(line, answer)
	if !ok {
		a.say(fmt.Sprintf("   Not written: the line of this question in %s was edited. Write the answer there.\n", a.answers.path))
		return nil
	}
	return a.store(text)
}
