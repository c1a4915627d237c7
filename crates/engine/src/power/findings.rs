//! What a run says to the builder: is the duty reached, how sure is that, what limits.

use super::breathing::{INLET_MACH, pumping_share};
use super::result::{Flag, PowerPoint, PowerRun, SURGE_DOUBT};
use super::run::leanest;
use super::shown_inputs;
use super::specification::{Doubt, DoubtKind, changes};
use super::specify::specify;
use super::study::CamSweep;
use crate::assess::Assessment;
use crate::cautions;
use crate::document::Origin;
use crate::engine::Engine;
use crate::features::Sheet;
use crate::findings::boosted;
use crate::findings::{
    About, Action, ActionKind, Finding, LimitUsed, Measured, Subject, Verdict, Working, chance,
};
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::decision::{Prior, Window, probability_outside};
use std::f64::consts::{PI, TAU};

/// Half-width of the band in which a curve that was not calibrated lies, least and greatest, share of torque (judgement; one
/// -dimensional models of like detail are quoted so). The greater is taken as k = 2.
pub const UNCALIBRATED_BAND: (f64, f64) = (0.05, 0.08);
/// What a calibrated curve is never thought better than, share (k = 1): repeatability of a test bed (common practice, no source).
const BEST: f64 = 0.01;
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
        computed: "Gas exchange and combustion of the whole engine, cycle by cycle until it repeats. The chance comes from the band of the computation: ± 8 % (k = 2) where nothing was calibrated, what the calibration left unexplained otherwise.",
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
        computed: "Each limit is looked at in every point: knock integral, margins on the compressor map, boost, injector duty, pump flow, mixture of the leanest cylinder, exhaust temperature, mean inlet Mach index, air through restrictor and throttle, work of the gas exchange.",
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
        computed: "Ring gaps hot, at the temperatures of the duty; effective area of each port over the narrower of curtain and throat (0.85 to 0.92 of the head) against what poppet valves have, 0.42 to 0.95.",
        to_do: "Read the gap again, or open it; look at unit, depression and number of open valves on the flow bench.",
        source: "docs/physics/power.md",
    },
    About {
        codes: &["power_run"],
        asks: "Did every point settle?",
        matters: "A point whose cycle does not repeat itself is no result.",
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
    all.extend(limits(run, boosted));
    for finding in &mut all {
        show_limit(finding, engine, run);
    }
    if let Some(lean) = all.iter_mut().find(|f| f.id == LEAN_CYLINDER) {
        lean.follows = injector_behind(assessment, run);
    }
    all.extend(peak(run, boosted, "mean cycle", duty.peak_pressure.map(|p| p.0), |c| Some(c.peak_pressure)));
    all.extend(peak(run, boosted, "strong cycle", duty.strong_cycle_pressure.map(|p| p.0), |c| {
        c.strong_peak_pressure
    }));
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

/// Where the computation comes from. Its parts have their books in the manual.
const SOURCE: &str = "own computation: gas dynamics in one dimension after Toro, combustion, knock and friction after Heywood (from memory); see the manual, power";

pub(super) fn blank(code: &'static str, instance: &str, label: &str, question: &str) -> Finding {
    Finding {
        id: format!("{code}/{instance}"),
        code,
        sheet: Sheet::Head,
        subject: Subject {
            label: label.to_owned(),
            instance: instance.to_owned(),
            part: String::new(),
            features: Vec::new(),
        },
        question: question.to_owned(),
        value: None,
        limit: None,
        verdict: Verdict::Unknown,
        stale: false,
        probability_outside: None,
        why: Phrase::new(),
        working: Working {
            formula: "whole-engine gas exchange and combustion, run until the cycle repeats".to_owned(),
            source: SOURCE.to_owned(),
            ..Working::default()
        },
        actions: Vec::new(),
        missing: Vec::new(),
        follows: None,
    }
}

/// A verdict by the chance that a figure is outside. A band that is a judgement decides only what lies outside the whole of it.
fn decided(run: &PowerRun, outside: f64) -> Verdict {
    let sure = if run.calibrated { SURE } else { SURE_OF_A_JUDGEMENT };
    match outside {
        p if p >= sure => Verdict::Bad,
        p if p <= 1.0 - sure => Verdict::Good,
        _ => Verdict::Uncertain,
    }
}

/// A chance to the digits that its band supports: whole per cent where the band is a judgement.
fn likely(run: &PowerRun, p: f64) -> String {
    match p {
        p if run.calibrated => chance(p),
        p if p < 0.01 => "under 1 %".to_owned(),
        p if p > 0.99 => "over 99 %".to_owned(),
        p => format!("about {:.0} %", 100.0 * p),
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Target {
    Power,
    Torque,
}

/// Standard uncertainty of a computed torque, share.
pub(super) fn standard(run: &PowerRun) -> f64 {
    match run.residual {
        Some(residual) if run.calibrated => residual.max(BEST),
        _ => UNCALIBRATED_BAND.1 / 2.0,
    }
}

/// Widest gap between two points across which a figure is drawn straight, share of the speed. Judgement: tuned peaks are narrower.
const WIDEST_GAP: f64 = 0.1;

/// Has the run a figure at this speed, rad/s?
pub(super) fn reaches(run: &PowerRun, speed: f64) -> bool {
    at(run, speed, |point| point.torque).is_some()
}

/// A figure at a speed, straight between the points beside it where they are near.
fn at(run: &PowerRun, speed: f64, of: impl Fn(&PowerPoint) -> f64) -> Option<f64> {
    let near = run.points.iter().find(|p| (p.speed / speed - 1.0).abs() < 1e-9);
    if let Some(point) = near {
        return Some(of(point));
    }
    let pair = run.points.windows(2).find(|pair| (pair[0].speed..=pair[1].speed).contains(&speed))?;
    if pair[1].speed - pair[0].speed > WIDEST_GAP * speed {
        return None;
    }
    let t = (speed - pair[0].speed) / (pair[1].speed - pair[0].speed);
    Some(of(&pair[0]) + t * (of(&pair[1]) - of(&pair[0])))
}

fn rev(speed: f64) -> String {
    format!("{:.0} rev/min", speed * 30.0 / PI)
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
        finding.why = Phrase::words(format!("the run has no points near {}: compute that speed", rev(speed)));
        return finding;
    };
    let share = standard(run);
    finding.value = Some(Measured { value, expanded: 2.0 * share * value, dimension, predicted: true });
    let short = Window::new(Some(wanted), None)
        .map_or(f64::NAN, |w| probability_outside(value, share * value, w, Prior::Flat).outside());
    finding.probability_outside = Some(short);
    finding.verdict = decided(run, short);
    let basis = if run.calibrated {
        format!("calibrated, {:.1} % left unexplained", 100.0 * share)
    } else {
        format!(
            "not calibrated: ± {:.0} to {:.0} %, the greater taken as k = 2",
            100.0 * UNCALIBRATED_BAND.0,
            100.0 * UNCALIBRATED_BAND.1
        )
    };
    finding.working.rule =
        Phrase::words(format!("{} chance that it is reached ({basis})", likely(run, 1.0 - short)));
    shown_inputs::FROM_PRESSURES.clone_into(&mut finding.working.formula);
    finding.working.inputs = shown_inputs::of_target(speed, |of| at(run, speed, of));
    finding.working.contributions = vec![("the computation itself".to_owned(), share * value)];
    finding.why = Phrase::words("computed ")
        .value(value, dimension, 0)
        .say(", wanted ")
        .value(wanted, dimension, 0)
        .say(format!("; {} chance that it is reached", likely(run, 1.0 - short)));
    if (run.correction_factor - 1.0).abs() > 1e-9 {
        let state = format!("; judged as run, not as corrected (factor {:.4})", run.correction_factor);
        finding.why = finding.why.say(state);
    }
    if finding.verdict != Verdict::Good {
        let flags = limits_at(run, speed);
        let text = if flags.is_empty() {
            "See what each choice is worth at this speed, and change the one that costs least".to_owned()
        } else {
            format!("It is limited there by {}: settle that first", flags.join(", "))
        };
        finding.actions.push(Action::new(ActionKind::Ask, Phrase::words(text)));
        if !run.calibrated {
            finding.actions.push(
                Action::new(ActionKind::Measure, Phrase::words("Import a measured curve and calibrate"))
                    .gives(Phrase::words("a narrower band")),
            );
        }
    }
    finding
}

fn limits_at(run: &PowerRun, speed: f64) -> Vec<&'static str> {
    let nearest =
        run.points.iter().min_by(|a, b| (a.speed - speed).abs().total_cmp(&(b.speed - speed).abs()));
    nearest.map_or_else(Vec::new, |p| p.flags.iter().filter(|f| f.is_limit()).map(|f| f.words()).collect())
}

/// What to do about a limit, and whether it stops the engine or only costs.
fn advice(flag: Flag, boosted: bool) -> (&'static str, Verdict, Option<&'static str>) {
    match flag {
        Flag::Knock => (
            if boosted {
                "Retard the ignition there, or take a fuel that stands more, less boost or less compression; prove it on the test bed with knock listened for, step by step"
            } else {
                "Retard the ignition there, or take a fuel that stands more, or less compression; prove it on the test bed with knock listened for, step by step"
            },
            Verdict::Uncertain,
            Some(cautions::KNOCK),
        ),
        Flag::Surge => {
            ("A smaller compressor, or less boost at these speeds", Verdict::Bad, Some(cautions::SURGE))
        }
        Flag::Choke => (
            "A larger compressor, or less boost: the figures beyond the map are extrapolated",
            Verdict::Bad,
            None,
        ),
        Flag::Overspeed => {
            ("Less boost at these speeds, or a larger compressor", Verdict::Bad, Some(cautions::OVERSPEED))
        }
        Flag::BoostShort => (
            "A smaller turbine, or accept that boost comes later: the wastegate is shut and the turbine has no more to give",
            Verdict::Uncertain,
            None,
        ),
        Flag::BoostOver => (
            "A larger wastegate: it is fully open and the boost still climbs",
            Verdict::Bad,
            Some(cautions::BOOST),
        ),
        Flag::InjectorDuty => {
            ("Larger injectors, or more of them", Verdict::Bad, Some(cautions::INJECTOR_DUTY))
        }
        Flag::PumpFlow => ("A larger fuel pump or a second one", Verdict::Bad, Some(cautions::FUEL_PUMP)),
        Flag::LeanCylinder => (
            "Match the injectors: this cylinder runs leaner than the mean shows",
            Verdict::Bad,
            Some(cautions::LEAN),
        ),
        Flag::ExhaustTemperature => (
            if boosted {
                "Richer; or less boost, or more advance where knock allows it"
            } else {
                "Richer, or more advance where knock allows it"
            },
            Verdict::Bad,
            Some(cautions::ADVANCE),
        ),
        Flag::InletMach => (
            "Larger or more intake valves, more lift or ports that flow more; tuned pipes move the fall of the filling, they do not take it away",
            Verdict::Marginal,
            None,
        ),
        Flag::ChokedThroat => (
            "A larger throttle; where rules set the restrictor, less speed and more torque below it: no more air passes",
            Verdict::Marginal,
            None,
        ),
        Flag::Pumping => (
            "Look at what the exhaust strokes push against: turbine, pipe and silencer; then at intake valves and throttle",
            Verdict::Marginal,
            None,
        ),
        Flag::NotConverged => ("See the points that did not settle", Verdict::Unknown, None),
    }
}

fn least_surge_margin(points: &[&PowerPoint]) -> f64 {
    points.iter().filter_map(|p| p.rotor.as_ref()).map(|r| r.surge_margin).fold(f64::INFINITY, f64::min)
}

fn limits(run: &PowerRun, boosted: bool) -> Vec<Finding> {
    let mut flags: Vec<Flag> = run.points.iter().flat_map(|p| p.flags.iter().copied()).collect();
    flags.sort_unstable();
    flags.dedup();
    flags.into_iter().filter(|f| *f != Flag::NotConverged).map(|flag| limit(run, flag, boosted)).collect()
}

/// Figures and border of a limit, for its working.
fn show_limit(finding: &mut Finding, engine: &Engine, run: &PowerRun) {
    let mut all = run.points.iter().flat_map(|p| &p.flags);
    let flag = all.find(|f| finding.code == "power_limit" && finding.subject.instance == word(**f));
    let Some(flag) = flag else { return };
    let (inputs, border) = shown_inputs::of_limit(&engine.document, run, *flag);
    finding.working.inputs = inputs;
    let rule = std::mem::take(&mut finding.working.rule);
    finding.working.rule = rule.say(format!("; flagged is {border}"));
}

/// What a limit is about, and what is asked of it.
fn asked(flag: Flag, met: &[&PowerPoint]) -> (String, &'static str) {
    let (label, question) = match flag {
        Flag::LeanCylinder => {
            let number = leanest_of(met.iter().copied()).map_or(0, |(number, ..)| number);
            return (format!("cylinder {number}"), "mixture against the mean");
        }
        Flag::Surge => ("compressor", "surge"),
        Flag::Choke => ("compressor", "choke"),
        Flag::Overspeed => ("turbocharger", "speed"),
        Flag::BoostShort => ("turbocharger", "boost short of its target"),
        Flag::BoostOver => ("turbocharger", "boost above its target"),
        Flag::InjectorDuty => ("injectors", "duty"),
        Flag::PumpFlow => ("fuel pump", "flow"),
        Flag::ExhaustTemperature => ("exhaust", "temperature"),
        Flag::InletMach => ("intake valves", "gas speed"),
        Flag::ChokedThroat => ("restrictor and throttle", "air that passes"),
        Flag::Knock | Flag::Pumping | Flag::NotConverged => ("engine", flag.words()),
    };
    (label.to_owned(), question)
}

/// A flag as it is kept: `lean_cylinder`.
fn word(flag: Flag) -> String {
    serde_json::to_value(flag).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// Id of the finding of a lean cylinder.
const LEAN_CYLINDER: &str = "power_limit/lean_cylinder";

/// The point at which a cylinder is leanest against the mean, its number and by how much, share.
fn leanest_of<'a>(points: impl Iterator<Item = &'a PowerPoint>) -> Option<(u32, f64, &'a PowerPoint)> {
    let all = points.filter_map(|p| leanest(p).map(|(number, by)| (number, by, p)));
    all.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The finding of the injector that makes the leanest cylinder so, where one gives too little: the same work mends both.
fn injector_behind(assessment: &Assessment, run: &PowerRun) -> Option<String> {
    let flagged = run.points.iter().filter(|p| p.flags.contains(&Flag::LeanCylinder));
    let cylinder = leanest_of(flagged)?.0.to_string();
    let gives_less = |f: &&Finding| {
        f.code == "injector_flow"
            && f.verdict == Verdict::Bad
            && f.value.is_some_and(|v| v.value < 0.0)
            && f.subject.instance.split('.').next() == Some(cylinder.as_str())
    };
    assessment.findings.iter().find(gives_less).map(|f| f.id.clone())
}

fn limit(run: &PowerRun, flag: Flag, boosted: bool) -> Finding {
    let (to_do, verdict, caution) = advice(flag, boosted);
    let met: Vec<&PowerPoint> = run.points.iter().filter(|p| p.flags.contains(&flag)).collect();
    let (label, question) = asked(flag, &met);
    let mut finding = blank("power_limit", &word(flag), &label, question);
    finding.verdict = match flag {
        Flag::Surge if least_surge_margin(&met) > -SURGE_DOUBT => Verdict::Uncertain,
        _ => verdict,
    };
    let (first, last) = (met[0].speed, met[met.len() - 1].speed);
    let range = if met.len() == 1 {
        format!("at {}", rev(first))
    } else {
        format!("from {} to {}", rev(first), rev(last))
    };
    finding.why = Phrase::words(format!("{range}{}", worst(&met, flag)));
    finding.working.rule = Phrase::words(format!("{} of {} points", met.len(), run.points.len()));
    let mut action = Action::new(ActionKind::Ask, Phrase::words(to_do));
    if let Some(caution) = caution {
        action = action.caution(caution);
    }
    finding.actions.push(action);
    finding
}

/// The worst figure behind a flag, in words.
fn worst(met: &[&PowerPoint], flag: Flag) -> String {
    let least = |of: &dyn Fn(&PowerPoint) -> f64| met.iter().map(|p| of(p)).fold(f64::INFINITY, f64::min);
    let most = |of: &dyn Fn(&PowerPoint) -> f64| met.iter().map(|p| of(p)).fold(f64::NEG_INFINITY, f64::max);
    let rotor =
        |of: fn(&super::result::RotorPoint) -> f64| move |p: &PowerPoint| p.rotor.as_ref().map_or(0.0, of);
    match flag {
        Flag::Knock => {
            let integral = most(&|p| p.cylinders.iter().map(|c| c.knock_integral).fold(0.0, f64::max));
            let late = met.iter().any(|p| p.cylinders.iter().any(|c| c.knock_limited));
            let how = if late { ", timing put later for it" } else { "" };
            format!(": knock integral up to {integral:.2}{how}; weak until calibrated")
        }
        Flag::Surge => match 100.0 * least(&rotor(|r| r.surge_margin)) {
            beyond if beyond < 0.0 => format!(": up to {:.1} % beyond the line", -beyond),
            near => format!(
                ": {near:.1} % from the line, nearer than the {:.0} % that a map can tell",
                100.0 * SURGE_DOUBT
            ),
        },
        Flag::Choke => format!(": up to {:.1} % beyond it", -100.0 * least(&rotor(|r| r.choke_margin))),
        Flag::Overspeed => {
            format!(": {:.0} % above the greatest speed", -100.0 * least(&rotor(|r| r.speed_margin)))
        }
        Flag::BoostShort => format!(": up to {:.0} % short", 100.0 * most(&rotor(|r| r.boost_error))),
        Flag::BoostOver => format!(": up to {:.0} % over", -100.0 * least(&rotor(|r| r.boost_error))),
        Flag::InjectorDuty => {
            format!(": up to {:.0} % of the cycle", 100.0 * most(&|p| p.injector_duty.unwrap_or(0.0)))
        }
        Flag::PumpFlow => {
            format!(": up to {:.0} % of what the pump gives", 100.0 * most(&|p| p.pump_share.unwrap_or(0.0)))
        }
        Flag::LeanCylinder => leanest_of(met.iter().copied()).map_or(String::new(), |(number, by, point)| {
            let lambda =
                point.cylinders.iter().find(|c| c.number == number).map_or(0.0, |c| c.trapped_lambda);
            format!(": cylinder {number} traps λ {lambda:.2}, {:.1} % leaner than the mean", 100.0 * by)
        }),
        Flag::ExhaustTemperature => {
            format!(": up to {:.0} °C", most(&|p| p.exhaust_temperature) - 273.15)
        }
        Flag::InletMach => {
            let most = most(&|p| p.inlet_mach.unwrap_or(0.0));
            format!(": Mach index up to {most:.2}; filling falls steeply from {INLET_MACH:.1} to 0.6 on")
        }
        Flag::ChokedThroat => {
            format!(": up to {:.0} % of the most it passes", 100.0 * most(&|p| p.throat_share.unwrap_or(0.0)))
        }
        Flag::Pumping => format!(": up to {:.0} % of the gross work", 100.0 * most(&pumping_share)),
        Flag::NotConverged => String::new(),
    }
}

fn peak(
    run: &PowerRun,
    boosted: bool,
    which: &str,
    allowed: Option<f64>,
    of: impl Fn(&super::result::CylinderPoint) -> Option<f64>,
) -> Option<Finding> {
    let allowed = allowed?;
    let all = run.points.iter().flat_map(|p| p.cylinders.iter().map(move |c| (p.speed, c)));
    let (speed, number, value) =
        all.filter_map(|(speed, c)| Some((speed, c.number, of(c)?))).max_by(|a, b| a.2.total_cmp(&b.2))?;
    let instance = which.replace(' ', "_");
    let mut finding = blank("peak_pressure", &instance, "engine", &format!("peak pressure, {which}"));
    let share = standard(run);
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
    finding.working.rule = Phrase::words(format!("{} chance that it is above", likely(run, over)));
    "largest of all cylinders and speeds of the run".clone_into(&mut finding.working.formula);
    let point = run.points.iter().find(|p| p.speed.total_cmp(&speed).is_eq());
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
                "{}: still changing by {:.2} % after {} cycles",
                rev(p.speed),
                100.0 * p.closure.drift,
                p.closure.cycles
            )
        })
        .chain(run.failures.iter().map(|f| format!("{}: {}", rev(f.speed), f.why)))
        .collect();
    if loose.is_empty() {
        return None;
    }
    let mut finding = blank("power_run", "1", "engine", "points that did not settle");
    finding.verdict = Verdict::Unknown;
    finding.why = Phrase::words(loose.join("; "));
    finding.actions.push(Action::new(
        ActionKind::Ask,
        Phrase::words("Leave these speeds out, or look at the inputs: a surging compressor or a turbine too small often do not settle"),
    ));
    Some(finding)
}
