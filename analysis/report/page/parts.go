package page

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// Part is a part of the list with a page of its own.
type Part struct {
	Kind    words.PartKind
	Name    string
	Address string
	Lines   []int // of the whole list, in its order
}

// PartsOf divides a list by branch, area, group and crew: all parts of a kind together,
// branches and areas by name, groups from the top, crews in their order. A kind that
// would have one part alone has none; so have lines that do not say which is theirs.
func PartsOf(lines []watch.Line, crews []days.Crew) []Part {
	by := func(kind words.PartKind, sorted bool, name func(*watch.Line) string) (parts []Part) {
		for i := range lines {
			n := name(&lines[i])
			if n == "" {
				continue
			}
			k := slices.IndexFunc(parts, func(p Part) bool { return p.Name == n })
			if k < 0 {
				k = len(parts)
				parts = append(parts, Part{Kind: kind, Name: n})
			}
			parts[k].Lines = append(parts[k].Lines, i)
		}
		if len(parts) < 2 {
			return nil
		}
		if sorted {
			slices.SortFunc(parts, func(a, b Part) int { return strings.Compare(a.Name, b.Name) })
		}
		return parts
	}
	all := slices.Concat(
		by(words.ByBranch, true, branchOf),
		by(words.ByArea, true, func(l *watch.Line) string { return l.Unit.Area }),
		by(words.ByGroup, false, groupName),
		crewParts(lines, crews))
	seen := map[string]bool{}
	for i := range all {
		all[i].Address = addressOf(&all[i], seen)
	}
	return all
}

// branchOf is the source whose register has a unit; "" where none has.
func branchOf(l *watch.Line) string {
	if !l.Unit.InRegister {
		return ""
	}
	return l.Unit.Source
}

// groupName is the group that a line stands in; "" at the foot.
func groupName(l *watch.Line) string {
	if l.Foot != watch.NoFoot {
		return ""
	}
	return words.Capital(l.GroupWords)
}

// crewParts are what each crew can go to; crews of the same units have parts of their
// own all the same.
func crewParts(lines []watch.Line, crews []days.Crew) (parts []Part) {
	for c := range crews {
		p := Part{Kind: words.ByCrew, Name: crews[c].Code}
		for i := range lines {
			if crews[c].Serves(&lines[i].Unit) {
				p.Lines = append(p.Lines, i)
			}
		}
		if len(p.Lines) > 0 {
			parts = append(parts, p)
		}
	}
	if len(parts) < 2 {
		return nil
	}
	return parts
}

// addressOf is the file of a part: its kind and the plain letters and digits of its
// name.
func addressOf(p *Part, seen map[string]bool) string {
	plain := strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' || 'a' <= r && r <= 'z' {
			return r
		}
		return '-'
	}, strings.ToLower(p.Name))
	name := strings.TrimRight(string(p.Kind)+"-"+strings.Trim(plain, "-"), "-")
	for n, base := 2, name; seen[name]; n++ {
		name = fmt.Sprintf("%s-%d", base, n)
	}
	seen[name] = true
	return name + ".html"
}

// WritePart writes the page of a part of the list: its lines with the ranks they have
// on the whole list.
func WritePart(w io.Writer, p Page, part Part) error {
	v := p.view(part.Lines, part.Address)
	v.Title = words.PartTitle(part.Kind, part.Name)
	return writeList(w, v)
}

// partsView are the parts of one kind, as links.
type partsView struct {
	Name  string
	Many  bool // so many that they open
	Parts []navView
}

// fewParts is up to how many parts of a kind stand side by side.
const fewParts = 5

// parts lead from a page of the list to its parts by branch, area and crew; the groups
// are led to by their headings.
func (p *Page) parts(here string) (all []partsView) {
	for _, kind := range []words.PartKind{words.ByBranch, words.ByArea, words.ByCrew} {
		v := partsView{Name: words.Capital(string(kind))}
		for i := range p.Parts {
			if of := &p.Parts[i]; of.Kind == kind {
				v.Parts = append(v.Parts, navView{Link{of.Name, of.Address}, of.Address == here})
			}
		}
		if v.Many = len(v.Parts) > fewParts; len(v.Parts) > 0 {
			all = append(all, v)
		}
	}
	return all
}

// detailPage is the page on which a line opens to its details: that of its area, which
// has few others; the whole list where it has none, and of the very first lines too,
// seen from there. It is "" where a line has no details.
func (p *Page) detailPage(line int, area, here string) string {
	switch {
	case line >= len(p.Details):
		return ""
	case area == "" || here == ListPage && line < PageDetails:
		return ListPage
	}
	return area
}

// areaPages are, by line, the page of its area; "" of one without.
func (p *Page) areaPages() []string {
	on := make([]string, len(p.Lines))
	for k := range p.Parts {
		for _, i := range p.Parts[k].Lines {
			if p.Parts[k].Kind == words.ByArea {
				on[i] = p.Parts[k].Address
			}
		}
	}
	return on
}
