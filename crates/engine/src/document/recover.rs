//! After a mistake in the TOML itself: blank the statement that has it and read on, so that the rest of the file
//! is checked in the same run. Blanks keep every other place where it is.

use super::diagnostic::{Code, Diagnostic, Draft, Source};
use std::ops::Range;
use toml_edit::{Document as Tree, TomlError};

/// Mistakes of this kind after which the rest is left for the next run.
const MAX_MISTAKES: usize = 20;

/// The tree of what can be read, and the mistakes.
pub(super) fn recover(source: &Source, first: &TomlError) -> (Option<Tree<String>>, Vec<Diagnostic>) {
    let mut text = source.text.to_owned();
    let mut error = first.clone();
    let mut mistakes: Vec<Diagnostic> = Vec::new();
    loop {
        let span = error.span().unwrap_or_default();
        mistakes.push(report(source, &error, span.clone()));
        let bad = statement(source, &text, span.start);
        let blank = text.as_bytes()[bad.clone()].iter().all(u8::is_ascii_whitespace);
        if blank || too_deep(&error) || mistakes.len() >= MAX_MISTAKES {
            return (None, mistakes);
        }
        blank_out(&mut text, bad);
        match Tree::parse(text.as_str()) {
            Ok(_) => return (Tree::parse(text).ok(), mistakes),
            Err(next) => error = next,
        }
    }
}

fn too_deep(error: &TomlError) -> bool {
    error.message().contains("recurs")
}

fn report(source: &Source, error: &TomlError, span: Range<usize>) -> Diagnostic {
    let message = error.message();
    let (what, expected) = match message.split_once(", expected ") {
        Some((what, expected)) => (what, Some(expected.replace('`', "")).filter(|e| e != "nothing")),
        None => (message, None),
    };
    let draft = match what {
        "duplicate key" => {
            Draft::error(Code::DuplicateKey, "this key or table stands twice").hint("keep one of the two")
        }
        _ if too_deep(error) => Draft::error(Code::TooDeep, "lists or tables are nested too deep here"),
        "string values must be quoted" => {
            return source.locate(
                Draft::error(Code::Syntax, "text must stand in quotes")
                    .hint("a size is written with its unit in quotes: \"88.012 mm\""),
                span,
            );
        }
        what if what.starts_with("invalid") && what.ends_with("string") => {
            Draft::error(Code::Syntax, "this text in quotes does not end as it should")
        }
        what => Draft::error(Code::Syntax, what.to_owned()),
    };
    let draft = match expected {
        Some(expected) if draft.expected.is_none() && !expected.is_empty() => draft.expected(expected),
        _ => draft,
    };
    source.locate(draft, span)
}

/// Bytes of the statement (key and value over one or more lines, or a table with its keys) that holds an offset.
fn statement(source: &Source, text: &str, offset: usize) -> Range<usize> {
    let mut lines = source.line_around(offset.min(text.len()));
    // An error at the very end belongs to the last line that is not empty.
    while lines.start > 0 && text[lines.clone()].trim().is_empty() {
        lines = source.line_around(lines.start - 1);
    }
    while lines.start > 0 && !starts_statement(&text[lines.clone()]) {
        lines.start = source.line_around(lines.start - 1).start;
    }
    // A list that was not closed swallows the next line: the mistake is the list's.
    if lines.start > 0 {
        let before = previous_statement(source, text, lines.start);
        if open_brackets(&text[before.clone()]) > 0 {
            lines.start = before.start;
        }
    }
    let header = text[lines.clone()].trim_start().starts_with('[') && !text[lines.clone()].contains('=');
    let ends = |line: &str| if header { line.starts_with('[') } else { starts_statement(line) };
    while lines.end < text.len() {
        let next = source.line_around(lines.end);
        if ends(&text[next.clone()]) {
            break;
        }
        lines.end = next.end;
    }
    lines
}

fn previous_statement(source: &Source, text: &str, start: usize) -> Range<usize> {
    let mut before = source.line_around(start - 1);
    while before.start > 0 && !starts_statement(&text[before.start..]) {
        before.start = source.line_around(before.start - 1).start;
    }
    before.start..start
}

/// `key = …` or `[table]` at the start of a line.
fn starts_statement(line: &str) -> bool {
    let line = line.lines().next().unwrap_or_default();
    if line.starts_with('[') {
        return true;
    }
    let key = line.split('=').next().unwrap_or_default();
    let bare = |c: char| c.is_ascii_alphanumeric() || " \t_-.\"'".contains(c);
    line.contains('=') && !key.trim().is_empty() && key.chars().all(bare)
}

/// Brackets and braces opened and not closed, outside quotes and comments.
fn open_brackets(statement: &str) -> i32 {
    let mut depth = 0;
    for line in statement.lines() {
        let mut quote = None;
        for c in line.chars() {
            match (quote, c) {
                (None, '#') => break,
                (None, '"' | '\'') => quote = Some(c),
                (Some(open), c) if open == c => quote = None,
                (None, '[' | '{') => depth += 1,
                (None, ']' | '}') => depth -= 1,
                _ => {}
            }
        }
    }
    depth
}

fn blank_out(text: &mut String, range: Range<usize>) {
    let blank: String = text[range.clone()].bytes().map(|b| if b == b'\n' { '\n' } else { ' ' }).collect();
    text.replace_range(range, &blank);
}
