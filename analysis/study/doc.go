// Package study reckons what vents do to the set-up of burners and to its drift,
// from what a fleet's visits recorded.
//
// Three questions are kept apart, each by differences within a unit: what changes between
// the factory's test and the start-up as found (Installation), across an alteration of the
// vent (Rerouting), and from an as-left reading to the next as found on the same vent
// (Drift). The steps, in order: rows (rows.go, measure.go), the one comparison declared by
// counts alone (study.go), fits with errors clustered by site (columns.go, fit.go,
// regression.go, wald.go), curves (spline.go, curve.go), the same slope under every other
// choice that might have been made (sensitivity.go, mixed.go), errors of recorded lengths
// (lengths.go, simex.go), and what physics says of the same rows (physics.go). At reads
// the fits for one configuration (at.go, near.go).
//
// Sites are clusters: units of one site share vents, people and weather. The package
// knows no clock and no files; chance comes from a seed it is given.
package study
