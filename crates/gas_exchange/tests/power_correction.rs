//! Power correction and standard atmosphere against printed figures.

use gas_exchange::ambient::{humidity_ratio, standard_atmosphere, vapour_pressure};
use gas_exchange::correction::{Correction, CorrectionError, TestAir};

fn air(millibar: f64, celsius: f64) -> TestAir {
    TestAir { dry_pressure: millibar * 100.0, temperature: celsius + 273.15 }
}

// Computed apart from the code by the printed formulas of SAE J1349 (1.18 form) and ISO 1585; four digits.
#[test]
fn factors_agree_with_the_standards() {
    for (millibar, celsius, sae, iso) in
        [(990.0, 25.0, 1.0, 1.0), (950.0, 30.0, 1.059_96, 1.061_28), (1_010.0, 15.0, 0.957_06, 0.956_49)]
    {
        assert!((Correction::SaeJ1349.factor(air(millibar, celsius)).unwrap() - sae).abs() < 1e-4);
        assert!((Correction::Iso1585.factor(air(millibar, celsius)).unwrap() - iso).abs() < 1e-4);
    }
}

#[test]
fn outside_its_range_a_standard_gives_no_factor_and_as_run_always_gives_one() {
    let mountain = air(800.0, 25.0);
    let found = Correction::Iso1585.factor(mountain).unwrap_err();
    assert!(
        matches!(found, CorrectionError::OutsideValidity { standard: "ISO 1585", factor, .. } if factor > 1.2)
    );
    assert!(matches!(Correction::SaeJ1349.factor(air(0.9, 25.0)), Err(CorrectionError::OutOfRange { .. })));
    assert!(matches!(
        Correction::SaeJ1349.factor(air(f64::NAN, 25.0)),
        Err(CorrectionError::OutOfRange { .. })
    ));
    assert_eq!(Correction::default().factor(mountain), Ok(1.0));
}

// ISO 2533:1975, tables.
#[test]
fn the_atmosphere_is_the_standard_one() {
    for (height, pressure, density) in [
        (0.0, 101_325.0, 1.225_0),
        (1e3, 89_874.6, 1.111_64),
        (2e3, 79_495.2, 1.006_49),
        (3e3, 70_108.5, 0.909_122),
    ] {
        let air = standard_atmosphere(height).unwrap();
        assert!(
            (air.pressure / pressure - 1.0).abs() < 1e-5 && (air.dry_density() / density - 1.0).abs() < 1e-5
        );
    }
    assert!(standard_atmosphere(20_000.0).is_err());
}

// Saturation pressure of water: 2,339 Pa at 20 °C, 4,246 Pa at 30 °C (steam tables, from memory), 0.1 %.
#[test]
fn humid_air_holds_the_water_of_the_steam_tables() {
    for (celsius, pascal) in [(20.0, 2_339.0), (30.0, 4_246.0)] {
        let found = vapour_pressure(1.0, celsius + 273.15).unwrap();
        assert!((found / pascal - 1.0_f64).abs() < 1e-3, "{found}");
    }
    assert!((humidity_ratio(101_325.0, 2_339.0) - 0.014_70).abs() < 1e-4);
    assert!(vapour_pressure(40.0, 293.0).is_err());
}
