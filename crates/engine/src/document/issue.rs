//! What a check of meaning finds.

use super::diagnostic::Draft;
use super::path::Segment;

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
