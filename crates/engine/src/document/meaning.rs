//! Third stage of reading: what the file says against itself. A missing size is never a mistake.

use super::issue::Issue;
use super::model::Document;
use super::path::write_path;
use super::{barrels_check, breathing_check, layout_check, proportions, record_check};

/// All checks of a document.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let mut issues = layout_check::check(document);
    issues.extend(barrels_check::check(document));
    issues.extend(record_check::check(document));
    issues.extend(breathing_check::check(document));
    issues.extend(proportions::check(document));
    issues
}

/// Key paths of the sizes that are out of proportion to the others, and of an order that needs an unusual crank: a person
/// should look at them. Empty where nothing is asked.
pub fn doubtful_sizes(document: &Document) -> Vec<String> {
    let mut issues = proportions::check(document);
    issues.extend(super::usual_crank::check(document));
    issues.iter().map(|issue| write_path(&issue.path)).collect()
}
