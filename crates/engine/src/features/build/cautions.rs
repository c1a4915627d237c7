//! What can hurt at a table of readings, said on the sheet above it. Common practice, no source.

use crate::cautions::{BOLTS, BORES, CAM_CAPS, CRANK, FUEL_MIST, RING_ENDS, SPRING, TURNING};

/// Tables by their names, with their caution.
const TABLE: [(&[&str], &str); 8] = [
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
    (&["run_out"], CRANK),
    (&["below_deck", "valve_room", "lash"], TURNING),
    (&["injectors"], FUEL_MIST),
    (&["cam_journals"], CAM_CAPS),
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
