//! How an engine stands as a whole: what the exit code and the last line of an answer say.

use super::report::Outcome;
use super::words::count;
use engine::Assessment;
use engine::findings::{Finding, Verdict};

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

/// How all findings together end a verb. Where nothing can be asked, nothing is proved.
pub(super) fn of_all(assessment: &Assessment) -> Outcome {
    let findings = &assessment.findings;
    if findings.iter().any(Finding::stops) {
        Outcome::Stops
    } else if findings.is_empty() || findings.iter().any(is_open) {
        Outcome::NotProved
    } else {
        Outcome::Good
    }
}

/// The same in plain words; one line.
pub(super) fn words(assessment: &Assessment) -> String {
    let all = assessment.findings.len();
    if all == 0 {
        return "NOT PROVED: nothing is known of this engine yet, so not one question can be asked. Write its layout \
                first."
            .to_owned();
    }
    let (unknown, uncertain) = (assessment.count(Verdict::Unknown), assessment.count(Verdict::Uncertain));
    let stale = assessment.findings.iter().filter(|f| f.stale).count();
    let mut open = Vec::new();
    if unknown > 0 {
        open.push(format!("{unknown} of {} not known", count(all, "question", "questions")));
    }
    if uncertain > 0 {
        open.push(format!("{} uncertain", count(uncertain, "answer", "answers")));
    }
    if stale > 0 {
        open.push(format!("{stale} stale"));
    }
    let open = open.join(", ");
    match of_all(assessment) {
        Outcome::Stops if open.is_empty() => "STOPS THE BUILD: see what is bad above.".to_owned(),
        Outcome::Stops => format!("STOPS THE BUILD: see what is bad above. Besides, {open}."),
        Outcome::Good => {
            format!("ALL GOOD: {} answered, none of them bad.", count(all, "question", "questions"))
        }
        _ => format!(
            "NOT PROVED: nothing stops the build so far, but {open}. \"crosshatch next\" says what to read."
        ),
    }
}
