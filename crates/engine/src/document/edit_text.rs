//! Taking something out of a document's text so that every comment stays.

use std::ops::Range;
use toml_edit::{Document as Tree, Item, Table, TableLike, Value};

/// The text without what stands at a path; `None` when nothing does.
pub(super) fn take_out_text(text: &str, path: &[&str]) -> Option<String> {
    let tree = Tree::parse(text).ok()?;
    let (last, above) = path.split_last()?;
    let mut parent = tree.as_item();
    for key in above {
        parent = match parent {
            Item::ArrayOfTables(_) | Item::Value(Value::Array(_)) => parent.get(index(key)?)?,
            _ => parent.get(key)?,
        };
    }
    let mut statements = Vec::new();
    match parent {
        Item::Value(value) => return take_out_of_value(text, value, last),
        Item::ArrayOfTables(tables) => whole_table(tables.get(index(last)?)?, &mut statements),
        parent => {
            let table = parent.as_table_like()?;
            statement(table, last, table.get(last)?, &mut statements);
        }
    }
    statements.sort_by_key(|range| range.start);
    Some(without(text, &statements))
}

fn index(key: &str) -> Option<usize> {
    key.parse::<usize>().ok()?.checked_sub(1)
}

/// Places of `key = value`, or of a header and all that stands under it.
fn statement(table: &dyn TableLike, key: &str, item: &Item, found: &mut Vec<Range<usize>>) {
    match item {
        Item::Value(value) => {
            let start = table.key(key).and_then(toml_edit::Key::span);
            if let (Some(start), Some(end)) = (start, value.span()) {
                found.push(start.start..end.end);
            }
        }
        Item::Table(inner) => whole_table(inner, found),
        Item::ArrayOfTables(tables) => tables.iter().for_each(|inner| whole_table(inner, found)),
        Item::None => {}
    }
}

fn whole_table(table: &Table, found: &mut Vec<Range<usize>>) {
    if !table.is_implicit() && !table.is_dotted() {
        found.extend(table.span());
    }
    for (key, item) in table {
        statement(table, key, item, found);
    }
}

/// Cuts statements out, each with the beginning of its line; comments beside and inside stay.
fn without(text: &str, statements: &[Range<usize>]) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut at = 0;
    for statement in statements {
        let line_start = text[..statement.start].rfind('\n').map_or(0, |n| n + 1).max(at);
        kept.push_str(&text[at..line_start]);
        for comment in comments_in(&text[statement.clone()]) {
            kept.push_str(&comment);
            kept.push('\n');
        }
        let line_end = text[statement.end..].find('\n').map_or(text.len(), |n| statement.end + n + 1);
        let rest = text[statement.end..line_end].trim_start_matches([' ', '\t', ',']);
        at = if rest.trim().is_empty() { line_end } else { line_end - rest.len() };
    }
    kept.push_str(&text[at..]);
    kept
}

/// Takes an entry out of a list or a key out of a table on one line.
fn take_out_of_value(text: &str, value: &Value, key: &str) -> Option<String> {
    let span = value.span()?;
    let mut changed = value.clone().decorated("", "");
    // A clone of a parsed value still points into the text: write it out and read it alone.
    changed = text[span.clone()].parse::<Value>().ok().unwrap_or(changed);
    match &mut changed {
        Value::Array(array) => {
            let at = index(key)?;
            if at >= array.len() {
                return None;
            }
            array.remove(at);
        }
        Value::InlineTable(table) => {
            table.remove(key)?;
        }
        _ => return None,
    }
    let changed = changed.decorated("", "").to_string();
    let mut out = format!("{}{changed}{}", &text[..span.start], &text[span.end..]);
    let kept = comments_in(&changed);
    let lost: Vec<String> =
        comments_in(&text[span.clone()]).into_iter().filter(|c| !kept.contains(c)).collect();
    if !lost.is_empty() {
        let line_start = text[..span.start].rfind('\n').map_or(0, |n| n + 1);
        out.insert_str(line_start, &format!("{}\n", lost.join("\n")));
    }
    Some(out)
}

/// The comments of a piece of TOML, in order, each from its `#` to the end of its line.
pub(super) fn comments_in(text: &str) -> Vec<String> {
    let mut comments = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find(['#', '"', '\'']) {
        rest = &rest[at..];
        if rest.starts_with('#') {
            let end = rest.find('\n').unwrap_or(rest.len());
            comments.push(rest[..end].trim_end().to_owned());
            rest = &rest[end..];
        } else {
            rest = &rest[string_length(rest)..];
        }
    }
    comments
}

/// Length of the string that a text starts with.
fn string_length(text: &str) -> usize {
    let quote = &text[..1];
    let triple = quote.repeat(3);
    let (mark, several_lines) =
        if text.starts_with(&triple) { (triple.as_str(), true) } else { (quote, false) };
    let mut at = mark.len();
    while at < text.len() {
        let rest = &text[at..];
        if let Some(after) = rest.strip_prefix(mark) {
            // Up to two more quotes may belong to the text before the closing mark.
            let more = if several_lines {
                after.chars().take(2).take_while(|c| quote.starts_with(*c)).count()
            } else {
                0
            };
            return at + mark.len() + more;
        }
        let escaped = quote == "\"" && rest.starts_with('\\');
        if rest.starts_with('\n') && !several_lines {
            return at;
        }
        at += rest.chars().take(if escaped { 2 } else { 1 }).map(char::len_utf8).sum::<usize>();
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_found_outside_text_only() {
        let toml = "a = \"# no\" # yes\nb = '#' # two\nc = \"\"\"\n# no \"\" \\\"\"\"\" # three\nd = [ # four\n 1 ]\n";
        assert_eq!(comments_in(toml), ["# yes", "# two", "# three", "# four"]);
    }
}
