package queries

import (
	"context"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// header of a file of statements: five comment lines, in this order.
type header struct {
	layer, makes, grain, reads, why string
}

func headerOf(t *testing.T, s step) (h header, body string) {
	lines := strings.SplitN(s.text, "\n", 6)
	require.Len(t, lines, 6, s.name)
	for i, f := range []struct {
		name string
		to   *string
	}{{"layer", &h.layer}, {"makes", &h.makes}, {"grain", &h.grain}, {"reads", &h.reads}, {"why", &h.why}} {
		value, ok := strings.CutPrefix(lines[i], "-- "+f.name+": ")
		require.True(t, ok && value != "", "%s: line %d is not the header line %q", s.name, i+1, f.name)
		*f.to = value
	}
	require.NotContains(t, lines[5], "--", "%s: the header holds all comments", s.name)
	return h, lines[5]
}

// list reads "a.b, c.d", or "nothing".
func list(text string) []string {
	if text == "nothing" {
		return nil
	}
	return strings.Split(text, ", ")
}

var (
	quoted   = regexp.MustCompile(`'[^']*'`)
	makesOf  = regexp.MustCompile(`create (?:schema|type|table|view) ([a-z_.0-9]+)`)
	fills    = regexp.MustCompile(`insert into ([a-z_.0-9]+)`)
	readsOf  = regexp.MustCompile(`\b(?:from|join)\s+([a-z_]+\.[a-z_0-9]+)`)
	bareRead = regexp.MustCompile(`\b(?:from|join)\s+([a-z_0-9]+)\b(?:[^.a-z_0-9(]|$)`)
	inner    = regexp.MustCompile(`(?:with|,)\s+([a-z_0-9]+) as (?:materialized )?\(\s*select`)
	typesOf  = regexp.MustCompile(`(?:record|joined)\.(?:kind|fire|condition|co_basis|co_limit|air_temp_at|yes_no|outcome)\b`)
)

// plain takes out of a body what is no name of a relation: quoted texts, and the
// from of "is distinct from".
func plain(body string) string {
	return strings.ReplaceAll(quoted.ReplaceAllString(body, "''"), "distinct from", "distinct")
}

// relations gives the relations a body reads, without the types it names.
func relations(body string) []string {
	var found []string
	for _, m := range readsOf.FindAllStringSubmatch(plain(body), -1) {
		if !slices.Contains(found, m[1]) && !typesOf.MatchString(m[1]) {
			found = append(found, m[1])
		}
	}
	slices.Sort(found)
	return found
}

// TestHeaders holds what each file of statements says of itself to what its
// statements do.
func TestHeaders(t *testing.T) {
	for _, folder := range []string{"build", "load", "discard", "read", "check"} {
		for _, s := range steps(folder) {
			h, body := headerOf(t, s)
			declared := list(h.reads)
			slices.Sort(declared)
			assert.Equal(t, declared, relations(body), "%s: reads", s.name)
			switch folder {
			case "build":
				var made []string
				for _, m := range makesOf.FindAllStringSubmatch(body, -1) {
					made = append(made, m[1])
				}
				assert.Equal(t, list(h.makes), made, "%s: makes", s.name)
				assert.Contains(t, []string{"schemas", "source", "record", "joined", "result", "about"}, h.layer, s.name)
			case "load":
				assert.Equal(t, "rows of "+fills.FindStringSubmatch(body)[1], h.makes, s.name)
				assert.Equal(t, strings.TrimSuffix(path.Base(s.name), ".sql"), fills.FindStringSubmatch(body)[1], s.name)
			case "discard":
				assert.Equal(t, "nothing", h.makes, s.name)
				assert.NotRegexp(t, `(?m)^\s*(create|insert|update|drop)\b`, body, s.name)
			default:
				assert.Equal(t, folder, h.layer, s.name)
				assert.NotRegexp(t, `(?m)^\s*(create|insert|update|delete|drop)\b`, body, s.name)
			}
		}
	}
}

// TestOrder holds that a file reads only what a file above it makes, and that
// the tables are all there before anything is derived from them.
func TestOrder(t *testing.T) {
	made := map[string]bool{}
	last := ""
	for _, s := range steps("build") {
		h, _ := headerOf(t, s)
		for _, r := range list(h.reads) {
			assert.True(t, made[r], "%s reads %s, which no file above it makes", s.name, r)
		}
		for _, m := range list(h.makes) {
			made[m] = true
		}
		number := path.Base(s.name)[:2]
		assert.Regexp(t, `^[0-9]{2}$`, number, s.name)
		assert.Greater(t, number, last, s.name)
		last = number
	}
	for _, folder := range []string{"load", "discard", "read", "check"} {
		for _, s := range steps(folder) {
			h, _ := headerOf(t, s)
			for _, r := range list(h.reads) {
				assert.True(t, made[r] || r == "main.incoming", "%s reads %s, which nothing makes", s.name, r)
			}
		}
	}
}

// TestForm holds the form of the files: lower case, at most 80 lines, every
// relation with its schema, no "select *", the last select from the last step.
func TestForm(t *testing.T) {
	for _, folder := range []string{"build", "load", "discard", "read", "check"} {
		for _, s := range steps(folder) {
			_, body := headerOf(t, s)
			bare := plain(body)
			assert.LessOrEqual(t, strings.Count(s.text, "\n"), 80, "%s: lines", s.name)
			assert.Equal(t, strings.ToLower(bare), bare, "%s: lower case", s.name)
			assert.NotContains(t, bare, "*,", s.name)
			assert.NotRegexp(t, `select\s+([a-z_]+\.)?\*`, bare, s.name)
			assert.True(t, strings.HasSuffix(s.text, ";\n"), "%s: the last line ends the statement", s.name)
			if strings.Contains(bare, "create view") {
				assert.NotContains(t, bare, "getvariable", "%s: a view outlives the session's variables", s.name)
			}
			var steps []string
			for _, m := range inner.FindAllStringSubmatch(bare, -1) {
				steps = append(steps, m[1])
			}
			for _, m := range bareRead.FindAllStringSubmatch(bare, -1) {
				assert.Contains(t, steps, m[1], "%s reads %q without a schema", s.name, m[1])
			}
			assertLastStep(t, s.name, bare, steps)
		}
	}
}

// assertLastStep holds that the select at the end reads the last named step.
func assertLastStep(t *testing.T, name, body string, steps []string) {
	at := strings.LastIndex(body, "\nselect")
	if len(steps) == 0 || at < 0 {
		return
	}
	from := regexp.MustCompile(`\b(?:from|join)\s+([a-z_.0-9]+)`).FindStringSubmatch(body[at:])
	require.NotNil(t, from, name)
	var all []string
	for _, m := range regexp.MustCompile(`\b(?:from|join)\s+([a-z_.0-9]+)`).FindAllStringSubmatch(body[at:], -1) {
		all = append(all, m[1])
	}
	assert.Contains(t, all, steps[len(steps)-1], "%s: the last select does not read the last step", name)
}

// TestRowsCounted holds that the counts compared when a file is opened take in
// every stored table.
func TestRowsCounted(t *testing.T) {
	ctx := context.Background()
	w := inMemory(t)
	require.NoError(t, w.Build(ctx, 20000))
	stored := ask(t, w, block{
		relation: "information_schema.tables where table_type = 'BASE TABLE' and table_schema <> 'about' order by 1",
		columns:  []string{"table_schema || '.' || table_name as relation"},
	})
	counted := ask(t, w, block{relation: "about.rows order by 1", columns: []string{"relation"}})
	assert.Equal(t, stored, counted)
}

// TestDiscardTakesAll holds that the rows of a file are discarded from every table
// that has rows of files, source.files apart.
func TestDiscardTakesAll(t *testing.T) {
	ctx := context.Background()
	w := inMemory(t)
	ofFiles := ask(t, w, block{columns: []string{"table_schema || '.' || table_name as relation"}, relation: "information_schema.columns " +
		"where column_name = 'file_key' and table_schema in ('source', 'record') and table_name <> 'files' order by 1"})
	h, _ := headerOf(t, steps("discard")[0])
	var discarded [][]string
	for _, r := range list(h.reads) {
		discarded = append(discarded, []string{r})
	}
	require.NotEmpty(t, discarded)
	assert.Equal(t, ofFiles, discarded)
	require.NoError(t, w.Discard(ctx, 1))
}
