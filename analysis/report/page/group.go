package page

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// groupView is one group of the list: a heading, what orders it, and its rows.
type groupView struct {
	ID, Name, Sentence string
	Brief              string // of the index at the head
	Alone              string // the page of the group by itself; "" where this is one
	Key                words.Two
	Urgent, Waits      bool
	Units              int
	Rows, Foot         []rowView
	Calls              bool // the register says whom to call
}

// columns is how many a group has, with that of whom to call or without.
func columns(calls bool) int {
	if calls {
		return 7
	}
	return 6
}

// Columns is how many the group has.
func (g groupView) Columns() int { return columns(g.Calls) }

// rowView is one unit's line and what it opens to.
type rowView struct {
	ID, Address string // of its details; no address: it has none
	Rank        string
	Range       string // of the rank; "" where no forecast gives it
	Site, About string
	Interval    template.HTML
	Chance, Key words.Two
	Why, Next   string
	Calls       bool
	Call        words.Contact
	Dial        template.URL // "" where it cannot be dialled
	Detail      *detailView
}

// Columns is how many the group of the row has.
func (r rowView) Columns() int { return columns(r.Calls) }

// groups puts some lines of the list in their groups, with the details that the page at
// an address has of them.
func (p *Page) groups(at []int, here string) (groups []groupView) {
	ids, areas, calls := idsOf(p.Lines), p.areaPages(), p.calls()
	for _, i := range at {
		l := &p.Lines[i]
		if n := len(groups); l.Foot == watch.NoFoot && (n == 0 || groups[n-1].Name != groupName(l)) || n == 0 {
			groups = append(groups, p.groupOf(l, here))
		}
		g := &groups[len(groups)-1]
		row := rowOf(l, ids[i])
		row.Calls, g.Calls = calls, calls
		switch on := p.detailPage(i, areas[i], here); on {
		case "":
		case here:
			row.Detail, row.Address = detailOf(p.Units, p.Details[i], detailChart), "#"+row.ID
			if of := areas[i]; of != "" && of != here {
				row.Detail.Elsewhere = of + "#" + row.ID
			} else {
				row.Detail.newest(p.Units, &p.Details[i].Story)
			}
		default:
			row.Address = on + "#" + row.ID
		}
		if l.Foot != watch.NoFoot {
			g.Foot = append(g.Foot, row)
			continue
		}
		g.Units++
		g.Rows = append(g.Rows, row)
	}
	return groups
}

// calls reports whether the registers say of any unit whom to call.
func (p *Page) calls() bool {
	for i := range p.Lines {
		if c := words.ContactOf(&p.Lines[i].Unit); c.Phone+c.Name != "" {
			return true
		}
	}
	return false
}

// groupOf is an empty group, that of a line.
func (p *Page) groupOf(l *watch.Line, here string) groupView {
	g := groupView{
		ID: "g-" + strconv.Itoa(int(l.Group)), Name: words.Capital(l.GroupWords), Urgent: l.Group == watch.GoToday,
		Waits: l.Group == watch.CanWait, Brief: words.GroupBrief(l.Group),
		Sentence: words.GroupOrder(l.Group), Key: words.RowKeyHead(l.Group),
	}
	for i := range p.Parts {
		if of := &p.Parts[i]; of.Kind == words.ByGroup && of.Name == g.Name && of.Address != here && here == ListPage {
			g.Alone = of.Address
		}
	}
	return g
}

// idsOf are addresses of units within a page: their serials, as far as an address can
// hold them, and no two the same.
func idsOf(lines []watch.Line) []string {
	ids, seen := make([]string, len(lines)), map[string]bool{}
	for i := range lines {
		id := "u-" + strings.Map(func(r rune) rune {
			if r == '-' || r == '.' || '0' <= r && r <= '9' || 'A' <= r && r <= 'Z' || 'a' <= r && r <= 'z' {
				return r
			}
			return '_'
		}, lines[i].Unit.Serial)
		for n := 2; seen[id]; n++ {
			id = fmt.Sprintf("%s_%d", id, n)
		}
		ids[i], seen[id] = id, true
	}
	return ids
}

func rowOf(l *watch.Line, id string) rowView {
	r := rowView{
		ID: id, Rank: strconv.Itoa(l.Rank), Site: l.Unit.Site, About: words.RowAbout(&l.Unit),
		Interval: template.HTML(rowInterval(l)), Chance: words.RowChance(l), Key: words.RowKey(l),
		Why: words.RowWhy(l), Next: words.RowNext(l), Call: words.ContactOf(&l.Unit),
	}
	if number := r.Call.Dialled(); number != "" {
		r.Dial = template.URL("tel:" + number)
	}
	if r.Site == "" {
		r.Site = l.Unit.Serial
	}
	if l.RankFrom > 0 && l.RankTo > l.RankFrom {
		r.Range = fmt.Sprintf("%d–%d", l.RankFrom, l.RankTo)
	}
	return r
}
