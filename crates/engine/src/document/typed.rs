//! What a person types into a form, as the value for a key: a bare number takes the unit that the field shows.

use super::edit::{EditValue, keys_of};
use super::figure::parse_any_quantity;
use super::shape::{Shape, shape_at};
use crate::quantity::{Dimension, QuantityError, UnitSystem, display_unit, find_unit_of_any, parse_quantity};

/// What a person typed into a form, as the value for that key: a bare number gets the unit of their choice, `1-3-4-2`
/// becomes a list. What cannot be read stays text, and the check after the change says what is wrong with it.
pub fn typed_value(path: &str, typed: &str, units: UnitSystem) -> EditValue {
    let keys = keys_of(path).unwrap_or_default();
    match shape_at(keys.iter().map(String::as_str)) {
        Some((shape, _)) => typed_as(shape, typed.trim(), units),
        None => EditValue::Text(typed.trim().to_owned()),
    }
}

fn typed_as(shape: &Shape, typed: &str, units: UnitSystem) -> EditValue {
    let text = || EditValue::Text(typed.to_owned());
    match shape {
        Shape::Quantity(quantity) => {
            typed_quantity(typed, quantity.dimension, units).map_or_else(|_| text(), EditValue::Text)
        }
        Shape::Integer { .. } => typed.parse().map_or_else(|_| text(), EditValue::Integer),
        Shape::Number { .. } => typed.replace(',', ".").parse().map_or_else(|_| text(), EditValue::Number),
        Shape::Flag => match typed.to_lowercase().as_str() {
            "true" | "yes" | "on" | "1" => EditValue::Flag(true),
            "false" | "no" | "off" | "0" | "" => EditValue::Flag(false),
            _ => text(),
        },
        Shape::List(inner) => {
            let separators: &[char] = match **inner {
                Shape::Integer { .. } => &[',', ';', '-', ' ', '/'],
                Shape::List(_) => &['/', ';', '|'],
                _ => return typed_list(inner, typed, units).map_or_else(text, EditValue::List),
            };
            let entries = typed.split(separators).map(str::trim).filter(|entry| !entry.is_empty());
            EditValue::List(entries.map(|entry| typed_as(inner, entry, units)).collect())
        }
        _ => text(),
    }
}

fn typed_list(inner: &Shape, typed: &str, units: UnitSystem) -> Option<Vec<EditValue>> {
    let entries = typed_entries(typed)?;
    Some(entries.iter().map(|entry| typed_as(inner, entry, units)).collect())
}

/// A quantity as a person types it, as the document writes it: a bare number takes the unit in which that dimension is
/// shown, a decimal comma becomes a point. `None` as dimension: any, and the unit must be written; so must a currency.
///
/// # Errors
/// [`QuantityError`]; a comma before three figures is refused where it could as well part thousands (`8,200`).
pub fn typed_quantity(
    typed: &str,
    dimension: Option<Dimension>,
    units: UnitSystem,
) -> Result<String, QuantityError> {
    let text = with_point(&without_quotes(typed), dimension);
    let Some(dimension) = dimension else { return parse_any_quantity(&text).map(|_| text) };
    match parse_quantity(&text, dimension) {
        Ok(_) => Ok(text),
        Err(QuantityError::BareNumber { .. }) if dimension != Dimension::Money => {
            let text = format!("{text} {}", display_unit(dimension, units).symbol);
            parse_quantity(&text, dimension).map(|_| text)
        }
        Err(error) => Err(error),
    }
}

/// As [`typed_quantity`], where the unit or the currency that a bare number takes is known from elsewhere: from the gauge, from
/// the workshop.
///
/// # Errors
/// [`QuantityError`].
pub fn typed_in_unit(typed: &str, dimension: Option<Dimension>, unit: &str) -> Result<String, QuantityError> {
    let of_unit = find_unit_of_any(unit).map(|u| u.dimension);
    let text = with_point(&without_quotes(typed), dimension.or(of_unit));
    let read = |text: &str| match dimension {
        Some(dimension) => parse_quantity(text, dimension),
        None => parse_any_quantity(text),
    };
    match read(&text) {
        Ok(_) => Ok(text),
        Err(QuantityError::BareNumber { .. }) => {
            let text = format!("{text} {unit}");
            read(&text).map(|_| text)
        }
        Err(error) => Err(error),
    }
}

/// `9.60"` as `9.60 in`: a quotation mark inside a text of the document is hard to read.
fn without_quotes(typed: &str) -> String {
    let typed = typed.trim();
    match typed.strip_suffix(['"', '\u{2033}', '\u{201d}']).map(str::trim_end) {
        Some(number) if number.ends_with(|c: char| c.is_ascii_digit() || c == '.') => format!("{number} in"),
        _ => typed.to_owned(),
    }
}

/// A decimal comma as a point. Lengths are written to the thousandth, so there three figures behind it are decimals;
/// elsewhere they are only behind a nought.
fn with_point(typed: &str, dimension: Option<Dimension>) -> String {
    let Some((before, after)) = typed.split_once(',') else { return typed.to_owned() };
    let whole = before.trim_start_matches(['+', '-', '\u{2212}']);
    let decimals = after.bytes().take_while(u8::is_ascii_digit).count();
    let one_comma = !whole.is_empty()
        && whole.bytes().all(|b| b.is_ascii_digit())
        && decimals > 0
        && !after[decimals..].starts_with([',', '.']);
    let thousands = decimals == 3 && whole != "0" && dimension != Some(Dimension::Length);
    if one_comma && !thousands { format!("{before}.{after}") } else { typed.to_owned() }
}

/// The entries of a list of sizes: semicolons part them, or commas where no comma can be a decimal mark. A unit behind
/// the last entry alone is that of all: `50, 100 thou`. `None` where a comma could be either, as in `1,5` or `1,5, 3`.
pub fn typed_entries(typed: &str) -> Option<Vec<String>> {
    // A separator behind the last entry parts nothing.
    let typed = typed.trim().trim_end_matches([',', ';', ' ']);
    let separator = if typed.contains(';') { ';' } else { ',' };
    let digit = |b: Option<&u8>| b.is_some_and(u8::is_ascii_digit);
    let bytes = typed.as_bytes();
    let within_digits =
        |at: &usize| digit(at.checked_sub(1).and_then(|at| bytes.get(at))) && digit(bytes.get(at + 1));
    let commas: Vec<usize> = typed.match_indices(',').map(|(at, _)| at).collect();
    let tight = commas.iter().filter(|at| within_digits(at)).count();
    let all_part = tight == 0 || typed.contains('.') || (tight > 1 && tight == commas.len());
    if separator == ',' && !all_part {
        return None;
    }
    let entries = typed.split(separator).map(str::trim).filter(|entry| !entry.is_empty()).collect();
    Some(with_shared_unit(entries))
}

fn with_shared_unit(entries: Vec<&str>) -> Vec<String> {
    let behind = |entry: &str| {
        let number = |c: char| c.is_ascii_digit() || ".,+-\u{2212}".contains(c);
        entry.trim_start_matches(number).trim().to_owned()
    };
    let shared = entries.split_last().and_then(|(last, others)| {
        let unit = behind(last);
        (!unit.is_empty() && others.iter().all(|entry| behind(entry).is_empty())).then_some(unit)
    });
    let alone = |entry: &&str| behind(entry).is_empty();
    let with_unit = |entry: &str| match &shared {
        Some(unit) if alone(&entry) => format!("{entry} {unit}"),
        _ => entry.to_owned(),
    };
    entries.into_iter().map(with_unit).collect()
}
