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
			f.Message, f.Value = Capital(found(in, f.Found))+". "+proposals[f.Found.Kind], foundValue(in, f.Found.Kind, f.Column, f.Reading)
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
	judge.OverCO2Max:   "Compare value, fuel and column with the analyzer's record.",
	judge.NoBurner:     "Strike the values if the burner was off; otherwise correct them from the analyzer's record.",
	judge.SwappedGases: "If the analyzer's record says so, exchange O2 and CO2.",
	judge.OtherGas:     "If the analyzer's record says so, move the value to the other gas.",
	judge.PairApart:    "Correct O2 or CO2 from the analyzer's record.",
	judge.SwappedFires: "If the analyzer's record says so, exchange high and low fire.",
	judge.LowRate:      "Correct the rate or the fire.",
	judge.EarlyReading: "Correct the minutes or the flue temperature. If they are right, leave the record and read again at the next visit.",
	judge.CopiedVisit:  "Find the record of this visit; without it, strike the values.",
	judge.CopiedAsLeft: "Find the values that were left; if nothing was adjusted, say so.",
	judge.ExactDouble:  "Strike one of the two.",
	judge.FoundTwice:   "Enter the times, or strike all but the first.",
	judge.COBasis:      "Correct CO, or say whether it is air-free.",
	judge.TempUnit:     "Correct the temperature or its unit of measure.",
	judge.RoomProbe:    "If the air was taken in the room, say so, or enter the temperature at the intake.",
	judge.DateDisorder: "Correct the day.",
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
