//! First stage of reading: the TOML tree against the format, every mistake with its place.

use super::diagnostic::{Code, Diagnostic, Draft, Source};
use super::figure;
use super::path::{Segment, write_path};
use super::shape::{QuantityShape, Shape, TableShape};
use super::suggest::{elsewhere, nearest, very_alike};
use super::workshop::currency_code;
use crate::quantity::{Dimension, UnitSystem, display_unit, units_of};
use std::ops::Range;
use toml_edit::{ArrayOfTables, Item, TableLike, Value};

/// What the walk found.
pub(super) struct Walked {
    /// Mistakes.
    pub diagnostics: Vec<Diagnostic>,
    /// Paths that cannot be relied on, for the checks of meaning: those with a mistake, and the key that an
    /// unknown one was probably meant to be.
    pub damaged: Vec<String>,
    /// Currency of the prices, where there is one.
    pub currency: Option<&'static str>,
}

/// Checks a document's root table.
pub(super) fn walk<'a>(root: &'a Item, shape: &Shape, source: &'a Source) -> Walked {
    let stated = root.get("shop").and_then(|shop| shop.get("currency")).and_then(Item::as_str);
    let mut walker = Walker {
        source,
        path: Vec::new(),
        diagnostics: Vec::new(),
        damaged: Vec::new(),
        stated: stated.unwrap_or_default(),
        currency: None,
    };
    walker.node(Node::of(root), shape, 0..0);
    Walked { diagnostics: walker.diagnostics, damaged: walker.damaged, currency: walker.currency }
}

enum Node<'a> {
    Table(&'a dyn TableLike),
    Tables(&'a ArrayOfTables),
    Value(&'a Value),
    Nothing,
}

impl<'a> Node<'a> {
    fn of(item: &'a Item) -> Self {
        match item {
            Item::Table(table) => Self::Table(table),
            Item::ArrayOfTables(tables) => Self::Tables(tables),
            Item::Value(value) => Self::of_value(value),
            Item::None => Self::Nothing,
        }
    }

    fn of_value(value: &'a Value) -> Self {
        match value {
            Value::InlineTable(table) => Self::Table(table),
            value => Self::Value(value),
        }
    }
}

struct Walker<'a> {
    source: &'a Source<'a>,
    path: Vec<Segment<'a>>,
    diagnostics: Vec<Diagnostic>,
    damaged: Vec<String>,
    /// Currency of the workshop as stated, empty where it is not: a price without a currency is in this one.
    stated: &'a str,
    /// Currency that the first price names.
    currency: Option<&'static str>,
}

impl<'a> Walker<'a> {
    fn report(&mut self, draft: Draft, span: Range<usize>) {
        let path = write_path(&self.path);
        self.damaged.push(path.clone());
        self.diagnostics.push(self.source.locate(draft.path(path), span));
    }

    fn node(&mut self, node: Node<'a>, shape: &Shape, span: Range<usize>) {
        match (node, shape) {
            (Node::Table(table), Shape::Table(shape)) => self.table(table, shape, span),
            (Node::Table(table), Shape::Map(inner)) => self.map(table, inner),
            (Node::Tables(tables), Shape::List(inner)) => {
                self.list(tables.iter().map(|t| (Node::Table(t), t.span())), inner);
            }
            (Node::Value(Value::Array(array)), Shape::List(inner)) => {
                self.list(array.iter().map(|v| (Node::of_value(v), v.span())), inner);
            }
            (Node::Value(value), shape) => self.value(value, shape, span),
            (Node::Table(_), shape) => self.wrong_type("a table", shape, span),
            (Node::Tables(_), shape) => self.wrong_type("a list of tables", shape, span),
            (Node::Nothing, _) => {}
        }
    }

    fn table(&mut self, table: &'a dyn TableLike, shape: &TableShape, span: Range<usize>) {
        for (key, item) in table.iter() {
            let key_span = table.key(key).and_then(toml_edit::Key::span).unwrap_or_else(|| span.clone());
            self.path.push(Segment::Key(key));
            match shape.fields.get(key) {
                Some(field) => self.node(Node::of(item), &field.shape, place(item, key_span)),
                None => self.unknown_key(key, shape, key_span),
            }
            self.path.pop();
        }
        self.range(table, shape);
    }

    fn map(&mut self, table: &'a dyn TableLike, inner: &Shape) {
        for (key, item) in table.iter() {
            let key_span = table.key(key).and_then(toml_edit::Key::span).unwrap_or_default();
            self.path.push(Segment::Key(key));
            self.node(Node::of(item), inner, place(item, key_span));
            self.path.pop();
        }
    }

    fn list(&mut self, entries: impl Iterator<Item = (Node<'a>, Option<Range<usize>>)>, inner: &Shape) {
        for (at, (node, span)) in entries.enumerate() {
            self.path.push(Segment::Entry(at + 1));
            self.node(node, inner, span.unwrap_or_default());
            self.path.pop();
        }
    }

    fn value(&mut self, value: &'a Value, shape: &Shape, span: Range<usize>) {
        match (shape, value) {
            (Shape::Quantity(shape), value) => self.quantity(value, *shape, span),
            (Shape::Words(words), Value::String(text)) => self.word(text.value(), words, span),
            (Shape::Integer { min, max }, Value::Integer(number)) => {
                self.integer(*number.value(), *min, *max, span);
            }
            (Shape::Number { min }, Value::Float(number)) => self.number(*number.value(), *min, span),
            (Shape::Number { min }, Value::Integer(number)) => {
                self.number(*number.value() as f64, *min, span);
            }
            (Shape::Text, Value::String(_)) | (Shape::Flag, Value::Boolean(_)) => {}
            (shape, value) => self.wrong_type(type_of(value), shape, span),
        }
    }

    fn quantity(&mut self, value: &Value, shape: QuantityShape, span: Range<usize>) {
        let written = quoted_text(self.source, &span);
        let draft = match value {
            Value::String(text) if shape.may_be_empty && text.value().trim().is_empty() => return,
            Value::String(text) => match figure::read(text.value(), shape) {
                Ok((_, unit)) => return self.money(unit.dimension, unit.symbol, span),
                Err(draft) if draft.code == Code::BareNumber && self.takes_bare(shape) => {
                    match figure::read(&format!("{} {}", text.value(), self.currency_known()), shape) {
                        Ok(_) => return,
                        Err(draft) => *draft,
                    }
                }
                Err(draft) => *draft,
            },
            Value::Float(number) if !number.value().is_finite() => {
                Draft::error(Code::NotFinite, format!("{written} is no number that can be measured"))
                    .expected(figure::expected(shape.dimension))
            }
            Value::Integer(_) | Value::Float(_) => {
                Draft::error(Code::BareNumber, format!("{written} has no unit"))
                    .expected(figure::expected(shape.dimension))
                    .hint_if(figure::with_units(&written, shape.dimension))
            }
            value => return self.wrong_type(type_of(value), &Shape::Quantity(shape), span),
        };
        self.report(draft, span);
    }

    /// A price needs no currency of its own where the workshop states one.
    fn takes_bare(&self, shape: QuantityShape) -> bool {
        shape.dimension == Some(Dimension::Money) && !self.stated.trim().is_empty()
    }

    /// The currency of the workshop; any where its code is not known, which is said at its own place.
    fn currency_known(&self) -> &'static str {
        let stated = self.stated.trim();
        let mut known = units_of(Dimension::Money).map(|unit| unit.symbol);
        known
            .find(|code| *code == stated)
            .unwrap_or_else(|| display_unit(Dimension::Money, UnitSystem::Metric).symbol)
    }

    /// Sums are only right in one currency.
    fn money(&mut self, dimension: Dimension, symbol: &'static str, span: Range<usize>) {
        if dimension != Dimension::Money {
            return;
        }
        let first = *self.currency.get_or_insert(symbol);
        let stated = self.stated.trim();
        if !stated.is_empty() && currency_code(stated) != Some(symbol) {
            let message = format!(
                "this price is in {symbol}, the workshop's currency is {}",
                super::diagnostic::quote(stated)
            );
            let hint = "write the price in the currency of the workshop, or put `currency` in [shop] right";
            self.report(Draft::error(Code::MixedCurrencies, message).hint(hint), span);
        } else if first != symbol {
            let message = format!("this price is in {symbol}, others are in {first}");
            self.report(
                Draft::error(Code::MixedCurrencies, message).hint("write all prices in one currency"),
                span,
            );
        }
    }

    fn word(&mut self, text: &str, words: &[(String, String)], span: Range<usize>) {
        if words.iter().any(|(word, _)| word == text) {
            return;
        }
        let list: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
        let draft = Draft::error(
            Code::UnknownWord,
            format!("\"{}\" is not one of the words allowed here", super::diagnostic::quote(text)),
        )
        .expected(format!("one of {}", list.join(", ")))
        .nearest(nearest(text, list));
        self.report(draft, span);
    }

    fn integer(&mut self, number: i64, min: i64, max: i64, span: Range<usize>) {
        let code = if number < 0 { Code::Negative } else { Code::OutOfRange };
        if !(min..=max).contains(&number) {
            let expected = if max == i64::from(u32::MAX) {
                format!("a whole number from {min}")
            } else {
                format!("a whole number from {min} to {max}")
            };
            self.report(
                Draft::error(code, format!("{number} is outside what is possible here")).expected(expected),
                span,
            );
        }
    }

    fn number(&mut self, number: f64, min: f64, span: Range<usize>) {
        if !number.is_finite() {
            let draft = Draft::error(Code::NotFinite, format!("{number} is no number that can be measured"));
            self.report(draft.expected("a number"), span);
        } else if number < min {
            let draft = Draft::error(Code::Negative, format!("{number} is less than {min}"));
            self.report(draft.expected(format!("a number, {min} or more")), span);
        }
    }

    fn wrong_type(&mut self, got: &str, shape: &Shape, span: Range<usize>) {
        let written = quoted_text(self.source, &span);
        let (expected, hint) = wanted(shape, &written);
        self.report(
            Draft::error(Code::WrongType, format!("this is {got}")).expected(expected).hint_if(hint),
            span,
        );
    }

    fn unknown_key(&mut self, key: &str, shape: &TableShape, span: Range<usize>) {
        let table = write_path(&self.path[..self.path.len() - 1]);
        let place =
            if table.is_empty() { "at the top of the file".to_owned() } else { format!("in {table}") };
        let shown = super::diagnostic::quote(key);
        let near = nearest(key, shape.fields.keys().map(String::as_str));
        let sure = near.as_deref().is_some_and(|near| very_alike(key, near));
        let other = if sure { None } else { elsewhere(key) };
        let mut draft = Draft::error(Code::UnknownKey, format!("there is no key `{shown}` {place}"));
        match (&near, other) {
            // The very word exists, only in another table.
            (near, Some((word, tables))) if word == key || near.is_none() => {
                draft = draft.hint(format!("`{word}` belongs in {}", tables.join(" or ")));
            }
            (None, None) => {
                let known: Vec<&str> = shape.fields.keys().map(String::as_str).collect();
                draft = draft.expected(format!("one of {}", known.join(", ")));
            }
            _ => {}
        }
        if let Some(near) = &near {
            let meant = if table.is_empty() { near.clone() } else { format!("{table}.{near}") };
            self.damaged.push(meant);
        }
        self.report(draft.nearest(near), span);
    }

    /// The least is not above the most, and the aim lies between.
    fn range(&mut self, table: &'a dyn TableLike, shape: &TableShape) {
        let read = |key: &str| {
            let Some(Shape::Quantity(quantity)) = shape.fields.get(key).map(|f| &f.shape) else {
                return None;
            };
            let item = table.get(key)?;
            let (si, _) = figure::read(item.as_str()?, *quantity).ok()?;
            Some((si, item.span()?))
        };
        for (low, high) in [("min", "max"), ("from", "to")] {
            if let (Some((min, min_span)), Some((max, max_span))) = (read(low), read(high))
                && min > max
            {
                let [least, most] = [min_span.clone(), max_span].map(|span| quoted_text(self.source, &span));
                let message = format!("`{low}` = {least} is above `{high}` = {most}");
                let draft = Draft::error(Code::MinAboveMax, message)
                    .expected(format!("`{low}` no larger than `{high}`"))
                    .hint("swap them, or put the wrong one right");
                self.path.push(Segment::Key(low));
                self.report(draft, min_span);
                self.path.pop();
                return;
            }
        }
        if let Some((target, span)) = read("target") {
            let outside = read("min").is_some_and(|(min, _)| target < min)
                || read("max").is_some_and(|(max, _)| target > max);
            if outside {
                self.path.push(Segment::Key("target"));
                let draft = Draft::error(Code::TargetOutside, "the target lies outside its own range");
                self.report(draft.expected("a target between `min` and `max`"), span);
                self.path.pop();
            }
        }
    }
}

/// The place of a value; of a table that has none of its own, the place of its key.
fn place(item: &Item, key_span: Range<usize>) -> Range<usize> {
    match item {
        Item::Value(value) => value.span().unwrap_or(key_span),
        _ => key_span,
    }
}

fn quoted_text(source: &Source, span: &Range<usize>) -> String {
    super::diagnostic::quote(source.text.get(span.clone()).unwrap_or_default())
}

fn type_of(value: &Value) -> &'static str {
    match value {
        Value::String(_) => "text",
        Value::Integer(_) => "a whole number",
        Value::Float(_) => "a number with a point",
        Value::Boolean(_) => "true or false",
        Value::Datetime(_) => "a date without quotes",
        Value::Array(_) => "a list",
        Value::InlineTable(_) => "a table",
    }
}

/// What a shape wants, and how the written text could become it.
fn wanted(shape: &Shape, written: &str) -> (String, Option<String>) {
    let unquoted = written.trim_matches(['"', '\'']);
    match shape {
        Shape::Table(table) => {
            let keys: Vec<&str> = table.fields.keys().map(String::as_str).take(6).collect();
            let example = match keys.as_slice() {
                _ if table.is_range() => "such as { min = \"0.046 mm\", max = \"0.062 mm\" }".to_owned(),
                keys => format!("with keys such as {}", keys.join(", ")),
            };
            (format!("a table {example}"), None)
        }
        Shape::Map(_) => ("a table of names".into(), None),
        Shape::List(_) => ("a list in square brackets".into(), Some(format!("write [{written}]"))),
        Shape::Quantity(quantity) => (figure::expected(quantity.dimension), None),
        Shape::Words(words) => {
            let list: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
            (format!("one of {}, in quotes", list.join(", ")), None)
        }
        Shape::Text => (
            "text in quotes".into(),
            (!written.starts_with(['[', '{'])).then(|| format!("write \"{unquoted}\"")),
        ),
        Shape::Integer { .. } => {
            let whole = unquoted.parse::<f64>().ok().filter(|n| n.fract() == 0.0 && n.abs() < 1e9);
            ("a whole number without quotes".into(), whole.map(|n| format!("write {n:.0}")))
        }
        Shape::Number { .. } => {
            ("a number without quotes".into(), unquoted.parse::<f64>().ok().map(|n| format!("write {n}")))
        }
        Shape::Flag => ("true or false without quotes".into(), None),
        Shape::Unclear => ("something else".into(), None),
    }
}
