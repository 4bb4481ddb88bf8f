package watch

import "fluedrift/model/judge"

// coGrades are the grades of CO as the table of first checks has them.
var coGrades = map[Level]judge.COGrade{
	COUnknown: judge.CONotRecorded, COBelow: judge.COBelowAttention, COAttention: judge.COForAttention, COUrgent: judge.COIsUrgent,
}

// checkFirst takes over what to look at first, for a unit that somebody is to
// see. What the forecast expects goes before what was read last, because a unit
// in band when last read may be listed for where it has drifted to since.
func checkFirst(l *Line, x *facts) {
	if !l.Due() || !x.h.Unit.InRegister || !anyFire(x, func(f *FireLine) bool { return f.Reading != nil }) {
		return
	}
	s := judge.SituationOf(&x.rules.Judge, x.h, coGrades[l.CO.Level], x.rules.AsOf)
	if l.Ground == ProbablyOutside || l.Ground == ExpectedOutside || l.Ground == EnoughAvoided {
		switch l.Side {
		case Rich:
			s.Side = judge.Rich
		case Lean:
			s.Side = judge.Lean
		}
	}
	for i := range x.fires {
		if r := x.fires[i].Reading; r != nil && x.rules.SuspectAnalyzers[r.Analyzer] {
			s.Analyzer = judge.AnalyzerDoubted
		}
	}
	l.CheckFirst = judge.CheckFirst(s)
	if n := len(l.CheckFirst); n > 1 && l.CheckFirst[n-1] == judge.NothingStandsOut {
		l.CheckFirst = l.CheckFirst[:n-1] // after another check it says nothing
	}
}

// rising takes over a rise of CO at a fire over the visits on record.
func rising(l *Line, x *facts) {
	for i := range x.fires {
		f := &x.fires[i]
		if f.Fire == judge.Point {
			continue
		}
		if t := x.rules.Judge.CORecord(x.h, f.Fire, x.rules.AsOf).Trend(); t.Visits > 0 {
			f.COTrend = &t
		}
	}
}
