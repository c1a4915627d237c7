//! Words and figures as pages print them.

use engine::findings::{
    Finding, Input, LimitFigures, LimitUsed, Measured, Verdict, exact_figure, limit_figures, percent,
    usual_decimals,
};
use engine::quantity::{
    Dimension, Phrase, UnitSystem, format_fixed, format_money, format_value, format_with_uncertainty,
};
use maud::{Markup, html};
use std::fmt::Write as _;

/// "1 action", "7 actions".
pub(crate) use engine::quantity::counted as count;

/// What a field of the document is called, and a sentence with a large first letter.
pub(crate) use engine::document::{field_words, sentence};

/// Writes text so that it may stand in an address.
pub(crate) fn path_query(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => out.push(byte as char),
            _ => {
                let _ = write!(out, "%{byte:02X}");
            }
        }
    }
    out
}

/// A value in the reader's unit, to its usual place.
pub(crate) fn plain(si: f64, dimension: Dimension, units: UnitSystem) -> String {
    signed(&format_value(si, dimension, units, usual_decimals(dimension, units)))
}

/// Text as it is read: a hyphen in front of a number is a minus sign. A dash between figures, as in a date, stays.
pub(crate) fn signed(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 4);
    let mut before = ' ';
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        let sign = letter == '-'
            && matches!(before, ' ' | '(' | '\u{a0}' | '\u{b1}')
            && letters.peek().is_some_and(char::is_ascii_digit);
        out.push(if sign { '\u{2212}' } else { letter });
        before = letter;
    }
    out
}

/// A number as it is printed: thousands are parted by a comma from 10,000 on ("8200", "135,600"), and a hyphen in front is a minus.
pub(crate) fn grouped(number: &str) -> String {
    let (sign, digits) = match number.strip_prefix(['-', '\u{2212}']) {
        Some(digits) => ("\u{2212}", digits),
        None => ("", number),
    };
    let whole = digits.bytes().take_while(u8::is_ascii_digit).count();
    let parted: String = digits[..whole]
        .char_indices()
        .flat_map(|(i, digit)| {
            let comma = whole >= 5 && i > 0 && (whole - i).is_multiple_of(3);
            comma.then_some(',').into_iter().chain([digit])
        })
        .collect();
    format!("{sign}{parted}{}", &digits[whole..])
}

/// Is this finding a probability?
pub(crate) fn is_probability(finding: &Finding) -> bool {
    let ratio = finding.value.is_some_and(|v| v.dimension == Dimension::Ratio);
    ratio && finding.code.contains("butt")
}

/// Value ± U with unit.
pub(crate) fn measured(value: &Measured, units: UnitSystem) -> String {
    if value.expanded > 0.0 {
        signed(&format_with_uncertainty(value.value, value.expanded, value.dimension, units))
    } else {
        plain(value.value, value.dimension, units)
    }
}

/// An input: with its uncertainty, or with the digits to work with where it is exact.
pub(crate) fn input_value(input: &Input, units: UnitSystem) -> String {
    let value = &input.value;
    if value.expanded > 0.0 {
        measured(value, units)
    } else {
        signed(&exact_figure(value.value, value.dimension, units))
    }
}

/// The value of a finding, a probability in per cent.
pub(crate) fn finding_value(finding: &Finding, units: UnitSystem) -> Option<String> {
    let value = finding.value.as_ref()?;
    if is_probability(finding) {
        return Some(percent(value.value));
    }
    Some(measured(value, units))
}

/// "0.046 to 0.060 mm", "at least 2.80 mm", "at most 0.010 mm".
pub(crate) fn limit(
    limit: &LimitUsed,
    value: Option<&Measured>,
    finding: &Finding,
    units: UnitSystem,
) -> String {
    let Some(dimension) = value.map(|v| v.dimension).or_else(|| dimension_of_limit(&limit.name)) else {
        return String::new();
    };
    if is_probability(finding) {
        return match (limit.min, limit.max) {
            (_, Some(max)) => format!("at most {}", percent(max)),
            (Some(min), None) => format!("at least {}", percent(min)),
            (None, None) => String::new(),
        };
    }
    let LimitFigures { min, max, unit } = limit_figures(limit, value, dimension, units);
    let text = match (min, max) {
        (Some(min), Some(max)) => format!("{min} to {max}"),
        (Some(min), None) => format!("at least {min}"),
        (None, Some(max)) => format!("at most {max}"),
        (None, None) => return String::new(),
    };
    signed(format!("{text} {unit}").trim_end())
}

fn dimension_of_limit(name: &str) -> Option<Dimension> {
    engine::document::Limits::NAMES.iter().find(|(n, _)| *n == name).map(|(_, d)| *d)
}

/// The verdict as a word; what stops the build carries the accent, and `stale` stands beside it.
pub(crate) fn verdict(finding: &Finding) -> Markup {
    html! {
        @if finding.stale { b.word.stops[finding.verdict == Verdict::Bad] { "stale, was " (finding.verdict.word()) } }
        @else { b.word.stops[finding.verdict == Verdict::Bad] { (finding.verdict.word()) } }
        @if finding.value.as_ref().is_some_and(|v| v.predicted) { " " span.quiet { "predicted" } }
    }
}

/// Verdict, value and limit in one line.
pub(crate) fn verdict_line(finding: &Finding, units: UnitSystem) -> Markup {
    html! {
        (verdict(finding))
        @if let Some(value) = finding_value(finding, units) {
            " " span.value-of { (value) }
            @if let Some(allowed) = allowed(finding, units) { ", " span.value-of.quiet { (allowed) } }
        }
    }
}

/// What is allowed, as it stands behind a value: "at most 0.010 mm", "allowed 0.046 to 0.060 mm". None where no limit is known.
fn allowed(finding: &Finding, units: UnitSystem) -> Option<String> {
    let used = finding.limit.as_ref()?;
    let words = limit(used, finding.value.as_ref(), finding, units);
    match (used.min, used.max) {
        _ if words.is_empty() => None,
        (Some(_), Some(_)) if !is_probability(finding) => Some(format!("allowed {words}")),
        _ => Some(words),
    }
}

/// What to do first, in the reader's units; empty when nothing is to do.
pub(crate) fn first_action(finding: &Finding, units: UnitSystem) -> Option<String> {
    finding.actions.first().map(|a| prose(&a.text, units))
}

/// An amount of money with its currency.
pub(crate) fn money(amount: f64, currency: &str) -> String {
    format_money(amount, currency)
}

/// A phrase in the reader's units, its numbers with a minus sign.
pub(crate) fn printed(phrase: &Phrase, units: UnitSystem) -> String {
    signed(&phrase.print(units))
}

/// A phrase as a sentence: first letter large, a full stop at the end.
pub(crate) fn prose(phrase: &Phrase, units: UnitSystem) -> String {
    full_stop(&printed(phrase, units))
}

/// First letter large, a full stop at the end.
pub(crate) fn full_stop(text: &str) -> String {
    let text = sentence(text.trim());
    if text.is_empty() || text.ends_with(['.', '?', '!']) { text } else { text + "." }
}

/// "3 days", "half a day".
pub(crate) fn days(days: f64) -> String {
    if (days - 1.0).abs() < 1e-9 {
        "1 day".to_owned()
    } else {
        let decimals = usize::from((days - days.round()).abs() > 1e-9);
        format!("{} days", format_fixed(days, decimals))
    }
}

/// A time as the log has it (RFC 3339), to the minute: "2026-03-06 12:10".
pub(crate) fn when(time: &str) -> String {
    match time.split_once('T') {
        Some((date, clock)) if clock.len() >= 5 => format!("{date} {}", clock.get(..5).unwrap_or(clock)),
        _ => time.to_owned(),
    }
}

/// A caution as it stands below what it is about; nothing where there is none.
pub(crate) fn caution(said: Option<&str>) -> Markup {
    html! { @if let Some(words) = said.filter(|words| !words.is_empty()) { p.caution { "Caution: " (words) } } }
}

/// `deck_skim` → "deck skim".
pub(crate) fn spaced(name: &str) -> String {
    name.replace('_', " ")
}

/// A description of the document for a reader: words of the file stand as words, without back quotes and underscores.
pub(crate) fn reader_words(text: &str) -> String {
    let part = |(i, part): (usize, &str)| if i % 2 == 1 { spaced(part) } else { part.to_owned() };
    text.split('`').enumerate().map(part).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_carry_any_text() {
        assert_eq!(path_query("bore_taper/2 a&b"), "bore_taper%2F2%20a%26b");
    }

    #[test]
    fn probabilities_never_round_to_certainty() {
        assert_eq!(percent(0.999_95), "over 99.9 %");
        assert_eq!(percent(0.000_2), "under 0.1 %");
        assert_eq!(percent(0.82), "82 %");
        assert_eq!(percent(0.997), "99.7 %");
        assert_eq!(percent(0.0), "0 %");
    }

    #[test]
    fn a_hyphen_before_a_number_is_a_minus() {
        assert_eq!(signed("-0.08 ± 0.09 mm"), "\u{2212}0.08 ± 0.09 mm");
        assert_eq!(signed("from -0.02 to 0.02"), "from \u{2212}0.02 to 0.02");
        assert_eq!(signed("5W-50, two-point, 2026-03-06, 1e-6/K"), "5W-50, two-point, 2026-03-06, 1e-6/K");
    }

    #[test]
    fn thousands_are_parted_from_ten_thousand_on() {
        assert_eq!(grouped("8200"), "8200");
        assert_eq!(grouped("135600"), "135,600");
        assert_eq!(grouped("-23840.5"), "\u{2212}23,840.5");
        assert_eq!(grouped("1234567 rev/min"), "1,234,567 rev/min");
        assert_eq!(grouped("-0.003"), "\u{2212}0.003");
    }

    #[test]
    fn words_are_counted() {
        assert_eq!(count(1, "reading waits", "readings wait"), "1 reading waits");
        assert_eq!(when("2026-03-06T12:10:40Z"), "2026-03-06 12:10");
        assert_eq!(when("last week"), "last week");
        assert_eq!(days(1.0), "1 day");
        assert_eq!(days(0.5), "0.5 days");
        assert_eq!(sentence("bore 3"), "Bore 3");
        assert_eq!(reader_words("by the word (`hone`, `align_hone`)"), "by the word (hone, align hone)");
    }
}
