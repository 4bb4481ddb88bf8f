package demo

import (
	"fmt"
	"hash/fnv"
)

// People who answer for a site, what they are there, and streets; all invented. The
// numbers are of the block 555-0100 to 555-0199, which is kept for fiction.
var (
	contactNames = []string{"B. Quistor", "C. Pryden", "J. Thornby", "M. Keanor", "A. Orrinde", "F. Selbeck", "L. Ulvanger", "R. Ibsdale"}
	contactRoles = []string{"owner", "caretaker", "office", "facilities"}
	streets      = []string{"Mill Row", "Kiln Street", "Harbour Way", "Station Road", "Chapel Lane", "Weir Street"}
)

// Contact is whom to call at a site, the number, and the address. It comes from the
// site's name alone, so that it moves no other draw.
func (s *Site) Contact() []string {
	h := fnv.New32a()
	h.Write([]byte(s.Name))
	n := int(h.Sum32() >> 1)
	pick := func(from []string, by int) string { return from[n/by%len(from)] }
	return []string{
		pick(contactNames, 1) + ", " + pick(contactRoles, 8), fmt.Sprintf("555-01%02d", n/32%100),
		fmt.Sprintf("%d %s, %s", n/3200%90+1, pick(streets, 7), AreaName(s.Area)),
	}
}
