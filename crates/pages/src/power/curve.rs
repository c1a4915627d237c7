//! Torque and power over speed, and the table of the points.

use super::units::{Shown, hundreds, rev, rpm};
use super::{PowerView, ShownRun};
use crate::drawing::{Axis, Line, Marker, Plot, Target};
use crate::words::grouped;
use engine::power::{PowerPoint, PowerRun, Worth};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};

/// Width at which a plot is shown, px.
pub(super) const WIDTH: f64 = 660.0;
/// Height, px.
pub(super) const HEIGHT: f64 = 330.0;

/// An axis of crank speed.
pub(super) fn speed_axis() -> Axis {
    Axis { label: "crank speed".to_owned(), unit: "rev/min".to_owned(), step: None }
}

/// Does this run show corrected figures?
fn corrected(run: &PowerRun) -> bool {
    (run.correction_factor - 1.0).abs() > 1e-9
}

/// Torque of a point as the run reports it.
pub(super) fn torque(run: &PowerRun, point: &PowerPoint) -> f64 {
    if corrected(run) { point.corrected_torque } else { point.torque }
}

/// Power of a point as the run reports it.
pub(super) fn power_of(run: &PowerRun, point: &PowerPoint) -> f64 {
    if corrected(run) { point.corrected_power } else { point.power }
}

/// Brake mean effective pressure that goes with the torque as the run reports it: 4π torque over the swept volume.
fn bmep(run: &PowerRun, point: &PowerPoint) -> f64 {
    point.bmep * torque(run, point) / point.torque
}

/// What stands above the specific fuel consumption. It is as run always: in the reference air the engine would burn more or less fuel
/// as well, so the fuel that was burned over corrected power would be off by the whole factor.
fn consumption_title(run: &PowerRun) -> &'static str {
    if corrected(run) { "specific fuel consumption, as run" } else { "specific fuel consumption" }
}

/// Which state the figures of a curve are in and which is judged; nothing where both are one.
pub(super) fn state_words(run: &PowerRun) -> Option<String> {
    corrected(run).then(|| {
        format!(
            "Curve and table show torque, power and BMEP as corrected (factor {:.4} on power). Specific fuel consumption is as run: fuel burned over power as run. What is said about the duty and the limits judges the engine as run.",
            run.correction_factor
        )
    })
}

/// Values over speed in rev/min, with a gap at each speed that was asked for and not reached.
pub(super) fn over_speed(run: &PowerRun, of: &dyn Fn(&PowerPoint) -> f64) -> Vec<(f64, f64)> {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs();
    let reached = run.points.iter().map(|p| (rpm(p.speed), of(p)));
    let open = run.request.speeds.iter().filter(|s| !run.points.iter().any(|p| near(p.speed, **s)));
    let mut all: Vec<(f64, f64)> = reached.chain(open.map(|s| (rpm(*s), f64::NAN))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// Torque and power with the duty and what the curve is worth.
pub(super) fn plots(power: &PowerView, shown: &ShownRun) -> [Plot; 2] {
    let run = shown.run;
    let duty = &power.view.engine.document.duty;
    let units = power.shown();
    let band = Worth::of(run).greatest;
    let over = |title: &str, label: &str, dimension: Dimension, of: &dyn Fn(&PowerPoint) -> f64| {
        let at = over_speed(run, &|p| units.number(of(p), dimension));
        Plot {
            title: title.to_owned(),
            x: speed_axis(),
            y: Axis { label: label.to_owned(), unit: units.symbol(dimension).to_owned(), step: None },
            envelopes: at
                .split(|p| !p.1.is_finite())
                .map(|part| part.iter().map(|(x, y)| (*x, y * (1.0 - band), y * (1.0 + band))).collect())
                .collect(),
            lines: vec![Line {
                label: format!("run {}", shown.line.number),
                points: at,
                marker: Marker::Dot,
                ..Line::default()
            }],
            decimals: Some(0),
            width: WIDTH,
            height: HEIGHT,
            ..Plot::default()
        }
    };
    let target = |speed: Option<f64>, value: Option<f64>, dimension| {
        speed
            .zip(value)
            .map(|(n, v)| Target { at: (n * 60.0, units.number(v, dimension)), label: "duty".to_owned() })
            .into_iter()
            .collect::<Vec<_>>()
    };
    let mut torque_plot = over("Torque", "torque", Dimension::Torque, &|p| torque(run, p));
    torque_plot.targets = target(duty.torque_speed.map(|s| s.0), duty.torque.map(|t| t.0), Dimension::Torque);
    let mut power_plot = over("Power", "power", Dimension::Power, &|p| power_of(run, p));
    power_plot.targets = target(duty.power_speed.map(|s| s.0), duty.power.map(|p| p.0), Dimension::Power);
    [torque_plot, power_plot]
}

/// Pressure and temperature after the compressor, after the intercooler and before the turbine.
fn states(point: &PowerPoint) -> [(Option<f64>, Option<f64>); 3] {
    point.rotor.as_ref().map_or([(None, None); 3], |r| {
        [
            (r.outlet_pressure, r.outlet_temperature),
            (r.cooler_pressure, r.cooler_temperature),
            (Some(r.turbine_pressure), r.turbine_temperature),
        ]
    })
}

/// Pressures and temperatures on the way through the turbocharger.
pub(super) fn states_table(power: &PowerView, run: &PowerRun) -> Markup {
    let units = power.shown();
    let boosted: Vec<&PowerPoint> = run.points.iter().filter(|p| p.rotor.is_some()).collect();
    html! {
        @if !boosted.is_empty() {
            h3 { "Along the turbocharger" }
            p.small.quiet { "Pressures are absolute, mean over the cycle." }
            div.wide {
                table.figures aria-label="Along the turbocharger" {
                    thead { tr {
                        th.n scope="col" { "rev/min" } @for station in STATIONS { th.n scope="col" { (station) } }
                    } }
                    tbody { @for point in boosted {
                        tr {
                            th.n scope="row" { (rev(point.speed)) }
                            @for (pressure, temperature) in states(point) {
                                td.n { @if let (Some(p), Some(t)) = (pressure, temperature) { (units.pressure(p)) ", " (units.value(t, Dimension::Temperature, 0)) } @else { span.quiet { "not kept" } } }
                            }
                        }
                    } }
                }
            }
        }
    }
}

const STATIONS: [&str; 3] = ["after compressor", "after intercooler", "before turbine"];

/// Columns of the table of speeds: what stands above, its unit, and the figure of a speed.
type Columns<'a> = Vec<(&'static str, String, Box<dyn Fn(&PowerPoint) -> Option<String> + 'a>)>;

fn columns<'a>(units: Shown, run: &'a PowerRun) -> Columns<'a> {
    let percent = |share: f64| grouped(&format_fixed(share * 100.0, 0));
    let number = move |si: f64, dimension, decimals| {
        Some(grouped(&format_fixed(units.number(si, dimension), decimals)))
    };
    let unit = |dimension| units.symbol(dimension).to_owned();
    let per_cent = || "%".to_owned();
    let leanest = |p: &PowerPoint| p.cylinders.iter().map(|c| c.trapped_lambda).fold(f64::NAN, f64::max);
    let mut all: Columns<'a> = vec![
        ("torque", unit(Dimension::Torque), Box::new(move |p| number(torque(run, p), Dimension::Torque, 0))),
        ("power", unit(Dimension::Power), Box::new(move |p| number(power_of(run, p), Dimension::Power, 0))),
        (
            "BMEP",
            unit(Dimension::Pressure),
            Box::new(move |p| Some(units.mean_pressure_number(bmep(run, p)))),
        ),
        ("volumetric efficiency", per_cent(), Box::new(move |p| Some(percent(p.volumetric_efficiency)))),
        (
            "plenum, absolute",
            unit(Dimension::Pressure),
            Box::new(move |p| Some(units.pressure_number(p.plenum_pressure))),
        ),
    ];
    if run.points.iter().any(|p| p.rotor.is_some()) {
        let of_rotor: Columns<'a> = vec![
            ("turbocharger", "rev/min".to_owned(), Box::new(|p| Some(hundreds(p.rotor.as_ref()?.speed)))),
            ("to surge", per_cent(), Box::new(move |p| Some(percent(p.rotor.as_ref()?.surge_margin)))),
            ("to choke", per_cent(), Box::new(move |p| Some(percent(p.rotor.as_ref()?.choke_margin)))),
        ];
        all.extend(of_rotor);
    }
    let rest: Columns<'a> = vec![
        (
            "exhaust",
            unit(Dimension::Temperature),
            Box::new(move |p| number(p.exhaust_temperature, Dimension::Temperature, 0)),
        ),
        (
            consumption_title(run),
            units.consumption_unit().to_owned(),
            Box::new(move |p| Some(units.consumption_number(p.specific_consumption))),
        ),
        ("injectors open", per_cent(), Box::new(move |p| p.injector_duty.map(percent))),
        ("leanest", "\u{3bb}".to_owned(), Box::new(move |p| Some(format_fixed(leanest(p), 2)))),
        (
            "50 % burned",
            "\u{b0} after TDC".to_owned(),
            Box::new(|p| Some(format_fixed(p.cylinders.first()?.half_burned.to_degrees(), 0))),
        ),
    ];
    all.extend(rest);
    all
}

/// Long words of a head may be parted, so that their columns are as narrow as their figures.
fn breakable(name: &str) -> String {
    let parted = [
        ("turbocharger", "turbo\u{ad}charger"),
        ("consumption", "consump\u{ad}tion"),
        ("volumetric efficiency", "volu\u{ad}metric effi\u{ad}ciency"),
    ];
    parted.iter().fold(name.to_owned(), |name, (word, parts)| name.replace(word, parts))
}

/// Each speed, and below it in words what it is flagged for. Units stand in the head, so that the table is narrow enough for a
/// tablet; where it is not, it scrolls in its own box and the speed stays.
pub(super) fn table(power: &PowerView, run: &PowerRun) -> Markup {
    let columns = columns(power.shown(), run);
    let flags = |point: &PowerPoint| {
        point.flags.iter().filter(|f| f.is_limit()).map(|f| f.words()).collect::<Vec<_>>().join(", ")
    };
    let points: Vec<(&PowerPoint, String)> = run.points.iter().map(|p| (p, flags(p))).collect();
    html! {
        div.points.scroll role="region" tabindex="0" aria-label="Each speed, values" {
            table.figures aria-label="Each speed" {
                thead { tr {
                    th.n scope="col" { "speed" span.unit { "rev/min" } }
                    @for (name, unit, _) in &columns { th.n scope="col" { (breakable(name)) span.unit { (unit) } } }
                } }
                tbody { @for (point, flagged) in &points {
                    tr.has-flags[!flagged.is_empty()] {
                        th.n scope="row" { (rev(point.speed)) }
                        @for (_, _, value) in &columns { td.n { @match value(point) { Some(value) => { (value) } None => { span.quiet { "\u{2013}" } } } } }
                    }
                    @if !flagged.is_empty() {
                        tr.flags { td.n {} td colspan=(columns.len()) { b.word { "Flagged" } span.reader-only { " at " (rev(point.speed)) " rev/min" } ": " (flagged) } }
                    }
                } }
            }
        }
        @if points.iter().all(|(_, flagged)| flagged.is_empty()) { p.small.quiet { "No speed is flagged." } }
        @if run.points.iter().any(|p| p.injector_duty.is_none()) { p.small.quiet { "Injectors open: the share of the cycle is not known, because their flow is not stated." } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::power::{CorrectionMode, Request, TimingMode};
    use std::f64::consts::PI;

    fn run(factor: f64) -> PowerRun {
        let (torque, speed, fuel, volume) = (500.0, 600.0, 0.02, 5e-3);
        let power = torque * speed;
        let point = PowerPoint {
            speed,
            torque,
            power,
            corrected_torque: factor * torque,
            corrected_power: factor * power,
            bmep: 4.0 * PI * torque / volume,
            fuel_flow: fuel,
            specific_consumption: fuel / power,
            ..PowerPoint::default()
        };
        PowerRun {
            format: 1,
            engine: String::new(),
            request: Request {
                speeds: vec![speed],
                throttle: None,
                timing: TimingMode::AsStated,
                correction: CorrectionMode::AsRun,
                traces: false,
                ducts_at: None,
            },
            inputs: Vec::new(),
            left_out: Vec::new(),
            points: vec![point],
            failures: Vec::new(),
            stopped: false,
            correction_factor: factor,
            correction_note: String::new(),
            map: None,
            valve_flow: Vec::new(),
            calibrated: false,
            residual: None,
        }
    }

    #[test]
    fn a_corrected_curve_speaks_of_one_state() {
        for factor in [1.0, 1.0073] {
            let run = run(factor);
            let point = &run.points[0];
            let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
            near(bmep(&run, point), 4.0 * PI * torque(&run, point) / 5e-3);
            assert_eq!(state_words(&run).is_some(), factor > 1.0);
        }
    }

    /// 0.02 kg/s at 300 kW as run are 240 g/kWh, whatever the air is corrected to.
    #[test]
    fn specific_consumption_is_as_run_and_says_so_beside_corrected_power() {
        let units = Shown { units: engine::quantity::UnitSystem::Metric };
        for (factor, power, title) in [
            (1.0, "300", "specific fuel consumption"),
            (1.05, "315", "specific fuel consumption, as run"),
            (0.95, "285", "specific fuel consumption, as run"),
        ] {
            let run = run(factor);
            let columns = columns(units, &run);
            let shown = |starts: &str| {
                let (name, _, of) = columns.iter().find(|c| c.0.starts_with(starts)).expect("a column");
                (*name, of(&run.points[0]))
            };
            assert_eq!(shown("power").1.as_deref(), Some(power));
            assert_eq!(shown("specific"), (title, Some("240".to_owned())));
            let said = state_words(&run).is_none_or(|w| w.contains("Specific fuel consumption is as run"));
            assert!(said, "{factor}");
        }
    }
}
