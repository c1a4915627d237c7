//! Cylinders as measured: bore, clearance, rings, burn.

use super::{Builder, valves};
use crate::document::HeatRelation;
use crate::features::injector_path;
use crate::findings::mean_size;
use crate::power::specification::{Doubt, DoubtKind, Group};
use crate::quantity::{Dimension, UnitSystem, format_value};
use gas_exchange::cylinder::heat_transfer::{HeatLaw, Woschni};
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::{CreviceSpec, CylinderSpec, RingSpec};
use gas_exchange::ducts::DuctSpec;
use gas_exchange::gas::Fuel;
use gas_exchange::whole_engine::CylinderUnit;
use mechanics::compression::Space;
use std::f64::consts::PI;

/// Share of ethanol by volume from which ethanol's own ignition delay is taken.
const MOSTLY_ETHANOL: f64 = 0.7;

/// All cylinders.
pub(super) fn cylinders(b: &mut Builder<'_>, fuel: Option<&Fuel>) -> Option<Vec<CylinderUnit>> {
    let document = b.bench.document();
    let count = document.layout.cylinders;
    if count.is_none() {
        b.lacks("number of cylinders", "layout.cylinders", false);
    }
    let firing = firing(b);
    let intake_duct =
        b.duct(Group::Intake, "port and runner", "intake.runner", &document.intake.runner, 330.0);
    let exhaust_duct =
        b.duct(Group::Exhaust, "port and primary pipe", "exhaust.primary", &document.exhaust.primary, 850.0);
    let distance = b.stated_or(
        Group::Intake,
        "distance of the injectors from the valve",
        "intake.injector_distance",
        document.intake.injector_distance,
        0.1,
    );
    let laws = laws(b, fuel);
    let mut all = Vec::new();
    for cylinder in 1..=count.unwrap_or(0).min(12) {
        b.cylinder = Some(cylinder);
        let spec = one(b, cylinder, &laws);
        let intake = valves::group(b, cylinder, crate::features::Side::Intake);
        let exhaust = valves::group(b, cylinder, crate::features::Side::Exhaust);
        let factor = fuel_factor(b, cylinder);
        let ducts: Option<(DuctSpec, DuctSpec)> = intake_duct.clone().zip(exhaust_duct.clone());
        if let (Some(spec), Some(intake), Some(exhaust), Some(firing), Some((runner, primary))) =
            (spec, intake, exhaust, firing.as_ref(), ducts)
        {
            if let Err(error) = spec.validate() {
                b.problems.push(format!("cylinder {cylinder}: {error}"));
            }
            all.push(CylinderUnit {
                cylinder: spec,
                firing: firing[cylinder as usize - 1],
                intake,
                exhaust,
                intake_duct: runner,
                exhaust_duct: primary,
                fuel_factor: factor,
                injector_distance: distance,
            });
        }
    }
    b.cylinder = None;
    (!all.is_empty() && Some(all.len()) == count.map(|c| c as usize)).then_some(all)
}

/// When each cylinder fires, rad of the crank.
fn firing(b: &mut Builder<'_>) -> Option<Vec<f64>> {
    match b.bench.document().firing() {
        Some(Ok(firing)) => {
            let mut angles = vec![0.0; firing.plan.firings.len()];
            for (cylinder, degrees) in &firing.plan.firings {
                if let Some(angle) = angles.get_mut(cylinder - 1) {
                    *angle = (degrees * PI / 180.0).rem_euclid(4.0 * PI);
                }
            }
            Some(angles)
        }
        Some(Err(error)) => {
            b.problem("layout.firing_order", error);
            None
        }
        None => {
            b.lacks("arrangement, cylinders and firing order", "layout.firing_order", false);
            None
        }
    }
}

struct Laws {
    heat: HeatLaw,
    knock: Option<DelayLaw>,
    walls: [f64; 3],
}

fn laws(b: &mut Builder<'_>, fuel: Option<&Fuel>) -> Laws {
    let document = b.bench.document();
    let heat = b.stated_or(
        Group::Calibration,
        "factor on the heat to the walls",
        "power.heat",
        document.power.heat,
        1.0,
    );
    let delay = b.stated_or(
        Group::Calibration,
        "factor on the ignition delay",
        "power.knock_delay",
        document.power.knock_delay,
        1.0,
    );
    let walls = [
        ("piston crown", "crown_temperature", document.burn.crown_temperature, 520.0),
        ("chamber in the head", "chamber_temperature", document.burn.chamber_temperature, 470.0),
        ("liner", "liner_temperature", document.burn.liner_temperature, 430.0),
    ]
    .map(|(what, key, given, usual)| {
        b.stated_or(
            Group::Burn,
            &format!("surface temperature of the {what}"),
            &format!("burn.{key}"),
            given,
            usual,
        )
    });
    let heat = match document.burn.heat.unwrap_or(HeatRelation::Woschni) {
        HeatRelation::Woschni => HeatLaw::Woschni(Woschni { factor: heat, ..Woschni::default() }),
        HeatRelation::Hohenberg => HeatLaw::Hohenberg { factor: heat },
    };
    let mostly_ethanol = matches!(document.fuel.kind, Some(crate::document::FuelKind::Ethanol))
        || document.fuel.ethanol.is_some_and(|share| share.0 >= MOSTLY_ETHANOL);
    let knock = fuel.map(|fuel| {
        if mostly_ethanol {
            super::fuel::octane_unused(b);
            DelayLaw::Ethanol { factor: delay }
        } else {
            // K = 0 where nothing is stated: the research octane number stands. Judgement; boosted engines are often below 0.
            let octane = super::fuel::octane(b, fuel);
            DelayLaw::DouaudEyzat { octane, factor: delay }
        }
    });
    Laws { heat, knock, walls }
}

/// Fuel of a cylinder against the mean of the engine, from the flow of its injectors.
fn fuel_factor(b: &mut Builder<'_>, cylinder: u32) -> f64 {
    let Some(count) = b.bench.document().fuel.injectors else { return 1.0 };
    let paths = |c: u32| (1..=count).map(move |i| injector_path(c, i, count));
    let of = |b: &Builder<'_>, c: u32| -> Option<f64> {
        paths(c).map(|p| b.bench.size(&p).map(|s| s.value.value())).sum::<Option<f64>>()
    };
    let all: Option<f64> = b.bench.cylinders().map(|c| of(b, c)).sum();
    let Some((own, all)) = of(b, cylinder).zip(all) else { return 1.0 };
    for path in paths(cylinder) {
        b.read(Group::Fuel, &path);
    }
    own / (all / b.bench.cylinders().count() as f64)
}

fn one(b: &mut Builder<'_>, cylinder: u32, laws: &Laws) -> Option<CylinderSpec> {
    let document = b.bench.document();
    let place = format!("block.bore.{cylinder}.mid.thrust");
    let bore = match mean_size(b.bench, cylinder) {
        Some(mean) => {
            let label = format!("bore {cylinder}, mean of its readings");
            Some(b.computed(Group::Cylinder, &label, &place, Dimension::Length, &mean))
        }
        None if document.layout.bore.is_some() => {
            b.stated(Group::Cylinder, "bore, nominal", "layout.bore", document.layout.bore)
        }
        None => {
            b.lacks("bore", &place, true);
            None
        }
    };
    let stroke = b.stated(Group::Cylinder, "stroke", "layout.stroke", document.layout.stroke);
    let rod = b.read_or(
        Group::Cylinder,
        "rod length",
        &format!("rod.{cylinder}.length"),
        "rods.length",
        document.rods.length,
    );
    if let Some(offset) = document.pistons.pin_offset {
        b.stated(Group::Cylinder, "pin offset", "pistons.pin_offset", Some(offset));
    }
    let space = space(b, cylinder, bore, stroke, rod);
    let (bore, stroke, rod, space) = (bore?, stroke?, rod?, space?);
    let crevice = crevice(b);
    let clearance = space.clearance_volume().value - space.crevice_volume;
    let area = 0.25 * PI * bore * bore;
    // Flat surfaces are exceeded by dish, valve pockets and roof: judgement, Heywood shows 1.1 to 1.4.
    let crown = b.usual(Group::Cylinder, "surface of the crown over the bore area", Dimension::Ratio, 1.12);
    let head = b.usual(Group::Cylinder, "surface of the chamber over the bore area", Dimension::Ratio, 1.25);
    let rings = rings(b, cylinder, bore);
    Some(CylinderSpec {
        bore,
        crank_radius: 0.5 * stroke,
        rod_length: rod,
        pin_offset: document.pistons.offset_of_drive(),
        clearance_volume: clearance,
        crown_area: crown * area,
        head_area: head * area,
        liner_area_at_top: PI * bore * (space.gasket_thickness + space.deck_gap).max(0.0),
        wall_temperatures: laws.walls,
        burn: None,
        completeness: 1.0,
        heat: laws.heat,
        knock: laws.knock,
        rings: if crevice.is_some() { rings } else { None },
        crevice,
    })
}

/// The space over the piston at top dead centre.
fn space(
    b: &mut Builder<'_>,
    cylinder: u32,
    bore: Option<f64>,
    stroke: Option<f64>,
    rod: Option<f64>,
) -> Option<Space> {
    let document = b.bench.document();
    let chamber = b.read_or(
        Group::Cylinder,
        "chamber volume",
        &format!("head.chamber.{cylinder}"),
        "head.chamber",
        document.head.chamber,
    );
    let deck = document.deck_of(cylinder);
    let gasket = b.read_or(
        Group::Cylinder,
        "gasket, compressed",
        &format!("gasket.{deck}.compressed"),
        "gasket.compressed",
        document.gasket.compressed,
    );
    let gasket_bore =
        gasket.zip(bore).and_then(|(thickness, bore)| document.gasket.room_bore(thickness, bore));
    // A barrel may seal on its head without a gasket: before its thickness is known nobody is asked for a diameter in it.
    let asks_for_ring = gasket.is_some() || !document.block.is_of_separate_barrels();
    if document.gasket.fire_ring.is_some() || gasket_bore.is_none() && asks_for_ring {
        b.stated(Group::Cylinder, "fire ring", "gasket.fire_ring", document.gasket.fire_ring);
    }
    let below = below_deck(b, cylinder, stroke, rod);
    let optional = |b: &mut Builder<'_>, label: &str, path: &str, given: Option<crate::quantity::Volume>| {
        given.map_or(0.0, |v| {
            b.stated(Group::Cylinder, label, path, Some(v));
            v.0
        })
    };
    let dome = optional(b, "dome of the piston", "pistons.dome", document.pistons.dome)
        - optional(b, "dish of the piston", "pistons.dish", document.pistons.dish);
    if document.pistons.dome.is_none() && document.pistons.dish.is_none() {
        b.lacks("dish or dome of the piston (0 cm3 where it is flat)", "pistons.dish", false);
    }
    let crevice = document.pistons.top_land_crevice.map_or(0.0, |v| v.0);
    Some(Space {
        bore: bore?,
        stroke: stroke?,
        chamber_volume: chamber?,
        gasket_bore: gasket_bore?,
        gasket_thickness: gasket?,
        deck_gap: below?,
        dome_volume: dome,
        crevice_volume: crevice,
    })
}

fn below_deck(b: &mut Builder<'_>, cylinder: u32, stroke: Option<f64>, rod: Option<f64>) -> Option<f64> {
    let document = b.bench.document();
    let places = ["front", "rear"].map(|end| format!("cylinder.{cylinder}.below_deck.{end}"));
    let read: Vec<f64> = places.iter().filter_map(|p| b.read(Group::Cylinder, p)).collect();
    if !read.is_empty() {
        return Some(read.iter().sum::<f64>() / read.len() as f64);
    }
    let (Some(deck), Some(height)) = (document.block.deck_height, document.pistons.compression_height) else {
        b.lacks("piston below the deck at top dead centre", &places[0], true);
        return None;
    };
    b.stated(Group::Cylinder, "deck height, nominal", "block.deck_height", Some(deck));
    b.stated(Group::Cylinder, "compression height, nominal", "pistons.compression_height", Some(height));
    Some(deck.0 - 0.5 * stroke? - rod? - height.0)
}

fn crevice(b: &mut Builder<'_>) -> Option<CreviceSpec> {
    let Some(volume) = b.bench.document().pistons.top_land_crevice.filter(|v| v.0 > 0.0) else {
        b.leaves_out("crevice above the top ring, and with it blow-by", &["pistons.top_land_crevice"], "");
        return None;
    };
    b.stated(Group::Cylinder, "crevice above the top ring", "pistons.top_land_crevice", Some(volume));
    let temperature =
        b.usual(Group::Cylinder, "temperature of the gas in the crevice", Dimension::Temperature, 440.0);
    let late = b.usual(
        Group::Cylinder,
        "share of what the crevice gives back that burns late",
        Dimension::Ratio,
        0.5,
    );
    Some(CreviceSpec { volume: volume.0, temperature, late_oxidation: late })
}

/// Share of the rise of the top ring above the bore that the second one has where nobody stated its temperature. Rings of one kind pass
/// heat to the bore in proportion to their rise above it, and the second passes 20 % of the piston's heat where the first passes 45 %
/// (from memory, text-books on pistons; they range from 0.3 to 0.6).
const SECOND_RING_RISE: f64 = 0.45;

/// By how much the gaps of top and second ring close, m, where the duty states temperatures.
fn closing(b: &mut Builder<'_>, bore: f64) -> [f64; 2] {
    let document = b.bench.document();
    let duty = &document.duty;
    let (Some(top), Some(wall)) = (duty.top_ring_temperature, duty.bore_temperature) else { return [0.0; 2] };
    let alpha = |m: Option<crate::document::Material>, stated: Option<crate::quantity::Expansion>| {
        stated.map(|a| a.0).or_else(|| m.map(|m| f64::midpoint(m.expansion_band().0, m.expansion_band().1)))
    };
    let ring_alpha = alpha(document.rings.material, None).unwrap_or(11.5e-6);
    let bore_alpha =
        alpha(document.block.bore_material(), document.block.bore_expansion()).unwrap_or(10.5e-6);
    let second = duty
        .second_ring_temperature
        .map_or_else(|| wall.0 + SECOND_RING_RISE * (top.0 - wall.0), |stated| stated.0);
    [top.0, second].map(|ring| PI * bore * (ring_alpha * (ring - 293.15) - bore_alpha * (wall.0 - 293.15)))
}

/// Gaps hot: cold gap less what ring and bore grow, where the duty states their temperatures.
fn rings(b: &mut Builder<'_>, cylinder: u32, bore: f64) -> Option<RingSpec> {
    let document = b.bench.document();
    let mut gap = |name: &str, limit: Option<&crate::document::Limit<crate::quantity::Length>>| {
        let place = format!("ring.{cylinder}.{name}.gap");
        b.read(Group::Cylinder, &place).or_else(|| {
            let aim = limit.and_then(|l| l.target.or(l.min))?;
            b.stated(
                Group::Cylinder,
                &format!("gap of the {name} ring, as the limit aims at"),
                &format!("limits.{name}_ring_gap"),
                Some(aim),
            )
        })
    };
    let top = gap("top", document.limits.top_ring_gap.as_ref());
    let second = gap("second", document.limits.second_ring_gap.as_ref());
    let (Some(top), Some(second)) = (top, second) else {
        let words = "blow-by: ring gaps are neither read nor limited";
        if !b.left_out.iter().any(|l| l == words) {
            b.left_out.push(words.to_owned());
        }
        return None;
    };
    let closing = closing(b, bore);
    let mut butts = false;
    let units = document.engine.units;
    let decimals = if units == UnitSystem::Inch { 4 } else { 2 };
    for (name, cold, closing) in [("top", top, closing[0]), ("second", second, closing[1])] {
        if cold <= closing {
            butts = true;
            b.doubts.push(Doubt {
                kind: DoubtKind::RingButts,
                label: format!("{name} ring, cylinder {cylinder}"),
                path: format!("ring.{cylinder}.{name}.gap"),
                why: format!(
                    "its gap of {} cold closes by {} at the temperatures of the duty: the ends butt, and blow-by is not computed",
                    format_value(cold, Dimension::Length, units, decimals),
                    format_value(closing, Dimension::Length, units, decimals)
                ),
            });
        }
    }
    // A butting ring seals nothing: it scuffs and breaks. No leak would make it look best.
    if butts {
        return None;
    }
    let land = b.usual(Group::Cylinder, "clearance of the land at the gap", Dimension::Length, 0.3e-3);
    let volume = b.usual(Group::Cylinder, "volume between the rings", Dimension::Volume, 1.0e-6);
    let temperature =
        b.usual(Group::Cylinder, "temperature between the rings", Dimension::Temperature, 430.0);
    let crankcase =
        b.usual(Group::Cylinder, "pressure in the crankcase, absolute", Dimension::Pressure, 1.0e5);
    let discharge =
        b.usual(Group::Cylinder, "discharge coefficient of the ring gaps", Dimension::Ratio, 0.86);
    Some(RingSpec {
        top_gap: top - closing[0],
        second_gap: second - closing[1],
        land_clearance: land,
        volume,
        temperature,
        crankcase_pressure: crankcase,
        discharge,
    })
}
