//! Air outside, fuel, burn, friction.

use super::Builder;
use crate::document::FuelKind;
use crate::power::specification::{FuelSystem, Group};
use crate::quantity::Dimension;
use gas_exchange::ambient::vapour_pressure;
use gas_exchange::cylinder::Wiebe;
use gas_exchange::cylinder::burn_estimate::BurnEstimate;
use gas_exchange::cylinder::friction::{ChenFlynn, FrictionLaw};
use gas_exchange::cylinder::knock::octane_index;
use gas_exchange::cylinder::spread::Spread;
use gas_exchange::gas::{Air, Fuel};
use gas_exchange::whole_engine::{Ambient, BurnPoint};
use std::f64::consts::TAU;

/// Air outside and the pressure of the vapour in it, Pa. Sea level at 25 °C where nothing is stated.
pub(super) fn ambient(b: &mut Builder<'_>) -> (Option<Ambient>, f64) {
    let duty = &b.bench.document().duty;
    let pressure = b.stated_or(
        Group::Air,
        "pressure of the air outside",
        "duty.ambient_pressure",
        duty.ambient_pressure,
        101_325.0,
    );
    let temperature = b.stated_or(
        Group::Air,
        "temperature of the air outside",
        "duty.ambient_temperature",
        duty.ambient_temperature,
        298.15,
    );
    let humidity = b.stated_or(Group::Air, "relative humidity", "duty.humidity", duty.humidity, 0.0);
    if let Some(shown) = b.inputs.last_mut() {
        shown.dimension = Dimension::Share;
    }
    let vapour = match vapour_pressure(humidity, temperature) {
        Ok(vapour) => vapour,
        Err(error) => {
            b.problem("duty.humidity", error);
            return (None, 0.0);
        }
    };
    match Air::humid(vapour / pressure) {
        Ok(air) => (Some(Ambient { pressure, temperature, air }), vapour),
        Err(error) => {
            b.problem("duty.humidity", error);
            (None, vapour)
        }
    }
}

/// Fuel by its kind; a stated share of ethanol alone says a blend.
pub(super) fn fuel(b: &mut Builder<'_>) -> Option<Fuel> {
    let stated = &b.bench.document().fuel;
    let kind = stated.kind.or_else(|| stated.ethanol.map(|_| FuelKind::EthanolBlend));
    let Some(kind) = kind else {
        b.lacks("kind of fuel", "fuel.kind", false);
        return None;
    };
    Some(match kind {
        FuelKind::Petrol => Fuel::petrol(),
        FuelKind::IsoOctane => Fuel::iso_octane(),
        FuelKind::Ethanol => Fuel::ethanol(),
        FuelKind::Methanol => Fuel::methanol(),
        FuelKind::EthanolBlend => {
            let share =
                b.stated(Group::Fuel, "share of ethanol by volume", "fuel.ethanol", stated.ethanol)?;
            match Fuel::ethanol_blend(share) {
                Ok(fuel) => fuel,
                Err(error) => {
                    b.problem("fuel.ethanol", error);
                    return None;
                }
            }
        }
    })
}

/// Octane number by which petrol knocks: what the fuel's data sheet says where it is stated, that of the compilation otherwise.
pub(super) fn octane(b: &mut Builder<'_>, fuel: &Fuel) -> f64 {
    let stated = &b.bench.document().fuel;
    let research = b.stated_or(
        Group::Fuel,
        "research octane number",
        "fuel.research_octane_number",
        stated.research_octane_number,
        fuel.research_octane(),
    );
    let motor = b.stated_or(
        Group::Fuel,
        "motor octane number",
        "fuel.motor_octane_number",
        stated.motor_octane_number,
        fuel.motor_octane(),
    );
    let weight = b.stated_or(
        Group::Fuel,
        "weight K of the motor octane number: research number \u{2212} K (research \u{2212} motor) stands for the fuel",
        "fuel.motor_octane_weight",
        stated.motor_octane_weight,
        0.0,
    );
    if motor > research {
        let why = format!(
            "{motor:.1} is above the research octane number of {research:.1}: look which is which on the data sheet"
        );
        b.problem("fuel.motor_octane_number", why);
    }
    let octane = octane_index(research, motor, weight);
    if !FITTED_OCTANE.contains(&octane) {
        b.left_out.push(format!(
            "knock at {octane:.0} octane: the ignition delay was found on fuels of {:.0} to {:.0} and is carried on from there",
            FITTED_OCTANE.start(),
            FITTED_OCTANE.end()
        ));
    }
    octane
}

/// Octane numbers that the ignition delay was fitted to (Douaud and Eyzat, SAE 780080).
const FITTED_OCTANE: std::ops::RangeInclusive<f64> = 80.0..=100.0;

/// Octane numbers that say nothing where the delay is that of ethanol.
pub(super) fn octane_unused(b: &mut Builder<'_>) {
    let stated = &b.bench.document().fuel;
    if stated.research_octane_number.is_some() || stated.motor_octane_number.is_some() {
        b.left_out.push(
            "octane numbers: knock of a fuel that is mostly ethanol goes by the ignition delay of ethanol"
                .to_owned(),
        );
    }
}

/// Mixture: at all speeds, and over speed (rad/s) where it is stated so.
pub(super) fn lambda(b: &mut Builder<'_>) -> (Option<f64>, Vec<(f64, f64)>) {
    let stated = &b.bench.document().fuel;
    let what = "air to fuel against the exact ratio";
    let points: Vec<(f64, f64)> =
        stated.lambda_speed.iter().zip(&stated.lambda_at_speed).map(|(s, l)| (s.0 * TAU, l.0)).collect();
    for (i, (speed, lambda)) in points.iter().enumerate() {
        let label = format!("{what}, {:.0} rev/min", speed * 60.0 / TAU);
        let path = format!("fuel.lambda_at_speed.{}", i + 1);
        let origin = crate::power::InputOrigin::Document;
        b.note(Group::Fuel, &label, &path, Dimension::Ratio, *lambda, origin);
    }
    let one = match points.first() {
        Some((_, lambda)) if stated.lambda.is_none() => Some(*lambda),
        _ => b.stated(Group::Fuel, what, "fuel.lambda", stated.lambda),
    };
    // The list takes the place of the one figure at every speed.
    if let Some(bad) = points.iter().map(|p| p.1).find(|l| !MIXTURES.contains(l)) {
        let why =
            format!("{bad:.2} is outside of what is computed, {} to {}", MIXTURES.start(), MIXTURES.end());
        b.problem("fuel.lambda_at_speed", why);
    }
    (one, points)
}

/// Mixtures for which there are tables of the burned gas.
const MIXTURES: std::ops::RangeInclusive<f64> = 0.5..=1.6;

/// Share of the fuel in the flame's reach that burns.
pub(super) fn completeness(b: &mut Builder<'_>) -> f64 {
    let document = b.bench.document();
    // What hides in the crevice is counted there. From memory, Heywood 11.4.3: 1 to 2.5 % of the fuel escapes in all ways.
    let usual = if document.pistons.top_land_crevice.is_some_and(|v| v.0 > 0.0) { 0.99 } else { 0.98 };
    b.stated_or(
        Group::Burn,
        "share of the fuel that burns, apart from what the crevice holds (from memory)",
        "burn.completeness",
        document.burn.completeness,
        usual,
    )
}

/// How cycles differ.
pub(super) fn spread(b: &mut Builder<'_>) -> Spread {
    let burn = &b.bench.document().burn;
    let usual = Spread::default();
    let half_angle = b.stated_or(
        Group::Burn,
        "standard deviation of the half-burned angle from cycle to cycle (from memory)",
        "burn.half_burned_spread",
        burn.half_burned_spread,
        usual.half_angle,
    );
    let duration = b.stated_or(
        Group::Burn,
        "standard deviation of the burn duration from cycle to cycle, share (from memory)",
        "burn.duration_spread",
        burn.duration_spread,
        usual.duration,
    );
    Spread { half_angle, duration }
}

/// When and how fast it burns.
pub(super) struct BurnInput {
    /// Law at the slowest speed stated.
    pub(super) law: Wiebe,
    /// Over speed.
    pub(super) points: Vec<BurnPoint>,
    /// Where no duration is stated: by the published relation.
    pub(super) estimate: Option<BurnEstimate>,
}

/// Duration from which an estimate starts; it is replaced after the first cycle.
const START_OF_ESTIMATE: f64 = 28.0 * std::f64::consts::PI / 180.0;

/// The burn law at the slowest speed stated, and the burn over speed.
pub(super) fn burn(b: &mut Builder<'_>) -> Option<BurnInput> {
    let document = b.bench.document();
    let burn = &document.burn;
    let factor = b.stated_or(
        Group::Calibration,
        "factor on the burn duration",
        "power.burn_duration",
        document.power.burn_duration,
        1.0,
    );
    let form = b.stated_or(Group::Burn, "Wiebe form exponent", "burn.form", burn.form, 2.0);
    if burn.half_burned.is_empty() {
        b.lacks("half of the charge burned, after top dead centre", "burn.half_burned", false);
    }
    let estimate = burn.ten_to_ninety.is_empty().then(|| {
        b.usual(
            Group::Burn,
            "burn duration estimated (Hires, Tabaczynski and Novak 1978, from memory): worth 25 %; factor",
            Dimension::Ratio,
            factor,
        );
        BurnEstimate { development_factor: factor, burn_factor: factor }
    });
    let count = burn.speed.len().max(1);
    let pick = |list: &[crate::quantity::Angle], i: usize| list.get(i).or(list.last()).map(|a| a.0);
    let mut points = Vec::with_capacity(count);
    for i in 0..count {
        let half = pick(&burn.half_burned, i)?;
        let width = pick(&burn.ten_to_ninety, i).unwrap_or(START_OF_ESTIMATE);
        // rad/s.
        let speed = burn.speed.get(i).map_or(0.0, |s| s.0 * TAU);
        let at = burn.speed.get(i).map_or(String::new(), |s| format!(" at {:.0} rev/min", s.0 * 60.0));
        let origin = crate::power::InputOrigin::Document;
        b.note(
            Group::Burn,
            &format!("half burned{at}"),
            &format!("burn.half_burned.{}", i + 1),
            Dimension::Angle,
            half,
            origin,
        );
        if estimate.is_none() {
            b.note(
                Group::Burn,
                &format!("10 to 90 % burned{at}"),
                &format!("burn.ten_to_ninety.{}", i + 1),
                Dimension::Angle,
                width,
                origin,
            );
        }
        points.push(BurnPoint { speed, half_burned: half, ten_to_ninety: width * factor });
    }
    match Wiebe::from_burn_angles(points[0].half_burned, points[0].ten_to_ninety, form) {
        Ok(law) => Some(BurnInput { law, points, estimate }),
        Err(error) => {
            b.problem("burn", error);
            None
        }
    }
}

/// What an earlier calibration left unexplained.
pub(super) fn residual(b: &mut Builder<'_>) {
    if let Some(residual) = b.bench.document().power.residual {
        b.stated(Group::Calibration, "left unexplained by the calibration", "power.residual", Some(residual));
    }
}

/// Chen and Flynn's law with the set for later petrol engines, times the named factor.
pub(super) fn friction(b: &mut Builder<'_>) -> FrictionLaw {
    let factor = b.stated_or(
        Group::Calibration,
        "factor on friction (Chen and Flynn's law, set for later petrol engines, from memory)",
        "power.friction",
        b.bench.document().power.friction,
        1.0,
    );
    let base = ChenFlynn::LATER_PETROL;
    FrictionLaw::ChenFlynn(ChenFlynn {
        constant: base.constant * factor,
        peak_pressure: base.peak_pressure * factor,
        piston_speed: base.piston_speed * factor,
        piston_speed_squared: base.piston_speed_squared * factor,
    })
}

/// What follows from the kind of fuel and stands beside it, so that duty and mixture can be worked out again.
const LIQUID_DENSITY: &str = "density of the liquid fuel, kg/m³";
/// As above.
const EXACT_RATIO: &str = "exact air to fuel ratio of the fuel, by mass, dry air";
/// Inputs that other inputs settle: one that older results do not hold is no change.
pub(in crate::power) const SETTLED_BY_OTHERS: [&str; 2] = [LIQUID_DENSITY, EXACT_RATIO];

/// Injectors and pump.
pub(super) fn system(b: &mut Builder<'_>, fuel: Option<&Fuel>) -> FuelSystem {
    let document = b.bench.document();
    let stated = &document.fuel;
    let mut sum = 0.0;
    let mut read = 0_u32;
    if let Some(count) = stated.injectors {
        for cylinder in b.bench.cylinders() {
            for injector in 1..=count {
                let path = crate::features::injector_path(cylinder, injector, count);
                if let Some(size) = b.bench.size(&path) {
                    sum += size.value.value();
                    read += 1;
                }
            }
        }
    }
    let one = if read > 0 { Some(sum / f64::from(read)) } else { stated.injector_flow.map(|f| f.0) };
    let injectors = one.zip(stated.injectors).map(|(flow, count)| flow * f64::from(count));
    if injectors.is_none() {
        b.leaves_out(
            "share of the cycle that the injectors are open",
            &["fuel.injectors", "fuel.injector_flow"],
            "",
        );
    } else {
        b.left_out.push(
            "dead time of the injectors, and the fluid and pressure of their bench: the share of the cycle is that of their steady flow as stated or read; a dead time of 1 ms would add 1.7 % of the cycle for each 2000 rev/min"
                .to_owned(),
        );
    }
    if stated.pump_flow.is_none() {
        b.leaves_out("fuel pump", &["fuel.pump_flow"], "");
    }
    let pump = stated.pump_flow.map(|p| p.0);
    if let Some(pump) = stated.pump_flow {
        b.stated(Group::Fuel, "most that the pump gives", "fuel.pump_flow", Some(pump));
    }
    let greatest_duty = b.stated_or(
        Group::Fuel,
        "greatest duty of an injector",
        "fuel.greatest_duty",
        stated.greatest_duty,
        0.90,
    );
    if let Some(fuel) = fuel {
        b.usual(Group::Fuel, LIQUID_DENSITY, Dimension::Ratio, fuel.liquid_density());
        b.usual(Group::Fuel, EXACT_RATIO, Dimension::Ratio, fuel.stoichiometric_air_fuel());
    }
    FuelSystem {
        density: fuel.map_or(0.0, Fuel::liquid_density),
        injectors,
        pump,
        greatest_duty,
        greatest_exhaust: document.exhaust.greatest_temperature.map(|t| t.0),
    }
}
