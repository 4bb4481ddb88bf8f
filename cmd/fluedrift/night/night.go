package night

import (
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"slices"
	"time"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/mend"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// A Night is one run from exports to a publication. Its steps stand in order in
// steps.go, the work of each in night.go, how it ends in ending.go. What it reads
// and makes is handed on in three parts: the evidence that its guards look at, what
// they find, and the output.
type Night struct {
	Options
	evidence
	findings
	output
	began time.Time
	steps []step
	parts *stages                  // finer than steps
	alias func(code string) string // pseudonym of a technician code; nil: the code itself
	back  *Backtest                // newest look back older than the as-of day
	seen  map[string]ingest.File   // exports of which the warehouse does not keep all that was seen
}

// evidence is what a night has read so far, and the publications it compares that
// with.
type evidence struct {
	Config  *settings.Config
	folder  string // of the lists
	asOf    day.Day
	byClock bool // the day is the clock's, which may be wrong

	last   *Record   // newest publication, for the guards
	recent []*Record // those of the last guards.shrink_days, the newest first
	before *Record   // newest with an earlier as-of day, for what changed

	inputs       []Input
	aside        []queries.SetAside // lines that wait for a person
	mended       mend.Returned      // set aside, with a mended line in their place
	silent       []silence
	readings     int64 // that stand, of all units
	calibrations int   // on record
	fits         []Fit
	medians      []watch.ColumnMedian // of the columns of readings
}

// step is one part of a night with the time it took.
type step struct {
	name    string
	seconds float64
}

// Options are what a caller asks of a night.
type Options struct {
	AsOf     day.Day
	ByClock  bool                                 // the day is the clock's, which may be wrong
	Beside   bool                                 // the lists of another day, beside the newest: latest and the warehouse stay
	Into     bool                                 // a build was asked to replace this warehouse, whatever it holds
	Comments bool                                 // the warehouse says of each column what it holds
	Version  string                               // of the program
	Now      func() time.Time                     // the clock, for what is timed
	Log      *slog.Logger                         // steps at debug level, what could not be done as warnings
	Progress func(step string)                    // is told of each step before it begins; nil: nobody watches
	Exit     func(ctx context.Context, err error) // ends the process where a step does not heed a signal; nil: the step is waited for
	Trace    func(publish.Op)                     // sees every change to the output before it is made; nil but in tests
}

// New makes a night of a configuration.
func New(cfg *settings.Config, o Options) (n *Night, err error) {
	n = &Night{
		Options:  o,
		evidence: evidence{Config: cfg, folder: cfg.Path(cfg.Output.Lists), asOf: o.AsOf, byClock: o.ByClock},
		findings: findings{config: cfg},
		output:   output{config: cfg, version: o.Version},
		began:    o.Now(),
		parts:    newStages(o.Now),
	}
	n.alias, err = cfg.Pseudonyms()
	return n, err
}

// guards are those of this night.
func (n *Night) guards() guards {
	return guards{&n.evidence, &n.findings}
}

// do runs one step, times it and says so where somebody watches. A panic in it
// comes back as an error that names the step.
func (n *Night) do(name string, work func() error) error {
	if n.Progress != nil {
		n.Progress(name)
	}
	start := n.Now()
	err := Caught(At("while "+name), work)
	took := n.Now().Sub(start).Seconds()
	n.steps = append(n.steps, step{name, took})
	if err == nil {
		n.Log.Debug("step done", "step", name, "seconds", took)
	}
	return err
}

// checkInput looks for the exports folder before any work is done.
func (n *Night) checkInput() error {
	folder := n.Config.Path(n.Config.Exports.Folder)
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return settings.Fail(settings.NoInput, "the exports folder %s is not there\nmount it, or mend exports.folder "+
			"in the configuration", folder)
	case err != nil:
		return settings.Fail(settings.NoInput, "cannot read the exports folder: %w", err)
	case len(entries) == 0:
		return settings.Fail(settings.NoInput, "the exports folder %s holds no export\nthe last list stays", folder)
	}
	return nil
}

// read reads the exports into the warehouse and brings them into relation.
func (n *Night) read(ctx context.Context) error {
	if _, err := n.Config.Layouts(); err != nil {
		return err
	}
	in := n.Config.IngestOptions(n.AsOf, n.alias)
	in.Now, in.Settle = n.Now(), time.Duration(n.Config.Exports.Settle*float64(time.Second))
	n.parts.begin("reading the exports")
	result, err := ingest.Read(ctx, n.warehouse, in)
	if errors.Is(err, ingest.ErrTooMany) {
		return settings.Fail(settings.Refused, "input refused, the last list stays: %w", err)
	}
	if err != nil {
		return err
	}
	n.seen = map[string]ingest.File{}
	for _, f := range result.Files {
		if f.ToMend || f.Unread != nil {
			n.seen[f.Name] = f
		}
	}
	n.parts.begin("relating the rows")
	if err := n.warehouse.Build(ctx, n.AsOf); err != nil || !n.Comments {
		return err
	}
	return n.warehouse.Describe(ctx)
}

// takeInputs notes what became of each file.
func (n *Night) takeInputs(ctx context.Context) error {
	files, err := n.warehouse.Files(ctx)
	if err != nil {
		return err
	}
	n.inputs = append(n.inputs, inputRecords(files)...)
	for i := range n.inputs {
		r := &n.inputs[i]
		r.ToMend = n.seen[r.Name].ToMend
		for _, u := range n.seen[r.Name].Unread {
			r.Unread = append(r.Unread, Unread(u))
		}
		r.Ignored = !r.ours() && n.Config.IsIgnored(r.Name)
	}
	n.aside, err = n.warehouse.SetAside(ctx)
	return err
}

// inputRecords are files as a record of a night holds them.
func inputRecords(files []queries.File) (all []Input) {
	for _, f := range files {
		r := Input{
			Name: f.Name, Bytes: f.Bytes, Digest: f.Digest, Layout: f.Layout, Record: f.Record, Source: f.Source,
			Outcome: f.Outcome, Reason: f.Reason, Message: f.Message,
			Lines: f.Lines, Header: f.Header, Blank: f.Blank, Skipped: f.Skipped,
			Records: f.Accepted + f.Superseded + f.Duplicate + f.Doubtful + f.SetAside, Readings: f.Readings,
			WithoutGas: f.WithoutGas, SetAside: f.SetAside, Joined: f.Joined,
			CellsSetAside: f.CellsSetAside, LinesSpoilt: f.LinesWithCells, LostReadings: f.LinesWithLost,
			worstColumn: f.WorstColumn,
			Accepted:    f.Accepted, Superseded: f.Superseded, Duplicate: f.Duplicate, Doubtful: f.Doubtful,
		}
		if f.WorstShare > 0 { // NaN without one
			r.worstShare = f.WorstShare
		}
		if f.ExportDay != day.None {
			r.ExportDay = settings.DayText(f.ExportDay)
		}
		all = append(all, r)
	}
	return all
}

// takeMended finds the mended lines of the night. Those in whose place they
// stand keep their outcome, but nobody has to mend them again, and no guard
// counts them.
func (n *Night) takeMended() (err error) {
	if !slices.ContainsFunc(n.inputs, func(r Input) bool { return r.SetAside+r.Doubtful+r.CellsSetAside > 0 }) {
		return nil
	}
	if n.mended, err = MendedOf(n.Config, n.inputs, n.aside); err != nil {
		return err
	}
	byFile := asideByFile(n.aside, n.mended)
	for i := range n.inputs {
		if of := byFile[n.inputs[i].Name]; of != nil {
			n.inputs[i].Mended, n.inputs[i].Cause = of.mended, of.cause()
		}
	}
	return nil
}
