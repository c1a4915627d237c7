//! Builds one finding: value, limit, verdict, working.

use super::bench::{Allowed, Bench, decimals};
use super::model::{
    Action, ActionKind, Finding, Input, Measured, Shares, Verdict, document_field, stated_in_document,
};
use crate::document::InstrumentKind;
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase, counted, phrase_list};
use crate::sizes::Doubt;
use mechanics::metrology::decision::{Conformity, Prior, Risk, Window, guard_band, probability_outside};
use mechanics::metrology::{Source, SourceKind, Uncertain};
use std::collections::{BTreeMap, HashMap};

/// Chance of being outside above which a size is bad, and below whose complement it is inside (5 %; the shop's rule,
/// as the guard band's default risk in ISO 14253-1:2017).
const RISK: f64 = 0.05;
/// Chance above which "inside" is only marginal: U (k = 2) reaches the limit, Φ(−2) = 2.3 %.
const MARGINAL: f64 = 0.022_75;

/// A finding in the making.
pub struct Answer<'a> {
    bench: Bench<'a>,
    finding: Finding,
    value: Option<Uncertain>,
    allowed: Option<Allowed>,
    doubts: Vec<Doubt>,
    dimension: Dimension,
    chance_above: Option<f64>,
}

/// What an answer has noted while it read its inputs; another answer that rests on the same value takes it over.
#[derive(Clone, Debug, Default)]
pub struct Notes {
    part: String,
    features: Vec<String>,
    missing: Vec<String>,
    stale: bool,
    inputs: Vec<Input>,
    doubts: Vec<Doubt>,
}

impl<'a> Answer<'a> {
    /// Starts with who and what is asked.
    pub fn new(
        bench: Bench<'a>,
        code: &'static str,
        sheet: Sheet,
        label: String,
        instance: &str,
        question: &str,
    ) -> Self {
        let finding = Finding::asked(code, sheet, label, instance, question);
        Self {
            bench,
            finding,
            value: None,
            allowed: None,
            doubts: Vec::new(),
            dimension: Dimension::Length,
            chance_above: None,
        }
    }

    /// Limit of that name.
    pub fn limit(mut self, name: &'static str) -> Self {
        self.allowed = self.bench.limit(name);
        if self.allowed.is_none() {
            self.finding.working.rule = Phrase::words(format!(
                "no limit stated: write one for {} under Spec (limits.{name} in the document)",
                name.replace('_', " ")
            ));
        }
        self
    }

    /// A limit that is at hand.
    pub fn allowed(mut self, allowed: Option<Allowed>) -> Self {
        self.allowed = allowed;
        self
    }

    /// The limit, as set so far.
    pub fn window(&self) -> Option<&Allowed> {
        self.allowed.as_ref()
    }

    /// What is measured, when it is not a length.
    pub fn dimension(mut self, dimension: Dimension) -> Self {
        self.dimension = dimension;
        self
    }

    /// Formula and source.
    pub fn formula(mut self, formula: &str, source: &str) -> Self {
        formula.clone_into(&mut self.finding.working.formula);
        source.clone_into(&mut self.finding.working.source);
        self
    }

    /// Another formula, where the evidence asks for it.
    pub fn formula_is(&mut self, formula: &str) {
        formula.clone_into(&mut self.finding.working.formula);
    }

    /// Takes a size as input: notes it in the working, with its staleness and doubts. None when nothing was read; the
    /// place is then missing.
    pub fn read(&mut self, path: &str) -> Option<Uncertain> {
        let place = self.bench.engine.catalogue.find(path)?;
        let feature = &self.bench.engine.catalogue.features[place];
        self.finding.subject.features.push(path.to_owned());
        if self.finding.subject.part.is_empty() {
            self.finding.subject.part.clone_from(&feature.part);
        }
        let Some(size) = self.bench.sizes.of_feature[place].as_ref() else {
            self.finding.missing.push(path.to_owned());
            return None;
        };
        self.finding.stale |= size.stale;
        size.doubts.iter().for_each(|doubt| doubt.clone().note(&mut self.doubts));
        self.finding.working.inputs.push(Input {
            label: feature.label.clone(),
            value: measured(&size.value, feature.dimension, false),
            feature: Some(path.to_owned()),
            readings: size.readings.clone(),
            computed_from: String::new(),
        });
        Some(size.value.clone())
    }

    /// As [`Self::read`], but an unread place is not missing: something else can stand in for it.
    pub fn read_if_there(&mut self, path: &str) -> Option<Uncertain> {
        let missing = self.finding.missing.len();
        let features = self.finding.subject.features.len();
        let value = self.read(path);
        if value.is_none() {
            self.finding.missing.truncate(missing);
            self.finding.subject.features.truncate(features);
        }
        value
    }

    /// Reads all of them; None when one is missing (all missing ones are named).
    pub fn read_all(&mut self, paths: &[String]) -> Option<Vec<Uncertain>> {
        let values: Vec<Option<Uncertain>> = paths.iter().map(|p| self.read(p)).collect();
        values.into_iter().collect()
    }

    /// A place that was read, and has to be read again before anything can be said.
    pub fn read_again(&mut self, path: &str) {
        self.finding.missing.push(path.to_owned());
    }

    /// What it works with.
    pub const fn bench(&self) -> Bench<'a> {
        self.bench
    }

    /// Notes an input that stands in the document: a nominal, a grade.
    pub fn input(&mut self, label: &str, value: &Uncertain, dimension: Dimension) {
        self.note(label, measured(value, dimension, true), "");
    }

    /// Notes an input that is computed from readings: "computed from the readings of bore 2".
    pub fn computed(&mut self, label: &str, value: &Uncertain, dimension: Dimension, from: &str) {
        self.note(label, measured(value, dimension, false), from);
    }

    /// Places whose readings stand behind a computed input: what was cut since, or is asked about, makes the answer as old and as doubtful.
    pub fn rests_on(&mut self, paths: impl Iterator<Item = String>) {
        for size in paths.filter_map(|path| self.bench.size(&path)) {
            self.finding.stale |= size.stale;
            let slips = size.doubts.iter().filter(|doubt| matches!(doubt, Doubt::Slip(_)));
            slips.for_each(|doubt| doubt.clone().note(&mut self.doubts));
        }
    }

    fn note(&mut self, label: &str, value: Measured, computed_from: &str) {
        self.finding.working.inputs.push(Input {
            label: label.to_owned(),
            value,
            feature: None,
            readings: Vec::new(),
            computed_from: computed_from.to_owned(),
        });
    }

    /// What was noted so far.
    pub fn notes(&self) -> Notes {
        Notes {
            part: self.finding.subject.part.clone(),
            features: self.finding.subject.features.clone(),
            missing: self.finding.missing.clone(),
            stale: self.finding.stale,
            inputs: self.finding.working.inputs.clone(),
            doubts: self.doubts.clone(),
        }
    }

    /// Takes over what another answer noted for a value that this one uses as well.
    pub fn take_over(&mut self, notes: Notes) {
        if self.finding.subject.part.is_empty() {
            self.finding.subject.part = notes.part;
        }
        self.finding.subject.features.extend(notes.features);
        self.finding.missing.extend(notes.missing);
        self.finding.stale |= notes.stale;
        self.finding.working.inputs.extend(notes.inputs);
        notes.doubts.into_iter().for_each(|doubt| doubt.note(&mut self.doubts));
    }

    /// What to do first about evidence that cannot settle the question, and whether it is a slip.
    pub fn unsettled(&self) -> Option<(Action, bool)> {
        let doubt = self.doubts.iter().find(|d| !doubt_words(d).1)?;
        Some((Action::new(ActionKind::Ask, Phrase::words(ask_words(doubt))), matches!(doubt, Doubt::Slip(_))))
    }

    /// Something that the value rests on has moved and is to be read again at these places.
    pub fn stale_for(&mut self, places: impl Iterator<Item = String>) {
        self.finding.stale = true;
        self.finding.missing.extend(places);
    }

    /// A document field without which there is no answer.
    pub fn lacks(&mut self, field: &str) {
        self.finding.missing.push(document_field(field));
    }

    /// Part on which operations are recorded.
    pub fn part(mut self, part: &str) -> Self {
        part.clone_into(&mut self.finding.subject.part);
        self
    }

    /// The value, where there is one. `predicted`: not from readings of the thing itself.
    pub fn value(&mut self, value: Option<Uncertain>, predicted: bool) {
        self.finding.value = value.as_ref().map(|v| measured(v, self.dimension, predicted));
        self.value = value;
    }

    /// The chance that the value is above its most, where that is not the chance of this value alone: of a spread, that any two lie too
    /// far apart.
    pub fn chance_above(&mut self, chance: Option<f64>) {
        self.chance_above = chance;
    }

    /// Judges, and hands out the finding. `why` is said when there is a value.
    pub fn finish(mut self) -> Finding {
        self.contributions();
        self.judge();
        self.weigh_doubts();
        if self.finding.verdict == Verdict::Uncertain {
            self.share_out();
        }
        self.finding.limit = self.allowed.map(|a| a.used);
        self.finding
    }

    fn contributions(&mut self) {
        let Some(value) = &self.value else { return };
        let sources = &self.bench.sizes.sources;
        let mut terms: Vec<(String, f64)> = Vec::new();
        let mut kinds: Vec<SourceKind> = Vec::new();
        for &(id, coefficient) in value.terms() {
            let Source { name, kind, .. } = sources.get(id);
            if let Some(known) = terms.iter_mut().find(|(known, _)| known == name) {
                known.1 = mechanics::math::hypot(known.1, coefficient);
            } else {
                terms.push((name.clone(), coefficient.abs()));
                kinds.push(*kind);
            }
        }
        self.finding.working.shares = shares(&terms, &kinds);
        terms.sort_by(|a, b| b.1.total_cmp(&a.1));
        self.finding.working.contributions = largest(terms);
    }

    /// Which gauge in which table made the part of the variance that another reading averages.
    fn share_out(&mut self) {
        let Some(value) = &self.value else { return };
        let catalogue = &self.bench.engine.catalogue;
        let mut line_of = HashMap::new();
        for path in &self.finding.subject.features {
            let Some(place) = catalogue.find(path) else { continue };
            let (feature, Some(size)) = (&catalogue.features[place], &self.bench.sizes.of_feature[place])
            else {
                continue;
            };
            line_of.extend(size.value.terms().iter().map(|(id, _)| (*id, (feature.gauge, feature.table))));
        }
        let mut by_line: BTreeMap<(InstrumentKind, usize), f64> = BTreeMap::new();
        for (id, coefficient) in value.terms() {
            let of_reading = self.bench.sizes.sources.get(*id).kind == SourceKind::Reading;
            if let Some(line) = line_of.get(id).filter(|_| of_reading) {
                *by_line.entry(*line).or_default() += coefficient * coefficient;
            }
        }
        self.finding.working.shares.by_line = by_line.into_iter().collect();
    }

    fn judge(&mut self) {
        let (Some(value), Some(allowed)) = (&self.value, &self.allowed) else {
            self.finding.verdict = Verdict::Unknown;
            if self.value.is_none() {
                self.say_missing();
            } else if self.finding.why.is_empty() {
                self.finding.why = self.finding.working.rule.clone();
            }
            return;
        };
        let Ok(window) = Window::new(allowed.used.min, allowed.used.max) else {
            // The parser refuses such limits; a caller that builds documents by hand gets an honest answer.
            let (least, most) = (allowed.used.min.unwrap_or_default(), allowed.used.max.unwrap_or_default());
            let decimals = decimals(self.dimension);
            self.finding.why = Phrase::words("the limit is not a range: its least, ")
                .value(least, self.dimension, decimals)
                .say(", is above its most, ")
                .value(most, self.dimension, decimals);
            return;
        };
        let prior = match (allowed.process, allowed.aim()) {
            (Some(standard), Some(mean)) if standard > 0.0 => Prior::Normal { mean, standard },
            _ => Prior::Flat,
        };
        let risk = match self.chance_above {
            Some(above) => Risk { below: 0.0, above },
            None => probability_outside(value.value(), value.standard(), window, prior),
        };
        self.finding.probability_outside = Some(risk.outside());
        let (verdict, rule) = if allowed.used.guard_band {
            by_guard_band(value, window)
        } else {
            (by_risk(risk.outside()), risk_rule(risk.outside(), prior, allowed, self.dimension))
        };
        let (verdict, rule) = match not_proved(value, risk).filter(|_| verdict == Verdict::Bad) {
            Some(words) => (Verdict::Uncertain, rule.say("; ").say(words)),
            None => (verdict, rule),
        };
        self.finding.verdict = verdict;
        self.finding.working.rule = rule;
    }

    fn say_missing(&mut self) {
        let missing = self.finding.missing.len();
        let total = self.finding.subject.features.len();
        self.finding.why = match missing {
            0 if self.finding.why.is_empty() => Phrase::words("not read yet"),
            0 => return,
            _ if missing == total => Phrase::words("not read yet"),
            n => Phrase::words(counted(n, "reading to go", "readings to go")),
        };
        if let Some(field) = self.finding.missing.iter().find_map(|m| stated_in_document(m)) {
            self.finding.why = Phrase::words(lacking(field));
        }
    }

    /// Doubtful evidence cannot settle a question.
    fn weigh_doubts(&mut self) {
        let doubts = std::mem::take(&mut self.doubts);
        // A chance computed from a reading that may not be one says nothing.
        if doubts.iter().any(|d| matches!(d, Doubt::Slip(_))) {
            self.finding.probability_outside = None;
            self.finding.working.rule = Phrase::new();
        }
        for doubt in doubts {
            let (words, settles) = doubt_words(&doubt);
            if !settles && !matches!(self.finding.verdict, Verdict::Unknown) {
                self.finding.verdict = Verdict::Uncertain;
                self.finding.actions.push(Action::new(ActionKind::Ask, Phrase::words(ask_words(&doubt))));
            }
            let rule = std::mem::take(&mut self.finding.working.rule);
            self.finding.working.rule = rule.also(words);
            if !settles && self.finding.why.is_empty() {
                self.finding.why = Phrase::words(words);
            }
        }
    }
}

/// "not stated: top ring temperature (`duty.top_ring_temperature` in the document)"; words that are no path stand as they are.
fn lacking(field: &str) -> String {
    if !field.contains('.') {
        return format!("not stated: {field}");
    }
    let names: Vec<String> =
        field.split(" and ").map(|p| p.rsplit('.').next().unwrap_or(p).replace('_', " ")).collect();
    format!("not stated: {} ({field} in the document)", names.join(" and "))
}

impl Action {
    /// An action without price, time or caution.
    pub fn new(kind: ActionKind, text: Phrase) -> Self {
        Self {
            kind,
            text,
            effect: Phrase::new(),
            cost: None,
            days: None,
            supplier: String::new(),
            caution: None,
        }
    }

    /// Adds what it gives.
    #[must_use]
    pub fn gives(mut self, effect: Phrase) -> Self {
        self.effect = effect;
        self
    }

    /// Adds a caution.
    #[must_use]
    pub fn caution(mut self, caution: &'static str) -> Self {
        self.caution = Some(caution);
        self
    }

    /// Adds supplier, price and days from a supply entry.
    #[must_use]
    pub fn supplied(mut self, supply: Option<&crate::document::Supply>) -> Self {
        self.cost = supply.and_then(|s| s.price).map(|p| p.0);
        self.days = supply.and_then(|s| s.days);
        self.supplier = supply.map(|s| s.from.clone()).unwrap_or_default();
        self
    }
}

/// What of a budget repeats average, and the largest of what they share.
fn shares(terms: &[(String, f64)], kinds: &[SourceKind]) -> Shares {
    let mut shares = Shares::default();
    let mut largest = 0.0;
    for ((name, u), kind) in terms.iter().zip(kinds) {
        let variance = u * u;
        if *kind == SourceKind::Reading {
            shares.of_readings += variance;
            continue;
        }
        shares.shared += variance;
        if variance > largest {
            largest = variance;
            shares.largest = Some((name.clone(), *kind, variance));
        }
    }
    let all = shares.of_readings + shares.shared;
    if let Some((.., share)) = &mut shares.largest {
        *share /= all;
    }
    shares
}

/// Terms of a budget that are shown one by one.
const SHOWN: usize = 8;

/// The largest terms one by one, and all others as one, so that the squares still add up to u².
fn largest(mut terms: Vec<(String, f64)>) -> Vec<(String, f64)> {
    if terms.len() > SHOWN + 1 {
        let rest = terms.split_off(SHOWN);
        let together = rest.iter().map(|(_, u)| u * u).sum::<f64>().sqrt();
        terms.push((format!("{} smaller ones together", rest.len()), together));
    }
    terms
}

fn measured(value: &Uncertain, dimension: Dimension, predicted: bool) -> Measured {
    Measured { value: value.value(), expanded: value.expanded(), dimension, predicted }
}

fn by_risk(outside: f64) -> Verdict {
    if outside.is_nan() {
        Verdict::Unknown
    } else if outside >= 1.0 - RISK {
        Verdict::Bad
    } else if outside > RISK {
        Verdict::Uncertain
    } else if outside > MARGINAL {
        Verdict::Marginal
    } else {
        Verdict::Good
    }
}

/// Why a value that is probably outside is not proved to be: it may be on either side of a range that is narrower than its
/// uncertainty, or it lies above the range by less than the uncertainty that is as large as itself.
fn not_proved(value: &Uncertain, risk: Risk) -> Option<&'static str> {
    if risk.below.max(risk.above) < 1.0 - RISK {
        return Some("on which side cannot be told: the uncertainty is wider than the range");
    }
    (risk.above > risk.below && value.expanded() > value.value().abs())
        .then_some("not proved: the uncertainty is larger than the value")
}

fn risk_rule(outside: f64, prior: Prior, allowed: &Allowed, dimension: Dimension) -> Phrase {
    let rule = Phrase::words(format!("{} chance that it is outside (JCGM 106, ", chance(outside)));
    let rule = match (prior, allowed.process) {
        (Prior::Normal { .. }, Some(process)) => {
            rule.say("process spread ").value(process, dimension, 4).say(" taken into account)")
        }
        _ => rule.say("the spread of the process is not stated: judged by this reading alone)"),
    };
    rule.say(risk_limits())
}

/// What [`by_risk`] does, in words.
fn risk_limits() -> String {
    format!(
        "; good up to {}, marginal up to {}, bad from {}, uncertain between",
        limit_of_chance(MARGINAL),
        limit_of_chance(RISK),
        limit_of_chance(1.0 - RISK)
    )
}

/// A limit of a chance: "2.3 %", "95 %".
pub fn limit_of_chance(limit: f64) -> String {
    percent(limit).replace(".0 %", " %")
}

fn by_guard_band(value: &Uncertain, window: Window) -> (Verdict, Phrase) {
    let conformity = guard_band(value.value(), value.standard(), window);
    let (verdict, word) = match conformity {
        Conformity::Conforms => (Verdict::Good, "conformity is proved"),
        Conformity::NotProved => (Verdict::Uncertain, "neither conformity nor the opposite is proved"),
        Conformity::DoesNotConform => (Verdict::Bad, "non-conformity is proved"),
    };
    (verdict, Phrase::words(format!("between firms, guard band 1.645 u (ISO 14253-1): {word}")))
}

/// A chance in per cent: nothing that is computed from readings is impossible or certain.
pub fn chance(probability: f64) -> String {
    percent(probability.clamp(1e-9, 1.0 - 1e-9))
}

/// A chance that rests on guessed inputs, such as temperatures to ± 20 K, to whole per cent: "about 97 %", "over 99 %".
pub fn about(probability: f64) -> String {
    match probability * 100.0 {
        h if h < 1.0 => "under 1 %".to_owned(),
        h if h > 99.0 => "over 99 %".to_owned(),
        h => format!("about {h:.0} %"),
    }
}

/// "0 %", "under 0.1 %", "3.0 %", "31 %", "over 99.9 %", "100 %": what is not certain never rounds to certainty.
pub fn percent(share: f64) -> String {
    let hundred = share * 100.0;
    match hundred {
        h if h > 0.0 && h < 0.1 => "under 0.1 %".to_owned(),
        h if h < 100.0 && h > 99.9 => "over 99.9 %".to_owned(),
        h if (h > 0.0 && h < 10.0) || (h > 90.0 && h < 100.0) => format!("{h:.1} %"),
        h => format!("{h:.0} %"),
    }
}

/// Said of a reading that waits for an answer. It may be a slip or real: the words do not say which.
pub const SLIP: &str = "a reading is asked about and not yet confirmed";

/// What the doubt says, and whether the evidence can still settle the question.
pub(super) const fn doubt_words(doubt: &Doubt) -> (&'static str, bool) {
    use crate::document::Held;
    match doubt {
        Doubt::NotHeld(Held::CapsTorqued) => ("read without the caps or bolts tightened", false),
        Doubt::NotHeld(Held::TorquePlate) => ("read without the torque plate", false),
        Doubt::NotHeld(Held::ShellsIn) => ("read without the shells in", false),
        Doubt::NotHeld(Held::Free) => ("read while held", false),
        Doubt::HoldingNotSaid(Held::CapsTorqued) => {
            ("not said how it was held: taken as read with the caps or bolts tightened", true)
        }
        Doubt::HoldingNotSaid(Held::TorquePlate) => {
            ("not said how it was held: taken as read with the torque plate on", true)
        }
        Doubt::HoldingNotSaid(Held::ShellsIn) => {
            ("not said how it was held: taken as read with the shells in", true)
        }
        Doubt::HoldingNotSaid(Held::Free) => ("not said how it was held: taken as read free", true),
        Doubt::WrongGauge { .. } => ("this kind of gauge cannot settle the question", false),
        Doubt::OutOfReach { .. } => ("the range of the gauge leaves this size out", false),
        Doubt::GaugeNotSaid => {
            ("the gauge is not named: usual figures of its kind taken (common practice, no source)", true)
        }
        Doubt::TemperatureNotSaid => ("no temperature given: 20 °C ± 5 K taken", true),
        Doubt::MaterialNotSaid => {
            ("no material given: expansion of any engine metal taken, 8.6e-6 to 24e-6 per K", true)
        }
        Doubt::Slip(_) => (SLIP, false),
    }
}

/// What to do about it; empty where it only widens the uncertainty.
pub(super) fn ask_words(doubt: &Doubt) -> String {
    match doubt {
        Doubt::NotHeld(_) => "Read again, held as the sheet says".into(),
        Doubt::WrongGauge { gauge, kind, places } => format!(
            "Read {}with a gauge that can see it: {gauge} is {}, which cannot",
            some_places(places),
            kind.named()
        ),
        Doubt::OutOfReach { gauge, range, places } => format!(
            "Read {}with a gauge that reaches it, or name the one that was used: {gauge} reads {range}",
            some_places(places)
        ),
        Doubt::Slip(number) => format!("Look at reading {number} again: confirm it or correct it"),
        Doubt::HoldingNotSaid(_)
        | Doubt::GaugeNotSaid
        | Doubt::TemperatureNotSaid
        | Doubt::MaterialNotSaid => String::new(),
    }
}

/// "main 1, up and main 1, aside ", "main 1, up and 5 more places "; nothing of none.
fn some_places(places: &[String]) -> String {
    const NAMED: usize = 3;
    match places {
        [first, rest @ ..] if places.len() > NAMED => {
            format!("{first} and {} ", counted(rest.len(), "more place", "more places"))
        }
        [] => String::new(),
        _ => format!("{} ", phrase_list(places)),
    }
}

#[cfg(test)]
mod tests {
    use super::{by_risk, largest, risk_limits};
    use crate::findings::Verdict;

    /// The limits are read back from the words, and each is tried on both sides.
    #[test]
    fn the_decision_says_what_is_done() {
        let words = risk_limits();
        let limit = |after: &str| -> f64 {
            let rest = words.split_once(after).unwrap_or_else(|| panic!("no {after} in {words}")).1;
            let number = rest.trim_start().split(' ').next().expect("a number");
            number.parse::<f64>().expect("a number") / 100.0
        };
        let near = 0.001;
        for (at, below, above) in [
            (limit("good up to"), Verdict::Good, Verdict::Marginal),
            (limit("marginal up to"), Verdict::Marginal, Verdict::Uncertain),
            (limit("bad from"), Verdict::Uncertain, Verdict::Bad),
        ] {
            assert_eq!((by_risk(at - near), by_risk(at + near)), (below, above), "{words}: {at}");
        }
        assert!(words.ends_with("good up to 2.3 %, marginal up to 5 %, bad from 95 %, uncertain between"));
    }

    #[test]
    fn a_budget_that_is_cut_says_so_and_keeps_the_whole_variance() {
        let terms =
            |n: usize| (0..n).map(|i| (format!("term {i}"), 1.0 / (1.0 + i as f64))).collect::<Vec<_>>();
        let variance = |list: &[(String, f64)]| list.iter().map(|(_, u)| u * u).sum::<f64>();
        let cut = largest(terms(20));
        assert_eq!(cut.len(), 9);
        assert_eq!(cut[8].0, "12 smaller ones together");
        assert!((variance(&cut) / variance(&terms(20)) - 1.0).abs() < 1e-12);
        // One more than are shown is no shorter as "1 smaller one".
        assert_eq!(largest(terms(9)), terms(9));
    }
}
