//! Separate barrels: their heights, and the shims under them.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::features::{Face, Sheet, face_label};
use crate::quantity::{Dimension, Phrase, phrase_list};
use mechanics::compression::Space;
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::taper;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["barrel_parallel"],
        asks: "Is the sealing face of a separate barrel parallel to the seat that stands on the crankcase?",
        matters: "A barrel that leans leaks on one side, and its piston runs against the other.",
        computed: "Largest less smallest of its heights, read at four places round it; shared gauge errors cancel.",
        to_do: "Clean seat and face and read again; turn the sealing face true to the seat, or replace the barrel.",
        source: "geometry; limit common practice, no source",
    },
    About {
        codes: &["barrel_match"],
        asks: "Do the separate barrels under one head end at one height?",
        matters: "A head that lies on two barrels is pulled down on the lower one: it bends, and that joint leaks.",
        computed: "Largest less smallest of the mean heights of the barrels under one head, each with the shim under it where all these shims are read; else the shims are taken as equal. Not asked where each cylinder has its own head.",
        to_do: "Match the barrels, or their shims, before any ratio is set by shims.",
        source: "geometry; limit common practice, no source",
    },
];

/// Places round a barrel at which its height is read.
const AROUND: [&str; 4] = ["front", "rear", "in", "out"];

fn height_paths(cylinder: u32) -> Vec<String> {
    AROUND.iter().map(|place| format!("barrel.{cylinder}.height.{place}")).collect()
}

/// All questions on separate barrels.
pub(super) fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let heads = bench.document().heads();
    let single = bench.cylinders().map(|cylinder| parallel(bench, cylinder));
    let shared = heads.iter().filter(|head| head.cylinders.len() > 1);
    single.chain(shared.map(|head| matched(bench, head, heads.len()))).collect()
}

fn parallel(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = Answer::new(
        bench,
        "barrel_parallel",
        Sheet::Head,
        format!("barrel {cylinder}"),
        &cylinder.to_string(),
        "sealing face parallel to its seat",
    )
    .limit("barrel_parallel")
    .formula("largest − smallest height round the barrel", "geometry; shared terms cancel");
    let spread = answer.read_all(&height_paths(cylinder)).and_then(|v| taper(&v.iter().collect::<Vec<_>>()));
    answer.value(spread.as_ref().map(|s| s.value.clone()), false);
    let mut finding = answer.finish();
    if let (Verdict::Bad, Some(spread)) = (finding.verdict, &spread) {
        let words = |at: usize| match AROUND[at] {
            place @ ("in" | "out") => bench.document().side_of_face(place),
            place => place,
        };
        finding.why = Phrase::words(format!(
            "high at the {}, low at the {}",
            words(spread.largest),
            words(spread.smallest)
        ));
        finding.actions.push(Action::new(
            ActionKind::Refit,
            Phrase::words(
                "Clean its seat and its face and read it again; if it stays, have the face turned true to the seat, or replace the barrel",
            ),
        ));
    }
    finding
}

/// Do the barrels under one head end at one height?
fn matched(bench: Bench<'_>, head: &Face, heads: usize) -> Finding {
    let label =
        format!("barrels under {}", face_label("the head", head, heads).replace("the head ", "head "));
    let mut answer = Answer::new(bench, "barrel_match", Sheet::Head, label, &head.name, "one height")
        .limit("barrel_match");
    let shims: Option<Vec<Uncertain>> =
        head.cylinders.iter().map(|c| answer.read_if_there(&format!("barrel.{c}.shim"))).collect();
    answer.formula_is(if shims.is_some() {
        "largest − smallest of mean height + shim"
    } else {
        "largest − smallest mean height; not every shim is read: they are taken as equal"
    });
    let heights: Vec<Option<Uncertain>> = head
        .cylinders
        .iter()
        .map(|c| answer.read_all(&height_paths(*c)))
        .map(|read| read.and_then(|v| Uncertain::mean(&v.iter().collect::<Vec<_>>())))
        .collect();
    let heights: Option<Vec<Uncertain>> = heights.into_iter().collect();
    let tops = heights.map(|heights| match &shims {
        Some(shims) => heights.iter().zip(shims).map(|(height, shim)| height + shim).collect(),
        None => heights,
    });
    let spread = tops.and_then(|tops| taper(&tops.iter().collect::<Vec<_>>()));
    answer.value(spread.as_ref().map(|s| s.value.clone()), false);
    let mut finding = answer.finish();
    if let Some(spread) = &spread {
        let (high, low) = (head.cylinders[spread.largest], head.cylinders[spread.smallest]);
        finding.why = Phrase::words(format!("barrel {high} highest, {low} lowest"));
        if finding.verdict == Verdict::Bad {
            finding.actions.push(Action::new(
                ActionKind::Refit,
                Phrase::words("Bring them to one height before any ratio is set: a shim thicker by ")
                    .length(spread.value.value())
                    .say(format!(" under barrel {low} than under {high}, or another barrel")),
            ));
        }
    }
    finding
}

/// Change of the shim under a barrel, m, that brings the ratio to the least and to the most allowed, as least and most change: thicker is
/// positive and makes the ratio smaller. Vs/(r − 1) − Vc over the area of the bore.
pub fn shim_for_ratio(space: &Space, least: Option<f64>, most: Option<f64>) -> (Option<f64>, Option<f64>) {
    let area = std::f64::consts::FRAC_PI_4 * space.bore * space.bore;
    let change = |ratio: f64| space.relief_for_ratio(ratio).ok().map(|volume| volume / area);
    (most.and_then(change), least.and_then(change))
}

/// Thickness of the shim that lies under a barrel now, m: as read, else as the document says; none where nobody says it.
pub fn shim_under(bench: Bench<'_>, cylinder: u32) -> Option<f64> {
    let read = bench.size(&format!("barrel.{cylinder}.shim")).map(|size| size.value.value());
    read.or(bench.document().block.barrel_shim.map(|shim| shim.0))
}

/// Which way the shim under a barrel goes, from the least and the most change that bring something inside its limit.
pub(super) fn shim_action(
    cylinder: u32,
    (least, most): (Option<f64>, Option<f64>),
    brings: &str,
) -> Option<Action> {
    let up = least.is_some_and(|least| least > 0.0);
    let down = most.is_some_and(|most| most < 0.0);
    let (word, near, far) = match (up, down) {
        (true, _) => ("thicker", least?, most),
        (_, true) => ("thinner", -most?, least.map(|least| -least)),
        _ => return None,
    };
    let by = Phrase::words(format!("A shim {word} by "));
    let by = match far {
        Some(far) => by.range(near, far, Dimension::Length, 2),
        None => by.length_2(near).say(" or more"),
    };
    let words = format!(
        " under barrel {cylinder} brings {brings} inside; shims under the barrels in the plan says which suits ratio and quench together"
    );
    Some(Action::new(ActionKind::Order, by.say(words)))
}

/// "barrel 3", "barrels 1 and 3".
pub(crate) fn barrel_words(cylinders: &[u32]) -> String {
    let numbers: Vec<String> = cylinders.iter().map(ToString::to_string).collect();
    format!("{} {}", if cylinders.len() == 1 { "barrel" } else { "barrels" }, phrase_list(&numbers))
}
