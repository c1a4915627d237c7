//! What a question asks, for the manual.

/// Explanation of one question under fixed headings.
#[derive(Clone, Copy, Debug)]
pub struct About {
    /// Code of the finding.
    pub code: &'static str,
    /// What it asks.
    pub asks: &'static str,
    /// Why it matters.
    pub matters: &'static str,
    /// How it is computed.
    pub computed: &'static str,
    /// What to do.
    pub to_do: &'static str,
    /// Source.
    pub source: &'static str,
}
