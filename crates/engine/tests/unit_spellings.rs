//! The spellings of units that the trade writes, against factors from outside the project.
//!
//! Factors: NIST Special Publication 811 (2008), appendix B.8; "exact" where it prints them in bold. Which spellings a shop
//! uses is common practice, no source.

use engine::document::{json_schema, parse_document, typed_entries, typed_quantity};
use engine::quantity::{
    Dimension, Quantity as _, QuantityError, UnitSystem, parse_quantity, spellings_taken,
};

use Dimension as D;

/// What is written, what is asked for, the SI value by the factors of NIST SP 811, B.8, and the figures that they carry.
const TABLE: &[(&str, Dimension, f64, f64)] = &[
    // foot pound-force 1.355818, inch pound-force 1.129848 E-01
    ("100 lb-ft", D::Torque, 135.5818, 1e-6),
    ("100 ft-lb", D::Torque, 135.5818, 1e-6),
    ("100 lb·ft", D::Torque, 135.5818, 1e-6),
    ("100 ft·lb", D::Torque, 135.5818, 1e-6),
    ("100 lbf-ft", D::Torque, 135.5818, 1e-6),
    ("100 ft-lbf", D::Torque, 135.5818, 1e-6),
    ("100ftlb", D::Torque, 135.5818, 1e-6),
    ("100 ft lbs", D::Torque, 135.5818, 1e-6),
    ("100 ft.lb.", D::Torque, 135.5818, 1e-6),
    ("100 LB-FT", D::Torque, 135.5818, 1e-6),
    ("100 lb-in", D::Torque, 11.29848, 1e-6),
    ("100 in-lb", D::Torque, 11.29848, 1e-6),
    ("100 in-lbs", D::Torque, 11.29848, 1e-6),
    ("10 N.m", D::Torque, 10.0, 0.0),
    ("10 N-m", D::Torque, 10.0, 0.0),
    ("10 nm", D::Torque, 10.0, 0.0),
    // kilogram-force meter 9.80665, exact
    ("10 kg-m", D::Torque, 98.0665, 1e-12),
    // inch 2.54 E-02, foot 3.048 E-01, mil 2.54 E-05, all exact
    ("9.60\"", D::Length, 0.243_84, 1e-12),
    ("9.60 inch", D::Length, 0.243_84, 1e-12),
    ("9.60 inches", D::Length, 0.243_84, 1e-12),
    ("9.60in", D::Length, 0.243_84, 1e-12),
    ("9.60 in.", D::Length, 0.243_84, 1e-12),
    ("9.60 IN", D::Length, 0.243_84, 1e-12),
    (".060\"", D::Length, 0.001_524, 1e-12),
    ("2.6 thou", D::Length, 6.604e-5, 1e-12),
    ("2.6 mil", D::Length, 6.604e-5, 1e-12),
    ("2 ft", D::Length, 0.6096, 1e-12),
    ("2 feet", D::Length, 0.6096, 1e-12),
    ("86 MM", D::Length, 0.086, 1e-12),
    ("86mm", D::Length, 0.086, 1e-12),
    ("40 microinches", D::Roughness, 1.016e-6, 1e-12),
    // horsepower (550 ft·lbf/s) 7.456999 E+02, horsepower (metric) 7.354988 E+02
    ("420 hp", D::Power, 420.0 * 745.6999, 1e-6),
    ("420 Hp", D::Power, 420.0 * 745.6999, 1e-6),
    ("420bhp", D::Power, 420.0 * 745.6999, 1e-6),
    ("420 PS", D::Power, 420.0 * 735.4988, 1e-6),
    ("300 KW", D::Power, 300e3, 0.0),
    // cubic inch 1.638706 E-05
    ("350 cuin", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 cu in", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 cu.in", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 cu. in.", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 in3", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 in^3", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 ci", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("350 CID", D::Volume, 350.0 * 1.638_706e-5, 1e-6),
    ("64 cc", D::Volume, 64e-6, 1e-12),
    ("64 CC", D::Volume, 64e-6, 1e-12),
    ("110 deg", D::Angle, 1.919_862_2, 1e-7),
    ("110 degrees", D::Angle, 1.919_862_2, 1e-7),
    // psi 6.894757 E+03, inch of mercury, conventional 3.386389 E+03, inch of water, conventional 2.490889 E+02
    ("60 psi", D::Pressure, 60.0 * 6894.757, 1e-6),
    ("60 PSI", D::Pressure, 60.0 * 6894.757, 1e-6),
    ("60 lb/in2", D::Pressure, 60.0 * 6894.757, 1e-6),
    ("60 inHg", D::Pressure, 60.0 * 3386.389, 1e-9),
    ("60 in Hg", D::Pressure, 60.0 * 3386.389, 1e-9),
    ("28 inH2O", D::Pressure, 28.0 * 249.0889, 1e-9),
    ("28 in H2O", D::Pressure, 28.0 * 249.0889, 1e-9),
    // kgf/cm² 9.80665 E+04, exact; millimeter of mercury, conventional 1.333224 E+02; ksi 6.894757 E+06
    ("5 kg/cm2", D::Pressure, 490_332.5, 1e-12),
    ("750 mmHg", D::Pressure, 750.0 * 133.3224, 1e-9),
    ("100 ksi", D::Pressure, 100.0 * 6.894_757e6, 1e-6),
    // pound-force per inch 1.751268 E+02
    ("480 lb/in", D::Stiffness, 480.0 * 175.1268, 1e-6),
    ("480 lbs / inch", D::Stiffness, 480.0 * 175.1268, 1e-6),
    // pound 4.535924 E-01 as a mass, pound-force 4.448222 as a force, kilogram-force 9.80665, exact
    ("2 lb", D::Mass, 0.907_184_8, 1e-6),
    ("2 lbs", D::Mass, 0.907_184_8, 1e-6),
    ("210 lb", D::Force, 210.0 * 4.448_222, 1e-6),
    ("210 lbs", D::Force, 210.0 * 4.448_222, 1e-6),
    ("80 kg", D::Force, 784.532, 1e-12),
    // cubic foot per minute 4.719474 E-04
    ("300 CFM", D::VolumeFlow, 300.0 * 4.719_474e-4, 1e-6),
    // pound per hour 1.259979 E-04
    ("60 lb/hr", D::MassFlow, 60.0 * 1.259_979e-4, 1e-6),
    ("8200 RPM", D::Speed, 8200.0 / 60.0, 1e-12),
    ("80 degF", D::Temperature, 299.816_67, 1e-7),
    ("80 deg F", D::Temperature, 299.816_67, 1e-7),
    ("10.5:1", D::Ratio, 10.5, 0.0),
];

#[test]
fn spellings_of_the_trade_are_read_with_the_factors_of_nist() {
    let mut wrong = Vec::new();
    for (written, dimension, si, figures) in TABLE {
        match parse_quantity(written, *dimension) {
            Ok((read, _)) if (read - si).abs() <= figures * si => {}
            other => wrong.push(format!("{written} as {}: {other:?}, not {si}", dimension.word())),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The pattern in the schema takes what the reader takes and refuses what it refuses.
#[test]
fn the_schema_agrees_with_the_reader() {
    let schema = json_schema();
    let patterns: Vec<(Dimension, regex::Regex)> = schema["$defs"]
        .as_object()
        .unwrap()
        .values()
        .filter_map(|d| {
            let dimension = Dimension::from_word(d["x-quantity"].as_str()?)?;
            Some((dimension, regex::Regex::new(d["pattern"].as_str()?).expect("a regular expression")))
        })
        .collect();
    assert!(patterns.len() > 20);
    let more = [
        "12 mPa",
        "12 mm2",
        "12 in-ft",
        "12 lb--ft",
        "12 m m",
        "12 cu",
        "12",
        "12 MPa",
        "12 i n",
        "12 lbin..",
    ];
    let written = TABLE.iter().map(|(written, ..)| *written).chain(more);
    for text in written {
        for (dimension, pattern) in &patterns {
            let read = parse_quantity(text, *dimension);
            // A price may stand without its currency.
            let bare = *dimension == D::Money && matches!(read, Err(QuantityError::BareNumber { .. }));
            assert_eq!(
                pattern.is_match(text),
                read.is_ok() || bare,
                "{text} as {}: {read:?}",
                dimension.word()
            );
        }
    }
}

#[test]
fn a_refused_unit_is_answered_with_those_that_are_taken() {
    let error = parse_quantity("12 furlongs", D::Torque).unwrap_err().to_string();
    assert!(error.contains(&spellings_taken(D::Torque)) && error.contains("ft·lb"), "{error}");
    let wrong = parse_quantity("12 psi", D::Torque).unwrap_err().to_string();
    assert!(wrong.contains("does not measure") && wrong.contains("lbf·ft (lb·ft"), "{wrong}");
    let parsed = parse_document("crosshatch = 2\n[layout]\nbore = \"4.03 in-lb\"\n", "f.toml");
    let told = format!("{:?}", parsed.diagnostics[0]);
    assert!(told.contains("in-lb is a unit of torque, not of length") && told.contains("inches"), "{told}");
}

#[test]
fn a_document_takes_them_and_a_form_writes_them_readably() {
    let text = "crosshatch = 2\n[layout]\nbore = \"4.030\\\"\"\nstroke = \"3.48 inches\"\n[block]\ndeck_height = \"9.025IN\"\n";
    let document = parse_document(text, "f.toml").document.expect("all three are taken");
    for (si, inches) in [
        (document.layout.bore.unwrap().si(), 4.03),
        (document.layout.stroke.unwrap().si(), 3.48),
        (document.block.deck_height.unwrap().si(), 9.025),
    ] {
        assert!((si - inches * 0.0254).abs() < 1e-12);
    }
    let typed = |text: &str| typed_quantity(text, Some(D::Length), UnitSystem::Metric).unwrap();
    assert_eq!(typed("9.60\""), "9.60 in");
    assert_eq!(typed("9.60 \u{2033}"), "9.60 in");
    assert_eq!(typed("9.60 inches"), "9.60 inches");
    assert!(typed_quantity("9.60\"", Some(D::Mass), UnitSystem::Metric).is_err());
}

#[test]
fn a_comma_behind_the_last_entry_parts_nothing_and_the_last_unit_is_that_of_all() {
    for (typed, entries) in [
        ("1, 2, 3,", &["1", "2", "3"][..]),
        ("1,2,3,", &["1", "2", "3"]),
        ("0.5,", &["0.5"]),
        ("1; 2,5;", &["1", "2,5"]),
        ("50, 100, 150 thou", &["50 thou", "100 thou", "150 thou"]),
        ("50 thou, 100, 3 mm", &["50 thou", "100", "3 mm"]),
    ] {
        assert_eq!(
            typed_entries(typed).as_deref(),
            Some(&entries.iter().map(|e| (*e).to_owned()).collect::<Vec<_>>()[..]),
            "{typed}"
        );
    }
    assert_eq!(typed_entries("1,5,"), None, "one comma between figures may still be a decimal mark");
}
