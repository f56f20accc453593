package physics

import "math"

// Gravity is the acceleration of free fall, in m/s², that a function uses where none is given.
const Gravity = 9.81

const zeroCelsius = 273.15 // K

const (
	tanaka   = "Tanaka et al., Metrologia 38 (2001) 301"
	eos80    = "EOS-80, UNESCO Technical Papers in Marine Science 44 (1983)"
	cipm2007 = "CIPM-2007, Picard et al., Metrologia 45 (2008) 149"
	wgs84    = "WGS 84, NGA.STND.0036"
	statics  = "hydrostatics"
	boyle    = "Boyle's law"
)

func fluids() []*Function {
	return []*Function{
		declare("water_density(T)", "density of air-free pure water at 1 atm, 0 to 40 °C", tanaka).
			takes(density, temperature).gives(of1(WaterDensity)),
		declare("seawater_density(S, T, [p])", "density of sea water; S practical salinity 0 to 42, T -2 to 40 °C, p gauge pressure 0 to 1000 bar (0 unless given)", eos80).
			takes(density, plain, temperature, pressure).gives(of3or(0, SeawaterDensity)),
		declare("air_density(T, p, RH)", "density of moist air with 400 ppm CO2; T 15 to 27 °C, p absolute 600 to 1100 hPa, RH 0 to 1", cipm2007).
			takes(density, temperature, pressure, plain).gives(of3(AirDensity)),
		declare("gravity(latitude)", "normal gravity at sea level, latitude -90 to 90 deg", wgs84).
			takes(acceleration, plain).gives(of1(NormalGravity)),
		declare("pressure_at(depth, rho, [g])", "gauge pressure rho*g*depth under a free surface; g is 9.81 m/s² unless given", statics).
			takes(pressure, length, density, acceleration).gives(of3or(Gravity, PressureAt)),
		declare("gas_volume(V, p1, p2)", "volume at p2 of trapped gas that fills V at p1; absolute pressures, constant temperature", boyle).
			takes(volume, volume, pressure, pressure).gives(of3(GasVolume)),
	}
}

// WaterDensity returns the density in kg/m³ of air-free pure water (SMOW) at 1 atm at the temperature kelvin, 0 °C to
// 40 °C on ITS-90; outside it returns a *[RangeError]. Tanaka et al., Metrologia 38 (2001) 301, eq. 1, adopted by the CIPM.
func WaterDensity(kelvin float64) (float64, error) {
	t := kelvin - zeroCelsius
	if err := within("water temperature", t, 0, 40, "°C", tanaka); err != nil {
		return 0, err
	}
	d := t - 3.983035
	return 999.974950 * (1 - d*d*(t+301.797)/(522528.9*(t+69.34881))), nil
}

// SeawaterDensity returns the density in kg/m³ of sea water of practical salinity s (0 to 42) at kelvin (-2 °C to 40 °C on
// ITS-90, turned to IPTS-68 by 1.00024) under the gauge pressure p (0 to 100 MPa); outside it returns a *[RangeError].
// EOS-80: Fofonoff and Millard, UNESCO Technical Papers in Marine Science 44 (1983), pp. 15-19.
func SeawaterDensity(s, kelvin, p float64) (float64, error) {
	celsius := kelvin - zeroCelsius
	if err := within("practical salinity", s, 0, 42, "", eos80); err != nil {
		return 0, err
	}
	if err := within("sea water temperature", celsius, -2, 40, "°C", eos80); err != nil {
		return 0, err
	}
	if err := within("gauge pressure", p/1e5, 0, 1000, "bar", eos80); err != nil {
		return 0, err
	}
	t, bar, root := 1.00024*celsius, p/1e5, s*math.Sqrt(max(s, 0))
	surface := poly(t, 999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9) +
		poly(t, 8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)*s +
		poly(t, -5.72466e-3, 1.0227e-4, -1.6546e-6)*root + 4.8314e-4*s*s
	bulk := poly(t, 19652.21, 148.4206, -2.327105, 1.360477e-2, -5.155288e-5) +
		poly(t, 54.6746, -0.603459, 1.09987e-2, -6.1670e-5)*s +
		poly(t, 7.944e-2, 1.6483e-2, -5.3009e-4)*root
	a := poly(t, 3.239908, 1.43713e-3, 1.16092e-4, -5.77905e-7) +
		poly(t, 2.2838e-3, -1.0981e-5, -1.6078e-6)*s + 1.91075e-4*root
	b := poly(t, 8.50935e-5, -6.12293e-6, 5.2787e-8) + poly(t, -9.9348e-7, 2.0816e-8, 9.1697e-10)*s
	return surface / (1 - bar/(bulk+(a+b*bar)*bar)), nil
}

// poly is the polynomial in x with the coefficients c, lowest first.
func poly(x float64, c ...float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = y*x + c[i]
	}
	return y
}

// AirDensity returns the density in kg/m³ of moist air of the CO2 fraction 0.0004 at kelvin (15 °C to 27 °C), the absolute
// pressure p (600 hPa to 1100 hPa) and the relative humidity rh (0 to 1); outside it returns a *[RangeError].
// CIPM-2007: Picard, Davis, Gläser and Fujii, Metrologia 45 (2008) 149.
func AirDensity(kelvin, p, rh float64) (float64, error) {
	t := kelvin - zeroCelsius
	if err := within("air temperature", t, 15, 27, "°C", cipm2007); err != nil {
		return 0, err
	}
	if err := within("absolute air pressure", p/100, 600, 1100, "hPa", cipm2007); err != nil {
		return 0, err
	}
	if err := within("relative humidity", rh, 0, 1, "", cipm2007); err != nil {
		return 0, err
	}
	const (
		dryMass   = 28.96546e-3 // kg/mol
		waterMass = 18.01528e-3 // kg/mol
		gas       = 8.314472    // J/(mol K), the value the formula was fitted with
	)
	saturation := math.Exp(1.2378847e-5*kelvin*kelvin - 1.9121316e-2*kelvin + 33.93711047 - 6.3431645e3/kelvin)
	enhancement := 1.00062 + 3.14e-8*p + 5.6e-7*t*t
	vapour := rh * enhancement * saturation / p // mole fraction
	z := 1 - p/kelvin*(1.58123e-6-2.9331e-8*t+1.1043e-10*t*t+
		(5.707e-6-2.051e-8*t)*vapour+(1.9898e-4-2.376e-6*t)*vapour*vapour) +
		p*p/(kelvin*kelvin)*(1.83e-11-0.765e-8*vapour*vapour)
	return p * dryMass / (z * gas * kelvin) * (1 - vapour*(1-waterMass/dryMass)), nil
}

// NormalGravity returns the acceleration of free fall in m/s² on the WGS 84 ellipsoid at a geodetic latitude in rad, -π/2 to
// π/2, by Somigliana's closed formula.
func NormalGravity(latitude float64) (float64, error) {
	if err := within("latitude", latitude*180/math.Pi, -90, 90, "°", wgs84); err != nil {
		return 0, err
	}
	s := math.Sin(latitude)
	return 9.7803253359 * (1 + 0.00193185265241*s*s) / math.Sqrt(1-0.00669437999014*s*s), nil
}

// PressureAt returns the gauge pressure in Pa at depth (m, not above the surface) in a liquid of density rho (kg/m³)
// where free fall is g (m/s²).
func PressureAt(depth, rho, g float64) (float64, error) {
	if err := notNegative("depth", depth); err != nil {
		return 0, err
	}
	return rho * g * depth, allPositive("density, g", rho, g)
}

// GasVolume returns the volume at the absolute pressure p2 of gas that fills v at the absolute pressure p1, at constant
// temperature: v·p1/p2 (Boyle). Everything must be positive.
func GasVolume(v, p1, p2 float64) (float64, error) {
	if err := allPositive("volume, absolute pressure p1, absolute pressure p2", v, p1, p2); err != nil {
		return 0, err
	}
	return v * p1 / p2, nil
}
