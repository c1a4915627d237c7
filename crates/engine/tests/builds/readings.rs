//! Readings of a true engine: the parts at their own temperature, the gauges with the errors that their figures promise.

use super::layouts::{Gauge, Shape, gauge_of};
use super::random::Draws;
use super::truth::Truth;
use engine::document::{Document, Material};
use engine::features::{Catalogue, Feature};
use engine::quantity::Dimension;
use engine::readings::Reading;
use engine::sizes::alpha_of;
use mechanics::math::powi;
use std::collections::HashMap;

const T0: f64 = 293.15;

/// Everything of a round of measuring that readings share: settings and scales of gauges, temperatures of parts, what each
/// material really expands by.
pub struct Room {
    /// Standard errors of each gauge: setting (in its unit) and relative scale.
    gauges: HashMap<&'static str, (f64, f64)>,
    /// True and stated temperature of each part in kelvin.
    parts: HashMap<String, (f64, f64)>,
    /// True expansion of each material.
    expansions: HashMap<Material, f64>,
}

impl Room {
    pub fn drawn(shape: &Shape, document: &Document, catalogue: &Catalogue, draws: &mut Draws) -> Self {
        let mut room = Self { gauges: HashMap::new(), parts: HashMap::new(), expansions: HashMap::new() };
        for gauge in super::layouts::GAUGES {
            let setting = draws.normal(shape.figures(gauge).setting);
            room.gauges.insert(gauge.name, (setting, draws.normal(gauge.scale)));
        }
        for feature in &catalogue.features {
            if !room.parts.contains_key(&feature.part) {
                let true_one = draws.uniform(17.0, 29.0) + 273.15;
                let stated = (10.0 * (true_one + draws.rectangular(0.3))).round() / 10.0;
                room.parts.insert(feature.part.clone(), (true_one, stated));
            }
            if let Some(material) = feature.material.filter(|m| !room.expansions.contains_key(m)) {
                let (alpha, standard) = alpha_of(document, material);
                room.expansions.insert(material, alpha + draws.rectangular(standard));
            }
        }
        room
    }

    /// What really stands between the anvils, in SI.
    fn at_the_bench(&self, feature: &Feature, size: f64) -> f64 {
        match expanding(feature) {
            Some(material) => size * (1.0 + self.expansions[&material] * (self.parts[&feature.part].0 - T0)),
            None => size,
        }
    }
}

fn expanding(feature: &Feature) -> Option<Material> {
    feature.material.filter(|_| feature.dimension == Dimension::Length)
}

/// SI per unit of the gauge.
fn unit_factor(gauge: &Gauge) -> f64 {
    match gauge.unit {
        "mm" | "g" => 1e-3,
        "um" | "cm3" => 1e-6,
        _ => 1.0,
    }
}

/// The readings of one engine, one a place, numbered in the order of the sheets.
pub fn taken(
    shape: &Shape,
    catalogue: &Catalogue,
    truth: &Truth,
    room: &Room,
    draws: &mut Draws,
) -> Vec<Reading> {
    let mut readings = Vec::new();
    for (place, feature) in catalogue.features.iter().enumerate() {
        let (Some(size), Some(gauge)) = (truth.read[place], gauge_of(feature.family)) else { continue };
        let figures = shape.figures(gauge);
        let (setting, scale) = room.gauges[gauge.name];
        let there = room.at_the_bench(feature, size) / unit_factor(gauge);
        let permissible = draws.rectangular(gauge.permissible / 3.0_f64.sqrt());
        let shown = there * (1.0 + scale) + setting + permissible + draws.normal(figures.scatter);
        readings.push(reading(shape, catalogue, room, place, gauge, shown, figures.step, readings.len()));
    }
    readings
}

/// Readings without any error, of what nobody reads as well: they say what is true.
pub fn ideal(
    shape: &Shape,
    document: &Document,
    catalogue: &Catalogue,
    truth: &Truth,
    room: &Room,
    everything: bool,
) -> Vec<Reading> {
    let mut readings = Vec::new();
    for (place, feature) in catalogue.features.iter().enumerate() {
        let unread = truth.unread.get(&feature.path).copied().filter(|_| everything);
        let (Some(size), Some(gauge)) = (truth.read[place].or(unread), gauge_of(feature.family)) else {
            continue;
        };
        let rise =
            expanding(feature).map_or(0.0, |m| alpha_of(document, m).0 * (room.parts[&feature.part].1 - T0));
        let shown = size * (1.0 + rise) / unit_factor(gauge);
        readings.push(reading(shape, catalogue, room, place, gauge, shown, 0.0, readings.len()));
    }
    readings
}

#[allow(clippy::too_many_arguments)] // One reading is all of these.
fn reading(
    shape: &Shape,
    catalogue: &Catalogue,
    room: &Room,
    place: usize,
    gauge: &Gauge,
    shown: f64,
    step: f64,
    before: usize,
) -> Reading {
    let feature = &catalogue.features[place];
    let inch = shape.inch && gauge.unit == "mm";
    let shown = if step > 0.0 { (shown / step).round() * step } else { shown };
    let (number, unit, step) =
        if inch { (shown / 25.4, "in", step / 25.4) } else { (shown, gauge.unit, step) };
    let decimals = if step > 0.0 { decimals(step) } else { 9 };
    Reading {
        number: before as u64 + 1,
        feature: feature.path.clone(),
        value: shown * unit_factor(gauge),
        text: format!("{number:.decimals$} {unit}"),
        instrument: gauge.name.to_owned(),
        temperature: Some(room.parts[&feature.part].1),
        after: String::new(),
        held: catalogue.tables[feature.table].held.clone(),
        corrects: None,
        confirmed: false,
        withdrawn: false,
        who: String::new(),
        when: String::new(),
        note: String::new(),
    }
}

/// Decimals that show a step: 0.001 gives 3, 0.0005 gives 4.
fn decimals(step: f64) -> usize {
    let whole = |d: &i32| {
        let scaled = step * powi(10.0, *d);
        (scaled.round() - scaled).abs() < 1e-6
    };
    (0..9).find(whole).unwrap_or(9) as usize
}
