//! What a gauge's figures say, and the usual figures of its kind where the document says nothing.

use crate::document::{Document, Instrument, InstrumentKind, Material};
use crate::features::Feature;
use crate::quantity::{Dimension, Expansion, parse_quantity};
use mechanics::metrology::budget::{InstrumentTerms, ZeroDrift};
use mechanics::standards::expansion::MaterialFamily;
use serde::de::value::StrDeserializer;
use serde::de::{DeserializeOwned, IntoDeserializer as _};

/// What a word of the document stands for.
fn from_word<T: DeserializeOwned>(word: &str) -> Option<T> {
    let word: StrDeserializer<'_, serde::de::value::Error> = word.into_deserializer();
    T::deserialize(word).ok()
}

/// A gauge as the sizes use it.
#[derive(Clone, Debug)]
pub struct GaugeFigures {
    /// What it is called in the working.
    pub label: String,
    /// What it is.
    pub kind: InstrumentKind,
    /// Its terms, SI.
    pub terms: InstrumentTerms,
    /// Relative standard uncertainty of one reading that is not shared (usual figures of a kind only).
    pub relative: f64,
}

impl InstrumentKind {
    /// The trade's word.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Micrometer => "micrometer",
            Self::BoreGauge => "bore gauge",
            Self::DepthGauge => "depth gauge",
            Self::DialIndicator => "dial indicator",
            Self::AlignmentBar => "alignment bar",
            Self::CoordinateMachine => "coordinate machine",
            Self::UltrasonicGauge => "ultrasonic gauge",
            Self::FeelerGauge => "feeler gauges",
            Self::Caliper => "caliper",
            Self::HeightGauge => "height gauge",
            Self::Burette => "burette",
            Self::Balance => "balance",
            Self::SpringTester => "spring tester",
            Self::HardnessTester => "hardness tester",
            Self::RoughnessTester => "roughness tester",
            Self::PinGauge => "pin gauges",
            Self::FlowBench => "flow bench",
            Self::PlasticStrip => "plastic strip",
            Self::Other => "any gauge",
        }
    }

    /// The kind with that word of the document: `bore_gauge`.
    pub fn from_word(word: &str) -> Option<Self> {
        from_word(word)
    }

    /// What it reads; None where its kind does not say it.
    pub const fn reads(self) -> Option<Dimension> {
        Some(match self {
            Self::Burette => Dimension::Volume,
            Self::Balance => Dimension::Mass,
            Self::SpringTester => Dimension::Force,
            Self::HardnessTester => Dimension::Hardness,
            Self::RoughnessTester => Dimension::Roughness,
            Self::FlowBench => Dimension::VolumeFlow,
            Self::Other => return None,
            _ => Dimension::Length,
        })
    }

    /// The trade's word with its article, in the middle of a sentence.
    pub fn named(self) -> String {
        let words = self.words();
        match self {
            Self::FeelerGauge | Self::PinGauge => words.to_owned(),
            Self::Other => "a gauge of no stated kind".to_owned(),
            _ if words.starts_with(['a', 'e', 'i', 'o', 'u']) => format!("an {words}"),
            _ => format!("a {words}"),
        }
    }

    /// Usual standard uncertainty of one reading: absolute in SI of the dimension, and relative. Common practice,
    /// no source; used only where the document does not describe the gauge, and said so in the finding.
    pub const fn usual(self, dimension: Dimension) -> (f64, f64) {
        match (self, dimension) {
            (_, Dimension::Volume) => (0.05e-6, 0.0),
            (_, Dimension::Mass) => (0.25e-3, 0.0),
            (_, Dimension::Force | Dimension::VolumeFlow) => (0.0, 0.01),
            (_, Dimension::Hardness) => (3.0, 0.0),
            (Self::Micrometer | Self::CoordinateMachine, _) => (1.5e-6, 0.0),
            (Self::BoreGauge, _) => (2.0e-6, 0.0),
            (Self::AlignmentBar | Self::DialIndicator, _) => (3.0e-6, 0.0),
            (Self::UltrasonicGauge, _) => (50.0e-6, 0.02),
            (Self::Caliper, _) => (15.0e-6, 0.0),
            (Self::RoughnessTester, _) => (0.02e-6, 0.05),
            _ => (8.0e-6, 0.0),
        }
    }
}

fn figure(text: Option<&String>, dimension: Dimension) -> Option<f64> {
    text.and_then(|t| parse_quantity(t, dimension).ok()).map(|(value, _)| value)
}

/// What the document says of a gauge in this dimension; None where it says nothing.
fn described(name: &str, instrument: &Instrument, dimension: Dimension) -> Option<GaugeFigures> {
    let said = |text: &Option<String>| figure(text.as_ref(), dimension);
    let (resolution, max_error) = (said(&instrument.resolution), said(&instrument.max_error));
    let (setting, scatter) = (said(&instrument.setting), said(&instrument.repeatability));
    if [resolution, max_error, setting, scatter].iter().all(Option::is_none) && instrument.scale.is_none() {
        return None;
    }
    let zero = said(&instrument.zero_before).zip(said(&instrument.zero_after));
    let label = if instrument.label.is_empty() {
        format!("{} {name}", instrument.kind.words())
    } else {
        instrument.label.clone()
    };
    let terms = InstrumentTerms {
        resolution: resolution.unwrap_or(0.0),
        maximum_permissible_error: max_error.unwrap_or(0.0),
        permissible_error_shared: 0.0,
        setting: setting.unwrap_or(0.0),
        zero: zero.map(|(before, after)| ZeroDrift::between(before, after)),
        scatter: scatter.map(|s| (s, f64::INFINITY)),
        relative_scale: instrument.scale.map_or(0.0, |s| s.0),
    };
    Some(GaugeFigures { label, kind: instrument.kind, terms, relative: 0.0 })
}

/// Does the document say anything of this gauge in this dimension?
pub fn says_something(instrument: &Instrument, dimension: Dimension) -> bool {
    described("", instrument, dimension).is_some()
}

/// Does a gauge reach a size?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// The size is in its range.
    Inside,
    /// The size is outside its range.
    Outside,
    /// The document does not say its range, or not the size.
    NotSaid,
}

/// Whether a gauge reaches the nominal size of a place. What turns about zero (a height over a straight edge, an offset)
/// is within the travel of any gauge of its kind.
pub fn reach(instrument: &Instrument, feature: &Feature) -> Reach {
    let size = feature.nominal.filter(|size| *size > 0.0);
    let end = |text: &Option<String>| figure(text.as_ref(), feature.dimension);
    let (smallest, largest) = (end(&instrument.smallest), end(&instrument.largest));
    match size {
        Some(size) if smallest.is_some_and(|s| size < s) || largest.is_some_and(|l| size > l) => {
            Reach::Outside
        }
        Some(_) if smallest.is_some() && largest.is_some() => Reach::Inside,
        _ => Reach::NotSaid,
    }
}

/// Why a gauge cannot have read a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unsuited {
    /// Gauges of its kind do not read such a place.
    Kind(InstrumentKind),
    /// Its range leaves the size out: the range in words.
    Range(String),
}

/// How far beyond the end of its range a gauge may still turn, as a share of the end; common practice, no source.
const BEYOND: f64 = 0.01;

/// Why the gauge of that name cannot have read `value` (SI) at a place; None where it can, or where the document does not say.
pub fn unsuited(document: &Document, name: &str, feature: &Feature, value: f64) -> Option<Unsuited> {
    let instrument = document.instruments.get(name)?;
    let kind = instrument.kind;
    if !feature.settles.contains(&kind) && kind != InstrumentKind::Other {
        return Some(Unsuited::Kind(kind));
    }
    let largest = figure(instrument.largest.as_ref(), feature.dimension);
    // Beside a nominal a value out of the range is a slip of the hand; below the range it may be a difference of two readings inside it.
    let beyond = feature.nominal.is_none() && largest.is_some_and(|largest| value > (1.0 + BEYOND) * largest);
    let outside = reach(instrument, feature) == Reach::Outside && !is_difference(feature);
    (outside || beyond).then(|| Unsuited::Range(range_words(instrument)))
}

/// "5 mm to 35 mm", as the document writes it.
fn range_words(instrument: &Instrument) -> String {
    match (&instrument.smallest, &instrument.largest) {
        (Some(smallest), Some(largest)) => format!("{smallest} to {largest}"),
        (Some(smallest), None) => format!("from {smallest}"),
        (None, Some(largest)) => format!("up to {largest}"),
        (None, None) => String::new(),
    }
}

/// The figures of the gauge of that name; of its kind, or of the kind that is usual at the place, where the document
/// says nothing of it in this dimension.
pub fn gauge_figures(
    document: &Document,
    name: &str,
    usual: InstrumentKind,
    dimension: Dimension,
) -> GaugeFigures {
    let known = document.instruments.get(name);
    if let Some(figures) = known.and_then(|instrument| described(name, instrument, dimension)) {
        return figures;
    }
    let kind = known.map_or(usual, |i| i.kind);
    let (absolute, relative) = kind.usual(dimension);
    let terms = InstrumentTerms {
        resolution: 0.0,
        maximum_permissible_error: 0.0,
        permissible_error_shared: 0.0,
        setting: 0.0,
        zero: None,
        scatter: Some((absolute, f64::INFINITY)),
        relative_scale: 0.0,
    };
    GaugeFigures { label: format!("{}, usual figures", kind.words()), kind, terms, relative }
}

/// The figures where a value is the difference of two readings by one gauge, each with its own step and scatter; setting, zero
/// and scale are the same in both and cancel.
fn of_a_difference(figures: GaugeFigures) -> GaugeFigures {
    let both = core::f64::consts::SQRT_2;
    let terms = InstrumentTerms {
        resolution: both * figures.terms.resolution,
        maximum_permissible_error: both * figures.terms.maximum_permissible_error,
        setting: 0.0,
        zero: None,
        scatter: figures.terms.scatter.map(|(scatter, degrees)| (both * scatter, degrees)),
        ..figures.terms
    };
    GaugeFigures { terms, ..figures }
}

/// Is what is entered here as one value the difference of two readings by one gauge?
pub fn is_difference(feature: &Feature) -> bool {
    feature.family == "rod.bolt_stretch"
}

/// The figures of the gauge of that name at a place; what is entered there as one value may be a difference of two readings.
pub fn figures_at(document: &Document, name: &str, feature: &Feature) -> GaugeFigures {
    let figures = gauge_figures(document, name, feature.gauge, feature.dimension);
    if is_difference(feature) { of_a_difference(figures) } else { figures }
}

/// Standard uncertainty of one reading of a nominal size with a gauge, SI.
pub fn standard_of(figures: &GaugeFigures, nominal: f64) -> f64 {
    let t = &figures.terms;
    let scatter = t.scatter.map_or(0.0, |s| s.0);
    let terms = [
        t.resolution / 12.0_f64.sqrt(),
        t.maximum_permissible_error / 3.0_f64.sqrt(),
        t.setting,
        t.zero.map_or(0.0, |z| z.standard),
        scatter,
        (t.relative_scale + figures.relative) * nominal,
    ];
    terms.iter().map(|u| u * u).sum::<f64>().sqrt()
}

impl Material {
    /// The material with that word of the document: `grey_iron`.
    pub fn from_word(word: &str) -> Option<Self> {
        from_word(word)
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::GreyIron => "grey iron",
            Self::Steel => "steel",
            Self::AluminiumCasting => "aluminium casting",
            Self::MagnesiumCasting => "magnesium casting",
            Self::ForgedPistonLowSilicon => "forged piston, low-silicon alloy",
            Self::PistonEutectic => "piston, eutectic alloy (about 12 % silicon)",
            Self::PistonHypereutectic => "piston, hypereutectic alloy (about 18 % silicon)",
            Self::Titanium => "titanium alloy",
            Self::Bronze => "bronze",
        }
    }

    /// Least and most expansion coefficient of the family in 1/K ([`MaterialFamily::expansion`]).
    pub fn expansion_band(self) -> (f64, f64) {
        let expansion = self.family().expansion();
        (expansion.low, expansion.high)
    }

    const fn family(self) -> MaterialFamily {
        match self {
            Self::GreyIron => MaterialFamily::GreyIron,
            Self::Steel => MaterialFamily::Steel,
            Self::AluminiumCasting => MaterialFamily::AluminiumCasting,
            Self::MagnesiumCasting => MaterialFamily::MagnesiumCasting,
            Self::ForgedPistonLowSilicon => MaterialFamily::LowSiliconForging,
            Self::PistonEutectic => MaterialFamily::EutecticPistonAlloy,
            Self::PistonHypereutectic => MaterialFamily::HypereutecticPistonAlloy,
            Self::Titanium => MaterialFamily::Titanium,
            Self::Bronze => MaterialFamily::Bronze,
        }
    }
}

/// Does the document state the expansion of this material?
pub fn alpha_is_stated(document: &Document, material: Material) -> bool {
    stated_alpha(document, material).is_some()
}

/// What the document states for a part of this material.
fn stated_alpha(document: &Document, material: Material) -> Option<Expansion> {
    let Document { block, pistons, .. } = document;
    [
        (block.material, block.expansion),
        (block.liner_material, block.liner_expansion),
        (pistons.material, pistons.expansion),
    ]
    .into_iter()
    .find_map(|(of, alpha)| alpha.filter(|_| of == Some(material)))
}

/// Expansion coefficient and its standard uncertainty: the maker's with ± 0.5e-6, else the middle of the family's band.
pub fn alpha_of(document: &Document, material: Material) -> (f64, f64) {
    let stated = stated_alpha(document, material);
    let (least, most) = material.expansion_band();
    match stated {
        Some(alpha) => (alpha.0, 0.5e-6 / 3.0_f64.sqrt()),
        None => (f64::midpoint(least, most), (most - least) / 2.0 / 3.0_f64.sqrt()),
    }
}

/// A gauge settles a window when U is at most a quarter of it (the shop's rule; common practice, no source).
pub fn can_settle(window: f64, expanded: f64) -> bool {
    expanded <= 0.25 * window
}
