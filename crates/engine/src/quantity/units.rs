//! The unit table and the parser of `"88.012 mm"`.

use super::spelling::{find_unit, find_unit_of_any, spellings_taken};
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::f64::consts::PI;

/// What kind of quantity a value is. The SI unit in which values are held stands beside each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// m
    Length,
    /// m; a surface value such as Rk, shown in micrometres
    Roughness,
    /// m³
    Volume,
    /// kg
    Mass,
    /// rad
    Angle,
    /// Pa, stress as well
    Pressure,
    /// N
    Force,
    /// N/m
    Stiffness,
    /// K, absolute
    Temperature,
    /// K, a difference
    TemperatureDifference,
    /// rev/s
    Speed,
    /// N·m
    Torque,
    /// W
    Power,
    /// m³/s
    VolumeFlow,
    /// kg/s
    MassFlow,
    /// m²
    Area,
    /// m³/rev
    Displacement,
    /// kg·m²
    Inertia,
    /// N·m/rad
    TorsionalStiffness,
    /// 1/K
    Expansion,
    /// Brinell hardness number
    Hardness,
    /// A plain ratio
    Ratio,
    /// A share of a whole, shown in per cent
    Share,
    /// s
    Time,
    /// An amount of money, in the currency written beside it or in that of the shop
    Money,
}

/// One unit that may be written in a document or on a page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// How it is written, for instance `mm`.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// SI value of one unit.
    pub factor: f64,
    /// SI value of zero in this unit (temperatures only).
    pub offset: f64,
}

impl Unit {
    /// The same unit, however it is written: cm3 and cm³.
    pub fn is_same(&self, other: &Self) -> bool {
        self.dimension == other.dimension
            && self.factor.to_bits() == other.factor.to_bits()
            && self.offset.to_bits() == other.offset.to_bits()
    }
}

const fn unit(symbol: &'static str, dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, dimension, factor, offset: 0.0 }
}

/// International inch, exact (NIST SP 811, 2008, appendix B).
const INCH: f64 = 0.0254;
/// International foot, exact (NIST SP 811, 2008, appendix B).
const FOOT: f64 = 12.0 * INCH;
/// Avoirdupois pound, exact (NIST SP 811, 2008, appendix B).
const POUND: f64 = 0.453_592_37;
/// Standard acceleration of free fall, exact (NIST SP 811, 2008, appendix B).
const G0: f64 = 9.806_65;
/// Mechanical horsepower, 550 ft·lbf/s (NIST SP 811, 2008, appendix B).
const HORSEPOWER: f64 = 550.0 * FOOT * POUND * G0;
/// Metric horsepower, 75 kgf·m/s (NIST SP 811, 2008, appendix B: 735.4988 W).
const METRIC_HORSEPOWER: f64 = 75.0 * G0;

/// Conventional inch of water in pascal (NIST SP 811, 2008, appendix B).
const INCH_OF_WATER: f64 = 249.0889;
/// Conventional inch of mercury in pascal (NIST SP 811, 2008, appendix B).
const INCH_OF_MERCURY: f64 = 3386.389;
/// Conventional millimetre of mercury in pascal (NIST SP 811, 2008, appendix B).
const MILLIMETRE_OF_MERCURY: f64 = 133.3224;

use Dimension as D;

/// Every unit that is understood, the usual one of each dimension first.
pub const UNITS: &[Unit] = &[
    unit("mm", D::Length, 1e-3),
    unit("in", D::Length, INCH),
    unit("thou", D::Length, INCH / 1000.0),
    unit("um", D::Length, 1e-6),
    unit("µm", D::Length, 1e-6),
    unit("μm", D::Length, 1e-6),
    unit("cm", D::Length, 1e-2),
    unit("m", D::Length, 1.0),
    unit("ft", D::Length, FOOT),
    unit("µm", D::Roughness, 1e-6),
    unit("um", D::Roughness, 1e-6),
    unit("μm", D::Roughness, 1e-6),
    unit("µin", D::Roughness, INCH * 1e-6),
    unit("uin", D::Roughness, INCH * 1e-6),
    unit("mm", D::Roughness, 1e-3),
    unit("cm3", D::Volume, 1e-6),
    unit("cm³", D::Volume, 1e-6),
    unit("cc", D::Volume, 1e-6),
    unit("ml", D::Volume, 1e-6),
    unit("mL", D::Volume, 1e-6),
    unit("L", D::Volume, 1e-3),
    unit("l", D::Volume, 1e-3),
    unit("in3", D::Volume, INCH * INCH * INCH),
    unit("in³", D::Volume, INCH * INCH * INCH),
    unit("g", D::Mass, 1e-3),
    unit("kg", D::Mass, 1.0),
    unit("lb", D::Mass, POUND),
    unit("oz", D::Mass, POUND / 16.0),
    unit("deg", D::Angle, PI / 180.0),
    unit("°", D::Angle, PI / 180.0),
    unit("rad", D::Angle, 1.0),
    unit("bar", D::Pressure, 1e5),
    unit("mbar", D::Pressure, 1e2),
    unit("kPa", D::Pressure, 1e3),
    unit("MPa", D::Pressure, 1e6),
    unit("GPa", D::Pressure, 1e9),
    unit("Pa", D::Pressure, 1.0),
    unit("inH2O", D::Pressure, INCH_OF_WATER),
    unit("inHg", D::Pressure, INCH_OF_MERCURY),
    unit("mmHg", D::Pressure, MILLIMETRE_OF_MERCURY),
    unit("hPa", D::Pressure, 1e2),
    unit("N/mm²", D::Pressure, 1e6),
    unit("kgf/cm²", D::Pressure, G0 * 1e4),
    unit("ksi", D::Pressure, 1000.0 * POUND * G0 / (INCH * INCH)),
    unit("psi", D::Pressure, POUND * G0 / (INCH * INCH)),
    unit("N", D::Force, 1.0),
    unit("kN", D::Force, 1e3),
    unit("lbf", D::Force, POUND * G0),
    unit("kgf", D::Force, G0),
    unit("N/mm", D::Stiffness, 1e3),
    unit("N/m", D::Stiffness, 1.0),
    unit("lbf/in", D::Stiffness, POUND * G0 / INCH),
    unit("kgf/mm", D::Stiffness, G0 * 1e3),
    Unit { symbol: "°C", dimension: D::Temperature, factor: 1.0, offset: 273.15 },
    Unit { symbol: "C", dimension: D::Temperature, factor: 1.0, offset: 273.15 },
    Unit { symbol: "degC", dimension: D::Temperature, factor: 1.0, offset: 273.15 },
    Unit { symbol: "°F", dimension: D::Temperature, factor: 5.0 / 9.0, offset: 459.67 * 5.0 / 9.0 },
    Unit { symbol: "degF", dimension: D::Temperature, factor: 5.0 / 9.0, offset: 459.67 * 5.0 / 9.0 },
    Unit { symbol: "F", dimension: D::Temperature, factor: 5.0 / 9.0, offset: 459.67 * 5.0 / 9.0 },
    unit("K", D::Temperature, 1.0),
    unit("K", D::TemperatureDifference, 1.0),
    unit("°C", D::TemperatureDifference, 1.0),
    unit("°F", D::TemperatureDifference, 5.0 / 9.0),
    unit("rev/min", D::Speed, 1.0 / 60.0),
    unit("rpm", D::Speed, 1.0 / 60.0),
    unit("1/min", D::Speed, 1.0 / 60.0),
    unit("rev/s", D::Speed, 1.0),
    unit("N·m", D::Torque, 1.0),
    unit("Nm", D::Torque, 1.0),
    unit("N m", D::Torque, 1.0),
    unit("lbf·ft", D::Torque, POUND * G0 * FOOT),
    unit("lbf ft", D::Torque, POUND * G0 * FOOT),
    unit("lbf·in", D::Torque, POUND * G0 * INCH),
    unit("kgf·m", D::Torque, G0),
    unit("kW", D::Power, 1e3),
    unit("W", D::Power, 1.0),
    unit("hp", D::Power, HORSEPOWER),
    unit("PS", D::Power, METRIC_HORSEPOWER),
    unit("L/min", D::VolumeFlow, 1e-3 / 60.0),
    unit("cm3/min", D::VolumeFlow, 1e-6 / 60.0),
    unit("cm³/min", D::VolumeFlow, 1e-6 / 60.0),
    unit("m3/s", D::VolumeFlow, 1.0),
    unit("m3/h", D::VolumeFlow, 1.0 / 3600.0),
    unit("ft3/min", D::VolumeFlow, 1728.0 * INCH * INCH * INCH / 60.0),
    unit("kg/s", D::MassFlow, 1.0),
    unit("g/s", D::MassFlow, 1e-3),
    unit("kg/h", D::MassFlow, 1.0 / 3600.0),
    unit("lb/min", D::MassFlow, POUND / 60.0),
    unit("lb/h", D::MassFlow, POUND / 3600.0),
    unit("mm2", D::Area, 1e-6),
    unit("mm²", D::Area, 1e-6),
    unit("cm2", D::Area, 1e-4),
    unit("cm²", D::Area, 1e-4),
    unit("in2", D::Area, INCH * INCH),
    unit("in²", D::Area, INCH * INCH),
    unit("cm3/rev", D::Displacement, 1e-6),
    unit("cm³/rev", D::Displacement, 1e-6),
    unit("in3/rev", D::Displacement, INCH * INCH * INCH),
    unit("kg·m²", D::Inertia, 1.0),
    unit("kg m2", D::Inertia, 1.0),
    unit("kg·m2", D::Inertia, 1.0),
    unit("kg·cm²", D::Inertia, 1e-4),
    unit("lb·in²", D::Inertia, POUND * INCH * INCH),
    unit("lb in2", D::Inertia, POUND * INCH * INCH),
    unit("MN·m/rad", D::TorsionalStiffness, 1e6),
    unit("kN·m/rad", D::TorsionalStiffness, 1e3),
    unit("N·m/rad", D::TorsionalStiffness, 1.0),
    unit("1e-6/K", D::Expansion, 1e-6),
    unit("um/m/K", D::Expansion, 1e-6),
    unit("1/K", D::Expansion, 1.0),
    unit("1e-6/°F", D::Expansion, 1.8e-6),
    unit("HB", D::Hardness, 1.0),
    unit("", D::Ratio, 1.0),
    unit("%", D::Ratio, 0.01),
    unit("%", D::Share, 0.01),
    unit("day", D::Time, 86_400.0),
    unit("days", D::Time, 86_400.0),
    unit("week", D::Time, 604_800.0),
    unit("h", D::Time, 3_600.0),
    unit("min", D::Time, 60.0),
    unit("s", D::Time, 1.0),
    // Codes of ISO 4217, from memory.
    unit("EUR", D::Money, 1.0),
    unit("USD", D::Money, 1.0),
    unit("GBP", D::Money, 1.0),
    unit("CHF", D::Money, 1.0),
    unit("SEK", D::Money, 1.0),
    unit("NOK", D::Money, 1.0),
    unit("DKK", D::Money, 1.0),
    unit("PLN", D::Money, 1.0),
    unit("CZK", D::Money, 1.0),
    unit("JPY", D::Money, 1.0),
    unit("AUD", D::Money, 1.0),
    unit("NZD", D::Money, 1.0),
    unit("CAD", D::Money, 1.0),
    unit("ZAR", D::Money, 1.0),
    unit("BRL", D::Money, 1.0),
    unit("CNY", D::Money, 1.0),
    unit("INR", D::Money, 1.0),
    unit("KRW", D::Money, 1.0),
    unit("MXN", D::Money, 1.0),
    unit("ARS", D::Money, 1.0),
    unit("CLP", D::Money, 1.0),
    unit("COP", D::Money, 1.0),
    unit("PEN", D::Money, 1.0),
    unit("UYU", D::Money, 1.0),
    unit("HUF", D::Money, 1.0),
    unit("RON", D::Money, 1.0),
    unit("TRY", D::Money, 1.0),
    unit("UAH", D::Money, 1.0),
    unit("RSD", D::Money, 1.0),
    unit("ISK", D::Money, 1.0),
    unit("ILS", D::Money, 1.0),
    unit("AED", D::Money, 1.0),
    unit("SAR", D::Money, 1.0),
    unit("QAR", D::Money, 1.0),
    unit("KWD", D::Money, 1.0),
    unit("BHD", D::Money, 1.0),
    unit("OMR", D::Money, 1.0),
    unit("JOD", D::Money, 1.0),
    unit("EGP", D::Money, 1.0),
    unit("MAD", D::Money, 1.0),
    unit("TND", D::Money, 1.0),
    unit("NGN", D::Money, 1.0),
    unit("KES", D::Money, 1.0),
    unit("GHS", D::Money, 1.0),
    unit("SGD", D::Money, 1.0),
    unit("HKD", D::Money, 1.0),
    unit("TWD", D::Money, 1.0),
    unit("THB", D::Money, 1.0),
    unit("MYR", D::Money, 1.0),
    unit("IDR", D::Money, 1.0),
    unit("PHP", D::Money, 1.0),
    unit("VND", D::Money, 1.0),
    unit("PKR", D::Money, 1.0),
    unit("LKR", D::Money, 1.0),
    unit("BDT", D::Money, 1.0),
    unit("KZT", D::Money, 1.0),
    unit("GEL", D::Money, 1.0),
];

/// The units in which a dimension may be written.
pub fn units_of(dimension: Dimension) -> impl Iterator<Item = &'static Unit> {
    UNITS.iter().filter(move |u| u.dimension == dimension)
}

impl Dimension {
    /// The word used in messages and in the schema.
    pub const fn word(self) -> &'static str {
        match self {
            D::Length => "length",
            D::Roughness => "roughness",
            D::Volume => "volume",
            D::Mass => "mass",
            D::Angle => "angle",
            D::Pressure => "pressure",
            D::Force => "force",
            D::Stiffness => "stiffness",
            D::Temperature => "temperature",
            D::TemperatureDifference => "temperature_difference",
            D::Speed => "speed",
            D::Torque => "torque",
            D::Power => "power",
            D::VolumeFlow => "volume_flow",
            D::MassFlow => "mass_flow",
            D::Area => "area",
            D::Displacement => "displacement",
            D::Inertia => "inertia",
            D::TorsionalStiffness => "torsional_stiffness",
            D::Expansion => "expansion",
            D::Hardness => "hardness",
            D::Ratio => "ratio",
            D::Share => "share",
            D::Time => "time",
            D::Money => "money",
        }
    }

    /// The word in a sentence: "a length", "an angle".
    pub fn with_article(self) -> String {
        let word = self.word().replace('_', " ");
        let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {word}")
    }

    /// The dimension with that word.
    pub fn from_word(word: &str) -> Option<Self> {
        UNITS.iter().map(|u| u.dimension).find(|d| d.word() == word)
    }

    /// A correct example, for messages.
    pub const fn example(self) -> &'static str {
        match self {
            D::Length => "\"88.012 mm\" or \"3.4650 in\"",
            D::Roughness => "\"0.70 µm\" or \"28 µin\"",
            D::Volume => "\"41.80 cm3\"",
            D::Mass => "\"338.0 g\"",
            D::Angle => "\"90 deg\"",
            D::Pressure => "\"2.86 bar\" or \"25 psi\"",
            D::Force => "\"330 N\" or \"210 lbf\"",
            D::Stiffness => "\"41.0 N/mm\" or \"480 lbf/in\"",
            D::Temperature => "\"27 °C\"",
            D::TemperatureDifference => "\"0.5 K\"",
            D::Speed => "\"8200 rev/min\"",
            D::Torque => "\"530 N·m\" or \"428 lbf·ft\"",
            D::Power => "\"420 kW\" or \"560 hp\"",
            D::VolumeFlow => "\"4.5 L/min\"",
            D::MassFlow => "\"0.435 kg/s\" or \"57.5 lb/min\"",
            D::Area => "\"800 mm²\"",
            D::Displacement => "\"9.5 cm3/rev\"",
            D::Inertia => "\"0.0068 kg·m²\"",
            D::TorsionalStiffness => "\"0.51 MN·m/rad\"",
            D::Expansion => "\"11.5 1e-6/K\"",
            D::Hardness => "\"212 HB\"",
            D::Ratio => "\"0.80\" or \"80 %\"",
            D::Share => "\"3 %\"",
            D::Time => "\"3 days\"",
            D::Money => "\"12.50 EUR\"",
        }
    }
}

/// Why a text is not the quantity that was expected.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// A number without a unit.
    #[error("\"{text}\" has no unit: write {} such as {}", .expected.with_article(), .expected.example())]
    BareNumber {
        /// The text as written.
        text: String,
        /// What was expected.
        expected: Dimension,
    },
    /// A unit of another dimension.
    #[error("\"{unit}\" does not measure {}: write for instance {}; taken are {}", .expected.with_article(), .expected.example(), spellings_taken(*.expected))]
    WrongUnit {
        /// The unit as written.
        unit: String,
        /// What was expected.
        expected: Dimension,
    },
    /// A unit that nobody knows.
    #[error("unit \"{unit}\" is not known: write {} such as {}; taken are {}", .expected.with_article(), .expected.example(), spellings_taken(*.expected))]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was expected.
        expected: Dimension,
    },
    /// Not a number at all.
    #[error("\"{text}\" does not start with a number: write {} such as {}", .expected.with_article(), .expected.example())]
    NotANumber {
        /// The text as written.
        text: String,
        /// What was expected.
        expected: Dimension,
    },
    /// A decimal comma.
    #[error("\"{text}\" has a comma: the decimal mark is a point, as in {}", .expected.example())]
    DecimalComma {
        /// The text as written.
        text: String,
        /// What was expected.
        expected: Dimension,
    },
    /// NaN, infinity or a number too large to be meant.
    #[error("\"{text}\" is not a finite number")]
    NotFinite {
        /// The text as written.
        text: String,
    },
    /// A negative size where only zero or more makes sense.
    #[error("\"{text}\" is negative: {} here is zero or more", .expected.with_article())]
    Negative {
        /// The text as written.
        text: String,
        /// What was expected.
        expected: Dimension,
    },
}

/// Length of the leading number of a text; a decimal comma is not accepted (it would be read two ways).
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = 0;
    if matches!(bytes.first(), Some(b'+' | b'-')) {
        end += 1;
    }
    while matches!(bytes.get(end), Some(b'0'..=b'9' | b'.')) {
        end += 1;
    }
    let exponent_sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
    if matches!(bytes.get(end), Some(b'e' | b'E'))
        && matches!(bytes.get(end + 1 + exponent_sign), Some(b'0'..=b'9'))
    {
        end += 1 + exponent_sign;
        while bytes.get(end).is_some_and(u8::is_ascii_digit) {
            end += 1;
        }
    }
    end
}

/// Is the number of a quantity written with an exponent, as in `1e3 mm`?
pub fn has_exponent(text: &str) -> bool {
    let tidy = text.trim().replace('\u{2212}', "-");
    tidy[..number_length(&tidy)].contains(['e', 'E'])
}

/// Reads a number with its unit and gives the SI value and the unit it was written in.
///
/// # Errors
/// Says what is wrong and how to write it: no unit, a unit of another dimension, no number, not finite.
pub fn parse_quantity(text: &str, expected: Dimension) -> Result<(f64, &'static Unit), QuantityError> {
    // A typographic minus is what some gauges and spreadsheets send.
    let tidy = match text.trim() {
        text if text.contains('\u{2212}') => Cow::Owned(text.replace('\u{2212}', "-")),
        text => Cow::Borrowed(text),
    };
    let begins = |text: &str, word: &str| text.get(..3).is_some_and(|start| start.eq_ignore_ascii_case(word));
    if begins(&tidy, "nan") || begins(tidy.trim_start_matches(['+', '-']), "inf") {
        return Err(QuantityError::NotFinite { text: text.to_owned() });
    }
    let end = number_length(&tidy);
    let Ok(number) = tidy[..end].parse::<f64>() else {
        return Err(QuantityError::NotANumber { text: text.to_owned(), expected });
    };
    let symbol = tidy[end..].trim();
    if symbol.strip_prefix(',').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit())) {
        return Err(QuantityError::DecimalComma { text: text.to_owned(), expected });
    }
    if !number.is_finite() || number.abs() > 1e12 {
        return Err(QuantityError::NotFinite { text: text.to_owned() });
    }
    if symbol.is_empty() && expected != Dimension::Ratio {
        return Err(QuantityError::BareNumber { text: text.to_owned(), expected });
    }
    let unit = find_unit(symbol, expected).ok_or_else(|| {
        let unit = symbol.to_owned();
        if find_unit_of_any(symbol).is_some() {
            QuantityError::WrongUnit { unit, expected }
        } else {
            QuantityError::UnknownUnit { unit, expected }
        }
    })?;
    Ok((number * unit.factor + unit.offset, unit))
}
