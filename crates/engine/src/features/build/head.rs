//! Deck, chambers, gasket.

use super::block::{face_roughness, faces};
use super::{Column, OUTSIDE, Row, Spec, column, row, si};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, Sheet};
use crate::quantity::Dimension as D;

pub(super) fn head(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    deck(catalogue, document, cylinders);
    chambers(catalogue, document, cylinders);
    faces(catalogue, document, "head");
    face_roughness(catalogue, document);
}

fn deck(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    if document.block.is_of_separate_barrels() {
        barrels(catalogue, document);
    } else {
        deck_heights(catalogue, document);
    }
    pistons_below(catalogue, document, cylinders);
}

/// Heights of the separate barrels, the shims under them, and where they end over the crank.
fn barrels(catalogue: &mut Catalogue, document: &Document) {
    let material = document.block.bore_material();
    // Over the crank stand barrel and crankcase: one material says what both do only where it is the same.
    let of_both = material.filter(|m| document.block.material == Some(*m));
    let rows = |stem: &str, material| -> Vec<Row> {
        let of = |face: &crate::features::Face| {
            let name = &face.name;
            row(&face.mark, stem.replace('*', name), format!("barrel.{name}"), name, material)
        };
        document.decks().iter().map(of).collect()
    };
    let mut around: Vec<Column> = ["front", "rear", "in", "out"]
        .iter()
        .map(|place| {
            let words = if matches!(*place, "in" | "out") { document.side_of_face(place) } else { place };
            column(&format!("height\n{words}"), &format!("height.{place}"), "barrel.height", D::Length, None)
        })
        .collect();
    let shim = column("shim\nunder it", "shim", "barrel.shim", D::Length, si(document.block.barrel_shim));
    around.push(shim.by(K::Micrometer, OUTSIDE));
    catalogue.add(
        &Spec {
            id: "barrels",
            sheet: Sheet::Head,
            title: "Barrels, from seat to sealing face",
            row_name: "barrel",
            gauge: K::HeightGauge,
            settles: &[K::HeightGauge, K::CoordinateMachine, K::DepthGauge, K::Micrometer],
            held: &[],
            decimals: 3,
            hint: "Off the engine, on a plate: from the shoulder that stands on the crankcase to the face that meets the head, at four places. The shim by itself, beside a hole.",
        },
        &rows("barrel.*", material),
        &around,
    );
    let ends = ["front", "rear"]
        .map(|e| (format!("from the crank\n{e}"), e))
        .map(|(label, e)| column(&label, e, "block.deck_height", D::Length, si(document.block.deck_height)));
    catalogue.add(
        &Spec {
            id: "deck_height",
            sheet: Sheet::Head,
            title: "Sealing face of the barrel from the crank axis",
            row_name: "barrel",
            gauge: K::HeightGauge,
            settles: &[K::HeightGauge, K::CoordinateMachine, K::DepthGauge, K::Micrometer],
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Barrel held down on its shim. Not needed where the piston below the top of the barrel is read.",
        },
        &rows("block.deck_height.*", of_both),
        &ends,
    );
}

fn deck_heights(catalogue: &mut Catalogue, document: &Document) {
    let iron = document.block.material;
    let decks: Vec<Row> = document
        .decks()
        .iter()
        .map(|f| row(&f.mark, format!("block.deck_height.{}", f.name), "block", &f.name, iron))
        .collect();
    let corners: Vec<Column> = ["front", "rear"]
        .iter()
        .flat_map(|e| {
            ["in", "out"].map(|s| {
                column(
                    &format!("{e}\n{}", document.side_of_face(s)),
                    &format!("{e}.{s}"),
                    "block.deck_height",
                    D::Length,
                    si(document.block.deck_height),
                )
            })
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "deck_height",
            sheet: Sheet::Head,
            title: "Deck height from the crank axis",
            row_name: "deck",
            gauge: K::HeightGauge,
            settles: &[K::HeightGauge, K::CoordinateMachine, K::DepthGauge, K::Micrometer],
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "At the four corners, from the main tunnel.",
        },
        &decks,
        &corners,
    );
}

fn pistons_below(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let barrels = document.block.is_of_separate_barrels();
    let tops: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("cylinder.{c}.below_deck"), document.bore_part(*c), c, None))
        .collect();
    let below = ["front", "rear"].map(|e| column(e, e, "cylinder.below_deck", D::Length, None).signed());
    catalogue.add(
        &Spec {
            id: "below_deck", sheet: Sheet::Head, title: if barrels { "Piston below the top of its barrel at top dead centre" } else { "Piston below the deck at top dead centre" }, row_name: "cylinder", gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::DepthGauge], held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: if barrels {
                "Barrel held down on its shim. Over the pin line, front and rear, the mean of both when it rocks. Above the barrel is negative."
            } else {
                "Over the pin line, front and rear, the mean of both when it rocks. Above the deck is negative."
            },
        },
        &tops, &below,
    );
}

fn chambers(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let chambers: Vec<Row> = cylinders
        .iter()
        .map(|c| {
            row(c.to_string(), format!("head.chamber.{c}"), format!("head.{}", document.head_of(*c)), c, None)
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "chambers",
            sheet: Sheet::Head,
            title: "Chamber volumes by burette",
            row_name: "chamber",
            gauge: K::Burette,
            settles: &[K::Burette],
            held: &[],
            decimals: 2,
            hint: "Valves and plug in, plate greased, no bubble.",
        },
        &chambers,
        &[column("volume", "", "head.chamber", D::Volume, si(document.head.chamber))],
    );
    let gaskets: Vec<Row> = document
        .decks()
        .iter()
        .map(|f| row(&f.mark, format!("gasket.{}", f.name), "gasket", &f.name, None))
        .collect();
    catalogue.add(
        &Spec {
            id: "gaskets",
            sheet: Sheet::Head,
            title: "Gasket",
            row_name: "gasket",
            gauge: K::Micrometer,
            settles: &[K::Micrometer],
            held: &[],
            decimals: 3,
            hint: if document.block.is_of_separate_barrels() {
                "Thickness of a used one of the same kind, or solder under torque. Where head and barrel meet without one, state 0 as its thickness."
            } else {
                "Thickness of a used one of the same kind beside the fire ring, or solder under torque."
            },
        },
        &gaskets,
        &[column("compressed", "compressed", "gasket.compressed", D::Length, si(document.gasket.compressed))],
    );
    let heads: Vec<Row> = document
        .heads()
        .iter()
        .map(|f| {
            row(&f.mark, format!("head.restrictor.{}", f.name), format!("head.{}", f.name), &f.name, None)
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "restrictor",
            sheet: Sheet::Head,
            title: "Oil restrictor to the head",
            row_name: "head",
            gauge: K::PinGauge,
            settles: &[K::PinGauge, K::Other],
            held: &[],
            decimals: 2,
            hint: "Pin gauges.",
        },
        &heads,
        &[column("diameter", "", "head.restrictor", D::Length, si(document.head.restrictor))],
    );
}
