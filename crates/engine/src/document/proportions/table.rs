//! Proportions of reciprocating engines: how large one size is against another. Common practice, no source.
//!
//! The ranges are wide on purpose: from a racing motorcycle of 50 cm³ to a slow diesel, with room on both sides. They find
//! a slip of a factor (inches for millimetres, a decimal point), never an odd engine.

/// What a size is measured against.
#[derive(Clone, Copy, Debug)]
pub(super) enum Against {
    /// Nothing: its own size in SI.
    Itself,
    /// Another size.
    Size(&'static str),
    /// Half the stroke, the rod and the compression height together.
    Stack,
    /// Half the stroke and the rod.
    ThrowAndRod,
    /// Journal and two shells of this wall.
    JournalAndShells(&'static str, &'static str),
    /// Swept volume of one cylinder.
    Swept,
    /// Swept volume of the whole engine.
    SweptOfAll,
    /// Third power of the bore, as a density in kg/m³.
    CubeOfBore,
    /// Square of the bore times the rod, as a density in kg/m³.
    RodRoom,
    /// Mean piston speed in m/s, of a speed of the crank.
    PistonSpeed,
}

/// One proportion.
#[derive(Clone, Copy, Debug)]
pub(super) struct Proportion {
    /// Key of the size; `*` stands for every entry. Of a limit or a target all its figures are meant.
    pub key: &'static str,
    pub against: Against,
    /// Least share, where a smaller one says anything. Not asked of the lower end of a limit.
    pub least: f64,
    /// Greatest share.
    pub most: f64,
}

const fn of(key: &'static str, against: Against, least: f64, most: f64) -> Proportion {
    Proportion { key, against, least, most }
}

const fn size(key: &'static str, other: &'static str, least: f64, most: f64) -> Proportion {
    of(key, Against::Size(other), least, most)
}

const BORE: &str = "layout.bore";
const STROKE: &str = "layout.stroke";
const MAIN: &str = "crank.main_journal.nominal";
const PIN: &str = "crank.pin_journal.nominal";

/// All of them, the sizes on which the others rest first. Common practice, no source.
pub(super) const PROPORTIONS: &[Proportion] = &[
    of(BORE, Against::Itself, 0.015, 1.2),
    of(STROKE, Against::Itself, 0.010, 4.0),
    size(BORE, STROKE, 0.17, 3.0),
    of("rods.length", Against::Itself, 0.025, 6.0),
    size("rods.length", STROKE, 0.9, 3.8),
    size("layout.pitch", BORE, 1.0, 2.6),
    of("block.deck_height", Against::Itself, 0.045, 9.0),
    of("block.deck_height", Against::Stack, 0.90, 1.2),
    of("block.deck_height", Against::ThrowAndRod, 1.0, 1.9),
    size("block.deck_height", STROKE, 1.3, 6.0),
    size("block.bore_as_found", BORE, 0.88, 1.06),
    size("block.wall", BORE, 0.008, 0.4),
    size("block.bore_length", BORE, 0.3, 6.0),
    size("block.deck_stock", BORE, 0.0, 0.05),
    size("block.barrel_shim", BORE, 0.0005, 0.1),
    size("block.main_housing.nominal", MAIN, 1.0, 3.2),
    size("block.main_housing", "block.main_housing.nominal", 0.98, 1.02),
    // Crank.
    size(MAIN, BORE, 0.18, 1.6),
    size(PIN, BORE, 0.17, 1.5),
    size(PIN, MAIN, 0.4, 2.2),
    size("crank.main_journal", MAIN, 0.98, 1.02),
    size("crank.pin_journal", PIN, 0.98, 1.02),
    size("crank.web_thickness", BORE, 0.06, 1.2),
    size("crank.web_width", BORE, 0.3, 3.0),
    size("crank.fillet", PIN, 0.005, 0.25),
    // Shells.
    size("main_shells.grades.*", MAIN, 0.007, 0.2),
    size("rod_shells.grades.*", PIN, 0.007, 0.2),
    of("main_shells.grades.*", Against::JournalAndShells("block.main_housing.nominal", MAIN), 0.95, 1.05),
    of("rod_shells.grades.*", Against::JournalAndShells("rods.big_end.nominal", PIN), 0.95, 1.05),
    size("main_shells.width", MAIN, 0.12, 1.8),
    size("rod_shells.width", PIN, 0.12, 1.8),
    // Rods, pistons, pins, rings.
    size("rods.big_end.nominal", PIN, 1.0, 1.9),
    size("rods.big_end", "rods.big_end.nominal", 0.98, 1.02),
    size("rods.small_end.nominal", "pins.diameter", 0.98, 1.7),
    size("rods.small_end.nominal", BORE, 0.12, 0.75),
    size("rods.small_end", "rods.small_end.nominal", 0.98, 1.02),
    of("rods.mass", Against::RodRoom, 60.0, 5000.0),
    size("rods.bolt_stretch", "rods.bolt_stretch.nominal", 0.3, 3.0),
    size("pistons.gauge_diameter", BORE, 0.975, 1.0015),
    size("pistons.gauge_height", BORE, 0.0, 1.5),
    size("pistons.compression_height", BORE, 0.1, 2.0),
    of("pistons.mass", Against::CubeOfBore, 100.0, 5000.0),
    of("pistons.dish", Against::Swept, 0.0, 0.4),
    of("pistons.dome", Against::Swept, 0.0, 0.4),
    of("pistons.top_land_crevice", Against::Swept, 0.0, 0.02),
    size("pins.diameter", BORE, 0.12, 0.6),
    size("pins.inner_diameter", "pins.diameter", 0.08, 0.95),
    size("pins.length", BORE, 0.25, 1.1),
    size("rings.top_width", BORE, 0.004, 0.12),
    size("rings.second_width", BORE, 0.004, 0.12),
    size("rings.gap_depth", BORE, 0.02, 3.0),
    // Head, gasket, valves, springs, cams.
    of("head.chamber", Against::Swept, 0.015, 0.9),
    size("head.height", BORE, 0.2, 6.0),
    size("head.face_stock", BORE, 0.0, 0.05),
    size("gasket.compressed", BORE, 0.0008, 0.1),
    size("gasket.fire_ring", BORE, 0.95, 1.25),
    size("head.bucket_bore", "head.bucket_bore.nominal", 0.98, 1.02),
    size("head.cam_bore", "head.cam_bore.nominal", 0.98, 1.02),
    size("valves.intake.head_diameter", BORE, 0.12, 0.75),
    size("valves.exhaust.head_diameter", BORE, 0.12, 0.75),
    size("valves.intake.stem", "valves.intake.head_diameter", 0.06, 0.5),
    size("valves.exhaust.stem", "valves.exhaust.head_diameter", 0.06, 0.5),
    size("valves.intake.seat_width", "valves.intake.head_diameter", 0.008, 0.25),
    size("valves.exhaust.seat_width", "valves.exhaust.head_diameter", 0.008, 0.25),
    size("valves.intake.lift", "valves.intake.head_diameter", 0.08, 0.9),
    size("valves.exhaust.lift", "valves.exhaust.head_diameter", 0.08, 0.9),
    size("valves.intake.duration_at", "valves.intake.lift", 0.003, 0.7),
    size("valves.exhaust.duration_at", "valves.exhaust.lift", 0.003, 0.7),
    size("valves.intake.ramp", "valves.intake.lift", 0.002, 0.5),
    size("valves.exhaust.ramp", "valves.exhaust.lift", 0.002, 0.5),
    size("springs.installed", "valves.intake.lift", 1.2, 15.0),
    size("springs.bind", "springs.installed", 0.15, 1.0),
    size("springs.shims.*", "springs.installed", 0.0008, 0.3),
    size("cams.journal", "cams.journal.nominal", 0.98, 1.02),
    size("cams.bucket", "cams.bucket.nominal", 0.98, 1.02),
    size("cams.bucket.nominal", "head.bucket_bore.nominal", 0.98, 1.002),
    size("cams.journal.nominal", "head.cam_bore.nominal", 0.95, 1.002),
    size("cams.pushrod", STROKE, 0.4, 8.0),
    // Cams in rad of the crank, rates in N/m.
    of("valves.intake.duration", Against::Itself, 2.0, 8.0),
    of("valves.exhaust.duration", Against::Itself, 2.0, 8.0),
    of("valves.intake.lobe_centre", Against::Itself, 1.2, 2.6),
    of("valves.exhaust.lobe_centre", Against::Itself, 1.2, 2.6),
    of("springs.rate", Against::Itself, 2e3, 5e5),
    // Bolts, air.
    size("fasteners.*.diameter", BORE, 0.02, 0.5),
    size("intake.throttle", BORE, 0.1, 4.0),
    size("intake.runner.*.diameter", BORE, 0.1, 2.0),
    size("intake.runner.*.far_diameter", BORE, 0.1, 3.0),
    size("exhaust.primary.*.diameter", BORE, 0.1, 2.0),
    size("exhaust.primary.*.far_diameter", BORE, 0.1, 3.0),
    // Speeds: of the pistons in m/s.
    of("duty.limiter", Against::PistonSpeed, 2.0, 45.0),
    of("duty.power_speed", Against::PistonSpeed, 2.0, 45.0),
    of("duty.torque_speed", Against::PistonSpeed, 1.0, 45.0),
    // Limits against the size that they are about.
    size("limits.bore", BORE, 0.97, 1.03),
    size("limits.bore_taper", BORE, 1.5e-5, 0.02),
    size("limits.bore_round", BORE, 1.5e-5, 0.02),
    size("limits.wall", BORE, 0.005, 0.4),
    size("limits.core_shift", BORE, 3e-4, 0.2),
    size("limits.main_housing_round", MAIN, 1e-5, 0.01),
    size("limits.tunnel_overall", MAIN, 2e-5, 0.02),
    size("limits.tunnel_neighbour", MAIN, 2e-5, 0.02),
    size("limits.deck_flatness", BORE, 2e-5, 0.02),
    size("limits.head_flatness", BORE, 2e-5, 0.02),
    size("limits.deck_lean", BORE, 1e-5, 0.02),
    size("limits.barrel_parallel", BORE, 1e-5, 0.02),
    size("limits.barrel_match", BORE, 1e-5, 0.02),
    size("limits.journal_taper", MAIN, 1e-5, 0.01),
    size("limits.journal_round", MAIN, 1e-5, 0.01),
    size("limits.crank_run_out", MAIN, 2e-5, 0.02),
    size("limits.end_float", MAIN, 2e-4, 0.04),
    size("limits.main_clearance", MAIN, 5e-5, 0.01),
    size("limits.rod_clearance", PIN, 5e-5, 0.01),
    size("limits.crush", "rods.big_end.nominal", 5e-5, 0.02),
    size("limits.big_end_round", PIN, 1e-5, 0.01),
    size("limits.rod_side_clearance", PIN, 3e-4, 0.1),
    size("limits.rod_length", "rods.length", 0.98, 1.02),
    size("limits.piston_clearance", BORE, 3e-5, 0.015),
    size("limits.pin_in_piston", "pins.diameter", 1e-5, 0.01),
    size("limits.pin_in_rod", "pins.diameter", 0.0, 0.02),
    size("limits.mass_spread", "pistons.mass", 1e-4, 0.2),
    size("limits.top_ring_gap", BORE, 5e-4, 0.03),
    size("limits.second_ring_gap", BORE, 5e-4, 0.03),
    size("limits.rail_gap", BORE, 5e-4, 0.05),
    size("limits.ring_side_clearance", "rings.top_width", 0.002, 0.5),
    size("limits.quench", BORE, 0.001, 0.2),
    size("limits.chamber", "head.chamber", 0.5, 2.0),
    of("limits.swept_volume", Against::SweptOfAll, 0.3, 8.0),
    size("limits.lash_intake", "valves.intake.lift", 0.002, 0.4),
    size("limits.lash_exhaust", "valves.exhaust.lift", 0.002, 0.4),
    size("limits.guide_intake", "valves.intake.stem", 5e-4, 0.1),
    size("limits.guide_exhaust", "valves.exhaust.stem", 5e-4, 0.1),
    size("limits.seat_run_out", "valves.intake.head_diameter", 3e-5, 0.03),
    size("limits.seat_width_intake", "valves.intake.head_diameter", 0.008, 0.25),
    size("limits.seat_width_exhaust", "valves.exhaust.head_diameter", 0.008, 0.25),
    size("limits.spring_installed", "springs.installed", 0.8, 1.25),
    size("limits.coil_bind_margin", "valves.intake.lift", 0.005, 2.0),
    size("limits.seat_load", "springs.seat_load", 0.4, 2.5),
    size("limits.bucket_clearance", "cams.bucket.nominal", 1e-4, 0.02),
    size("limits.cam_clearance", "cams.journal.nominal", 2e-4, 0.03),
    size("limits.piston_to_intake_valve", "valves.intake.lift", 0.01, 2.0),
    size("limits.piston_to_exhaust_valve", "valves.exhaust.lift", 0.01, 2.0),
    size("limits.pushrod", "cams.pushrod", 0.9, 1.1),
    size("limits.rod_bolt_stretch", "rods.bolt_stretch.nominal", 0.3, 3.0),
    size("limits.head_restrictor", "head.restrictor", 0.2, 5.0),
];
