//! How units are written in the trade: `ft-lb`, `9.60"`, `cu in`, `MM`. One matcher serves documents, forms, CSV and
//! the pattern of the JSON Schema, so that they agree.

use super::units::{Dimension, UNITS, Unit, units_of};

use Dimension as D;

/// Further spellings of a unit of the table, by dimension: `lb` is a mass where a mass is asked for, a force where a force is.
///
/// Common practice, no source. In a spelling `·` and a blank stand for any sign of a product or none (`lb-ft`, `lb ft`,
/// `lbft`), letters for both cases, raised figures for plain ones as well; a point may follow an abbreviation.
const SPELLINGS: &[(Dimension, &str, &[&str])] = &[
    (D::Length, "mm", &["millimetre", "millimetres", "millimeter", "millimeters"]),
    (D::Length, "in", &["inch", "inches", "\"", "\u{2033}", "\u{201d}"]),
    (D::Length, "thou", &["mil", "mils", "thousandth", "thousandths"]),
    (D::Length, "um", &["micron", "microns"]),
    (D::Length, "ft", &["foot", "feet"]),
    (D::Roughness, "µm", &["micron", "microns"]),
    (D::Roughness, "µin", &["microinch", "microinches"]),
    (D::Volume, "cm3", &["ccm", "cu cm"]),
    (D::Volume, "L", &["litre", "litres", "liter", "liters"]),
    (D::Volume, "in3", &["cu in", "ci", "cid"]),
    (D::Mass, "g", &["gram", "grams"]),
    (D::Mass, "kg", &["kgs"]),
    (D::Mass, "lb", &["lbs", "pound", "pounds"]),
    (D::Mass, "oz", &["ounce", "ounces"]),
    (D::Angle, "deg", &["degs", "degree", "degrees"]),
    (D::Pressure, "inH2O", &["in H2O"]),
    (D::Pressure, "inHg", &["in Hg"]),
    (D::Pressure, "mmHg", &["mm Hg"]),
    (D::Pressure, "psi", &["lbf/in²", "lb/in²"]),
    (D::Pressure, "kgf/cm²", &["kg/cm²"]),
    (D::Force, "lbf", &["lb", "lbs", "pound", "pounds"]),
    (D::Force, "kgf", &["kg"]),
    (D::Stiffness, "lbf/in", &["lb/in", "lbs/in", "lbf/inch", "lb/inch", "lbs/inch"]),
    (D::Stiffness, "kgf/mm", &["kg/mm"]),
    (D::Temperature, "°C", &["deg C", "degrees C"]),
    (D::Temperature, "°F", &["deg F", "degrees F"]),
    (D::TemperatureDifference, "°C", &["C", "deg C", "degrees C"]),
    (D::TemperatureDifference, "°F", &["F", "deg F", "degrees F"]),
    (D::Speed, "rev/min", &["revs/min", "r/min"]),
    (D::Torque, "lbf·ft", &["lb·ft", "ft·lb", "ft·lbf", "lbs·ft", "ft·lbs"]),
    (D::Torque, "lbf·in", &["lb·in", "in·lb", "in·lbf", "lbs·in", "in·lbs"]),
    (D::Torque, "kgf·m", &["kg·m", "m·kg"]),
    (D::Power, "hp", &["bhp"]),
    (D::VolumeFlow, "ft3/min", &["cfm", "cu ft/min"]),
    (D::VolumeFlow, "L/min", &["lpm"]),
    (D::VolumeFlow, "cm3/min", &["cc/min", "ml/min"]),
    (D::MassFlow, "lb/min", &["lbs/min"]),
    (D::MassFlow, "lb/h", &["lb/hr", "lbs/hr"]),
    (D::MassFlow, "kg/h", &["kg/hr"]),
    (D::Area, "mm2", &["sq mm"]),
    (D::Area, "cm2", &["sq cm"]),
    (D::Area, "in2", &["sq in"]),
    (D::Displacement, "cm3/rev", &["cc/rev"]),
    (D::Displacement, "in3/rev", &["cu in/rev", "ci/rev"]),
    (D::Expansion, "1e-6/K", &["µm/m/K", "ppm/K", "1e-6/°C", "ppm/°C"]),
    (D::Hardness, "HB", &["HBW", "BHN"]),
    (D::Ratio, "", &[":1", "to 1"]),
    (D::Time, "day", &["d"]),
    (D::Time, "h", &["hr", "hrs", "hour", "hours"]),
    (D::Time, "min", &["minute", "minutes"]),
    (D::Time, "week", &["weeks"]),
];

/// The unit of that dimension which is written so.
pub fn find_unit(written: &str, dimension: Dimension) -> Option<&'static Unit> {
    let written = written.trim();
    units_of(dimension)
        .find(|unit| unit.symbol == written)
        .or_else(|| units_of(dimension).find(|unit| is_written(unit.symbol, written)))
        .or_else(|| {
            let (_, symbol, _) = SPELLINGS
                .iter()
                .filter(|(of, ..)| *of == dimension)
                .find(|(_, _, spellings)| spellings.iter().any(|s| is_written(s, written)))?;
            units_of(dimension).find(|unit| unit.symbol == *symbol)
        })
}

/// The first unit of any dimension which is written so: `lb` is a mass.
pub fn find_unit_of_any(written: &str) -> Option<&'static Unit> {
    let exact = UNITS.iter().find(|unit| unit.symbol == written);
    exact.or_else(|| UNITS.iter().find_map(|unit| find_unit(written, unit.dimension)))
}

/// Every unit of a dimension with its spellings, for messages: "mm, in (inch, inches, \"), thou …".
pub fn spellings_taken(dimension: Dimension) -> String {
    if dimension == D::Money {
        return "a code of ISO 4217 such as EUR, USD or GBP".to_owned();
    }
    let mut groups: Vec<(&Unit, Vec<&str>)> = Vec::new();
    for unit in units_of(dimension) {
        let others = SPELLINGS.iter().filter(|(of, symbol, _)| *of == dimension && *symbol == unit.symbol);
        let written =
            std::iter::once(unit.symbol).chain(others.flat_map(|(.., spellings)| spellings.iter().copied()));
        match groups.iter_mut().find(|(of, _)| of.is_same(unit)) {
            Some((_, all)) => all.extend(written),
            None => groups.push((unit, written.collect())),
        }
    }
    let group = |(_, mut all): (&Unit, Vec<&str>)| {
        // Twins of one look, such as the two signs for micro, are named once.
        let mut seen = std::collections::BTreeSet::new();
        all.retain(|s| !matches!(*s, "\u{2033}" | "\u{201d}") && seen.insert(plain(s)));
        let first = if all[0].is_empty() { "no unit" } else { all[0] };
        if all.len() > 1 { format!("{first} ({})", all[1..].join(", ")) } else { first.to_owned() }
    };
    groups.into_iter().map(group).collect::<Vec<_>>().join(", ")
}

/// Regular expression (ECMA-262, as JSON Schema asks) of every spelling of a dimension.
pub fn spellings_pattern(dimension: Dimension) -> String {
    let further =
        SPELLINGS.iter().filter(|(of, ..)| *of == dimension).flat_map(|(.., all)| all.iter().copied());
    let mut patterns: Vec<String> = Vec::new();
    for symbol in units_of(dimension).map(|unit| unit.symbol).chain(further) {
        let pattern = pattern_of(symbol);
        if !patterns.contains(&pattern) {
            patterns.push(pattern);
        }
    }
    patterns.join("|")
}

/// What a spelling allows at one place.
enum Token {
    /// Nothing or any run of signs of a product.
    Joint,
    /// A division or `:` with blanks around it or none.
    Parted(char),
    /// A raised figure, plain or behind `^` as well.
    Raised(char, char),
    /// One of these characters.
    OneOf(Vec<char>),
    /// A point that may close an abbreviation.
    MayPoint,
}

const JOINTS: &str = " \u{b7}\u{22c5}.*-";

fn tokens(symbol: &str) -> Vec<Token> {
    let mut list = Vec::new();
    let mut before = None;
    for c in symbol.chars() {
        list.push(match c {
            '·' | ' ' => Token::Joint,
            '/' | ':' => Token::Parted(c),
            '²' => Token::Raised('²', '2'),
            '³' => Token::Raised('³', '3'),
            // Mega and milli differ by their case only.
            'M' if before.is_none() && symbol.starts_with("MPa")
                || symbol.starts_with("MN") && before.is_none() =>
            {
                Token::OneOf(vec!['M'])
            }
            'µ' | 'μ' => Token::OneOf(vec!['µ', 'μ']),
            '°' => Token::OneOf(vec!['°', 'º', '˚']),
            '2' if before.is_some_and(char::is_alphabetic) => Token::Raised('²', '2'),
            '3' if before.is_some_and(char::is_alphabetic) => Token::Raised('³', '3'),
            c if c.is_ascii_alphabetic() => {
                Token::OneOf(vec![c.to_ascii_lowercase(), c.to_ascii_uppercase()])
            }
            c => Token::OneOf(vec![c]),
        });
        before = Some(c);
    }
    if before.is_some_and(|c| c.is_ascii_alphabetic()) {
        list.push(Token::MayPoint);
    }
    list
}

/// Is `symbol` written so? The same as [`pattern_of`] says.
fn is_written(symbol: &str, written: &str) -> bool {
    let mut rest = written;
    for token in tokens(symbol) {
        let next = rest.chars().next();
        let left = match token {
            Token::Joint => Some(rest.trim_start_matches(|c| JOINTS.contains(c))),
            Token::Parted(sign) => rest.trim_start().strip_prefix(sign).map(str::trim_start),
            Token::Raised(raised, figure) => {
                let plain = rest.strip_prefix('^').unwrap_or(rest).strip_prefix(figure);
                rest.strip_prefix(raised).or(plain)
            }
            Token::OneOf(of) => next.filter(|c| of.contains(c)).map(|c| &rest[c.len_utf8()..]),
            Token::MayPoint => Some(rest.strip_prefix('.').unwrap_or(rest)),
        };
        match left {
            Some(left) => rest = left,
            None => return false,
        }
    }
    rest.is_empty()
}

fn pattern_of(symbol: &str) -> String {
    let escape = |c: char| if "\\^$.|?*+()[]{}/".contains(c) { format!("\\{c}") } else { c.to_string() };
    let one = |token| match token {
        Token::Joint => "[ \u{b7}\u{22c5}.*\\-]*".to_owned(),
        Token::Parted(sign) => format!("\\s*{}\\s*", escape(sign)),
        Token::Raised(raised, figure) => format!("(?:{raised}|\\^?{figure})"),
        Token::OneOf(of) => match of.as_slice() {
            [only] => escape(*only),
            several => format!("[{}]", several.iter().collect::<String>()),
        },
        Token::MayPoint => "\\.?".to_owned(),
    };
    tokens(symbol).into_iter().map(one).collect()
}

/// A spelling without what the matcher does not tell apart.
fn plain(symbol: &str) -> String {
    symbol
        .chars()
        .filter(|c| !JOINTS.contains(*c))
        .map(|c| match c {
            'µ' | 'μ' => 'u',
            '²' => '2',
            '³' => '3',
            c => c.to_ascii_lowercase(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> impl Iterator<Item = (Dimension, &'static str, &'static Unit)> {
        let own = UNITS.iter().map(|unit| (unit.dimension, unit.symbol, unit));
        own.chain(SPELLINGS.iter().flat_map(|(dimension, symbol, spellings)| {
            let unit = units_of(*dimension).find(|unit| unit.symbol == *symbol).expect("a unit of the table");
            spellings.iter().map(move |spelling| (*dimension, *spelling, unit))
        }))
    }

    /// No spelling, in any case that is taken, means two units.
    #[test]
    fn no_spelling_means_two_units() {
        for (dimension, spelling, unit) in all() {
            for written in [spelling.to_owned(), spelling.to_uppercase(), spelling.to_lowercase()] {
                for (other, symbol, meant) in all().filter(|(other, ..)| *other == dimension) {
                    let same = meant.is_same(unit);
                    let both = is_written(spelling, &written) && is_written(symbol, &written);
                    assert!(same || !both, "{other:?}: {written} is {spelling} and {symbol}");
                }
            }
        }
    }

    #[test]
    fn mega_is_not_milli() {
        assert!(find_unit("MPa", D::Pressure).is_some() && find_unit("MPA", D::Pressure).is_some());
        assert!(find_unit("mPa", D::Pressure).is_none() && find_unit("mpa", D::Pressure).is_none());
        assert_eq!(find_unit("MM", D::Length).map(|u| u.symbol), Some("mm"));
    }

    #[test]
    fn the_spellings_of_a_dimension_are_listed_once_each() {
        assert_eq!(
            spellings_taken(D::Length),
            "mm (millimetre, millimetres, millimeter, millimeters), in (inch, inches, \"), \
             thou (mil, mils, thousandth, thousandths), um (micron, microns), cm, m, ft (foot, feet)"
        );
        assert!(spellings_taken(D::Torque).contains("lbf·ft (lb·ft, ft·lb, ft·lbf, lbs·ft, ft·lbs)"));
        assert!(spellings_taken(D::Ratio).starts_with("no unit (:1, to 1)"));
    }
}
