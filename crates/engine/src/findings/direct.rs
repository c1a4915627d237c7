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
    pub to_do: ToDo,
}

/// What to do, by the side on which a value is out.
#[derive(Clone, Copy, Debug)]
pub struct ToDo {
    /// Below the least.
    pub too_small: &'static str,
    /// Above the most.
    pub too_large: &'static str,
}

impl ToDo {
    /// The same on either side.
    pub const fn either(words: &'static str) -> Self {
        Self { too_small: words, too_large: words }
    }

    /// What it says of a bad finding; nothing of any other.
    pub fn action(self, finding: &Finding) -> Option<Action> {
        let words = if finding.is_below_least() { self.too_small } else { self.too_large };
        let says = finding.verdict == Verdict::Bad && !words.is_empty();
        says.then(|| Action::new(ActionKind::Refit, Phrase::words(words)))
    }
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
        finding.actions.extend(self.to_do.action(&finding));
        finding
    }
}
