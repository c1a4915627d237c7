//! `assess`: from the document and the readings to the findings. Pure: same input, same output.

use crate::engine::Engine;
use crate::features::{Sheet, SheetNote};
use crate::findings::{self, Action, ActionKind, Bench, Finding, Input, Tally, Verdict};
use crate::quantity::{Phrase, counted};
use crate::readings::Slip;
use crate::sizes::{self, Sizes};
use serde::Serialize;

/// What was found.
#[derive(Clone, Debug, Serialize)]
pub struct Assessment {
    /// All findings, what stops the build first.
    pub findings: Vec<Finding>,
    /// Readings that are probably slips.
    pub slips: Vec<Slip>,
    /// How each sheet stands.
    pub sheets: Vec<SheetNote>,
    /// Sizes behind the findings.
    #[serde(skip)]
    pub sizes: Sizes,
}

impl Assessment {
    /// A finding by its id.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|f| f.id == id)
    }

    /// How the findings stand as a whole.
    pub fn tally(&self) -> Tally {
        Tally::of(&self.findings)
    }

    /// Does this finding rest on a reading that looked like a slip and was only confirmed, not read again?
    pub fn rests_on_a_confirmed_slip(&self, finding: &Finding) -> bool {
        rests_on_a_confirmed_slip(finding, &self.slips).is_some()
    }

    /// How many findings have this verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.findings.iter().filter(|f| f.verdict == verdict).count()
    }
}

/// Answers every question that the document and the readings allow.
pub fn assess(engine: &Engine) -> Assessment {
    let slips = sizes::slips(engine);
    let sizes = sizes::sizes(engine, &slips);
    let mut findings = findings::all(Bench { engine, sizes: &sizes });
    findings::settle_by_either_value(&mut findings, engine, &slips);
    ask_again(&mut findings, &slips, engine);
    // Stable: within a verdict the order of the job stays.
    findings.sort_by_key(|f| f.verdict.rank());
    let sheets = Sheet::ALL.map(|sheet| note(engine, sheet, &findings, &sizes, &slips)).to_vec();
    Assessment { findings, slips, sheets, sizes }
}

fn rests_on_a_confirmed_slip<'a>(finding: &Finding, slips: &'a [Slip]) -> Option<&'a Slip> {
    // A place that was read again, with the same answer, rests on no single reading any more.
    let single = |i: &&Input| i.feature.is_none() || i.readings.len() < 2;
    let mut readings = finding.working.inputs.iter().filter(single).flat_map(|i| &i.readings);
    readings.find_map(|number| slips.iter().find(|s| s.confirmed && s.reading == *number))
}

/// Before anything is cut or bought on the strength of a reading that looked like a slip, it is read a second time.
fn ask_again(findings: &mut [Finding], slips: &[Slip], engine: &Engine) {
    for finding in findings.iter_mut().filter(|f| f.verdict == Verdict::Bad) {
        let Some(slip) = rests_on_a_confirmed_slip(finding, slips) else { continue };
        let place =
            engine.catalogue.feature(&slip.feature).map_or(slip.feature.as_str(), |f| f.label.as_str());
        let text = format!(
            "Read {place} a second time first: reading {} was asked about and only confirmed",
            slip.reading
        );
        finding.actions.insert(0, Action::new(ActionKind::Measure, Phrase::words(text)));
    }
}

/// How a sheet stands, in words; each number with what it counts.
fn note(engine: &Engine, sheet: Sheet, findings: &[Finding], sizes: &Sizes, slips: &[Slip]) -> SheetNote {
    let of_sheet = |f: &&Finding| f.sheet == sheet;
    let count = |verdict| findings.iter().filter(of_sheet).filter(|f| f.verdict == verdict).count();
    let places: Vec<usize> =
        engine.catalogue.tables_of(sheet).flat_map(|t| t.cells.iter().flatten().flatten().copied()).collect();
    let read = places.iter().filter(|p| sizes.of_feature[**p].is_some()).count();
    let cut_since = places.iter().filter(|p| sizes.of_feature[**p].as_ref().is_some_and(|s| s.stale)).count();
    let stale = findings.iter().filter(of_sheet).filter(|f| f.stale).count();
    let stops = findings.iter().filter(of_sheet).filter(|f| f.is_cause()).count();
    let uncertain = count(Verdict::Uncertain);
    let asked_here = |slip: &&Slip| {
        let place = engine.catalogue.feature(&slip.feature);
        !slip.confirmed && place.is_some_and(|f| engine.catalogue.tables[f.table].sheet == sheet)
    };
    let asked = slips.iter().filter(asked_here).count();
    // Bad only because something on another sheet is: a row is bad, so the sheet is not good.
    let bad = count(Verdict::Bad);
    let mut words = match (stops, bad, uncertain, stale, read) {
        // What follows from a cut elsewhere is stale, but here nothing was read.
        (0, 0, 0, _, 0) => "nothing read".to_owned(),
        (1.., ..) => counted(stops, "stops the build", "stop the build"),
        // Nothing that stands here counts any more: more than any one verdict.
        (0, .., 1..) if cut_since == read => "all stale: read again".to_owned(),
        (0, 1.., ..) => counted(bad, "follows from elsewhere", "follow from elsewhere"),
        // The question is why it is uncertain: it stands alone.
        (0, 0, ..) if asked > 0 => String::new(),
        (0, 0, 1.., ..) => counted(uncertain, "is uncertain", "are uncertain"),
        (0, 0, 0, 1.., _) => counted(stale, "is stale", "are stale"),
        _ if read < places.len() => format!("{read} of {} read", places.len()),
        _ => "good".to_owned(),
    };
    // What is asked is never covered by how the sheet stands otherwise.
    if asked > 0 {
        let question = format!("{} open", counted(asked, "question", "questions"));
        words = if words.is_empty() { question } else { format!("{words}, {question}") };
    }
    SheetNote { sheet, read, places: places.len(), stops, uncertain, stale, asked, words }
}
