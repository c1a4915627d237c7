//! Torque and power over speed, and the table of the points.

use super::units::{hundreds, rev, rpm};
use super::{PowerView, ShownRun};
use crate::drawing::{Axis, Line, Marker, Plot, Target};
use engine::power::{PowerPoint, PowerRun, UNCALIBRATED_BAND};
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

/// Fuel for power that goes with the power as the run reports it: the fuel is the one that was burned.
fn consumption(run: &PowerRun, point: &PowerPoint) -> f64 {
    point.specific_consumption * point.power / power_of(run, point)
}

/// Which state the figures of a curve are in and which is judged; nothing where both are one.
pub(super) fn state_words(run: &PowerRun) -> Option<String> {
    corrected(run).then(|| {
        format!(
            "Curve and table show torque, power, BMEP and fuel for power as corrected (factor {:.4} on power). What is said about the duty and the limits judges the engine as run.",
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
    let band = if run.calibrated { run.residual.map_or(0.0, |r| 2.0 * r) } else { UNCALIBRATED_BAND.1 };
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

/// Pressure and temperature behind the compressor, behind the cooler and before the turbine.
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
                                td.n { @if let (Some(p), Some(t)) = (pressure, temperature) { (units.value(p, Dimension::Pressure, 2)) ", " (units.value(t, Dimension::Temperature, 0)) } @else { span.quiet { "not kept" } } }
                            }
                        }
                    } }
                }
            }
        }
    }
}

const STATIONS: [&str; 3] = ["behind compressor", "behind cooler", "before turbine"];

/// Each point with what limits it.
pub(super) fn table(power: &PowerView, run: &PowerRun) -> Markup {
    let units = power.shown();
    let boosted = run.points.iter().any(|p| p.rotor.is_some());
    let percent = |share: f64| format!("{} %", format_fixed(share * 100.0, 0)).replace('-', "\u{2212}");
    let leanest = |p: &PowerPoint| p.cylinders.iter().map(|c| c.trapped_lambda).fold(f64::NAN, f64::max);
    html! {
        div.wide.points {
            table.figures.stacks aria-label="Each speed" {
                thead { tr {
                    th.n scope="col" { "rev/min" } th scope="col" { "flagged" } th.n scope="col" { "torque" } th.n scope="col" { "power" } th.n scope="col" { "BMEP" }
                    th.n scope="col" { "filling" } th.n scope="col" { "plenum, absolute" }
                    @if boosted { th.n scope="col" { "rotor, rev/min" } th.n scope="col" { "to surge" } th.n scope="col" { "to choke" } }
                    th.n scope="col" { "exhaust" } th.n scope="col" { "fuel for power" } th.n scope="col" { "injectors" } th.n scope="col" { "leanest \u{3bb}" } th.n scope="col" { "half burned" }
                } }
                tbody { @for point in &run.points {
                    tr {
                        th.n scope="row" { (rev(point.speed)) }
                        td data-label="flagged" { @if !point.flags.iter().any(|f| f.is_limit()) { span.quiet { "none" } } @else { (point.flags.iter().filter(|f| f.is_limit()).map(|f| f.words()).collect::<Vec<_>>().join(", ")) } }
                        td.n data-label="torque" { (units.value(torque(run, point), Dimension::Torque, 0)) }
                        td.n data-label="power" { (units.value(power_of(run, point), Dimension::Power, 0)) }
                        td.n data-label="BMEP" { (units.value(bmep(run, point), Dimension::Pressure, 1)) }
                        td.n data-label="filling" { (percent(point.volumetric_efficiency)) }
                        td.n data-label="plenum, absolute" { (units.value(point.plenum_pressure, Dimension::Pressure, 2)) }
                        @if boosted {
                            td.n data-label="rotor, rev/min" { @if let Some(r) = &point.rotor { (hundreds(r.speed)) } }
                            td.n data-label="to surge" { @if let Some(r) = &point.rotor { (percent(r.surge_margin)) } }
                            td.n data-label="to choke" { @if let Some(r) = &point.rotor { (percent(r.choke_margin)) } }
                        }
                        td.n data-label="exhaust" { (units.value(point.exhaust_temperature, Dimension::Temperature, 0)) }
                        td.n data-label="fuel for power" { (units.consumption(consumption(run, point))) }
                        td.n data-label="injectors" { @if let Some(duty) = point.injector_duty { (percent(duty)) } @else { span.quiet { "not stated" } } }
                        td.n data-label="leanest \u{3bb}" { (format_fixed(leanest(point), 2)) }
                        td.n data-label="half burned" { @if let Some(c) = point.cylinders.first() { (format_fixed(c.half_burned.to_degrees(), 0)) "\u{b0}" } }
                    }
                } }
            }
        }
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
            near(consumption(&run, point), point.fuel_flow / power_of(&run, point));
            assert_eq!(state_words(&run).is_some(), factor > 1.0);
        }
    }
}
