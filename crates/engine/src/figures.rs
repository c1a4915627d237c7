//! Figures that answer no question of fit but that a builder wants to see: displacement, piston speed and acceleration,
//! compression from intake closing.

use crate::assess::Assessment;
use crate::document::ValveSide;
use crate::engine::Engine;
use crate::features::Sheet;
use crate::findings::{Answer, Bench, Input, Measured, Working, crank_drive, space};
use crate::quantity::Dimension;
use mechanics::kinematics::SliderCrank;
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
    /// Expanded uncertainty, k = 2; zero where only nominal sizes go in, and of speeds and accelerations, of which U of the rods that were
    /// read changes no digit that is shown.
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

/// Length of the rods as they were read: the mean of all that were, with its words; none where no rod was.
fn mean_rod(bench: Bench<'_>) -> Option<(Uncertain, String)> {
    let of = |c| bench.size(&format!("rod.{c}.length")).map(|size| &size.value);
    let read: Vec<&Uncertain> = bench.cylinders().filter_map(of).collect();
    let (count, all) = (read.len(), bench.cylinders().count());
    let words = match count {
        _ if count < all => format!("rod length, mean of the {count} that were read of {all}"),
        1 => "rod length, as read".to_owned(),
        _ => format!("rod length, mean of all {all} as read"),
    };
    Some((Uncertain::mean(&read)?, words))
}

/// Said of a rod length that nobody has read.
const NOMINAL_ROD: &str = "rod length, nominal, taken as exact: none was read";

/// The crank drive with rods of this length: as read, else the nominal one.
fn drive_with(bench: Bench<'_>, rod: Option<&Uncertain>) -> Option<SliderCrank> {
    let Some(rod) = rod else { return crank_drive(bench) };
    let document = bench.document();
    SliderCrank::new(document.layout.stroke?.0 / 2.0, rod.value(), document.pistons.offset_of_drive()).ok()
}

/// Piston speed and acceleration in steps of two degrees at the speed of the duty; None when stroke, rod or speed is missing.
pub fn piston_motion(engine: &Engine, assessment: &Assessment) -> Option<PistonMotion> {
    let bench = Bench { engine, sizes: &assessment.sizes };
    let drive = drive_with(bench, mean_rod(bench).as_ref().map(|(rod, _)| rod))?;
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
    let read = mean_rod(bench);
    let drive = drive_with(bench, read.as_ref().map(|(rod, _)| rod));
    let (Some(drive), Some(speed)) = (drive, duty_speed(bench.engine)) else {
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
        figure.working.inputs.insert(1, rod_input(&drive, read.as_ref()));
    }
    all
}

/// The rod length that went into a figure of all cylinders.
fn rod_input(drive: &SliderCrank, read: Option<&(Uncertain, String)>) -> Input {
    let Some((rod, words)) = read else {
        return Input::figure(NOMINAL_ROD.to_owned(), drive.rod_length(), Dimension::Length, "");
    };
    let value = Measured {
        value: rod.value(),
        expanded: rod.expanded(),
        dimension: Dimension::Length,
        predicted: false,
    };
    let from = "the readings of the rods".to_owned();
    Input { label: words.clone(), value, feature: None, readings: Vec::new(), computed_from: from }
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

/// How far from a rod length its effect on a ratio is taken, m: the ratio is so nearly straight in it that any small step will do.
const BESIDE: f64 = 0.1e-3;

fn effective_compression(bench: Bench<'_>, cylinder: u32) -> Option<Figure> {
    let closing = intake_closing(&bench.document().valves.intake)?;
    let mut answer = Answer::new(bench, "effective_compression", Sheet::Head, String::new(), "", "");
    let (space, inputs, _) = space(bench, &mut answer, cylinder)?;
    let closes = Uncertain::exact(closing);
    let closing_words = "intake closes after bottom dead centre, nominal, taken as exact";
    answer.input(closing_words, &closes, Dimension::Angle);
    // The rod of this cylinder where it was read.
    let read = answer.read_if_there(&format!("rod.{cylinder}.length"));
    let drive = drive_with(bench, read.as_ref())?;
    let rod = read.clone().unwrap_or_else(|| Uncertain::exact(drive.rod_length()));
    if read.is_none() {
        answer.input("rod length, nominal, taken as exact: not read", &rod, Dimension::Length);
    }
    let ratio = space.trapped_ratio(&drive, closing).ok()?;
    let per_degree = (ratio.sensitivities[8] * PI / 180.0).abs();
    let [a, b, c, d, e, f, g, h] = inputs.each_ref();
    let value = ratio.propagate([a, b, c, d, e, f, g, h, &closes]);
    // By the rod, from two lengths beside it.
    let with = |length: f64| {
        let drive = drive_with(bench, Some(&Uncertain::exact(length)))?;
        space.trapped_ratio(&drive, closing).ok().map(|ratio| ratio.value)
    };
    let by_rod = (with(rod.value() + BESIDE)? - with(rod.value() - BESIDE)?) / (2.0 * BESIDE);
    let value = Uncertain::linear(-by_rod * rod.value(), &[(1.0, &value), (by_rod, &rod)]);
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
