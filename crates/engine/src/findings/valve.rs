//! Valve gear: lash, springs, guides, seats, buckets, pushrods, cam journals.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Verdict};
use super::spring;
use crate::cautions;
use crate::document::LashAdjustment;
use crate::features::{Sheet, Side, ValveName, valve_names};
use crate::quantity::{Dimension, Phrase};

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["lash"],
        asks: "Is the cold lash inside its range?",
        matters: "Too small holds the valve open when hot, too large hammers it shut.",
        computed: "As read, lobe away.",
        to_do: "Change the shim as the plan says (what is in the engine first, then the box, then bought), or set the screw, as the lash of this engine is adjusted.",
        source: "cam maker's card, else common practice, no source",
    },
    About {
        codes: &["guide"],
        asks: "Has the stem the right room in its guide?",
        matters: "Heat leaves the valve through it, oil enters through it.",
        computed: "Guide less stem, both at 20 °C.",
        to_do: "Too tight: ream or hone the guide. Too loose: another valve where the stem is worn, another guide where that is. Cut the seat again after it.",
        source: "definition",
    },
    About {
        codes: &["seat_width"],
        asks: "Is the seat as wide as asked for?",
        matters: "A narrow one cannot cool the valve, a wide one does not seal.",
        computed: "As read.",
        to_do: "Too wide: narrow it with the top and throat cutters. Too narrow: widen it with the seat cutter.",
        source: "common practice, no source",
    },
    About {
        codes: &["seat_run_out"],
        asks: "Does the seat run true to its guide?",
        matters: "A seat that runs out leaks and bends the valve at every closing.",
        computed: "As read on a pilot in the guide.",
        to_do: "Cut the seat again on a pilot that fits the guide.",
        source: "common practice, no source",
    },
    About {
        codes: &["to_piston"],
        asks: "Does the valve stay clear of the piston, cold?",
        matters: "Parts stretch at speed: what only just clears cold meets then, and wrecks the engine.",
        computed: "As read: least distance of valve and piston.",
        to_do: "Do not turn the engine. Change the cam timing or the gasket, or deepen the pocket as far as the crown bears it.",
        source: "cam and piston maker, else common practice, no source",
    },
    About {
        codes: &["bucket_clearance"],
        asks: "Has the bucket the right room in its bore?",
        matters: "Too little sticks, too much tips and knocks.",
        computed: "Bore less bucket, both at 20 °C.",
        to_do: "Try another bucket.",
        source: "definition",
    },
    About {
        codes: &["pushrod"],
        asks: "Has the pushrod the length that puts the rocker on the middle of the valve tip?",
        matters: "A rocker that sweeps off the middle wears guide and tip.",
        computed: "As read. Asked where a limit is stated.",
        to_do: "Another pushrod.",
        source: "cam maker",
    },
    About {
        codes: &["cam_clearance"],
        asks: "Is the clearance of the cam journal in its range?",
        matters: "Too little seizes, too much drops the oil pressure of the head.",
        computed: "Bore of the capped journal less journal, both at 20 °C.",
        to_do: "Caps off, clean, torque again and read again; if it stays: another shaft, or have the cam bores bored in line to the next size, or another head.",
        source: "definition",
    },
];

/// All questions on the valve gear.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let mut all: Vec<Finding> = valve_names(bench.document()).iter().flat_map(|v| valve(bench, v)).collect();
    all.extend(cam_journals(bench));
    all
}

/// Name of the lash limit of a side.
pub const fn lash_limit(side: Side) -> &'static str {
    match side {
        Side::Intake => "lash_intake",
        Side::Exhaust => "lash_exhaust",
    }
}

fn valve(bench: Bench<'_>, name: &ValveName) -> Vec<Finding> {
    let intake = name.side == Side::Intake;
    let instance = name.path();
    let label = format!("valve {}", name.label());
    let path = |ending: &str| format!("head.{instance}.{ending}");
    let direct = |code, limit, question, ending: &str, dimension, to_do| Direct {
        code,
        limit,
        sheet: Sheet::Valves,
        label: label.clone(),
        instance: &instance,
        question,
        path: path(ending),
        dimension,
        to_do,
    };
    let mut all = Vec::new();
    if bench.document().cams.lash_adjustment != Some(LashAdjustment::Hydraulic) {
        all.push(lash(bench, name));
    }
    all.extend(spring::findings(bench, name));
    all.push(pair(
        bench,
        name,
        "guide",
        if intake { "guide_intake" } else { "guide_exhaust" },
        "stem in guide",
        ("guide", "stem"),
        ToDo {
            too_small: "Read the stem again first; then ream or hone the guide, and cut the seat again after it",
            too_large: "Read the stem again first: a worn stem is another valve; a worn guide is replaced by a shop that has the press (the head is heated: burns), and the seat cut again after it",
        },
    ));
    all.push(
        direct(
            "seat_width",
            if intake { "seat_width_intake" } else { "seat_width_exhaust" },
            "seat width",
            "seat_width",
            Dimension::Length,
            ToDo {
                too_small: "Too narrow: widen the seat with the seat cutter",
                too_large: "Too wide: narrow the seat with the top and throat cutters",
            },
        )
        .finding(bench),
    );
    all.push(
        direct(
            "seat_run_out",
            "seat_run_out",
            "seat run-out",
            "seat_run_out",
            Dimension::Length,
            ToDo::either("Cut the seat again on a pilot that fits the guide"),
        )
        .finding(bench),
    );
    all.push(
        direct(
            "to_piston",
            if intake { "piston_to_intake_valve" } else { "piston_to_exhaust_valve" },
            "piston to valve, cold",
            "to_piston",
            Dimension::Length,
            ToDo::either("Do not turn the engine: change the cam timing or the gasket, or deepen the pocket as far as the crown bears it"),
        )
        .finding(bench),
    );
    match bench.document().cams.lash_adjustment {
        Some(LashAdjustment::BucketShim) => all.push(pair(
            bench,
            name,
            "bucket_clearance",
            "bucket_clearance",
            "bucket in its bore",
            ("bucket_bore", "bucket"),
            ToDo::either("Try another bucket"),
        )),
        Some(LashAdjustment::RockerScrew) if bench.document().limits.pushrod.is_some() => {
            all.push(pushrod(bench, name));
        }
        _ => {}
    }
    all
}

fn lash(bench: Bench<'_>, name: &ValveName) -> Finding {
    let instance = name.path();
    let mut answer =
        Answer::new(bench, "lash", Sheet::Valves, format!("valve {}", name.label()), &instance, "lash, cold")
            .limit(lash_limit(name.side))
            .formula("as read", "cam maker's card");
    let value = answer.read(&format!("head.{instance}.lash"));
    answer.value(value, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        let action = |text| Action::new(ActionKind::Place, Phrase::words(text));
        finding.actions.push(match bench.document().cams.lash_adjustment {
            Some(LashAdjustment::RockerScrew) => {
                action("Set the screw again, cold, lobe away; record it on the valve sheet (lash set again), so that the lash as it was no longer counts, and read it").caution(cautions::ROCKER)
            }
            Some(LashAdjustment::BucketShim | LashAdjustment::FingerShim) => {
                action("Change the shim: see lash shims in the plan").caution(cautions::CAM_CAPS)
            }
            // How is not known: no advice on how, and nothing to order.
            Some(LashAdjustment::Hydraulic) | None => action(
                "Set the lash: state \"Lash adjustment\" of the cams under Spec (cams.lash_adjustment in the document) to see how",
            ),
        });
    }
    finding
}

/// Hole less shaft of two readings of one valve.
fn pair(
    bench: Bench<'_>,
    name: &ValveName,
    code: &'static str,
    limit: &'static str,
    question: &str,
    ends: (&str, &str),
    to_do: ToDo,
) -> Finding {
    let instance = name.path();
    let mut answer =
        Answer::new(bench, code, Sheet::Valves, format!("valve {}", name.label()), &instance, question)
            .limit(limit)
            .formula("hole − shaft, both at 20 °C", "definition");
    let hole = answer.read(&format!("head.{instance}.{}", ends.0));
    let shaft = answer.read(&format!("head.{instance}.{}", ends.1));
    answer.value(hole.zip(shaft).map(|(h, s)| &h - &s), false);
    let mut finding = answer.finish();
    let never_fits = finding.value.is_some_and(|v| v.value + v.expanded < 0.0);
    if finding.verdict == Verdict::Bad && never_fits {
        let words = format!(
            "A {} that is larger than its {} cannot have been fitted: are two rows or two columns exchanged? Read both again before anything is cut",
            ends.1.replace('_', " "),
            ends.0.replace('_', " ")
        );
        finding.actions.push(Action::new(ActionKind::Measure, Phrase::words(words)));
        return finding;
    }
    finding.actions.extend(to_do.action(&finding));
    finding
}

fn pushrod(bench: Bench<'_>, name: &ValveName) -> Finding {
    let instance = name.path();
    let mut finding = Direct {
        code: "pushrod",
        limit: "pushrod",
        sheet: Sheet::Valves,
        label: format!("valve {}", name.label()),
        instance: &instance,
        question: "pushrod length",
        path: format!("head.{instance}.pushrod"),
        dimension: Dimension::Length,
        to_do: ToDo::either(""),
    }
    .finding(bench);
    if let (Verdict::Bad, Some(length)) = (finding.verdict, bench.document().cams.pushrod) {
        finding.why = Phrase::words("the rocker sweeps off the middle of the valve tip");
        finding.actions.push(
            Action::new(ActionKind::Order, Phrase::words("One pushrod of ").length_2(length.0))
                .supplied(bench.part("pushrod")),
        );
    }
    finding
}

fn cam_journals(bench: Bench<'_>) -> Vec<Finding> {
    let Some(table) = bench.engine.catalogue.tables.iter().find(|t| t.id == "cam_journals") else {
        return Vec::new();
    };
    let first = |cells: &Vec<Option<usize>>| cells.iter().flatten().next().copied();
    let of_row = |(row, cells)| Some((row, &bench.engine.catalogue.features[first(cells)?].instance));
    table
        .rows
        .iter()
        .zip(&table.cells)
        .filter_map(of_row)
        .map(|(row, instance): (&String, &String)| {
            let mut answer = Answer::new(
                bench,
                "cam_clearance",
                Sheet::Valves,
                format!("cam journal {row}"),
                instance,
                "clearance",
            )
            .limit("cam_clearance")
            .part("cams")
            .formula("bore − journal, both at 20 °C", "definition");
            let bore = answer.read(&format!("cam.{instance}.bore"));
            let journal = answer.read(&format!("cam.{instance}.journal"));
            answer.value(bore.zip(journal).map(|(b, j)| &b - &j), false);
            let mut finding = answer.finish();
            let to_do = ToDo {
                too_small: "Caps off, clean, torque again and read again; if it stays: have the cam bores bored in line to size",
                too_large: "Caps off, clean, torque again and read again; if it stays: another shaft or another head",
            };
            finding.actions.extend(to_do.action(&finding));
            finding
        })
        .collect()
}
