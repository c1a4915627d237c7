//! What to do about readings that cannot tell: read again where that can help, and say so where it cannot.

use super::model::{Action, ActionKind, Finding, LimitUsed, Shares, Verdict};
use super::percent;
use crate::document::InstrumentKind;
use crate::quantity::{Dimension, Phrase, UnitSystem};
use mechanics::metrology::SourceKind;

/// Standard uncertainties from a limit at which a size is inside with 95 %: Φ(1.645) = 0.95.
const SURE: f64 = 1.645;

/// Gives each finding that its readings cannot settle an advice that can: another reading where the mean of them would leave room
/// inside the limits; else what makes the largest share of the uncertainty smaller, a finer gauge, or another limit.
pub(super) fn advise(findings: &mut [Finding], units: UnitSystem) {
    for finding in findings.iter_mut().filter(|f| f.verdict == Verdict::Uncertain && f.follows.is_none()) {
        let Some((value, limit)) = finding.value.zip(finding.limit.clone()) else { continue };
        // Doubts about the evidence (how it was held, a slip, the gauge) are asked about by the finding itself.
        let asked = finding.actions.iter().any(|a| a.kind == ActionKind::Ask);
        let read = !value.predicted && !finding.subject.features.is_empty();
        let lengths = matches!(
            value.dimension,
            Dimension::Length | Dimension::Roughness | Dimension::Mass | Dimension::Volume
        );
        if asked || !read || !lengths {
            continue;
        }
        let spread = Spread::of(&finding.working.shares, value.expanded);
        // No other place for a part settles what no reading of it could prove.
        let too_fine = spread.too_fine(value.value, &limit).is_some();
        let gives_way =
            |kind: ActionKind| kind == ActionKind::Measure || too_fine && kind == ActionKind::Place;
        if !finding.actions.iter().all(|a| gives_way(a.kind)) {
            continue;
        }
        let action = match (spread.stays(value.value, &limit), spread.too_fine(value.value, &limit)) {
            (Some(share), _) => Some(smaller(share)),
            (None, Some(most)) => Some(finer(value.expanded, value.dimension, most, units)),
            (None, None) => finding.actions.is_empty().then(again),
        };
        if let Some(action) = action {
            finding.actions.retain(|a| !gives_way(a.kind));
            finding.actions.push(action);
        }
    }
}

/// Is the limit finer than the mean of two such readings can prove?
pub(super) fn is_too_fine(finding: &Finding) -> bool {
    finding.value.zip(finding.limit.as_ref()).is_some_and(|(value, limit)| {
        Spread::of(&finding.working.shares, value.expanded).too_fine(value.value, limit).is_some()
    })
}

/// Which of these lines (a gauge, and the table of its places) can settle a finding that its readings leave uncertain, all other
/// uncertainties staying as they are: those that can do so alone, else all of them where they can together, else none.
pub(crate) fn lines_that_settle(finding: &Finding, lines: &[Line]) -> (Vec<Line>, bool) {
    let all = || (lines.to_vec(), lines.len() == 1);
    // What is asked about is settled by an answer to that.
    let asked = finding.actions.iter().any(|a| a.kind == ActionKind::Ask);
    let Some((value, limit)) = finding.value.zip(finding.limit.as_ref()).filter(|_| !asked) else {
        return all();
    };
    if finding.code == "ring_butting" {
        return if hot_part(finding) { (Vec::new(), false) } else { all() };
    }
    let shares = &finding.working.shares;
    let spread = Spread::of(shares, value.expanded);
    if spread.stays(value.value, limit).is_some() || spread.too_fine(value.value, limit).is_some() {
        return (Vec::new(), false);
    }
    if lines.len() < 2 || shares.by_line.is_empty() {
        return all();
    }
    let whole = spread.of_readings + spread.shared;
    let settles_alone = |line: &&Line| {
        let of_line = shares.by_line.iter().find(|(known, _)| known == *line).map_or(0.0, |(_, part)| *part);
        let rest = Spread { of_readings: of_line, shared: whole - of_line, largest: spread.largest };
        !rest.is_left_open(value.value, limit)
    };
    let alone: Vec<Line> = lines.iter().filter(settles_alone).copied().collect();
    if alone.is_empty() { all() } else { (alone, true) }
}

/// A gauge, and the table in which its places stand.
pub(crate) type Line = (InstrumentKind, usize);

/// Is the greater part of the uncertainty of a hot gap that of temperatures and expansions, which no gauge for gap and bore makes smaller?
fn hot_part(finding: &Finding) -> bool {
    let variance = |read: bool| -> f64 {
        let of = finding.working.contributions.iter();
        let of = of.filter(|(name, _)| matches!(name.as_str(), "bore" | "cold gap") == read);
        of.map(|(_, u)| u * u).sum()
    };
    variance(false) > variance(true)
}

/// The variance of a value, by what repeats take off it.
struct Spread<'a> {
    of_readings: f64,
    shared: f64,
    largest: Option<&'a Share>,
}

/// Name, where it comes from, part of the variance.
type Share = (String, SourceKind, f64);

impl<'a> Spread<'a> {
    /// Where no budget is known, all of it is taken as averaging.
    fn of(shares: &'a Shares, expanded: f64) -> Self {
        let known = shares.of_readings + shares.shared > 0.0;
        let of_readings = if known { shares.of_readings } else { expanded * expanded / 4.0 };
        Self { of_readings, shared: shares.shared, largest: shares.largest.as_ref() }
    }

    /// Standard uncertainty of the mean of so many readings.
    fn of_mean(&self, count: f64) -> f64 {
        (self.shared + self.of_readings / count).sqrt()
    }

    /// The largest share of what repeats leave, where that is the greater part and two readings more would not settle the size as it
    /// stands either.
    fn stays(&self, value: f64, limit: &LimitUsed) -> Option<&'a Share> {
        self.largest.filter(|_| self.is_left_open(value, limit))
    }

    /// Is what repeats leave the greater part, and would two readings more not settle the size as it stands?
    fn is_left_open(&self, value: f64, limit: &LimitUsed) -> bool {
        let ends = [limit.min, limit.max].into_iter().flatten();
        let nearest = ends.map(|end| (value - end).abs()).fold(f64::INFINITY, f64::min);
        self.shared > self.of_readings && SURE * self.of_mean(3.0) > nearest
    }

    /// The greatest U with which a size could be proved inside, where the limits leave less room than the mean of two such readings needs:
    /// half of a range, or the range from zero where what is judged cannot be less (a taper, out-of-round).
    fn too_fine(&self, value: f64, limit: &LimitUsed) -> Option<f64> {
        let room = match (limit.min, limit.max) {
            (Some(min), Some(max)) => (max - min) / 2.0,
            (None, Some(max)) if value >= 0.0 => max,
            _ => return None,
        };
        (SURE * self.of_mean(2.0) > room).then_some(2.0 * room / SURE)
    }
}

/// What makes a share of the uncertainty smaller that no repeat does.
fn smaller((name, kind, share): &Share) -> Action {
    let (kind, cure) = match kind {
        SourceKind::AssumedTemperature => (
            ActionKind::Measure,
            "nobody has read it, and 20 °C ± 5 K is taken. State the temperature of part and gauge with the reading",
        ),
        SourceKind::Temperature => (
            ActionKind::Measure,
            "let part and gauge lie side by side until both are as warm as the room, and read the temperature of the part more closely",
        ),
        SourceKind::AssumedMaterial => (ActionKind::Measure, "state the material of the part under Spec"),
        SourceKind::Expansion => (
            ActionKind::Measure,
            "state the maker's expansion coefficient under Spec, or read it nearer to 20 °C",
        ),
        SourceKind::Setting => (
            ActionKind::Calibrate,
            "set the gauge anew against a master (a ring, a block) that is known more closely and read again, or read with a finer gauge",
        ),
        SourceKind::Scale => (
            ActionKind::Calibrate,
            "check the scale of the gauge on a master of nearly this size and read again, or read with a finer gauge",
        ),
        SourceKind::Stated => (ActionKind::Measure, "it is stated and not measured: read the part itself"),
        SourceKind::Reading => (ActionKind::Measure, "read with a finer gauge"),
    };
    let words =
        format!("Reading it again cannot tell: {} of the variance is the {name}; {cure}", percent(*share));
    Action::new(kind, Phrase::words(words))
}

fn finer(expanded: f64, dimension: Dimension, most: f64, units: UnitSystem) -> Action {
    let decimals = if dimension == Dimension::Length { 4 } else { 2 };
    let text = Phrase::words(
        "The limit is finer than these readings can prove, however often they are repeated: U is ",
    )
    .at_least(expanded, dimension, decimals, units)
    .say(", it would take ")
    .value(most, dimension, decimals)
    .say(" or less. Read with a finer gauge, or have whoever set the limit look at it");
    Action::new(ActionKind::Measure, text)
}

const AGAIN: &str =
    "Read it again at the same places, twice each: the readings are too near to the limit to tell";

fn again() -> Action {
    Action::new(ActionKind::Measure, Phrase::words(AGAIN))
}

/// Is this the advice to read again, and nothing else?
pub(super) fn is_again(action: &Action) -> bool {
    action.text == Phrase::words(AGAIN)
}
