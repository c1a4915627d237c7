//! A finding: the answer to one question about one place, with its working.

use crate::document::{InstrumentKind, Origin};
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::SourceKind;
use serde::{Deserialize, Serialize};

/// The answer, from best to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Inside, and sure enough.
    Good,
    /// Inside, but the uncertainty reaches the limit.
    Marginal,
    /// The readings cannot tell.
    Uncertain,
    /// Not measured, or no limit known: names what is missing.
    Unknown,
    /// Outside, and sure enough.
    Bad,
}

impl Verdict {
    /// The word on every page.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Marginal => "marginal",
            Self::Uncertain => "uncertain",
            Self::Unknown => "unknown",
            Self::Bad => "bad",
        }
    }

    /// Order in a list: what stops the build first.
    pub const fn rank(self) -> u8 {
        match self {
            Self::Bad => 0,
            Self::Uncertain => 1,
            Self::Marginal => 2,
            Self::Unknown => 3,
            Self::Good => 4,
        }
    }
}

/// What a finding is about: words for people, paths for drawings and links.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Subject {
    /// "bore 3", "valve 3 intake b".
    pub label: String,
    /// Instance on which it hangs: cylinder, main, pin or valve, as in feature paths (`3`, `intake.3b`).
    pub instance: String,
    /// Part on which operations are recorded.
    pub part: String,
    /// Feature paths that the finding reads, in the order of its working.
    pub features: Vec<String>,
}

/// A value with its expanded uncertainty (k = 2), in SI.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Measured {
    /// SI value.
    pub value: f64,
    /// Expanded uncertainty, k = 2, same unit; zero where it is exact.
    pub expanded: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// True where it is computed from a nominal or a grade and not from readings of this place.
    pub predicted: bool,
}

/// The limit that was used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LimitUsed {
    /// Name in the document, `piston_clearance`.
    pub name: String,
    /// Least allowed, SI.
    pub min: Option<f64>,
    /// Most allowed, SI.
    pub max: Option<f64>,
    /// Aimed at, SI.
    pub target: Option<f64>,
    /// Where it comes from.
    pub origin: Origin,
    /// Sheet, clause or reason.
    pub source: String,
    /// True where the rule is a guard band, false where it is the risk.
    pub guard_band: bool,
}

impl LimitUsed {
    /// What to aim at: the target, else the middle of a closed range, else the one limit there is.
    pub fn aim(&self) -> Option<f64> {
        let middle = self.min.zip(self.max).map(|(a, b)| f64::midpoint(a, b));
        self.target.or(middle).or(self.min).or(self.max)
    }

    /// What a part is worked to: the target, else the middle of a closed range; of one limit alone so far inside as the work may come out
    /// otherwise and the reading after it cannot tell.
    pub fn worked_to(&self, tolerance: f64, expanded: f64) -> Option<f64> {
        match (self.target, self.min, self.max) {
            (None, Some(min), None) => Some(min + tolerance + expanded),
            (None, None, Some(max)) => Some(max - tolerance - expanded),
            _ => self.aim(),
        }
    }

    /// Where it comes from, each thing said once: "builder's own: machining order", "common practice, no source".
    pub fn origin_words(&self) -> String {
        let words = self.origin.words();
        let mut source = self.source.trim();
        // A source that only repeats the origin in other words adds nothing.
        for same in ["shop's own", "builder's own", "common practice", "no source"] {
            source = source.strip_prefix(same).unwrap_or(source).trim_start_matches([':', ',', ';', ' ']);
        }
        if source.is_empty() { words.to_owned() } else { format!("{words}: {source}") }
    }

    /// Is the value inside?
    pub fn contains(&self, value: f64) -> bool {
        self.min.is_none_or(|m| value >= m) && self.max.is_none_or(|m| value <= m)
    }
}

/// One input of the working.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Input {
    /// What it is.
    pub label: String,
    /// Its value.
    pub value: Measured,
    /// Feature it was read at, where it was read.
    pub feature: Option<String>,
    /// Numbers of the readings behind it.
    pub readings: Vec<u64>,
    /// What it is computed from, in words; empty where it is a reading or stands in the document.
    pub computed_from: String,
}

impl Input {
    /// A figure without uncertainty of its own, not read: a nominal or, with words for it, one that a computation gave.
    pub fn figure(label: String, value: f64, dimension: Dimension, computed_from: &str) -> Self {
        Self {
            label,
            value: Measured { value, expanded: 0.0, dimension, predicted: true },
            feature: None,
            readings: Vec::new(),
            computed_from: computed_from.to_owned(),
        }
    }

    /// Is this a size that stands in for one that was not read: from the document in the place of a reading, or computed? A figure
    /// that is only ever stated, such as a nominal without a place to read it, predicts nothing.
    pub fn is_predicted(&self) -> bool {
        self.value.predicted && (self.feature.is_some() || !self.computed_from.is_empty())
    }

    /// Where it comes from: "no. 136, no. 137", "not read", "computed from the readings of bore 2", "from the document".
    pub fn origin(&self) -> String {
        if !self.readings.is_empty() {
            self.readings.iter().map(|n| format!("no. {n}")).collect::<Vec<_>>().join(", ")
        } else if self.feature.is_some() {
            "not read".to_owned()
        } else if self.computed_from.is_empty() {
            "from the document".to_owned()
        } else {
            format!("computed from {}", self.computed_from)
        }
    }
}

/// What the variance of a value is made of, as far as repeats average it and as far as they do not.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Shares {
    /// Variance of single readings, SI squared: repeats average it.
    pub of_readings: f64,
    /// Variance that all repeats share, SI squared.
    pub shared: f64,
    /// The largest of what repeats share: its name, where it comes from, and its part of the whole variance.
    pub largest: Option<(String, SourceKind, f64)>,
    /// The first by gauge and table in which they stand, SI squared; only where the verdict is uncertain.
    pub by_line: Vec<((InstrumentKind, usize), f64)>,
}

/// How the value came about.
#[derive(Clone, Debug, PartialEq, Serialize, Default)]
pub struct Working {
    /// Inputs, corrected to 20 °C.
    pub inputs: Vec<Input>,
    /// Formula, in words and symbols.
    pub formula: String,
    /// Book and equation, standard and clause, or "common practice, no source".
    pub source: String,
    /// Contributions to the uncertainty: name and standard uncertainty in SI, largest first.
    pub contributions: Vec<(String, f64)>,
    /// The same, by what repeats average.
    #[serde(skip)]
    pub shares: Shares,
    /// Rule by which the verdict was reached, with the figure: "2 % chance that it is outside".
    pub rule: Phrase,
}

/// What kind of work an action is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ActionKind {
    /// Take a reading (again).
    Measure,
    /// Set up or calibrate a gauge.
    Calibrate,
    /// Remove metal or size a part.
    Cut,
    /// File a ring.
    File,
    /// Move parts between places.
    Place,
    /// Buy.
    Order,
    /// Take apart, clean, put back.
    Refit,
    /// Ask a person.
    Ask,
    /// Stop, and do not do the obvious.
    Hold,
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Action {
    /// Kind of work.
    pub kind: ActionKind,
    /// What to do, as one sentence.
    pub text: Phrase,
    /// What it gives.
    pub effect: Phrase,
    /// Price in the document's currency, where it is known.
    pub cost: Option<f64>,
    /// Days until it is done, where known.
    pub days: Option<f64>,
    /// Who does or sells it; empty where the document names nobody.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub supplier: String,
    /// Caution where the work can hurt someone.
    pub caution: Option<&'static str>,
}

/// The answer to one question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Stable name: `bore_taper/2`.
    pub id: String,
    /// Code of the question, `bore_taper`.
    pub code: &'static str,
    /// Sheet on which it belongs.
    pub sheet: Sheet,
    /// What it is about.
    pub subject: Subject,
    /// The question in a few words: "taper".
    pub question: String,
    /// Value, where there is one.
    pub value: Option<Measured>,
    /// Limit, where there is one.
    pub limit: Option<LimitUsed>,
    /// The answer.
    pub verdict: Verdict,
    /// An operation has moved what was read.
    pub stale: bool,
    /// Probability that the true value is outside the limit, where it can be said.
    pub probability_outside: Option<f64>,
    /// Why, as a sentence.
    pub why: Phrase,
    /// Working.
    pub working: Working,
    /// What to do; empty when nothing is to do.
    pub actions: Vec<Action>,
    /// Features that would have to be read to answer, or to answer better; fields of the document stand behind `DOCUMENT`.
    pub missing: Vec<String>,
    /// Id of the bad finding that this one follows from: mend that one first, and this one goes with it.
    pub follows: Option<String>,
    /// Number of a reading that is asked about and not yet confirmed, where it gives this verdict as typed and as probably meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub either_value: Option<u64>,
}

impl Finding {
    /// A question before anything is said to it.
    pub fn asked(code: &'static str, sheet: Sheet, label: String, instance: &str, question: &str) -> Self {
        Self {
            id: format!("{code}/{instance}"),
            code,
            sheet,
            subject: Subject {
                label,
                instance: instance.to_owned(),
                part: String::new(),
                features: Vec::new(),
            },
            question: question.to_owned(),
            value: None,
            limit: None,
            verdict: Verdict::Unknown,
            stale: false,
            probability_outside: None,
            why: Phrase::new(),
            working: Working::default(),
            actions: Vec::new(),
            missing: Vec::new(),
            follows: None,
            either_value: None,
        }
    }

    /// Is its value below the least of its limit?
    pub fn is_below_least(&self) -> bool {
        let of_limit = self.value.zip(self.limit.as_ref());
        of_limit.is_some_and(|(value, limit)| limit.min.is_some_and(|min| value.value < min))
    }

    /// Is its value above the most of its limit?
    pub fn is_above_most(&self) -> bool {
        let of_limit = self.value.zip(self.limit.as_ref());
        of_limit.is_some_and(|(value, limit)| limit.max.is_some_and(|max| value.value > max))
    }

    /// Does it stop the build?
    pub fn stops(&self) -> bool {
        self.verdict == Verdict::Bad
    }

    /// Does it stop the build by itself, and not only because another one does?
    pub fn is_cause(&self) -> bool {
        self.stops() && self.follows.is_none()
    }

    /// Why nothing that rests on it is to be cut or bought yet: it was read before a cut, or what was read is asked about.
    pub fn waits_for(&self) -> Option<&'static str> {
        let asked =
            || self.verdict == Verdict::Uncertain && self.actions.iter().any(|a| a.kind == ActionKind::Ask);
        // A chamber that alone is large, and the ratio that follows from it.
        let again = || {
            matches!(self.code, "chamber" | "compression_ratio")
                && self.verdict == Verdict::Bad
                && self.actions.first().is_some_and(|a| a.kind == ActionKind::Measure)
        };
        if self.stale || again() { Some("read it again first") } else { asked().then_some(IN_DOUBT) }
    }

    /// What holds a line of the plan: "bore 3, taper (in doubt: answer its question first)".
    pub fn hold_words(&self) -> String {
        let asked = self.either_value.map(|_| IN_DOUBT);
        self.waits_for().or(asked).map_or_else(|| self.title(), |why| format!("{} ({why})", self.title()))
    }

    /// "bore 2, taper".
    pub fn title(&self) -> String {
        format!("{}, {}", self.subject.label, self.question)
    }
}

/// Said of what waits for an answer.
const IN_DOUBT: &str = "in doubt: answer its question first";

/// Before the fields of the document among what is missing: "document: layout.stroke".
const DOCUMENT: &str = "document: ";

/// A field of the document among what is missing.
pub fn document_field(field: &str) -> String {
    format!("{DOCUMENT}{field}")
}

/// The field of the document that is missing, where that is no place to read.
pub fn stated_in_document(missing: &str) -> Option<&str> {
    missing.strip_prefix(DOCUMENT)
}
