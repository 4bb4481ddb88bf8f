// Package words makes every sentence that a person reads on a list or a page, from
// the kinds and numbers of the analyses. It also makes foreign text visible: what
// steers a terminal or hides from a reader stands there as an escape.
//
// Two readers have two vocabularies. What people read is plain English as the trade
// says it; the code uses the standard terms of statistics and data engineering. This
// is the map from the one to the other:
//
//	people read                         in the code
//	go today, ask before driving,       Group: GoToday, AskFirst, BookSooner,
//	book sooner, test overdue, can wait   TestOverdue, CanWait
//	why it stands there                 Reason of a Ground
//	likely out of limits now            Ground ProbablyOutside, Reason OutNow
//	likely before its planned visit     Ground ExpectedOutside, Reason OutAhead
//	left off target                     Ground LeftOutside, Reason LeftOff
//	fuel questionable                   Ground FuelInDoubt: OverFuel, SetAsOther,
//	                                      OtherSettingFound
//	test overdue                        Ground OverdueTest, Reason Overdue
//	rank, could be 14th to 62nd         Rank, and its interval RankFrom, RankTo
//	likely out of limits                Probability of either side
//	unconfirmed                         FireForecast.Unconfirmed: an outlying last reading
//	analyzer or burner                  Suspect: a step between two instruments
//	done, visited and still out, eased, Change: a ChangeKind with its Cause
//	  new, worse
//	marks                               Mark: a MarkKind with its number or day
//	at the foot                         Foot: FootAnswered, FootIsolated, FootOffSeason
//	expected out of limits              Leaving, with the days beside it
//	record to correct                   Fix: Because, or the Finding it is of
//	left over, no room                  days.Cause: a LeftKind
//	made of                             Part: a contribution to an expected CO2
//	hindsight, looked back              rolling-origin backtest
//	days avoided                        expected harm avoided over the horizon
//	fits not made                       study.NotMade, with its Lack
//	what a reader of a fit must know    estimate.Note; of the model, drift.Note
//	how a fit ended                     estimate.Ended
//	why not to use a coefficient        estimate.WhyNot, drift.Absence
//	what the chances rest on            estimate.Basis
package words
