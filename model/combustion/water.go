package combustion

import "math"

// Coefficients of the saturation line, region 4, of the IAPWS Industrial
// Formulation 1997 (IAPWS R7-97, Table 34; from memory, held to the values of
// its Tables 35 and 36).
var region4 = [11]float64{
	0,
	0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
	0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3,
}

// Ends of the saturation line.
const (
	tripleK    = 273.15 // lower end of the formulation
	criticalK  = 647.096
	minWaterPa = 611.212677 // at 273.15 K
	maxWaterPa = 22.064e6   // at the critical point
)

// saturationPressurePa returns the pressure at which water boils at a
// temperature: IAPWS R7-97 equation 30. NaN outside 0 to 373.946 degC.
func saturationPressurePa(tempC float64) float64 {
	k := tempC + kelvinZeroC
	if !inRange(k, tripleK, criticalK) {
		return math.NaN()
	}
	n := &region4
	v := k + n[9]/(k-n[10])
	a := v*v + n[1]*v + n[2]
	b := n[3]*v*v + n[4]*v + n[5]
	c := n[6]*v*v + n[7]*v + n[8]
	return 1e6 * math.Pow(2*c/(-b+math.Sqrt(b*b-4*a*c)), 4)
}

// saturationTempC returns the temperature at which water boils at a pressure,
// the inverse of SaturationPressurePa in closed form: IAPWS R7-97 equation 31.
// NaN outside 611.2 Pa to 22.064 MPa.
func saturationTempC(pressurePa float64) float64 {
	if !inRange(pressurePa, minWaterPa, maxWaterPa) {
		return math.NaN()
	}
	n := &region4
	w := math.Pow(pressurePa/1e6, 0.25)
	e := w*w + n[3]*w + n[6]
	f := n[1]*w*w + n[4]*w + n[7]
	g := n[2]*w*w + n[5]*w + n[8]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	return (n[10]+d-math.Sqrt((n[10]+d)*(n[10]+d)-4*(n[9]+n[10]*d)))/2 - kelvinZeroC
}
