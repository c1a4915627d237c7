//! Why a finding is uncertain, where several can be so for the same reason: a list then says the reason once.

use super::answer::{ask_words, doubt_words};
use super::model::{ActionKind, Finding, Verdict, stated_in_document};
use super::read_again::{is_again, is_too_fine};
use crate::assess::Assessment;
use crate::engine::Engine;
use crate::readings::Reading;
use crate::sizes::{Doubt, TEMPERATURE_OF, figures_at};

/// A reason that uncertain findings can have in common.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CommonCause {
    /// Something speaks against the readings themselves.
    Doubt(Doubt),
    /// The gauge of that name makes most of an uncertainty that no repetition takes below the limit.
    TooCoarse(String),
    /// This place would have to be read, by its path.
    NotRead(String),
    /// Sound readings that are too near to the limit to tell.
    NearTheLimit,
}

impl CommonCause {
    /// What is the matter: "no temperature given: 20 °C ± 5 K taken".
    pub fn words(&self, engine: &Engine) -> String {
        match self {
            Self::Doubt(Doubt::Slip(number)) => {
                format!("reading {number} is asked about and not yet confirmed")
            }
            Self::Doubt(doubt) => doubt_words(doubt).0.to_owned(),
            Self::TooCoarse(gauge) => format!("gauge {gauge} is too coarse for what is asked"),
            Self::NotRead(path) => format!("not read: {}", place(engine, path)),
            Self::NearTheLimit => "too near to the limit for these readings to tell".to_owned(),
        }
    }

    /// What to do about all of them.
    pub fn to_do(&self, engine: &Engine) -> String {
        match self {
            Self::Doubt(Doubt::TemperatureNotSaid) => {
                "Take the temperature of the part, state it above the table, and read again".to_owned()
            }
            Self::Doubt(Doubt::GaugeNotSaid) => "Choose the gauge above the table, and read again".to_owned(),
            Self::Doubt(doubt) => ask_words(doubt),
            Self::TooCoarse(_) => {
                "Read with a finer gauge, or have whoever set the limit look at it".to_owned()
            }
            Self::NotRead(path) => format!("Read {}", place(engine, path)),
            Self::NearTheLimit => "Read each again at the same places, twice each".to_owned(),
        }
    }
}

fn place(engine: &Engine, path: &str) -> String {
    let stated = || stated_in_document(path).unwrap_or(path).to_owned();
    engine.catalogue.feature(path).map_or_else(stated, |feature| feature.label.clone())
}

/// Why this finding is uncertain, where that is a reason that others can share; `None` where it has one of its own, and
/// for every other verdict: what stops the build stands by itself.
pub fn common_cause(engine: &Engine, assessment: &Assessment, finding: &Finding) -> Option<CommonCause> {
    if finding.verdict != Verdict::Uncertain {
        return None;
    }
    let readings = readings_of(engine, finding);
    let size = |reading: &&Reading| {
        engine.catalogue.find(&reading.feature).and_then(|place| assessment.sizes.of_feature[place].as_ref())
    };
    let doubts: Vec<&Doubt> = readings.iter().filter_map(size).flat_map(|size| &size.doubts).collect();
    // A slip first: its answer may change the size itself.
    let slip = doubts.iter().find(|doubt| matches!(doubt, Doubt::Slip(_)));
    if let Some(doubt) = slip.or_else(|| doubts.iter().find(|doubt| !doubt_words(doubt).1)) {
        return Some(CommonCause::Doubt((*doubt).shared()));
    }
    if let Some(missing) = finding.missing.first() {
        return Some(CommonCause::NotRead(missing.clone()));
    }
    let most = |named: &dyn Fn(&str) -> bool| share(finding, named) > 0.5;
    if doubts.contains(&&Doubt::TemperatureNotSaid) && most(&|term| term.starts_with(TEMPERATURE_OF)) {
        return Some(CommonCause::Doubt(Doubt::TemperatureNotSaid));
    }
    let of_gauge = |reading: &&&Reading| {
        let label = engine.catalogue.feature(&reading.feature);
        let label = label.map(|feature| figures_at(&engine.document, &reading.instrument, feature).label);
        label.is_some_and(|label| most(&|term| term.starts_with(&label)))
    };
    let gauge = readings.iter().find(of_gauge).map(|reading| reading.instrument.as_str());
    match gauge {
        Some("") => Some(CommonCause::Doubt(Doubt::GaugeNotSaid)),
        Some(gauge) if is_too_fine(finding) => Some(CommonCause::TooCoarse(gauge.to_owned())),
        _ => {
            let measures = finding.actions.iter().all(|action| action.kind == ActionKind::Measure);
            (measures && finding.actions.iter().any(is_again)).then_some(CommonCause::NearTheLimit)
        }
    }
}

fn readings_of<'a>(engine: &'a Engine, finding: &Finding) -> Vec<&'a Reading> {
    let numbers: Vec<u64> =
        finding.working.inputs.iter().flat_map(|input| input.readings.iter().copied()).collect();
    engine.readings.iter().filter(|reading| numbers.contains(&reading.number)).collect()
}

/// Share of the variance that comes from the terms of those names.
fn share(finding: &Finding, named: &dyn Fn(&str) -> bool) -> f64 {
    let square = |(_, standard): &(String, f64)| standard * standard;
    let terms = &finding.working.contributions;
    let all: f64 = terms.iter().map(square).sum();
    if all > 0.0 { terms.iter().filter(|(name, _)| named(name)).map(square).sum::<f64>() / all } else { 0.0 }
}
