package words

// PartKind is what a list is divided by.
type PartKind string

// The kinds of parts of a list.
const (
	ByBranch PartKind = "branch"
	ByArea   PartKind = "area"
	ByGroup  PartKind = "group"
	ByCrew   PartKind = "crew"
)

// PartTitle is the heading of a part of the list.
func PartTitle(kind PartKind, name string) string {
	switch kind {
	case ByGroup:
		return Capital(name)
	case ByCrew:
		return "Boilers to visit, crew " + name
	}
	return "Boilers to visit, " + name
}
