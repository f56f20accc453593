package physics

import (
	"fmt"
	"math"
)

const (
	rankineFroude = "Rankine-Froude actuator disc"
	dragLaw       = "drag equation"
	hoerner       = "Hoerner, Fluid-Dynamic Drag (1965)"
	dataBook      = "Matthews, Aeronautical Engineer's Data Book (2002)"
)

// dragCoefficients are for the frontal area, flow across the face, at the Reynolds numbers of a bench (1e3 to 1e5).
var dragCoefficients = map[string]Handbook{
	"sphere":      {0.47, 0.40, 0.50, hoerner},
	"cube":        {1.05, 1.0, 1.1, hoerner},
	"disc":        {1.12, 1.1, 1.2, "OpenStax College Physics 2e, section 5.2"},
	"plate":       {1.17, 1.1, 1.28, dataBook + ", square plate"},
	"cylinder_1":  {0.63, 0, 0, dataBook + ", length/diameter 1, across the flow"},
	"cylinder_5":  {0.74, 0, 0, dataBook + ", length/diameter 5, across the flow"},
	"cylinder_40": {0.98, 0, 0, dataBook + ", length/diameter 40, across the flow"},
	"cylinder":    {1.20, 0, 0, dataBook + ", very long, across the flow"},
}

func dragTable(rows map[string]Handbook) *Function {
	return lookup("drag_coefficient(shape)", "drag coefficient of a named shape for its frontal area", "handbook table, a source beside each row", plain, rows)
}

func propulsion() []*Function {
	motor := func(name, gives string, result measure, get func(MotorPoint) float64) *Function {
		return declare(name+"(U, R, k, Q0, kQ)", gives+" where a permanent-magnet motor (voltage U, resistance R, constant k, friction torque Q0) drives a propeller of torque kQ*n^2, n in turns per time", "motor line and propeller law").
			takes(result, voltage, resistance, motorK, torque, propellerK).
			gives(of5(func(U, R, k, Q0, kQ float64) (float64, error) {
				p, err := SolveMotor(U, R, k, Q0, kQ)
				return get(p), err
			}))
	}
	run := func(name, gives string, result measure, get func(v, s float64) float64) *Function {
		return declare(name+"(F, m, rho, Cd, A, t)", gives+" a time t after rest under constant thrust F and square-law drag; m includes the added mass, roughly half to all of the water displaced", "dv/dt = (F - drag)/m, closed form").
			takes(result, force, mass, density, plain, area, duration).
			gives(of6(func(F, m, rho, Cd, A, t float64) (float64, error) {
				v, s, err := RunFromRest(F, m, rho, Cd, A, t)
				return get(v, s), err
			}))
	}
	return []*Function{
		declare("drag(rho, Cd, A, v)", "drag force rho*Cd*A*v^2/2", dragLaw).
			takes(force, density, plain, area, speed).gives(of4(Drag)),
		declare("terminal_speed(F, rho, Cd, A)", "speed at which drag equals F", dragLaw).
			takes(speed, force, density, plain, area).gives(of4(TerminalSpeed)),
		declare("reynolds(rho, v, L, mu)", "Reynolds number rho*v*L/mu", "definition").
			takes(plain, density, speed, length, viscosity).gives(of4(Reynolds)),
		declare("disc_thrust(v, A, rho, V)", "thrust 2*rho*A*(V + v)*v of a disc that adds v to the flow at the disc, at the speed V", rankineFroude).
			takes(force, speed, area, density, speed).gives(of4(DiscThrust)),
		declare("disc_induced(T, A, rho, V)", "speed that a thrust T adds to the flow at the disc", rankineFroude).
			takes(speed, force, area, density, speed).gives(of4(DiscInduced)),
		declare("disc_power(T, A, rho, V)", "least power T*(V + v) that a thrust T can cost", rankineFroude).
			takes(power, force, area, density, speed).gives(of4(DiscPower)),
		declare("disc_efficiency(T, A, rho, V)", "ideal efficiency V/(V + v)", rankineFroude).
			takes(plain, force, area, density, speed).gives(of4(DiscEfficiency)),
		motor("motor_point", "turns per time", frequency, func(p MotorPoint) float64 { return p.Turns }),
		motor("motor_current", "current", current, func(p MotorPoint) float64 { return p.Current }),
		motor("motor_torque", "torque on the propeller", torque, func(p MotorPoint) float64 { return p.Torque }),
		run("speed_run", "speed", speed, func(v, _ float64) float64 { return v }),
		run("distance_run", "distance", length, func(_, s float64) float64 { return s }),
	}
}

// Drag returns ½·rho·Cd·A·v² in N for a density, a frontal area and a drag coefficient above 0.
func Drag(rho, Cd, A, v float64) (float64, error) {
	return 0.5 * rho * Cd * A * v * v, allPositive("density, drag coefficient, area", rho, Cd, A)
}

// TerminalSpeed returns the speed √(2F/(rho·Cd·A)) in m/s at which the drag equals F, which may be 0.
func TerminalSpeed(F, rho, Cd, A float64) (float64, error) {
	if err := allPositive("density, drag coefficient, area", rho, Cd, A); err != nil {
		return 0, err
	}
	return math.Sqrt(2 * F / (rho * Cd * A)), notNegative("force", F)
}

// Reynolds returns rho·v·L/mu, for a viscosity mu (Pa·s) and a size L (m) above 0.
func Reynolds(rho, v, L, mu float64) (float64, error) {
	return rho * v * L / mu, allPositive("density, size, viscosity", rho, L, mu)
}

// DiscThrust returns the thrust 2·rho·A·(V+v)·v in N of an actuator disc of area A (m²) that adds v ≥ 0 at the disc to a
// flow of speed V ≥ 0 (m/s).
func DiscThrust(v, A, rho, V float64) (float64, error) {
	if err := allPositive("area, density", A, rho); err != nil {
		return 0, err
	}
	if err := notNegative("speed added", v); err != nil {
		return 0, err
	}
	return 2 * rho * A * (V + v) * v, notNegative("speed", V)
}

// DiscInduced returns the speed v = (√(V² + 2T/(rho·A)) − V)/2 in m/s that the thrust T ≥ 0 adds to the flow at the disc.
func DiscInduced(T, A, rho, V float64) (float64, error) {
	if err := allPositive("area, density", A, rho); err != nil {
		return 0, err
	}
	if err := notNegative("thrust", T); err != nil {
		return 0, err
	}
	if T == 0 {
		return 0, notNegative("speed", V)
	}
	load := 2 * T / (rho * A) // written so that a light load at speed keeps its digits
	return load / 2 / (math.Sqrt(V*V+load) + V), notNegative("speed", V)
}

// DiscPower returns the power T·(V+v) in W that the thrust T costs an ideal disc.
func DiscPower(T, A, rho, V float64) (float64, error) {
	v, err := DiscInduced(T, A, rho, V)
	return T * (V + v), err
}

// DiscEfficiency returns V/(V+v), the useful share of the power of an ideal disc; 0 at rest. It fails with neither thrust
// nor speed.
func DiscEfficiency(T, A, rho, V float64) (float64, error) {
	v, err := DiscInduced(T, A, rho, V)
	if err != nil {
		return 0, err
	}
	if V+v == 0 {
		return 0, fmt.Errorf("a disc at rest without thrust has no efficiency: %w", ErrRange)
	}
	return V / (V + v), nil
}

// MotorPoint is where a motor and its propeller settle: turns per second, A, and N·m on the shaft.
type MotorPoint struct {
	Turns, Current, Torque float64
}

// SolveMotor returns the speed, current and torque at which the line of a permanent-magnet motor, U = R·I + k·2π·n and
// Q = k·I − Q0, meets the propeller's Q = kQ·n². U in V, R in Ω, k in N·m/A (= V·s/rad), Q0 in N·m, kQ in N·m·s² with n in
// turns per second. It fails where the motor cannot overcome its friction.
func SolveMotor(U, R, k, Q0, kQ float64) (MotorPoint, error) {
	if err := allPositive("voltage, resistance, motor constant, torque coefficient", U, R, k, kQ); err != nil {
		return MotorPoint{}, err
	}
	if err := notNegative("friction torque", Q0); err != nil {
		return MotorPoint{}, err
	}
	spare := k*U/R - Q0 // torque at standstill
	if spare <= 0 {
		return MotorPoint{}, fmt.Errorf("the motor does not start: %.4g N·m at standstill against %.4g N·m of friction: %w", k*U/R, Q0, ErrRange)
	}
	brake := 2 * math.Pi * k * k / R // torque lost per turn a second
	n := 2 * spare / (brake + math.Sqrt(brake*brake+4*kQ*spare))
	return MotorPoint{Turns: n, Current: (U - 2*math.Pi*k*n) / R, Torque: kQ * n * n}, nil
}

// RunFromRest returns the speed (m/s) and the distance (m) a time t ≥ 0 after rest under the constant thrust F and the drag
// ½·rho·Cd·A·v²: v = V·tanh(t/τ), s = V·τ·ln cosh(t/τ), with V the terminal speed and τ = m·V/F. The mass m includes the
// added mass of the water that moves along, roughly half to all of the water displaced.
func RunFromRest(F, m, rho, Cd, A, t float64) (v, s float64, err error) {
	if err := allPositive("thrust, mass, density, drag coefficient, area", F, m, rho, Cd, A); err != nil {
		return 0, 0, err
	}
	if err := notNegative("time", t); err != nil {
		return 0, 0, err
	}
	final := math.Sqrt(2 * F / (rho * Cd * A))
	tau := m * final / F
	x := t / tau
	lnCosh := x + math.Log1p(math.Expm1(-2*x)/2) // cosh itself overflows after long runs
	return final * math.Tanh(x), final * tau * lnCosh, nil
}
