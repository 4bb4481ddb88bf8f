package words

import (
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Foot says why a line stands at the foot of the list; "" on the list proper.
func Foot(l *watch.Line) string {
	switch l.Foot {
	case watch.FootAnswered:
		return answered(l)
	case watch.FootIsolated:
		return "isolated: nothing to visit until it is put back"
	}
	return ""
}

func answered(l *watch.Line) string {
	a := l.Answer
	w := "answered on " + Day(a.Day) + ": " + a.Answer
	switch {
	case a.Until == day.None:
		return w + ", until the next visit or " + Day(l.AnswerLapses)
	case a.Answer == "planned":
		return w + " for " + Day(a.Until)
	}
	return w + ", until " + Day(a.Until)
}
