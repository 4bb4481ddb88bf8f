package days

import (
	"math"
	"strconv"

	"fluedrift/model/judge"
)

// sameSiteKm is within which units of one site's name are at one place.
const sameSiteKm = 1

// sitesOf tells sites apart as places: units of one name stand at one place where
// they lie within a kilometre of each other, and at several where they do not. A
// unit without coordinates goes with the first of its name. The key of each unit.
func sitesOf(units []candidate) []string {
	type place struct {
		key string
		at  Place
	}
	byName := map[string][]place{}
	keys := make([]string, len(units))
	for i := range units {
		u := &units[i].line.Unit
		name, at := siteName(u), placeOf(u)
		if !at.known() {
			continue
		}
		for _, p := range byName[name] {
			if GreatCircleKm(p.at, at) <= sameSiteKm {
				keys[i] = p.key
				break
			}
		}
		if keys[i] == "" {
			keys[i] = name + "\x00" + strconv.Itoa(len(byName[name]))
			byName[name] = append(byName[name], place{keys[i], at})
		}
	}
	for i := range units {
		if keys[i] == "" {
			keys[i] = siteName(&units[i].line.Unit) + "\x000"
		}
	}
	return keys
}

// siteName is what the records call a unit's place: its site, else its plant, else
// the unit itself.
func siteName(u *judge.Unit) string {
	switch {
	case u.Site != "":
		return "site\x00" + u.Site + "\x00" + u.Area
	case u.Plant != "":
		return "plant\x00" + u.Plant
	}
	return "unit\x00" + u.Serial
}

// placeOf is where the records put a unit.
func placeOf(u *judge.Unit) Place { return Place{u.LatitudeDeg, u.LongitudeDeg} }

// samePlace reports whether two spots of one name are one: where either's place is
// not known, the name decides.
func samePlace(a, b spot) bool {
	km := GreatCircleKm(a.place, b.place)
	return a.name != "" && a.name == b.name && (math.IsNaN(km) || km <= sameSiteKm)
}
