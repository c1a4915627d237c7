//! What is wrong with a file, as data: where, what was written, what is expected, what is nearest. Rendered as
//! plain text for people ([`render_text`]) and as JSON for programs ([`render_json`]).

use serde::Serialize;
use std::fmt::Write as _;
use std::ops::Range;

/// More than this many are not listed one by one.
pub const MAX_DIAGNOSTICS: usize = 200;

/// How much it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// The file is not read.
    Error,
    /// The file is read; a person should look at this place.
    Warning,
}

/// What kind of mistake it is. The word in JSON is the name in `snake_case`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// The text is not TOML, or not CSV.
    Syntax,
    /// The file is larger than is accepted.
    TooLarge,
    /// Lists or tables are nested too deep.
    TooDeep,
    /// A key or a table stands twice.
    DuplicateKey,
    /// A key that the format does not have there.
    UnknownKey,
    /// A word that is not one of those allowed.
    UnknownWord,
    /// Text where a list is expected, and the like.
    WrongType,
    /// A number without a unit.
    BareNumber,
    /// A unit that measures something else.
    WrongUnit,
    /// A unit that nobody knows.
    UnknownUnit,
    /// Text that does not start with a number.
    NotANumber,
    /// NaN, infinity, or too large to be meant.
    NotFinite,
    /// Negative where a size cannot be.
    Negative,
    /// A whole number outside its range.
    OutOfRange,
    /// The least is above the most.
    MinAboveMax,
    /// The aim lies outside the range.
    TargetOutside,
    /// The file does not say its format version.
    MissingVersion,
    /// The file was written for a newer program.
    NewerVersion,
    /// The file was brought up from an older version while it was read.
    OlderVersion,
    /// Prices in two currencies.
    MixedCurrencies,
    /// Arrangement, cylinders, banks and bank angle do not go together.
    Layout,
    /// A cylinder is named twice.
    DuplicateCylinder,
    /// A cylinder is named that the engine does not have.
    UnknownCylinder,
    /// A cylinder is not named.
    MissingCylinder,
    /// Points of a compressor map do not make a map.
    CompressorMap,
    /// Crank throws and cylinders do not go together.
    Throws,
    /// The throws and banks cannot fire in this order.
    ImpossibleFiringOrder,
    /// A reading or an operation that lacks what makes it one.
    Incomplete,
    /// A feature that this engine does not have.
    UnknownFeature,
    /// A name is used twice.
    DuplicateName,
    /// A shell grade, an operation or a gauge that is not described.
    UnknownName,
    /// A correction that does not point to an earlier reading of the same feature.
    BadCorrection,
    /// Not a date.
    BadDate,
    /// A column that the file needs and does not have.
    MissingColumn,
    /// A size out of all proportion to the others: a question, never a refusal.
    Proportion,
    /// A firing order that needs a crank unlike the usual one: a question, never a refusal.
    UnusualCrank,
    /// More than [`MAX_DIAGNOSTICS`] were found.
    TooMany,
}

/// A place in the file: bytes from `start` up to `end`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl From<Range<usize>> for Span {
    fn from(range: Range<usize>) -> Self {
        Self { start: range.start, end: range.end }
    }
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnostic {
    /// What kind of mistake.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// What is wrong, in one sentence.
    pub message: String,
    /// Name of the file.
    pub file: String,
    /// Line, 1 first.
    pub line: usize,
    /// Column in characters, 1 first.
    pub column: usize,
    /// Bytes of the file.
    pub span: Span,
    /// Key path, such as `layout.bore` or `readings.3.value` (entries of lists are counted from 1).
    pub path: String,
    /// The offending text as written.
    pub text: String,
    /// What is expected there.
    pub expected: Option<String>,
    /// Nearest known key, word or name.
    pub nearest: Option<String>,
    /// How to put it right.
    pub hint: Option<String>,
    /// The line of the file, cut to what fits on a screen.
    pub excerpt: Excerpt,
}

/// A line of the file with the place in it that is meant.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Excerpt {
    /// The line, or the part of a long line around the place.
    pub line: String,
    /// Characters before the place.
    pub before: usize,
    /// Characters of the place, at least 1.
    pub width: usize,
}

impl Diagnostic {
    /// True when the file is not read because of it.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// True when at least one is an error.
pub fn has_errors(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(Diagnostic::is_error)
}

/// A diagnostic before its place is looked up.
#[derive(Clone, Debug)]
pub(super) struct Draft {
    pub code: Code,
    pub severity: Severity,
    pub message: String,
    pub path: String,
    pub expected: Option<String>,
    pub nearest: Option<String>,
    pub hint: Option<String>,
}

impl Draft {
    pub fn error(code: Code, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            path: String::new(),
            expected: None,
            nearest: None,
            hint: None,
        }
    }

    pub fn warning(code: Code, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, message) }
    }

    pub fn path(mut self, path: impl Into<String>) -> Self {
        self.path = path.into();
        self
    }

    pub fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self
    }

    pub fn nearest(mut self, nearest: Option<String>) -> Self {
        self.nearest = nearest;
        self
    }

    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    pub fn hint_if(mut self, hint: Option<String>) -> Self {
        self.hint = hint.or(self.hint);
        self
    }
}

/// A file's text with the starts of its lines, for looking places up.
pub(super) struct Source<'a> {
    pub file: &'a str,
    pub text: &'a str,
    line_starts: Vec<usize>,
}

/// Characters of a line that are shown around a place.
const EXCERPT_WIDTH: usize = 110;
/// Characters of offending text that are quoted.
const QUOTE_WIDTH: usize = 60;

impl<'a> Source<'a> {
    pub fn new(file: &'a str, text: &'a str) -> Self {
        let newlines = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n').map(|(at, _)| at + 1);
        Self { file, text, line_starts: std::iter::once(0).chain(newlines).collect() }
    }

    /// Turns a draft into a diagnostic with its place.
    pub fn locate(&self, draft: Draft, span: Range<usize>) -> Diagnostic {
        let span = self.whole_characters(span);
        let line = self.line_starts.partition_point(|start| *start <= span.start) - 1;
        let line_start = self.line_starts[line];
        let line_end = self.text[line_start..].find('\n').map_or(self.text.len(), |at| line_start + at);
        let full = self.text[line_start..line_end].trim_end_matches('\r');
        let before = self.text[line_start..span.start].chars().count();
        let shown_end = span.end.min(line_start + full.len()).max(span.start);
        let width = self.text[span.start..shown_end].chars().count().max(1);
        let Draft { code, severity, message, path, expected, nearest, hint } = draft;
        Diagnostic {
            code,
            severity,
            message,
            file: self.file.to_owned(),
            line: line + 1,
            column: before + 1,
            text: quote(&self.text[span.clone()]),
            span: span.into(),
            path,
            expected,
            nearest,
            hint,
            excerpt: excerpt(full, before, width),
        }
    }

    /// The span inside the text, on character borders.
    fn whole_characters(&self, span: Range<usize>) -> Range<usize> {
        let floor = |at: usize| {
            let at = at.min(self.text.len());
            (0..=at).rev().find(|i| self.text.is_char_boundary(*i)).unwrap_or(0)
        };
        let start = floor(span.start);
        start..floor(span.end).max(start)
    }

    /// Byte offset of the first character of the line that holds `offset`, and one past its last.
    pub fn line_around(&self, offset: usize) -> Range<usize> {
        let line = self.line_starts.partition_point(|start| *start <= offset) - 1;
        let end = self.line_starts.get(line + 1).copied().unwrap_or(self.text.len());
        self.line_starts[line]..end
    }
}

/// Quotes at most [`QUOTE_WIDTH`] characters of the first line of a text.
pub(super) fn quote(text: &str) -> String {
    let first = text.lines().next().unwrap_or_default();
    if first.chars().count() > QUOTE_WIDTH {
        format!("{}…", first.chars().take(QUOTE_WIDTH).collect::<String>())
    } else {
        first.to_owned()
    }
}

fn excerpt(line: &str, before: usize, width: usize) -> Excerpt {
    let skip = if before + width <= EXCERPT_WIDTH { 0 } else { before.saturating_sub(EXCERPT_WIDTH / 3) };
    let line: String = line.chars().skip(skip).take(EXCERPT_WIDTH).collect();
    let before = before - skip;
    Excerpt { line, before, width: width.min(EXCERPT_WIDTH.saturating_sub(before).max(1)) }
}

/// Sorts by place and keeps the first [`MAX_DIAGNOSTICS`]; a last one says how many more there are.
pub(super) fn tidy(mut diagnostics: Vec<Diagnostic>) -> Vec<Diagnostic> {
    diagnostics.sort_by_key(|d| (d.span, d.severity, d.code));
    diagnostics.dedup();
    if diagnostics.len() > MAX_DIAGNOSTICS {
        let more = diagnostics.len() - MAX_DIAGNOSTICS;
        let severity = diagnostics[MAX_DIAGNOSTICS..].iter().map(|d| d.severity).min();
        let mut last = diagnostics[MAX_DIAGNOSTICS].clone();
        diagnostics.truncate(MAX_DIAGNOSTICS);
        last.code = Code::TooMany;
        last.severity = severity.unwrap_or(Severity::Error);
        last.message = format!("and {more} more from here on");
        (last.expected, last.nearest, last.hint) = (None, None, None);
        diagnostics.push(last);
    }
    diagnostics
}

/// Plain text for people: the place, the line, a caret under the offending text, what to write instead.
pub fn render_text(diagnostics: &[Diagnostic]) -> String {
    diagnostics.iter().map(render_one).collect::<Vec<_>>().join("\n")
}

fn render_one(diagnostic: &Diagnostic) -> String {
    let d = diagnostic;
    let word = match d.severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
    };
    let key = if d.path.is_empty() { String::new() } else { format!(" ({})", d.path) };
    let mut out = format!("{word} in {}, line {}, column {}{key}\n", d.file, d.line, d.column);
    let number = d.line.to_string();
    let gutter = " ".repeat(number.len());
    let pad: String =
        d.excerpt.line.chars().take(d.excerpt.before).map(|c| if c == '\t' { '\t' } else { ' ' }).collect();
    let carets = "^".repeat(d.excerpt.width);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "  {number} | {}", d.excerpt.line);
    let _ = writeln!(out, "  {gutter} | {pad}{carets} {}", d.message);
    for (label, text) in [("expected", &d.expected), ("nearest", &d.nearest), ("do", &d.hint)] {
        if let Some(text) = text {
            let _ = writeln!(out, "  {gutter}   {label}: {text}");
        }
    }
    out
}

/// A JSON list, one object for each.
pub fn render_json(diagnostics: &[Diagnostic]) -> serde_json::Value {
    serde_json::to_value(diagnostics).unwrap_or_default()
}
