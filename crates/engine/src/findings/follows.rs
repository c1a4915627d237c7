//! Which open finding is only the shadow of another: the list shows the cause, and what follows from it beneath.

use super::model::{ActionKind, Finding, Verdict};
use super::{BIG_END, MAIN_HOUSING};
use crate::document::Document;

/// Codes and instances of the findings that this one could follow from, nearest first. Common practice, no source.
fn causes(finding: &Finding, document: &Document) -> Vec<(&'static str, String)> {
    let here = finding.subject.instance.clone();
    let housing = |codes: &[&'static str]| codes.iter().map(|code| (*code, here.clone())).collect::<Vec<_>>();
    let cylinder = || here.split('.').next().unwrap_or_default().to_owned();
    match finding.code {
        "main_step" => {
            let next = here.parse::<u32>().map(|m| (m + 1).to_string()).unwrap_or_default();
            vec![("main_line", here.clone()), ("main_line", next)]
        }
        "main_housing_size" | "main_housing_round" => vec![("main_line", here)],
        "main_agreement" => housing(MAIN_HOUSING),
        "rod_agreement" => housing(BIG_END),
        // A worn journal makes the clearance too large: the journal is proved first, and then decides which shells are right.
        "main_clearance" => housing(MAIN_HOUSING)
            .into_iter()
            .chain(finding.is_above_most().then(|| ("main_size", here.clone())))
            .collect(),
        "rod_clearance" => {
            let throw = here
                .parse()
                .ok()
                .and_then(|rod: usize| document.throw_of_cylinder().get(rod.checked_sub(1)?).copied());
            let pin = throw.filter(|_| finding.is_above_most()).map(|pin| ("pin_size", pin.to_string()));
            housing(BIG_END).into_iter().chain(pin).collect()
        }
        "core_shift" => vec![("wall", here)],
        "ring_butting" => vec![("top_ring_gap", format!("{here}.top"))],
        "spring_installed" => vec![("coil_bind_margin", here)],
        // A spring that is itself at fault follows from no height.
        "seat_load" if finding.actions.first().is_some_and(|a| a.kind == ActionKind::Refit) => {
            ["coil_bind_margin", "spring_installed"].map(|code| (code, here.clone())).to_vec()
        }
        "quench" => vec![("rod_length", here)],
        "compression_ratio" => vec![("chamber", here.clone()), ("rod_length", here)],
        "compression_spread" => {
            let chambers = (1..=document.layout.cylinders.unwrap_or(0)).map(|c| ("chamber", c.to_string()));
            chambers
                .chain(
                    (1..=document.layout.cylinders.unwrap_or(0))
                        .map(|c| ("compression_ratio", c.to_string())),
                )
                .collect()
        }
        "piston_clearance" => vec![("bore_taper", here.clone()), ("bore_size", cylinder())],
        _ => Vec::new(),
    }
}

/// Names the cause of each open finding that has one among the bad ones and is not named yet.
pub(super) fn link(all: &mut [Finding], document: &Document) {
    let bad: Vec<String> = all.iter().filter(|f| f.verdict == Verdict::Bad).map(|f| f.id.clone()).collect();
    let open_causes = |finding: &Finding| {
        let causes = causes(finding, document).into_iter().map(|(code, at)| format!("{code}/{at}"));
        causes.filter(|id| bad.contains(id)).collect::<Vec<_>>()
    };
    let open =
        |f: &&mut Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain) && f.follows.is_none();
    for finding in all.iter_mut().filter(open) {
        finding.follows = open_causes(finding).into_iter().next();
    }
}
