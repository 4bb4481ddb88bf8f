package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/units"
	"fluedrift/model/drift"
	"fluedrift/model/vent"
)

// OfEstimate make the sentences that the warehouse keeps of an estimate.
func OfEstimate() estimate.Sentences {
	return estimate.Sentences{Finding: Finding, Note: Note, Ended: Ended, WhyNot: WhyNot, Step: step, Action: action}
}

// Notes are the sentences of what a reader of an estimate must know, with quantities in
// SI.
func Notes(notes []estimate.Note) []string { return NotesIn(units.SI, notes) }

// NotesIn are Notes in the units of a reader.
func NotesIn(in units.Set, notes []estimate.Note) (all []string) {
	for _, n := range notes {
		all = append(all, noteIn(in, n))
	}
	return all
}

// Note is the sentence of one, with quantities in SI.
func Note(n estimate.Note) string { return noteIn(units.SI, n) }

// noteIn is Note in the units of a reader.
func noteIn(in units.Set, n estimate.Note) string {
	switch n := n.(type) {
	case estimate.OfFit:
		return ofFit(n.Note)
	case estimate.AsFoundsChecked:
		return asFounds(n)
	case estimate.StepNoted:
		return step(&n.StepSuspected)
	case estimate.NotDetected:
		return fmt.Sprintf("%s fire: %s not detected in these records: forecasts leave it out, and far ahead their intervals may "+
			"be too narrow", n.Fire, partNames(n.Parts, " and "))
	case estimate.OtherNoise:
		return fmt.Sprintf("%s fire: fitted at the night's ratios, the noise of a reading is %.4f points and not %.4f as in the "+
			"night: the rules or the program differ", n.Fire, n.Points, n.StoredPoints)
	}
	if of := ofRecords(in, n); of != "" {
		return of
	}
	return ofInstruments(n)
}

// ofFit are the notes that the model leaves of a fit.
func ofFit(n drift.Note) string {
	switch n := n.(type) {
	case drift.ColumnOut:
		return fmt.Sprintf("%q is not in the fit: %s", n.Column, absence(n.Why))
	case drift.Inseparable:
		return fmt.Sprintf("instruments and units cannot be told apart on these records (%s): intervals allow for ±%.2f %s",
			n.Column, n.SD, n.Unit)
	case drift.NotFitted:
		return fmt.Sprintf("not fitted: %v", n.Err)
	case drift.DisplaysHideNoise:
		return fmt.Sprintf("most displays hide more than the noise of a reading: that is taken to be %.3f points, ratios fixed, wide "+
			"priors on the coefficients", n.NoisePoints)
	case drift.FewDifferences:
		return fmt.Sprintf("%d differences: ratios fixed, wide priors on the coefficients, no variances reported", n.Differences)
	case drift.NothingFitted:
		return fmt.Sprintf("%d differences: nothing was fitted; coefficients and noise are defaults, not measured", n.Differences)
	case drift.AreasMoveTogether:
		return fmt.Sprintf("units of one area change level together, by about ±%.2f points from year to year, as with another gas: "+
			"forecasts allow for it", n.SDPoints)
	case drift.AnalyzersNotCompared:
		return "analyzer bias not estimable: no two analyzers were used on one setting"
	case drift.PeriodsNotCompared:
		return "bias by calibration period not estimable: no two periods were compared"
	case drift.FewAnalyzers:
		return fmt.Sprintf("analyzer sd taken, not measured: %d analyzers in %d comparisons", n.Analyzers, n.Comparisons)
	}
	return ""
}

// ofRecords are the notes of what the records are worth.
func ofRecords(in units.Set, n estimate.Note) string {
	switch n := n.(type) {
	case estimate.CoarseSource:
		return coarseSource(n.Source)
	case estimate.VentsCompared:
		return ventsCompared(n.Choice)
	case estimate.SuspectedVent:
		return fmt.Sprintf("vent length %s stands for %d of %d units: suspected default, treated as missing",
			in.LengthOf(n.LengthM), n.Units, n.Known)
	case estimate.LengthsInError:
		return fmt.Sprintf("vent effects: recorded lengths are taken to have an error of %.0f %% (%.0f %% of the spread between units is real)",
			100*n.ErrorSD, 100*n.Rho)
	case estimate.ManyCallOuts:
		return fmt.Sprintf("%.0f %% of visits are call-outs: units were visited because they were off, so the estimate of wandering is "+
			"too small and that of the air's effect slightly too large", 100*n.Share)
	case estimate.SelectiveTechnicians:
		return fmt.Sprintf("%d of %d technicians record as-found readings selectively: coefficients are from the others' readings",
			n.Flagged, n.Technicians)
	case estimate.RecordedSelectively:
		return selectively
	}
	return ""
}

const selectively = "as-found readings are recorded selectively: drift rates are not usable"

func coarseSource(s *estimate.Source) string {
	steps := fmt.Sprintf("in steps of %.2g points", s.StepPoints)
	if s.StepPoints == 1 {
		steps = "in whole percents"
	}
	note := fmt.Sprintf("%s shows CO2 %s (%d readings)", s.Name, steps, s.Readings)
	if s.Coarse() {
		note += ": the order of its units holds, its drift rates are not usable"
	}
	return note
}

// ventMeasures are what the vents of a fleet are compared by.
var ventMeasures = map[vent.Measure]string{
	vent.ShareOfFan: "loss as a share of the fan's pressure",
	vent.ShareOfRun: "length as a share of the longest run",
}

func ventsCompared(c *estimate.VentChoice) string {
	if c.Measure == vent.NoMeasure {
		return "vents are not compared: no unit has a length and a longest run, or a loss and a fan's pressure, on record"
	}
	return fmt.Sprintf("vents are compared by %s: of %d units, %d have their loss and their fan's pressure on record (half are "+
		"needed), and %d their length and the longest run", ventMeasures[c.Measure], c.Units, c.OfFan, c.OfRun)
}

// ofInstruments are the notes of what readings were made with.
func ofInstruments(n estimate.Note) string {
	switch n := n.(type) {
	case estimate.GroupsOfAnalyzers:
		return fmt.Sprintf("analyzers form %d groups that were never compared with each other: a bias says nothing across groups", n.Groups)
	case estimate.StandIns:
		return fmt.Sprintf("%d analyzers are not recorded; their technicians stand in for them", n.Analyzers)
	case estimate.NoisyAnalyzer:
		return fmt.Sprintf("analyzer %s: noise variance %.1f times the others' (%d readings)",
			n.Analyzer.Name, n.Analyzer.NoiseRatio, n.Analyzer.Readings)
	case estimate.CommonAnalyzer:
		share := fmt.Sprintf("analyzer %s made %.0f %% of the newest readings", n.Analyzer.Name, 100*n.Analyzer.CurrentShare)
		if !n.Bias.Known() {
			return share + ", and no comparison says whether it reads right: a common shift would move all these units"
		}
		return share + fmt.Sprintf(": its bias is %+.2f ± %.2f, and a common shift of this size would move all these units",
			n.Bias.Value, n.Bias.SD)
	case estimate.CertificatesUsed:
		return fmt.Sprintf("%d calibration certificates state how analyzers read at the end of a period", n.Certificates)
	case estimate.CertificateRefused:
		return fmt.Sprintf("analyzer %s: the error of %+.2f points found at the end of the period %s contradicts its readings and is not used",
			n.Analyzer, n.FoundErrorPoints, n.Period.Span())
	case estimate.WildPeriods:
		return fmt.Sprintf("%s fire: analyzers seem to change by %.2f points from one calibration to the next, more than instruments do: "+
			"the recorded calibrations are not used, and biases are by calendar year", n.Fire, n.SDPoints)
	case estimate.AgeingHeld:
		return fmt.Sprintf("%s fire: instruments and units cannot be told apart on these records: an analyzer that reads lower from "+
			"calibration to calibration looks like units that drift. Intervals allow for ±%.2f points a year.", n.Fire, n.SDPoints)
	case estimate.AnalyzerStep:
		return analyzerStep(n)
	case estimate.CalibrationTrend:
		more := "less"
		if n.Points > 0 {
			more = "more"
		}
		return fmt.Sprintf("%s fire: without ageing between calibrations, analyzers would have to read %.2f points %s each year: they "+
			"age, or calibrations do not put them right", n.Fire, math.Abs(n.Points), more)
	}
	return ""
}

func analyzerStep(n estimate.AnalyzerStep) string {
	side, when := "above", "before"
	if n.DifferencePoints < 0 {
		side = "below"
	}
	if n.After {
		when = "after"
	}
	said := fmt.Sprintf("%s fire: analyzer %s reads %.2f points of CO2 %s what read its units %s, since %s: one of the instruments is "+
		"off, or %s moved at once.",
		n.Fire, n.Analyzer, math.Abs(n.DifferencePoints), side, when, n.Since.Time().Format("January 2006"), Units(n.Links))
	if n.Open > 0 {
		said += fmt.Sprintf(" Read %s again with another analyzer.", Units(n.Open))
	}
	return said
}

// asFounds says whether as-found readings read otherwise, or burners settle.
func asFounds(n estimate.AsFoundsChecked) string {
	both := fmt.Sprintf("z of settling after adjustment %.1f, of a difference of as-found readings %.1f", n.SettlingZ, n.AsFoundZ)
	if !n.Used {
		return both
	}
	side := "low"
	if n.AsFoundPoints > 0 {
		side = "high"
	}
	return fmt.Sprintf("as-found readings seem to be %s by %.2f points; check the settling time (%s)",
		side, math.Abs(n.AsFoundPoints), both)
}

// step says where and when the level of units seems to have moved.
func step(s *estimate.StepSuspected) string {
	where := "in " + s.Area
	if s.Area == "*" {
		where = "in all areas"
	}
	said := fmt.Sprintf("a step of level is suspected %s about %s: %+.2f points (z %.1f)", where, ISODay(s.Day), s.Points, s.Z)
	if s.ByAnalyzers() {
		said += "; a change of analyzers or of their calibration could explain it as well"
	}
	return said
}

// action is what was done about an unconfirmed reading.
func action(a drift.Action) string {
	if a == drift.Removed {
		return "reading left out"
	}
	return "change cut at"
}

// WhyNot says why not to use a coefficient; "" where nothing speaks against it.
func WhyNot(why estimate.WhyNot) string {
	switch why := why.(type) {
	case estimate.NotInFit:
		return absence(why.Why)
	case estimate.RecordedSelectively:
		return selectively
	case estimate.NothingMeasured:
		return "general assumptions, not measured here"
	case estimate.RecordsTooCoarse:
		return "records in steps of half a point: not usable"
	case estimate.VentKnownPoorly:
		return fmt.Sprintf("the vent effect is known to ±%.2f per standard deviation of the vents; ±%.2f is needed", why.SE, why.NeededSE)
	case estimate.LengthsAsRecorded:
		return "an error of recorded lengths was declared"
	case estimate.AsStored:
		return why.Text
	}
	return ""
}

// absence says why a column is not in a fit.
func absence(why drift.Absence) string {
	switch why := why.(type) {
	case drift.NeverChanges:
		return "it never changes within a segment"
	case drift.Follows:
		return "it follows from " + strings.Join(why.From, ", ")
	case drift.NeedsDifferences:
		return fmt.Sprintf("it needs %d differences", why.Least)
	case drift.KnownTooPoorly:
		return fmt.Sprintf("known no better than ±%.2f: instruments and units cannot be told apart", why.SE)
	case drift.KeptOut:
		return "kept out"
	}
	return ""
}
