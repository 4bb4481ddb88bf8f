// Package fleet is the road that every command takes through a fleet:
//
//	Load      what a warehouse holds of its units, as one value
//	Judge     what each reading is good for: once, by one set of rules
//	Estimate  fits and forecasts; or Restore, which fits at the ratios of a
//	          night; or Forecasts, which reads what a night stored
//	Assess    the line of each unit: tier, reasons, marks
//	Rank      the lines in order, with the interval of their ranks
//
// Each stage is a plain function of what the stage before returned. Between two
// stages a command may put in what only it knows: a night its common cause, a
// look back the histories as they were. A history that is loaded is never
// changed, but for what a mended line has replaced.
package fleet
