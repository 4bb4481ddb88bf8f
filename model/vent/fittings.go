package vent

// published lists loss coefficients as printed, referred to the velocity
// pressure of the fitting's own diameter. Each was read in a copy or
// transcription of its source.
var published = map[string]float64{
	"stamped elbow 90, 100 mm":          0.21, // ASHRAE Fundamentals 2009, chapter 21, CD3-1, r/D 1.5
	"stamped elbow 90, 150 mm":          0.14, // the same
	"stamped elbow 45, 100 mm":          0.13, // the same, CD3-3
	"stamped elbow 45, 150 mm":          0.08, // the same, CD3-3
	"smooth elbow 90, r/D 0.5":          0.71, // SMACNA HVAC Systems Duct Design, 4th edition, Table A-7 A
	"smooth elbow 90, r/D 0.75":         0.33, // the same
	"smooth elbow 90, r/D 1.0":          0.22, // the same
	"smooth elbow 90, r/D 1.5":          0.15, // the same
	"share of 45 in 90, smooth elbow":   0.60, // the same, note 1
	"mitred elbow 90":                   1.2,  // the same, Table A-7 C
	"mitred elbow 45":                   0.34, // the same
	"entrance, flush":                   0.50, // ASHRAE Principles of HVAC, 9th edition, fitting 1-1
	"entrance, projecting":              1.0,  // the same
	"exit":                              1.0,  // the velocity pressure is lost: momentum
	"low-resistance cap":                0.5,  // ASHRAE HVAC Systems and Equipment, chimney chapter
	"spark screen":                      0.5,  // the same
	"elbow 90, chimney chapter":         0.75, // the same, from memory
	"elbow 45, chimney chapter":         0.3,  // the same, from memory
	"short elbow 90, plastic, at most":  1.2,  // from memory; spread of catalogues
	"short elbow 90, plastic, at least": 0.7,  // from memory
}

// elbowK returns the range of the loss coefficient of a 90 and a 45 degree
// elbow of a kind: "smooth" (long radius, drawn), "short" (the short-radius
// fittings of plastic vents), "mitred", or anything else, which spans them all.
func elbowK(kind string) (at90, at45 Range) {
	share := published["share of 45 in 90, smooth elbow"]
	switch kind {
	case "smooth":
		at90 = Range{published["stamped elbow 90, 150 mm"], published["smooth elbow 90, r/D 0.75"]}
		return at90, Range{published["stamped elbow 45, 150 mm"], share * at90.High}
	case "short":
		at90 = Range{published["short elbow 90, plastic, at least"], published["short elbow 90, plastic, at most"]}
		return at90, at90.times(share)
	case "mitred":
		return exactly(published["mitred elbow 90"]), exactly(published["mitred elbow 45"])
	}
	at90 = Range{published["stamped elbow 90, 150 mm"], published["mitred elbow 90"]}
	return at90, Range{published["stamped elbow 45, 150 mm"], share * at90.High}
}

// terminalK returns the range of the loss coefficient of a vent's end, the
// lost velocity pressure included: "plain", "cap", "screen"; anything else may
// be plain or have both.
func terminalK(terminal string) Range {
	exit, both := published["exit"], published["low-resistance cap"]+published["spark screen"]
	switch terminal {
	case "plain":
		return exactly(exit)
	case "cap":
		return exactly(exit + published["low-resistance cap"])
	case "screen":
		return exactly(exit + published["spark screen"])
	}
	return Range{exit, exit + both}
}

// entranceK returns the range of the loss coefficient of an air run's
// entrance, from flush to projecting with a screen.
func entranceK() Range {
	return Range{published["entrance, flush"], published["entrance, projecting"] + published["spark screen"]}
}
