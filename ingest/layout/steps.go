package layout

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fluedrift/ingest/parse"
)

// Step is one thing that is done to the rows of a file before fields are read.
// Columns that it makes have the names of headers, and a [[column]] refers to them.
type Step struct {
	Do       string   `toml:"do"`
	Column   string   `toml:"column"`
	Columns  []string `toml:"columns"`
	Patterns Patterns `toml:"patterns"`
	Values   []string `toml:"values"`
	Where    string   `toml:"where"`
	Is       []string `toml:"is"`
	Into     string   `toml:"into"`
	With     string   `toml:"with"`
	Of       string   `toml:"of"`
	Checks   string   `toml:"checks"`

	Ids        []string `toml:"ids"`
	NamesFrom  string   `toml:"names_from"`
	ValuesFrom string   `toml:"values_from"`
	UnitsFrom  string   `toml:"units_from"`
	Names      []string `toml:"names"`
	Adjacent   bool     `toml:"adjacent"`

	Revision string   `toml:"revision"`
	Table    string   `toml:"table"`
	Unknown  string   `toml:"unknown"`
	By       []string `toml:"by"`
	TableBy  []string `toml:"table_by"`
	Take     []string `toml:"take"`
	Prefix   string   `toml:"prefix"`

	Ranges []Range `toml:"ranges"`

	Required bool `toml:"required"`
	Optional bool `toml:"optional"`

	// Compiled from the above.
	Line  int              `toml:"-"` // line in the layout's file
	Exprs []*regexp.Regexp `toml:"-"` // patterns; each fits a whole cell
	Found *Lookup          `toml:"-"` // the table of a lookup, once it is read
}

// What steps do.
const (
	FillDown     = "fill_down"
	Separate     = "separate"
	Unite        = "unite"
	FirstFilled  = "first_filled"
	MissingWhere = "missing_where"
	LeaveOut     = "leave_out"
	PartsOfName  = "from_name"
	FromTitle    = "from_title"
	HeadingRows  = "heading_rows"
	PivotWider   = "pivot_wider"
	LookupIn     = "lookup"
	Join         = "join"
	KeepLatest   = "keep_latest"
	InRanges     = "in_ranges"
)

// stepKind is what a step of a kind can say and what it does with columns.
type stepKind struct {
	do       string
	keys     []string // that it has to have
	optional []string // that it may have
	check    func(*Step) error
	makes    func(*Step) []string // columns it adds; nil: none
	spends   bool                 // what its columns hold goes on into others: they need no [[column]]
	consults bool                 // its columns only decide what is done: they need no [[column]] either
}

var stepKinds = []stepKind{
	{do: FillDown, keys: []string{"columns"}},
	{
		do: Separate, keys: []string{"column", "patterns"}, optional: []string{"required"}, check: checkPatterns, makes: groupNames,
		spends: true,
	},
	{do: Unite, keys: []string{"columns", "into"}, optional: []string{"with"}, makes: into, spends: true},
	{do: FirstFilled, keys: []string{"columns", "into"}, makes: into, spends: true},
	{do: MissingWhere, keys: []string{"columns", "where", "is"}, optional: []string{"values"}},
	{do: LeaveOut, keys: []string{"column", "values"}, consults: true},
	{do: PartsOfName, keys: []string{"patterns"}, optional: []string{"of", "checks"}, check: checkName, makes: groupNames},
	{do: FromTitle, keys: []string{"patterns"}, optional: []string{"of", "checks"}, check: checkTitle, makes: groupNames},
	{do: HeadingRows, keys: []string{"patterns"}, check: checkPatterns, makes: groupNames},
	{
		do: PivotWider, keys: []string{"ids", "names_from", "values_from", "names"}, optional: []string{"units_from", "adjacent"},
		check: checkNames, makes: func(s *Step) []string { return s.Names }, spends: true,
	},
	{do: LookupIn, keys: []string{"column", "table", "unknown"}, check: checkLookup, makes: lookedUp, spends: true},
	{
		do: Join, keys: []string{"table", "by", "take"}, optional: []string{"table_by", "prefix"}, check: checkJoin, makes: taken,
		consults: true,
	},
	{
		do: InRanges, keys: []string{"column", "into", "ranges"}, optional: []string{"required"}, check: checkRanges, makes: into,
		spends: true,
	},
	{do: KeepLatest, keys: []string{"ids", "revision"}, check: checkNames},
}

// What from_name reads the name of, and which lines from_title reads.
const (
	OfFile   = "file"
	OfSheet  = "sheet"
	OfTitle  = "title"  // those above the header
	OfFooter = "footer" // those that the layout skips below the rows
)

func into(s *Step) []string { return []string{s.Into} }

// dos are the kinds of steps.
func dos() (all []string) {
	for _, k := range stepKinds {
		all = append(all, k.do)
	}
	return all
}

func (s *Step) kind() *stepKind {
	i := slices.IndexFunc(stepKinds, func(k stepKind) bool { return k.do == s.Do })
	if i < 0 {
		return nil
	}
	return &stepKinds[i]
}

// given are the keys that a step has.
func (s *Step) given() map[string]bool {
	return map[string]bool{
		"column": s.Column != "", "columns": s.Columns != nil, "patterns": s.Patterns != nil, "values": s.Values != nil,
		"where": s.Where != "", "is": s.Is != nil, "into": s.Into != "", "with": s.With != "", "of": s.Of != "", "checks": s.Checks != "",
		"ids": s.Ids != nil, "names_from": s.NamesFrom != "", "values_from": s.ValuesFrom != "", "units_from": s.UnitsFrom != "",
		"names": s.Names != nil, "adjacent": s.Adjacent, "revision": s.Revision != "", "table": s.Table != "", "unknown": s.Unknown != "",
		"required": s.Required, "optional": s.Optional,
		"ranges": s.Ranges != nil, "by": s.By != nil, "table_by": s.TableBy != nil, "take": s.Take != nil, "prefix": s.Prefix != "",
	}
}

// Reads are the columns that a step has to find.
func (s *Step) Reads() []string {
	all := slices.Concat(s.Columns, s.Ids, s.By)
	for _, name := range []string{s.Column, s.Where, s.NamesFrom, s.ValuesFrom, s.UnitsFrom, s.Revision} {
		if name != "" {
			all = append(all, name)
		}
	}
	return all
}

// Takes are the columns that a step takes into others.
func (s *Step) Takes() []string {
	all := s.Reads()
	return slices.DeleteFunc(all, func(name string) bool { return slices.Contains(s.Ids, name) })
}

// holds are the columns whose cells the step puts into those it makes.
func (s *Step) holds() []string {
	if s.ValuesFrom != "" {
		return []string{s.ValuesFrom}
	}
	return s.Reads()
}

// Makes are the columns that a step adds.
func (s *Step) Makes() []string {
	if k := s.kind(); k != nil && k.makes != nil {
		return k.makes(s)
	}
	return nil
}

// Patterned gives the place of the first pattern that fits a cell, and its groups.
func (s *Step) Patterned(cell string) (pattern int, groups []string) {
	for i, re := range s.Exprs {
		if groups = re.FindStringSubmatch(cell); groups != nil {
			return i, groups
		}
	}
	return -1, nil
}

// Compile checks a step that a program made, and makes ready what its patterns are.
func (s *Step) Compile() error {
	k := s.kind()
	if k == nil {
		return s.fault("do %q is not one of %s", s.Do, strings.Join(dos(), ", "))
	}
	given := s.given()
	for _, key := range k.keys {
		if !given[key] {
			return s.fault("it needs %s", key)
		}
		delete(given, key)
	}
	for _, key := range append([]string{"optional"}, k.optional...) {
		delete(given, key)
	}
	for _, key := range keysOf("step") {
		if given[key] {
			return s.fault("%s is not for it; it takes %s", key, strings.Join(append(slices.Clone(k.keys), k.optional...), ", "))
		}
	}
	for _, names := range [][]string{s.Columns, s.Ids, s.Names} {
		for i := range names {
			names[i] = parse.Trim(names[i])
		}
	}
	for _, name := range []*string{&s.Column, &s.Where, &s.Into, &s.Checks, &s.NamesFrom, &s.ValuesFrom, &s.UnitsFrom, &s.Revision} {
		*name = parse.Trim(*name)
	}
	if slices.Contains(s.Reads(), "") {
		return s.fault("a column needs the header it has in the file")
	}
	if k.check != nil {
		return k.check(s)
	}
	return nil
}

// checkSteps compiles the steps in their order.
func checkSteps(l *Layout) error {
	for i := range l.Steps {
		s := &l.Steps[i]
		if err := s.Compile(); err != nil {
			return err
		}
		switch {
		case s.Do != FromTitle:
		case l.Named():
			return s.fault("a file of type %q has no lines but its rows", l.File.Type)
		case s.Of == OfTitle && l.File.HeaderLines.First() <= 1:
			return s.fault("no line stands above the header: header in [file] is the number of its line")
		case s.Of == OfFooter && len(l.Footers) == 0:
			return s.fault("no line is a footer: say in footer of [file] which are")
		}
	}
	return checkMade(l)
}

// checkMade sees that no two steps make one column.
func checkMade(l *Layout) error {
	made := map[string]string{}
	for i := range l.Steps {
		s := &l.Steps[i]
		for _, name := range s.Makes() {
			if other := made[parse.Fold(name)]; other != "" {
				return s.fault("it makes the column %q, and so does an earlier step (%s)", name, other)
			}
			made[parse.Fold(name)] = s.Do
		}
	}
	return nil
}

// checkPatterns compiles the patterns of a step. Each has to fit a whole cell: a
// pattern that fits a part of it would lose the rest.
func checkPatterns(s *Step) error {
	s.Exprs = nil
	for _, p := range s.Patterns {
		if _, err := regexp.Compile(p); err != nil {
			return s.fault("pattern %q is not a regular expression: %v", p, err)
		}
		re := regexp.MustCompile(`^(?:` + p + `)$`)
		if !slices.ContainsFunc(re.SubexpNames(), func(n string) bool { return n != "" }) {
			return s.fault("pattern %q names no part\nwrite a part as (?P<name>...): it becomes the column of that name", p)
		}
		s.Exprs = append(s.Exprs, re)
	}
	return nil
}

// checkName compiles the patterns of a step on a name. They fit a part of it.
func checkName(s *Step) error {
	return checkParts(s, OfFile, OfSheet)
}

// checkTitle does the same for lines that are no rows.
func checkTitle(s *Step) error { return checkParts(s, OfTitle, OfFooter) }

func checkParts(s *Step, usual, other string) error {
	if err := checkPatterns(s); err != nil {
		return err
	}
	for i, p := range s.Patterns {
		s.Exprs[i] = regexp.MustCompile(p)
	}
	switch {
	case s.Of == "":
		s.Of = usual
	case s.Of != usual && s.Of != other:
		return s.fault("of %q: write %q or %q", s.Of, usual, other)
	}
	if s.Checks != "" && !slices.Contains(groupNames(s), "year") {
		return s.fault("checks needs a part named year, and may have quarter or month beside it: a day of another one is doubtful")
	}
	return nil
}

// checkNames holds the columns of a pivot apart.
func checkNames(s *Step) error {
	seen := map[string]bool{}
	for _, n := range s.Names {
		switch folded := parse.Fold(n); {
		case folded == "":
			return s.fault("names has a blank text")
		case seen[folded]:
			return s.fault("names has %q twice (letter case aside)", n)
		default:
			seen[folded] = true
		}
	}
	seen = map[string]bool{}
	for _, n := range s.Reads() {
		if seen[parse.Fold(n)] {
			return s.fault("column %q is named twice", n)
		}
		seen[parse.Fold(n)] = true
	}
	return nil
}

// groupNames are the names of the parts of all patterns, in order.
func groupNames(s *Step) (names []string) {
	for _, re := range s.Exprs {
		for _, n := range re.SubexpNames() {
			if n != "" && !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	return names
}

func (s *Step) fault(format string, args ...any) error {
	return &problem{line: s.Line, err: fmt.Errorf("step %s: %w", s.Do, fmt.Errorf(format, args...))}
}

// Sources are the columns of the file that a column is made from by the steps: the
// column itself where none makes it.
func (l *Layout) Sources(header string) []string {
	for i := len(l.Steps) - 1; i >= 0; i-- {
		s := &l.Steps[i]
		if !slices.ContainsFunc(s.Makes(), func(n string) bool { return parse.Fold(n) == parse.Fold(header) }) {
			continue
		}
		before := &Layout{Steps: l.Steps[:i]}
		var all []string
		for _, read := range s.holds() {
			all = append(all, before.Sources(read)...)
		}
		return all
	}
	return []string{header}
}

// Spends reports a step that takes what its columns hold into others.
func (s *Step) Spends() bool { return s.kind() != nil && s.kind().spends }

// Spent are the columns that steps read and that need no [[column]] of their own.
func (l *Layout) Spent() (all []string) {
	for i := range l.Steps {
		switch s := &l.Steps[i]; {
		case s.Spends() || s.kind().consults:
			all = append(all, s.Takes()...)
		case s.Where != "":
			all = append(all, s.Where)
		case s.Revision != "":
			all = append(all, s.Revision)
		}
	}
	return all
}

// Feeds reports a column of the file from which, by steps or by itself, a column with
// a field is made.
func (l *Layout) Feeds(header, field string) bool {
	return slices.ContainsFunc(l.Columns, func(c Column) bool {
		return c.Field == field && slices.ContainsFunc(c.Headers, func(name string) bool {
			return slices.ContainsFunc(l.Sources(name), func(s string) bool { return parse.Fold(s) == parse.Fold(header) })
		})
	})
}
