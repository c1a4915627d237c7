//! How an engine stands as a whole: what the exit code and the last line of an answer say.

use super::report::Outcome;
use super::words::count;
use engine::Assessment;
use engine::findings::{Finding, Verdict, Whole};

/// Does this finding leave its question open: no verdict, one that evidence cannot settle, or one that is stale?
pub(super) const fn is_open(finding: &Finding) -> bool {
    finding.stale || matches!(finding.verdict, Verdict::Unknown | Verdict::Uncertain)
}

/// How one finding ends a verb.
pub(super) fn of_finding(finding: &Finding) -> Outcome {
    if finding.stops() {
        Outcome::Stops
    } else if is_open(finding) {
        Outcome::NotProved
    } else {
        Outcome::Good
    }
}

/// How all findings together end a verb.
pub(super) fn of_all(assessment: &Assessment) -> Outcome {
    match assessment.tally().whole() {
        Whole::Stops => Outcome::Stops,
        Whole::NotProved => Outcome::NotProved,
        Whole::Good => Outcome::Good,
    }
}

/// The same in plain words; one line.
pub(super) fn words(assessment: &Assessment) -> String {
    let tally = assessment.tally();
    match tally.whole() {
        Whole::Stops => "STOPS THE BUILD: see what is bad above.".to_owned(),
        Whole::NotProved if tally.all() == 0 => {
            "NOT PROVED: nothing is known of this engine yet, so not one question can be asked. Write its layout first."
                .to_owned()
        }
        Whole::NotProved if tally.open() + tally.follow == 0 => {
            "NOT PROVED: no question is open, but a reading is asked about and not yet confirmed. Confirm it or correct it."
                .to_owned()
        }
        Whole::NotProved => format!(
            "NOT PROVED: nothing stops the build so far, but {} of {} are open. \"crosshatch next\" says what to read.",
            tally.all() - tally.good - tally.marginal,
            count(tally.all(), "question", "questions"),
        ),
        Whole::Good => {
            format!("ALL GOOD: {} answered, none of them bad.", count(tally.all(), "question", "questions"))
        }
    }
}
