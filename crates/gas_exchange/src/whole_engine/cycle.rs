//! An engine run from cycle to cycle until the cycle repeats itself.

use super::build::{self, BuildError, Places};
use super::results::{Closure, CylinderResult, OperatingPoint, Trace};
use super::spec::{BurnPoint, EngineSpec, Timing};
use super::turbo;
use crate::cylinder::burn_estimate::Conditions;
use crate::cylinder::closed_cycle::ClosedPart;
use crate::cylinder::spread::USUAL_DEVIATIONS;
use crate::cylinder::temperatures::{GasSide, Walls, wall_temperatures};
use crate::cylinder::{Cylinder, Wiebe};
use crate::gas::{Composition, WorkingGas};
use crate::network::volume::Amount;
use crate::network::{Network, NetworkError};
use core::f64::consts::PI;

/// How long to run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Greatest relative change from cycle to cycle at which it counts as periodic.
    pub tolerance: f64,
    /// Most cycles.
    pub most_cycles: u32,
}

impl Default for Settings {
    fn default() -> Self {
        Self { tolerance: 2e-4, most_cycles: 80 }
    }
}

/// Why a run ended without a result.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RunError {
    /// The engine cannot be set up.
    #[error(transparent)]
    Build(#[from] BuildError),
    /// A step failed.
    #[error("at {:.0} rev/min{place}: {source}", .speed * 30.0 / PI)]
    Step {
        /// Crank speed, rad/s.
        speed: f64,
        /// Which duct, in words, where it is one.
        place: String,
        /// Where and what.
        source: NetworkError,
    },
    /// The cycles do not come to repeat themselves, and what they say is no figure.
    #[error("did not settle in {cycles} cycles: {what}")]
    Unsettled {
        /// How many were run.
        cycles: u32,
        /// Where it stands and what may be behind it, in words.
        what: String,
    },
    /// Somebody stopped it.
    #[error("stopped")]
    Stopped,
    /// A speed is not positive.
    #[error("a crank speed of {0} rad/s cannot be run; it must be above 0")]
    Speed(f64),
}

/// Longest step, rad of the crank.
const LONGEST_STEP: f64 = PI / 180.0;
const CYCLE: f64 = 4.0 * PI;

/// An engine that runs.
#[derive(Clone, Debug)]
pub struct Simulation {
    /// Its gas.
    pub network: Network,
    /// Where to look.
    pub places: Places,
    pub(super) spec: EngineSpec,
    speed: f64,
    half_burned: Vec<f64>,
    earliest: f64,
    watch: Watch,
    previous: Option<Vec<f64>>,
    drift: f64,
    cycles: u32,
    governor: turbo::Governor,
    /// The cycles under way began cold or from another speed.
    from_afar: bool,
}

/// Sums and moments of one cycle.
#[derive(Clone, Debug, Default)]
pub(super) struct Watch {
    time: f64,
    plenum_pressure: f64,
    plenum_temperature: f64,
    collector_pressure: f64,
    exhaust: Amount,
    /// Gas that came in through each runner's own throttle, and how much of it while that was choked, kg.
    throttled: Vec<(f64, f64)>,
    closing: Vec<Closing>,
    at_closing: Vec<Option<(f64, Cylinder)>>,
    opening_temperature: Vec<f64>,
    steps: u64,
    evaluations: u64,
    stored_before: Amount,
    books_before: Ledger,
}

#[derive(Clone, Copy, Debug, Default)]
struct Closing {
    pressure: f64,
    temperature: f64,
    mass: f64,
    burned: f64,
    fuel: f64,
}

/// Everything that crossed the border of the gas.
#[derive(Clone, Copy, Debug, Default)]
struct Ledger {
    mass: f64,
    energy: f64,
}

impl Simulation {
    /// An engine at rest.
    ///
    /// # Errors
    /// [`BuildError`].
    pub fn new(spec: &EngineSpec, speed: f64) -> Result<Self, RunError> {
        Self::with_gas(spec, speed, None)
    }

    /// Another engine at rest, as [`Self::new`] makes it; where it breathes the same gas as this one it takes over the tables.
    ///
    /// # Errors
    /// [`BuildError`].
    pub fn another(&self, spec: &EngineSpec, speed: f64) -> Result<Self, RunError> {
        Self::with_gas(spec, speed, Some(&self.network.gas))
    }

    fn with_gas(spec: &EngineSpec, speed: f64, made: Option<&WorkingGas>) -> Result<Self, RunError> {
        if !(speed > 0.0 && speed.is_finite()) {
            return Err(RunError::Speed(speed));
        }
        let mut spec = spec.clone();
        spec.lambda = spec.lambda_at(speed);
        let (network, places) = build::build(&spec, made)?;
        let count = spec.cylinders.len();
        let throttles = places.runner_throttle.len();
        let mut it = Self {
            network,
            places,
            spec,
            speed,
            half_burned: vec![0.0; count],
            earliest: 0.0,
            watch: Watch {
                closing: vec![Closing::default(); count],
                at_closing: vec![None; count],
                opening_temperature: vec![0.0; count],
                throttled: vec![(0.0, 0.0); throttles],
                ..Watch::default()
            },
            previous: None,
            drift: f64::INFINITY,
            cycles: 0,
            governor: turbo::Governor::default(),
            from_afar: true,
        };
        it.aim_burn();
        it.half_burned.fill(it.earliest);
        Ok(it)
    }

    /// The burn that goes with the speed.
    fn aim_burn(&mut self) {
        let aimed = match self.spec.timing {
            Timing::HalfBurned(angle) => angle,
            Timing::KnockLimited { earliest, .. } => earliest,
        };
        let by_speed = BurnPoint::at(&self.spec.burn_by_speed, self.speed);
        self.earliest = by_speed.map_or(aimed, |(half, _)| half);
        for (unit, half) in self.network.units.iter_mut().zip(&mut self.half_burned) {
            *half = match self.spec.timing {
                Timing::HalfBurned(_) => self.earliest,
                Timing::KnockLimited { .. } => half.max(self.earliest),
            };
            if let (Some((_, width)), Some(burn)) = (by_speed, unit.cylinder.burn())
                && let Ok(law) = Wiebe::from_burn_angles(*half, width, burn.m())
            {
                unit.cylinder.set_burn(Some(law));
            }
        }
    }

    /// Goes on at another speed, warm from the last one; where the mixture goes with the speed the tables of the burned gas are made
    /// again and it starts cold.
    pub fn set_speed(&mut self, speed: f64) {
        // Every mixture of the list was looked at when the engine was set up.
        if (self.spec.lambda_at(speed) - self.spec.lambda).abs() > 1e-12
            && let Ok(other) = Self::new(&self.spec, speed)
        {
            *self = other;
            return;
        }
        if let (Some(unit), Some(rotor)) = (&self.spec.turbocharger, &self.network.rotor)
            && self.cycles > 0
        {
            // The mean of the last cycle, not the moment at which it ended.
            let rise = unit.boost_at(speed) * self.watch.time / self.watch.plenum_pressure;
            let wastegate_area = unit.wastegate_area;
            self.governor.settled(self.speed, rotor.speed(), rotor.wastegate);
            self.leap(rise, speed / self.speed);
            if let Some(rotor) = &mut self.network.rotor {
                self.governor.expect(rotor, wastegate_area, speed, self.spec.ambient);
            }
        }
        self.speed = speed;
        self.aim_burn();
        self.start_again();
        self.from_afar = true;
    }

    /// Sets the rotor and the air behind it to what the map gives for `rise` times the boost at `faster` times the crank speed: a start
    /// for the next cycles, not a result.
    fn leap(&mut self, rise: f64, faster: f64) {
        let Some(rotor) = &mut self.network.rotor else { return };
        turbo::foresee(rotor, self.spec.ambient, rise, rise * faster);
        for number in [Some(rotor.delivery), self.places.plenum].into_iter().flatten() {
            self.network.volumes[number].scale(rise, &self.network.gas);
        }
    }

    /// Goes on with other cams, warm from the last ones.
    pub fn set_lift(&mut self, intake: &crate::valves::Lift, exhaust: &crate::valves::Lift) {
        for unit in &mut self.network.units {
            unit.intake.lift.clone_from(intake);
            unit.exhaust.lift.clone_from(exhaust);
        }
        self.start_again();
        self.from_afar = false;
    }

    /// The next cycles are compared with each other, not with what was before.
    fn start_again(&mut self) {
        self.previous = None;
        self.cycles = 0;
        self.drift = f64::INFINITY;
        self.governor.forget();
    }

    /// Crank speed, rad/s.
    pub fn speed(&self) -> f64 {
        self.speed
    }

    /// Greatest relative change between the last two cycles.
    pub fn drift(&self) -> f64 {
        self.drift
    }

    /// Runs cycles until they repeat. `go_on` is asked after each cycle with its number and its drift; false stops.
    ///
    /// # Errors
    /// [`RunError`].
    pub fn converge(
        &mut self,
        settings: &Settings,
        mut go_on: impl FnMut(u32, f64) -> bool,
    ) -> Result<OperatingPoint, RunError> {
        let mut point = self.cycle()?;
        while !point.closure.converged && self.cycles < settings.most_cycles {
            if !go_on(self.cycles, self.drift) {
                return Err(RunError::Stopped);
            }
            self.between_cycles(&point);
            point = self.cycle()?;
            point.closure.converged =
                self.drift < settings.tolerance && !point.rotor.is_some_and(|r| r.at_end_of_map);
        }
        self.finish(&mut point);
        Ok(point)
    }

    /// One cycle more, with pressure and temperature at each whole degree of the crank; `drawn` is the cylinder whose ducts
    /// are kept.
    ///
    /// # Errors
    /// [`RunError`].
    pub fn record(&mut self, drawn: usize) -> Result<(OperatingPoint, Trace), RunError> {
        let mut trace = Trace::for_cylinders(self.network.units.len());
        (trace.intake_cells, trace.intake_diameters) = self.along(self.places.intake_duct[drawn]);
        (trace.exhaust_cells, trace.exhaust_diameters) = self.along(self.places.exhaust_duct[drawn]);
        let start = self.network.angle;
        self.open_books();
        for degree in 1..=720 {
            self.run_to(start + CYCLE * f64::from(degree) / 720.0)?;
            self.sample(&mut trace, f64::from(degree).to_radians(), drawn);
        }
        let mut point = self.summary();
        point.closure.drift = self.drift;
        self.finish(&mut point);
        Ok((point, trace))
    }

    fn cycle(&mut self) -> Result<OperatingPoint, RunError> {
        self.open_books();
        self.run_to(self.network.angle + CYCLE)?;
        let point = self.summary();
        self.cycles += 1;
        self.judge(&point);
        let mut point = point;
        point.closure.cycles = self.cycles;
        point.closure.drift = self.drift;
        Ok(point)
    }

    fn run_to(&mut self, target: f64) -> Result<(), RunError> {
        while self.network.angle < target {
            let dt =
                self.network.step(self.speed, target, LONGEST_STEP).map_err(|source| self.failure(source))?;
            self.look(dt);
        }
        Ok(())
    }

    fn failure(&self, source: NetworkError) -> RunError {
        let duct = match &source {
            NetworkError::Duct(error) => error.duct().and_then(|d| self.places.duct_names.get(d)),
            _ => None,
        };
        RunError::Step {
            speed: self.speed,
            place: duct.map_or_else(String::new, |name| format!(", {name}")),
            source,
        }
    }

    fn open_books(&mut self) {
        for (unit, half) in self.network.units.iter_mut().zip(&self.half_burned) {
            unit.air = 0.0;
            unit.fuel = 0.0;
            unit.cylinder.take_totals();
            if let Some(burn) = unit.cylinder.burn()
                && let Ok(moved) = burn.shifted(*half - burn.half_angle())
            {
                unit.cylinder.set_burn(Some(moved));
            }
        }
        if let Some(rotor) = &mut self.network.rotor {
            rotor.cycle = crate::network::RotorCycle::default();
        }
        let (stored, ledger) = (self.network.stored(), self.ledger());
        let watch = &mut self.watch;
        watch.time = 0.0;
        watch.plenum_pressure = 0.0;
        watch.plenum_temperature = 0.0;
        watch.collector_pressure = 0.0;
        watch.exhaust = Amount::default();
        watch.throttled.fill((0.0, 0.0));
        watch.steps = self.network.steps;
        watch.evaluations = self.network.evaluations;
        watch.stored_before = stored;
        watch.books_before = ledger;
    }

    /// Looks at what the last step left behind.
    fn look(&mut self, dt: f64) {
        let (network, watch) = (&self.network, &mut self.watch);
        watch.time += dt;
        let ambient = &network.atmosphere.reservoir;
        let (p, t) = self.places.plenum.map_or((ambient.pressure, ambient.temperature), |n| {
            (network.volumes[n].pressure, network.volumes[n].temperature)
        });
        watch.plenum_pressure += p * dt;
        watch.plenum_temperature += t * dt;
        let collectors = &self.places.collectors;
        let mean: f64 = collectors.iter().map(|n| network.volumes[*n].pressure).sum();
        watch.collector_pressure += mean / collectors.len() as f64 * dt;
        for (index, (all, choked)) in self.places.runner_throttle.iter().zip(&mut watch.throttled) {
            let face = &network.connections[*index].face;
            let came = (-face.mass * dt).max(0.0);
            *all += came;
            *choked += if face.choked { came } else { 0.0 };
        }
        for index in &self.places.junction_connection {
            watch.exhaust.add(&network.connections[*index].rate, dt);
        }
        for (number, unit) in network.units.iter().enumerate() {
            let to = unit.angle(network.angle);
            let from = to - self.speed * dt;
            if unit.intake.lift.at(from) > 0.0 && unit.intake.lift.at(to) <= 0.0 {
                let state = unit.cylinder.state();
                watch.at_closing[number] = Some((to, unit.cylinder.clone()));
                watch.closing[number] = Closing {
                    pressure: state.pressure,
                    temperature: state.temperature,
                    mass: state.mass,
                    burned: state.mass * state.composition.burned,
                    fuel: state.mass * state.composition.fuel,
                };
            }
            if unit.exhaust.lift.at(from) <= 0.0 && unit.exhaust.lift.at(to) > 0.0 {
                watch.opening_temperature[number] = unit.cylinder.state().temperature;
            }
        }
    }
}

/// Heat transfer coefficient at the back of the exhaust valve over the whole cycle, W/(m² K). Judgement, no source.
const EXHAUST_VALVE_BACK: f64 = 400.0;
/// The same for the intake valve.
const INTAKE_VALVE_BACK: f64 = 200.0;
/// Angle for which the burn is estimated: ignition of the relation's reference state. The cylinder's own ignition would feed on
/// itself: earlier, hence slower at first, hence earlier.
const ESTIMATED_AT: f64 = -25.0 * PI / 180.0;
/// An estimate that would ignite earlier than this is outside of what the relation knows; the burn stays as it was. Judgement.
const EARLIEST_ESTIMATED: f64 = -70.0 * PI / 180.0;
/// Knock moves the timing by this much for each e-fold of the integral, rad.
const KNOCK_GAIN: f64 = 6.0 * PI / 180.0;
/// Latest half-burned angle that knock may ask for, rad after top dead centre.
const LATEST: f64 = 45.0 * PI / 180.0;

impl Simulation {
    fn ledger(&self) -> Ledger {
        let network = &self.network;
        let books = &network.books;
        let mut mass = books.atmosphere.mass + books.injected.mass;
        let mut energy = books.atmosphere.energy + books.injected.energy + books.compressor_work
            - books.turbine_work
            - books.cooler_heat;
        for unit in &network.units {
            let totals = unit.cylinder.totals();
            mass -= totals.blow_by;
            energy -= totals.blow_by_energy + totals.work() + totals.total_heat() - totals.mixture_energy;
        }
        energy -= (0..network.ducts.len()).map(|duct| network.ducts.heat_to_walls(duct)).sum::<f64>();
        Ledger { mass, energy }
    }

    fn closure(&self, fuel_energy: f64, throughput: f64) -> Closure {
        let (before, now) = (&self.watch.books_before, self.ledger());
        let stored = self.network.stored();
        let mass = (stored.mass - self.watch.stored_before.mass) - (now.mass - before.mass);
        let energy = (stored.energy - self.watch.stored_before.energy) - (now.energy - before.energy);
        Closure {
            cycles: self.cycles,
            drift: self.drift,
            converged: false,
            mass_residual: mass / throughput,
            energy_residual: energy / fuel_energy,
            steps: self.network.steps - self.watch.steps,
            evaluations: self.network.evaluations - self.watch.evaluations,
        }
    }

    fn summary(&self) -> OperatingPoint {
        let (network, watch, spec) = (&self.network, &self.watch, &self.spec);
        let cylinders: Vec<CylinderResult> =
            (0..network.units.len()).map(|number| self.cylinder_result(number)).collect();
        let swept: f64 = network.units.iter().map(|u| u.cylinder.chamber().displacement()).sum();
        let air: f64 = cylinders.iter().map(|c| c.air).sum();
        let fuel: f64 = cylinders.iter().map(|c| c.fuel).sum();
        let indicated: f64 = cylinders.iter().map(|c| c.indicated_work).sum();
        let pumping: f64 = cylinders.iter().map(|c| c.pumping_work).sum();
        let friction = self.friction(&cylinders);
        let brake = indicated / swept - friction;
        let torque = brake * swept / CYCLE;
        let (plenum_pressure, plenum_temperature) =
            (watch.plenum_pressure / watch.time, watch.plenum_temperature / watch.time);
        let dry = network.gas.gas_constant(Composition::default());
        let density = |p: f64, t: f64| p / (dry * t);
        let ambient = &network.atmosphere.reservoir;
        let exhaust_temperature = mean_temperature(&watch.exhaust, &network.gas);
        OperatingPoint {
            speed: self.speed,
            torque,
            power: torque * self.speed,
            indicated_mean_pressure: indicated / swept,
            pumping_mean_pressure: pumping / swept,
            friction_mean_pressure: friction,
            brake_mean_pressure: brake,
            volumetric_efficiency: air / (density(ambient.pressure, ambient.temperature) * swept),
            plenum_volumetric_efficiency: air / (density(plenum_pressure, plenum_temperature) * swept),
            air_flow: air / watch.time,
            fuel_flow: fuel / watch.time,
            specific_consumption: fuel / (torque * CYCLE),
            plenum_pressure,
            plenum_temperature,
            exhaust_temperature,
            choked_air: watch
                .throttled
                .iter()
                .map(|(all, choked)| if *all > 0.0 { choked / all } else { 0.0 })
                .max_by(f64::total_cmp),
            exhaust_pressure: watch.collector_pressure / watch.time,
            // A motored engine burns nothing: the work of filling it stands in for the heat.
            closure: self.closure(
                (fuel * network.gas.lower_heating_value()).max(swept * ambient.pressure),
                air + fuel,
            ),
            rotor: network
                .rotor
                .as_ref()
                .map(|rotor| turbo::result(rotor, spec, plenum_pressure, self.speed)),
            cylinders,
        }
    }

    /// Adds what takes longer than a cycle may: the strong cycle and the temperatures of the walls.
    fn finish(&self, point: &mut OperatingPoint) {
        let intake_temperature = point.plenum_temperature;
        for (number, result) in point.cylinders.iter_mut().enumerate() {
            result.strong_peak_pressure = self.strong_peak(number);
            let unit = &self.network.units[number];
            let gas_side = GasSide {
                surfaces: unit.cylinder.totals().gas_side(),
                exhaust_temperature: point.exhaust_temperature,
                exhaust_coefficient: EXHAUST_VALVE_BACK,
                intake_temperature,
                intake_coefficient: INTAKE_VALVE_BACK,
            };
            let walls = Walls::aluminium_with_jets(unit.cylinder.chamber().bore());
            result.walls = wall_temperatures(&walls, &gas_side).ok();
        }
    }

    /// Peak pressure of a cycle that burns early and fast, from the state at intake closing.
    fn strong_peak(&self, number: usize) -> Option<f64> {
        let (from, cylinder) = self.watch.at_closing[number].as_ref()?;
        let unit = &self.network.units[number];
        let to = unit.exhaust.lift.events().opens;
        let part = ClosedPart { from: *from, to, crank_speed: self.speed, steps_per_radian: 60.0 };
        let strong = self
            .spec
            .spread
            .cycle(&part, cylinder, &self.network.gas, cylinder.burn()?, USUAL_DEVIATIONS)
            .ok()?;
        Some(strong.totals.peak_pressure)
    }

    fn friction(&self, cylinders: &[CylinderResult]) -> f64 {
        let count = cylinders.len() as f64;
        let peak = cylinders.iter().map(|c| c.peak_pressure).sum::<f64>() / count;
        let stroke = 2.0 * self.spec.cylinders[0].cylinder.crank_radius;
        // Beyond the range of its fit a law gives nothing; then friction is not a number and the point says so.
        self.spec.friction.at(peak, stroke * self.speed / PI, self.speed).map_or(f64::NAN, |f| f.fmep)
    }

    fn cylinder_result(&self, number: usize) -> CylinderResult {
        let unit = &self.network.units[number];
        let closing = &self.watch.closing[number];
        let cycle = unit.cylinder.totals();
        let air = closing.mass - closing.burned - closing.fuel;
        let needed = closing.fuel * self.network.gas.stoichiometric_humid_air_fuel();
        CylinderResult {
            indicated_work: cycle.work(),
            pumping_work: cycle.pumping_work,
            air: unit.air,
            fuel: unit.fuel,
            residual: if closing.mass > 0.0 { closing.burned / closing.mass } else { 0.0 },
            trapped_lambda: if needed > 0.0 { air / needed } else { f64::INFINITY },
            peak_pressure: cycle.peak_pressure,
            peak_angle: cycle.peak_angle,
            strong_peak_pressure: None,
            walls: None,
            half_burned: self.half_burned[number],
            burn_duration: unit.cylinder.burn().map_or(0.0, |law| law.angle_of(0.9) - law.angle_of(0.1)),
            knock_integral: cycle.knock.value(),
            knock_limited: self.is_late(number),
            closing_pressure: closing.pressure,
            closing_temperature: closing.temperature,
            opening_temperature: self.watch.opening_temperature[number],
            wall_heat: cycle.total_heat(),
            blow_by: cycle.blow_by,
        }
    }

    fn is_late(&self, number: usize) -> bool {
        match self.spec.timing {
            Timing::HalfBurned(_) => false,
            Timing::KnockLimited { .. } => self.half_burned[number] > self.earliest + 1e-3,
        }
    }

    /// Compares with the cycle before.
    fn judge(&mut self, point: &OperatingPoint) {
        let mut now: Vec<f64> =
            vec![point.plenum_pressure, point.exhaust_pressure, point.exhaust_temperature];
        let swept = self.network.units[0].cylinder.chamber().displacement();
        for c in &point.cylinders {
            // A motored engine does next to no work: it is counted beside the work of filling the cylinder.
            now.extend([
                c.air,
                c.indicated_work + point.plenum_pressure * swept,
                1.0 + c.half_burned,
                1.0 + c.burn_duration,
            ]);
        }
        if let Some(rotor) = &point.rotor {
            now.extend([rotor.speed, 1.0 + rotor.wastegate_share, 1.0 + turbo::open_question(rotor)]);
        }
        self.drift = self.previous.as_ref().map_or(f64::INFINITY, |before| {
            now.iter().zip(before).map(|(a, b)| ((a - b) / b).abs()).fold(0.0, f64::max)
        });
        if let Some(rotor) = &point.rotor {
            self.drift = self.drift.max(turbo::open_question(rotor));
        }
        if !self.drift.is_finite() {
            self.drift = f64::INFINITY;
        }
        self.previous = Some(now);
    }

    /// Moves timing, rotor and wastegate for the next cycle.
    fn between_cycles(&mut self, point: &OperatingPoint) {
        if let Timing::KnockLimited { integral, .. } = self.spec.timing
            && self.cycles > 1
        {
            for (half, cylinder) in self.half_burned.iter_mut().zip(&point.cylinders) {
                if cylinder.knock_integral > 0.0 {
                    let step = KNOCK_GAIN * mechanics::math::ln(cylinder.knock_integral / integral);
                    *half = (*half + step.clamp(-0.1, 0.1)).clamp(self.earliest, LATEST);
                }
            }
        }
        self.estimate_burn();
        // In the first cycle the pipes still hold what another speed has left.
        if self.cycles < 2 && self.from_afar {
            return;
        }
        if let Some(result) = &point.rotor
            && self.governor.leaps(result)
        {
            self.leap(1.0 / (1.0 - result.boost_error), 1.0);
            return;
        }
        if let (Some(rotor), Some(unit)) = (&mut self.network.rotor, &self.spec.turbocharger) {
            self.governor.govern(rotor, unit, point.plenum_pressure, self.spec.ambient, self.speed);
        }
    }

    /// Burn duration of each cylinder from its last charge; outside the range of the relation it stays as it was.
    fn estimate_burn(&mut self) {
        let Some(estimate) = self.spec.burn_estimate else { return };
        // The first charges of a cold start tell nothing.
        if self.cycles < 2 {
            return;
        }
        for (unit, half) in self.network.units.iter_mut().zip(&self.half_burned) {
            if unit.cylinder.burn().is_none() {
                continue;
            }
            let conditions =
                Conditions::of_cylinder(&unit.cylinder, &self.network.gas, ESTIMATED_AT, self.speed);
            let angles = conditions.and_then(|c| estimate.angles(&c).ok());
            if let Some(burn) = angles.and_then(|a| a.with_half_at(*half).ok())
                && burn.start() > EARLIEST_ESTIMATED
            {
                unit.cylinder.set_burn(Some(burn));
            }
        }
    }

    /// Centres of the cells of a duct from its start and their mean diameters, m.
    fn along(&self, duct: usize) -> (Vec<f64>, Vec<f64>) {
        let ducts = &self.network.ducts;
        let length = ducts.cell_length(duct);
        let cells = ducts.duct_cells(duct);
        let diameter = |cell| (4.0 * ducts.cell(duct, cell).volume / (std::f64::consts::PI * length)).sqrt();
        (cells.clone().map(|cell| (cell as f64 + 0.5) * length).collect(), cells.map(diameter).collect())
    }

    fn sample(&self, trace: &mut Trace, angle: f64, drawn: usize) {
        let network = &self.network;
        trace.angle.push(angle);
        for (number, unit) in network.units.iter().enumerate() {
            let state = unit.cylinder.state();
            trace.pressure[number].push(state.pressure);
            trace.temperature[number].push(state.temperature);
            trace.volume[number].push(state.volume);
            let (intake, exhaust) = self.places.valve_connection[number];
            trace.intake_flow[number].push(network.connections[intake].rate.mass);
            trace.exhaust_flow[number].push(-network.connections[exhaust].rate.mass);
        }
        let pressures = |duct: usize| {
            (0..network.ducts.duct_cells(duct).len())
                .map(|cell| network.ducts.cell(duct, cell).pressure)
                .collect::<Vec<f64>>()
        };
        trace.intake_duct.push(pressures(self.places.intake_duct[drawn]));
        trace.exhaust_duct.push(pressures(self.places.exhaust_duct[drawn]));
    }
}

impl Trace {
    fn for_cylinders(count: usize) -> Self {
        let empty = || vec![Vec::with_capacity(720); count];
        Self {
            angle: Vec::with_capacity(720),
            pressure: empty(),
            temperature: empty(),
            volume: empty(),
            intake_flow: empty(),
            exhaust_flow: empty(),
            intake_cells: Vec::new(),
            intake_diameters: Vec::new(),
            exhaust_cells: Vec::new(),
            exhaust_diameters: Vec::new(),
            intake_duct: Vec::with_capacity(720),
            exhaust_duct: Vec::with_capacity(720),
        }
    }
}

/// Temperature of a stream from the enthalpy that it carried, K: the mean by energy.
fn mean_temperature(stream: &Amount, gas: &WorkingGas) -> f64 {
    if stream.mass <= 0.0 {
        return 0.0;
    }
    let composition = stream.composition();
    let (wanted, r) = (stream.energy / stream.mass, gas.gas_constant(composition));
    let mut t = 1000.0;
    for _ in 0..30 {
        let next = gas.temperature_from_energy(wanted - r * t, composition, t);
        if (next - t).abs() < 1e-6 {
            return next;
        }
        t = next;
    }
    t
}
