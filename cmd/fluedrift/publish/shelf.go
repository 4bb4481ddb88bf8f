package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"

	"fluedrift/cmd/fluedrift/settings"
)

var (
	isDay      = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)
	isLeftover = regexp.MustCompile(`^\.(writing|removing-|latest|\d{4}-\d{2}-\d{2})`)
	isEdition  = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})\.([1-9]\d{0,8})$`)
)

// edition is one folder lists/<as-of>.<n>.
type edition struct {
	day    string
	number int
}

func (e edition) name() string { return fmt.Sprintf("%s.%d", e.day, e.number) }

// A Shelf is what stands in the lists folder.
type Shelf struct {
	editions []edition         // by day and number
	links    map[string]string // day -> name of the edition
	Latest   string            // the day latest points to
}

func ReadShelf(root *os.Root) (*Shelf, error) {
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return nil, err
	}
	s := &Shelf{links: map[string]string{}}
	for _, e := range entries {
		name := e.Name()
		m := isEdition.FindStringSubmatch(name)
		switch {
		case m != nil && e.IsDir():
			n, err := strconv.Atoi(m[2])
			if err != nil {
				return nil, err
			}
			s.editions = append(s.editions, edition{m[1], n})
		case isDay.MatchString(name):
			if s.links[name], err = root.Readlink(name); err != nil {
				return nil, fmt.Errorf("%s should be a link to a publication: %w\nmove it out of the lists folder", name, err)
			}
		}
	}
	slices.SortFunc(s.editions, func(a, b edition) int {
		if a.day != b.day {
			return slices.Compare([]byte(a.day), []byte(b.day))
		}
		return a.number - b.number
	})
	s.Latest, err = root.Readlink("latest")
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return s, err
}

// Days are the published days, the newest first.
func (s *Shelf) Days() []string {
	days := slices.Sorted(maps.Keys(s.links))
	slices.Reverse(days)
	return days
}

// shown is the edition that the link of a day points to, nil where none does.
func (s *Shelf) shown(day string) *edition {
	for i := range s.editions {
		if e := &s.editions[i]; e.day == day && e.name() == s.links[day] {
			return e
		}
	}
	return nil
}

// Retention says which publications stay: those younger than a number of days,
// and at least a number of them (days 0: all), and of these no more than so many
// megabytes, the newest (0: all).
type Retention struct{ Days, Count, MB int }

// retire removes earlier editions of the day published, but the one before,
// which a reader may hold open; publications that are both older than the
// days to keep and beyond the count to keep; and the oldest where all are too large.
// The day published and the one that latest points to always stay: they are the
// latest good ones. Size is that of an edition's files.
func (s *Shelf) retire(published string, keep Retention, size func(edition string) int64) (ops []Op) {
	if shown := s.shown(published); shown != nil {
		var earlier []edition
		for _, e := range s.editions {
			if e.day == published && e.number < shown.number {
				earlier = append(earlier, e)
			}
		}
		for _, e := range earlier[:max(0, len(earlier)-1)] {
			ops = append(ops, takeAway(e.name())...)
		}
	}
	old := s.tooOld(published, keep)
	for _, day := range append(old, s.tooLarge(published, old, int64(keep.MB)<<20, size)...) {
		ops = append(ops, Op{Do: "remove", In: InLists, Path: day}, Op{Do: "sync", In: InLists, Path: "."})
		for _, e := range s.editions {
			if e.day == day {
				ops = append(ops, takeAway(e.name())...)
			}
		}
	}
	return append(ops, Op{Do: "sync", In: InLists, Path: "."})
}

// tooOld are the days to retire.
func (s *Shelf) tooOld(published string, keep Retention) (old []string) {
	today, err := settings.DayOf(published)
	if err != nil || keep.Days <= 0 {
		return nil
	}
	for i, day := range s.Days() {
		d, err := settings.DayOf(day)
		if err != nil || day == published || day == s.Latest || i < keep.Count || int32(today-d) <= int32(keep.Days) {
			continue
		}
		old = append(old, day)
	}
	return old
}

// tooLarge are the days to retire so that the others have so many bytes together (0:
// any number), the oldest first. The day before the one published stays, which its
// list is compared with and its record names.
func (s *Shelf) tooLarge(published string, old []string, most int64, size func(edition string) int64) (large []string) {
	if most == 0 {
		return nil
	}
	left, before, of := int64(0), "", map[string]int64{}
	for _, e := range s.editions {
		if slices.Contains(old, e.day) {
			continue
		}
		n := size(e.name())
		left, of[e.day] = left+n, of[e.day]+n
		if e.day < published {
			before = e.day
		}
	}
	for _, day := range slices.Sorted(maps.Keys(of)) {
		if left <= most {
			break
		}
		if day != published && day != s.Latest && day != before {
			left, large = left-of[day], append(large, day)
		}
	}
	return large
}
