//! Which findings are fits.

use engine::Assessment;
use engine::findings::Finding;

/// Limits whose findings are fits, in the order of the job, with the title of their table.
pub(crate) const FITS: &[(&str, &[&str])] = &[
    ("Piston in bore", &["piston_clearance"]),
    ("Rings", &["top_ring_gap", "second_ring_gap", "rail_gap", "ring_butting", "ring_side_clearance"]),
    ("Pin", &["pin_in_piston", "pin_in_rod"]),
    ("Main bearings", &["main_clearance", "end_float"]),
    ("Rod bearings", &["rod_clearance", "rod_side_clearance"]),
    ("Shells in their housings", &["crush"]),
    (
        "Deck, gasket, chamber",
        &[
            "quench",
            "chamber",
            "compression_ratio",
            "compression_spread",
            "swept_volume",
            "deck_lean",
            "barrel_parallel",
            "barrel_match",
        ],
    ),
    ("Valves", &["lash_intake", "lash_exhaust", "guide_intake", "guide_exhaust", "bucket_clearance"]),
    ("Springs", &["spring_installed", "coil_bind_margin", "seat_load"]),
    ("Room for the valves", &["piston_to_intake_valve", "piston_to_exhaust_valve"]),
    ("Camshafts", &["cam_clearance", "pushrod"]),
];

/// Name of the limit that a finding asks about.
pub(crate) fn asks(finding: &Finding) -> &str {
    finding.limit.as_ref().map_or(finding.code, |l| l.name.as_str())
}

/// Findings that are fits and have a value.
pub(crate) fn fits(assessment: &Assessment) -> Vec<&Finding> {
    assessment
        .findings
        .iter()
        .filter(|f| {
            f.value.is_some()
                && FITS.iter().any(|(_, names)| names.contains(&asks(f)) || names.contains(&f.code))
        })
        .collect()
}
