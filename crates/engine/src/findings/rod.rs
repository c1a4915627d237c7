//! Rods: big end, small end, length, side clearance, bolts, masses.

use super::about::About;
use super::answer::Answer;
use super::bench::{Bench, from_target};
use super::common_practice::FACE_TOLERANCE;
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Verdict};
use super::piston::pin_in;
use crate::document::OperationKind;
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::form::taper;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["big_end_size", "big_end_round"],
        asks: "Is the big end in size at 90° to the split?",
        matters: "Crush and clearance depend on it.",
        computed: "As read with the bolts at their stretch.",
        to_do: "Size the big end.",
        source: "ISO 1",
    },
    About {
        codes: &["rod_side_clearance"],
        asks: "Has the rod room on its pin?",
        matters: "Too little heats and throttles the oil that leaves, too much lets the rod walk.",
        computed: "As read, assembled.",
        to_do: "Face the rod, or look at the crank's fillets.",
        source: "definition",
    },
    About {
        codes: &["mass_spread"],
        asks: "Do the reciprocating masses match?",
        matters: "Unequal masses shake the engine.",
        computed: "Piston, pin, rings, locks and small end of each cylinder; largest less smallest.",
        to_do: "Swap pins and rods as the plan says, then lighten the heaviest piston at its maker's place; take nothing off a rod or pin unless its maker shows where. The plan keeps 0.9 of U off the limit (common practice, no source), or says that it is not proved.",
        source: "definition",
    },
    About {
        codes: &["pin_in_rod"],
        asks: "Has the piston pin the right room in the small end?",
        matters: "Too little seizes, too much knocks.",
        computed: "Bush bore less pin diameter, both at 20 °C.",
        to_do: "Try another pin; then hone a bush that is too tight, replace one that is too loose. A pressed pin has none: another pin or rod.",
        source: "definition",
    },
    About {
        codes: &["rod_length"],
        asks: "Is the centre distance of the rod in its range?",
        matters: "A short rod has been bent, and lowers its piston; a long one is not of this set, or was not read right.",
        computed: "As read.",
        to_do: "Do not use it where it is short; compare it with the others where it is long. What is read through it waits for the rod that takes its place.",
        source: "definition",
    },
    About {
        codes: &["rod_bolt_stretch"],
        asks: "Is the rod bolt stretched as its maker asks?",
        matters: "The stretch is the clamping force; torque only stands in for it.",
        computed: "Tightened less free length, as read. Asked where a stretch or a limit is stated.",
        to_do: "Loosen, read the free length, tighten again; replace a bolt that has stayed long.",
        source: "bolt maker",
    },
];

/// All questions on rods.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    bench.cylinders().flat_map(|c| rod(bench, c)).collect()
}

fn rod(bench: Bench<'_>, number: u32) -> Vec<Finding> {
    let document = bench.document();
    let instance = number.to_string();
    let label = format!("rod {number}");
    let part = format!("rod.{number}");
    let start = |code, question| {
        Answer::new(bench, code, Sheet::Rods, label.clone(), &instance, question).part(&part)
    };
    let big_ends: Vec<String> =
        ["vertical", "left", "right"].iter().map(|d| format!("rod.{number}.big_end.{d}")).collect();

    let mut size = start("big_end_size", "big end size")
        .allowed(from_target("rods.big_end", document.rods.big_end.as_ref()))
        .formula("as read at 90° to the split", "ISO 1");
    let value = size.read(&big_ends[0]);
    size.value(value, false);
    let mut round = start("big_end_round", "big end out-of-round")
        .limit("big_end_round")
        .formula("largest − smallest of three directions", "definition; blind to some odd lobes");
    let spread =
        round.read_all(&big_ends).and_then(|v| taper(&v.iter().collect::<Vec<_>>()).map(|s| s.value));
    round.value(spread, false);
    let mut all: Vec<Finding> = [size.finish(), round.finish()]
        .into_iter()
        .map(|mut finding| {
            if finding.verdict == Verdict::Bad {
                finding.actions.push(
                    Action::new(ActionKind::Cut, Phrase::words("Size the big end; check its length after"))
                        .supplied(bench.job(OperationKind::BigEndHone)),
                );
            }
            finding
        })
        .collect();

    let mut small = start("pin_in_rod", "pin in the small end")
        .limit("pin_in_rod")
        .formula("bush bore − pin diameter", "definition");
    let bush = small.read(&format!("rod.{number}.small_end"));
    let pin = small.read(&format!("pin.{}.diameter", pin_in(bench, number)));
    small.value(bush.zip(pin).map(|(b, p)| &b - &p), false);
    let mut small = small.finish();
    if small.verdict == Verdict::Bad {
        let to_do = if bench.document().pins.pressed == Some(true) {
            "Interference outside its range: another pin or another rod. The small end is heated to fit a pressed pin (burns), and pressing one out can spoil the piston: use the piston maker's support"
        } else if small.is_below_least() {
            "Too tight: try another pin, then hone the bush"
        } else {
            "Too loose: try another pin, then replace the bush and hone it to the pin"
        };
        small.actions.push(Action::new(ActionKind::Place, Phrase::words(to_do)));
    }
    all.push(small);
    let direct = |code, limit, question, ending: &str, to_do| Direct {
        code,
        limit,
        sheet: Sheet::Rods,
        label: label.clone(),
        instance: &instance,
        question,
        path: format!("rod.{number}.{ending}"),
        dimension: Dimension::Length,
        to_do,
    };
    all.push(length_action(
        direct("rod_length", "rod_length", "centre distance", "length", ToDo::either("")).finding(bench),
        bench,
    ));
    all.push(side_action(
        direct(
            "rod_side_clearance",
            "rod_side_clearance",
            "side clearance",
            "side_clearance",
            ToDo::either(""),
        )
        .finding(bench),
        &sharing(bench, number),
    ));
    if document.rods.bolt_stretch.is_some() || document.limits.rod_bolt_stretch.is_some() {
        all.extend((1..=2).map(|bolt| stretch(bench, number, bolt)));
    }
    all
}

/// A rod out of length is not used. Common practice, no source.
fn length_action(mut finding: Finding, bench: Bench<'_>) -> Finding {
    if finding.verdict != Verdict::Bad {
        return finding;
    }
    let (kind, words, other) = if finding.is_below_least() {
        (
            ActionKind::Hold,
            "Do not use it: a short rod has been bent, or its big end was sized off its centre",
            "Another rod",
        )
    } else {
        let words = "Do not use it yet: no rod grows, so it is not of this set, or the reading is wrong; lay it beside the others and read them all again the same way";
        (ActionKind::Measure, words, "Another rod, if it reads the same again")
    };
    finding.actions = vec![
        Action::new(kind, Phrase::words(words)),
        Action::new(ActionKind::Order, Phrase::words(other)).supplied(bench.document().shop.parts.get("rod")),
    ];
    finding
}

/// The rods that stand side by side on the pin of this one, itself among them.
fn sharing(bench: Bench<'_>, number: u32) -> Vec<u32> {
    let throws = bench.document().throw_of_cylinder();
    let throw_of = |cylinder: u32| throws.get(cylinder as usize - 1);
    bench.cylinders().filter(|c| throw_of(*c) == throw_of(number)).collect()
}

/// A rod can be faced, but not widened; where several stand on one pin the clearance is that of all of them together.
fn side_action(mut finding: Finding, sharing: &[u32]) -> Finding {
    let Some((value, limit)) = finding.value.zip(finding.limit.as_ref()) else { return finding };
    if finding.verdict != Verdict::Bad {
        return finding;
    }
    finding.actions.push(if finding.is_below_least() {
        let rods: Vec<String> = sharing.iter().map(ToString::to_string).collect();
        let mut text = Phrase::words(if rods.len() > 1 {
            format!(
                "Look that no fillet of the crank carries a rod, then face one of rods {}, once: they share this pin and its clearance",
                rods.join(" and ")
            )
        } else {
            "Look that no fillet of the crank carries the rod, then face the rod".to_owned()
        });
        if let Some(aim) = limit.worked_to(FACE_TOLERANCE, value.expanded) {
            text = text.say(": ").length_2(aim - value.value).say(" off");
        }
        Action::new(ActionKind::Cut, text)
    } else {
        let text = "Another rod: side clearance cannot be made smaller; read the widths of rod and pin first";
        Action::new(ActionKind::Order, Phrase::words(text))
    });
    finding
}

fn stretch(bench: Bench<'_>, number: u32, bolt: u32) -> Finding {
    let allowed = bench
        .limit("rod_bolt_stretch")
        .or_else(|| from_target("rods.bolt_stretch", bench.document().rods.bolt_stretch.as_ref()));
    let mut answer = Answer::new(
        bench,
        "rod_bolt_stretch",
        Sheet::Rods,
        format!("rod {number}, bolt {bolt}"),
        &format!("{number}.{bolt}"),
        "stretch",
    )
    .allowed(allowed)
    .part(&format!("rod.{number}"))
    .formula("tightened − free length, as read", "definition");
    let value = answer.read(&format!("rod.{number}.bolt_stretch.{bolt}"));
    answer.value(value, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        finding.actions.push(
            Action::new(ActionKind::Refit, Phrase::words("Loosen, read the free length, tighten again to the bolt maker's stretch; replace a bolt that has stayed long")),
        );
    }
    finding
}
