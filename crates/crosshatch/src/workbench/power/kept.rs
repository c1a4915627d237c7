//! Results as the store keeps them: JSON of the engine's own values in one envelope.

use super::super::Workbench;
use super::super::error::{Error, Result};
use engine::document::Document;
use engine::power::{Calibration, CamSweep, Effect, KeptPower, PowerRun, SpecInput, speaks};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::sync::Arc;
use store::{Kept, KeptInfo, Store};

pub(super) const CURVE: &str = "power_curve";
pub(super) const CHOICES: &str = "power_choices";
pub(super) const SWEEP: &str = "power_sweep";
pub(super) const CALIBRATION: &str = "power_calibration";

/// Version of the envelope.
const FORMAT: u64 = 1;

/// What was computed.
#[derive(Clone, Debug)]
pub enum Computed {
    /// A torque curve.
    Curve(Box<PowerRun>),
    /// What each choice is worth at a crank speed, rad/s.
    Choices(f64, Vec<Effect>),
    /// Torque over cam timing.
    Sweep(CamSweep),
    /// Factors adjusted to a measured curve.
    Calibration(Calibration),
}

/// A kept result.
#[derive(Clone, Debug)]
pub struct KeptResult {
    /// Number, moment, who and when.
    pub info: KeptInfo,
    /// Number of the stopped run that it goes on from.
    pub resumes: Option<u64>,
    /// What a study was made from; a curve holds its own. None in results of older programs.
    pub inputs: Option<Vec<SpecInput>>,
    /// The values.
    pub computed: Computed,
}

/// The text of a result.
pub(super) fn body(computed: &Computed, inputs: &[SpecInput], resumes: Option<u64>) -> String {
    let inputs = (!matches!(computed, Computed::Curve(_))).then_some(inputs);
    let value = match computed {
        Computed::Curve(run) => json!(run),
        Computed::Choices(speed, effects) => json!({ "speed": speed, "effects": effects }),
        Computed::Sweep(sweep) => json!(sweep),
        Computed::Calibration(calibration) => json!(calibration),
    };
    json!({ "format": FORMAT, "resumes": resumes, "inputs": inputs, "result": shortened(value) }).to_string()
}

/// Pressures over angle need no more than seven digits, and a third of the room. Inputs and speeds keep theirs: they are compared.
fn shortened(mut value: Value) -> Value {
    if let Some(points) = value.get_mut("points").and_then(Value::as_array_mut) {
        for point in points {
            if let Some(trace) = point.get_mut("trace") {
                shorten(trace);
            }
        }
    }
    value
}

fn shorten(value: &mut Value) {
    match value {
        Value::Array(list) => list.iter_mut().for_each(shorten),
        Value::Object(map) => map.values_mut().for_each(shorten),
        Value::Number(number) => {
            let short = number.as_f64().and_then(|f| format!("{f:.6e}").parse::<f64>().ok());
            if number.is_f64()
                && let Some(short) = short.and_then(serde_json::Number::from_f64)
            {
                *number = short;
            }
        }
        _ => {}
    }
}

fn read(kept: Kept) -> Result<KeptResult> {
    let Kept { info, body } = kept;
    let wrong = |problem: String| Error::Result { engine: info.engine.clone(), number: info.number, problem };
    let mut envelope: Value = serde_json::from_str(&body).map_err(|e| wrong(e.to_string()))?;
    if envelope["format"].as_u64() != Some(FORMAT) {
        return Err(wrong(format!("its format is {}", envelope["format"])));
    }
    let resumes = envelope["resumes"].as_u64();
    let inputs = of(envelope["inputs"].take()).map_err(wrong)?;
    let mut value = envelope["result"].take();
    let computed = match info.kind.as_str() {
        CURVE => Computed::Curve(of(value).map_err(wrong)?),
        CHOICES => {
            let effects = value["effects"].take();
            Computed::Choices(of(value["speed"].take()).map_err(wrong)?, of(effects).map_err(wrong)?)
        }
        SWEEP => Computed::Sweep(of(value).map_err(wrong)?),
        CALIBRATION => Computed::Calibration(of(value).map_err(wrong)?),
        other => return Err(wrong(format!("it is a \"{other}\""))),
    };
    Ok(KeptResult { info, resumes, inputs, computed })
}

fn of<T: DeserializeOwned>(value: Value) -> std::result::Result<T, String> {
    serde_json::from_value(value).map_err(|e| e.to_string())
}

impl Workbench {
    /// One kept result.
    ///
    /// # Errors
    /// When there is none of this number, or this program cannot read it.
    pub fn power_result(&self, id: &str, number: u64) -> Result<KeptResult> {
        read(self.store().result(id, number)?)
    }

    /// The kept results of an engine without their values, the first one first.
    ///
    /// # Errors
    /// When there is no such engine.
    pub fn power_results(&self, id: &str) -> Result<Vec<KeptInfo>> {
        Ok(self.store().results(id)?)
    }

    /// The latest kept result of one kind; `None` where there is none.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn latest_power(&self, id: &str, kind: &str) -> Result<Option<KeptResult>> {
        let latest = self.store().results(id)?.into_iter().rev().find(|info| info.kind == kind);
        latest.map(|info| self.power_result(id, info.number)).transpose()
    }

    /// The latest torque curve.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn latest_curve(&self, id: &str) -> Result<Option<KeptResult>> {
        self.latest_power(id, CURVE)
    }
}

/// Curves that are looked at, the newest first, for one that speaks for the engine.
const LOOKED_AT: usize = 6;

/// The computations that speak for an engine, and the number of the curve: the newest curve at full throttle that has the speeds
/// of the duty, else the newest at full throttle; of both kinds one that was not stopped goes before one that was. What cannot be read speaks for nothing; its own page says so.
pub(in crate::workbench) fn speaking(
    store: &Store,
    id: &str,
    document: &Document,
) -> (KeptPower, Option<u64>) {
    let newest = |kind: &'static str| {
        let all = store.results(id).unwrap_or_default().into_iter().rev();
        all.filter(move |info| info.kind == kind)
            .filter_map(|info| read(store.result(id, info.number).ok()?).ok())
    };
    let mut power = KeptPower::default();
    let mut number = None;
    let mut best = 0;
    for kept in newest(CURVE).take(LOOKED_AT) {
        let Computed::Curve(run) = kept.computed else { continue };
        let full = run.request.throttle.is_none_or(|opening| opening >= 1.0);
        let worth = match (speaks(document, &run), run.stopped) {
            (true, false) => 4,
            (true, true) => 3,
            (false, false) if full => 2,
            (false, true) if full => 1,
            _ => 0,
        };
        if worth > best {
            power = power.with_curve(*run);
            number = Some(kept.info.number);
            best = worth;
        }
        if best == 4 {
            break;
        }
    }
    if let Some(KeptResult { computed: Computed::Sweep(sweep), inputs: Some(inputs), .. }) =
        newest(SWEEP).next()
    {
        power.sweep = Some(Arc::new((sweep, inputs)));
    }
    (power, number)
}
