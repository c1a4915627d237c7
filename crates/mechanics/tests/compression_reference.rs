//! Volumes and ratios against numerical integration (`reference/compression.py`).

mod reference_data;

use mechanics::compression::Space;
use mechanics::kinematics::SliderCrank;
use reference_data::numbers;

#[test]
fn integrated_volumes() {
    let rows = numbers(
        "compression.csv",
        "bore,stroke,chamber,gasket_bore,gasket_thickness,deck_gap,dome,crevice,rod,closing_after_bottom,swept,\
         clearance,ratio,trapped_ratio",
    );
    assert!(rows.len() > 190);
    for row in rows {
        let space = Space {
            bore: row[0],
            stroke: row[1],
            chamber_volume: row[2],
            gasket_bore: row[3],
            gasket_thickness: row[4],
            deck_gap: row[5],
            dome_volume: row[6],
            crevice_volume: row[7],
        };
        let crank = SliderCrank::new(0.5 * row[1], row[8], 0.0).unwrap();
        let found = [
            space.swept_volume(),
            space.clearance_volume().value,
            space.compression_ratio().unwrap().value,
            space.trapped_ratio(&crank, row[9]).unwrap().value,
        ];
        for (found, expected) in found.iter().zip(&row[10..]) {
            // Twelve digits are written.
            assert!((found / expected - 1.0).abs() < 1e-11, "{found} is not {expected}");
        }
    }
}
