//! Which caution goes with the work that a finding asks for. One table: the actions and the manual are both made from it.

use super::model::{Action, ActionKind as K, Finding};
use crate::cautions as say;
use crate::document::{Block, OperationKind};

struct Work {
    questions: &'static [&'static str],
    kinds: &'static [K],
    caution: &'static str,
}

const fn work(questions: &'static [&'static str], kinds: &'static [K], caution: &'static str) -> Work {
    Work { questions, kinds, caution }
}

/// Work that takes something off and puts it back, or changes a part.
const ANY: &[K] = &[K::Cut, K::Refit, K::Order, K::Place];

/// The first line that fits an action counts. Common practice, no source.
const TABLE: &[Work] = &[
    work(&["wall"], &[K::Cut], say::SLEEVE),
    work(&["wall", "core_shift"], &[K::Hold, K::Measure, K::Refit, K::Order], say::THIN_WALL),
    // A journal that is ground goes to a machine; one that gets other shells only has its caps taken off.
    work(
        &[
            "main_clearance",
            "rod_clearance",
            "main_size",
            "main_taper",
            "main_round",
            "pin_size",
            "pin_taper",
            "pin_round",
        ],
        &[K::Cut],
        say::JOURNAL,
    ),
    work(&["main_taper", "main_round", "pin_taper", "pin_round"], &[K::Hold], say::JOURNAL),
    work(&["main_size", "pin_size", "main_clearance", "rod_clearance"], &[K::Hold], say::WORN_JOURNAL),
    work(&["crank_run_out"], &[K::Cut, K::Refit], say::JOURNAL),
    work(&["chamber", "compression_ratio", "compression_spread"], &[K::Cut], say::CHAMBER_RELIEF),
    work(
        &[
            "main_line",
            "main_step",
            "main_housing_size",
            "main_housing_round",
            "main_agreement",
            "main_crush",
            "main_clearance",
        ],
        ANY,
        say::MAIN_BOLTS,
    ),
    work(
        &["rod_agreement", "rod_crush", "rod_clearance", "big_end_size", "big_end_round", "rod_bolt_stretch"],
        ANY,
        say::ROD_BOLTS,
    ),
    // A piston comes out with its rod.
    work(&["mass_spread", "piston_clearance", "pin_in_piston", "pin_in_rod"], ANY, say::PISTON_OUT),
    work(&["end_float"], ANY, say::THRUST_SHELLS),
    work(&["quench", "compression_ratio"], &[K::Order], say::HEAD_BOLTS),
    work(&["barrel_parallel", "barrel_match"], ANY, say::HEAD_BOLTS),
    work(&["compression_spread"], &[K::Refit], say::HEAD_BOLTS),
    work(&["top_ring_gap", "second_ring_gap", "rail_gap", "ring_butting"], &[K::File], say::RING_FILE),
    work(&["pushrod"], ANY, say::ROCKER),
    work(&["cam_clearance", "bucket_clearance"], ANY, say::CAM_CAPS),
    work(&["coil_bind_margin", "seat_load", "spring_installed"], ANY, say::SPRING),
    work(&["guide", "seat_width", "seat_run_out"], ANY, say::SEAT_CUT),
    work(&["to_piston"], ANY, say::TO_PISTON),
    work(&["rod_side_clearance"], ANY, say::ROD_BOLTS),
    work(&["injector_flow"], ANY, say::FUEL_MIST),
    work(
        &["bore_size", "bore_taper", "bore_round", "bore_rk", "bore_rpk", "bore_rvk"],
        &[K::Cut, K::Refit],
        say::BORE_JOB,
    ),
    work(
        &["deck_lean", "deck_flatness", "deck_roughness", "head_flatness", "head_roughness"],
        &[K::Cut, K::Refit],
        say::SKIM,
    ),
];

/// Cautions that a question gives itself, since they hang on more than the kind of work.
const OWN: &[(&str, &[&str])] = &[
    ("lash", &[say::CAM_CAPS, say::ROCKER]),
    ("chamber", &[say::LIFTING]),
    ("cam_timing", &[say::VALVES_MEET]),
    ("peak_pressure", &[say::PRESSURE]),
    ("power_target", &[say::MORE_POWER]),
    ("torque_target", &[say::MORE_POWER]),
    ("power_input", &[say::RING_BUTTS]),
    (
        "power_limit",
        &[
            say::KNOCK,
            say::SURGE,
            say::OVERSPEED,
            say::BOOST,
            say::INJECTOR_DUTY,
            say::FUEL_PUMP,
            say::LEAN,
            say::ADVANCE,
        ],
    ),
];

/// Every caution that a finding of that name can carry, for the manual.
pub fn cautions_of(code: &str) -> Vec<&'static str> {
    let of_work = TABLE.iter().filter(|w| w.questions.contains(&code)).map(|w| w.caution);
    let own = OWN.iter().filter(|(name, _)| *name == code).flat_map(|(_, own)| own.iter().copied());
    of_work.chain(own).collect()
}

/// Gives each action of the findings the caution of its work, where it has none of its own; where magnesium is cut, that of its
/// chips.
pub fn give(findings: &mut [Finding], block: &Block) {
    for finding in findings {
        let code = finding.code;
        if finding.subject.part == "block" && block.is_magnesium_under(cut_of_block(code)) {
            for action in finding.actions.iter_mut().filter(|a| a.kind == K::Cut) {
                action.caution = Some(say::MAGNESIUM);
            }
        }
        for action in finding.actions.iter_mut().filter(|a| a.caution.is_none()) {
            action.caution = usual(code, action);
        }
    }
}

/// The work by which a question on the block is mended when something is cut.
fn cut_of_block(code: &str) -> OperationKind {
    match code {
        "wall" => OperationKind::Sleeve,
        _ if code.starts_with("bore_") => OperationKind::Hone,
        _ if code.starts_with("deck_") => OperationKind::DeckSkim,
        _ => OperationKind::AlignHone,
    }
}

fn usual(code: &str, action: &Action) -> Option<&'static str> {
    let fits = |w: &&Work| w.questions.contains(&code) && w.kinds.contains(&action.kind);
    TABLE.iter().find(fits).map(|w| w.caution)
}
