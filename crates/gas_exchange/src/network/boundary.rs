//! The face between a duct and a reservoir: a wave in the duct meets quasi-steady flow through an opening.
//!
//! Inside, the state at the face lies on the wave that leaves it (two-shock form, Toro, *Riemann Solvers and Numerical
//! Methods*, 3rd ed., eq. 4.6; a rarefaction of the usual strength differs from it in the third order only). The
//! opening is an isentropic nozzle to the pressure behind it, choked when it must be; gas that enters the duct keeps the
//! reservoir's enthalpy and spreads to the whole face at constant pressure (Benson, *The Thermodynamics and Gas Dynamics
//! of Internal Combustion Engines*, vol. 1, ch. 3; from memory). One unknown, the pressure at the face.

use super::power::quick_power;

/// The gas inside the duct at the face, velocity counted outward.
#[derive(Clone, Copy, Debug)]
pub struct Inside {
    /// kg/m³.
    pub density: f64,
    /// Out of the duct, m/s.
    pub velocity: f64,
    /// Pa.
    pub pressure: f64,
    /// Ratio of specific heats.
    pub gamma: f64,
    /// J/(kg K).
    pub gas_constant: f64,
    /// Face area, m².
    pub area: f64,
}

/// Gas at rest behind the opening.
#[derive(Clone, Copy, Debug)]
pub struct Reservoir {
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// Ratio of specific heats.
    pub gamma: f64,
    /// J/(kg K).
    pub gas_constant: f64,
}

/// What crosses the face, and the state there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// Out of the duct, kg/s.
    pub mass: f64,
    /// Out of the duct, m/s.
    pub velocity: f64,
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// The opening is choked.
    pub choked: bool,
}

/// What a face remembers from the last step, so that the next solution is near.
#[derive(Clone, Copy, Debug, Default)]
pub struct Memory {
    pressure: f64,
    /// Pressure of the step before that one.
    before: f64,
    slope: f64,
    outward: bool,
}

/// Relative accuracy of the face pressure. Conservation does not depend on it.
const TOLERANCE: f64 = 1e-6;
/// After so many evaluations the bracket alone decides.
const MOST_EVALUATIONS: usize = 40;

impl Inside {
    /// Outward velocity at the face when its pressure is `p`.
    fn velocity_at(&self, p: f64) -> f64 {
        self.velocity - (p - self.pressure) / self.impedance(p)
    }

    /// Mass flux through the wave, kg/(m² s).
    fn impedance(&self, p: f64) -> f64 {
        (0.5 * self.density * ((self.gamma + 1.0) * p + (self.gamma - 1.0) * self.pressure)).sqrt()
    }

    /// Density behind the wave (Hugoniot).
    fn density_at(&self, p: f64) -> f64 {
        let (plus, minus) = (self.gamma + 1.0, self.gamma - 1.0);
        self.density * (plus * p + minus * self.pressure) / (minus * p + plus * self.pressure)
    }

    /// Pressure at the face if it were closed.
    pub fn wall_pressure(&self) -> f64 {
        let square = self.density * self.velocity * self.velocity;
        let b = 0.5 * square * (self.gamma + 1.0);
        let root = (b * b + 4.0 * square * self.gamma * self.pressure).sqrt();
        let rise = 0.5 * if self.velocity >= 0.0 { b + root } else { b - root };
        (self.pressure + rise).max(0.01 * self.pressure)
    }

    fn temperature_at(&self, p: f64) -> f64 {
        p / (self.density_at(p) * self.gas_constant)
    }

    fn closed(&self, pressure: f64) -> Face {
        Face { mass: 0.0, velocity: 0.0, pressure, temperature: self.temperature_at(pressure), choked: false }
    }

    /// Pressure at which the outflow is sonic, searched between `low` (supersonic there) and `high`.
    fn sonic_pressure(&self, mut low: f64, mut high: f64) -> f64 {
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            if self.is_supersonic(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }

    fn is_supersonic(&self, p: f64) -> bool {
        let v = self.velocity_at(p);
        v > 0.0 && v * v > self.gamma * self.gas_constant * self.temperature_at(p)
    }
}

/// Flow through an opening of `out_area` (gas that leaves the duct) or `in_area` (gas that enters it), both effective
/// areas in m² and at most the face's own; the number of evaluations is counted into `work`.
pub fn solve(
    inside: &Inside,
    node: &Reservoir,
    out_area: f64,
    in_area: f64,
    memory: &mut Memory,
    work: &mut u64,
) -> Face {
    let wall = inside.wall_pressure();
    let outward = wall > node.pressure;
    let opening = if outward { out_area } else { in_area }.min(inside.area);
    if opening <= 0.0 || (wall - node.pressure).abs() <= 1e-12 * wall {
        return inside.closed(wall);
    }
    if outward {
        outflow(inside, node, opening, wall, memory, work)
    } else {
        inflow(inside, node, opening, wall, memory, work)
    }
}

fn outflow(
    inside: &Inside,
    node: &Reservoir,
    opening: f64,
    wall: f64,
    memory: &mut Memory,
    work: &mut u64,
) -> Face {
    let mut low = node.pressure;
    if inside.is_supersonic(low) {
        low = inside.sonic_pressure(low, wall);
    }
    if opening >= inside.area {
        memory.outward = true;
        memory.pressure = low;
        return Face {
            mass: inside.density_at(low) * inside.velocity_at(low) * inside.area,
            velocity: inside.velocity_at(low),
            pressure: low,
            temperature: inside.temperature_at(low),
            choked: low > node.pressure,
        };
    }
    let nozzle = Nozzle::new(inside.gamma, inside.gas_constant);
    let excess = |p: f64| {
        let (v, t) = (inside.velocity_at(p), inside.temperature_at(p));
        inside.density_at(p) * v * inside.area - opening * nozzle.from(p, t, v, node.pressure).0
    };
    // At the low end more leaves the pipe than the opening takes, at the wall pressure less.
    let p = root(low, wall, true, excess, memory, work);
    let (v, t) = (inside.velocity_at(p), inside.temperature_at(p));
    Face {
        mass: inside.density_at(p) * v * inside.area,
        velocity: v,
        pressure: p,
        temperature: t,
        choked: nozzle.from(p, t, v, node.pressure).1,
    }
}

fn inflow(
    inside: &Inside,
    node: &Reservoir,
    opening: f64,
    wall: f64,
    memory: &mut Memory,
    work: &mut u64,
) -> Face {
    let nozzle = Nozzle::new(node.gamma, node.gas_constant);
    let twice_cp = 2.0 * nozzle.cp;
    let at_face = |p: f64| {
        let v = -inside.velocity_at(p);
        let t = (node.temperature - v * v / twice_cp).max(0.2 * node.temperature);
        (v, t, p / (node.gas_constant * t))
    };
    let excess = |p: f64| {
        let (v, _, density) = at_face(p);
        opening * nozzle.from(node.pressure, node.temperature, 0.0, p).0 - density * v * inside.area
    };
    let p = root(wall, node.pressure, false, excess, memory, work);
    let (v, t, density) = at_face(p);
    if v * v > node.gamma * node.gas_constant * t {
        return sonic_inflow(inside, node, opening, &nozzle, p);
    }
    Face {
        mass: -density * v * inside.area,
        velocity: -v,
        pressure: p,
        temperature: t,
        choked: nozzle.from(node.pressure, node.temperature, 0.0, p).1,
    }
}

/// Gas that enters no faster than sound: the jet from the opening fills the face at Mach 1, whatever the wave would allow,
/// because beyond it nothing in the duct reaches the face any more.
fn sonic_inflow(inside: &Inside, node: &Reservoir, opening: f64, nozzle: &Nozzle, p: f64) -> Face {
    let (flux, choked) = nozzle.from(node.pressure, node.temperature, 0.0, p);
    let t = 2.0 * node.temperature / (node.gamma + 1.0);
    let v = (node.gamma * node.gas_constant * t).sqrt();
    let mass = opening * flux;
    Face {
        mass: -mass,
        velocity: -v,
        pressure: mass / (inside.area * v) * node.gas_constant * t,
        temperature: t,
        choked,
    }
}

/// Isentropic nozzle of a gas with constant properties.
pub(super) struct Nozzle {
    gamma: f64,
    gas_constant: f64,
    cp: f64,
    exponent: f64,
}

impl Nozzle {
    pub(super) fn new(gamma: f64, gas_constant: f64) -> Self {
        let exponent = (gamma - 1.0) / gamma;
        Self { gamma, gas_constant, cp: gas_constant / exponent, exponent }
    }

    /// Mass flux in the throat, kg/(m² s), from a state with pressure, temperature and velocity to a pressure behind;
    /// and whether it is choked (Heywood, *Internal Combustion Engine Fundamentals*, app. C).
    pub(super) fn from(&self, p: f64, t: f64, v: f64, behind: f64) -> (f64, bool) {
        if behind >= p && v <= 0.0 {
            return (0.0, false);
        }
        let throat = t * quick_power(behind / p, self.exponent);
        let square = v * v + 2.0 * self.cp * (t - throat);
        if square <= 0.0 {
            return (0.0, false);
        }
        if square <= self.gamma * self.gas_constant * throat {
            return (behind / (self.gas_constant * throat) * square.sqrt(), false);
        }
        let total = t + 0.5 * v * v / self.cp;
        let sonic = 2.0 * total / (self.gamma + 1.0);
        let pressure = p * quick_power(sonic / t, 1.0 / self.exponent);
        (pressure * (self.gamma / (self.gas_constant * sonic)).sqrt(), true)
    }
}

/// Root of a function that is positive at `low` and negative at `high`: secant from the remembered root and slope, held
/// inside the bracket.
fn root(
    mut low: f64,
    mut high: f64,
    outward: bool,
    function: impl Fn(f64) -> f64,
    memory: &mut Memory,
    work: &mut u64,
) -> f64 {
    let remembered = memory.outward == outward && memory.slope < 0.0;
    let mut p = if remembered {
        // The pressure goes on as it went.
        (2.0 * memory.pressure - memory.before).clamp(low, high)
    } else {
        0.5 * (low + high)
    };
    let mut slope = if remembered { memory.slope } else { 0.0 };
    let mut last: Option<(f64, f64)> = None;
    for _ in 0..MOST_EVALUATIONS {
        let f = function(p);
        *work += 1;
        if f > 0.0 {
            low = p;
        } else {
            high = p;
        }
        if let Some((before, f_before)) = last
            && (p - before).abs() > 0.0
        {
            let secant = (f - f_before) / (p - before);
            if secant < 0.0 {
                slope = secant;
            }
        }
        last = Some((p, f));
        let mut next = if slope < 0.0 { p - f / slope } else { 0.5 * (low + high) };
        if !(next > low && next < high) {
            next = 0.5 * (low + high);
        }
        let moved = (next - p).abs();
        p = next;
        if moved <= TOLERANCE * high || high - low <= TOLERANCE * high {
            break;
        }
    }
    let before = if remembered { memory.pressure } else { p };
    *memory = Memory { pressure: p, before, slope, outward };
    p
}

#[cfg(test)]
mod tests {
    use super::*;
    use mechanics::math;

    const AIR: (f64, f64) = (1.4, 287.0);

    fn inside(pressure: f64, temperature: f64, velocity: f64) -> Inside {
        Inside {
            density: pressure / (AIR.1 * temperature),
            velocity,
            pressure,
            gamma: AIR.0,
            gas_constant: AIR.1,
            area: 1e-3,
        }
    }

    fn reservoir(pressure: f64, temperature: f64) -> Reservoir {
        Reservoir { pressure, temperature, gamma: AIR.0, gas_constant: AIR.1 }
    }

    fn steady(inside: &Inside, node: &Reservoir, opening: f64) -> Face {
        let mut work = 0;
        solve(inside, node, opening, opening, &mut Memory::default(), &mut work)
    }

    #[test]
    fn rest_stays_at_rest() {
        let face = steady(&inside(1e5, 300.0, 0.0), &reservoir(1e5, 300.0), 5e-4);
        assert!(face.mass.abs() < 1e-12, "{face:?}");
    }

    /// Nozzle flow of check 2.4 (Heywood, appendix C): in front of a small hole the duct is a reservoir.
    #[test]
    fn small_hole_is_a_nozzle() {
        let opening = 1e-8;
        let mass = steady(&inside(2e5, 300.0, 0.0), &reservoir(1.6e5, 300.0), opening).mass;
        assert!((mass / (38.21455e-3 * opening / 1e-4) - 1.0).abs() < 2e-5, "{mass}");
        let back = steady(&inside(1.6e5, 300.0, 0.0), &reservoir(2e5, 300.0), opening).mass;
        assert!((back / (-38.21455e-3 * opening / 1e-4) - 1.0).abs() < 2e-5, "{back}");
    }

    /// A sound wave at a fully open end returns with the opposite sign: the face takes the reservoir's pressure.
    #[test]
    fn open_end_takes_the_pressure_outside() {
        let face = steady(&inside(1.02e5, 300.0, 5.0), &reservoir(1e5, 300.0), 1e-3);
        assert!((face.pressure - 1e5).abs() < 1.0, "{face:?}");
    }

    #[test]
    fn steady_inflow_through_an_open_end_is_isentropic() {
        // Search for the inside state that the flow itself would leave: then nothing is reflected.
        let node = reservoir(1e5, 300.0);
        let (velocity, cp) = (-100.0, 1004.5);
        let temperature = 300.0 - 100.0 * 100.0 / (2.0 * cp);
        let pressure = 1e5 * math::powf(temperature / 300.0, 3.5);
        let face = steady(&inside(pressure, temperature, velocity), &node, 1e-3);
        assert!((face.pressure / pressure - 1.0).abs() < 1e-6, "{face:?} {pressure}");
        assert!((face.velocity - velocity).abs() < 1e-2, "{face:?}");
    }

    #[test]
    fn choked_blow_down_does_not_depend_on_what_is_behind() {
        let duct = inside(4e5, 900.0, 0.0);
        let one = steady(&duct, &reservoir(1.0e5, 300.0), 3e-4);
        let other = steady(&duct, &reservoir(0.5e5, 300.0), 3e-4);
        assert!(one.choked && other.choked);
        assert!((one.mass / other.mass - 1.0).abs() < 1e-6);
    }

    proptest::proptest! {
        #[test]
        fn never_wrong_in_sign_and_always_finite(
            p in 0.2f64..20.0, t in 250.0f64..1500.0, mach in -0.9f64..0.9, q in 0.2f64..20.0, s in 250.0f64..2500.0, share in 0.0f64..1.0
        ) {
            let c = (1.4 * 287.0 * t).sqrt();
            let duct = inside(p * 1e5, t, mach * c);
            let face = steady(&duct, &reservoir(q * 1e5, s), share * 1e-3);
            proptest::prop_assert!(face.mass.is_finite() && face.pressure > 0.0 && face.temperature > 0.0);
            let wall = duct.wall_pressure();
            proptest::prop_assert!(face.mass * (wall - q * 1e5) >= -1e-12);
        }
    }
}
