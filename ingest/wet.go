package ingest

import (
	"fmt"
	"math"

	"fluedrift/model/combustion"
)

// dryShare turns a share of CO2 or O2 in wet flue gas, in percent, into the
// share in dry gas. The water is that of complete combustion of the declared
// fuel in dry air, all of it vapour: with C, W and A mol of CO2, of wet gas at
// lambda 1 and of air needed per mol of fuel, a share x of CO2 means C/x mol of
// wet gas, and a share x of O2 an excess of air of x W / (0.209 - x) mol. NaN
// where lambda would be below 1.
func dryShare(s *combustion.Stoichiometry, field string, wetPercent float64) float64 {
	x := wetPercent / 100
	if field == "co2" {
		if x == 0 {
			return 0
		}
		dry := s.CO2Mol/x - s.H2OMol
		if dry < s.DryMol*(1-1e-9) {
			return math.NaN()
		}
		return 100 * s.CO2Mol / dry
	}
	air := float64(s.Air) / 100
	if x >= air {
		return math.NaN()
	}
	excess := x * s.WetMol / (air - x)
	return 100 * air * excess / (s.DryMol + excess)
}

// checkWet sets a line aside whose gas was measured wet below its dew point:
// some of its water had gone, and how much nobody wrote down.
func (r *rowReader) checkWet() *cellFault {
	for i := range r.head.bound {
		b := &r.head.bound[i]
		if b.Wet == nil {
			continue
		}
		for g, own := range r.own {
			v, flue := &r.groups[g][b.field], &r.groups[g][fieldFlue]
			if !own || !v.ok || !flue.ok {
				continue
			}
			lambda := b.Wet.LambdaFromO2(v.num)
			if b.Field == "co2" {
				lambda = b.Wet.LambdaFromCO2(v.num)
			}
			if dew := b.Wet.FlueGasAt(lambda).DewPointC(101325); flue.num < dew {
				f := &cellFault{b.Header, "", waterUnknown, fmt.Sprintf(
					"flue gas at %.1f degC is below its dew point of %.1f degC: part of its water had condensed when it was measured "+
						"wet, so its dry share cannot be computed", flue.num, dew)}
				if f = (losses{r}).loseTo(g, f); f != nil {
					return f
				}
			}
		}
	}
	return nil
}

// makeKey makes the visit id of an export that has none from its declared key.
// A key of the day alone needs no id.
func (r *rowReader) makeKey() *cellFault {
	if len(r.layout.Key) < 2 {
		return nil
	}
	id := ""
	for _, k := range r.layout.Key {
		v, text := &r.base[placeOf(k)], ""
		switch {
		case k == "day":
			text = iso(v.day)
		case k == "time":
			if m := minuteOf(r.base); m >= 0 {
				text = fmt.Sprintf("%02d:%02d", m/60, m%60)
			}
		default:
			text = v.text
		}
		if text == "" {
			return &cellFault{r.headerOf(k), "", blankRequired, fmt.Sprintf("the %s is blank and the layout declares it as part of "+
				"the key", k)}
		}
		if id != "" {
			id += " "
		}
		id += text
	}
	r.base[fieldVisitID] = value{ok: true, text: id}
	return nil
}
