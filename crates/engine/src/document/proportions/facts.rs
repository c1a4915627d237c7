//! The sizes of a document that have a proportion, and the proportions between them.

use super::super::limits::Limits;
use super::super::model::{Document, Layout};
use super::super::parts::{
    Block, Cams, Crank, Fasteners, Gasket, Head, Pins, Pistons, Rings, Rods, Shells, Springs, Valves,
};
use super::super::path::Segment::{self, Entry, Key};
use super::super::path::write_path;
use super::super::shape::{Shape, shape_at};
use super::super::systems::{Duty, Exhaust, Intake};
use super::table::{Against, PROPORTIONS, Proportion};
use super::{figures, shown};
use crate::quantity::{Dimension, UnitSystem, parse_quantity};
use mechanics::math::ln;
use serde::Serialize;
use std::collections::HashMap;
use toml_edit::{Item, Value};

/// The sections that have sizes; readings stay out, there may be ten thousand of them.
#[derive(Serialize)]
struct Sections<'a> {
    layout: &'a Layout,
    duty: &'a Duty,
    block: &'a Block,
    crank: &'a Crank,
    main_shells: &'a Shells,
    rods: &'a Rods,
    rod_shells: &'a Shells,
    pistons: &'a Pistons,
    pins: &'a Pins,
    rings: &'a Rings,
    head: &'a Head,
    gasket: &'a Gasket,
    valves: &'a Valves,
    springs: &'a Springs,
    cams: &'a Cams,
    fasteners: &'a Fasteners,
    intake: &'a Intake,
    exhaust: &'a Exhaust,
    limits: &'a Limits,
}

/// One size as it stands.
pub(super) struct Fact<'a> {
    pub path: Vec<Segment<'a>>,
    pub si: f64,
    pub dimension: Dimension,
}

impl Fact<'_> {
    /// `crank.main_journal.nominal` → "crank main journal".
    pub fn name(&self) -> String {
        let name = write_path(&self.path).replace(['.', '_'], " ");
        name.trim_start_matches("layout ").trim_end_matches(" nominal").to_owned()
    }
}

/// A proportion between sizes that both stand in the document.
pub(super) struct Relation {
    /// The size itself first, then what it is measured against.
    pub members: Vec<usize>,
    kind: Kind,
    pub least: f64,
    pub most: f64,
}

#[derive(Clone, Copy)]
enum Kind {
    Itself,
    Ratio,
    Stack,
    ThrowAndRod,
    /// Members: wall, housing, journal.
    Shells,
    Swept,
    SweptOfAll(f64),
    CubeOfBore,
    RodRoom,
    PistonSpeed,
}

pub(super) struct Facts<'a> {
    pub all: Vec<Fact<'a>>,
    pub relations: Vec<Relation>,
}

impl<'a> Facts<'a> {
    pub fn of(document: &'a Document) -> Self {
        let d = document;
        let sections = Sections {
            layout: &d.layout,
            duty: &d.duty,
            block: &d.block,
            crank: &d.crank,
            main_shells: &d.main_shells,
            rods: &d.rods,
            rod_shells: &d.rod_shells,
            pistons: &d.pistons,
            pins: &d.pins,
            rings: &d.rings,
            head: &d.head,
            gasket: &d.gasket,
            valves: &d.valves,
            springs: &d.springs,
            cams: &d.cams,
            fasteners: &d.fasteners,
            intake: &d.intake,
            exhaust: &d.exhaust,
            limits: &d.limits,
        };
        let mut facts = Self { all: Vec::new(), relations: Vec::new() };
        let Ok(written) = toml_edit::ser::to_document(&sections) else { return facts };
        let mut reader =
            Reader { document, root: written.as_item(), known: HashMap::new(), facts: &mut facts };
        for proportion in PROPORTIONS {
            reader.relate(proportion);
        }
        facts
    }
}

struct Reader<'a, 'r> {
    document: &'a Document,
    root: &'r Item,
    known: HashMap<String, Option<usize>>,
    facts: &'r mut Facts<'a>,
}

impl<'a> Reader<'a, '_> {
    fn relate(&mut self, proportion: &Proportion) {
        for path in self.paths(proportion.key) {
            let Some(own) = self.fact(path) else { continue };
            let Some((kind, others)) = self.against(proportion.against) else { continue };
            if others.contains(&own) {
                continue;
            }
            let lower_end = matches!(self.facts.all[own].path.last(), Some(Key("min")));
            let members: Vec<usize> = std::iter::once(own).chain(others).collect();
            // A deviation that may be zero or negative, and the lower end of a range, have no least share.
            let near_one = proportion.least > 0.2;
            let least = if (lower_end && !near_one) || self.facts.all[own].si <= 0.0 {
                0.0
            } else {
                proportion.least
            };
            self.facts.relations.push(Relation { members, kind, least, most: proportion.most });
        }
    }

    /// The paths that a key of the table stands for in this document.
    fn paths(&self, key: &'static str) -> Vec<Vec<Segment<'a>>> {
        let mut paths: Vec<Vec<Segment<'a>>> = vec![Vec::new()];
        for part in key.split('.') {
            paths = paths
                .into_iter()
                .flat_map(|path| {
                    let next = if part == "*" { self.entries(&path) } else { vec![Key(part)] };
                    next.into_iter().map(move |segment| [path.clone(), vec![segment]].concat())
                })
                .collect();
        }
        let range = shape_at(key.split('.'))
            .is_some_and(|(shape, _)| matches!(shape, Shape::Table(t) if t.is_range()));
        if range {
            let ends = ["min", "max", "target"];
            paths = paths
                .into_iter()
                .flat_map(|path| ends.map(|end| [path.clone(), vec![Key(end)]].concat()))
                .collect();
        }
        paths
    }

    /// What stands below a path that ends in a list or in entries with names of the shop's own.
    fn entries(&self, path: &[Segment<'a>]) -> Vec<Segment<'a>> {
        let document = self.document;
        let count = |n: usize| (1..=n).map(Entry).collect();
        match path {
            [Key("main_shells"), Key("grades")] => {
                document.main_shells.grades.keys().map(|k| Key(k)).collect()
            }
            [Key("rod_shells"), Key("grades")] => document.rod_shells.grades.keys().map(|k| Key(k)).collect(),
            [Key("fasteners")] => document.fasteners.0.keys().map(|k| Key(k)).collect(),
            [Key("springs"), Key("shims")] => count(document.springs.shims.len()),
            [Key("intake"), Key("runner")] => count(document.intake.runner.len()),
            [Key("exhaust"), Key("primary")] => count(document.exhaust.primary.len()),
            _ => Vec::new(),
        }
    }

    fn at(&mut self, key: &'static str) -> Option<usize> {
        self.fact(key.split('.').map(Key).collect())
    }

    fn fact(&mut self, path: Vec<Segment<'a>>) -> Option<usize> {
        let name = write_path(&path);
        if let Some(known) = self.known.get(&name) {
            return *known;
        }
        let fact = self.read(&path).map(|(si, dimension)| {
            self.facts.all.push(Fact { path, si, dimension });
            self.facts.all.len() - 1
        });
        self.known.insert(name, fact);
        fact
    }

    /// The value at a path, SI. Zero says nothing of its unit.
    fn read(&self, path: &[Segment<'a>]) -> Option<(f64, Dimension)> {
        let mut here = self.root;
        let mut keys = Vec::new();
        let mut inner: Option<&Value> = None;
        for segment in path {
            match segment {
                Key(key) => {
                    keys.push((*key).to_owned());
                    match inner {
                        Some(value) => inner = Some(value.as_inline_table()?.get(key)?),
                        None => here = here.get(key)?,
                    }
                }
                Entry(number) => {
                    keys.push(number.to_string());
                    match here {
                        Item::ArrayOfTables(_) => here = here.get(number - 1)?,
                        _ => inner = Some(here.as_array()?.get(number - 1)?),
                    }
                }
            }
        }
        let text = inner.map_or_else(|| here.as_str(), Value::as_str)?;
        let dimension = match shape_at(keys.iter().map(String::as_str))?.0 {
            Shape::Quantity(quantity) => quantity.dimension?,
            _ => return None,
        };
        let (si, _) = parse_quantity(text, dimension).ok()?;
        (si != 0.0).then_some((si, dimension))
    }

    fn against(&mut self, against: Against) -> Option<(Kind, Vec<usize>)> {
        let (bore, stroke, rod) = (self.at("layout.bore"), self.at("layout.stroke"), self.at("rods.length"));
        Some(match against {
            Against::Itself => (Kind::Itself, Vec::new()),
            Against::Size(other) => (Kind::Ratio, vec![self.at(other)?]),
            Against::Stack => (Kind::Stack, vec![stroke?, rod?, self.at("pistons.compression_height")?]),
            Against::ThrowAndRod => (Kind::ThrowAndRod, vec![stroke?, rod?]),
            Against::JournalAndShells(housing, journal) => {
                (Kind::Shells, vec![self.at(housing)?, self.at(journal)?])
            }
            Against::Swept => (Kind::Swept, vec![bore?, stroke?]),
            Against::SweptOfAll => {
                (Kind::SweptOfAll(f64::from(self.document.layout.cylinders?)), vec![bore?, stroke?])
            }
            Against::CubeOfBore => (Kind::CubeOfBore, vec![bore?]),
            Against::RodRoom => (Kind::RodRoom, vec![bore?, rod?]),
            Against::PistonSpeed => (Kind::PistonSpeed, vec![stroke?]),
        })
    }
}

impl Relation {
    /// The size as a share of what it is measured against.
    pub fn share(&self, values: &[f64]) -> f64 {
        let v = |at: usize| values[self.members[at]];
        let swept = || std::f64::consts::FRAC_PI_4 * v(1) * v(1) * v(2);
        match self.kind {
            Kind::Itself => v(0),
            Kind::Ratio => v(0) / v(1),
            Kind::Stack => v(0) / (0.5 * v(1) + v(2) + v(3)),
            Kind::ThrowAndRod => v(0) / (0.5 * v(1) + v(2)),
            Kind::Shells => (v(2) + 2.0 * v(0)) / v(1),
            Kind::Swept => v(0) / swept(),
            Kind::SweptOfAll(cylinders) => v(0) / (cylinders * swept()),
            Kind::CubeOfBore => v(0) / (v(1) * v(1) * v(1)),
            Kind::RodRoom => v(0) / (v(1) * v(1) * v(2)),
            Kind::PistonSpeed => 2.0 * v(0) * v(1),
        }
    }

    pub fn holds(&self, values: &[f64]) -> bool {
        let share = self.share(values).abs();
        (self.least..=self.most).contains(&share)
    }

    /// How far from the middle of its range, 0 in the middle and 1 at an end.
    pub fn off_the_middle(&self, values: &[f64]) -> f64 {
        let share = self.share(values).abs();
        if self.least <= 0.0 {
            return if share <= self.most { 0.5 } else { 1.0 + ln(share / self.most) };
        }
        let (low, high) = (ln(self.least), ln(self.most));
        ((ln(share) - 0.5 * (low + high)) / (0.5 * (high - low))).abs()
    }

    /// "0.045 times the bore (76.2 mm)".
    pub fn words(&self, share: f64, facts: &Facts, values: &[f64], units: UnitSystem) -> String {
        let other = |at: usize| {
            let fact = &facts.all[self.members[at]];
            format!("{} ({})", fact.name(), shown(values[self.members[at]], fact.dimension, units))
        };
        // 1 ft = 0.3048 m, exact.
        let speed = match units {
            UnitSystem::Metric => format!("{} m/s", short(share)),
            UnitSystem::Inch => format!("{} ft/s", short(share / 0.3048)),
        };
        let share = short(share);
        match self.kind {
            Kind::Itself => "no such size of a piston engine".to_owned(),
            Kind::Ratio => format!("{share} times the {}", other(1)),
            Kind::Stack => {
                format!("{share} times half the stroke, the rod and the compression height together")
            }
            Kind::ThrowAndRod => format!("{share} times half the stroke and the rod together"),
            Kind::Shells => {
                format!("a wall that fills the {} with the {} to {share} of it", other(1), other(2))
            }
            Kind::Swept => format!("{share} times the swept volume of a cylinder"),
            Kind::SweptOfAll(_) => format!("{share} times the swept volume of the engine"),
            Kind::CubeOfBore => format!("out of proportion to the {}", other(1)),
            Kind::RodRoom => format!("out of proportion to the {} and the {}", other(1), other(2)),
            Kind::PistonSpeed => format!("a mean piston speed of {speed}"),
        }
    }
}

/// Three figures.
fn short(share: f64) -> String {
    let rounded: f64 = format!("{share:.2e}").parse().unwrap_or(share);
    figures(rounded)
}
