//! The question about a reading that is probably a slip, in the same words wherever it is asked.

use super::size::disagreement;
use super::slips::could_be_wear;
use crate::engine::Engine;
use crate::features::Feature;
use crate::quantity::{display_unit, parse_quantity};
use crate::readings::{Reading, Slip, SlipKind};

/// The question about `reading`, that may not be stored yet. `shown` writes a value of its place with its unit.
pub fn slip_question(
    engine: &Engine,
    reading: &Reading,
    slip: &Slip,
    shown: &dyn Fn(f64) -> String,
) -> String {
    let Some(feature) = engine.catalogue.feature(&slip.feature) else {
        return format!("Perhaps {}. Read it again: is it right?", slip.slip.words());
    };
    match (&slip.slip, slip.likely.map(shown)) {
        (SlipKind::Differs { from }, _) => two_readings(engine, reading, feature, *from, shown),
        (SlipKind::AgainstTheCut { from, operations }, _) => {
            let way = if slip.read < *from { "smaller" } else { "larger" };
            let before = shown(*from);
            format!(
                "This is {way} than the {before} at 20 °C that was read here before {operations}, which only takes metal off. Read it again: is it a slip, or are operations in the wrong order?"
            )
        }
        (SlipKind::Apart { from }, _) if feature.family == "cylinder.below_deck" => format!(
            "This is {} from the other end of this piston, {}. Read both again: is it right? Then look for a bent rod, a pin bore or a deck out of square, before the engine is closed",
            shown((slip.read - from).abs()),
            shown(*from)
        ),
        (SlipKind::Apart { from }, _) => format!(
            "This is {} from the other readings of this {}, which agree on {}. Read it again: is it right?",
            shown((slip.read - from).abs()),
            row_name(engine, feature, "part"),
            shown(*from)
        ),
        (_, Some(likely)) if could_be_wear(feature, slip) => format!(
            "This stands apart from its neighbours. Read it again: did you mean {likely} ({}), or is it real wear?",
            what(engine, reading, feature, slip)
        ),
        (_, Some(likely)) => {
            format!("Perhaps {}: did you mean {likely}?", what(engine, reading, feature, slip))
        }
        (_, None) => format!("This is {}. Read it again: is it right?", slip.slip.words()),
    }
}

/// About a second reading that the first one contradicts.
fn two_readings(
    engine: &Engine,
    reading: &Reading,
    feature: &Feature,
    from: f64,
    shown: &dyn Fn(f64) -> String,
) -> String {
    let row = row_name(engine, feature, "place");
    match disagreement(engine, reading) {
        Some(apart) => format!(
            "Brought to 20 °C this differs by {} from what was read here before; two readings with these gauges agree to {}. Is one of them of another {row}?",
            shown(apart.difference.abs()),
            shown(apart.allowed)
        ),
        None => format!(
            "Brought to 20 °C this differs from the {} that was read here before. Is one of them of another {row}?",
            shown(from)
        ),
    }
}

/// What may have slipped, places by their labels.
fn what(engine: &Engine, reading: &Reading, feature: &Feature, slip: &Slip) -> String {
    let own = display_unit(feature.dimension, engine.units());
    let typed = parse_quantity(&reading.text, feature.dimension).ok().map(|(_, unit)| unit);
    match &slip.slip {
        // A unit that was written behind the figure is what slipped.
        SlipKind::Inches | SlipKind::Millimetres if typed.is_some_and(|typed| !typed.is_same(own)) => {
            "the unit".to_owned()
        }
        SlipKind::Swapped { with } => {
            let other = engine.catalogue.feature(with).map_or(with.as_str(), |f| f.label.as_str());
            format!("exchanged with {other}")
        }
        kind => kind.words(),
    }
}

/// What a row of the table is, "cylinder"; `otherwise` where it has no name.
fn row_name<'a>(engine: &'a Engine, feature: &Feature, otherwise: &'a str) -> &'a str {
    let name = engine.catalogue.tables[feature.table].row_name;
    if name.is_empty() { otherwise } else { name }
}
