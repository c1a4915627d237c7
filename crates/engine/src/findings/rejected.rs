//! A part that is not used: nothing is cut, bought for or measured on it, and what was read through it waits for the one that takes
//! its place.

use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::document::OperationKind;
use crate::features::{Catalogue, Feature};
use crate::quantity::Phrase;
use crate::readings::{Operation, moves};

/// Questions whose bad answer takes a part out of use. Common practice, no source.
const REJECTING: &[&str] = &["rod_length"];

/// A part that is not used, and the finding that says so.
#[derive(Clone, Debug)]
pub struct Rejected {
    /// Id of the finding.
    pub id: String,
    /// The part, `rod.2`.
    pub part: String,
    label: String,
}

impl Rejected {
    /// Is this place read on the part, or through it?
    pub fn carries(&self, feature: &Feature) -> bool {
        moves(&Operation::planned(OperationKind::NewPart, vec![self.part.clone()]), feature)
    }

    /// Does a finding rest on what is read on the part, or through it?
    pub fn bears(&self, finding: &Finding, catalogue: &Catalogue) -> bool {
        let places = finding.subject.features.iter().chain(&finding.missing);
        finding.id != self.id && places.filter_map(|path| catalogue.feature(path)).any(|f| self.carries(f))
    }
}

/// The parts that are not used.
pub fn rejected(all: &[Finding], catalogue: &Catalogue) -> Vec<Rejected> {
    let rejects =
        |f: &&Finding| REJECTING.contains(&f.code) && f.verdict == Verdict::Bad && f.waits_for().is_none();
    let one = |f: &Finding| {
        let place = f.subject.features.iter().find_map(|path| catalogue.feature(path))?;
        Some(Rejected { id: f.id.clone(), part: place.part.clone(), label: f.subject.label.clone() })
    };
    all.iter().filter(rejects).filter_map(one).collect()
}

/// Does a finding follow from a part that is not used?
pub fn is_of_rejected(finding: &Finding) -> bool {
    let code = finding.follows.as_deref().and_then(|id| id.split('/').next());
    code.is_some_and(|code| REJECTING.contains(&code))
}

/// Nothing is done about what rests on a part that is not used.
pub(super) fn follow(all: &mut [Finding], bench: Bench<'_>) {
    let catalogue = &bench.engine.catalogue;
    for part in rejected(all, catalogue) {
        let open = |f: &Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain);
        for finding in all.iter_mut().filter(|f| open(f) && part.bears(f, catalogue)) {
            let text = format!(
                "Settle {} first: it is not used as it is; read this again with the part that stays or takes its place",
                part.label
            );
            finding.actions = vec![Action::new(ActionKind::Refit, Phrase::words(text))];
            finding.follows = Some(part.id.clone());
        }
    }
}
