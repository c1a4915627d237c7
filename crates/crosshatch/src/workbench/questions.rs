//! Questions that wait for a person: sizes that look wrong, and readings that were asked about.

use super::Workbench;
use super::assessed::Assessed;
use super::clock::now;
use super::entries;
use super::error::Result;
use super::slot::Loaded;
use engine::Engine;
use engine::document::{Code, Diagnostic, parse_document};
use engine::readings::Slip;
use engine::sizes::waits_for_an_answer;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use store::Draft;

/// Questions about sizes that are about to be kept. They are asked once; nothing was changed.
#[derive(Clone, Debug, Default, PartialEq, Eq, thiserror::Error)]
#[error("{}", .fields.iter().map(|(field, question)| format!("{field}: {question}")).collect::<Vec<_>>().join("; "))]
pub struct Questions {
    /// The question by field; under the empty name where it is about none of the form.
    pub fields: BTreeMap<String, String>,
    /// What the form sends along to say that they were asked.
    pub word: String,
}

fn open(text: &str) -> Vec<Diagnostic> {
    let mut found = parse_document(text, super::DOCUMENT).diagnostics;
    found.retain(|d| matches!(d.code, Code::Proportion | Code::UnusualCrank));
    found
}

/// Asks what `after` raises and `before` did not. `place` finds the field of a path; `answered` is the word of the questions
/// that were asked before.
pub(super) fn ask(
    before: Option<&str>,
    after: &str,
    place: impl Fn(&str) -> Option<String>,
    answered: &str,
) -> Result<(), Questions> {
    let known = before.map(open).unwrap_or_default();
    let is_known = |d: &Diagnostic| known.iter().any(|k| k.path == d.path && k.message == d.message);
    let mut asked = Questions::default();
    for d in open(after).iter().filter(|d| !is_known(d)) {
        let mut question = d.message.clone();
        for part in [
            d.expected.as_ref().map(|e| format!("; expected {e}")),
            d.hint.as_ref().map(|h| format!("; {h}")),
        ] {
            question.push_str(&part.unwrap_or_default());
        }
        let (field, question) = match place(&d.path) {
            Some(field) => (field, question),
            None => (String::new(), format!("{}: {question}", d.path)),
        };
        // Other figures are other questions.
        // Writing to a String cannot fail.
        let _ = write!(asked.word, "{}={};", d.path, d.text);
        let said = asked.fields.entry(field).or_default();
        if !said.is_empty() {
            said.push_str("; ");
        }
        said.push_str(&question);
    }
    if asked.fields.is_empty() || asked.word == answered { Ok(()) } else { Err(asked) }
}

/// Questions about readings that were open before, that nothing raises any more, and that nobody has answered: they stay open.
/// `raised` are those of the engine as it is now.
pub(super) fn left_open(before: impl Iterator<Item = Slip>, raised: &[Slip], engine: &Engine) -> Vec<Slip> {
    before
        .filter(|slip| !slip.confirmed && !raised.iter().any(|s| s.reading == slip.reading))
        .filter(|slip| waits_for_an_answer(engine, slip))
        .collect()
}

/// The same after the document changed: readings of the log move when it gains or loses some before them.
pub(super) fn left_open_by_document(before: &Assessed, now_loaded: &Loaded) -> Vec<Slip> {
    let after = &now_loaded.assessed;
    let written = before.engine.document.readings.len() as u64;
    let moved = now_loaded.written();
    let number = |old: u64| if old > written { old - written + moved } else { old };
    let asked = before.assessment.slips.iter();
    let renumbered = asked.map(|slip| Slip { reading: number(slip.reading), ..slip.clone() });
    left_open(renumbered, &after.assessment.slips, &after.engine)
}

impl Workbench {
    /// Logs that these questions stay open; what stands in memory is then read from the store again.
    pub(super) fn keep_open(
        &self,
        id: &str,
        bench: &mut Option<Loaded>,
        open: &[Slip],
        written: u64,
    ) -> Result<()> {
        if !open.is_empty() {
            self.store.append_many(id, kept_open(open, written, &self.who))?;
            *bench = None;
        }
        Ok(())
    }
}

/// Entries of the log that keep these questions open. `written` readings stand in the document before those of the log.
pub(super) fn kept_open(open: &[Slip], written: u64, who: &str) -> Vec<Draft> {
    let draft = |slip: &Slip| Draft {
        kind: entries::ASKED.to_owned(),
        body: entries::asked_body(slip, written),
        who: who.to_owned(),
        when: now(),
        delivery_key: None,
    };
    open.iter().map(draft).collect()
}
