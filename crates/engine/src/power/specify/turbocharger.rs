//! Compressor map, turbine, wastegate, cooler.

use super::Builder;
use crate::document::{CoolerData, TurbineData, Turbocharger, map_lines};
use crate::power::InputOrigin;
use crate::power::specification::Group;
use crate::quantity::Dimension;
use gas_exchange::turbocharger::turbine::SwallowingLine;
use gas_exchange::turbocharger::{CompressorMap, Efficiency, Reference, Swallowing, Turbine};
use gas_exchange::whole_engine::{Cooler, TurbochargerUnit};
use std::f64::consts::{PI, TAU};

const GAS_CONSTANT: f64 = 287.05;
const PRESSURE: &str = "absolute pressure aimed at in the plenum";

/// `Some(None)` where the engine has none; `None` where something is missing.
#[expect(clippy::option_option, reason = "missing and not fitted are two things")]
pub(super) fn unit(b: &mut Builder<'_>) -> Option<Option<TurbochargerUnit>> {
    let Some(stated) = &b.bench.document().turbocharger else { return Some(None) };
    let count = stated.count.unwrap_or(1).max(1);
    let boost =
        b.stated(Group::Turbocharger, PRESSURE, "turbocharger.plenum_pressure", stated.plenum_pressure);
    let boost_by_speed = boost_by_speed(b, stated);
    let inertia = b.stated(Group::Turbocharger, "inertia of a rotor", "turbocharger.inertia", stated.inertia);
    let mechanical = b.stated_or(
        Group::Turbocharger,
        "mechanical efficiency",
        "turbocharger.mechanical_efficiency",
        stated.mechanical_efficiency,
        0.96,
    );
    let compressor = compressor(b, stated);
    let groups = b.bench.document().exhaust.groups.as_ref().map_or(1, Vec::len);
    let turbine = turbine(b, &stated.turbine, count, groups);
    let wastegate = b.stated(Group::Turbocharger, "wastegate", "turbocharger.wastegate", stated.wastegate);
    let charge =
        b.stated(Group::Turbocharger, "charge pipes", "turbocharger.charge_pipe", stated.charge_pipe);
    let outlet = b.stated_or(
        Group::Turbocharger,
        "volume behind the turbine",
        "turbocharger.outlet",
        stated.outlet,
        2e-3,
    );
    let cooler = match &stated.cooler {
        None => Some(None),
        Some(cooler) => self::cooler(b, cooler, stated).map(Some),
    };
    let gate = wastegate?;
    Some(Some(TurbochargerUnit {
        count: f64::from(count),
        compressor: compressor?,
        turbine: turbine?,
        inertia: inertia?,
        mechanical_efficiency: mechanical,
        boost_target: boost?,
        boost_by_speed,
        wastegate_area: 0.25 * PI * gate * gate,
        charge_pipe_volume: charge?,
        outlet_volume: outlet,
        cooler: cooler?,
    }))
}

/// Boost over speed, rad/s and Pa; empty where one target holds at all speeds.
fn boost_by_speed(b: &mut Builder<'_>, stated: &Turbocharger) -> Vec<(f64, f64)> {
    let points = stated.plenum_pressure_speed.iter().zip(&stated.plenum_pressure_at_speed);
    let points: Vec<(f64, f64)> = points.map(|(speed, boost)| (speed.0 * TAU, boost.0)).collect();
    for (i, (speed, boost)) in points.iter().enumerate() {
        let label = format!("{PRESSURE}, {:.0} rev/min", speed * 30.0 / PI);
        let path = format!("turbocharger.plenum_pressure_at_speed.{}", i + 1);
        b.note(Group::Turbocharger, &label, &path, Dimension::Pressure, *boost, InputOrigin::Document);
    }
    points
}

fn compressor(b: &mut Builder<'_>, stated: &Turbocharger) -> Option<CompressorMap> {
    let group = Group::Turbocharger;
    let pressure = b.stated(
        group,
        "reference pressure of the map",
        "turbocharger.reference_pressure",
        stated.reference_pressure,
    );
    let temperature = b.stated(
        group,
        "reference temperature of the map",
        "turbocharger.reference_temperature",
        stated.reference_temperature,
    );
    let greatest =
        b.stated(group, "highest corrected speed", "turbocharger.greatest_speed", stated.greatest_speed);
    if stated.compressor.is_empty() {
        b.lacks("speed lines of the compressor", "turbocharger.compressor", false);
    }
    let lines = map_lines(&stated.compressor)?;
    for (l, line) in lines.iter().enumerate() {
        for (p, point) in line.points.iter().enumerate() {
            let key = |k: &str| format!("turbocharger.compressor.{}.{k}.{}", l + 1, p + 1);
            let label = |k: &str| format!("map, line {}, point {}, {k}", l + 1, p + 1);
            let origin = InputOrigin::Document;
            b.note(group, &label("flow"), &key("flow"), Dimension::MassFlow, point.flow, origin);
            b.note(
                group,
                &label("pressure ratio"),
                &key("pressure_ratio"),
                Dimension::Ratio,
                point.pressure_ratio,
                origin,
            );
            b.note(
                group,
                &label("efficiency"),
                &key("efficiency"),
                Dimension::Ratio,
                point.efficiency,
                origin,
            );
        }
    }
    let (pressure, temperature, greatest) = (pressure?, temperature?, greatest?);
    if lines.is_empty() {
        return None;
    }
    match CompressorMap::new(Reference { pressure, temperature }, greatest * TAU, &lines) {
        Ok(map) => Some(map),
        Err(error) => {
            b.problem("turbocharger.compressor", error);
            None
        }
    }
}

fn turbine(b: &mut Builder<'_>, stated: &TurbineData, count: u32, groups: usize) -> Option<Turbine> {
    let group = Group::Turbocharger;
    let swallowing = if stated.expansion.is_empty() {
        b.stated(group, "turbine, effective area", "turbocharger.turbine.area", stated.area)
            .map(Swallowing::EffectiveArea)
    } else {
        let pressure = b.stated(
            group,
            "turbine map, reference pressure",
            "turbocharger.turbine.reference_pressure",
            stated.reference_pressure,
        );
        let temperature = b.stated(
            group,
            "turbine map, reference temperature",
            "turbocharger.turbine.reference_temperature",
            stated.reference_temperature,
        );
        pressure.zip(temperature).map(|(p, t)| {
            let points = stated.expansion.iter().zip(&stated.flow);
            let points = points.map(|(ratio, flow)| (ratio.0, flow.0 * t.sqrt() / p)).collect();
            Swallowing::Map(vec![SwallowingLine { speed: 0.0, points }])
        })
    };
    let wheel = b.stated(group, "turbine wheel", "turbocharger.turbine.wheel", stated.wheel);
    let peak =
        b.stated(group, "turbine, best efficiency", "turbocharger.turbine.efficiency", stated.efficiency);
    let best = b.stated_or(
        group,
        "turbine, best speed ratio",
        "turbocharger.turbine.speed_ratio",
        stated.speed_ratio,
        0.67,
    );
    let inlets = stated.inlets.unwrap_or(1);
    // A collector leads to one inlet; with fewer inlets than collectors they meet before the wheel.
    if inlets as usize > groups {
        b.problem(
            "turbocharger.turbine.inlets",
            format!("{inlets}, but the groups of the exhaust are {groups}"),
        );
    }
    let turbine = Turbine::new(
        &swallowing?,
        &Efficiency::Parabola { peak: peak?, best_ratio: best },
        wheel?,
        inlets,
        count,
    );
    match turbine {
        Ok(turbine) => Some(turbine),
        Err(error) => {
            b.problem("turbocharger.turbine", error);
            None
        }
    }
}

fn cooler(b: &mut Builder<'_>, stated: &CoolerData, unit: &Turbocharger) -> Option<Cooler> {
    let group = Group::Turbocharger;
    let effectiveness =
        b.stated(group, "cooler, effectiveness", "turbocharger.cooler.effectiveness", stated.effectiveness);
    let coolant = b.stated(group, "cooler, coolant", "turbocharger.cooler.coolant", stated.coolant);
    let loss =
        b.stated(group, "cooler, pressure loss", "turbocharger.cooler.pressure_loss", stated.pressure_loss);
    let flow =
        b.stated(group, "cooler, flow at that loss", "turbocharger.cooler.loss_flow", stated.loss_flow);
    let warm = b.stated(
        group,
        "charge behind the cooler at the duty",
        "duty.intake_temperature",
        b.bench.document().duty.intake_temperature,
    );
    let density = unit.plenum_pressure?.0 / (GAS_CONSTANT * warm?);
    let (loss, flow) = (loss?, flow?);
    Some(Cooler { effectiveness: effectiveness?, coolant: coolant?, loss: loss * density / (flow * flow) })
}
