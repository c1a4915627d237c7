//! What a sheet would ask for if the document stated more: no empty table, but what to state.

use super::cells::Places;
use super::meaning::TableFindings;
use crate::frame::View;
use engine::features::{Sheet, Table};
use maud::{Markup, html};

/// Something that is not read here until the document says more.
struct Unstated {
    /// Table that then stands here.
    table: &'static str,
    /// Sheet on which it stands.
    sheet: Sheet,
    /// What is read in it.
    title: &'static str,
    /// What to state.
    state: &'static str,
    /// Form and field.
    at: &'static str,
}

const fn unstated(
    table: &'static str,
    sheet: Sheet,
    title: &'static str,
    state: &'static str,
    at: &'static str,
) -> Unstated {
    Unstated { table, sheet, title, state, at }
}

/// Tables that the document brings about.
const BROUGHT_ABOUT: &[Unstated] = &[
    unstated(
        "intake_ports",
        Sheet::Head,
        "Intake ports on the flow bench",
        "the lifts at which they flow",
        "flow_bench#intake.lift",
    ),
    unstated(
        "exhaust_ports",
        Sheet::Head,
        "Exhaust ports on the flow bench",
        "the lifts at which they flow",
        "flow_bench#exhaust.lift",
    ),
    unstated(
        "injectors",
        Sheet::Head,
        "Injectors on the bench",
        "how many each cylinder has",
        "fuel#injectors",
    ),
    unstated(
        "lash",
        Sheet::Valves,
        "Lash, springs, stems, guides and seats",
        "how many valves a cylinder has",
        "layout#intake_valves",
    ),
    unstated(
        "shims buckets pushrods",
        Sheet::Valves,
        "Shims, buckets or pushrods",
        "how the lash is set",
        "cams#lash_adjustment",
    ),
    unstated(
        "cam_journals",
        Sheet::Valves,
        "Camshaft journals and bores",
        "how many bearings a camshaft has",
        "cams#bearings",
    ),
];

/// Tables of which nothing is asked until a limit is stated.
const JUDGED_BY_A_LIMIT: &[Unstated] = &[
    unstated(
        "face_roughness",
        Sheet::Head,
        "Roughness of deck and head faces",
        "the most that the gasket bears",
        "limits#face_roughness.max",
    ),
    unstated(
        "restrictor",
        Sheet::Head,
        "Oil restrictor to the head",
        "its limits",
        "limits#head_restrictor.max",
    ),
    unstated(
        "rod_bolts",
        Sheet::Rods,
        "Rod bolt stretch",
        "the stretch that the bolt maker asks for",
        "limits#rod_bolt_stretch.min",
    ),
];

/// Does this table wait for a limit: nothing asks for it, and nobody has read it?
pub(super) fn waits_for_a_limit(view: &View, table: &Table, places: &Places) -> bool {
    JUDGED_BY_A_LIMIT.iter().any(|unstated| unstated.table == table.id)
        && TableFindings::of(view, table).is_empty()
        && view.engine.catalogue.features_of(table).all(|f| places.standing(&f.path).is_empty())
}

/// What to state so that more can be read on this sheet; `waiting` are its tables that wait for a limit.
pub(super) fn to_state(view: &View, sheet: Sheet, waiting: &[&Table]) -> Markup {
    let catalogue = &view.engine.catalogue;
    let stands = |ids: &str| ids.split(' ').any(|id| catalogue.tables.iter().any(|t| t.id == id));
    let no_cylinders = catalogue.tables.is_empty();
    let lists: Vec<&Unstated> = BROUGHT_ABOUT
        .iter()
        .filter(|u| !no_cylinders && u.sheet == sheet && !stands(u.table))
        // Without valves there is no lash that could be set.
        .filter(|u| u.table == "lash" || sheet != Sheet::Valves || stands("lash"))
        .chain(JUDGED_BY_A_LIMIT.iter().filter(|u| waiting.iter().any(|table| table.id == u.table)))
        .collect();
    html! {
        @if no_cylinders {
            div.page {
                p { "There is nothing to read here yet: state how many cylinders the engine has, and how they stand." }
                p.actions { a.button.main href=(view.at("parts/layout")) { "Write the layout" } }
            }
        } @else if !lists.is_empty() {
            section.page.to-state.no-print aria-labelledby="to-state" {
                h2 id="to-state" { "Not asked for yet" }
                ul.plain {
                    @for unstated in lists {
                        li { b { (unstated.title) } ": state " a href=(view.at(&format!("parts/{}", unstated.at))) { (unstated.state) } "." }
                    }
                }
            }
        }
    }
}
