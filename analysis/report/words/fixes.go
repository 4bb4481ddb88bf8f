package words

import (
	"fmt"
	"math"
	"strconv"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// FixMessages fills in what each record is to be corrected for, and the value that a
// finding is about. The value as it stands on the analyzer's own print or memory
// decides, never the finding. Figures are in the units of their record, whatever the
// reader's are, so that they are found in its file: of gives those of a file.
func FixMessages(of func(file string) units.Set, fixes []watch.Fix) {
	for i := range fixes {
		f := &fixes[i]
		switch {
		case f.Found != nil:
			in := of(f.File)
			f.Message, f.Value = found(in, f.Found)+": "+proposals[f.Found.Kind], foundValue(in, f.Found.Kind, f.Column, f.Reading)
		case f.Because != nil:
			f.Message = Reason(f.Because)
		}
		if f.Holds != nil {
			f.Message = "holds " + UnusedCO(f.Holds) + ": " + f.Message
		}
	}
}

// proposals say what to do about a record, by the kind of finding.
var proposals = map[judge.Kind]string{
	judge.OverCO2Max:   "check value, fuel and column against the analyzer's record",
	judge.NoBurner:     "strike the values if the burner was off; else correct them from the analyzer's record",
	judge.SwappedGases: "if the analyzer's record says so, exchange O2 and CO2",
	judge.OtherGas:     "if the analyzer's record says so, move the value to the other gas",
	judge.PairApart:    "correct O2 or CO2 from the analyzer's record",
	judge.SwappedFires: "if the analyzer's record says so, exchange high and low fire",
	judge.LowRate:      "correct rate or fire",
	judge.EarlyReading: "correct minutes or flue temperature; if they are right, nothing can be mended: read again at the next visit",
	judge.CopiedVisit:  "find the record of this visit; without it, strike the values",
	judge.CopiedAsLeft: "find the values left; if nothing was adjusted, say so",
	judge.ExactDouble:  "strike one",
	judge.FoundTwice:   "enter the times, or strike all but the first",
	judge.COBasis:      "correct CO or say whether it is free of excess air",
	judge.TempUnit:     "correct temperature or unit of measure",
	judge.RoomProbe:    "if the air was taken in the room, say so or enter the intake's",
	judge.DateDisorder: "correct the day",
}

// foundValue is what a reading has in the column a finding is about.
func foundValue(in units.Set, k judge.Kind, column string, r *judge.Reading) string {
	switch k {
	case judge.SwappedGases, judge.PairApart:
		return fmt.Sprintf("%s, %s %% O2", gas(r), exactly(r.O2Percent))
	case judge.SwappedFires:
		return string(r.Fire)
	case judge.LowRate:
		return known(r.RatePercent)
	case judge.EarlyReading:
		if column == "flue_temp" {
			return in.Bare(units.Temperature, r.FlueTempC)
		}
		return known(r.MinutesFiring)
	case judge.COBasis:
		return known(r.COPPM)
	case judge.RoomProbe:
		return in.Bare(units.Temperature, r.AirTempC)
	case judge.TempUnit:
		return degrees(in, r.FlueTempC) + ", " + degrees(in, r.AirTempC)
	case judge.DateDisorder:
		return Day(r.Day)
	}
	return gasValue(r)
}

// gasValue is the gas a reading was recorded in, without its unit.
func gasValue(r *judge.Reading) string {
	switch {
	case !math.IsNaN(r.CO2Percent):
		return Number(r.CO2Percent, decimalsOf(r.CO2Decimals))
	case !math.IsNaN(r.O2Percent):
		return Number(r.O2Percent, decimalsOf(r.O2Decimals))
	}
	return "no gas value"
}

func exactly(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// known writes a number as it is, "" where there is none.
func known(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return exactly(v)
}

// degrees writes a temperature, "-" where there is none.
func degrees(in units.Set, degC float64) string {
	if math.IsNaN(degC) {
		return "-"
	}
	return in.TemperatureOf(degC)
}
