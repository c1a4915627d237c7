//! What is kept of the computations of power joins the findings of the engine. Nothing is computed here: a reading never waits
//! for a run.

use super::blank::blank;
use super::findings::{ABOUT, cam_finding, findings, say_published};
use super::request::Request;
use super::result::PowerRun;
use super::specification::{SpecInput, Specification, input_changes};
use super::specify::specify;
use super::study::CamSweep;
use super::worth::rests_on_published;
use crate::assess::Assessment;
use crate::document::Document;
use crate::engine::Engine;
use crate::findings::{Action, ActionKind, Finding, Verdict};
use crate::quantity::Phrase;
use std::f64::consts::TAU;
use std::sync::Arc;

/// The computations that speak for an engine. Cheap to clone.
#[derive(Clone, Debug, Default)]
pub struct KeptPower {
    /// The curve, without its cycles.
    pub curve: Option<Arc<PowerRun>>,
    /// The sweep of the cams and what it was made from.
    pub sweep: Option<Arc<(CamSweep, Vec<SpecInput>)>>,
}

impl KeptPower {
    /// With this curve; its pressures over angle are dropped, no finding asks for them.
    #[must_use]
    pub fn with_curve(mut self, mut run: PowerRun) -> Self {
        run.points.iter_mut().for_each(|point| point.trace = None);
        self.curve = Some(Arc::new(run));
        self
    }
}

/// Is this a question about power?
pub fn is_power(code: &str) -> bool {
    ABOUT.iter().any(|about| about.codes.contains(&code))
}

/// Does the duty ask for power or torque at all?
fn asked(document: &Document) -> bool {
    let duty = &document.duty;
    duty.power.is_some() || duty.torque.is_some() || Request::full_throttle(document).is_some()
}

/// Does a run speak for the engine at full throttle: are points near all speeds at which the duty states power or torque?
pub fn speaks(document: &Document, run: &PowerRun) -> bool {
    let duty = &document.duty;
    let stated = [duty.power.and(duty.power_speed), duty.torque.and(duty.torque_speed)];
    run.request.throttle.is_none_or(|opening| opening >= 1.0)
        && !run.points.is_empty()
        && stated.into_iter().flatten().all(|speed| super::findings::reaches(run, speed.0 * TAU))
}

impl Assessment {
    /// The same with what is kept of power, in the order of the verdicts. Where nothing is kept, one finding says so. An engine of
    /// which nothing is known is asked nothing.
    #[must_use]
    pub fn with_power(mut self, engine: &Engine, kept: &KeptPower) -> Self {
        if self.findings.is_empty() {
            return self;
        }
        let found = match &kept.curve {
            Some(run) => findings(engine, &self, run),
            None if asked(&engine.document) => vec![not_computed(&specify(engine, &self))],
            None => Vec::new(),
        };
        let cams = kept.sweep.as_deref().and_then(|(sweep, inputs)| {
            let mut finding = cam_finding(sweep)?;
            if let Some(rests) = rests_on_published(inputs) {
                say_published(&mut finding, &rests);
            }
            if let Some(first) = input_changes(&specify(engine, &self), inputs).first() {
                finding.stale = true;
                let words = format!("computed before {} changed: sweep the cams again", first.label);
                finding.actions.insert(0, Action::new(ActionKind::Measure, Phrase::words(words)));
            }
            Some(finding)
        });
        self.findings.extend(found);
        self.findings.extend(cams);
        // Stable: within a verdict the order of the job stays.
        self.findings.sort_by_key(|f| f.verdict.rank());
        self
    }
}

/// Says that the curve was never computed, and what is missing for it.
fn not_computed(specification: &Specification) -> Finding {
    let mut finding = blank("power_run", "none", "engine", "torque and power");
    finding.verdict = Verdict::Unknown;
    let (why, to_do) = if specification.is_complete() {
        ("no torque curve is kept of this engine".to_owned(), "Compute the torque curve".to_owned())
    } else {
        let first = specification.missing.iter().map(|m| m.what.clone()).next();
        let first = first.or_else(|| specification.problems.first().cloned()).unwrap_or_default();
        let count = specification.missing.len().max(1);
        (
            format!(
                "no torque curve can be computed yet: {count} {} missing, {first} first",
                if count == 1 { "input is" } else { "inputs are" }
            ),
            "Read and state what the page of power lists, then compute the torque curve".to_owned(),
        )
    };
    finding.why = Phrase::words(why);
    finding.missing = specification.missing.iter().filter(|m| m.measured).map(|m| m.path.clone()).collect();
    finding.actions.push(Action::new(ActionKind::Measure, Phrase::words(to_do)));
    finding
}
