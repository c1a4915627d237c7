//! Figures that answer no question of fit but that a builder wants to see: displacement, piston speed and acceleration,
//! compression from intake closing.

use crate::assess::Assessment;
use crate::document::ValveSide;
use crate::engine::Engine;
use crate::features::Sheet;
use crate::findings::{Answer, Bench, Input, Working, crank_drive, space};
use crate::quantity::Dimension;
use mechanics::metrology::Uncertain;
use serde::Serialize;
use std::f64::consts::{PI, TAU};

/// One figure with its working.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// What it is: "mean piston speed at 8,500 rev/min".
    pub label: String,
    /// Value in SI, or in the unit below where no dimension of ours holds it.
    pub value: f64,
    /// Expanded uncertainty, k = 2; zero where only nominal sizes go in.
    pub expanded: f64,
    /// Dimension, where it is one of ours.
    pub dimension: Option<Dimension>,
    /// Unit in words where it is none of ours: "m/s".
    pub unit: &'static str,
    /// Decimals to show.
    pub decimals: usize,
    /// What one degree of an angle that is taken as exact changes it by; none where no such angle goes in.
    pub per_degree: Option<f64>,
    /// Inputs, formula, source.
    pub working: Working,
}

/// Piston motion over one turn of the crank, for a plot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PistonMotion {
    /// Speed of the crank, rev/s.
    pub speed: f64,
    /// Crank angle in rad, piston speed in m/s, acceleration in m/s² (toward the crank is positive).
    pub points: Vec<(f64, f64, f64)>,
}

/// The speed at which motion is shown: the limiter, else the power speed.
fn duty_speed(engine: &Engine) -> Option<f64> {
    let duty = &engine.document.duty;
    duty.limiter.or(duty.power_speed).map(|s| s.0)
}

/// Piston speed and acceleration in steps of two degrees at the speed of the duty; None when stroke, rod or speed is missing.
pub fn piston_motion(engine: &Engine, assessment: &Assessment) -> Option<PistonMotion> {
    let drive = crank_drive(Bench { engine, sizes: &assessment.sizes })?;
    let speed = duty_speed(engine)?;
    let points = (0..=180)
        .map(|step| {
            let angle = f64::from(step) * TAU / 180.0;
            let motion = drive.motion(angle, speed * TAU);
            (angle, motion.velocity, motion.acceleration)
        })
        .collect();
    Some(PistonMotion { speed, points })
}

/// All figures that the document and the readings allow.
pub fn figures(engine: &Engine, assessment: &Assessment) -> Vec<Figure> {
    let bench = Bench { engine, sizes: &assessment.sizes };
    let mut all = motion(bench);
    for cylinder in bench.cylinders() {
        all.extend(effective_compression(bench, cylinder));
    }
    all
}

fn plain(
    label: String,
    value: f64,
    unit: &'static str,
    decimals: usize,
    formula: &str,
    source: &str,
) -> Figure {
    let working = Working { formula: formula.into(), source: source.into(), ..Working::default() };
    Figure { label, value, expanded: 0.0, dimension: None, unit, decimals, per_degree: None, working }
}

fn motion(bench: Bench<'_>) -> Vec<Figure> {
    let (Some(drive), Some(speed)) = (crank_drive(bench), duty_speed(bench.engine)) else {
        return Vec::new();
    };
    let omega = speed * TAU;
    let at = format!("at {:.0} rev/min", speed * 60.0);
    let (down, up) = (drive.peak_speed(omega), drive.peak_speed_up(omega));
    // Without offset both are equal but for rounding.
    let peak = if up.value.abs() > down.value * (1.0 + 1e-9) { up } else { down };
    let peak_angle = (peak.angle - drive.top_dead_centre()).rem_euclid(TAU);
    let down = drive.peak_acceleration_down(omega);
    let up = drive.peak_acceleration_up(omega);
    let source = "exact slider-crank with pin offset; Norton, Design of Machinery (from memory)";
    let mut all = vec![
        plain(
            format!("mean piston speed {at}"),
            drive.mean_speed(omega),
            "m/s",
            2,
            "2 × stroke × speed",
            "definition",
        ),
        plain(
            format!("greatest piston speed {at}, {:.1}° after top dead centre", peak_angle * 180.0 / PI),
            peak.value.abs(),
            "m/s",
            2,
            "largest |v| over a turn",
            source,
        ),
        plain(
            format!("greatest acceleration toward the crank {at}"),
            down.value,
            "m/s²",
            0,
            "largest a over a turn: what pulls on the rod and its bolts",
            source,
        ),
        plain(
            format!("greatest acceleration toward the head {at}"),
            up.value,
            "m/s²",
            0,
            "smallest a over a turn",
            source,
        ),
    ];
    let document = bench.document();
    let inputs = [
        ("stroke, nominal, taken as exact", document.layout.stroke.map(|s| s.0), Dimension::Length),
        ("rod length, nominal, taken as exact", document.rods.length.map(|l| l.0), Dimension::Length),
        (
            "pin offset toward the thrust side, nominal, taken as exact",
            Some(-drive.offset() + 0.0),
            Dimension::Length,
        ),
        ("crank speed", Some(speed), Dimension::Speed),
    ];
    for figure in &mut all {
        figure.working.inputs = inputs
            .iter()
            .filter_map(|(label, value, dimension)| {
                Some(Input::figure((*label).to_owned(), (*value)?, *dimension, ""))
            })
            .collect();
    }
    all
}

/// Decimals of a value that one degree changes by so much: the last place is not less than half of that.
fn decimals_of_a_degree(per_degree: f64) -> usize {
    [1.0, 0.1, 0.01, 0.001].iter().take_while(|place| **place >= per_degree / 2.0).count().saturating_sub(1)
}

/// Closing of the intake valve after bottom dead centre: as written, or half the duration past the lobe centre.
fn intake_closing(valve: &ValveSide) -> Option<f64> {
    let derived =
        valve.duration.zip(valve.lobe_centre).map(|(duration, centre)| duration.0 / 2.0 + centre.0 - PI);
    valve.closing.map(|c| c.0).or(derived)
}

fn effective_compression(bench: Bench<'_>, cylinder: u32) -> Option<Figure> {
    let closing = intake_closing(&bench.document().valves.intake)?;
    let drive = crank_drive(bench)?;
    let mut answer = Answer::new(bench, "effective_compression", Sheet::Head, String::new(), "", "");
    let (space, inputs, _) = space(bench, &mut answer, cylinder)?;
    let closes = Uncertain::exact(closing);
    let closing_words = "intake closes after bottom dead centre, nominal, taken as exact";
    answer.input(closing_words, &closes, Dimension::Angle);
    let rod = Uncertain::exact(drive.rod_length());
    answer.input("rod length, nominal, taken as exact", &rod, Dimension::Length);
    let ratio = space.trapped_ratio(&drive, closing).ok()?;
    let per_degree = (ratio.sensitivities[8] * PI / 180.0).abs();
    let [a, b, c, d, e, f, g, h] = inputs.each_ref();
    let value = ratio.propagate([a, b, c, d, e, f, g, h, &closes]);
    let mut working = answer.finish().working;
    working.formula = "(Vc + A s(θ))/Vc at intake closing, s from the exact slider-crank".into();
    working.source = "geometry; all that is marked as exact adds nothing to the uncertainty; the lift at which the cam card states the duration counts as closed".into();
    Some(Figure {
        label: format!("cylinder {cylinder}, compression from intake closing"),
        value: value.value(),
        expanded: value.expanded(),
        dimension: Some(Dimension::Ratio),
        unit: "",
        decimals: decimals_of_a_degree(per_degree),
        per_degree: Some(per_degree),
        working,
    })
}

#[cfg(test)]
mod tests {
    use super::decimals_of_a_degree;

    #[test]
    fn a_figure_is_not_finer_than_a_degree_leaves_it() {
        assert_eq!(decimals_of_a_degree(0.07), 1);
        assert_eq!(decimals_of_a_degree(0.015), 2);
        assert_eq!(decimals_of_a_degree(0.5), 0);
    }
}
