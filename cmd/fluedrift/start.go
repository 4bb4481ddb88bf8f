package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report/page"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/queries"
)

var startCommand = command{
	"start", "EXPORTS", "look at a folder of exports, write a configuration and layouts for them, and ask what only a person can know",
	start,
}

// A beginning is what start makes of a folder of exports.
type beginning struct {
	exports   string // folder of the exports, as given
	dir       string // what is written lies here
	answers   *decisions
	kinds     []ingest.Proposal
	kept      []string // files that a person edited, left as they are
	questions []asked
	declared  []string    // keys of ids in a configuration of a person's
	spelling  []spellings // ids that are probably written otherwise
}

// asked is a question about the files of one kind, or of several that it is asked of
// alike.
type asked struct {
	key      string // of the question about a kind of file
	ask      string
	evidence []string
	choices  []string
	guess    string                    // what holds until it is answered
	cost     int                       // lines of records that hang on it
	lines    []string                  // of decisions.toml, by their ids
	wrong    []string                  // answers that cannot be read, in words
	valid    func(answer string) error // of an answer that is no choice; nil: any
}

// start looks at all exports, writes what it understood, and asks for the rest.
func start(ctx context.Context, c *call) error {
	if len(c.args) != 1 {
		return settings.Fail(settings.Usage, "start: name one folder of exports\nsee: fluedrift help start")
	}
	b := &beginning{exports: c.args[0], dir: c.dir}
	c.guards = []publish.Protected{
		publish.Folder("the exports folder", b.exports), publish.Folder("the layouts folder", b.layouts()),
		{What: "the configuration", Path: filepath.Join(b.dir, configName)},
		{What: "the answers", Path: filepath.Join(b.dir, decisionsName)},
	}
	if err := c.checkOutput(); err != nil {
		return err
	}
	if err := b.readsOther(); err != nil {
		return err
	}
	if err := b.look(ctx, c); err != nil {
		return err
	}
	if c.asks && c.format == "text" && c.output == "" {
		if err := converse(ctx, c, b); err != nil {
			return err
		}
	}
	if err := b.write(); err != nil {
		return err
	}
	r, asOf, err := b.read(ctx, c)
	if err != nil {
		return err
	}
	return c.writeResult(func(out io.Writer) error {
		if c.format == "html" {
			return page.WriteBeginning(out, pageOf(r, asOf))
		}
		return r.write(out)
	})
}

// read reads the exports as the next night would, and says what becomes of them.
func (b *beginning) read(ctx context.Context, c *call) (r report, asOf day.Day, err error) {
	c.config = filepath.Join(b.dir, configName)
	cfg, err := publish.ReadSettings(c.config)
	if err != nil {
		return r, asOf, err
	}
	if asOf, err = asOfDay(c, cfg); err != nil {
		return r, asOf, err
	}
	alias, err := cfg.Pseudonyms()
	if err != nil {
		return r, asOf, err
	}
	r = report{beginning: b, cfg: cfg}
	r.all, err = inspectExports(ctx, cfg, cfg.IngestOptions(asOf, alias), nil, func(w *queries.Warehouse) (err error) {
		r.outlook, err = night.OutlookOf(ctx, cfg, w)
		return err
	})
	return r, asOf, err
}

// look reads the answers and proposes a layout for each kind of file.
func (b *beginning) look(ctx context.Context, c *call) error {
	if notThere(b.exports) {
		return settings.Fail(settings.NoInput, "start: the exports folder %s is not there", b.exports)
	}
	if err := publish.Allowed("-dir", b.dir, []publish.Protected{publish.Folder("the exports folder", b.exports)}); err != nil {
		return err
	}
	var err error
	if b.answers, err = readDecisions(filepath.Join(b.dir, decisionsName)); err != nil {
		return err
	}
	own, err := ownLayouts(b.layouts())
	if err != nil {
		return err
	}
	o := ingest.Options{Folder: b.exports, Layouts: b.layouts(), AsOf: c.today()}
	b.kinds, err = ingest.Propose(ctx, o, own, b.answers.of)
	if err != nil {
		return err
	}
	if len(b.kinds) == 0 {
		return settings.Fail(settings.NoInput, "start: the exports folder %s holds no file", b.exports)
	}
	b.collect()
	return nil
}

func (b *beginning) layouts() string { return filepath.Join(b.dir, "layouts") }

// ownLayouts are the name patterns of the layouts that a person wrote or edited.
func ownLayouts(folder string) (map[string][]string, error) {
	sound, bad, err := layout.LoadSound(folder)
	if err != nil {
		return nil, err
	}
	own := map[string][]string{}
	for _, l := range sound {
		if edited(l.Path) {
			own[l.Path] = l.Match.Names
		}
	}
	for _, one := range bad {
		if edited(one.Path) {
			return nil, settings.Fail(settings.Usage, "%w", one.Err)
		}
	}
	return own, nil
}

// collect gathers the questions that are open, the most costly first.
func (b *beginning) collect() {
	b.questions = nil
	for _, k := range b.kinds {
		for i := range k.Questions {
			if q := &k.Questions[i]; q.Answered || k.By != "" {
				b.answers.use(k.Label, q.Key)
			} else {
				b.questions = askOf(b.questions, k.Label, q)
			}
		}
	}
	if q, open := b.askTargets(); open {
		b.questions = append(b.questions, q)
	}
	b.questions = append(b.questions, naming{b}.ask()...)
	slices.SortStableFunc(b.questions, func(x, y asked) int { return cmp.Compare(y.cost, x.cost) })
}

// askOf adds a question about the files of a label, to one that is asked of others
// alike where there is one.
func askOf(all []asked, label string, q *draft.Question) []asked {
	id := decisionID(label, q.Key)
	var wrong []string
	if q.Wrong != "" {
		wrong = []string{fmt.Sprintf("%q: your answer %q is none of these.", id, q.Wrong)}
		if q.Check != nil {
			wrong = []string{fmt.Sprintf("%q: %v.", id, q.Check(q.Wrong))}
		}
	}
	at := slices.IndexFunc(all, func(o asked) bool {
		alike := o.key == q.Key && o.ask == q.Ask && o.guess == q.Guess && slices.Equal(o.choices, q.Choices)
		return alike && (len(q.Choices) > 0 || q.Check != nil)
	})
	evidence := []string{label + ": " + strings.Join(q.Evidence, "; ")}
	if at < 0 {
		return append(all, asked{
			key: q.Key, ask: q.Ask, evidence: evidence, choices: q.Choices, guess: q.Guess, cost: q.Cost, lines: []string{id}, wrong: wrong,
			valid: q.Check,
		})
	}
	o := &all[at]
	o.evidence, o.cost, o.lines, o.wrong = append(o.evidence, evidence...), o.cost+q.Cost, append(o.lines, id), append(o.wrong, wrong...)
	return all
}
