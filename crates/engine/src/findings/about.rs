//! What a question asks, for the manual.

/// Explanation of one question, or of a few that are alike, under fixed headings.
#[derive(Clone, Copy, Debug)]
pub struct About {
    /// Names of the findings that it explains, as the program prints them.
    pub codes: &'static [&'static str],
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
