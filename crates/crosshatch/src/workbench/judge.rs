//! Is this a reading? What a page sends is judged against the engine before anything is stored. Pure.

use super::clock::now;
use super::words::celsius;
use engine::Engine;
use engine::document::{Held, PART_TEMPERATURES, is_part_temperature};
use engine::features::Feature;
use engine::quantity::{
    Dimension, QuantityError, Unit, display_unit, find_unit, format_fixed, has_exponent, parse_quantity,
};
use engine::readings::{Reading, Slip, SlipKind, active_readings, is_stale, moves};
use engine::sizes::{check_new, gauge_question, slip_question};
use serde::Deserialize;

/// A reading as a page sends it.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
#[expect(clippy::struct_excessive_bools, reason = "each is a word of the page by itself")]
pub struct ReadingInput {
    /// Made up by the browser, once for each reading.
    pub delivery_key: String,
    /// Where.
    pub feature: String,
    /// What was typed.
    pub text: String,
    /// Unit that a bare number takes.
    pub unit: String,
    /// Gauge; may be empty.
    pub instrument: String,
    /// Temperature of the part; may be empty.
    pub temperature: String,
    /// How the part was held.
    pub held: Vec<String>,
    /// Number of the reading that it corrects.
    pub corrects: Option<u64>,
    /// The builder was asked and says that it is right.
    pub confirmed: bool,
    /// Takes `corrects` back.
    pub withdrawn: bool,
    /// Takes the correction `corrects` back: what it corrected stands again, as it was read.
    pub undone: bool,
    /// A second reading on purpose: the mean counts.
    pub repeat: bool,
    /// Last reading that the browser knows.
    pub seen: u64,
    /// Sheet on which it was typed.
    pub sheet: String,
    /// A word beside it.
    pub note: String,
}

/// What is wrong with a reading. Nothing was stored.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ReadingFault {
    /// No such place.
    #[error("this engine has no place \"{feature}\"{}", nearest_words(.nearest.as_deref()))]
    UnknownFeature {
        /// As sent.
        feature: String,
        /// Nearest known place.
        nearest: Option<String>,
    },
    /// The value cannot be read.
    #[error("value of {place}: {problem}")]
    Value {
        /// Place in words.
        place: String,
        /// What is wrong and what is expected.
        problem: String,
    },
    /// The gauge is not described in the document.
    #[error("gauge \"{instrument}\": no gauge of that name stands in the document; it has {}", known_words(.known))]
    UnknownInstrument {
        /// As sent.
        instrument: String,
        /// Those that stand there.
        known: Vec<String>,
    },
    /// The temperature cannot be read.
    #[error("temperature \"{temperature}\": {problem}")]
    Temperature {
        /// As sent.
        temperature: String,
        /// What is wrong and what is expected.
        problem: String,
    },
    /// No way to hold a part.
    #[error(
        "held: \"{}\" is no way to hold a part; free, caps torqued, torque plate on or shells in is expected",
        spaced(word)
    )]
    Held {
        /// As sent.
        word: String,
    },
    /// It corrects something else.
    #[error("corrects {number}: reading {number} is no reading of {place}")]
    Corrects {
        /// Number as sent.
        number: u64,
        /// Place in words.
        place: String,
    },
    /// Nothing is named that is to be taken back.
    #[error("corrects: say which reading of {place} is taken back")]
    NothingToWithdraw {
        /// Place in words.
        place: String,
    },
    /// A field of the request is too long, or has control characters.
    #[error("{field}: expected one line of at most {most} characters")]
    Field {
        /// Its name.
        field: &'static str,
        /// The most.
        most: usize,
    },
    /// The key came before with another place.
    #[error("this reading was already kept at {feature}: load the page again and type it once more")]
    KeyReused {
        /// That place.
        feature: String,
    },
}

/// `caps_torqued` → "caps torqued".
fn spaced(word: &str) -> String {
    word.replace('_', " ")
}

fn nearest_words(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |path| format!("; nearest is {path}"))
}

fn known_words(names: &[String]) -> String {
    if names.is_empty() { "none".to_owned() } else { names.join(", ") }
}

/// What comes of a reading.
#[derive(Clone, Debug)]
pub(super) enum Judged {
    /// Store it; the temperature as typed goes beside it.
    Keep(Box<Reading>, String),
    /// Ask once before it is stored.
    Ask {
        /// The question.
        text: String,
        /// What was probably meant, in the unit of the field.
        likely: Option<String>,
        /// It is a second reading that differs from the first.
        differs: bool,
    },
    /// Another reading stands there that the browser had not seen or does not mean.
    Conflict(Box<Reading>),
}

/// Judges a reading that would get `number`.
pub(super) fn judge(
    engine: &Engine,
    input: &ReadingInput,
    number: u64,
    who: &str,
) -> Result<Judged, ReadingFault> {
    fields(input)?;
    let feature = engine.catalogue.feature(&input.feature).ok_or_else(|| ReadingFault::UnknownFeature {
        feature: shorten(&input.feature),
        nearest: engine.catalogue.nearest(&input.feature).map(str::to_owned),
    })?;
    let standing = standing(engine, feature);
    let corrects = match input.corrects {
        None => None,
        Some(n) => {
            let known = engine.readings.iter().find(|r| r.number == n && r.feature == feature.path);
            known.ok_or_else(|| ReadingFault::Corrects { number: n, place: feature.label.clone() })?;
            Some(n)
        }
    };
    let theirs = match corrects {
        // Somebody has corrected the same reading meanwhile.
        Some(n) if !standing.iter().any(|r| r.number == n) => standing.last(),
        Some(_) => None,
        None if input.repeat => None,
        None => standing.last().filter(|r| !is_stale(r, feature, &engine.operations)),
    };
    if let Some(theirs) = theirs {
        return Ok(Judged::Conflict(Box::new((*theirs).clone())));
    }
    if input.withdrawn {
        return withdrawal(engine, feature, corrects, number, who);
    }
    if input.undone {
        return restoration(engine, feature, corrects, number, who);
    }
    let (value, text, unit) = value(feature, input, engine)?;
    let temperature = temperature(input, engine)?;
    let reading = Reading {
        number,
        feature: feature.path.clone(),
        value,
        text,
        instrument: instrument(input, engine)?,
        temperature: temperature.as_ref().map(|t| t.0),
        after: state(engine, feature),
        held: held(input)?,
        // A new reading of a place that an operation has moved is no correction of what was right before it.
        corrects: corrects
            .filter(|n| standing.iter().any(|r| r.number == *n && !is_stale(r, feature, &engine.operations))),
        confirmed: input.confirmed,
        withdrawn: false,
        who: who.to_owned(),
        when: now(),
        note: input.note.trim().to_owned(),
    };
    if !input.confirmed {
        let slip = check_new(engine, &reading);
        let asked =
            slip.map(|slip| question(engine, &reading, &slip, own_unit(feature, input, engine), unit));
        if let Some(asked) = with_gauge(asked, gauge_question(engine, &reading)) {
            return Ok(asked);
        }
    }
    Ok(Judged::Keep(Box::new(reading), temperature.map(|t| t.1).unwrap_or_default()))
}

fn fields(input: &ReadingInput) -> Result<(), ReadingFault> {
    let lines: [(&'static str, &str, usize); 7] = [
        ("delivery_key", &input.delivery_key, 100),
        ("feature", &input.feature, 200),
        ("text", &input.text, 60),
        ("unit", &input.unit, 20),
        ("instrument", &input.instrument, 100),
        ("temperature", &input.temperature, 40),
        ("note", &input.note, 1000),
    ];
    for (field, text, most) in lines {
        if text.chars().count() > most || text.chars().any(char::is_control) {
            return Err(ReadingFault::Field { field, most });
        }
    }
    Ok(())
}

/// A long text, cut for a message.
fn shorten(text: &str) -> String {
    if text.chars().count() > 60 { text.chars().take(60).chain(['…']).collect() } else { text.to_owned() }
}

/// Readings that count at a place.
fn standing<'a>(engine: &'a Engine, feature: &Feature) -> Vec<&'a Reading> {
    active_readings(&engine.readings).filter(|r| r.feature == feature.path).collect()
}

/// Name of the last operation that moved the place; empty: none did.
fn state(engine: &Engine, feature: &Feature) -> String {
    engine.operations.iter().rfind(|o| moves(o, feature)).map(|o| o.name.clone()).unwrap_or_default()
}

fn withdrawal(
    engine: &Engine,
    feature: &Feature,
    corrects: Option<u64>,
    number: u64,
    who: &str,
) -> Result<Judged, ReadingFault> {
    let old = corrects.and_then(|n| engine.readings.iter().find(|r| r.number == n));
    let old = old.ok_or_else(|| ReadingFault::NothingToWithdraw { place: feature.label.clone() })?;
    let reading = Reading {
        number,
        corrects,
        // Nobody was asked whether the value is right.
        confirmed: false,
        withdrawn: true,
        who: who.to_owned(),
        when: now(),
        note: String::new(),
        ..old.clone()
    };
    Ok(stands_again(reading))
}

/// What the correction `corrects` had put aside stands again, with its gauge, temperature and state; a reading that
/// corrected nothing is taken back.
fn restoration(
    engine: &Engine,
    feature: &Feature,
    corrects: Option<u64>,
    number: u64,
    who: &str,
) -> Result<Judged, ReadingFault> {
    let find = |n: u64| engine.readings.iter().find(|r| r.number == n);
    let Some((taken_back, old)) =
        corrects.and_then(|n| Some((n, find(find(n)?.corrects?)?))).filter(|(_, old)| !old.withdrawn)
    else {
        return withdrawal(engine, feature, corrects, number, who);
    };
    let reading = Reading {
        number,
        corrects,
        who: who.to_owned(),
        when: now(),
        note: format!("no. {taken_back} taken back: as no. {}", old.number),
        ..old.clone()
    };
    Ok(stands_again(reading))
}

/// A reading made of an earlier one, with the temperature of that one as a log entry keeps it.
fn stands_again(reading: Reading) -> Judged {
    // To a millionth of a kelvin: what rounding in the conversion leaves is none of it.
    let temperature = reading.temperature.map(|kelvin| celsius(kelvin, 6)).unwrap_or_default();
    Judged::Keep(Box::new(reading), temperature)
}

/// The unit that a bare number takes.
fn own_unit(feature: &Feature, input: &ReadingInput, engine: &Engine) -> &'static Unit {
    find_unit(input.unit.trim(), feature.dimension)
        .unwrap_or_else(|| display_unit(feature.dimension, engine.units()))
}

/// Value in SI, the text with its unit, and the unit.
fn value(
    feature: &Feature,
    input: &ReadingInput,
    engine: &Engine,
) -> Result<(f64, String, &'static Unit), ReadingFault> {
    let fault = |problem: String| ReadingFault::Value { place: feature.label.clone(), problem };
    let typed = input.text.trim();
    if typed.is_empty() {
        return Err(fault(format!(
            "nothing was typed: write {} such as {}",
            feature.dimension.with_article(),
            feature.dimension.example()
        )));
    }
    let usual = display_unit(feature.dimension, engine.units()).symbol;
    // A unit that is none is named in the error.
    let own = if input.unit.trim().is_empty() { usual } else { input.unit.trim() };
    let (text, parsed) = match parse_quantity(typed, feature.dimension) {
        Err(QuantityError::BareNumber { .. }) => {
            let text = format!("{typed} {own}");
            let parsed = parse_quantity(&text, feature.dimension);
            (text, parsed)
        }
        parsed => (typed.to_owned(), parsed),
    };
    let (value, unit) = parsed.map_err(|e| fault(e.to_string()))?;
    // No gauge shows an exponent: it is a slip of the hand, and a large one.
    if has_exponent(&text) {
        let whole = (value - unit.offset) / unit.factor;
        return Err(fault(format!(
            "\"{typed}\" has an exponent, which would be {whole} {}: write the number as the gauge shows it, such as {}",
            unit.symbol,
            feature.dimension.example()
        )));
    }
    if value < 0.0 && !feature.signed {
        return Err(fault(QuantityError::Negative { text, expected: feature.dimension }.to_string()));
    }
    if let Some(most) = most(feature.dimension).filter(|most| value.abs() > *most) {
        let shown = format_fixed((most - unit.offset) / unit.factor, 0);
        return Err(fault(format!(
            "\"{text}\" is larger than anything on an engine: expected at most {shown} {}",
            unit.symbol
        )));
    }
    Ok((value, text, unit))
}

/// More than this is on no engine, whatever was meant; SI. Below it, the question is asked once.
const fn most(dimension: Dimension) -> Option<f64> {
    match dimension {
        Dimension::Length => Some(10.0),
        // A millimetre: rougher than any saw cut.
        Dimension::Roughness => Some(1e-3),
        // Two cycles, 1440°.
        Dimension::Angle => Some(8.0 * std::f64::consts::PI),
        Dimension::Pressure | Dimension::Stiffness => Some(1e9),
        Dimension::Temperature | Dimension::TemperatureDifference => Some(5000.0),
        Dimension::Volume => Some(0.1),
        Dimension::Mass | Dimension::Hardness => Some(1000.0),
        Dimension::Force => Some(1e7),
        _ => None,
    }
}

fn instrument(input: &ReadingInput, engine: &Engine) -> Result<String, ReadingFault> {
    let name = input.instrument.trim();
    if name.is_empty() || engine.document.instruments.contains_key(name) {
        return Ok(name.to_owned());
    }
    let known = engine.document.instruments.keys().cloned().collect();
    Err(ReadingFault::UnknownInstrument { instrument: name.to_owned(), known })
}

/// Kelvin and the text with its unit.
fn temperature(input: &ReadingInput, engine: &Engine) -> Result<Option<(f64, String)>, ReadingFault> {
    let typed = input.temperature.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    let fault = |problem: String| ReadingFault::Temperature { temperature: typed.to_owned(), problem };
    let unit = display_unit(Dimension::Temperature, engine.units()).symbol;
    let (text, parsed) = match parse_quantity(typed, Dimension::Temperature) {
        Err(QuantityError::BareNumber { .. }) => {
            let text = format!("{typed} {unit}");
            let parsed = parse_quantity(&text, Dimension::Temperature);
            (text, parsed)
        }
        parsed => (typed.to_owned(), parsed),
    };
    let (kelvin, _) = parsed.map_err(|e| fault(e.to_string()))?;
    if is_part_temperature(kelvin) {
        Ok(Some((kelvin, text)))
    } else {
        let (least, most) = (PART_TEMPERATURES.start(), PART_TEMPERATURES.end());
        Err(fault(format!("expected the temperature of the part, between {least} °C and {most} °C")))
    }
}

fn held(input: &ReadingInput) -> Result<Vec<Held>, ReadingFault> {
    let word = |word: &String| {
        serde_json::from_value(serde_json::Value::String(word.clone()))
            .map_err(|_| ReadingFault::Held { word: shorten(word) })
    };
    input.held.iter().map(word).collect()
}

/// Decimals in which a value is written at a place.
fn decimals(feature: &Feature, of_table: usize, unit: &Unit) -> usize {
    match (feature.dimension, unit.symbol) {
        // The table's decimals are those of millimetres.
        (Dimension::Length, "in" | "cm") => of_table + 1,
        (Dimension::Length, "m") => of_table + 3,
        (Dimension::Length, "thou") => of_table.saturating_sub(2),
        (Dimension::Length, "um" | "µm" | "μm") => 0,
        (Dimension::Length, _) => of_table,
        (Dimension::Volume | Dimension::Roughness, _) => 2,
        _ => 1,
    }
}

/// A reading is asked about once: the question about its gauge stands beside the one about its value.
fn with_gauge(asked: Option<Judged>, about_gauge: Option<String>) -> Option<Judged> {
    let Some(gauge) = about_gauge else { return asked };
    match asked {
        Some(Judged::Ask { text, likely, differs }) => {
            Some(Judged::Ask { text: format!("{text} {gauge}"), likely, differs })
        }
        Some(other) => Some(other),
        None => Some(Judged::Ask { text: gauge, likely: None, differs: false }),
    }
}

/// The question about a slip. What was probably meant is given in the unit that was typed, unless that unit is the slip; a number
/// without a unit is in the field's own.
fn question(engine: &Engine, reading: &Reading, slip: &Slip, own: &Unit, typed: &Unit) -> Judged {
    let Some(feature) = engine.catalogue.feature(&slip.feature) else {
        return Judged::Ask { text: slip.slip.words(), likely: None, differs: false };
    };
    let differs = matches!(slip.slip, SlipKind::Differs { .. });
    let is_unit = matches!(slip.slip, SlipKind::Inches | SlipKind::Millimetres);
    let unit = if is_unit || differs { own } else { typed };
    let decimals = decimals(feature, engine.catalogue.tables[feature.table].decimals, unit);
    let number = |si: f64| format_fixed((si - unit.offset) / unit.factor, decimals);
    let with_unit = |si: f64| format!("{} {}", number(si), unit.symbol);
    let likely = slip.likely.map(|si| if unit.symbol == own.symbol { number(si) } else { with_unit(si) });
    Judged::Ask { text: slip_question(engine, reading, slip, &with_unit), likely, differs }
}
