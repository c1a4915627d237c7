//! The foot of a reading sheet: what the selection says, and the part drawn with its deviation enlarged.

use crate::figures;
use crate::frame::View;
use crate::words::{full_stop, prose};
use engine::features::Sheet;
use engine::plan::{Outcome, Selection};
use maud::{Markup, html};

pub(super) fn foot(view: &View, sheet: Sheet) -> Markup {
    let selections: Vec<&Selection> =
        view.plan.selections.iter().filter(|s| concerns(s.code, sheet)).collect();
    html! {
        @for selection in selections {
            p.sentence {
                b { (selection.title) ": " }
                (prose(&selection.summary, view.units()))
                @if let Outcome::Best { proof, .. } = &selection.outcome {
                    @if !proof.is_empty() { " " span.quiet { (full_stop(proof)) } }
                }
                " " a href=(format!("{}#{}", view.at("plan"), selection.code)) { "What goes where" }
            }
        }
        (figures::sheet_drawing(view, sheet))
    }
}

/// Does a selection belong at the foot of this sheet?
fn concerns(code: &str, sheet: Sheet) -> bool {
    match sheet {
        Sheet::Bores => code == "pistons",
        Sheet::Bearings => matches!(code, "rod_shells" | "main_shells"),
        Sheet::Pistons => matches!(code, "pistons" | "ring_filing"),
        Sheet::Head => matches!(code, "deck_and_gasket" | "barrel_shims"),
        Sheet::Valves => matches!(code, "lash_shims" | "spring_shims"),
        Sheet::Casting | Sheet::Crank | Sheet::Rods => false,
    }
}
