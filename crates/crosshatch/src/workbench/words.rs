//! An engine in a few words, for the shelf and for the list of the command line.

use engine::document::{Arrangement, Document};
use engine::quantity::{Dimension, UnitSystem, format_value};
use mechanics::compression::{displacement, swept_volume};

/// "inline 4, 2093 cm³".
pub fn layout_words(document: &Document) -> String {
    let layout = &document.layout;
    let arrangement = match layout.arrangement {
        Some(Arrangement::Inline) => "inline",
        Some(Arrangement::Vee) => "vee",
        Some(Arrangement::Flat) => "flat",
        None => "layout not known",
    };
    let mut words = arrangement.to_owned();
    if let Some(cylinders) = layout.cylinders {
        words = format!("{words} {cylinders}");
        if let (Some(bore), Some(stroke)) = (layout.bore, layout.stroke) {
            let one = swept_volume(bore.0, stroke.0).value;
            let all = displacement(&vec![one; cylinders as usize]);
            words = format!("{words}, {}", volume(all, document.engine.units));
        }
    }
    words
}

/// Kelvin in °C with at most so many decimals, without noughts at the end: "27.5 °C".
pub(super) fn celsius(kelvin: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", kelvin - 273.15);
    format!("{} °C", text.trim_end_matches('0').trim_end_matches('.'))
}

fn volume(cubic_metres: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format_value(cubic_metres, Dimension::Volume, units, 0),
        // Cubic inches, as the trade speaks of capacity where it reads in inches.
        UnitSystem::Inch => format!("{:.1} in³", cubic_metres / 0.0254_f64 / 0.0254 / 0.0254),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacity_is_written_as_the_trade_does() {
        assert_eq!(volume(2093.2e-6, UnitSystem::Metric), "2093 cm³");
        // 4.108 in by 3.415 in, eight cylinders, 362.1 in³.
        let one = swept_volume(4.108 * 0.0254, 3.415 * 0.0254).value;
        assert_eq!(volume(8.0 * one, UnitSystem::Inch), "362.1 in³");
    }
}
