//! Ranges of the trade that are used while the document states no limit of its own.

use engine::document::{Document, Limits};
use engine::findings::usual_range;
use engine::quantity::{Dimension, UnitSystem, display_unit_at, format_fixed};
use std::collections::BTreeMap;

/// For each limit, what is used while it is left out, in words.
pub(super) fn stand_ins(document: &Document, units: UnitSystem) -> BTreeMap<String, String> {
    Limits::NAMES
        .iter()
        .map(|(name, dimension)| {
            let words = usual_range(name, document).map_or_else(
                || "None stated, and the trade has none: the finding stays unknown.".to_owned(),
                |(min, max, _)| {
                    let range = range_words(name, min, max, *dimension, units);
                    format!("While none is stated: {range}, common practice without a source. Write the part maker\u{2019}s or your own.")
                },
            );
            ((*name).to_owned(), words)
        })
        .collect()
}

fn range_words(
    name: &str,
    min: Option<f64>,
    max: Option<f64>,
    dimension: Dimension,
    units: UnitSystem,
) -> String {
    let per_cent = name == "ring_butting";
    let unit = display_unit_at(max.or(min).unwrap_or(0.0), dimension, units);
    let symbol = if per_cent { "%" } else { unit.symbol };
    let number = |si: f64| {
        let shown = if per_cent { si * 100.0 } else { (si - unit.offset) / unit.factor };
        // Four places in inches, three else, without the noughts at the end.
        let places = if dimension == Dimension::Length && units == UnitSystem::Inch { 4 } else { 3 };
        let text = format_fixed(shown, places);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let text = match (min, max) {
        (Some(min), Some(max)) => format!("{} to {}", number(min), number(max)),
        (Some(min), None) => format!("at least {}", number(min)),
        (None, Some(max)) => format!("at most {}", number(max)),
        (None, None) => String::new(),
    };
    format!("{text} {symbol}").trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stand_in_says_its_range_and_that_it_has_no_source() {
        let words = stand_ins(&Document::default(), UnitSystem::Metric);
        assert!(words["end_float"].contains("0.08 to 0.2 mm, common practice without a source"));
        assert!(words["ring_butting"].contains("at most 1 %"));
        assert!(words["hardness"].contains("stays unknown"), "{}", words["hardness"]);
        let inch = stand_ins(&Document::default(), UnitSystem::Inch);
        assert!(inch["guide_intake"].contains("0.001 to 0.0018 in"), "{}", inch["guide_intake"]);
    }
}
