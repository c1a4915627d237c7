//! A cylinder that runs: state, steps, sums.

use core::f64::consts::{PI, TAU};

use crate::gas::{Composition, WorkingGas};
use mechanics::math::ln;

use super::blow_by::BlowBy;
use super::chamber::{Chamber, SURFACES};
use super::crevice::Crevice;
use super::heat_transfer::{HeatLaw, Reference};
use super::knock::{Delay, KnockIntegral};
use super::spec::{CylinderSpec, SpecError};
use super::totals::CycleTotals;
use super::wiebe::Wiebe;
use super::zone::{OneStart, TwoZones, Zone, burnable, burnt, properties, solve_one, solve_two};

mod exchange;
mod state;

pub use state::{CylinderError, CylinderState, PortFlow};

/// Longest step in combustion, rad: half a degree.
pub const LONGEST_BURNING_STEP: f64 = 0.5 * PI / 180.0;

/// Least number of steps in which a charge burns.
pub const LEAST_STEPS_OF_BURN: f64 = 60.0;

/// Longest step otherwise, rad: one degree.
pub const LONGEST_STEP: f64 = PI / 180.0;

/// Motored exponent when the compression before ignition is too short to tell.
const USUAL_EXPONENT: f64 = 1.33;

/// Share burned at which the second zone begins, 1: a zone of less mass would be made of rounding.
pub const LEAST_BURNED: f64 = 1e-6;

/// Share of end gas below which the knock integral stops, 1: what is left of it then is too little to knock.
pub const LEAST_END_GAS: f64 = 0.05;

/// Where the cylinder is in its cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase {
    /// A valve is open.
    Open,
    /// Valves closed, not burning; the burn may still come.
    Closed { armed: bool },
    /// Two zones. The law of this cycle is kept.
    Burning { law: Wiebe },
}

/// Heat flows, W: to crown, head, liner from the unburned (or only) zone and from the burned one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct HeatRates([[f64; SURFACES]; 2]);

/// One cylinder. Angles are radians from firing top dead centre; any angle is taken modulo 4π to −2π…2π: compression −π…0,
/// expansion 0…π, exhaust π…2π, intake −2π…−π.
#[derive(Clone, Debug, PartialEq)]
pub struct Cylinder {
    chamber: Chamber,
    wall_temperatures: [f64; SURFACES],
    heat: HeatLaw,
    burn: Option<Wiebe>,
    completeness: f64,
    delay: Option<Delay>,
    phase: Phase,
    pressure: f64,
    volume: f64,
    /// Unburned or only zone, burned zone.
    zones: [Zone; 2],
    crevice: Option<Crevice>,
    rings: Option<BlowBy>,
    /// Change of pressure over angle in the last step, Pa/rad.
    slope: f64,
    /// Heat flows of the step before with its length in s.
    last_heat: Option<(HeatRates, f64)>,
    reference: Option<Reference>,
    closing_composition: Composition,
    knock: KnockIntegral,
    knock_rate: f64,
    gamma: f64,
    totals: CycleTotals,
}

impl Cylinder {
    /// A cylinder filled with gas of composition `c` at a pressure (Pa), a temperature (K) and a crank angle (rad).
    ///
    /// # Errors
    /// [`CylinderError::Spec`] and [`CylinderError::Start`].
    pub fn new(
        spec: &CylinderSpec,
        gas: &WorkingGas,
        angle: f64,
        pressure: f64,
        temperature: f64,
        c: Composition,
    ) -> Result<Self, CylinderError> {
        spec.validate()?;
        let range = pressure > 100.0 && pressure < 1e9 && temperature > 150.0 && temperature < 4000.0;
        let mixture = c.burned >= 0.0 && c.fuel >= 0.0 && c.burned + c.fuel <= 1.0;
        if !(range && mixture && angle.is_finite()) {
            return Err(CylinderError::Start { pressure, temperature });
        }
        let chamber = Chamber::new(spec)?;
        let volume = chamber.volume(angle);
        let q = properties(gas, temperature, pressure, c);
        let mut zone = Zone { temperature, volume, ..Zone::default() };
        zone.add(pressure * volume / (q.gas_constant * temperature), c);
        zone.energy = zone.mass * q.energy;
        let delay = spec.knock.map(|law| law.prepare()).transpose().map_err(SpecError::from)?;
        Ok(Self {
            chamber,
            wall_temperatures: spec.wall_temperatures,
            heat: spec.heat,
            burn: spec.burn,
            completeness: spec.completeness,
            delay,
            phase: Phase::Open,
            pressure,
            volume,
            zones: [zone, Zone::default()],
            crevice: spec.crevice.map(|s| Crevice::new(s, gas, pressure, c)),
            rings: spec.rings.map(|s| BlowBy::new(s, gas, c)),
            slope: 0.0,
            last_heat: None,
            reference: None,
            closing_composition: c,
            knock: KnockIntegral::default(),
            knock_rate: 0.0,
            gamma: gas.gamma(temperature, c),
            totals: CycleTotals::default(),
        })
    }

    /// The burn of the next ignition; none leaves the cylinder motored. A burn under way goes on with its own law.
    pub fn set_burn(&mut self, burn: Option<Wiebe>) {
        self.burn = burn;
    }

    /// The burn of the next ignition.
    pub fn burn(&self) -> Option<Wiebe> {
        self.burn
    }

    /// Wall temperatures of crown, head, liner, K; from the next step on.
    pub fn set_wall_temperatures(&mut self, temperatures: [f64; SURFACES]) {
        self.wall_temperatures = temperatures;
    }

    /// Volume and surfaces.
    pub fn chamber(&self) -> &Chamber {
        &self.chamber
    }

    /// The gas that would leave now.
    #[inline]
    pub fn state(&self) -> CylinderState {
        let [u, b] = &self.zones;
        let mass = u.mass + b.mass;
        let temperature = self.mean_temperature();
        CylinderState {
            pressure: self.pressure,
            temperature,
            mass,
            composition: Composition { burned: (u.burned + b.burned) / mass, fuel: (u.fuel + b.fuel) / mass },
            volume: self.volume,
            gamma: self.gamma,
            gas_constant: self.pressure * self.volume / (mass * temperature),
            enthalpy: (u.energy + b.energy + self.pressure * self.volume) / mass,
        }
    }

    /// Unburned and burned zone while it burns; the only zone and an empty one otherwise.
    pub fn zones(&self) -> &[Zone; 2] {
        &self.zones
    }

    /// Temperature of the unburned gas while it burns, of all gas otherwise, K.
    pub fn unburned_temperature(&self) -> f64 {
        self.zones[0].temperature
    }

    /// It burns now.
    pub fn burning(&self) -> bool {
        matches!(self.phase, Phase::Burning { .. })
    }

    /// Mass in cylinder, crevice and between the rings, kg.
    pub fn total_mass(&self) -> f64 {
        self.bodies().map(|z| z.mass).sum()
    }

    /// Energy with formation in cylinder, crevice and between the rings, J.
    pub fn total_energy(&self) -> f64 {
        self.bodies().map(|z| z.energy).sum()
    }

    fn bodies(&self) -> impl Iterator<Item = &Zone> {
        let crevice = self.crevice.as_ref().map(Crevice::gas);
        self.zones.iter().chain(crevice).chain(self.rings.as_ref().map(BlowBy::gas))
    }

    /// The gas when the valves last closed, with its composition; none before they did.
    pub fn at_closing(&self) -> Option<(Reference, Composition)> {
        self.reference.map(|reference| (reference, self.closing_composition))
    }

    /// Sums so far.
    pub fn totals(&self) -> &CycleTotals {
        &self.totals
    }

    /// Takes the sums and starts new ones: once a cycle, best at ±2π, where both knock and work of the cycle are complete.
    pub fn take_totals(&mut self) -> CycleTotals {
        core::mem::take(&mut self.totals)
    }

    #[inline]
    fn mean_temperature(&self) -> f64 {
        let [u, b] = &self.zones;
        // p V / Σ m R, because V/T of a zone is its m R / p.
        if b.mass > 0.0 {
            let weight = |z: &Zone| z.volume / z.temperature;
            self.volume / (weight(u) + weight(b))
        } else {
            u.temperature
        }
    }

    /// Advances from one crank angle to another (rad, forward) in `dt` seconds while `inflow` comes in evenly.
    ///
    /// Mass and energy are conserved to rounding: what comes in less heat less ∫ p dV is the change of energy.
    ///
    /// # Errors
    /// [`CylinderError`]; the cylinder is then not to be used further.
    pub fn advance(
        &mut self,
        gas: &WorkingGas,
        angles: [f64; 2],
        dt: f64,
        inflow: PortFlow,
        valves_closed: bool,
    ) -> Result<(), CylinderError> {
        let [from, to] = angles;
        let span = to - from;
        if !(span > 0.0 && span <= PI && dt > 0.0 && from.is_finite()) {
            return Err(CylinderError::Step { from, to, dt });
        }
        let from = cycle_angle(from);
        self.enter_phase(gas, from, valves_closed)?;
        let longest = self.longest_step(from, span);
        let steps = (span / longest - 1e-9).ceil().max(1.0);
        let share = 1.0 / steps;
        let part = PortFlow {
            mass: inflow.mass * share,
            enthalpy: inflow.enthalpy * share,
            burned: inflow.burned * share,
            fuel: inflow.fuel * share,
        };
        for i in 0..steps as usize {
            let step = Step {
                from: from + span * share * i as f64,
                to: from + span * share * (i + 1) as f64,
                dt: dt * share,
                speed: span / dt,
            };
            self.substep(gas, &step, &part)?;
        }
        Ok(())
    }

    /// Longest step from an angle on: in combustion also a part of the burn, so that the burn is resolved whatever it lasts.
    fn longest_step(&self, from: f64, span: f64) -> f64 {
        let law = match (self.phase, self.burn) {
            (Phase::Burning { law }, _) => law,
            (Phase::Closed { armed: true }, Some(law)) if from + span > law.start() && from < law.end() => {
                law
            }
            _ => return LONGEST_STEP,
        };
        LONGEST_BURNING_STEP.min(law.duration() / LEAST_STEPS_OF_BURN)
    }

    /// Notes that valves opened or closed since the last step.
    fn enter_phase(
        &mut self,
        gas: &WorkingGas,
        angle: f64,
        valves_closed: bool,
    ) -> Result<(), CylinderError> {
        match (self.phase, valves_closed) {
            (Phase::Open, true) => {
                self.phase = Phase::Closed { armed: true };
                self.reference = Some(Reference {
                    pressure: self.pressure,
                    temperature: self.zones[0].temperature,
                    volume: self.volume,
                    exponent: USUAL_EXPONENT,
                });
                self.closing_composition = self.zones[0].composition();
                self.knock = KnockIntegral::default();
                self.knock_rate = 0.0;
            }
            (Phase::Closed { .. }, false) => self.open(gas),
            (Phase::Burning { law }, false) => {
                self.totals.flags.burn_cut_short = Some(law.burned(angle));
                self.merge(gas, angle)?;
                self.open(gas);
            }
            _ => {}
        }
        Ok(())
    }

    /// The valves open: from here on the gas is what ports and ducts carry. Its temperature stays.
    fn open(&mut self, gas: &WorkingGas) {
        self.phase = Phase::Open;
        let zone = &mut self.zones[0];
        if zone.reacted {
            let (t, c) = (zone.temperature, zone.composition());
            let before = zone.properties(gas, t, self.pressure, c);
            zone.reacted = false;
            let after = zone.properties(gas, t, self.pressure, c);
            let given = zone.mass * (after.energy - before.energy);
            zone.energy += given;
            self.totals.mixture_energy += given;
            self.pressure *= after.gas_constant / before.gas_constant;
        }
        if self.knock.value() > self.totals.knock.value() {
            self.totals.knock = self.knock;
        }
    }

    fn substep(&mut self, gas: &WorkingGas, step: &Step, inflow: &PortFlow) -> Result<(), CylinderError> {
        self.ignite(gas, step)?;
        let volume = self.chamber.volume(step.to);
        let expected = self.expected_pressure(step, volume);
        let rates = self.heat_rates(step);
        let heat = self.heat_of_step(&rates, step.dt);
        let mut gained = heat.0.map(|zone| -zone.iter().sum::<f64>());
        let lost = -gained[0];
        if self.crevice.is_some() {
            self.breathe(gas, step, expected, &mut gained);
        }
        self.zones[0].mass += inflow.mass;
        self.zones[0].burned += inflow.burned;
        self.zones[0].fuel += inflow.fuel;
        gained[0] += inflow.enthalpy;
        let before = self.pressure;
        let solved = match self.phase {
            Phase::Burning { law } => self.step_two(
                gas,
                &Burn { law: &law, from: step.from, to: step.to, volume, expected, lost },
                gained,
            ),
            _ => self.step_one(gas, volume, gained[0]),
        };
        if !(solved && self.pressure > 0.0 && self.zones[0].mass > 0.0) {
            return Err(self.no_state(step.to));
        }
        let work = 0.5 * (before + self.pressure) * (volume - self.volume);
        self.volume = volume;
        self.add_up(gas, step, before, work, &heat);
        if let Phase::Burning { law } = self.phase
            && (step.to >= law.end() || self.zones[0].mass < 1e-9 * self.zones[1].mass)
        {
            self.merge(gas, step.to)?;
            self.phase = Phase::Closed { armed: false };
        }
        Ok(())
    }

    fn no_state(&self, angle: f64) -> CylinderError {
        CylinderError::NoState {
            angle,
            pressure: self.pressure,
            temperature: self.zones[0].temperature,
            mass: self.zones[0].mass + self.zones[1].mass,
        }
    }

    /// Starts the burn in the step that reaches its start.
    fn ignite(&mut self, gas: &WorkingGas, step: &Step) -> Result<(), CylinderError> {
        let Some(law) = self.burn else { return Ok(()) };
        if step.to <= law.start() || step.from >= law.end() {
            return Ok(());
        }
        match self.phase {
            Phase::Open if step.from <= law.start() => {
                let c = self.zones[0].composition();
                if burnable(gas, c) > 1e-3 {
                    return Err(CylinderError::IgnitionWithValveOpen { start: law.start() });
                }
            }
            Phase::Closed { armed: true } if law.burned(step.from) >= LEAST_BURNED => {
                // The valves closed, or the burn was moved, after it should have begun.
                self.totals.flags.missed_ignition = true;
                self.phase = Phase::Closed { armed: false };
            }
            Phase::Closed { armed: true } if law.burned(step.to) >= LEAST_BURNED => self.start_burn(gas, law),
            _ => {}
        }
        Ok(())
    }

    fn start_burn(&mut self, gas: &WorkingGas, law: Wiebe) {
        let c = self.zones[0].composition();
        let burns = burnable(gas, c);
        if burns < 1e-3 {
            self.totals.flags.nothing_to_burn = true;
            self.phase = Phase::Closed { armed: false };
            return;
        }
        if let Some(reference) = &mut self.reference {
            let ratio = reference.volume / self.volume;
            if ratio > 1.5 && self.pressure > reference.pressure {
                reference.exponent = ln(self.pressure / reference.pressure) / ln(ratio);
            }
        }
        self.phase = Phase::Burning { law };
    }

    /// Pressure at the end of the step as far as the last steps tell, Pa: only a first guess and what crevices look at.
    #[inline]
    fn expected_pressure(&self, step: &Step, volume: f64) -> f64 {
        let change = self.slope * (step.to - step.from);
        let change = if matches!(self.phase, Phase::Burning { .. }) {
            change
        } else {
            -self.gamma * self.pressure * (volume - self.volume) / (0.5 * (volume + self.volume))
        };
        self.pressure + change.clamp(-0.5 * self.pressure, self.pressure)
    }

    /// A step of one zone; false when it has no state.
    #[inline]
    fn step_one(&mut self, gas: &WorkingGas, volume: f64, gained: f64) -> bool {
        let zone = &mut self.zones[0];
        if zone.mass.is_nan() || zone.mass <= 0.0 {
            return false;
        }
        let change = volume - self.volume;
        let known = zone.energy + gained;
        let guess = zone.temperature * (1.0 - (self.gamma - 1.0) * change / (0.5 * (volume + self.volume)));
        let start = OneStart { temperature: guess, pressure: self.pressure, volume_change: change };
        let Some((t, p)) = solve_one(gas, zone, known, volume, start) else { return false };
        zone.energy = known - 0.5 * (self.pressure + p) * change;
        zone.temperature = t;
        zone.volume = volume;
        self.pressure = p;
        true
    }

    /// A step of two zones; false when it has no state.
    #[inline]
    fn step_two(&mut self, gas: &WorkingGas, step: &Burn<'_>, mut gained: [f64; 2]) -> bool {
        let Burn { law, expected, volume, .. } = *step;
        let before = if self.zones[1].mass > 0.0 { law.burned(step.from) } else { 0.0 };
        let burned = [before, law.burned(step.to)];
        let share = (burned[1] - burned[0]) / (1.0 - burned[0]);
        let [mut unburned, mut products] = self.zones;
        products.reacted = true;
        let c = unburned.composition();
        let mass = unburned.mass * share;
        let after = burnt(gas, c, self.completeness);
        // The mixture that burns leaves its zone with the enthalpy of the middle of the step.
        let r = gas.gas_constant(c);
        let t = unburned.temperature;
        let cp = gas.cv(t, c) + r;
        let after_step =
            t * (1.0 + r / cp * (expected / self.pressure - 1.0)) - step.lost / (cp * unburned.mass);
        let middle = 0.5 * (t + after_step);
        let crossing = mass * (gas.energy(middle, c) + r * middle);
        unburned.add(-mass, c);
        products.add(mass, after);
        gained[0] -= crossing;
        gained[1] += crossing;
        self.totals.burned_fuel += mass * (c.fuel - after.fuel);
        if products.mass <= 0.0 {
            self.zones = [unburned, products];
            return self.step_one(gas, volume, gained[0]);
        }
        unburned.temperature = after_step;
        if self.zones[1].mass <= 0.0 {
            products.temperature = 1800.0 + unburned.temperature;
        }
        let problem =
            TwoZones { zones: [unburned, products], gained, pressure: self.pressure, expected, volume };
        let Some((zones, p)) = solve_two(gas, &problem) else { return false };
        self.zones = zones;
        self.pressure = p;
        true
    }

    /// Makes one zone of two at constant energy and volume.
    fn merge(&mut self, gas: &WorkingGas, angle: f64) -> Result<(), CylinderError> {
        let [mut zone, products] = self.zones;
        let hot = if products.mass > zone.mass { products.temperature } else { zone.temperature };
        zone.absorb(&products);
        zone.volume = self.volume;
        let start = OneStart { temperature: hot, pressure: self.pressure, volume_change: 0.0 };
        let Some((t, p)) = solve_one(gas, &zone, zone.energy, self.volume, start) else {
            return Err(self.no_state(angle));
        };
        zone.temperature = t;
        self.pressure = p;
        self.zones = [zone, Zone::default()];
        if let Some((last, _)) = &mut self.last_heat {
            for s in 0..SURFACES {
                last.0[0][s] += last.0[1][s];
                last.0[1][s] = 0.0;
            }
        }
        self.gamma = gas.gamma(t, zone.composition());
        Ok(())
    }

    fn add_up(&mut self, gas: &WorkingGas, step: &Step, before: f64, work: f64, heat: &HeatRates) {
        self.slope = (self.pressure - before) / (step.to - step.from);
        let hottest = &self.zones[usize::from(self.zones[1].mass > 0.0)];
        self.gamma = gas.gamma(hottest.temperature, hottest.composition());
        let middle = 0.5 * (step.from + step.to);
        let totals = &mut self.totals;
        if (-PI..PI).contains(&middle) {
            totals.gross_work += work;
        } else {
            totals.pumping_work += work;
        }
        for s in 0..SURFACES {
            totals.heat[s] += heat.0[0][s] + heat.0[1][s];
        }
        totals.time += step.dt;
        totals.peak_temperature = totals.peak_temperature.max(hottest.temperature);
        if self.pressure > totals.peak_pressure {
            totals.peak_pressure = self.pressure;
            totals.peak_angle = step.to;
        }
        if self.slope > totals.peak_rise && self.phase != Phase::Open {
            totals.peak_rise = self.slope;
        }
        self.knock_step(step);
    }

    #[inline]
    fn knock_step(&mut self, step: &Step) {
        let waits = match self.phase {
            Phase::Closed { armed } => armed,
            Phase::Burning { .. } => true,
            Phase::Open => false,
        };
        if !waits {
            return;
        }
        let [u, b] = &self.zones;
        let unburned = u.mass / (u.mass + b.mass);
        if unburned < LEAST_END_GAS {
            return;
        }
        self.totals.peak_unburned_temperature = self.totals.peak_unburned_temperature.max(u.temperature);
        if let Some(delay) = self.delay {
            let rate = delay.rate(self.pressure, u.temperature);
            self.knock.add(self.knock_rate, rate, step.dt, [step.from, step.to], unburned);
            self.knock_rate = rate;
        }
    }

    /// Knock integral of the closed part so far.
    pub fn knock(&self) -> &KnockIntegral {
        &self.knock
    }
}

/// A step inside of a step.
#[derive(Clone, Copy, Debug)]
struct Step {
    from: f64,
    to: f64,
    dt: f64,
    /// Crank speed, rad/s.
    speed: f64,
}

/// A step in combustion.
#[derive(Clone, Copy, Debug)]
struct Burn<'a> {
    law: &'a Wiebe,
    from: f64,
    to: f64,
    /// After the step, m³.
    volume: f64,
    /// Pressure expected after the step, Pa.
    expected: f64,
    /// Heat that the unburned zone loses, J.
    lost: f64,
}

/// Any angle as −2π to 2π.
#[inline]
pub fn cycle_angle(angle: f64) -> f64 {
    angle - 2.0 * TAU * ((angle + TAU) / (2.0 * TAU)).floor()
}
