// Package study reckons what vents do to the set-up of burners and to its drift,
// from what a fleet's visits recorded.
//
// Three questions are kept apart, each by differences within a unit: what changes
// between the factory's test and the start-up as found (Installation), across an
// alteration of the vent (Rerouting), and from an as left to the next as found on
// the same vent (Drift). Rows makes the rows, Run fits them. Sites are clusters:
// units of one site share vents, people and weather (regression.go). The package
// knows no clock and no files; chance comes from a seed it is given.
package study
