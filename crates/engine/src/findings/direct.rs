//! Questions that are answered by one reading against one limit.

use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase};

/// One such question.
pub struct Direct<'a> {
    /// Code and, where not otherwise said, name of the limit.
    pub code: &'static str,
    /// Limit.
    pub limit: &'static str,
    /// Sheet.
    pub sheet: Sheet,
    /// Who.
    pub label: String,
    /// Instance in paths.
    pub instance: &'a str,
    /// Question in words.
    pub question: &'a str,
    /// Where it is read.
    pub path: String,
    /// What is measured.
    pub dimension: Dimension,
    /// What to do when it is bad.
    pub to_do: &'static str,
}

impl Direct<'_> {
    /// Answers it.
    pub fn finding(self, bench: Bench<'_>) -> Finding {
        let mut answer = Answer::new(bench, self.code, self.sheet, self.label, self.instance, self.question)
            .limit(self.limit)
            .dimension(self.dimension)
            .formula("as read, corrected", "JCGM 100");
        let value = answer.read(&self.path);
        answer.value(value, false);
        let mut finding = answer.finish();
        if finding.verdict == Verdict::Bad && !self.to_do.is_empty() {
            finding.actions.push(Action::new(ActionKind::Refit, Phrase::words(self.to_do)));
        }
        finding
    }
}
