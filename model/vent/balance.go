package vent

// ReferenceOutdoorC are the outdoor temperatures that runs are compared at,
// degC: hard frost, freezing, mild, hot (common practice, no source).
var ReferenceOutdoorC = []float64{-15, 0, 15, 30}

// Fired is a firing at one fire of a unit.
type Fired struct {
	Fire string
	Firing
}

// Balance is the pressure about a unit at one fire and outdoor temperature.
type Balance struct {
	Fire     string
	OutdoorC float64
	Vent     Loss
	Intake   Loss    // all zero without an own run
	DraftPa  float64 // positive upwards
	OutletPa Range   // at the appliance outlet against outdoors: vent loss less draft
	FanPa    Range   // what the fan must give to both runs: outlet and intake
}

// Balances returns the balance of a vent and a combustion-air run at each fire
// and reference outdoor temperature. An intake without sections takes air from
// the room; with its own run the air in it has the outdoor temperature. The
// first firing that makes no streams is an error.
func Balances(vent, intake Run, fires []Fired) ([]Balance, error) {
	var all []Balance
	for _, f := range fires {
		flue, air, err := f.Streams()
		if err != nil {
			return nil, err
		}
		for _, outdoorC := range ReferenceOutdoorC {
			b := Balance{Fire: f.Fire, OutdoorC: outdoorC, Vent: vent.VentLoss(flue), DraftPa: Draft(vent.RiseM(), outdoorC, flue)}
			if len(intake.Sections) > 0 {
				air.TempC = outdoorC
				b.Intake = intake.AirLoss(air)
			}
			b.OutletPa = b.Vent.TotalPa.Add(exactly(-b.DraftPa))
			b.FanPa = b.OutletPa.Add(b.Intake.TotalPa)
			all = append(all, b)
		}
	}
	return all, nil
}
