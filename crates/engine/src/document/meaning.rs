//! Third stage of reading: what the file says against itself. A missing size is never a mistake.

use super::issue::Issue;
use super::model::Document;
use super::{breathing_check, layout_check, proportions, record_check};

/// All checks of a document.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let mut issues = layout_check::check(document);
    issues.extend(record_check::check(document));
    issues.extend(breathing_check::check(document));
    issues.extend(proportions::check(document));
    issues
}
