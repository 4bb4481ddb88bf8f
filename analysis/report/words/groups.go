package words

import "fluedrift/analysis/watch"

// groupOrders say how the lines of a group are put in order, as the end of a sentence.
var groupOrders = map[watch.Group]string{
	watch.GoToday:     "the highest CO first.",
	watch.AskFirst:    "CO for attention first, then what a visit would avoid.",
	watch.BookSooner:  "first what a visit now avoids most: days out of limits, and how far out of them.",
	watch.TestOverdue: "the longest overdue first.",
	watch.CanWait:     "in order of the planned visit; at the foot what is answered, isolated or off for the season.",
}

// GroupOrder says how the lines of a group are put in order.
func GroupOrder(g watch.Group) string { return Capital(groupOrders[g]) }

// groupBriefs say in a few words what a group holds.
var groupBriefs = map[watch.Group]string{
	watch.GoToday:     "CO urgent",
	watch.AskFirst:    "one answer decides whether to drive",
	watch.BookSooner:  "a visit now avoids days out of limits",
	watch.TestOverdue: "no routine visit within the interval",
	watch.CanWait:     "for their planned visit",
}

// GroupBrief is what a group holds, in a few words.
func GroupBrief(g watch.Group) string { return groupBriefs[g] }
