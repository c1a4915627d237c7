//! A finding of power before anything is said in it, and speeds in words.

use crate::features::Sheet;
use crate::findings::{Finding, Subject, Verdict, Working};
use crate::quantity::Phrase;
use std::f64::consts::PI;

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

/// A crank speed, rad/s, in words.
pub(super) fn rev(speed: f64) -> String {
    format!("{:.0} rev/min", speed * 30.0 / PI)
}
