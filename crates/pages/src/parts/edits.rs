//! From a posted form to edits of the document.

use super::section_field;
use engine::document::{
    InstrumentKind, Shape, Shop, field_unit, typed_entries, typed_in_unit, typed_quantity,
};
use engine::quantity::{Dimension, QuantityError, UnitSystem, display_unit};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// One change below a section.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartEdit {
    /// Name of the field in the form; that of a new entry has a `+` where the path has its name or number.
    pub field: String,
    /// Keys below the section; a number is a place in a list, 0 first, and one past the last adds an entry.
    pub path: Vec<String>,
    /// TOML literal to write; None leaves the key out.
    pub literal: Option<String>,
}

/// What a posted form asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartEdits {
    /// What can be written. A field that cannot be read is among them as the bare text that was typed, so that a check of all of
    /// them knows that it is there.
    pub edits: Vec<PartEdit>,
    /// What is wrong, by the name of the field; the edits are made only where this is empty.
    pub wrong: BTreeMap<String, String>,
}

/// What says the unit of a bare number in the fields of a section.
#[derive(Clone, Copy)]
pub struct BareNumbers<'a> {
    /// Section of the document.
    pub section: &'a str,
    /// Units of the document.
    pub units: UnitSystem,
    /// Stock and prices, for the currency.
    pub shop: &'a Shop,
    /// What stands in the document, by dotted path below the section.
    pub stands: &'a BTreeMap<String, String>,
}

/// Resolves a posted form; a bare number takes the unit that its field shows: that of the figure that it is typed over, that of the
/// gauge among the figures of a gauge, the currency of the shop in a price. Fields whose names start with `_` and `based_on` belong to the page.
/// Every field that is wrong is named.
pub fn part_edits(form: &[(String, String)], bare: BareNumbers) -> PartEdits {
    let mut errors = BTreeMap::new();
    let mut edits = Vec::new();
    let Some(field) = section_field(bare.section) else {
        errors.insert(String::new(), format!("\"{}\" is no section of the document", bare.section));
        return PartEdits { edits, wrong: errors };
    };
    let badly_named = new_names(form, &mut errors);
    for (name, text) in form {
        let skipped = name.starts_with('_') || name == "based_on";
        if skipped || badly_named.iter().any(|entry| name.starts_with(entry.as_str())) {
            continue;
        }
        match edit(&field.shape, form, name, text.trim(), bare) {
            Ok(Some((edit, problem))) => {
                edits.push(edit);
                errors.extend(problem.map(|problem| (name.clone(), problem)));
            }
            Ok(None) => {}
            Err(problem) => {
                errors.insert(name.clone(), problem);
            }
        }
    }
    unfilled_entries(form, &edits, &mut errors);
    PartEdits { edits, wrong: errors }
}

/// The new entries whose names cannot stand (told once, at the name), by the start of their fields' names.
fn new_names(form: &[(String, String)], errors: &mut BTreeMap<String, String>) -> Vec<String> {
    let mut wrong = Vec::new();
    for (name, key) in form {
        let key = key.trim();
        if let Some(entry) = name.strip_suffix("key").filter(|entry| entry.ends_with("+."))
            && (key.contains(['.', ',', ';']) || key == "+")
        {
            let problem = format!(
                "\"{key}\": point, comma and semicolon cannot stand in a name; write a word or a space for them"
            );
            errors.insert(name.clone(), problem);
            wrong.push(entry.to_owned());
        }
    }
    wrong
}

/// A new entry that has a name and nothing else would be dropped without a word.
fn unfilled_entries(form: &[(String, String)], edits: &[PartEdit], errors: &mut BTreeMap<String, String>) {
    for (name, key) in form {
        let Some(at) = name.strip_suffix("+.key").filter(|_| !key.trim().is_empty()) else { continue };
        let path: Vec<&str> = at.split('.').filter(|part| !part.is_empty()).chain([key.trim()]).collect();
        let has_more =
            |edit: &PartEdit| edit.literal.is_some() && edit.path.iter().zip(&path).all(|(a, b)| a == b);
        let is_wrong = errors.keys().any(|field| field.starts_with(&format!("{at}+.")));
        if !is_wrong && !edits.iter().any(|edit| edit.path.len() >= path.len() && has_more(edit)) {
            errors.insert(
                name.clone(),
                format!("nothing is filled in for \"{}\": fill it in, or clear its name", key.trim()),
            );
        }
    }
}

/// The edit of one field, with what is wrong with its value.
fn edit(
    root: &Shape,
    form: &[(String, String)],
    name: &str,
    text: &str,
    bare: BareNumbers,
) -> Result<Option<(PartEdit, Option<String>)>, String> {
    let mut shape = root;
    let mut path = Vec::new();
    let mut at = String::new();
    let segments: Vec<&str> = name.split('.').filter(|s| !s.is_empty()).collect();
    for (i, segment) in segments.iter().enumerate() {
        let last = i + 1 == segments.len();
        match shape {
            Shape::Table(table) => {
                shape = &table
                    .fields
                    .get(*segment)
                    .ok_or_else(|| format!("\"{segment}\" is not known here"))?
                    .shape;
                path.push((*segment).to_owned());
            }
            Shape::Map(inner) | Shape::List(inner) if *segment == "+" => {
                let Some(key) = new_key(shape, form, &at, text)? else { return Ok(None) };
                path.push(key);
                shape = inner;
            }
            // `+.key` and `+.value` of a map of plain values or of lists of them.
            _ if last && *segment == "value" && is_new(&segments, i) => {}
            _ if last && *segment == "key" && is_new(&segments, i) => return Ok(None),
            Shape::Map(inner) | Shape::List(inner) => {
                path.push((*segment).to_owned());
                shape = inner;
            }
            _ => return Err(format!("\"{name}\" is not known here")),
        }
        if !at.is_empty() {
            at.push('.');
        }
        at.push_str(segment);
        if last_is_key(shape, &segments, i) {
            return Ok(None);
        }
    }
    let value = |key: &str| form.iter().find(|(name, _)| name == key).map(|(_, text)| text.as_str());
    let unit = bare.unit(shape, name, &value);
    let read = if text.is_empty() { Ok(None) } else { literal(shape, text, unit.as_deref()).map(Some) };
    let (literal, problem) = match read {
        Ok(literal) => (literal, None),
        Err(problem) => (Some(quoted(text)), Some(problem)),
    };
    // Nothing written into a new entry is no entry.
    if literal.is_none() && segments.contains(&"+") {
        return Ok(None);
    }
    Ok(Some((PartEdit { field: name.to_owned(), path, literal }, problem)))
}

impl BareNumbers<'_> {
    /// The unit or currency that a bare number takes at `path`; `value` finds what stands in another field of the form.
    pub(super) fn unit<'v>(
        &self,
        shape: &Shape,
        path: &str,
        value: &dyn Fn(&str) -> Option<&'v str>,
    ) -> Option<String> {
        match shape {
            Shape::List(inner) => self.unit(inner, path, value),
            Shape::Quantity(quantity) => match quantity.dimension {
                Some(Dimension::Money) => self.currency(value),
                Some(dimension) => {
                    let stands = self.stands.get(path).map(String::as_str);
                    let whole = format!("{}.{path}", self.section);
                    let unit = field_unit(&whole, stands, dimension, self.units).symbol;
                    (!unit.is_empty()).then(|| unit.to_owned())
                }
                None => self.of_gauge(path, value),
            },
            _ => None,
        }
    }

    fn currency<'v>(&self, value: &dyn Fn(&str) -> Option<&'v str>) -> Option<String> {
        // Emptied in the form, it no longer holds; what the other prices name still does.
        let stated = match value("currency") {
            Some(_) => filled(value("currency")),
            None => Some(self.shop.currency.as_str()),
        };
        let currency = stated.filter(|c| !c.is_empty()).unwrap_or(&self.shop.prices_in);
        (!currency.is_empty()).then(|| currency.to_owned())
    }

    fn of_gauge<'v>(&self, path: &str, value: &dyn Fn(&str) -> Option<&'v str>) -> Option<String> {
        let (gauge, _) = path.rsplit_once('.')?;
        let kind = || InstrumentKind::from_word(filled(value(&format!("{gauge}.kind")))?)?.reads();
        filled(value(&format!("{gauge}.unit")))
            .map(str::to_owned)
            .or_else(|| kind().map(|dimension| display_unit(dimension, self.units).symbol.to_owned()))
    }
}

/// What stands in a field, where anything does.
fn filled(text: Option<&str>) -> Option<&str> {
    text.map(str::trim).filter(|text| !text.is_empty())
}

/// Does segment `i` stand behind the sign of a new entry?
fn is_new(segments: &[&str], i: usize) -> bool {
    i > 0 && segments[i - 1] == "+"
}

/// The field that names a new entry of a map is no value itself.
fn last_is_key(shape: &Shape, segments: &[&str], i: usize) -> bool {
    let named =
        segments.get(i) == Some(&"+") && segments.get(i + 1) == Some(&"key") && i + 2 == segments.len();
    named && !matches!(shape, Shape::Table(table) if table.fields.contains_key("key"))
}

/// Name or number of a new entry at `at`.
fn new_key(shape: &Shape, form: &[(String, String)], at: &str, text: &str) -> Result<Option<String>, String> {
    let prefix = if at.is_empty() { String::new() } else { format!("{at}.") };
    if matches!(shape, Shape::List(_)) {
        let next = form
            .iter()
            .filter_map(|(name, _)| name.strip_prefix(&prefix)?.split('.').next()?.parse::<usize>().ok())
            .max()
            .map_or(0, |n| n + 1);
        return Ok(Some(next.to_string()));
    }
    let wanted = format!("{prefix}+.key");
    let key = form.iter().find(|(name, _)| *name == wanted).map_or("", |(_, key)| key.trim());
    if key.is_empty() {
        return if text.is_empty() { Ok(None) } else { Err("give the new entry a name".to_owned()) };
    }
    Ok(Some(key.to_owned()))
}

/// The text as TOML; a bare number takes the unit.
fn literal(shape: &Shape, text: &str, unit: Option<&str>) -> Result<String, String> {
    match shape {
        Shape::Quantity(quantity) => {
            // Without a unit of its own, the number must say it.
            let written = match unit {
                Some(unit) => typed_in_unit(text, quantity.dimension, unit),
                None => typed_quantity(text, quantity.dimension, UnitSystem::Metric),
            };
            written.map(|written| quoted(&written)).map_err(|error| no_unit(quantity.dimension, &error))
        }
        Shape::Words(words) if words.iter().any(|(word, _)| word == text) => Ok(quoted(text)),
        Shape::Words(_) => Err(format!("\"{text}\" is not one of the words")),
        Shape::Integer { min, max } => match text.parse::<i64>() {
            Ok(n) if (*min..=*max).contains(&n) => Ok(n.to_string()),
            Ok(n) => Err(format!("{n} is not between {min} and {max}")),
            Err(_) => Err(format!("\"{text}\" is no whole number")),
        },
        Shape::Number { min } => match text.replace(',', ".") {
            text if text.parse::<f64>().is_ok_and(|n| n.is_finite() && n >= *min) => {
                Ok(if text.contains(['.', 'e', 'E']) { text.clone() } else { format!("{text}.0") })
            }
            _ => Err(format!("\"{text}\" is no number that fits here")),
        },
        Shape::Flag if matches!(text, "true" | "false") => Ok(text.to_owned()),
        Shape::Flag => Err("say yes or no".to_owned()),
        Shape::List(inner) => list(inner, text, unit),
        _ => Ok(quoted(text)),
    }
}

/// Why a quantity could not be read, and what to write where a bare number has no unit here.
fn no_unit(dimension: Option<Dimension>, error: &QuantityError) -> String {
    match error {
        QuantityError::BareNumber { text, .. } if dimension.is_none() => format!(
            "\"{text}\" has no unit: say what kind of gauge it is, or write the unit that it reads in, such as \"0.001 mm\" or \"0.1 g\""
        ),
        QuantityError::BareNumber { text, expected: Dimension::Money } => format!(
            "\"{text}\" has no currency: write it beside the amount, such as {}, or fill in the currency of the workshop (three letters, ISO 4217)",
            Dimension::Money.example()
        ),
        error => error.to_string(),
    }
}

fn list(inner: &Shape, text: &str, unit: Option<&str>) -> Result<String, String> {
    let parted = |separator: char| text.split(separator).map(str::to_owned).collect();
    let entries: Vec<String> = match inner {
        Shape::Quantity(_) | Shape::Number { .. } => typed_entries(text).ok_or_else(|| {
            format!("\"{text}\": a comma here could part two entries or be a decimal mark; put a semicolon between entries")
        })?,
        Shape::List(_) => parted('/'),
        _ => parted(','),
    };
    let entries = entries.iter().map(|entry| entry.trim()).filter(|entry| !entry.is_empty());
    let (mut written, mut wrong) = (Vec::new(), Vec::new());
    for (at, entry) in entries.enumerate() {
        match literal(inner, entry, unit) {
            Ok(literal) => written.push(literal),
            Err(problem) => wrong.push(format!("entry {}: {problem}", at + 1)),
        }
    }
    if wrong.is_empty() { Ok(format!("[{}]", written.join(", "))) } else { Err(wrong.join("; ")) }
}

fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn form(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(a, b)| ((*a).to_owned(), (*b).to_owned())).collect()
    }

    fn part_edits(
        section: &str,
        form: &[(String, String)],
        units: UnitSystem,
        shop: &Shop,
    ) -> Result<Vec<PartEdit>, BTreeMap<String, String>> {
        kept(super::part_edits(form, BareNumbers { section, units, shop, stands: &BTreeMap::new() }))
    }

    fn kept(read: PartEdits) -> Result<Vec<PartEdit>, BTreeMap<String, String>> {
        if read.wrong.is_empty() { Ok(read.edits) } else { Err(read.wrong) }
    }

    fn check(section: &str, pairs: &[(&str, &str)], expected: &[(&str, Option<&str>)]) {
        check_over(section, &[], pairs, expected);
    }

    /// As `check`, over what stands in the document.
    fn check_over(
        section: &str,
        stands: &[(&str, &str)],
        pairs: &[(&str, &str)],
        expected: &[(&str, Option<&str>)],
    ) {
        let stands = &form(stands).into_iter().collect();
        let bare = BareNumbers { section, units: UnitSystem::Metric, shop: &Shop::default(), stands };
        let edits = kept(super::part_edits(&form(pairs), bare)).expect("edits");
        let got: Vec<(String, Option<String>)> =
            edits.into_iter().map(|e| (e.path.join("."), e.literal)).collect();
        let expected: Vec<(String, Option<String>)> =
            expected.iter().map(|(p, l)| ((*p).to_owned(), l.map(str::to_owned))).collect();
        assert_eq!(got, expected);
    }

    #[test]
    fn plain_fields_become_literals() {
        check(
            "layout",
            &[
                ("_token", "x"),
                ("based_on", "3"),
                ("cylinders", "4"),
                ("bore", " 89.1 mm "),
                ("stroke", ""),
                ("arrangement", "inline"),
                ("firing_order", "1, 3, 4, 2"),
                ("banks", "1,3/2,4"),
            ],
            &[
                ("cylinders", Some("4")),
                ("bore", Some("\"89.1 mm\"")),
                ("stroke", None),
                ("arrangement", Some("\"inline\"")),
                ("firing_order", Some("[1, 3, 4, 2]")),
                ("banks", Some("[[1, 3], [2, 4]]")),
            ],
        );
    }

    #[test]
    fn new_entries_get_their_names() {
        check(
            "rod_shells",
            &[("grades.+.key", "thick"), ("grades.+.value", "1.4925 mm")],
            &[("grades.thick", Some("\"1.4925 mm\""))],
        );
        check(
            "instruments",
            &[("+.key", "B1"), ("+.kind", "bore_gauge"), ("+.label", "")],
            &[("B1.kind", Some("\"bore_gauge\""))],
        );
        check(
            "intake",
            &[("runner.0.length", "80 mm"), ("runner.+.length", "90 mm"), ("runner.+.diameter", "")],
            &[("runner.0.length", Some("\"80 mm\"")), ("runner.1.length", Some("\"90 mm\""))],
        );
    }

    #[test]
    fn a_new_entry_may_be_a_list() {
        check(
            "main_shells",
            &[("fitted.1", "std"), ("fitted.+.key", "2"), ("fitted.+.value", "std, thick")],
            &[("fitted.1", Some("[\"std\"]")), ("fitted.2", Some("[\"std\", \"thick\"]"))],
        );
        check("main_shells", &[("fitted.+.key", ""), ("fitted.+.value", "")], &[]);
    }

    #[test]
    fn a_new_entry_is_never_dropped_without_a_word() {
        let wrong = |section: &str, pairs: &[(&str, &str)]| {
            part_edits(section, &form(pairs), UnitSystem::Metric, &Shop::default()).expect_err("wrong")
        };
        for (section, at, field) in [("main_shells", "fitted.+.", "value"), ("instruments", "+.", "label")] {
            let (key, field) = (format!("{at}key"), format!("{at}{field}"));
            let unfilled = wrong(section, &[(&key, "B1"), (&field, "")]);
            assert!(unfilled[&key].contains("nothing is filled in"), "{unfilled:?}");
            let unnamed = wrong(section, &[(&key, ""), (&field, "std")]);
            assert!(unnamed[&field].contains("give the new entry a name"), "{unnamed:?}");
        }
        let point = wrong("rod_shells", &[("grades.+.key", "0.25"), ("grades.+.value", "1.4925 mm")]);
        assert_eq!(point.len(), 1);
        assert!(point["grades.+.key"].contains("point"), "{point:?}");
    }

    #[test]
    fn wrong_fields_are_named() {
        let wrong = |section: &str, pairs: &[(&str, &str)]| {
            part_edits(section, &form(pairs), UnitSystem::Metric, &Shop::default()).expect_err("wrong")
        };
        let errors = wrong("layout", &[("bore", "wide"), ("cylinders", "forty"), ("stroke", "84 bar")]);
        assert_eq!(errors.len(), 3);
        assert!(errors["bore"].contains("write a length such as"), "{}", errors["bore"]);
        assert!(errors["cylinders"].contains("whole number"));
        assert!(
            part_edits("readings", &[], UnitSystem::Metric, &Shop::default()).is_err(),
            "readings have no form"
        );
        // A gauge of no stated kind may read anything, so its unit cannot be guessed.
        let gauge = wrong("instruments", &[("M1.resolution", "0.001")]);
        assert!(gauge["M1.resolution"].contains("that it reads in"), "{gauge:?}");
        let angle = wrong("valves", &[("intake.seat_angle", "steep")]);
        assert!(angle["intake.seat_angle"].contains("write an angle such as \"90 deg\""), "{angle:?}");
        // Every wrong entry of a list is named; a comma that could be read two ways is asked about.
        let list = &wrong("flow_bench", &[("intake.lift", "1, two, 3 bar")])["intake.lift"];
        assert!(
            list.contains("entry 2: ") && list.contains("entry 3: ") && !list.contains("entry 1"),
            "{list}"
        );
        let comma = &wrong("flow_bench", &[("intake.lift", "1,5, 3")])["intake.lift"];
        assert!(comma.contains("semicolon"), "{comma}");
    }

    #[test]
    fn a_bare_number_takes_the_unit_of_its_field() {
        check(
            "pistons",
            &[("dish", "0"), ("mass", "338,5")],
            &[("dish", Some("\"0 cm\u{b3}\"")), ("mass", Some("\"338.5 g\""))],
        );
        check(
            "flow_bench",
            &[("intake.lift", "1; 2,5; 4 mm"), ("intake.flow", "900, 1800.5")],
            &[
                ("intake.lift", Some("[\"1 mm\", \"2.5 mm\", \"4 mm\"]")),
                ("intake.flow", Some("[\"900 L/min\", \"1800.5 L/min\"]")),
            ],
        );
        // A separator behind the last entry parts nothing; a unit behind it is that of all.
        check("springs", &[("shims", "1, 2, 3,")], &[("shims", Some("[\"1 mm\", \"2 mm\", \"3 mm\"]"))]);
        check("springs", &[("shims", "15, 30 thou")], &[("shims", Some("[\"15 thou\", \"30 thou\"]"))]);
        check("layout", &[("stroke", "3.48\"")], &[("stroke", Some("\"3.48 in\""))]);
        let inch = part_edits("layout", &form(&[("bore", "3.5")]), UnitSystem::Inch, &Shop::default())
            .expect("edits");
        assert_eq!(inch[0].literal.as_deref(), Some("\"3.5 in\""));
    }

    #[test]
    fn a_number_typed_over_another_keeps_its_unit() {
        check_over(
            "layout",
            &[("bore", "3.5079 in"), ("stroke", "84")],
            &[("bore", "3.52"), ("stroke", "3.3 in")],
            &[("bore", Some("\"3.52 in\"")), ("stroke", Some("\"3.3 in\""))],
        );
        check_over(
            "springs",
            &[("shims", "15 thou, 30 thou")],
            &[("shims", "15, 60")],
            &[("shims", Some("[\"15 thou\", \"60 thou\"]"))],
        );
        // Where nothing stands, as the trade writes it.
        check("fuel", &[("injector_flow", "800")], &[("injector_flow", Some("\"800 cm\u{b3}/min\""))]);
        check(
            "fasteners",
            &[("rod_bolts.proof_stress", "1200")],
            &[("rod_bolts.proof_stress", Some("\"1200 MPa\""))],
        );
        check("oil", &[("sump", "6.5")], &[("sump", Some("\"6.5 L\""))]);
        check("crank", &[("mass", "15.2")], &[("mass", Some("\"15.2 kg\""))]);
    }

    #[test]
    fn a_figure_of_a_gauge_takes_the_unit_of_the_gauge() {
        check(
            "instruments",
            &[("M1.kind", "micrometer"), ("M1.resolution", "0,001"), ("M1.max_error", "2 um")],
            &[
                ("M1.kind", Some("\"micrometer\"")),
                ("M1.resolution", Some("\"0.001 mm\"")),
                ("M1.max_error", Some("\"2 um\"")),
            ],
        );
        check(
            "instruments",
            &[("+.key", "W1"), ("+.kind", "balance"), ("+.resolution", "0.1")],
            &[("W1.kind", Some("\"balance\"")), ("W1.resolution", Some("\"0.1 g\""))],
        );
        // Its own unit goes before that of its kind.
        check(
            "instruments",
            &[("B1.kind", "bore_gauge"), ("B1.unit", "thou"), ("B1.setting", "0.1")],
            &[
                ("B1.kind", Some("\"bore_gauge\"")),
                ("B1.unit", Some("\"thou\"")),
                ("B1.setting", Some("\"0.1 thou\"")),
            ],
        );
        let inch = form(&[("B1.kind", "bore_gauge"), ("B1.resolution", "0.0001")]);
        let inch = part_edits("instruments", &inch, UnitSystem::Inch, &Shop::default()).expect("edits");
        assert_eq!(inch[1].literal.as_deref(), Some("\"0.0001 in\""));
    }

    #[test]
    fn a_price_takes_the_currency_of_the_shop_and_none_without_one() {
        let price = |pairs: &[(&str, &str)], shop: &Shop| {
            part_edits("shop", &form(pairs), UnitSystem::Metric, shop)
                .map(|edits| edits.into_iter().filter_map(|e| e.literal).next_back().unwrap_or_default())
                .map_err(|errors| errors["shell_pair.price"].clone())
        };
        let shop = |currency: &str, prices_in: &str| Shop {
            currency: currency.into(),
            prices_in: prices_in.into(),
            ..Shop::default()
        };
        let bare = ("shell_pair.price", "31,5");
        assert_eq!(price(&[bare], &shop("SEK", "")).as_deref(), Ok("\"31.5 SEK\""));
        assert_eq!(price(&[bare], &shop("", "USD")).as_deref(), Ok("\"31.5 USD\""), "as the other prices");
        assert_eq!(price(&[("currency", "JPY"), bare], &shop("", "")).as_deref(), Ok("\"31.5 JPY\""));
        let own = ("shell_pair.price", "31.5 EUR");
        assert_eq!(price(&[own], &shop("", "")).as_deref(), Ok("\"31.5 EUR\""));
        for shop in [shop("", ""), shop("SEK", "")] {
            let wrong = price(&[("currency", ""), bare], &shop).expect_err("no currency");
            assert!(wrong.contains("no currency") && wrong.contains("12.50 EUR"), "{wrong}");
            assert!(wrong.contains("ISO 4217"), "{wrong}");
        }
    }

    #[test]
    fn text_cannot_leave_its_quotes() {
        assert_eq!(quoted("a\"b\\c\nd"), "\"a\\\"b\\\\c\\u000Ad\"");
    }
}
