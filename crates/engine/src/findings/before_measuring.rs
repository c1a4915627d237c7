//! What a sheet says before the measuring starts.

use super::bench::Bench;
use crate::engine::Engine;
use crate::features::Table;
use crate::quantity::Phrase;
use crate::sizes::{Sizes, can_settle, gauge_figures, says_something, standard_of};

/// What the sheet says before the measuring starts: can this gauge settle the tightest window of the table, and if not,
/// which gauge of the shop would? None when it can, or when nothing is limited there.
pub fn before_measuring(engine: &Engine, table: &Table, instrument: &str) -> Option<Phrase> {
    let (window, name) = tightest_window(engine, table)?;
    let feature = engine.catalogue.features_of(table).next()?;
    let size = feature.nominal.unwrap_or(0.0);
    let expanded = |gauge: &str| {
        2.0 * standard_of(&gauge_figures(&engine.document, gauge, table.gauge, feature.dimension), size)
    };
    let own = expanded(instrument);
    if can_settle(window, own) {
        return None;
    }
    let better = engine
        .document
        .instruments
        .iter()
        .filter(|(_, i)| table.settles.contains(&i.kind) && says_something(i, feature.dimension))
        .map(|(gauge, _)| (gauge, expanded(gauge)))
        .filter(|(_, u)| can_settle(window, *u))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let gauge = if instrument.is_empty() { table.gauge.words() } else { instrument };
    let phrase = Phrase::words(format!("{gauge}: U "))
        .value(own, feature.dimension, 3)
        .say(format!(" is more than a quarter of the window of {name}, "))
        .value(window, feature.dimension, 3);
    Some(match better {
        Some((gauge, u)) => {
            phrase.say(format!("; {gauge} would settle it (U ")).value(u, feature.dimension, 3).say(")")
        }
        None => phrase.say(
            "; no gauge of the shop would: read the fit itself instead of two sizes, or repeat the reading",
        ),
    })
}

/// The narrowest closed window that readings of a table have to settle, with its name in words.
fn tightest_window(engine: &Engine, table: &Table) -> Option<(f64, String)> {
    let names: &[&'static str] = match table.id {
        "bores" => &["bore", "piston_clearance"],
        "mains" | "main_fitted" | "main_housings" | "main_shells" => &["main_clearance"],
        "pins" | "rod_fitted" | "rod_shells" | "rods" => &["rod_clearance"],
        "pistons" => &["piston_clearance"],
        "piston_pins" => &["pin_in_piston", "pin_in_rod"],
        "end_float" => &["end_float"],
        "rod_side" => &["rod_side_clearance"],
        "ring_gaps" => &["top_ring_gap"],
        "ring_sides" => &["ring_side_clearance"],
        "chambers" => &["chamber"],
        "below_deck" | "deck_height" | "gaskets" => &["quench"],
        "lash" => &["lash_intake", "lash_exhaust"],
        "guides" => &["guide_intake", "guide_exhaust"],
        "buckets" => &["bucket_clearance"],
        "cam_journals" => &["cam_clearance"],
        _ => &[],
    };
    let sizes = Sizes::default();
    let bench = Bench { engine, sizes: &sizes };
    names
        .iter()
        .filter_map(|name| {
            let used = bench.limit(name)?.used;
            Some((used.max? - used.min?, name.replace('_', " ")))
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
}
