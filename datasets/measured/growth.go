package measured

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// What growth is told of: the whole night, the two things of which a machine runs out, and
// the marks by which rows that are no stage are known.
const (
	nightRow  = "the whole night, CPU s"
	memoryRow = "most memory of the night, MiB"
	diskRow   = "exports, truth, warehouse and lists on the disk, MiB"

	nightHours, cores, memoryGiB = 8, 2, 16 // of the machine that the page asks about
)

// sizeOf finds the number of units in the name of a figure.
var sizeOf = regexp.MustCompile(`^at ([\d,]+) units$`)

// grown is one row of the growth file: its value by number of units.
type grown struct {
	name  string
	stage bool // of a night, by processor time
	at    map[int]float64
}

// growthOf reads the rows, in their order, and the sizes they were measured at.
func growthOf(rows []Row) (all []*grown, sizes []int) {
	byName := map[string]*grown{}
	night := false
	for _, r := range rows {
		m := sizeOf.FindStringSubmatch(r.Figure.Figure)
		if m == nil {
			continue
		}
		g := byName[r.Figure.Case]
		if g == nil {
			// floors come before the stages of the night, what is read of its lists behind
			night = !strings.HasPrefix(r.Figure.Case, "floor: ") && !strings.HasPrefix(r.Figure.Case, "writing the demo's exports") &&
				byName[nightRow] == nil && r.Figure.Case != nightRow
			g = &grown{r.Figure.Case, night, map[int]float64{}}
			byName[g.name] = g
			all = append(all, g)
		}
		n, _ := strconv.Atoi(strings.ReplaceAll(m[1], ",", ""))
		g.at[n], _ = strconv.ParseFloat(r.Figure.Value, 64) // checked when the row was read
		if !slices.Contains(sizes, n) {
			sizes = append(sizes, n)
		}
	}
	slices.Sort(sizes)
	return all, sizes
}

// expected is the value at a number of units, by the two largest sizes that were measured:
// what grows more slowly than units has a part that is always there, and grows by a line; what
// grows faster goes on by its power.
func (g *grown) expected(sizes []int, n int) float64 {
	last, before := sizes[len(sizes)-1], sizes[len(sizes)-2]
	if p := g.power(last, before); p > 1 {
		return g.at[last] * math.Pow(float64(n)/float64(last), p)
	}
	return g.at[last] + g.aUnit(last, before)*float64(n-last)
}

func (g *grown) power(last, before int) float64 {
	if g.at[before] <= 0 || g.at[last] <= 0 {
		return 1
	}
	return math.Log(g.at[last]/g.at[before]) / math.Log(float64(last)/float64(before))
}

func (g *grown) aUnit(last, before int) float64 {
	return (g.at[last] - g.at[before]) / float64(last-before)
}

// most is how many units a bound is enough for.
func (g *grown) most(sizes []int, bound float64) float64 {
	last, before := sizes[len(sizes)-1], sizes[len(sizes)-2]
	if p := g.power(last, before); p > 1 {
		return float64(last) * math.Pow(bound/g.at[last], 1/p)
	}
	return float64(last) + (bound-g.at[last])/g.aUnit(last, before)
}

// growthPage says what a fleet ten and a hundred times the largest that was measured would
// take, and what a machine runs out of first. It is empty where fewer than two sizes were
// measured.
func growthPage(rows []Row) string {
	all, sizes := growthOf(rows)
	byName := map[string]*grown{}
	for _, g := range all {
		byName[g.name] = g
	}
	night, memory, disk := byName[nightRow], byName[memoryRow], byName[diskRow]
	if len(sizes) < 2 || night == nil || memory == nil || disk == nil {
		return ""
	}
	var b strings.Builder
	last := sizes[len(sizes)-1]
	fmt.Fprintf(&b, "\n### What breaks first\n\nMeasured at %s units; ten and a hundred times that are expected by the growth "+
		"from %s to %s: a fixed part and one a unit, or a power above 1.\n\n",
		withCommas(last), withCommas(sizes[len(sizes)-2]), withCommas(last))
	b.WriteString("| units | CPU s | largest stages | most memory, MiB | disk, MiB |\n|---|---|---|---|---|\n")
	for _, times := range []int{1, 10, 100} {
		n := last * times
		fmt.Fprintf(&b, "| %s | %.0f | %s | %.0f | %.0f |\n", withCommas(n), night.expected(sizes, n), largest(all, sizes, n),
			memory.expected(sizes, n), disk.expected(sizes, n))
	}
	time, room := night.most(sizes, nightHours*3600*cores), memory.most(sizes, memoryGiB<<10)
	first := fmt.Sprintf("Memory ends first, at about %s units", withCommas(rounded(room)))
	if time < room {
		first = fmt.Sprintf("Time ends first, at about %s units", withCommas(rounded(time)))
	}
	fmt.Fprintf(&b, "\n%s, on a machine of %d cores and %d GiB with %d hours: memory is enough for %s units, time for %s.\n",
		first, cores, memoryGiB, nightHours, withCommas(rounded(room)), withCommas(rounded(time)))
	return b.String()
}

// largest names the three stages that take most of a night of n units, with their shares.
func largest(all []*grown, sizes []int, n int) string {
	var stages []*grown
	total := 0.0
	for _, g := range all {
		if g.stage {
			stages = append(stages, g)
			total += g.expected(sizes, n)
		}
	}
	slices.SortStableFunc(stages, func(a, b *grown) int {
		return int(math.Copysign(1, b.expected(sizes, n)-a.expected(sizes, n)))
	})
	var names []string
	for _, g := range stages[:min(3, len(stages))] {
		names = append(names, fmt.Sprintf("%s %.0f %%", strings.TrimSuffix(g.name, ", CPU s"), 100*g.expected(sizes, n)/total))
	}
	return strings.Join(names, ", ")
}

// rounded keeps two digits of a number of units.
func rounded(x float64) int {
	step := math.Pow(10, math.Floor(math.Log10(x))-1)
	return int(math.Round(x/step) * step)
}

// withCommas writes a number in groups of three digits.
func withCommas(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
