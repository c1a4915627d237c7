//! What must hold for any readings: places are judged by what is read there, in any order, and what is corrected or withdrawn
//! leaves no trace.

use engine::document::{parse_document, parse_with_readings};
use engine::findings::{Finding, Verdict};
use engine::readings::Reading;
use engine::{Assessment, Engine, assess, plan};
use proptest::prelude::*;
use std::collections::HashSet;
use std::sync::LazyLock;

const TEXT: &str = include_str!("../../../../examples/hill-climb-four.toml");
const CSV: &str = include_str!("../../../../examples/hill-climb-four.readings.csv");

/// The demo four: its document without readings, and its readings.
static DEMO: LazyLock<(Engine, Assessment)> = LazyLock::new(|| {
    let document = parse_with_readings(TEXT, "four.toml", CSV, "four.csv").document.expect("the demo parses");
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    (engine, assessment)
});

fn with(readings: Vec<Reading>) -> Engine {
    Engine { readings, ..DEMO.0.clone() }
}

/// Everything of a finding but the numbers of readings, which are names.
fn told(finding: &Finding) -> String {
    let mut finding = finding.clone();
    finding.working.inputs.iter_mut().for_each(|i| i.readings.clear());
    finding.actions.clear();
    serde_json::to_string(&finding).expect("a finding is text")
}

/// Verdict, and value to a billionth: sums in another order round differently.
fn alike(a: &Finding, b: &Finding) -> bool {
    let value = match (a.value, b.value) {
        (Some(a), Some(b)) => {
            (a.value - b.value).abs() <= 1e-9 * a.value.abs().max(1e-6)
                && (a.expanded - b.expanded).abs() <= 1e-6 * a.expanded.max(1e-12)
        }
        (None, None) => true,
        _ => false,
    };
    a.id == b.id && a.verdict == b.verdict && value
}

fn all_alike(one: &Assessment, other: &Assessment) -> Result<(), TestCaseError> {
    prop_assert_eq!(one.findings.len(), other.findings.len());
    for finding in &one.findings {
        let twin = other.finding(&finding.id).expect("the same questions");
        prop_assert!(alike(finding, twin), "{} {:?} against {:?}", finding.id, finding.value, twin.value);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// A reading at a place that was not read changes only findings that read it.
    #[test]
    fn a_new_reading_moves_only_what_reads_it(place in 0_usize..2000) {
        let (engine, before) = &*DEMO;
        let place = place % engine.readings.len();
        let mut without = engine.readings.clone();
        let taken = without.remove(place);
        let less = assess(&with(without));
        let path = &taken.feature;
        // A family is compared with itself when slips are looked for: where that changed, the doubt may move.
        prop_assume!(less.slips.len() == before.slips.len());
        for finding in &less.findings {
            let after = before.finding(&finding.id).expect("the same questions");
            let reads = after.subject.features.iter().chain(&finding.missing).any(|f| f == path)
                || mean_of_bore(path).is_some_and(|c| uses_mean_bore(after, c));
            prop_assert!(reads || alike(finding, after), "{} does not read {path}", finding.id);
        }
    }

    /// The order in which places are read does not matter.
    #[test]
    fn order_of_places_does_not_matter(shuffled in Just(DEMO.0.readings.clone()).prop_shuffle()) {
        all_alike(&DEMO.1, &assess(&with(shuffled)))?;
    }

    /// A correction is worth as much as having read the right value at once.
    #[test]
    fn a_correction_leaves_no_trace(place in 0_usize..2000, factor in 0.5_f64..2.0) {
        let (engine, before) = &*DEMO;
        let mut readings = engine.readings.clone();
        let place = place % readings.len();
        let right = readings[place].clone();
        // The demo holds a slip that it corrects itself: that one is not the right value to go back to.
        prop_assume!(!readings.iter().any(|r| r.corrects == Some(right.number)));
        readings[place].value *= factor;
        readings.push(Reading { number: readings.len() as u64 + 1, corrects: Some(right.number), ..right });
        all_alike(before, &assess(&with(readings)))?;
    }

    /// Taking a reading back restores what was there before it.
    #[test]
    fn withdrawing_restores(place in 0_usize..2000, factor in 0.5_f64..2.0) {
        let (engine, before) = &*DEMO;
        let mut readings = engine.readings.clone();
        let again = readings[place % readings.len()].clone();
        let number = readings.len() as u64 + 1;
        readings.push(Reading { number, value: again.value * factor, withdrawn: true, ..again });
        let after = assess(&with(readings));
        for finding in &before.findings {
            prop_assert_eq!(told(finding), told(after.finding(&finding.id).expect("the same questions")));
        }
    }

    /// Lines of the document that say nothing any more: no panic, and verdicts only become `unknown`, or follow a limit or a gauge
    /// that is gone.
    #[test]
    fn leaving_out_keys_only_makes_unknown(seed in any::<u64>(), share in 1_u64..40) {
        let text = thinned(seed, share);
        let parsed = parse_document(&text, "thinned.toml");
        // What is refused was said to the writer; what is accepted must be judged without a panic.
        let Some(document) = parsed.document else { return Ok(()) };
        let thinned = Engine::new(document, DEMO.0.readings.clone(), Vec::new());
        let after = assess(&thinned);
        let _ = plan(&thinned, &after);
        for finding in after.findings.iter().filter(|f| f.value.is_none()) {
            prop_assert_eq!(finding.verdict, Verdict::Unknown, "{}", &finding.id);
        }
        for finding in &after.findings {
            prop_assert!(finding.value.is_none_or(|v| v.value.is_finite() && v.expanded.is_finite()), "{}", &finding.id);
        }
    }

    /// The same for limits alone: without its limit a finding is `unknown`, or is judged by common practice and says so.
    #[test]
    fn leaving_out_limits_only_makes_unknown_or_common_practice(seed in any::<u64>()) {
        let mut document = DEMO.0.document.clone();
        let mut gone = HashSet::new();
        let mut bits = seed;
        let mut less = toml_edit::ser::to_document(&document.limits).expect("limits are a table");
        let names: Vec<String> = less.as_table().iter().map(|(k, _)| k.to_owned()).collect();
        for name in names {
            bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            if bits >> 63 == 1 {
                less.as_table_mut().remove(&name);
                gone.insert(name);
            }
        }
        document.limits = toml_edit::de::from_document(less).expect("limits");
        let after = assess(&Engine { document, ..DEMO.0.clone() });
        for finding in &DEMO.1.findings {
            let Some(now) = after.finding(&finding.id) else { continue };
            let limited = finding.limit.as_ref().is_some_and(|l| gone.contains(&l.name));
            let practice = now.limit.as_ref().is_some_and(|l| l.origin == engine::document::Origin::CommonPractice);
            prop_assert!(now.verdict == finding.verdict || (limited && (now.verdict == Verdict::Unknown || practice))
                || waits_for_housing(now), "{}: {:?}", now.id, now.verdict);
        }
    }
}

/// Some questions use the mean of a bore from whatever was read there.
fn mean_of_bore(path: &str) -> Option<&str> {
    path.strip_prefix("block.bore.")?.split('.').next()
}

fn uses_mean_bore(finding: &Finding, cylinder: &str) -> bool {
    matches!(finding.code, "compression_spread" | "swept_volume")
        || (matches!(finding.code, "ring_butting" | "compression_ratio" | "wall")
            && finding.subject.instance == cylinder)
}

fn waits_for_housing(finding: &Finding) -> bool {
    finding.code == "main_clearance"
}

/// The demo document with some `key = value` lines left out, one in a hundred for each `share`.
fn thinned(seed: u64, share: u64) -> String {
    let mut bits = seed | 1;
    let keep = |line: &&str| {
        bits = bits.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let key =
            line.split_once('=').is_some_and(|(k, _)| !k.trim().is_empty() && !line.starts_with(['#', '[']));
        // The format version is the one key that a file cannot do without.
        !key || line.starts_with("crosshatch") || (bits >> 33) % 100 >= share
    };
    TEXT.lines().filter(keep).collect::<Vec<_>>().join("\n")
}

#[test]
fn without_readings_everything_is_unknown() {
    let empty = with(Vec::new());
    let assessment = assess(&empty);
    let _ = plan(&empty, &assessment);
    assert!(!assessment.findings.is_empty());
    for finding in &assessment.findings {
        assert_eq!(finding.verdict, Verdict::Unknown, "{}", finding.id);
        assert!(!finding.missing.is_empty(), "{} names what to measure", finding.id);
    }
}
