//! A new document for a layout: readable, commented, with nothing in it that the builder has not said, save what is
//! usual for the layout and marked so.

use super::edit::SECTIONS;
use super::model::{Arrangement, FORMAT_VERSION};
use super::not_said::{NOT_SAID, is_not_said};
use super::shape::{Shape, shape_at};
use crate::quantity::UnitSystem;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt::{Display, Write as _};
use std::str::FromStr;

/// Arrangement and number of cylinders, as the trade writes it: `I4`, `V8`, `F6`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LayoutKind {
    /// How the cylinders stand.
    pub arrangement: Arrangement,
    /// How many there are.
    pub cylinders: u32,
}

impl LayoutKind {
    /// Every layout that a person can start from.
    pub fn all() -> Vec<Self> {
        let kind = |arrangement| move |cylinders| Self { arrangement, cylinders };
        let inline = (1..=6).map(kind(Arrangement::Inline));
        let vee = (2..=12).step_by(2).map(kind(Arrangement::Vee));
        let flat = (2..=12).step_by(2).map(kind(Arrangement::Flat));
        inline.chain(vee).chain(flat).collect()
    }

    /// In words: "inline 4", "vee 8", "flat 6".
    pub fn words(self) -> String {
        format!("{} {}", arrangement_word(self.arrangement), self.cylinders)
    }

    /// What is usual. Common practice, no source; the starter says so beside it.
    fn usual(self) -> Usual {
        let (bank_angle, firing_order, throws): (_, &[u32], &[u32]) = match (self.arrangement, self.cylinders)
        {
            (Arrangement::Inline, 1) => (None, &[1], &[]),
            // A crank of 180° or 270° is as common: the throws are proposed, so that they are looked at.
            (Arrangement::Inline, 2) => (None, &[1, 2], &[0, 0]),
            (Arrangement::Flat, 2) => (None, &[1, 2], &[]),
            (Arrangement::Inline, 3) => (None, &[1, 3, 2], &[]),
            (Arrangement::Inline, 4) => (None, &[1, 3, 4, 2], &[]),
            (Arrangement::Inline, 5) => (None, &[1, 2, 4, 5, 3], &[]),
            (Arrangement::Inline, 6) => (None, &[1, 5, 3, 6, 2, 4], &[]),
            (Arrangement::Vee, 2) => (Some(90), &[1, 2], &[0]),
            (Arrangement::Vee, 4) => (Some(90), &[1, 3, 2, 4], &[0, 180]),
            (Arrangement::Vee, 6) => (Some(60), &[1, 2, 3, 4, 5, 6], &[]),
            (Arrangement::Vee, 8) => (Some(90), &[1, 3, 6, 2, 7, 8, 4, 5], &[0, 90, 270, 180]),
            (Arrangement::Vee, 10) => (Some(72), &[1, 4, 3, 8, 7, 10, 9, 6, 5, 2], &[0, 216, 144, 72, 288]),
            (Arrangement::Vee, 12) => {
                (Some(60), &[1, 12, 9, 4, 5, 8, 11, 2, 3, 10, 7, 6], &[0, 240, 120, 120, 240, 0])
            }
            (Arrangement::Flat, 4) => (None, &[1, 3, 2, 4], &[]),
            (Arrangement::Flat, 6) => (None, &[1, 6, 3, 2, 5, 4], &[]),
            _ => (None, &[], &[]),
        };
        let own_throws = self.arrangement == Arrangement::Vee && self.cylinders == 6;
        let row_after_row = self.arrangement == Arrangement::Vee && self.cylinders == 8;
        Usual { bank_angle, firing_order, throws, own_throws, row_after_row }
    }
}

struct Usual {
    bank_angle: Option<u32>,
    firing_order: &'static [u32],
    throws: &'static [u32],
    /// Each cylinder has a throw of its own, although it is a vee.
    own_throws: bool,
    /// Bank a carries the first half of the numbers; else the odd ones.
    row_after_row: bool,
}

impl Usual {
    /// Cylinders of bank a and of bank b, each from the front.
    fn banks(&self, cylinders: u32) -> [Vec<u32>; 2] {
        if self.row_after_row {
            [(1..=cylinders / 2).collect(), (cylinders / 2 + 1..=cylinders).collect()]
        } else {
            [(1..=cylinders).step_by(2).collect(), (2..=cylinders).step_by(2).collect()]
        }
    }
}

impl Display for LayoutKind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let letter = match self.arrangement {
            Arrangement::Inline => 'I',
            Arrangement::Vee => 'V',
            Arrangement::Flat => 'F',
        };
        write!(f, "{letter}{}", self.cylinders)
    }
}

/// What a person says of a new engine, as typed; the fields of the form have these names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct NewEngine {
    /// What the shop calls it.
    pub name: String,
    /// `inline`, `vee`, `flat` or `copy`.
    pub arrangement: String,
    /// Number of cylinders.
    pub cylinders: String,
    /// Angle between the banks of a vee; may be empty.
    pub bank_angle: String,
    /// `metric` or `inch`.
    pub units: String,
    /// Bore with unit; may be empty.
    pub bore: String,
    /// Stroke with unit; may be empty.
    pub stroke: String,
    /// Main bearings; may be empty.
    pub main_bearings: String,
    /// Intake valves of a cylinder; may be empty.
    pub intake_valves: String,
    /// Exhaust valves of a cylinder; may be empty.
    pub exhaust_valves: String,
    /// Engine to copy.
    pub copy_of: String,
    /// Questions that were asked about it and are answered by sending it again; empty before any.
    pub asked: String,
}

/// Not a layout.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no layout: write I1 to I6, V2 to V12 or F2 to F12 (even numbers), such as I4, V8, F6")]
pub struct UnknownLayout(pub String);

impl FromStr for LayoutKind {
    type Err = UnknownLayout;

    fn from_str(text: &str) -> Result<Self, UnknownLayout> {
        let wanted = text.trim();
        Self::all()
            .into_iter()
            .find(|kind| kind.to_string().eq_ignore_ascii_case(wanted) || kind.words() == wanted)
            .ok_or_else(|| UnknownLayout(text.to_owned()))
    }
}

const fn arrangement_word(arrangement: Arrangement) -> &'static str {
    match arrangement {
        Arrangement::Inline => "inline",
        Arrangement::Vee => "vee",
        Arrangement::Flat => "flat",
    }
}

/// Dotted paths of what the starter proposed in this document and no person has said since; empty when the text is not TOML.
pub fn proposed(text: &str) -> BTreeSet<String> {
    if !text.contains(NOT_SAID) {
        return BTreeSet::new();
    }
    let Ok(tree) = text.parse::<toml_edit::DocumentMut>() else { return BTreeSet::new() };
    let Some(layout) = tree.get("layout").and_then(toml_edit::Item::as_table_like) else {
        return BTreeSet::new();
    };
    let marked = |item: &toml_edit::Item| item.as_value().is_some_and(is_not_said);
    layout.iter().filter(|(_, item)| marked(item)).map(|(key, _)| format!("layout.{key}")).collect()
}

/// The text of a new document.
pub fn new_document(kind: LayoutKind, name: &str, units: UnitSystem) -> String {
    let example = match units {
        UnitSystem::Metric => "\"88.012 mm\", \"41.8 cm3\", \"338 g\", \"530 N·m\"",
        UnitSystem::Inch => "\"3.4650 in\", \"2.6 thou\", \"210 lbf\", \"428 lbf·ft\"",
    };
    let units = match units {
        UnitSystem::Metric => "metric",
        UnitSystem::Inch => "inch",
    };
    let mut out = String::new();
    wrapped(&mut out, &format!("Engine document. Every size stands in quotes with its unit: {example}."));
    wrapped(&mut out, "Leave out what you do not know yet; the findings then say what to measure.");
    let name = toml_edit::Value::from(name);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "crosshatch = {FORMAT_VERSION}\n\n[engine]\nname = {name}\nunits = \"{units}\"\n");
    layout(&mut out, kind);
    for section in SECTIONS.iter().filter(|s| !["crosshatch", "engine", "layout", "turbocharger"].contains(s))
    {
        self::section(&mut out, section);
    }
    out
}

fn layout(out: &mut String, kind: LayoutKind) {
    let usual = kind.usual();
    let word = arrangement_word(kind.arrangement);
    wrapped(
        out,
        "How the cylinders stand, and the sizes of the finished engine: bore, stroke, pitch; intake_valves and \
         exhaust_valves of a cylinder.",
    );
    // Writing to a String cannot fail.
    let _ = writeln!(out, "[layout]\narrangement = \"{word}\"\ncylinders = {}", kind.cylinders);
    if kind.arrangement != Arrangement::Inline {
        let [a, b] = usual.banks(kind.cylinders);
        let _ = writeln!(out, "# Bank a, bank b, each from the front.\nbanks = [{a:?}, {b:?}]  {NOT_SAID}");
    }
    if let Some(angle) = usual.bank_angle {
        let _ = writeln!(out, "bank_angle = \"{angle} deg\"  {NOT_SAID}");
    }
    if usual.firing_order.is_empty() {
        let _ = writeln!(out, "# Write the firing order: firing_order = [1, ...], every cylinder once.");
    } else {
        // A single cylinder has one order only: nothing to check.
        let remark = if usual.firing_order.len() > 1 { format!("  {NOT_SAID}") } else { String::new() };
        let _ = writeln!(out, "firing_order = {:?}{remark}", usual.firing_order);
    }
    if !usual.throws.is_empty() {
        let angles: Vec<String> = usual.throws.iter().map(|angle| format!("\"{angle} deg\"")).collect();
        let _ = writeln!(out, "# Where each throw stands, ahead of throw 1 in the direction of turning.");
        // Many throws and the remark do not stand on one line.
        let angles = angles.join(", ");
        let (open, close) = if angles.len() > 50 { ("\n    ", "\n") } else { ("", "") };
        let _ = writeln!(out, "throws = [{open}{angles}{close}]  {NOT_SAID}");
    }
    if usual.own_throws {
        let own: Vec<u32> = (1..=kind.cylinders).collect();
        let _ = writeln!(out, "# A throw for each cylinder.\nthrow_of_cylinder = {own:?}  {NOT_SAID}");
    }
    out.push('\n');
}

/// A section's header with what it holds in a comment; lists are only told about.
fn section(out: &mut String, name: &str) {
    let Some((shape, description)) = shape_at([name]) else { return };
    let (keys, header) = match shape {
        Shape::Table(table) => (table.order.clone(), format!("[{name}]")),
        Shape::Map(inner) => (keys_of(inner), format!("# [{name}.NAME]")),
        Shape::List(inner) => (keys_of(inner), format!("# [[{name}]]")),
        _ => (Vec::new(), String::new()),
    };
    wrapped(out, description);
    wrapped(out, &format!("Keys: {}.", keys.join(", ")));
    let _ = writeln!(out, "{header}\n");
}

fn keys_of(shape: &Shape) -> Vec<String> {
    match shape {
        Shape::Table(table) => table.order.clone(),
        _ => Vec::new(),
    }
}

/// Comment lines of at most 100 characters.
fn wrapped(out: &mut String, text: &str) {
    let mut line = String::from("#");
    for word in text.split_whitespace() {
        if line.chars().count() + word.chars().count() > 100 {
            let _ = writeln!(out, "{line}");
            line = String::from("#");
        }
        line.push(' ');
        line.push_str(word);
    }
    let _ = writeln!(out, "{line}");
}
