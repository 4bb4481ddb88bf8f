package demo

import (
	"fmt"
	"math/rand/v2"
)

// Words that site names are put together from; all places are invented.
var (
	sitePlaces = []string{
		"Aldrimoor", "Brévalle", "Cindrel", "Dorsay Mill", "Éstaval", "Fennock", "Grivholm", "Halvern", "Irrelin",
		"Jorvane",
		"Kestrow", "Lüdenau", "Morvick Vale", "Nørrevind Quay", "Ondrecôte", "Pellanor", "Quillhaven", "Rostrevan", "Sørvale", "Tamberly",
	}
	siteKinds = []string{
		"School", "Clinic", "Laundry", "Town Hall", "Baths", "Depot", "Library", "Apartments", "Greenhouses", "Bakery",
		"Hotel", "Workshops", "Arena",
	}
)

// siteName invents the name of the n-th site; some hold a comma.
func siteName(n int, r *rand.Rand) string {
	place, kind := sitePlaces[r.IntN(len(sitePlaces))], siteKinds[r.IntN(len(siteKinds))]
	if r.IntN(9) == 0 {
		return fmt.Sprintf("%s, %s %d", place, kind, n+1)
	}
	return fmt.Sprintf("%s %s %d", place, kind, n+1)
}

// AreaName names an area.
func AreaName(area int) string {
	return fmt.Sprintf("%s %d", []string{"North", "South", "West"}[area%3], area/3+1)
}
