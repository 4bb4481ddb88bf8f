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
