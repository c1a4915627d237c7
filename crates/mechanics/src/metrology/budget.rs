//! Where the uncertainty of a reading comes from: the terms of an instrument, shared and not.
//!
//! All lengths (or whatever is read) in one unit; the caller chooses which.

use super::{Shape, Source, SourceId, SourceKind, Sources, Uncertain};

/// Standard uncertainty of a value that lies anywhere within ± `half_width`: a/√3 (JCGM 100, 4.3.7).
pub fn rectangular(half_width: f64) -> f64 {
    half_width.abs() / 3_f64.sqrt()
}

/// Standard uncertainty from the step of a display or scale: δ/√12 (JCGM 100, F.2.2.1).
pub fn resolution(step: f64) -> f64 {
    rectangular(0.5 * step)
}

/// What the zero did between the check before and the check after a set of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZeroDrift {
    /// Mean of both checks, to be subtracted from each reading.
    pub correction: f64,
    /// Standard uncertainty of that correction: the zero was somewhere between both, |after − before|/√12.
    pub standard: f64,
}

impl ZeroDrift {
    /// From what the instrument showed on its setting master before and after, less the master's size.
    pub fn between(before: f64, after: f64) -> Self {
        Self { correction: 0.5 * (before + after), standard: rectangular(0.5 * (after - before)) }
    }
}

/// Repeated readings of one size: a type A evaluation (JCGM 100, 4.2).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeats {
    /// Arithmetic mean.
    pub mean: f64,
    /// Experimental standard deviation of one reading.
    pub scatter: f64,
    /// Standard uncertainty of the mean, scatter/√n.
    pub standard: f64,
    /// n − 1.
    pub degrees_of_freedom: f64,
}

impl Repeats {
    /// `None` of fewer than two readings: one reading says nothing of its scatter.
    pub fn of(readings: &[f64]) -> Option<Self> {
        if readings.len() < 2 {
            return None;
        }
        let n = readings.len() as f64;
        let mean = readings.iter().sum::<f64>() / n;
        let squares: f64 = readings.iter().map(|x| (x - mean) * (x - mean)).sum();
        let scatter = (squares / (n - 1.0)).sqrt();
        Some(Self { mean, scatter, standard: scatter / n.sqrt(), degrees_of_freedom: n - 1.0 })
    }

    /// The mean as a value with a source of its own.
    pub fn uncertain(&self, name: impl Into<String>, sources: &mut Sources) -> Uncertain {
        let source = Source {
            name: name.into(),
            shape: Shape::Normal,
            degrees_of_freedom: self.degrees_of_freedom,
            kind: SourceKind::Reading,
        };
        Uncertain::new(self.mean, sources.add(source), self.standard)
    }
}

/// Scatter pooled over several small sets of repeats of different sizes, and its degrees of freedom
/// (JCGM 100, H.3.6 note; `s² = Σ νᵢ sᵢ² / Σ νᵢ`). `None` when no set has two readings.
pub fn pooled_scatter(sets: &[&[f64]]) -> Option<(f64, f64)> {
    let (mut squares, mut degrees) = (0.0, 0.0);
    for repeats in sets.iter().filter_map(|set| Repeats::of(set)) {
        squares += repeats.degrees_of_freedom * repeats.scatter * repeats.scatter;
        degrees += repeats.degrees_of_freedom;
    }
    (degrees > 0.0).then(|| ((squares / degrees).sqrt(), degrees))
}

/// What is known of an instrument and of the way it was set for one round of readings. A term that is 0 is absent.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct InstrumentTerms {
    /// Step of the display; a new rectangular source for every reading.
    pub resolution: f64,
    /// Limit of permissible error ±, rectangular (ISO 14253-5 practice).
    pub maximum_permissible_error: f64,
    /// Share (0 to 1) of the permissible error's variance that all readings of the round have in common.
    ///
    /// An error of the zero or of one spot on the scale is common to readings of nearly one size (1); the short
    /// wave of a screw or a rack is not (0). The common part cancels in differences, the rest does not.
    pub permissible_error_shared: f64,
    /// Standard uncertainty of the master or of the act of setting to it; shared by the round.
    pub setting: f64,
    /// Zero checks before and after; the uncertainty is shared by the round.
    pub zero: Option<ZeroDrift>,
    /// Scatter of one reading and its degrees of freedom; a new source for every reading.
    pub scatter: Option<(f64, f64)>,
    /// Relative standard uncertainty of the scale (speed of sound, modulus of a load cell); shared by the round.
    pub relative_scale: f64,
}

/// What the source of a gauge's scale is called.
const SCALE: &str = "scale";

/// One round of readings with one instrument, its shared sources registered.
#[derive(Clone, Debug)]
pub struct Round {
    name: String,
    terms: InstrumentTerms,
    permissible: Option<SourceId>,
    setting: Option<SourceId>,
    zero: Option<SourceId>,
    scale: Option<SourceId>,
}

impl Round {
    /// Registers what the readings of this round share. `name` is the instrument's.
    pub fn begin(name: impl Into<String>, terms: InstrumentTerms, sources: &mut Sources) -> Self {
        let name = name.into();
        let mut shared = |what: &str, present: bool, shape| {
            let kind = if what == SCALE { SourceKind::Scale } else { SourceKind::Setting };
            present.then(|| type_b(sources, format!("{name}, {what}"), shape, kind))
        };
        let common = terms.maximum_permissible_error != 0.0 && terms.permissible_error_shared > 0.0;
        Self {
            permissible: shared("permissible error", common, Shape::Rectangular),
            setting: shared("setting", terms.setting != 0.0, Shape::Normal),
            zero: shared("zero drift", terms.zero.is_some_and(|z| z.standard != 0.0), Shape::Rectangular),
            scale: shared(SCALE, terms.relative_scale != 0.0, Shape::Normal),
            terms,
            name,
        }
    }

    /// What a reading says, corrected for the zero, with the shared terms of the round and its own.
    pub fn reading(&self, shown: f64, sources: &mut Sources) -> Uncertain {
        self.mean_of(shown, 1, sources)
    }

    /// The mean of `count` repeats at one place: only the scatter shrinks, by √count.
    ///
    /// The step of the display is kept whole: where repeats show the same figure, they share its rounding.
    pub fn mean_of(&self, mean: f64, count: usize, sources: &mut Sources) -> Uncertain {
        let terms = &self.terms;
        let value = mean - terms.zero.map_or(0.0, |zero| zero.correction);
        let permissible = rectangular(terms.maximum_permissible_error);
        let common = terms.permissible_error_shared.clamp(0.0, 1.0);
        let shared = [
            (self.permissible, permissible * common.sqrt()),
            (self.setting, terms.setting),
            (self.zero, terms.zero.map_or(0.0, |zero| zero.standard)),
            (self.scale, value * terms.relative_scale),
        ];
        let mut read = Uncertain::exact(value);
        for (source, standard) in shared {
            if let Some(id) = source {
                read = read.with_term(id, standard);
            }
        }
        read = self.own(
            read,
            "resolution",
            resolution(terms.resolution),
            Shape::Rectangular,
            f64::INFINITY,
            sources,
        );
        let rest = permissible * (1.0 - common).sqrt();
        read = self.own(
            read,
            "permissible error at this place",
            rest,
            Shape::Rectangular,
            f64::INFINITY,
            sources,
        );
        if let Some((scatter, degrees)) = terms.scatter {
            let standard = scatter / (count.max(1) as f64).sqrt();
            read = self.own(read, "scatter", standard, Shape::Normal, degrees, sources);
        }
        read
    }

    fn own(
        &self,
        read: Uncertain,
        what: &str,
        standard: f64,
        shape: Shape,
        degrees_of_freedom: f64,
        sources: &mut Sources,
    ) -> Uncertain {
        if standard == 0.0 {
            return read;
        }
        let name = format!("{}, {what}", self.name);
        let id = sources.add(Source { name, shape, degrees_of_freedom, kind: SourceKind::Reading });
        read.with_term(id, standard)
    }
}

fn type_b(sources: &mut Sources, name: String, shape: Shape, kind: SourceKind) -> SourceId {
    sources.add(Source { name, shape, degrees_of_freedom: f64::INFINITY, kind })
}
