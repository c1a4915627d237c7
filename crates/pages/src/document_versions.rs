//! Versions of the document: one as it stood, and what changed from one to another.

use crate::document_sheet::Version;
use crate::frame::{Current, Page, View, framed};
use crate::words::{count, when};
use maud::{Markup, html};
use similar::{ChangeTag, TextDiff};

/// Lines of a text at most that are compared: the work grows with the square of what differs.
const LINES: usize = 20_000;
/// Lines that stay the same and are shown around those that differ.
const AROUND: usize = 3;

/// A version as it stood, to read. `versions` are all of them.
pub fn version_page(view: &View, version: &Version, text: &str, versions: &[Version]) -> String {
    let latest = versions.iter().find(|v| v.current).map_or(version.number, |v| v.number);
    let body = html! {
        div.page {
            p.small { a href=(view.at("document")) { "Document" } }
            h1 { "Version " (version.number) " of the document" }
            p { (made(version)) @if version.current { " It is the one in use." } @else { " Version " (latest) " is in use: this one is here to read." } }
            div.actions.no-print {
                @if !version.current { a.button href=(changes_at(view, version.number, latest)) { "What changed since" } }
                @if version.number > 1 { a.button href=(changes_at(view, version.number - 1, version.number)) { "What it changed" } }
            }
            pre.version-text tabindex="0" role="region" aria-label=(format!("Text of version {}", version.number)) { "\n" (text) }
        }
    };
    framed(view, &page(&format!("Document: version {}", version.number), view, body))
}

/// What changed from one version to another, line by line.
pub fn changes_page(
    view: &View,
    from: (&Version, &str),
    to: (&Version, &str),
    versions: &[Version],
) -> String {
    let ((before, old), (after, new)) = (from, to);
    let body = html! {
        div.page {
            p.small { a href=(view.at("document")) { "Document" } }
            h1 { "What changed from version " (before.number) " to version " (after.number) }
            (choose(view, before.number, after.number, versions))
            p { b { "Version " (before.number) ": " } (made(before)) }
            p { b { "Version " (after.number) ": " } (made(after)) }
            @if old.lines().count().max(new.lines().count()) > LINES {
                p { "A text of more than " (LINES) " lines is not compared here: open both versions." }
            } @else { (differences(before.number, after.number, old, new)) }
        }
    };
    let title = format!("Document: version {} to {}", before.number, after.number);
    framed(view, &page(&title, view, body))
}

fn page<'a>(title: &str, view: &View, body: Markup) -> Page<'a> {
    Page {
        title: "Versions of the document",
        current: Current::Other,
        sheet: format!("no. 14, {title}"),
        state: view.state(),
        scripts: &[],
        body,
    }
}

/// Address of what changed between two versions.
pub(crate) fn changes_at(view: &View, from: u64, to: u64) -> String {
    format!("{}?from={from}&to={to}", view.at("document/changes"))
}

/// Address of one version.
pub(crate) fn version_at(view: &View, number: u64) -> String {
    view.at(&format!("document/version/{number}"))
}

/// "By M., 2026-03-06 12:10: edited by hand."
fn made(version: &Version) -> String {
    let who = if version.who.is_empty() { String::new() } else { format!("by {}, ", version.who) };
    let note = if version.note.is_empty() { String::new() } else { format!(": {}", version.note) };
    crate::words::full_stop(&format!("{who}{}{note}", when(&version.when)))
}

fn choose(view: &View, from: u64, to: u64, versions: &[Version]) -> Markup {
    html! {
        form.range.no-print method="get" action=(view.at("document/changes")) {
            @for (name, words, here) in [("from", "From version", from), ("to", "To version", to)] {
                label { (words) select name=(name) {
                    @for version in versions { option value=(version.number) selected[version.number == here] { (version.number) @if version.current { " (in use)" } } }
                } }
            }
            button type="submit" { "Compare" }
        }
    }
}

fn differences(from: u64, to: u64, old: &str, new: &str) -> Markup {
    let diff = TextDiff::from_lines(old, new);
    let of = |tag| diff.iter_all_changes().filter(|change| change.tag() == tag).count();
    let (added, removed) = (of(ChangeTag::Insert), of(ChangeTag::Delete));
    html! {
        @if added + removed == 0 { p { "No line differs." } }
        @else {
            p { (count(added, "line", "lines")) " added, " (count(removed, "line", "lines")) " removed. A line that was changed stands twice: as it was, removed, and as it is, added." }
            div.scroll role="region" tabindex="0" aria-label="Lines that differ" { table.figures.changes aria-label="Lines that differ" {
                thead { tr {
                    th.n scope="col" { "line in " (from) } th.n scope="col" { "line in " (to) } th scope="col" { "what" } th scope="col" { "text" }
                } }
                @for group in diff.grouped_ops(AROUND) { tbody {
                    @for change in group.iter().flat_map(|op| diff.iter_changes(op)) { (line(change.tag(), change.old_index(), change.new_index(), change.value())) }
                } }
            } }
        }
    }
}

fn line(tag: ChangeTag, old: Option<usize>, new: Option<usize>, text: &str) -> Markup {
    let (class, word) = match tag {
        ChangeTag::Insert => ("added", "+ added"),
        ChangeTag::Delete => ("removed", "\u{2212} removed"),
        ChangeTag::Equal => ("same", ""),
    };
    let number = |at: Option<usize>| html! { td.n { @if let Some(at) = at { (at + 1) } } };
    html! {
        tr class=(class) { (number(old)) (number(new)) td { (word) } td { code { (text.trim_end_matches(['\n', '\r'])) } } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(old: &str, new: &str, has: &[&str]) {
        let said = differences(1, 2, old, new).into_string();
        for words in has {
            assert!(said.contains(words), "{words:?} is not in {said}");
        }
    }

    #[test]
    fn lines_that_differ_say_so_in_words() {
        check("a\nb\nc\n", "a\nb\nc\n", &["No line differs."]);
        check(
            "bore = \"89 mm\"\nstroke = \"80 mm\"\n",
            "bore = \"90 mm\"\nstroke = \"80 mm\"\n",
            &[
                "1 line added, 1 line removed.",
                "<td>\u{2212} removed</td><td><code>bore = &quot;89 mm&quot;</code>",
                "<td>+ added</td><td><code>bore = &quot;90 mm&quot;</code>",
            ],
        );
        // A builder's text is never markup.
        check("", "<b>\n", &["<code>&lt;b&gt;</code>", "1 line added, 0 lines removed."]);
    }
}
