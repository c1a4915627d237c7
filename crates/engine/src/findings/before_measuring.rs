//! What a sheet says before the measuring starts.

use super::bench::Bench;
use crate::document::Instrument;
use crate::engine::Engine;
use crate::features::{Feature, Table};
use crate::quantity::Phrase;
use crate::sizes::{Reach, Sizes, can_settle, figures_at, reach, says_something, standard_of};

/// What the sheet says before the measuring starts: can this gauge settle the tightest window of the table, and if not,
/// which gauge of the shop would? None when it can, or when nothing is limited there.
///
/// Only a gauge that reads such a place is named: no bore gauge for a journal, none whose range leaves the size out.
pub fn before_measuring(engine: &Engine, table: &Table, instrument: &str) -> Option<Phrase> {
    let known = engine.document.instruments.get(instrument);
    // A table of stems and guides takes two gauges: each is judged at the places that it reads.
    let reads = |f: &&Feature| known.is_none_or(|i| f.settles.contains(&i.kind));
    let Some((feature, window, name)) = tightest(engine, engine.catalogue.features_of(table).filter(reads))
    else {
        let (feature, window, _) = tightest(engine, engine.catalogue.features_of(table))?;
        let limited = engine.catalogue.features_of(table).any(|f| reads(&f));
        let known = known?;
        let what = if known.label.is_empty() { known.kind.words() } else { &known.label };
        let phrase = Phrase::words(format!("{instrument} ({what}) does not read this"));
        return (!limited).then(|| settled_by(phrase, best(engine, feature, window).as_ref(), feature));
    };
    if let (Some(Reach::Outside), Some(size)) = (known.map(|i| reach(i, feature)), feature.nominal) {
        let phrase = Phrase::words(format!("{instrument} does not reach ")).value(size, feature.dimension, 2);
        return Some(settled_by(phrase, best(engine, feature, window).as_ref(), feature));
    }
    let own = expanded(engine, instrument, feature);
    if can_settle(window, own) {
        return None;
    }
    let gauge = if instrument.is_empty() { feature.gauge.words() } else { instrument };
    let phrase = Phrase::words(format!("{gauge}: U "))
        .value(own, feature.dimension, 3)
        .say(format!(" is more than a quarter of the range of {name}, "))
        .value(window, feature.dimension, 3);
    Some(match best(engine, feature, window) {
        Some(found) => settled_by(phrase, Some(&found), feature),
        None => phrase.say(
            "; no gauge of the shop would: read the fit itself instead of two sizes, or repeat the reading",
        ),
    })
}

fn expanded(engine: &Engine, gauge: &str, feature: &Feature) -> f64 {
    let figures = figures_at(&engine.document, gauge, feature);
    2.0 * standard_of(&figures, feature.nominal.unwrap_or(0.0))
}

/// A gauge of the shop that settles the question.
struct Found<'a> {
    name: &'a str,
    expanded: f64,
    /// It reaches the size, as its range says.
    reaches: bool,
}

/// The gauge of the shop with the least U that reads such a place and settles the window; one that is known to reach the
/// size before one of which the document does not say it.
fn best<'a>(engine: &'a Engine, feature: &Feature, window: f64) -> Option<Found<'a>> {
    let suits = |i: &Instrument| {
        feature.advises(i.kind) && says_something(i, feature.dimension) && reach(i, feature) != Reach::Outside
    };
    engine
        .document
        .instruments
        .iter()
        .filter(|(_, i)| suits(i))
        .map(|(name, i)| Found {
            name,
            expanded: expanded(engine, name, feature),
            reaches: reach(i, feature) == Reach::Inside,
        })
        .filter(|found| can_settle(window, found.expanded))
        .min_by(|a, b| b.reaches.cmp(&a.reaches).then(a.expanded.total_cmp(&b.expanded)))
}

/// "; B1 would settle it (U 0.004 mm)", where there is one.
fn settled_by(phrase: Phrase, found: Option<&Found>, feature: &Feature) -> Phrase {
    let Some(found) = found else { return phrase };
    let phrase = phrase
        .say(format!("; {} would settle it (U ", found.name))
        .value(found.expanded, feature.dimension, 3)
        .say(")");
    match feature.nominal.filter(|size| *size > 0.0) {
        Some(size) if !found.reaches => phrase.say(" if it reaches ").value(size, feature.dimension, 2),
        _ => phrase,
    }
}

/// The place with the narrowest closed window that its readings have to settle, with the window and its name in words.
fn tightest<'a>(
    engine: &Engine,
    places: impl Iterator<Item = &'a Feature>,
) -> Option<(&'a Feature, f64, String)> {
    let mut families: Vec<&'a Feature> = Vec::new();
    for place in places {
        if !families.iter().any(|known| known.family == place.family) {
            families.push(place);
        }
    }
    let sizes = Sizes::default();
    let bench = Bench { engine, sizes: &sizes };
    let windows = families.into_iter().flat_map(|feature| {
        limits_of(feature.family).iter().filter_map(move |name| {
            let used = bench.limit(name)?.used;
            Some((feature, used.max? - used.min?, range_of(name)))
        })
    });
    windows.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// What a range is of, as a reader says it.
fn range_of(limit: &str) -> String {
    let words = match limit {
        "bore" => "the bore size",
        "piston_clearance" => "the piston's clearance",
        "main_clearance" => "the main bearing's clearance",
        "rod_clearance" => "the rod bearing's clearance",
        "pin_in_rod" => "the pin's clearance in the small end",
        "pin_in_piston" => "the pin's clearance in the piston",
        "end_float" => "the crank's end float",
        "rod_side_clearance" => "the rod's side clearance",
        "top_ring_gap" => "the top ring's gap",
        "ring_side_clearance" => "the ring's clearance in its groove",
        "chamber" => "the chamber's volume",
        "quench" => "the quench",
        "lash_intake" | "lash_exhaust" => "the lash",
        "guide_intake" | "guide_exhaust" => "the stem's clearance in its guide",
        "bucket_clearance" => "the bucket's clearance",
        "cam_clearance" => "the cam journal's clearance",
        other => return other.replace('_', " "),
    };
    words.to_owned()
}

/// Limits that readings of a family of places have to settle.
fn limits_of(family: &str) -> &'static [&'static str] {
    match family {
        "block.bore" => &["bore", "piston_clearance"],
        "piston.gauge" => &["piston_clearance"],
        "crank.main" | "main_bearing.fitted_bore" | "block.main_housing" | "main_shell" => {
            &["main_clearance"]
        }
        "crank.pin" | "rod_bearing.fitted_bore" | "rod_shell" | "rod.big_end" => &["rod_clearance"],
        "rod.small_end" => &["pin_in_rod"],
        "piston.pin_bore" => &["pin_in_piston"],
        "pin.diameter" => &["pin_in_piston", "pin_in_rod"],
        "crank.end_float" => &["end_float"],
        "rod.side_clearance" => &["rod_side_clearance"],
        "ring.top.gap" => &["top_ring_gap"],
        "ring.side_clearance" => &["ring_side_clearance"],
        "head.chamber" => &["chamber"],
        "cylinder.below_deck" | "block.deck_height" | "gasket.compressed" => &["quench"],
        "valve.lash" | "valve.pushrod_lash" => &["lash_intake", "lash_exhaust"],
        "valve.stem" | "valve.guide" => &["guide_intake", "guide_exhaust"],
        "valve.bucket" | "valve.bucket_bore" => &["bucket_clearance"],
        "cam.journal" | "cam.bore" => &["cam_clearance"],
        _ => &[],
    }
}
