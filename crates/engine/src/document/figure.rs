//! A written quantity that is not what was expected: which mistake it is and how to write it.

use super::diagnostic::{Code, Draft};
use super::shape::{QuantityShape, Sign};
use super::suggest::nearest;
use crate::quantity::{
    Dimension, QuantityError, UNITS, Unit, find_unit_of_any, parse_quantity, spellings_taken, units_of,
};

/// Any quantity with a unit, whatever it measures.
///
/// # Errors
/// As [`parse_quantity`]; where a dimension must be named in the message it is a length.
pub fn parse_any_quantity(text: &str) -> Result<(f64, &'static Unit), QuantityError> {
    let as_length = parse_quantity(text, Dimension::Length);
    let symbol = match &as_length {
        Err(QuantityError::WrongUnit { unit, .. }) => unit.clone(),
        _ => return as_length,
    };
    match find_unit_of_any(&symbol) {
        Some(unit) => parse_quantity(text, unit.dimension),
        None => as_length,
    }
}

/// Reads a quantity of that shape and checks its sign.
pub(super) fn read(text: &str, shape: QuantityShape) -> Result<(f64, &'static Unit), Box<Draft>> {
    let read = match shape.dimension {
        Some(dimension) => parse_quantity(text, dimension),
        None => parse_any_quantity(text),
    };
    let (si, unit) = read.map_err(|error| Box::new(draft(text, shape.dimension, &error)))?;
    let above = match shape.sign {
        _ if unit.dimension == Dimension::Temperature && si < 0.0 => "below absolute zero",
        Sign::ZeroOrMore if si < 0.0 => "negative, and this is zero or more",
        Sign::AboveZero if si <= 0.0 => "not above zero",
        _ => return Ok((si, unit)),
    };
    let draft = Draft::error(Code::Negative, format!("{} is {above}", text.trim()))
        .expected(expected(shape.dimension));
    Err(Box::new(draft))
}

/// "a length with its unit, such as …".
pub(super) fn expected(dimension: Option<Dimension>) -> String {
    match dimension {
        Some(Dimension::Ratio) => format!("a ratio in quotes, such as {}", Dimension::Ratio.example()),
        Some(Dimension::Money) => format!(
            "a price with its currency, such as {}, or `currency = \"EUR\"` (a code of ISO 4217) in [shop] for all prices",
            Dimension::Money.example()
        ),
        Some(d) => format!("{} with its unit, such as {}", d.with_article(), d.example()),
        None => "a figure with its unit, such as \"0.001 mm\" or \"0.1 g\"".to_owned(),
    }
}

fn draft(text: &str, dimension: Option<Dimension>, error: &QuantityError) -> Draft {
    let text = text.trim();
    if has_decimal_comma(text) {
        return Draft::error(Code::NotANumber, format!("{text} has a comma in its number"))
            .expected(expected(dimension))
            .hint(format!(
                "write a decimal point and no mark between thousands: \"{}\"",
                text.replace(',', ".")
            ));
    }
    let known = || UNITS.iter().filter(|u| dimension.is_none_or(|d| u.dimension == d)).map(|u| u.symbol);
    let draft = match error {
        QuantityError::BareNumber { .. } => {
            let what = if dimension == Some(Dimension::Money) { "currency" } else { "unit" };
            Draft::error(Code::BareNumber, format!("{text} has no {what}"))
                .hint_if(with_units(text, dimension))
        }
        QuantityError::WrongUnit { unit, .. } => Draft::error(Code::WrongUnit, wrong_unit(unit, dimension)),
        QuantityError::UnknownUnit { unit, .. } => {
            Draft::error(Code::UnknownUnit, format!("the unit {unit} is not known"))
                .nearest(same_letters(unit, known()).or_else(|| nearest(unit, known())))
        }
        QuantityError::NotANumber { .. } if text.is_empty() => {
            Draft::error(Code::NotANumber, "nothing is written here")
                .hint("leave the key out when it is not known")
        }
        QuantityError::NotANumber { .. } => {
            Draft::error(Code::NotANumber, format!("{text} does not start with a number"))
        }
        QuantityError::NotFinite { .. } => {
            Draft::error(Code::NotFinite, format!("{text} is no number that can be measured"))
        }
        QuantityError::DecimalComma { .. } => {
            Draft::error(Code::NotANumber, format!("{text} has a comma in its number"))
                .hint(format!("write a decimal point: \"{}\"", text.replace(',', ".")))
        }
        QuantityError::Negative { .. } => Draft::error(Code::Negative, format!("{text} is negative")),
    };
    let wrong_unit = matches!(error, QuantityError::WrongUnit { .. } | QuantityError::UnknownUnit { .. });
    match dimension.filter(|_| wrong_unit) {
        Some(dimension) => {
            draft.expected(format!("{}; taken are {}", expected(Some(dimension)), spellings_taken(dimension)))
        }
        None => draft.expected(expected(dimension)),
    }
}

fn wrong_unit(unit: &str, dimension: Option<Dimension>) -> String {
    let measures = find_unit_of_any(unit).map_or("", |u| u.dimension.word());
    let wanted = dimension.map_or("figure", Dimension::word);
    format!("{unit} is a unit of {}, not of {}", measures.replace('_', " "), wanted.replace('_', " "))
}

/// `MM` for `mm`: the same letters in another case.
fn same_letters(unit: &str, mut known: impl Iterator<Item = &'static str>) -> Option<String> {
    known.find(|symbol| symbol.eq_ignore_ascii_case(unit)).map(str::to_owned)
}

fn has_decimal_comma(text: &str) -> bool {
    let number = text.trim_start_matches(['-', '+']);
    let (before, after) = number.split_once(',').unwrap_or(("", ""));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    digits(before) && after.starts_with(|c: char| c.is_ascii_digit())
}

/// How a bare number is written in the first metric and the first inch unit.
pub(super) fn with_units(number: &str, dimension: Option<Dimension>) -> Option<String> {
    // Which currency a price is in cannot be guessed.
    let dimension = dimension.filter(|d| *d != Dimension::Money)?;
    if dimension == Dimension::Ratio {
        return Some(format!("write \"{number}\""));
    }
    let inch = match dimension {
        Dimension::Length => Some("in"),
        Dimension::Pressure => Some("psi"),
        Dimension::Force => Some("lbf"),
        Dimension::Stiffness => Some("lbf/in"),
        Dimension::Temperature => Some("°F"),
        Dimension::Torque => Some("lbf·ft"),
        Dimension::Power => Some("hp"),
        _ => None,
    };
    let units: Vec<String> = units_of(dimension)
        .next()
        .map(|unit| unit.symbol)
        .into_iter()
        .chain(inch)
        .map(|symbol| format!("\"{number} {symbol}\""))
        .collect();
    let which = if units.len() > 1 { ", whichever it is" } else { "" };
    Some(format!("write {}{which}", units.join(" or ")))
}
