//! Deck, chambers, gasket.

use super::block::{face_roughness, faces};
use super::{Column, Row, Spec, column, row, si};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, Sheet, bank_letter, bank_name};
use crate::quantity::Dimension as D;

pub(super) fn head(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    deck(catalogue, document, cylinders);
    chambers(catalogue, document, cylinders);
    faces(catalogue, document, "head");
    face_roughness(catalogue, document);
}

fn deck(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let banks = document.banks();
    let iron = document.block.material;
    let decks: Vec<Row> = (0..banks.len())
        .map(|b| {
            row(bank_letter(b), format!("block.deck_height.{}", bank_name(b)), "block", bank_name(b), iron)
        })
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
    let tops: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("cylinder.{c}.below_deck"), "block", c, None))
        .collect();
    let below = ["front", "rear"].map(|e| column(e, e, "cylinder.below_deck", D::Length, None).signed());
    catalogue.add(
        &Spec {
            id: "below_deck", sheet: Sheet::Head, title: "Piston below the deck at top dead centre", row_name: "cylinder", gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::DepthGauge], held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Over the pin line, front and rear, the mean of both when it rocks. Above the deck is negative.",
        },
        &tops, &below,
    );
}

fn chambers(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let banks = document.banks();
    let chambers: Vec<Row> = cylinders
        .iter()
        .map(|c| {
            row(
                c.to_string(),
                format!("head.chamber.{c}"),
                format!("head.{}", bank_name(document.bank_of(*c))),
                c,
                None,
            )
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
    let gaskets: Vec<Row> = (0..banks.len())
        .map(|b| row(bank_letter(b), format!("gasket.{}", bank_name(b)), "gasket", bank_name(b), None))
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
            hint: "Thickness of a used one of the same kind beside the fire ring, or solder under torque.",
        },
        &gaskets,
        &[column("compressed", "compressed", "gasket.compressed", D::Length, si(document.gasket.compressed))],
    );
    let heads: Vec<Row> = (0..banks.len())
        .map(|b| {
            row(
                bank_letter(b),
                format!("head.restrictor.{}", bank_name(b)),
                format!("head.{}", bank_name(b)),
                bank_name(b),
                None,
            )
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
