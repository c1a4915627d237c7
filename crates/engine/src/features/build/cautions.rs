//! What can hurt at a table of readings, said on the sheet above it. Common practice, no source.

use crate::cautions::{
    BOLTS, BORES, CAM_CAPS, CRANK, FUEL_MIST, LIFTING, PIN_LOCKS, PRESSED_GASKET, RING_ENDS, SPRING, TURNING,
    VALVE_ROOM,
};

/// Tables by their names, with their caution.
const TABLE: [(&[&str], &str); 12] = [
    (&["bores"], BORES),
    (&["ring_gaps"], RING_ENDS),
    (&["springs", "spring_loads", "guides", "seats"], SPRING),
    (
        &[
            "main_line",
            "main_housings",
            "main_fitted",
            "rod_fitted",
            "main_strips",
            "rod_strips",
            "main_crush",
            "rod_crush",
            "rods",
            "rod_bolts",
        ],
        BOLTS,
    ),
    (&["run_out", "end_float"], CRANK),
    (&["below_deck", "lash"], TURNING),
    (&["valve_room"], VALVE_ROOM),
    (&["gaskets"], PRESSED_GASKET),
    (&["deck_height"], LIFTING),
    (&["piston_pins"], PIN_LOCKS),
    (&["injectors"], FUEL_MIST),
    (&["cam_journals", "shims", "buckets"], CAM_CAPS),
];

/// The caution of a table; empty where there is none.
pub(super) fn caution_of(table: &str) -> &'static str {
    TABLE.iter().find(|(tables, _)| tables.contains(&table)).map_or("", |(_, caution)| *caution)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::parse_document;
    use crate::features::Catalogue;

    /// A name that no table bears would lose its caution without a word.
    #[test]
    fn each_name_is_a_table_of_some_engine() {
        let mut seen = std::collections::HashSet::new();
        for text in [
            include_str!("../../../../../examples/hill-climb-four.toml"),
            include_str!("../../../../../examples/pushrod-v8.toml"),
        ] {
            let document = parse_document(text, "engine.toml").document.unwrap();
            for table in &Catalogue::of(&document).tables {
                assert_eq!(table.caution, caution_of(table.id));
                seen.insert(table.id);
            }
        }
        for id in TABLE.iter().flat_map(|(tables, _)| *tables) {
            assert!(seen.contains(id), "{id}");
        }
    }
}
