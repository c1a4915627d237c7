//! A finding of power before anything is said in it, and speeds in words.

use crate::features::Sheet;
use crate::findings::{Finding, Working};
use std::f64::consts::PI;

/// Where the computation comes from. Its parts have their books in the manual.
const SOURCE: &str = "own computation: gas dynamics in one dimension after Toro, combustion, knock and friction after Heywood (from memory); see the manual, power";

pub(super) fn blank(code: &'static str, instance: &str, label: &str, question: &str) -> Finding {
    let working = Working {
        formula: "whole-engine gas exchange and combustion, run until the cycle repeats".to_owned(),
        source: SOURCE.to_owned(),
        ..Working::default()
    };
    Finding { working, ..Finding::asked(code, Sheet::Head, label.to_owned(), instance, question) }
}

/// A crank speed, rad/s, in words.
pub(super) fn rev(speed: f64) -> String {
    format!("{:.0} rev/min", speed * 30.0 / PI)
}
