//! A body of gas in the cylinder: what it holds, and the state equations that the steps solve.

use crate::gas::burned_table::FROZEN_BELOW;
use crate::gas::{Composition, WorkingGas};

/// A body of gas of one temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Zone {
    /// kg.
    pub mass: f64,
    /// Burned gas in it, kg.
    pub burned: f64,
    /// Fuel vapour in it, kg.
    pub fuel: f64,
    /// Internal energy with that of formation, J.
    pub energy: f64,
    /// K.
    pub temperature: f64,
    /// m³.
    pub volume: f64,
    /// It lies behind a flame: air or fuel that it has too much of took part in what burned there.
    pub reacted: bool,
}

/// Specific energy and gas constant of a gas with their slopes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Properties {
    /// J/kg.
    pub energy: f64,
    /// J/(kg K).
    pub energy_t: f64,
    /// J/(kg Pa).
    pub energy_p: f64,
    /// J/(kg K).
    pub gas_constant: f64,
    /// J/(kg K²).
    pub gas_constant_t: f64,
    /// J/(kg K Pa).
    pub gas_constant_p: f64,
}

/// Properties of a gas whose burned part is in equilibrium when hot and the rest frozen.
#[inline]
pub fn properties(gas: &WorkingGas, t: f64, p: f64, c: Composition) -> Properties {
    let mut found = Properties {
        energy: gas.energy(t, c),
        energy_t: gas.cv(t, c),
        energy_p: 0.0,
        gas_constant: gas.gas_constant(c),
        gas_constant_t: 0.0,
        gas_constant_p: 0.0,
    };
    if t > FROZEN_BELOW && c.burned > 0.0 {
        let frozen = Composition { burned: 1.0, fuel: 0.0 };
        let burned = gas.burned(t, p);
        found.energy += c.burned * (burned.energy - gas.energy(t, frozen));
        found.energy_t += c.burned * (burned.energy_t - gas.cv(t, frozen));
        found.energy_p = c.burned * burned.energy_p;
        found.gas_constant += c.burned * (burned.gas_constant - gas.gas_constant(frozen));
        found.gas_constant_t = c.burned * burned.gas_constant_t;
        found.gas_constant_p = c.burned * burned.gas_constant_p;
    }
    found
}

/// Excess of air or fuel below which a gas counts as one of the run's mixture, kg/kg: what rounding leaves.
const NO_EXCESS: f64 = 1e-9;

/// Air and fuel that a gas has too much of for the run's mixture, with the burned gas that they can react with.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Excess {
    /// Burned gas of the run's mixture and the excess that reacts with it, kg/kg of the whole.
    reacted: f64,
    /// Fuel in a kilogram of that, burned or not, kg.
    fuel_share: f64,
    /// Excess that reacts, kg/kg of the whole.
    mass: f64,
    /// What it is when it stands alone.
    alone: Composition,
}

/// None where there is next to nothing of it or nothing to react with. What goes beyond the mixtures that are known stays as it is.
#[inline]
fn excess(gas: &WorkingGas, c: Composition) -> Option<Excess> {
    let of_fresh = gas.fresh().fuel;
    let air = 1.0 - c.burned - c.fuel;
    let over = air - c.fuel * (1.0 - of_fresh) / of_fresh;
    let [leanest, richest] = gas.known_mixtures();
    let (mass, alone, fuel) = if over > 0.0 {
        let most = if leanest < of_fresh { c.burned * (of_fresh / leanest - 1.0) } else { 0.0 };
        (over.min(most), Composition::default(), 0.0)
    } else {
        let over = c.fuel - air * of_fresh / (1.0 - of_fresh);
        let most = if richest > of_fresh { c.burned * (richest - of_fresh) / (1.0 - richest) } else { 0.0 };
        (over.min(most), Composition { burned: 0.0, fuel: 1.0 }, 1.0)
    };
    if mass < NO_EXCESS {
        return None;
    }
    let reacted = c.burned + mass;
    Some(Excess { reacted, fuel_share: (c.burned * of_fresh + mass * fuel) / reacted, mass, alone })
}

/// Properties of a gas behind a flame. Where its fuel does not match its air the way the run's mixture does, the burned gas is that of
/// the mixture that there is, by its elements: air left over burns carbon monoxide and hydrogen, fuel left over becomes them.
#[inline]
pub fn properties_behind_flame(gas: &WorkingGas, t: f64, p: f64, c: Composition) -> Properties {
    let Some(excess) = excess(gas, c) else { return properties(gas, t, p, c) };
    let frozen = Composition { burned: 1.0, fuel: 0.0 };
    let burned = gas.burned_of(excess.fuel_share, t, p);
    let less = |whole: f64, of_burned: f64, of_excess: f64, now: f64| {
        whole - c.burned * of_burned - excess.mass * of_excess + excess.reacted * now
    };
    Properties {
        energy: less(gas.energy(t, c), gas.energy(t, frozen), gas.energy(t, excess.alone), burned.energy),
        energy_t: less(gas.cv(t, c), gas.cv(t, frozen), gas.cv(t, excess.alone), burned.energy_t),
        energy_p: excess.reacted * burned.energy_p,
        gas_constant: less(
            gas.gas_constant(c),
            gas.gas_constant(frozen),
            gas.gas_constant(excess.alone),
            burned.gas_constant,
        ),
        gas_constant_t: excess.reacted * burned.gas_constant_t,
        gas_constant_p: excess.reacted * burned.gas_constant_p,
    }
}

/// Energy that a gas has more, J/kg at `t` kelvin, when air or fuel that it has too much of stand beside the burned gas of the run's
/// mixture than when they have reacted with it: what must be given to it where it is written down the first way.
pub fn energy_of_excess(gas: &WorkingGas, t: f64, p: f64, c: Composition) -> f64 {
    properties(gas, t, p, c).energy - properties_behind_flame(gas, t, p, c).energy
}

impl Zone {
    /// Properties of what it holds at `t` kelvin and `p` pascal.
    #[inline]
    pub fn properties(&self, gas: &WorkingGas, t: f64, p: f64, c: Composition) -> Properties {
        if self.reacted { properties_behind_flame(gas, t, p, c) } else { properties(gas, t, p, c) }
    }

    /// Mass fractions; of an empty zone: air.
    #[inline]
    pub fn composition(&self) -> Composition {
        if self.mass > 0.0 {
            let per_mass = 1.0 / self.mass;
            Composition { burned: self.burned * per_mass, fuel: self.fuel * per_mass }
        } else {
            Composition::default()
        }
    }

    /// Adds `mass` kg of composition `c` without energy.
    #[inline]
    pub fn add(&mut self, mass: f64, c: Composition) {
        self.mass += mass;
        self.burned += mass * c.burned;
        self.fuel += mass * c.fuel;
    }

    /// Puts another body into this one: masses, energies and volumes add up; the temperature is left to the solver.
    pub fn absorb(&mut self, other: &Self) {
        self.mass += other.mass;
        self.burned += other.burned;
        self.fuel += other.fuel;
        self.energy += other.energy;
        self.volume += other.volume;
        self.reacted |= other.reacted;
    }
}

/// What `c` becomes when the share `share` of what can burn in it burns: fuel and air in the proportion of the run's mixture,
/// limited by the scarcer of the two. What is left over of the other stays in the composition; [`properties_behind_flame`] lets it
/// react with what has burned.
#[inline]
pub fn burnt(gas: &WorkingGas, c: Composition, share: f64) -> Composition {
    let consumed = share * burnable(gas, c);
    Composition { burned: c.burned + consumed, fuel: (c.fuel - consumed * gas.fresh().fuel).max(0.0) }
}

/// Mass fraction of `c` that can burn, 0 to 1.
#[inline]
pub fn burnable(gas: &WorkingGas, c: Composition) -> f64 {
    let fuel_share = gas.fresh().fuel;
    let air = (1.0 - c.burned - c.fuel).max(0.0);
    (c.fuel.max(0.0) / fuel_share).min(air / (1.0 - fuel_share))
}

/// How many Newton steps a solve may take; it takes two or three.
const MOST_STEPS: usize = 40;

/// Solves `m e(T, p) + ½ (p₁ + p) ΔV = known` with `p = m R T / V` for T from a guess; returns T and p, none when it does not settle.
#[inline]
pub fn solve_one(
    gas: &WorkingGas,
    zone: &Zone,
    known: f64,
    volume: f64,
    start: OneStart,
) -> Option<(f64, f64)> {
    let (m, c) = (zone.mass, zone.composition());
    let mut t = start.temperature;
    let mut p = m * gas.gas_constant(c) * t / volume;
    let hot_guess = t > FROZEN_BELOW;
    if hot_guess {
        p = m * zone.properties(gas, t, p, c).gas_constant * t / volume;
    }
    for _ in 0..MOST_STEPS {
        let q = zone.properties(gas, t, p, c);
        // Residuals of the energy and of the gas law; two unknowns because R follows T and p when hot.
        let law = p - m * q.gas_constant * t / volume;
        let energy = m * q.energy + 0.5 * (start.pressure + p) * start.volume_change - known;
        let law_t = -m * (q.gas_constant + t * q.gas_constant_t) / volume;
        let law_p = 1.0 - m * t * q.gas_constant_p / volume;
        let energy_t = m * q.energy_t;
        let energy_p = m * q.energy_p + 0.5 * start.volume_change;
        let determinant = law_t * energy_p - law_p * energy_t;
        let dt = (law_p * energy - energy_p * law) / determinant;
        let dt = dt.clamp(-0.3 * t, 0.5 * t);
        let dp = -(law + law_t * dt) / law_p;
        t += dt;
        p += dp;
        if !(t.is_finite() && p > 0.0) {
            return None;
        }
        if dt.abs() <= 1e-7 * t && dp.abs() <= 1e-7 * p {
            return Some((t, p));
        }
    }
    None
}

/// Where [`solve_one`] starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneStart {
    /// Guess, K.
    pub temperature: f64,
    /// Pressure before the step, Pa.
    pub pressure: f64,
    /// Change of volume in the step, m³.
    pub volume_change: f64,
}

/// The two zones before a step and what crosses their borders in it.
#[derive(Clone, Copy, Debug)]
pub struct TwoZones {
    /// Unburned and burned zone with the masses after the step, energies, volumes and temperatures before.
    pub zones: [Zone; 2],
    /// Energy that comes into each zone with mass, less heat to walls, J.
    pub gained: [f64; 2],
    /// Pressure before, Pa.
    pub pressure: f64,
    /// Pressure expected after, Pa.
    pub expected: f64,
    /// Volume after, m³.
    pub volume: f64,
}

/// Solves, for both zones and their common pressure p, `m e(T, p) − U₁ + ½ (p₁ + p) (m R T / p − V₁) = gained` and
/// `Σ m R T / p = V`; the zones after the step and p, none when it does not settle.
///
/// The energies that come out are those of the energy balance, so their sum is exact whatever the iteration leaves.
#[inline]
pub fn solve_two(gas: &WorkingGas, step: &TwoZones) -> Option<([Zone; 2], f64)> {
    let mut zones = step.zones;
    let compositions = zones.map(|z| z.composition());
    let mut p = step.expected;
    for _ in 0..MOST_STEPS {
        let mean = 0.5 * (step.pressure + p);
        let mut volume = -step.volume;
        let mut volume_p = 0.0;
        let (mut g, mut g_t, mut g_p, mut v_t) = ([0.0; 2], [0.0; 2], [0.0; 2], [0.0; 2]);
        for z in 0..2 {
            let (m, t) = (zones[z].mass, zones[z].temperature);
            let q = zones[z].properties(gas, t, p, compositions[z]);
            let v = m * q.gas_constant * t / p;
            let v_p = (m * t * q.gas_constant_p - v) / p;
            v_t[z] = m * (q.gas_constant + t * q.gas_constant_t) / p;
            g[z] = m * q.energy - step.zones[z].energy + mean * (v - step.zones[z].volume) - step.gained[z];
            g_t[z] = m * q.energy_t + mean * v_t[z];
            g_p[z] = m * q.energy_p + 0.5 * (v - step.zones[z].volume) + mean * v_p;
            volume += v;
            volume_p += v_p;
        }
        let along = |z: usize| v_t[z] / g_t[z];
        let residual = volume - along(0) * g[0] - along(1) * g[1];
        let slope = volume_p - along(0) * g_p[0] - along(1) * g_p[1];
        let dp = (-residual / slope).clamp(-0.3 * p, 0.5 * p);
        p += dp;
        let mut settled = dp.abs() <= 1e-8 * p;
        for z in 0..2 {
            let t = zones[z].temperature;
            let dt = (-(g[z] + g_p[z] * dp) / g_t[z]).clamp(-0.3 * t, 0.5 * t);
            zones[z].temperature = t + dt;
            settled &= dt.abs() <= 1e-7 * t;
        }
        if !(p.is_finite() && p > 0.0) {
            return None;
        }
        if settled {
            return Some((close(gas, step, zones, compositions, p), p));
        }
    }
    None
}

/// Volumes that add up and energies from the balance.
#[inline]
fn close(
    gas: &WorkingGas,
    step: &TwoZones,
    mut zones: [Zone; 2],
    compositions: [Composition; 2],
    p: f64,
) -> [Zone; 2] {
    let mean = 0.5 * (step.pressure + p);
    // The unburned zone is frozen unless it holds much hot residual, which it does not.
    let r = zones[0].properties(gas, zones[0].temperature, p, compositions[0]).gas_constant;
    zones[0].volume = (zones[0].mass * r * zones[0].temperature / p).min(step.volume);
    zones[1].volume = step.volume - zones[0].volume;
    for (zone, (before, gained)) in zones.iter_mut().zip(step.zones.iter().zip(step.gained)) {
        zone.energy = before.energy + gained - mean * (zone.volume - before.volume);
    }
    zones
}
