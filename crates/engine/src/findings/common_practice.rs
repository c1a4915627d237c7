//! Ranges of the trade that stand in where the document states no limit: "common practice, no source", always shown as
//! such and meant to be replaced by the part maker's or the builder's own figure.

use crate::document::{Document, LashAdjustment, Material, Target};

/// Least, most and target in SI.
pub type Range = (Option<f64>, Option<f64>, Option<f64>);

const MM: f64 = 1e-3;
const INCH: f64 = 0.0254;

/// What a ring gap is filed to where its limit has one side only, m. Common practice, no source.
pub const GAP_TOLERANCE: f64 = 0.02e-3;
/// What a chamber is opened to, m³. Common practice, no source.
pub const CHAMBER_TOLERANCE: f64 = 0.1e-6;
/// What the side of a rod is faced to, m. Common practice, no source.
pub(super) const FACE_TOLERANCE: f64 = 0.02e-3;

const fn most(value: f64) -> Range {
    (None, Some(value), None)
}

const fn least(value: f64) -> Range {
    (Some(value), None, None)
}

const fn between(min: f64, max: f64) -> Range {
    (Some(min), Some(max), None)
}

fn of_bore(document: &Document, min: f64, max: f64) -> Option<Range> {
    document.layout.bore.map(|bore| between(min * bore.0, max * bore.0))
}

/// Is more than the outside air pressed in? Then boost is something that can be lowered.
pub fn boosted(document: &Document) -> bool {
    document.turbocharger.is_some() || document.duty.intake_pressure.is_some_and(|p| p.0 > 1.2e5)
}

/// Is lash set by shims under or on buckets?
fn bucket_shims(document: &Document) -> bool {
    document.cams.lash_adjustment == Some(LashAdjustment::BucketShim)
}

/// The range that the trade uses for this question, where there is one.
pub fn range(name: &str, document: &Document) -> Option<Range> {
    let range = match name {
        "bore_taper" | "bore_round" | "big_end_round" => most(0.010 * MM),
        "wall" => least(3.0 * MM),
        "main_housing_round" | "tunnel_neighbour" => most(0.013 * MM),
        "tunnel_overall" | "crank_run_out" => most(0.025 * MM),
        "deck_flatness" | "head_flatness" | "deck_lean" | "barrel_parallel" | "barrel_match" => {
            most(0.05 * MM)
        }
        "journal_taper" | "journal_round" => most(0.005 * MM),
        "end_float" => between(0.08 * MM, 0.20 * MM),
        "main_clearance" => return oil_clearance(document.crank.main_journal.as_ref()),
        "rod_clearance" => return oil_clearance(document.crank.pin_journal.as_ref()),
        "rod_side_clearance" if document.rods.paired == Some(true) => between(0.25 * MM, 0.50 * MM),
        "rod_side_clearance" => between(0.15 * MM, 0.40 * MM),
        "piston_clearance" => return piston_clearance(document),
        "pin_in_piston" => between(0.005 * MM, 0.013 * MM),
        "pin_in_rod" if document.pins.pressed != Some(true) => between(0.0003 * INCH, 0.0008 * INCH),
        "mass_spread" => most(1.0e-3),
        "top_ring_gap" | "second_ring_gap" if boosted(document) => return of_bore(document, 0.0050, 0.0070),
        "top_ring_gap" => return of_bore(document, 0.0040, 0.0045),
        "second_ring_gap" => return of_bore(document, 0.0045, 0.0055),
        "rail_gap" => least(0.25 * MM),
        "ring_side_clearance" => between(0.025 * MM, 0.06 * MM),
        "ring_butting" => most(0.01),
        "quench" => between(0.9 * MM, 1.2 * MM),
        "port_flow_spread" => most(0.03),
        "injector_spread" => between(-0.02, 0.02),
        "compression_spread" => most(0.1),
        // Rockers, pushrods and lash that is set hot differ too much for a usual figure.
        "lash_intake" if bucket_shims(document) => between(0.15 * MM, 0.25 * MM),
        "lash_exhaust" if bucket_shims(document) => between(0.20 * MM, 0.35 * MM),
        "guide_intake" => between(0.0010 * INCH, 0.0018 * INCH),
        "guide_exhaust" => between(0.0015 * INCH, 0.0025 * INCH),
        "seat_run_out" => most(0.03 * MM),
        "seat_width_intake" => between(0.8 * MM, 1.2 * MM),
        "seat_width_exhaust" => between(1.2 * MM, 1.8 * MM),
        "coil_bind_margin" => least(0.8 * MM),
        "piston_to_intake_valve" => least(2.0 * MM),
        "piston_to_exhaust_valve" => least(2.5 * MM),
        "bore_rk" => between(0.5e-6, 1.0e-6),
        "bore_rpk" => most(0.3e-6),
        "bore_rvk" => between(0.8e-6, 1.5e-6),
        _ => return None,
    };
    Some(range)
}

/// 0.75 to 1.0 thousandths of the journal, and half a thousandth of an inch more.
fn oil_clearance(journal: Option<&Target>) -> Option<Range> {
    let diameter = journal?.nominal?.0;
    Some(between(0.75e-3 * diameter, 1.0e-3 * diameter + 0.0005 * INCH))
}

fn piston_clearance(document: &Document) -> Option<Range> {
    match document.pistons.material? {
        Material::PistonEutectic | Material::PistonHypereutectic => of_bore(document, 0.0003, 0.0006),
        Material::ForgedPistonLowSilicon if boosted(document) => of_bore(document, 0.0008, 0.0012),
        Material::ForgedPistonLowSilicon => of_bore(document, 0.0006, 0.0010),
        _ => None,
    }
}
