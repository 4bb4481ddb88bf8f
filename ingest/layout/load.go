package layout

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"
)

// errNone: a folder has no layout in it.
var errNone = errors.New("holds no *.toml")

// A Bad layout is a file of a folder of layouts that is none.
type Bad struct {
	Path  string
	Names []string // patterns of the files it is for, as far as they can be read
	Err   error    // names the file and, where one is to blame, the line
}

// Load reads every *.toml of a folder, sorted by name. The error names the
// file and, where one is to blame, the line.
func Load(dir string) ([]*Layout, error) {
	all, bad, err := load(dir)
	if err == nil && len(bad) > 0 {
		err = bad[0].Err
	}
	if err != nil {
		return nil, err
	}
	return all, nil
}

// LoadSound reads every *.toml of a folder, sorted by name, and gives those that
// are no layouts beside the others. The folder need not be given, be there or hold any.
func LoadSound(dir string) ([]*Layout, []Bad, error) {
	if dir == "" {
		return nil, nil, nil
	}
	all, bad, err := load(dir)
	if errors.Is(err, errNone) || errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	return all, bad, err
}

func load(dir string) (all []*Layout, bad []Bad, err error) {
	paths, err := filepath.Glob(filepath.Join(ExactPattern(dir), "*.toml"))
	if err != nil {
		return nil, nil, fmt.Errorf("layouts folder %q: %w", dir, err)
	}
	if len(paths) == 0 {
		if _, err := os.Stat(dir); err != nil {
			return nil, nil, fmt.Errorf("layouts folder %q: %w", dir, err)
		}
		return nil, nil, fmt.Errorf("layouts folder %q %w\nwrite a layout for each kind of export", dir, errNone)
	}
	sort.Strings(paths)
	byName := map[string]string{}
	for _, p := range paths {
		text, err := os.ReadFile(p)
		if err != nil {
			return nil, nil, fmt.Errorf("layout: %w", err)
		}
		l, err := Parse(p, string(text))
		if err == nil {
			err = readTables(l)
		}
		if err == nil && byName[l.Name] != "" {
			err = fmt.Errorf("%s: the name %q is taken by %s\nname the layouts apart", p, l.Name, byName[l.Name])
		}
		if err != nil {
			bad = append(bad, Bad{p, namesIn(string(text)), err})
			continue
		}
		byName[l.Name] = p
		all = append(all, l)
	}
	return all, bad, nil
}

// namesIn are the name patterns in the text of a layout that is wrong elsewhere.
func namesIn(text string) []string {
	var l struct {
		Match Match `toml:"match"`
	}
	if _, err := toml.Decode(text, &l); err != nil {
		return nil
	}
	return l.Match.Names
}

// ExactPattern is a pattern that fits one name alone.
func ExactPattern(name string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(name)
}

// Parse reads and checks one layout. The path is only named in errors.
func Parse(path, text string) (*Layout, error) {
	l := &Layout{Path: path}
	meta, err := toml.Decode(text, l)
	if err != nil {
		if pe, ok := errors.AsType[toml.ParseError](err); ok {
			return nil, fmt.Errorf("%s:%d: %s", path, pe.Position.Line, pe.Message)
		}
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	at := positions(text)
	if extra := meta.Undecoded(); len(extra) > 0 {
		key := extra[0].String()
		return nil, fmt.Errorf("%s:%d: unknown key %q\n%s", path, at.key(key), key, knownKeys(extra[0]))
	}
	for i := range l.Columns {
		l.Columns[i].Line = at.table("column", i)
	}
	for i := range l.Steps {
		l.Steps[i].Line = at.table("step", i)
	}
	if err := (compiler{l}).compile(); err != nil {
		if p, ok := errors.AsType[*problem](err); ok {
			return nil, fmt.Errorf("%s:%d: %w", path, max(p.line, at.key(p.key), 1), p.err)
		}
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return l, nil
}

// problem is a fault of a layout at a line or a key.
type problem struct {
	line int
	key  string
	err  error
}

func (p *problem) Error() string { return p.err.Error() }
func (p *problem) Unwrap() error { return p.err }

func atKey(key, format string, args ...any) error {
	return &problem{key: key, err: fmt.Errorf(format, args...)}
}

func (c Column) fault(format string, args ...any) error {
	return &problem{line: c.Line, err: fmt.Errorf("column %q: %w", c.Header, fmt.Errorf(format, args...))}
}

// places finds the lines of keys and tables in the text of a layout.
type places struct {
	keys   map[string]int
	tables map[string][]int
}

// positions is a light reading of the text: table headers and the keys at the
// start of lines. The text is known to be valid.
func positions(text string) places {
	p := places{map[string]int{}, map[string][]int{}}
	table := ""
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if strings.HasPrefix(line, "[") && !strings.Contains(line, "=") {
			table = strings.Trim(strings.SplitN(line, "#", 2)[0], "[] \t\r")
			p.tables[table] = append(p.tables[table], i+1)
			if p.keys[table] == 0 {
				p.keys[table] = i + 1
			}
			continue
		}
		name, _, ok := strings.Cut(line, "=")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		key := strings.Trim(strings.TrimSpace(name), `"'`)
		if table != "" {
			key = table + "." + key
		}
		if p.keys[key] == 0 {
			p.keys[key] = i + 1
		}
	}
	return p
}

// key is the first line of a dotted key, or of the table it stands in.
func (p places) key(key string) int {
	for key != "" {
		if n, ok := p.keys[key]; ok {
			return n
		}
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			return 0
		}
		key = key[:i]
	}
	return 0
}

func (p places) table(name string, i int) int {
	if i < len(p.tables[name]) {
		return p.tables[name][i]
	}
	return 0
}
