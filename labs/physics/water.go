package physics

import "keelmark/labs/quantity"

// Gravity is the acceleration of free fall, in m/s², that a formula uses where none is given.
const Gravity = 9.81

const zeroCelsius = 273.15 // K

const (
	tanaka = "Tanaka et al., Metrologia 38 (2001) 301"
	boyle  = "Boyle's law"
)

func fluids() []*Function {
	return []*Function{
		declare("water_density(T)", "density of air-free pure water at 1 atm, 0 to 40 °C", tanaka).
			takes(density, temperature).
			gives(func(x []quantity.Value) (float64, error) { return WaterDensity(x[0].X) }),
		declare("pressure_at(depth, rho, [g])", "gauge pressure rho*g*depth under a free surface; g is 9.81 m/s² unless given", "hydrostatics").
			takes(pressure, length, density, acceleration).
			gives(func(x []quantity.Value) (float64, error) {
				g := Gravity
				if len(x) > 2 {
					g = x[2].X
				}
				return PressureAt(x[0].X, x[1].X, g)
			}),
		declare("gas_volume(V, p1, p2)", "volume at p2 of trapped gas that fills V at p1, absolute pressures, constant temperature", boyle).
			takes(volume, volume, pressure, pressure).
			gives(func(x []quantity.Value) (float64, error) { return GasVolume(x[0].X, x[1].X, x[2].X) }),
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
