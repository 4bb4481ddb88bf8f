// Package words makes every sentence that a person reads on a list or a page, from
// the kinds and numbers of the analyses. It also makes foreign text visible: what
// steers a terminal or hides from a reader stands there as an escape.
//
// Two readers have two vocabularies. What people read is plain English as the trade
// says it; the code uses the standard terms of statistics and data engineering. This
// is the map from the one to the other:
//
//	people read                         in the code
//	bring forward, leave to plan,       Step: BringForward, LeaveToPlan,
//	fix record, phone, go today           FixRecord, Phone, GoToday
//	probably outside its action band    Tier ProbablyOutside, Reason OutNow
//	expected to leave it                Tier ExpectedOutside, Reason OutAhead
//	left outside the setting band       Tier LeftOutside, Reason LeftOff
//	fuel in doubt                       Tier FuelInDoubt: OverFuel, SetAsOther,
//	                                      OtherSettingFound
//	full test overdue                   Tier TestOverdue, Reason Overdue
//	place, from and to                  Place, and its interval PlaceFrom, PlaceTo
//	likely out of limits                Probability of either side
//	unconfirmed                         FireForecast.Unconfirmed: an outlying last reading
//	analyzer or burner                  Suspect: a step between two instruments
//	why it is new, gone, moved up       Change and its Cause
//	marks                               Mark: a MarkKind with its number or day
//	at the foot                         Foot: FootAnswered, FootIsolated
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
