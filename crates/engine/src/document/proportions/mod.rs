//! Sizes of the document against each other. A size out of all proportion is asked about, never refused or changed: it is
//! most often inches among millimetres or a decimal point.

mod facts;
mod table;

use super::diagnostic::{Code, Draft};
use super::issue::Issue;
use super::model::Document;
use crate::quantity::{Dimension, UnitSystem, display_unit};
use facts::{Fact, Facts, Relation};
use mechanics::math::{log10, powi};

/// More questions than this say nothing more: the units of the whole file are wrong.
const MOST_QUESTIONS: usize = 40;

/// All sizes out of proportion.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let facts = Facts::of(document);
    questions(&facts)
        .into_iter()
        .map(|question| {
            let fact = &facts.all[question.fact];
            Issue::new(fact.path.iter().copied(), question.draft(&facts, document.engine.units))
        })
        .collect()
}

/// One size that does not fit the others.
struct Question<'f> {
    fact: usize,
    /// Factor by which it would fit, where one does.
    slip: Option<f64>,
    /// The proportion that it breaks.
    broken: &'f Relation,
    /// Values of the others as they are believed.
    values: Vec<f64>,
}

/// Factors between what was meant and what stands there, likeliest first.
fn factors(dimension: Dimension) -> &'static [f64] {
    match dimension {
        Dimension::Length => &[25.4, 1.0 / 25.4, 10.0, 0.1, 1000.0, 1e-3, 100.0, 0.01],
        // Litres, cubic inches.
        Dimension::Volume => &[1000.0, 1e-3, 16.387_064, 1.0 / 16.387_064, 10.0, 0.1],
        // Kilograms, ounces.
        Dimension::Mass => &[1000.0, 1e-3, 10.0, 0.1, 28.349_523, 1.0 / 28.349_523],
        // Turns in a second.
        Dimension::Speed => &[10.0, 0.1, 60.0, 1.0 / 60.0, 100.0, 0.01],
        _ => &[10.0, 0.1, 1000.0, 1e-3],
    }
}

/// How much rarer a slip by this factor is than inches for millimetres; weighs against the distance from what is usual. No source.
fn rarity(factor: f64) -> f64 {
    match factor {
        10.0 | 0.1 => 0.05,
        100.0 | 0.01 | 1000.0 | 1e-3 => 0.4,
        _ => 0.0,
    }
}

/// The fewest slips that explain the broken proportions: always the one that mends most, of equals the one that leaves the
/// sizes nearest to what is usual.
fn questions<'f>(facts: &'f Facts<'_>) -> Vec<Question<'f>> {
    let mut values: Vec<f64> = facts.all.iter().map(|fact| fact.si).collect();
    let mut relations: Vec<&Relation> = facts.relations.iter().collect();
    let mut asked = Vec::new();
    let mut found = Vec::new();
    while found.len() < MOST_QUESTIONS {
        let Some(first) = relations.iter().copied().find(|r| !r.holds(&values)) else { break };
        let mended = best_slip(facts, &relations, &values, &asked);
        let (fact, slip) = mended.map_or((first.members[0], None), |(fact, factor)| (fact, Some(factor)));
        let about = relations.iter().copied().filter(|r| !r.holds(&values) && r.members.contains(&fact));
        // The proportion that is its own says more than one in which it is the measure.
        let broken = about.min_by_key(|r| r.members[0] != fact).unwrap_or(first);
        found.push(Question { fact, slip, broken, values: values.clone() });
        asked.push(fact);
        match slip {
            Some(factor) => values[fact] *= factor,
            None => relations.retain(|r| !r.members.contains(&fact)),
        }
    }
    found
}

fn best_slip(
    facts: &Facts,
    relations: &[&Relation],
    values: &[f64],
    asked: &[usize],
) -> Option<(usize, f64)> {
    let mut best: Option<((usize, f64), usize, f64)> = None;
    let mut suspects: Vec<usize> =
        relations.iter().filter(|r| !r.holds(values)).flat_map(|r| r.members.iter().copied()).collect();
    suspects.sort_unstable();
    suspects.dedup();
    for fact in suspects.into_iter().filter(|fact| !asked.contains(fact)) {
        let of_it: Vec<&Relation> = relations.iter().copied().filter(|r| r.members.contains(&fact)).collect();
        let broken = |values: &[f64]| of_it.iter().filter(|r| !r.holds(values)).count();
        let before = broken(values);
        for factor in factors(facts.all[fact].dimension) {
            let mut tried = values.to_vec();
            tried[fact] *= factor;
            let Some(gain) = before.checked_sub(broken(&tried)).filter(|gain| *gain > 0) else { continue };
            // Half mended is not mended.
            if broken(&tried) > 0 && of_it.iter().any(|r| r.members[0] == fact && !r.holds(&tried)) {
                continue;
            }
            let off = of_it.iter().map(|r| r.off_the_middle(&tried)).sum::<f64>() / of_it.len() as f64;
            let off = off + rarity(*factor);
            if best.is_none_or(|(_, most, least)| gain > most || (gain == most && off < least)) {
                best = Some(((fact, *factor), gain, off));
            }
        }
    }
    best.map(|(slip, ..)| slip)
}

impl Question<'_> {
    fn draft(&self, facts: &Facts, units: UnitSystem) -> Draft {
        let fact = &facts.all[self.fact];
        let said = Said::new(fact, self.slip, units);
        let own = self.broken.members[0] == self.fact;
        let share = self.broken.share(&self.values);
        let message = if own {
            format!("{} is {}", said.value, self.broken.words(share, facts, &self.values, units))
        } else {
            let other = &facts.all[self.broken.members[0]];
            let theirs = shown(self.values[self.broken.members[0]], other.dimension, units);
            format!("{} does not go with {} {theirs}", said.value, other.name())
        };
        let mut draft = Draft::warning(Code::Proportion, message);
        if own {
            let range = |share_wanted: f64| roughly(fact.si * share_wanted / share, fact.dimension, units);
            let (least, most) = (self.broken.least, self.broken.most);
            let expected = if least > 0.0 {
                format!("{} to {}", range(least), range(most))
            } else {
                format!("at most {}", range(most))
            };
            draft = draft.expected(format!("{expected} (common practice, no source)"));
        }
        match &said.meant {
            Some(meant) => draft.hint(format!(
                "did you mean {meant}? Nothing is changed: look at it, and leave it if it is right"
            )),
            None => draft.hint("look at it and at the sizes beside it; leave it if it is right"),
        }
    }
}

/// A value as it was probably written, and what was probably meant.
struct Said {
    value: String,
    meant: Option<String>,
}

impl Said {
    fn new(fact: &Fact, slip: Option<f64>, units: UnitSystem) -> Self {
        let value = shown(fact.si, fact.dimension, units);
        let Some(factor) = slip else { return Self { value, meant: None } };
        let meant = shown(fact.si * factor, fact.dimension, units);
        // The same figure in the other unit.
        let other = |own: f64, own_unit: &str, theirs: &str| Self {
            value: format!("{} {own_unit}", figures(fact.si / own)),
            meant: Some(format!("{} {theirs} ({meant})", figures(fact.si / own))),
        };
        let is = |wanted: f64| (factor / wanted - 1.0).abs() < 1e-6;
        match fact.dimension {
            Dimension::Length if is(25.4) => other(1e-3, "mm", "in"),
            Dimension::Length if is(1.0 / 25.4) => other(0.0254, "in", "mm"),
            Dimension::Volume if is(16.387_064) => other(1e-6, "cm³", "in³"),
            Dimension::Volume if is(1.0 / 16.387_064) => other(16.387_064e-6, "in³", "cm³"),
            Dimension::Volume if is(1000.0) => other(1e-6, "cm³", "L"),
            Dimension::Mass if is(1000.0) => other(1e-3, "g", "kg"),
            Dimension::Mass if is(28.349_523) => other(1e-3, "g", "oz"),
            Dimension::Mass if is(1.0 / 28.349_523) => other(28.349_523e-3, "oz", "g"),
            _ => Self { value, meant: Some(meant) },
        }
    }
}

/// The same to two figures: the ends of a wide proportion are worth no more.
fn roughly(si: f64, dimension: Dimension, units: UnitSystem) -> String {
    let unit = display_unit(dimension, units);
    let number = (si - unit.offset) / unit.factor;
    let place = powi(10.0, log10(number.abs().max(1e-12)).floor() as i32 - 1);
    format!("{} {}", figures((number / place).round() * place), unit.symbol).trim_end().to_owned()
}

/// A size in the reader's unit, with the figures that a slip is seen by.
fn shown(si: f64, dimension: Dimension, units: UnitSystem) -> String {
    let unit = display_unit(dimension, units);
    format!("{} {}", figures((si - unit.offset) / unit.factor), unit.symbol).trim_end().to_owned()
}

/// Five figures, no zeros behind them.
fn figures(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return number.to_string();
    }
    let magnitude = log10(number.abs()).floor();
    let decimals = (4.0 - magnitude).clamp(0.0, 12.0) as usize;
    let text = format!("{number:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
