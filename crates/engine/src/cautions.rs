//! The usual cautions, each said in one place: sheets, findings, cutting list and manual take them from here.
//! Common practice, no source. They defer to the part maker's data, local codes and licensed practice.

// What stands in more than one caution.
macro_rules! rod_bolts {
    () => {
        "Rod bolts near yield can break without warning: use the bolt maker's stretch, never re-use one that stays long, eye protection on."
    };
}
macro_rules! main_bolts {
    () => {
        "Main bolts near yield can break without warning: tighten by the maker's steps, never re-use one that stays long, eye protection on."
    };
}
macro_rules! crank {
    () => {
        "Lift the crank with a sling; keep fingers out of the throws while it turns."
    };
}
macro_rules! lifting {
    () => {
        "Lift the block with a hoist and slings rated for its weight, crank and head with a hoist or a second person; nobody under the load."
    };
}
macro_rules! fuel {
    () => {
        "its vapour explodes, and methanol poisons through skin and breath and burns with a flame that can hardly be seen; follow the safety data sheet."
    };
}
macro_rules! lean {
    () => {
        "A lean cylinder under load burns pistons: no load until the injectors are matched."
    };
}
macro_rules! spring {
    () => {
        "A compressed spring holds enough energy to injure: use the maker's tool, guard it, wear eye protection."
    };
}
macro_rules! ring_ends {
    () => {
        "Ring ends and rails cut: hold them in gloves; eye protection on where a gap is filed, and its edges broken after it. Spread a ring no farther than its maker allows: it breaks and flies."
    };
}
macro_rules! ring_butts {
    () => {
        "Ring ends that meet in a hot engine scuff the bore and break the ring: do not run it."
    };
}
macro_rules! overspeed {
    () => {
        "A wheel that bursts goes through its housing."
    };
}
macro_rules! boost {
    () => {
        "Boost that cannot be held back rises until something breaks."
    };
}
macro_rules! turning {
    () => {
        "Keep fingers clear while the crank turns."
    };
}
macro_rules! bore_job {
    () => {
        concat!(
            lifting!(),
            " The bolts of a torque plate are loaded like head bolts: tighten them by the part maker's steps, eye protection on."
        )
    };
}
macro_rules! head_bolts {
    () => {
        "Head bolts near yield can break without warning: loosen and tighten them in the part maker's order, never re-use one that stays longer than its maker allows, eye protection on. The head is heavy: lift it with a second person or a hoist."
    };
}
macro_rules! valves_meet {
    () => {
        "Valves that meet the pistons wreck the engine in one turn: measure with clay or light checking springs, then turn two full turns by hand before any start."
    };
}

/// Wherever a spring is measured or worked on, or a valve comes out.
pub const SPRING: &str = spring!();
/// Where the bolts of main caps are loosened and tightened.
pub const MAIN_BOLTS: &str = main_bolts!();
/// Where the bolts of a rod are loosened and tightened.
pub const ROD_BOLTS: &str = rod_bolts!();
/// A piston that changes its place: its rod comes off.
pub const PISTON_OUT: &str = concat!("To move a piston its rod comes off. ", rod_bolts!());
/// Where a head comes off and goes on again.
pub const HEAD_BOLTS: &str = head_bolts!();
/// Where bolts of main caps or rods are tightened for a reading.
pub const BOLTS: &str = "Bolts near yield can break without warning: tighten by the maker's steps, never re-use one that stays long, eye protection on.";
/// Where the crank is lifted and turned on its own.
pub const CRANK: &str = crank!();
/// Where the caps come off and the crank goes out for other thrust shells.
pub const THRUST_SHELLS: &str = concat!(main_bolts!(), " ", crank!());
/// Where a rocker is set, or a pushrod changed.
pub const ROCKER: &str = "Turn the engine until both valves of the cylinder are closed and the rocker is free; fingers clear: a loaded spring throws the rocker.";
/// Where a gasket is pressed by its bolts for a reading.
pub const PRESSED_GASKET: &str =
    concat!(head_bolts!(), " Solder may hold lead: wash hands, keep it away from food.");
/// Where the room between valve and piston is read.
pub const VALVE_ROOM: &str = concat!(turning!(), " ", spring!(), " ", head_bolts!());
/// Where pistons are taken off their pins.
pub const PIN_LOCKS: &str = "Pin locks fly out: eye protection on, a hand over the lock.";
/// Where the engine is turned for a reading.
pub const TURNING: &str = turning!();
/// Where the caps of a camshaft come off.
pub const CAM_CAPS: &str = "Valve springs push on the camshaft: loosen and tighten its caps little by little, all in turn, in the maker's order.";
/// Where block, crank or head go on a machine.
pub const LIFTING: &str = lifting!();
/// Where a bore is bored or honed with the torque plate on.
pub const BORE_JOB: &str = bore_job!();
/// Where the bores are read.
pub const BORES: &str = concat!(bore_job!(), " Edges of deck and bores are sharp after a cut.");
/// Where the gaps of rings are read and filed.
pub const RING_ENDS: &str = ring_ends!();
/// Where a block of magnesium is cut.
pub const MAGNESIUM: &str = concat!(
    lifting!(),
    " Magnesium chips and dust burn fiercely, and water makes it worse: leave the cut to a shop set up for it; chips kept few and dry, a class D extinguisher or dry sand at hand."
);
/// Where a wall of a bore is thin.
pub const THIN_WALL: &str = "A wall that is too thin can crack or burst into the water jacket under load: do not run it. A pressure test does not prove its strength.";
/// Where a journal is ground, or a bent crank straightened.
pub const JOURNAL: &str = "Grind only where the crank maker allows it: a rolled fillet or a hardened skin is lost and must be made again; test for cracks before and after; lift the crank with a sling.";
/// Where a journal is below its least size and may run on with other shells.
pub const WORN_JOURNAL: &str = "The crank maker's least size decides. After a bearing failure test journal and fillet for cracks, and the journal for hardness, before the crank is used again.";
/// Where a chamber is opened.
pub const CHAMBER_RELIEF: &str = "Keep the head maker's least metal over water and ports; leave no sharp edge, which glows and fires the charge early; eye protection.";
/// Where a bore is sleeved.
pub const SLEEVE: &str = "The block is heated and the sleeve chilled: burns; leave it to a shop that has the press and the gloves.";
/// Where an injector is on the bench.
pub const FUEL_MIST: &str =
    concat!("Fuel mist on an injector bench burns at a spark: no flame, air moving, goggles. ", lean!());

/// A ring that butts, or is near it.
pub const RING_BUTTS: &str = ring_butts!();
/// Where a ring is filed because its gap is too small.
pub const RING_FILE: &str = concat!(ring_butts!(), " ", ring_ends!());
/// Wherever a figure stands that somebody could set an engine by.
pub const COMPUTED: &str = "A computed figure, not a setting. Boost, fuel and ignition are set on a guarded test bed by a qualified person, from the safe side, within the part makers\u{2019} limits.";
/// Where valves and pistons are too near, and pockets or timing are changed.
pub const TO_PISTON: &str = concat!(
    valves_meet!(),
    " Cut a crown only as far as the piston maker's least thickness leaves metal under the pocket: a thin crown burns through on load."
);
/// Where the power of the duty is sought.
pub const MORE_POWER: &str = concat!(
    "More boost, advance or revolutions load every part more: within the part makers' limits, small steps, on the test bed, with knock measured. After a change of the cams: ",
    valves_meet!()
);
/// After the cams were moved.
pub const VALVES_MEET: &str = valves_meet!();
/// Peak pressure above what is allowed.
pub const PRESSURE: &str = "Pressure above what the parts are made for breaks studs, gaskets and pistons while the engine runs. Later ignition makes the exhaust hotter: keep to the makers' temperatures of turbine and exhaust valves.";
/// Knock.
pub const KNOCK: &str = concat!(
    "Knock destroys pistons within seconds: approach it from the safe side. No integral sees pre-ignition from a hot spot. Later ignition makes the exhaust hotter: keep to the makers' temperatures of turbine and exhaust valves. Another fuel: ",
    fuel!()
);
/// Where a fuel is chosen.
pub const FUEL: &str = concat!(
    "Whichever fuel: ",
    fuel!(),
    " Lines, seals, injectors and pump must stand it by their makers' data; alcohol needs far more flow, and an engine set for petrol runs lean on it."
);
/// Surge of the compressor.
pub const SURGE: &str = "A surging compressor can break its bearing.";
/// A rotor too fast.
pub const OVERSPEED: &str = overspeed!();
/// Boost above its target.
pub const BOOST: &str = boost!();
/// Where a turbocharger is described.
pub const TURBOCHARGER: &str = concat!(overspeed!(), " ", boost!());
/// Injectors open too long.
pub const INJECTOR_DUTY: &str =
    "Injectors at their limit run the engine lean. Keep below the injector maker's figure.";
/// Pump and lines.
pub const FUEL_PUMP: &str =
    "Fuel under pressure: fit lines and pump by the maker's data, fire extinguisher at hand.";
/// One cylinder lean.
pub const LEAN: &str = lean!();
/// Seats that are cut.
pub const SEAT_CUT: &str = concat!(
    "Eye protection on: chips. Take no more than makes the seat true: a valve that sinks loses lash, spring load and room in the chamber, and the head maker's least metal over the water stays. ",
    spring!()
);
/// Decks and head faces on the machine.
pub const SKIM: &str =
    concat!(lifting!(), " The cutter throws chips: guards on, eye protection; a job for a machine shop.");
/// An engine that is run on the bed.
pub const TEST_BED: &str = "An engine on the bed: guards over what turns, nobody beside it, hot exhaust led outside and the room aired (it is poisonous), fire extinguisher at hand, stop within reach, run by a qualified person.";
/// What turns, is hot or is under pressure in an engine that runs.
pub const HOT: &str = "Exhaust and oil are hot enough to burn, and exhaust gas poisons: let it cool, run it only in moving air.";

/// Exhaust too hot.
pub const ADVANCE: &str = "More advance can start knock: small steps, on the test bed, with knock measured; keep to the makers' temperatures of turbine and valves.";

/// The caution above the form of a section of the document; None where nothing in it can hurt.
pub fn of_section(section: &str) -> Option<&'static str> {
    Some(match section {
        "fuel" => FUEL,
        "fasteners" | "rods" => BOLTS,
        "springs" | "valves" => SPRING,
        "cams" => CAM_CAPS,
        "rings" => RING_ENDS,
        "block" | "crank" => LIFTING,
        "exhaust" | "oil" => HOT,
        "turbocharger" => TURBOCHARGER,
        "burn" | "ignition" | "duty" => COMPUTED,
        "head" | "gasket" => HEAD_BOLTS,
        _ => return None,
    })
}
