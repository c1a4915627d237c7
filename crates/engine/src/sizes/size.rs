//! Sizes: what the readings of a place say after correction to 20 °C, with uncertainty and shared terms.

use super::gauges::{GaugeFigures, Unsuited, alpha_of, figures_at, is_difference, standard_of, unsuited};
use super::stack::stack;
use crate::document::{Document, Held, InstrumentKind, Material, OperationKind, Shells};
use crate::engine::Engine;
use crate::features::Feature;
use crate::quantity::{Dimension, Length, phrase_list};
use crate::readings::{Operation, Reading, Slip, active_readings, is_stale, moves, operations_after};
use mechanics::metrology::budget::Round;
use mechanics::metrology::expansion::{REFERENCE_TEMPERATURE, at_reference};
use mechanics::metrology::{Shape, Source, SourceId, SourceKind, Sources, Uncertain};
use std::collections::{BTreeMap, HashMap};

/// What speaks against a size as evidence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// The part was not held as the question needs it.
    NotHeld(Held),
    /// How the part was held is not said: it is taken as the question needs it.
    HoldingNotSaid(Held),
    /// The gauge cannot see what is asked.
    WrongGauge {
        /// Its name in the document.
        gauge: String,
        /// What it is.
        kind: InstrumentKind,
        /// The places read with it, in words.
        places: Vec<String>,
    },
    /// The range of the gauge leaves the size out.
    OutOfReach {
        /// Its name in the document.
        gauge: String,
        /// Its range, in words.
        range: String,
        /// The places read with it, in words.
        places: Vec<String>,
    },
    /// The gauge is not said: usual figures of its kind are used.
    GaugeNotSaid,
    /// The temperature is not said: 20 °C ± 5 K is used.
    TemperatureNotSaid,
    /// The material is not said: the expansion of any engine metal is used.
    MaterialNotSaid,
    /// A reading is probably a slip and nobody has looked at it yet.
    Slip(u64),
}

impl Doubt {
    /// The same doubt without what is of one place only.
    #[must_use]
    pub fn shared(&self) -> Self {
        match self {
            Self::WrongGauge { gauge, kind, .. } => {
                Self::WrongGauge { gauge: gauge.clone(), kind: *kind, places: Vec::new() }
            }
            Self::OutOfReach { gauge, range, .. } => {
                Self::OutOfReach { gauge: gauge.clone(), range: range.clone(), places: Vec::new() }
            }
            other => other.clone(),
        }
    }

    /// Adds a doubt to those that are noted, each once; of a wrong gauge the places are gathered.
    pub fn note(self, noted: &mut Vec<Self>) {
        let same = |known: &&mut Self| match (&**known, &self) {
            (Self::WrongGauge { gauge, .. }, Self::WrongGauge { gauge: other, .. })
            | (Self::OutOfReach { gauge, .. }, Self::OutOfReach { gauge: other, .. }) => gauge == other,
            (known, new) => known == new,
        };
        match (noted.iter_mut().find(same), self) {
            (Some(Self::WrongGauge { places, .. }), Self::WrongGauge { places: new, .. })
            | (Some(Self::OutOfReach { places, .. }), Self::OutOfReach { places: new, .. }) => {
                for place in new {
                    if !places.contains(&place) {
                        places.push(place);
                    }
                }
            }
            (Some(_), _) => {}
            (None, new) => noted.push(new),
        }
    }
}

/// What is known of one place.
#[derive(Clone, Debug)]
pub struct Size {
    /// Value at 20 °C, SI, with its sources.
    pub value: Uncertain,
    /// Numbers of the readings behind it.
    pub readings: Vec<u64>,
    /// An operation has moved the place since.
    pub stale: bool,
    /// What speaks against it.
    pub doubts: Vec<Doubt>,
    /// Name of the last operation before the readings.
    pub after: String,
}

/// Sizes of all places and the register of their sources.
#[derive(Clone, Debug, Default)]
pub struct Sizes {
    /// One for each feature of the catalogue.
    pub of_feature: Vec<Option<Size>>,
    /// All sources of error.
    pub sources: Sources,
    /// Sizes of bores in states that an operation has moved since: the place, how many operations had moved it when it was read, its
    /// size then.
    pub earlier: HashMap<usize, Vec<(usize, Uncertain)>>,
    /// Error of the amounts that operations are said to have taken off, where one says it.
    pub amounts: Option<SourceId>,
    /// Sizes that nobody has read and that the document states with a spread (shell grades, the gasket), by path.
    pub stated: HashMap<String, Uncertain>,
}

struct Register<'a> {
    engine: &'a Engine,
    sources: Sources,
    rounds: HashMap<(&'a str, InstrumentKind, Dimension, bool), (Round, GaugeFigures)>,
    /// By part, temperature as read, and what its gauge promises of it.
    temperatures: HashMap<(&'a str, Option<u64>, Option<u64>), Uncertain>,
    expansions: HashMap<Material, Uncertain>,
    unsaid: HashMap<&'a str, Uncertain>,
}

impl<'a> Register<'a> {
    fn of(engine: &'a Engine) -> Self {
        Self {
            engine,
            sources: Sources::default(),
            rounds: HashMap::new(),
            temperatures: HashMap::new(),
            expansions: HashMap::new(),
            unsaid: HashMap::new(),
        }
    }

    fn source(&mut self, name: String, shape: Shape, kind: SourceKind) -> SourceId {
        self.sources.add(Source { name, shape, degrees_of_freedom: f64::INFINITY, kind })
    }

    /// The value as the gauge gives it, with its terms.
    fn indicated(&mut self, reading: &'a Reading, feature: &'a Feature) -> Uncertain {
        let key = (reading.instrument.as_str(), feature.gauge, feature.dimension, is_difference(feature));
        if !self.rounds.contains_key(&key) {
            let figures = figures_at(&self.engine.document, &reading.instrument, feature);
            let round = Round::begin(figures.label.clone(), figures.terms.clone(), &mut self.sources);
            self.rounds.insert(key, (round, figures));
        }
        let (round, figures) = &self.rounds[&key];
        let mut value = round.reading(reading.value, &mut self.sources);
        if figures.relative > 0.0 {
            let relative = figures.relative * reading.value;
            let name = format!("{} (share of the reading)", figures.label);
            let id = self.source(name, Shape::Rectangular, SourceKind::Reading);
            value = value.with_term(id, relative);
        }
        value
    }

    fn temperature(&mut self, reading: &'a Reading, feature: &'a Feature) -> Uncertain {
        let spread =
            self.engine.document.instruments.get(&reading.instrument).and_then(|i| i.temperature_spread);
        // What one gauge promises of the temperature says nothing of what another does.
        let promised = spread.map(|s| s.0.to_bits());
        let key = (feature.part.as_str(), reading.temperature.map(f64::to_bits), promised);
        if let Some(known) = self.temperatures.get(&key) {
            return known.clone();
        }
        // Half a kelvin for a part thermometer, ± 5 K where nobody looked: common practice, no source.
        let (value, standard, kind) = match reading.temperature {
            Some(t) => (t, spread.map_or(0.5, |s| s.0), SourceKind::Temperature),
            None => (REFERENCE_TEMPERATURE, 5.0 / 3.0_f64.sqrt(), SourceKind::AssumedTemperature),
        };
        let part = part_words(&feature.part);
        let unsaid = if kind == SourceKind::AssumedTemperature { ", not given" } else { "" };
        let name = format!("{TEMPERATURE_OF}{part}{unsaid}");
        let id = self.source(name, Shape::Rectangular, kind);
        let temperature = Uncertain::new(value, id, standard);
        self.temperatures.insert(key, temperature.clone());
        temperature
    }

    fn expansion(&mut self, material: Material) -> Uncertain {
        if let Some(known) = self.expansions.get(&material) {
            return known.clone();
        }
        let (alpha, standard) = alpha_of(&self.engine.document, material);
        let name = format!("expansion of {}", material.words());
        let id = self.source(name, Shape::Rectangular, SourceKind::Expansion);
        let expansion = Uncertain::new(alpha, id, standard);
        self.expansions.insert(material, expansion.clone());
        expansion
    }

    /// Expansion of a body whose material the document does not say: from titanium to a piston alloy, 8.6e-6 to 24e-6 per
    /// kelvin (the span of the families, from memory). The size is then as unsure as that.
    fn unsaid_expansion(&mut self, part: &'a str) -> Uncertain {
        if let Some(known) = self.unsaid.get(part) {
            return known.clone();
        }
        let (least, most) = UNSAID_EXPANSION;
        let name = format!("expansion of {}, material not said", part_words(part));
        let id = self.source(name, Shape::Rectangular, SourceKind::AssumedMaterial);
        let expansion = Uncertain::new(f64::midpoint(least, most), id, (most - least) / 2.0 / 3.0_f64.sqrt());
        self.unsaid.insert(part, expansion.clone());
        expansion
    }

    fn corrected(&mut self, reading: &'a Reading, feature: &'a Feature) -> Uncertain {
        let indicated = self.indicated(reading, feature);
        self.at_20(indicated, reading, feature)
    }

    /// A piston below deck as it is at 20 °C, where the lengths under it and their materials are stated; else as it is.
    fn below_deck_at_20(
        &mut self,
        indicated: Uncertain,
        reading: &'a Reading,
        feature: &'a Feature,
    ) -> Uncertain {
        let Some(stack) = stack(&self.engine.document) else { return indicated };
        let temperature = self.temperature(reading, feature);
        stack.into_iter().fold(indicated, |below, part| {
            let read = Uncertain::exact(part.length);
            let cold = at_reference(&read, &self.expansion(part.material), &temperature);
            &below + &(&cold - &read).scaled(part.sign)
        })
    }

    /// A length as it is at 20 °C; anything else as it is.
    fn at_20(&mut self, indicated: Uncertain, reading: &'a Reading, feature: &'a Feature) -> Uncertain {
        if feature.family == "cylinder.below_deck" {
            return self.below_deck_at_20(indicated, reading, feature);
        }
        let expansion = match feature.material {
            Some(material) if feature.dimension == Dimension::Length => self.expansion(material),
            None if is_body(feature) => self.unsaid_expansion(&feature.part),
            _ => return indicated,
        };
        let temperature = self.temperature(reading, feature);
        at_reference(&indicated, &expansion, &temperature)
    }
}

/// A part as a person says it: "piston 1".
fn part_words(part: &str) -> String {
    part.replace(['.', '_'], " ")
}

/// Expansion coefficient, 1/K, by which readings at a place are brought to 20 °C; `None` where they stand as read.
pub fn expansion_at(engine: &Engine, feature: &Feature) -> Option<f64> {
    match feature.material {
        Some(material) if feature.dimension == Dimension::Length => {
            Some(alpha_of(&engine.document, material).0)
        }
        None if is_body(feature) => Some(f64::midpoint(UNSAID_EXPANSION.0, UNSAID_EXPANSION.1)),
        _ => None,
    }
}

/// Least and greatest expansion of an engine metal, 1/K: from titanium to a piston alloy (from memory).
const UNSAID_EXPANSION: (f64, f64) = (8.6e-6, 24.0e-6);

/// Places that are the size of one body, so that its temperature matters; a gap or a clearance between two is not.
const BODIES: [&str; 13] = [
    "block.bore",
    "block.main_housing",
    "block.deck_height",
    "crank.main",
    "crank.pin",
    "rod.big_end",
    "rod.small_end",
    "rod.length",
    "piston.gauge",
    "piston.pin_bore",
    "piston.compression_height",
    "block.wall",
    "barrel.height",
];

/// Is it the size of a body?
fn is_body(feature: &Feature) -> bool {
    feature.dimension == Dimension::Length && BODIES.contains(&feature.family)
}

/// Computes the size of each place that has been read. `slips` are the suspicions that are still open.
pub fn sizes(engine: &Engine, slips: &[Slip]) -> Sizes {
    let mut groups: Vec<Vec<&Reading>> = vec![Vec::new(); engine.catalogue.features.len()];
    for reading in active_readings(&engine.readings) {
        if let Some(place) = engine.catalogue.find(&reading.feature) {
            groups[place].push(reading);
        }
    }
    let mut register = Register::of(engine);
    let of_feature: Vec<Option<Size>> = groups
        .iter()
        .enumerate()
        .map(|(place, group)| {
            (!group.is_empty()).then(|| size(&mut register, &engine.catalogue.features[place], group, slips))
        })
        .collect();
    let earlier = earlier_bores(&mut register, &groups);
    let stated = stated(&mut register, &of_feature);
    let amounts = (engine.operations.iter().any(|o| o.amount.is_some())).then(|| {
        let name = "amounts taken off, as stated".to_owned();
        register.source(name, Shape::Rectangular, SourceKind::Stated)
    });
    Sizes { of_feature, sources: register.sources, earlier, amounts, stated }
}

/// How many operations had moved a place when a reading was taken after the operation `after`.
pub fn state_at(feature: &Feature, after: &str, operations: &[Operation]) -> usize {
    let moving = |list: &[Operation]| list.iter().filter(|o| moves(o, feature)).count();
    moving(operations) - moving(operations_after(after, operations))
}

/// Sizes of the bores as they were read before the last cuts: what a wall that was read then is carried on from.
fn earlier_bores<'a>(
    register: &mut Register<'a>,
    groups: &[Vec<&'a Reading>],
) -> HashMap<usize, Vec<(usize, Uncertain)>> {
    let engine = register.engine;
    let mut earlier = HashMap::new();
    for (place, group) in groups.iter().enumerate() {
        let feature = &engine.catalogue.features[place];
        if feature.family != "block.bore" {
            continue;
        }
        let mut states: BTreeMap<usize, Vec<Uncertain>> = BTreeMap::new();
        for reading in group.iter().filter(|r| is_stale(r, feature, &engine.operations)) {
            let state = state_at(feature, &reading.after, &engine.operations);
            states.entry(state).or_default().push(register.corrected(reading, feature));
        }
        let means = states.into_iter().filter_map(|(state, values)| {
            Some((state, Uncertain::mean(&values.iter().collect::<Vec<_>>())?))
        });
        let means: Vec<(usize, Uncertain)> = means.collect();
        if !means.is_empty() {
            earlier.insert(place, means);
        }
    }
    earlier
}

/// Walls of a grade out of the box and the gasket to come, each with the spread that the document gives it: one error for
/// each shell half and for the gasket of each bank. What is read of a gasket is read of a used one of its kind: the next one differs from
/// it by the spread.
fn stated(register: &mut Register<'_>, of_feature: &[Option<Size>]) -> HashMap<String, Uncertain> {
    let document = &register.engine.document;
    let catalogue = &register.engine.catalogue;
    let mut stated = HashMap::new();
    for (feature, read) in catalogue.features.iter().zip(of_feature) {
        if read.is_some() && feature.family != "gasket.compressed" {
            continue;
        }
        let (size, spread) = match feature.family {
            "main_shell" => (grade_of(&document.main_shells, feature), document.main_shells.grade_spread),
            "rod_shell" => (grade_of(&document.rod_shells, feature), document.rod_shells.grade_spread),
            "gasket.compressed" => (document.gasket.compressed, document.gasket.spread),
            _ => continue,
        };
        let size = read.as_ref().map(|r| r.value.clone()).or(size.map(|s| Uncertain::exact(s.0)));
        let Some((size, spread)) = size.zip(spread) else { continue };
        let name = format!("spread of {}", feature.label);
        let id = register.source(name, Shape::Normal, SourceKind::Stated);
        stated.insert(feature.path.clone(), size.with_term(id, spread.0));
    }
    stated
}

/// Wall of the grade that is fitted at a half shell.
fn grade_of(shells: &Shells, feature: &Feature) -> Option<Length> {
    let fitted = shells.fitted.get(&feature.instance)?;
    let half = usize::from(feature.path.rsplit('.').next() == Some("lower"));
    shells.grades.get(fitted.get(half).or(fitted.first())?).copied()
}

/// One place: fresh readings count before stale ones; repeats are averaged, and their scatter counts when it is larger
/// than what the gauge promises.
fn size<'a>(
    register: &mut Register<'a>,
    feature: &'a Feature,
    group: &[&'a Reading],
    slips: &[Slip],
) -> Size {
    let operations = &register.engine.operations;
    let fresh: Vec<&Reading> = group.iter().copied().filter(|r| !is_stale(r, feature, operations)).collect();
    let stale = fresh.is_empty();
    let used: Vec<&Reading> = if stale { latest_state(group) } else { fresh };
    let needed = register.engine.catalogue.tables[feature.table].held.clone();
    let mut doubts = Vec::new();
    let mut values = Vec::with_capacity(used.len());
    for reading in &used {
        values.push(register.corrected(reading, feature));
        note_doubts(&mut doubts, &register.engine.document, reading, feature, &needed, slips);
    }
    let mean = Uncertain::mean(&values.iter().collect::<Vec<_>>()).expect("at least one reading");
    let value = with_scatter(register, mean, &values, feature);
    let after = used.last().map(|r| r.after.clone()).unwrap_or_default();
    Size { value, readings: used.iter().map(|r| r.number).collect(), stale, doubts, after }
}

/// A reading that does not agree with those that were taken before it at the same place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disagreement {
    /// What was read there before, corrected to 20 °C; the mean of several. SI.
    pub before: f64,
    /// The reading less that, both at 20 °C. SI.
    pub difference: f64,
    /// Difference up to which they agree. SI.
    pub allowed: f64,
}

/// Greatest difference of two readings of one place that agree, in standard uncertainties of the difference: good ones differ by
/// more once in a thousand. Twice (U of the difference) would ask about one good repeat in twenty.
const AGREE: f64 = 3.3;

/// Does a reading differ from those that count at its place by more than the uncertainties allow? The gauge may have been set
/// anew between them, so that its errors are taken as independent; what both share of temperature and expansion cancels.
/// `None` where it agrees, or where nothing else is read since the last operation.
pub fn disagreement(engine: &Engine, reading: &Reading) -> Option<Disagreement> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    let others: Vec<&Reading> = active_readings(&engine.readings)
        .filter(|r| r.feature == reading.feature && r.number < reading.number)
        .filter(|r| reading.corrects != Some(r.number) && !is_stale(r, feature, &engine.operations))
        .collect();
    let mut register = Register::of(engine);
    let before = mean_at_20(&mut register, &others, feature)?;
    let warmth = (&mean_at_20(&mut register, &[reading], feature)? - &before).standard();
    compared(engine, reading, &others, warmth)
}

/// Did a bore shrink in a hone, or a journal grow in grinding, by more than the uncertainties allow? What was read before, and the
/// operations between. The part was away between the two readings: nothing of gauge and temperature is taken as shared.
pub fn against_the_cut(engine: &Engine, reading: &Reading) -> Option<(Disagreement, String)> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    let (sense, kinds) = sense_of_cuts(feature.family)?;
    let state = |r: &Reading| state_at(feature, &r.after, &engine.operations);
    let now = state(reading);
    let earlier = || {
        active_readings(&engine.readings)
            .filter(|r| r.feature == reading.feature && reading.corrects != Some(r.number) && state(r) < now)
    };
    let last = earlier().map(state).max()?;
    let before: Vec<&Reading> = earlier().filter(|r| state(r) == last).collect();
    let moving: Vec<&Operation> = engine.operations.iter().filter(|o| moves(o, feature)).collect();
    let between = &moving[last..now];
    if !between.iter().all(|o| kinds.contains(&o.kind)) {
        return None;
    }
    let warmth =
        |readings: &[&Reading]| Some(mean_at_20(&mut Register::of(engine), readings, feature)?.standard());
    let found =
        compared(engine, reading, &before, mechanics::math::hypot(warmth(&before)?, warmth(&[reading])?))?;
    let names = || phrase_list(&between.iter().map(|o| o.name.clone()).collect::<Vec<_>>());
    (found.difference * sense < 0.0).then(|| (found, names()))
}

/// Which way the cuts of a family of places move its size, and which operations are such cuts. What is closed first and opened to size
/// after (a housing, a big end) may come out either way.
fn sense_of_cuts(family: &str) -> Option<(f64, &'static [OperationKind])> {
    use OperationKind as K;
    Some(match family {
        "block.bore" => (1.0, &[K::Bore, K::Hone]),
        "crank.main" | "crank.pin" => (-1.0, &[K::Regrind, K::Polish]),
        "block.deck_height" => (-1.0, &[K::DeckSkim]),
        _ => return None,
    })
}

/// Mean of readings of one place at 20 °C, with what temperature and expansion leave open.
fn mean_at_20<'a>(
    register: &mut Register<'a>,
    readings: &[&'a Reading],
    feature: &'a Feature,
) -> Option<Uncertain> {
    let values: Vec<Uncertain> =
        readings.iter().map(|r| register.at_20(Uncertain::exact(r.value), r, feature)).collect();
    Uncertain::mean(&values.iter().collect::<Vec<_>>())
}

/// A reading against earlier ones of its place, where they differ by more than gauges and `warmth` allow: the standard uncertainty that
/// temperatures and expansions leave of the difference.
fn compared(engine: &Engine, reading: &Reading, others: &[&Reading], warmth: f64) -> Option<Disagreement> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    let mut register = Register::of(engine);
    let before = mean_at_20(&mut register, others, feature)?.value();
    let difference = mean_at_20(&mut register, &[reading], feature)?.value() - before;
    let variance_of_gauge = |r: &Reading| {
        let figures = figures_at(&engine.document, &r.instrument, feature);
        let standard = standard_of(&figures, r.value.abs());
        standard * standard
    };
    let count = others.len() as f64;
    let of_before = others.iter().map(|r| variance_of_gauge(r)).sum::<f64>() / (count * count);
    let allowed = AGREE * (variance_of_gauge(reading) + of_before + warmth * warmth).sqrt();
    (allowed > 0.0 && difference.abs() > allowed).then_some(Disagreement { before, difference, allowed })
}

/// The readings that were taken after the same operation as the last one.
fn latest_state<'a>(group: &[&'a Reading]) -> Vec<&'a Reading> {
    let last = group.last().map(|r| r.after.as_str()).unwrap_or_default();
    group.iter().copied().filter(|r| r.after == last).collect()
}

/// How the term of an unknown temperature begins in a budget.
pub(crate) const TEMPERATURE_OF: &str = "temperature of ";

fn note_doubts(
    doubts: &mut Vec<Doubt>,
    document: &Document,
    reading: &Reading,
    feature: &Feature,
    needed: &[Held],
    slips: &[Slip],
) {
    let mut add = |doubt: Doubt| doubt.note(doubts);
    let not_as_needed = if reading.held.is_empty() { Doubt::HoldingNotSaid } else { Doubt::NotHeld };
    needed.iter().filter(|h| !reading.held.contains(h)).for_each(|h| add(not_as_needed(*h)));
    if reading.instrument.is_empty() {
        add(Doubt::GaugeNotSaid);
    } else if let Some(unsuited) = unsuited(document, &reading.instrument, feature, reading.value) {
        let (gauge, places) = (reading.instrument.clone(), vec![feature.label.clone()]);
        add(match unsuited {
            Unsuited::Kind(kind) => Doubt::WrongGauge { gauge, kind, places },
            Unsuited::Range(range) => Doubt::OutOfReach { gauge, range, places },
        });
    }
    if reading.temperature.is_none() && feature.material.is_some() && feature.dimension == Dimension::Length {
        add(Doubt::TemperatureNotSaid);
    }
    if slips.iter().any(|s| s.reading == reading.number && !s.confirmed) {
        add(Doubt::Slip(reading.number));
    }
}

fn with_scatter(
    register: &mut Register<'_>,
    mean: Uncertain,
    values: &[Uncertain],
    feature: &Feature,
) -> Uncertain {
    let count = values.len() as f64;
    if values.len() < 2 {
        return mean;
    }
    let squares: f64 = values.iter().map(|v| (v.value() - mean.value()) * (v.value() - mean.value())).sum();
    let scatter_of_mean = (squares / (count - 1.0) / count).sqrt();
    let promised = values[0].standard() / count.sqrt();
    if scatter_of_mean <= promised {
        return mean;
    }
    let id = register.sources.add(Source {
        name: format!("scatter of {} repeats at {}", values.len(), feature.label),
        shape: Shape::Normal,
        degrees_of_freedom: count - 1.0,
        kind: SourceKind::Reading,
    });
    mean.with_term(id, scatter_of_mean)
}
