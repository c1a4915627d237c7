//! Third stage of reading: what the file says against itself. A missing size is never a mistake.

use super::diagnostic::Draft;
use super::model::Document;
use super::path::Segment;
use super::{layout_check, record_check};

/// Something that does not fit together, with the path where a person should look.
pub(super) struct Issue<'a> {
    /// Where.
    pub path: Vec<Segment<'a>>,
    /// What.
    pub draft: Draft,
    /// Paths on which the check rests; when one of them has a mistake of its own, this one is not reported.
    pub needs: &'static [&'static str],
}

impl<'a> Issue<'a> {
    pub fn new(path: impl IntoIterator<Item = Segment<'a>>, draft: Draft) -> Self {
        Self { path: path.into_iter().collect(), draft, needs: &[] }
    }

    pub fn needs(mut self, needs: &'static [&'static str]) -> Self {
        self.needs = needs;
        self
    }
}

/// All checks of a document.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let mut issues = layout_check::check(document);
    issues.extend(record_check::check(document));
    issues
}
