//! How much to file off each ring.

use super::{Desk, placement};
use crate::plan::{Outcome, Placement, Selection};
use crate::quantity::Phrase;
use mechanics::fit::ring::{filing, gap_change};

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let mut placements = Vec::new();
    let mut short = Vec::new();
    for (ending, limit, word) in
        [("top", "top_ring_gap", "top ring"), ("second", "second_ring_gap", "second ring")]
    {
        let Some(allowed) = desk.bench.limit(limit) else { continue };
        for cylinder in desk.bench.cylinders() {
            placements.extend(ring(desk, ending, word, cylinder, &allowed.used));
            short.extend(too_wide(desk, ending, word, cylinder, allowed.used.max));
        }
    }
    if placements.is_empty() {
        return None;
    }
    let filed = placements.iter().filter(|p: &&Placement| !p.stays).count();
    let selection = Selection {
        code: "ring_filing",
        title: "Ring gaps to file".to_owned(),
        outcome: if short.is_empty() {
            Outcome::Best { proved: true, proof: "each ring stands for itself".to_owned() }
        } else {
            Outcome::Relax { relax: short }
        },
        summary: Phrase::words(match filed {
            0 => "no ring to file".to_owned(),
            1 => "1 ring to file".to_owned(),
            n => format!("{n} rings to file"),
        }),
        placements,
        objective: "rings below their range are filed to the target; what is in range stays",
        caution: None,
        settles: Vec::new(),
    };
    // An instance of a ring ends in its groove, so each name is found by one of the two questions only.
    Some(selection.settling(&["top_ring_gap", "second_ring_gap"]))
}

/// Gap as it will be in the bore as it will be.
fn planned_gap(desk: &Desk<'_>, ending: &str, cylinder: u32) -> Option<f64> {
    let gap = desk.bench.size(&format!("ring.{cylinder}.{ending}.gap"))?.value.value();
    let now = crate::findings::top_size(desk.bench, cylinder).map(|b| b.value());
    // Only a planned hone changes the bore between the reading and the fitting.
    let change = if desk.is_honed(cylinder) {
        now.zip(desk.planned_bore(cylinder)).map_or(0.0, |(now, planned)| gap_change(planned - now))
    } else {
        0.0
    };
    Some(gap + change)
}

fn ring(
    desk: &Desk<'_>,
    ending: &str,
    word: &str,
    cylinder: u32,
    limit: &crate::findings::LimitUsed,
) -> Option<Placement> {
    let gap = planned_gap(desk, ending, cylinder)?;
    let target = limit.aim()?;
    let stays = limit.min.is_none_or(|min| gap >= min);
    let off = if stays { 0.0 } else { filing(gap, target) };
    let from = if stays { Phrase::words("stays") } else { Phrase::words("file ").length_2(off).say(" off") };
    let place = format!("cylinder {cylinder}");
    let result = Phrase::words("gap ").length_2(gap + off);
    Some(placement(
        Phrase::words(format!("{word} {cylinder}")),
        place,
        format!("{cylinder}.{ending}"),
        from,
        result,
        gap + off,
        stays,
    ))
}

fn too_wide(desk: &Desk<'_>, ending: &str, word: &str, cylinder: u32, max: Option<f64>) -> Option<Phrase> {
    let gap = planned_gap(desk, ending, cylinder)?;
    let over = gap - max.filter(|m| gap > *m)?;
    Some(
        Phrase::words(format!("{word} {cylinder} is too wide by "))
            .length(over)
            .say(": another ring, or widen the limit by as much"),
    )
}
