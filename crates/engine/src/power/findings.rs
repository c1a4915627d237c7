//! What a run says to the builder: is the duty reached, how sure is that, what limits.

use super::blank::{blank, rev};
use super::limits;
use super::result::{PowerPoint, PowerRun};
use super::shown_inputs;
use super::specification::{Doubt, DoubtKind, changes};
use super::specify::specify;
use super::study::CamSweep;
use super::worth::{UNCALIBRATED_SOURCE, Worth, rests_on_published};
use crate::assess::Assessment;
use crate::cautions;
use crate::document::Origin;
use crate::engine::Engine;
use crate::findings::{
    About, Action, ActionKind, Finding, LimitUsed, Measured, Verdict, about, boosted, chance, limit_of_chance,
};
use crate::quantity::{Dimension, Phrase, counted};
use mechanics::metrology::decision::{Prior, Window, probability_outside};
use std::f64::consts::{PI, TAU};

/// Chance that the duty is reached from which it counts as good, and below whose complement it is bad.
const SURE: f64 = 0.95;
/// The same where nothing was calibrated: the figure lies outside the whole band of k = 2 (normal distribution function of 2).
const SURE_OF_A_JUDGEMENT: f64 = 0.977_25;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["power_target"],
        asks: "Does the engine as measured reach the power of its duty at that speed?",
        matters: "The specification was chosen for it.",
        computed: "Gas exchange and combustion of the whole engine, cycle by cycle until it repeats. The chance comes from what the curve is worth: a band by judgement where nothing was calibrated (wider where flow is a published mean curve), what the calibration left unexplained otherwise; docs/physics/power.md has the figures.",
        to_do: "Change what the table of sensitivities says is worth most, or calibrate on a measured curve to be surer.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["torque_target"],
        asks: "Does it reach the torque of its duty at that speed?",
        matters: "A narrow engine that only makes its power is slower.",
        computed: "As the power.",
        to_do: "As the power; earlier intake closing and longer runners move torque down the range.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["power_limit"],
        asks: "What limits the engine, and at which speeds?",
        matters: "Beyond a limit the figures of the curve are not to be had, or not for long.",
        computed: "Each limit is looked at at every speed: knock integral, margins on the compressor map, boost, how long the injectors are open, pump flow, mixture of the leanest cylinder, exhaust temperature, mean inlet Mach index, air through restrictor and throttle, work of the gas exchange.",
        to_do: "See each.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["peak_pressure"],
        asks: "Does the peak pressure stay below what the duty allows, mean and strong cycle?",
        matters: "Studs, pistons, rods and walls were chosen for it.",
        computed: "Largest mean peak of all cylinders and speeds; the strong cycle burns two standard deviations earlier and faster.",
        to_do: "Burn later, lower the boost or the compression.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["cam_timing"],
        asks: "Which lobe centres, and with them which intake closing, suit this engine at this speed?",
        matters: "A cam in the wrong place gives torque away for nothing.",
        computed: "The sweep of both lobe centres; the best cell against the cams as they stand.",
        to_do: "Set the cams there, then measure piston to valve again before the engine is turned by its starter.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["power_input"],
        asks: "Can the figures that go in be so?",
        matters: "A bench flow in the wrong unit or a ring that butts makes a curve that looks right.",
        computed: "Ring gaps hot, at the temperatures of the duty; effective area of each port over the narrower of curtain and throat (0.85 to 0.92 of the head) against what poppet valves have, 0.42 to 0.95 (judgement).",
        to_do: "Read the gap again, or open it; look at unit, depression and number of open valves on the flow bench.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["power_run"],
        asks: "Did every speed settle?",
        matters: "A speed whose cycle does not repeat itself is no result.",
        computed: "Change from cycle to cycle, mass and energy that the books miss.",
        to_do: "Look at the inputs it names.",
        source: "docs/physics/power.md",
    },
];

/// Findings of a run on the engine as it is now. All are stale when anything that went into the run has changed since.
pub fn findings(engine: &Engine, assessment: &Assessment, run: &PowerRun) -> Vec<Finding> {
    let duty = &engine.document.duty;
    let boosted = boosted(&engine.document);
    let mut all = Vec::new();
    if let Some((wanted, speed)) = duty.power.zip(duty.power_speed) {
        all.push(target(run, Target::Power, wanted.0, speed.0 * TAU));
    }
    if let Some((wanted, speed)) = duty.torque.zip(duty.torque_speed) {
        all.push(target(run, Target::Torque, wanted.0, speed.0 * TAU));
    }
    all.extend(limits::findings(engine, assessment, run));
    all.extend(peak(run, boosted, "mean cycle", duty.peak_pressure.map(|p| p.0), |c| Some(c.peak_pressure)));
    all.extend(peak(run, boosted, "strong cycle", duty.strong_cycle_pressure.map(|p| p.0), |c| {
        c.strong_peak_pressure
    }));
    if let Some(rests) = rests_on_published(&run.inputs) {
        for finding in &mut all {
            say_published(finding, &rests);
        }
    }
    all.extend(settled(run));
    let specification = specify(engine, assessment);
    all.extend(specification.doubts.iter().map(|d| doubt(d, assessment)));
    let changed = changes(&specification, run);
    if let Some(first) = changed.first() {
        let words = format!(
            "computed before {} changed{}: run it again",
            first.label,
            if changed.len() > 1 { format!(" and {} more inputs", changed.len() - 1) } else { String::new() }
        );
        for finding in &mut all {
            finding.stale = true;
            finding.actions.insert(0, Action::new(ActionKind::Measure, Phrase::words(words.clone())));
        }
    }
    all
}

/// A finding that rests on a published mean curve says so, in its reason and in its working.
pub(super) fn say_published(finding: &mut Finding, rests: &str) {
    let why = std::mem::take(&mut finding.why);
    finding.why = why.say(format!("; {rests}"));
    let source = &mut finding.working.source;
    *source = format!("{source}; {rests}: {}", gas_exchange::valves::published::SOURCE);
}

/// An input that hardly can be so.
fn doubt(doubt: &Doubt, assessment: &Assessment) -> Finding {
    let question = match doubt.kind {
        DoubtKind::RingButts => "gap as input of the power run",
        DoubtKind::PortFlow => "flow as input of the power run",
    };
    let mut finding = blank("power_input", &doubt.path, &doubt.label, question);
    finding.why = Phrase::words(doubt.why.clone());
    let (verdict, to_do, caution) = match doubt.kind {
        DoubtKind::RingButts => (
            Verdict::Bad,
            "Read the gap again; open it to the ring maker's gap for this bore and duty, or check the temperatures of the duty",
            Some(cautions::RING_BUTTS),
        ),
        DoubtKind::PortFlow => (
            Verdict::Uncertain,
            "Look at the unit, the depression and how many valves were open on the bench; then read that lift again",
            None,
        ),
    };
    finding.verdict = verdict;
    let mut action = Action::new(ActionKind::Measure, Phrase::words(to_do));
    if let Some(caution) = caution {
        action = action.caution(caution);
    }
    // The finding of the gap itself asks for the work: one cause, one action.
    if let Some(cause) = gap_behind(doubt, assessment) {
        finding.follows = Some(cause.id.clone());
        if let Some(first) = cause.actions.first() {
            action = Action { caution, ..first.clone() };
        }
    }
    finding.actions.push(action);
    finding
}

/// The bad finding of the ring gap that such a doubt follows from.
fn gap_behind<'a>(doubt: &Doubt, assessment: &'a Assessment) -> Option<&'a Finding> {
    let mut path = doubt.path.strip_prefix("ring.")?.split('.');
    let (cylinder, ring) = (path.next()?, path.next()?);
    let ids = [format!("{ring}_ring_gap/{cylinder}.{ring}"), format!("ring_butting/{cylinder}")];
    ids.iter().filter_map(|id| assessment.finding(id)).find(|f| f.stops())
}

/// Gain below which the cams count as well placed, share of torque: the computation does not see less.
const WELL_PLACED: f64 = 0.005;

/// Which lobe centres and intake closing suit best at the speed of a sweep. `None` when no cell settled or the cams as they stand
/// are no cell of the sweep.
pub fn cam_finding(sweep: &CamSweep) -> Option<Finding> {
    let (intake, exhaust, best) = sweep.best?;
    let nearest = |list: &[f64], value: f64| list.iter().position(|v| (v - value).abs() < 1e-6);
    let (column, row) = (nearest(&sweep.intake, sweep.now.0)?, nearest(&sweep.exhaust, sweep.now.1)?);
    let now = sweep.torque.get(row)?.get(column).copied().flatten()?;
    let closing = *sweep.closing.get(nearest(&sweep.intake, intake)?)?;
    let gain = best / now - 1.0;
    let degrees = |angle: f64| angle * 180.0 / PI;
    let mut finding = blank(
        "cam_timing",
        &format!("{:.0}", degrees(sweep.speed) / 6.0),
        "cams",
        &format!("lobe centres at {}", rev(sweep.speed)),
    );
    let edge =
        |list: &[f64], at: f64| list.len() > 1 && (list.first() == Some(&at) || list.last() == Some(&at));
    let at_edge = edge(&sweep.intake, intake) || edge(&sweep.exhaust, exhaust);
    finding.verdict = if gain < WELL_PLACED { Verdict::Good } else { Verdict::Marginal };
    finding.value =
        Some(Measured { value: best, expanded: 0.0, dimension: Dimension::Torque, predicted: true });
    finding.why = Phrase::words(format!(
        "best of the sweep: intake {:.0}° after, exhaust {:.0}° before top dead centre, intake closing {:.0}° after bottom dead centre; {:+.1} % torque against {:.0}° and {:.0}° as they stand{}",
        degrees(intake),
        degrees(exhaust),
        degrees(closing),
        100.0 * gain,
        degrees(sweep.now.0),
        degrees(sweep.now.1),
        if at_edge { "; it lies on the edge of the sweep, so a wider one may show better" } else { "" }
    ));
    finding.working.rule = Phrase::words("good where less than 0.5 % is to be gained".to_owned());
    if finding.verdict != Verdict::Good {
        finding.actions.push(
            Action::new(
                ActionKind::Ask,
                Phrase::words("Compare with a sweep at the other speeds of the duty; then set the cams and measure piston to valve again"),
            )
            .caution(cautions::VALVES_MEET),
        );
    }
    Some(finding)
}

/// A verdict by the chance that a figure is outside. A band that is a judgement decides only what lies outside the whole of it.
fn decided(run: &PowerRun, outside: f64) -> Verdict {
    let sure = sure(run);
    match outside {
        p if p >= sure => Verdict::Bad,
        p if p <= 1.0 - sure => Verdict::Good,
        _ => Verdict::Uncertain,
    }
}

/// Chance that makes a figure good or bad.
const fn sure(run: &PowerRun) -> f64 {
    if run.calibrated { SURE } else { SURE_OF_A_JUDGEMENT }
}

/// What [`decided`] does with the chance of a target being reached, in words.
fn decision_on_reached(run: &PowerRun) -> String {
    let (low, high) = (limit_of_chance(1.0 - sure(run)), limit_of_chance(sure(run)));
    format!("good from {high}, bad up to {low}, uncertain between{}", why_so_sure(run))
}

/// What [`decided`] does with the chance of a limit being passed, in words.
fn decision_on_passed(run: &PowerRun) -> String {
    let (low, high) = (limit_of_chance(1.0 - sure(run)), limit_of_chance(sure(run)));
    format!("good up to {low}, bad from {high}, uncertain between{}", why_so_sure(run))
}

const fn why_so_sure(run: &PowerRun) -> &'static str {
    if run.calibrated {
        ""
    } else {
        ": not calibrated, so only what lies outside the whole band of k = 2 is decided"
    }
}

/// A chance to the digits that its band supports: whole per cent where the band is a judgement, and a tenth where a whole per cent
/// would seem to lie on the other side of a limit.
fn likely(run: &PowerRun, p: f64) -> String {
    let whole = (100.0 * p).round() / 100.0;
    if run.calibrated || decided(run, whole) != decided(run, p) { chance(p) } else { about(p) }
}

#[derive(Clone, Copy, PartialEq)]
enum Target {
    Power,
    Torque,
}

/// Widest gap between two points across which a figure is drawn straight, share of the speed. Judgement: tuned peaks are narrower.
const WIDEST_GAP: f64 = 0.1;

/// Has the run a figure at this speed, rad/s?
pub(super) fn reaches(run: &PowerRun, speed: f64) -> bool {
    at(run, speed, |point| point.torque).is_some()
}

/// A figure at a speed, straight between the settled points beside it where they are near.
fn at(run: &PowerRun, speed: f64, of: impl Fn(&PowerPoint) -> f64) -> Option<f64> {
    let points: Vec<&PowerPoint> = run.settled().collect();
    let near = points.iter().find(|p| (p.speed / speed - 1.0).abs() < 1e-9);
    if let Some(point) = near {
        return Some(of(point));
    }
    let pair = points.windows(2).find(|pair| (pair[0].speed..=pair[1].speed).contains(&speed))?;
    if pair[1].speed - pair[0].speed > WIDEST_GAP * speed {
        return None;
    }
    let t = (speed - pair[0].speed) / (pair[1].speed - pair[0].speed);
    Some(of(pair[0]) + t * (of(pair[1]) - of(pair[0])))
}

/// Between which points a figure at this speed is drawn straight; none where the speed itself was computed.
fn drawn_between(run: &PowerRun, speed: f64) -> Option<(f64, f64)> {
    let points: Vec<&PowerPoint> = run.settled().collect();
    if points.iter().any(|p| (p.speed / speed - 1.0).abs() < 1e-9) {
        return None;
    }
    let pair = points.windows(2).find(|pair| (pair[0].speed..=pair[1].speed).contains(&speed))?;
    Some((pair[0].speed, pair[1].speed))
}

fn target(run: &PowerRun, target: Target, wanted: f64, speed: f64) -> Finding {
    let (code, question, dimension) = match target {
        Target::Power => ("power_target", "power", Dimension::Power),
        Target::Torque => ("torque_target", "torque", Dimension::Torque),
    };
    let mut finding = blank(code, "1", "engine", &format!("{question} at {}", rev(speed)));
    finding.limit = Some(LimitUsed {
        name: format!("duty.{question}"),
        min: Some(wanted),
        max: None,
        target: None,
        origin: Origin::Builder,
        source: "duty".to_owned(),
        guard_band: false,
    });
    let reached = at(run, speed, |p| match target {
        Target::Power => p.power,
        Target::Torque => p.torque,
    });
    let Some(value) = reached else {
        let why = if loose_at(run, speed) {
            format!("the speed {} did not settle, so nothing is said of it", rev(speed))
        } else {
            format!("the run has no speed near {}: compute that speed", rev(speed))
        };
        finding.why = Phrase::words(why);
        return finding;
    };
    let share = Worth::of(run).standard();
    finding.value = Some(Measured { value, expanded: 2.0 * share * value, dimension, predicted: true });
    let short = Window::new(Some(wanted), None)
        .map_or(f64::NAN, |w| probability_outside(value, share * value, w, Prior::Flat).outside());
    finding.probability_outside = Some(short);
    finding.verdict = decided(run, short);
    let worth = Worth::of(run);
    let basis = if worth.calibrated {
        format!("calibrated, {:.1} % left unexplained", 100.0 * share)
    } else {
        let wide = if worth.published { ", widened for a published mean flow" } else { "" };
        format!("{}{wide}, the greatest taken as k = 2; {UNCALIBRATED_SOURCE}", worth.band_words())
    };
    finding.working.rule = Phrase::words(format!(
        "{} chance that it is reached ({basis}); {}",
        likely(run, 1.0 - short),
        decision_on_reached(run)
    ));
    shown_inputs::FROM_PRESSURES.clone_into(&mut finding.working.formula);
    finding.working.inputs = shown_inputs::of_target(speed, |of| at(run, speed, of));
    finding.working.contributions = vec![("the computation itself".to_owned(), share * value)];
    finding.why = Phrase::words("computed ")
        .value(value, dimension, 0)
        .say(", wanted ")
        .value(wanted, dimension, 0)
        .say(format!("; {} chance that it is reached", likely(run, 1.0 - short)));
    if let Some((below, above)) = drawn_between(run, speed) {
        let words = format!(
            "; drawn straight between {:.0} and {}: this speed itself was not computed",
            below * 30.0 / PI,
            rev(above)
        );
        finding.why = finding.why.say(words);
        finding
            .actions
            .push(Action::new(ActionKind::Ask, Phrase::words(format!("Compute {} as well", rev(speed)))));
    }
    if (run.correction_factor - 1.0).abs() > 1e-9 {
        let state = format!("; judged as run, not as corrected (factor {:.4})", run.correction_factor);
        finding.why = finding.why.say(state);
    }
    if finding.verdict != Verdict::Good {
        // Computed above what is wanted, by less than the curve is worth: a measured curve settles it, no other part.
        if value < wanted || run.calibrated {
            let flags = limits_at(run, speed);
            let text = if flags.is_empty() {
                "See what each choice is worth at this speed, and change the one that costs least".to_owned()
            } else {
                format!("It is limited there by {}: settle that first", flags.join(", "))
            };
            let change = Action::new(ActionKind::Ask, Phrase::words(text)).caution(cautions::MORE_POWER);
            finding.actions.push(change);
        }
        if !run.calibrated {
            finding.actions.push(
                Action::new(ActionKind::Measure, Phrase::words("Import a measured curve and calibrate"))
                    .caution(cautions::TEST_BED)
                    .gives(Phrase::words("a narrower band")),
            );
        }
    }
    finding
}

/// This speed was computed, and its cycle did not come to repeat itself.
fn loose_at(run: &PowerRun, speed: f64) -> bool {
    let here = |other: f64| (other / speed - 1.0).abs() < 1e-9;
    run.points.iter().any(|p| here(p.speed) && !p.closure.converged)
        || run.failures.iter().any(|f| here(f.speed))
}

fn limits_at(run: &PowerRun, speed: f64) -> Vec<&'static str> {
    let nearest = run.settled().min_by(|a, b| (a.speed - speed).abs().total_cmp(&(b.speed - speed).abs()));
    nearest.map_or_else(Vec::new, |p| p.flags.iter().filter(|f| f.is_limit()).map(|f| f.words()).collect())
}

fn peak(
    run: &PowerRun,
    boosted: bool,
    which: &str,
    allowed: Option<f64>,
    of: impl Fn(&super::result::CylinderPoint) -> Option<f64>,
) -> Option<Finding> {
    let allowed = allowed?;
    let all = run.settled().flat_map(|p| p.cylinders.iter().map(move |c| (p.speed, c)));
    let (speed, number, value) =
        all.filter_map(|(speed, c)| Some((speed, c.number, of(c)?))).max_by(|a, b| a.2.total_cmp(&b.2))?;
    let instance = which.replace(' ', "_");
    let mut finding = blank("peak_pressure", &instance, "engine", &format!("peak pressure, {which}"));
    let share = Worth::of(run).standard();
    finding.value = Some(Measured {
        value,
        expanded: 2.0 * share * value,
        dimension: Dimension::Pressure,
        predicted: true,
    });
    finding.limit = Some(LimitUsed {
        name: format!("duty, {which}"),
        min: None,
        max: Some(allowed),
        target: None,
        origin: Origin::Builder,
        source: "duty".to_owned(),
        guard_band: false,
    });
    let over = Window::new(None, Some(allowed))
        .map_or(f64::NAN, |w| probability_outside(value, share * value, w, Prior::Flat).outside());
    finding.probability_outside = Some(over);
    finding.verdict = decided(run, over);
    finding.working.rule =
        Phrase::words(format!("{} chance that it is above; {}", likely(run, over), decision_on_passed(run)));
    "largest of all cylinders and settled speeds of the run".clone_into(&mut finding.working.formula);
    let point = run.settled().find(|p| p.speed.total_cmp(&speed).is_eq());
    let which = format!("{which} at {}", rev(speed));
    finding.working.inputs = point.map(|p| shown_inputs::of_peak(p, &which, of)).unwrap_or_default();
    finding.working.contributions = vec![("the computation itself".to_owned(), share * value)];
    finding.why = Phrase::words(format!("cylinder {number} at {}: ", rev(speed)))
        .value(value, Dimension::Pressure, 0)
        .say(", allowed ")
        .value(allowed, Dimension::Pressure, 0);
    if finding.verdict != Verdict::Good {
        let text = if boosted {
            "Retard the ignition, lower boost or compression, or have the makers of pistons, studs and gasket say what they allow"
        } else {
            "Retard the ignition, lower the compression, or have the makers of pistons, studs and gasket say what they allow"
        };
        finding.actions.push(Action::new(ActionKind::Ask, Phrase::words(text)).caution(cautions::PRESSURE));
    }
    Some(finding)
}

fn settled(run: &PowerRun) -> Option<Finding> {
    let loose: Vec<String> = run
        .points
        .iter()
        .filter(|p| !p.closure.converged)
        .map(|p| {
            format!(
                "{}: still changing by {:.2} % after {}",
                rev(p.speed),
                100.0 * p.closure.drift,
                counted(p.closure.cycles as usize, "cycle", "cycles")
            )
        })
        .chain(run.failures.iter().map(|f| format!("{}: {}", rev(f.speed), f.why)))
        .collect();
    if loose.is_empty() {
        return None;
    }
    let mut finding = blank("power_run", "1", "engine", "speeds that did not settle");
    finding.verdict = Verdict::Unknown;
    finding.why = Phrase::words(format!("{}; left out of every verdict", loose.join("; ")));
    let restricted = run.inputs.iter().any(|i| i.path == "intake.restrictor");
    let text = if restricted {
        "Leave these speeds out, or look at the inputs: a surging compressor, or more boost asked for than the restrictor lets in, often do not settle"
    } else {
        "Leave these speeds out, or look at the inputs: a surging compressor or a turbine too small often do not settle"
    };
    finding.actions.push(Action::new(ActionKind::Ask, Phrase::words(text)));
    Some(finding)
}
