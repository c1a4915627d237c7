//! Walls, hardness, main line, faces, bores.

use super::{Column, INSIDE, Row, Spec, column, row, si};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, HEIGHTS, Sheet, WALL_DIRECTIONS, bank_letter, bank_name};
use crate::quantity::{Dimension as D, UnitSystem};

pub(super) fn casting(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let iron = document.block.material;
    let walls: Vec<Row> = cylinders
        .iter()
        .flat_map(|c| {
            HEIGHTS.map(|h| row(format!("{c} {h}"), format!("block.wall.{c}.{h}"), "block", c, iron))
        })
        .collect();
    let directions = WALL_DIRECTIONS
        .map(|d| column(&d.replace('_', "\n"), d, "block.wall", D::Length, si(document.block.wall)));
    catalogue.add(
        &Spec {
            id: "walls", sheet: Sheet::Casting, title: "Bore walls", row_name: "bore", gauge: K::UltrasonicGauge,
            settles: &[K::UltrasonicGauge], held: &[], decimals: 2,
            hint: "Couple the probe square to the wall. Calibrate the gauge on this casting at a place that can be reached from both sides: the speed of sound differs by several per cent between irons.",
        },
        &walls, &directions,
    );
    let dents: Vec<Column> = (1..=8)
        .map(|n| column(&n.to_string(), &n.to_string(), "block.hardness", D::Hardness, None))
        .collect();
    catalogue.add(
        &Spec {
            id: "hardness", sheet: Sheet::Casting, title: "Hardness of the casting", row_name: "block", gauge: K::HardnessTester,
            settles: &[K::HardnessTester], held: &[], decimals: 0,
            hint: "On the deck and the pan rail, skin removed, away from edges. The mean counts, one dent does not.",
        },
        &[row("dents", "block.hardness", "block", "1", iron)], &dents,
    );
    let mains: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("block.main_axis.{m}"), "block", m, iron))
        .collect();
    let axis = [
        column("up", "up", "block.main_axis", D::Length, Some(0.0)).signed(),
        column("aside", "aside", "block.main_axis", D::Length, Some(0.0)).signed(),
    ];
    catalogue.add(
        &Spec {
            id: "main_line", sheet: Sheet::Casting, title: "Main tunnel, axis of each housing", row_name: "main", gauge: K::AlignmentBar,
            settles: &[K::AlignmentBar, K::CoordinateMachine], held: &[Held::CapsTorqued], decimals: 3,
            hint: "With a bar, an arbor with indicator or coordinates; a two-point gauge sees no centres. Up and toward the thrust side are positive. Any straight line will do as datum.",
        },
        &mains, &axis,
    );
    faces(catalogue, document, "deck");
}

/// A grid of heights on the deck or the head face of each bank.
pub(super) fn faces(catalogue: &mut Catalogue, document: &Document, which: &str) {
    let banks = document.banks();
    for (bank, cylinders) in banks.iter().enumerate() {
        let name = bank_name(bank);
        let deck = which == "deck";
        let (part, material, family) = if deck {
            ("block".to_owned(), document.block.material, "block.deck_face")
        } else {
            (format!("head.{name}"), document.head.material, "head.face")
        };
        let instance = name.to_owned();
        let rows: Vec<Row> = ["in", "mid", "out"]
            .iter()
            .map(|side| {
                let words = document.side_of_face(side);
                let label =
                    if banks.len() > 1 { format!("{} {words}", bank_letter(bank)) } else { words.to_owned() };
                row(label, format!("{family}.{name}.{side}"), part.clone(), &instance, material)
            })
            .collect();
        let columns: Vec<Column> = (1..=cylinders.len() + 1)
            .map(|n| column(&n.to_string(), &n.to_string(), family, D::Length, Some(0.0)).signed())
            .collect();
        let (id, title) = match (deck, bank) {
            (true, 0) => ("deck_face", "Deck face, height over a straight edge"),
            (true, _) => ("deck_face_b", "Deck face of bank B, height over a straight edge"),
            (false, 0) => ("head_face", "Head face, height over a straight edge"),
            (false, _) => ("head_face_b", "Head face of bank B, height over a straight edge"),
        };
        catalogue.add(
            &Spec {
                id, sheet: if deck { Sheet::Casting } else { Sheet::Head }, title, row_name: if deck { "deck" } else { "face" },
                gauge: K::DialIndicator, settles: &[K::DialIndicator, K::CoordinateMachine, K::FeelerGauge, K::DepthGauge],
                held: &[], decimals: 3,
                hint: "Between the cylinders from front (1) to rear, on three lines. High is positive; any datum.",
            },
            &rows, &columns,
        );
    }
}

pub(super) fn bores(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let material = document.block.bore_material();
    let rows: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("block.bore.{c}"), "block", c, material))
        .collect();
    let columns: Vec<Column> = HEIGHTS
        .iter()
        .flat_map(|h| {
            ["thrust", "along"].map(|d| {
                column(
                    &format!("{h}\n{d}"),
                    &format!("{h}.{d}"),
                    "block.bore",
                    D::Length,
                    si(document.layout.bore),
                )
            })
        })
        .collect();
    let held: &[Held] = if document.block.torque_plate == Some(true) { &[Held::TorquePlate] } else { &[] };
    catalogue.add(
        &Spec {
            id: "bores", sheet: Sheet::Bores, title: "Bores", row_name: "bore", gauge: K::BoreGauge, settles: INSIDE, held, decimals: 3,
            hint: match document.engine.units {
                UnitSystem::Metric => "Across the crank (thrust) and along it, 10 mm below the deck, in the middle, and 10 mm above the skirt's lowest point. Two points see no three-lobed form.",
                UnitSystem::Inch => "Across the crank (thrust) and along it, 0.4 in below the deck, in the middle, and 0.4 in above the skirt's lowest point. Two points see no three-lobed form.",
            },
        },
        &rows, &columns,
    );
    let surface: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("block.bore_surface.{c}"), "block", c, None))
        .collect();
    let columns = ["rk", "rpk", "rvk"].map(|k| {
        column(
            match k {
                "rk" => "Rk",
                "rpk" => "Rpk",
                _ => "Rvk",
            },
            k,
            "block.bore_surface",
            D::Roughness,
            None,
        )
    });
    catalogue.add(
        &Spec {
            id: "bore_surface",
            sheet: Sheet::Bores,
            title: "Bore surface",
            row_name: "bore",
            gauge: K::RoughnessTester,
            settles: &[K::RoughnessTester],
            held: &[],
            decimals: 2,
            hint: "After the last hone, washed. ISO 21920-2.",
        },
        &surface,
        &columns,
    );
}

/// "head", or "head A" where there are two.
fn face_label(face: &str, document: &Document, bank: usize) -> String {
    if document.banks().len() > 1 { format!("{face} {}", bank_letter(bank)) } else { face.to_owned() }
}

/// Roughness of deck and head face of each bank, for the gasket.
pub(super) fn face_roughness(catalogue: &mut Catalogue, document: &Document) {
    let rows: Vec<Row> = (0..document.banks().len())
        .flat_map(|bank| {
            let name = bank_name(bank);
            [
                row(
                    face_label("deck", document, bank),
                    format!("block.deck_roughness.{name}"),
                    "block",
                    name,
                    None,
                ),
                row(
                    face_label("head", document, bank),
                    format!("head.face_roughness.{name}"),
                    format!("head.{name}"),
                    name,
                    None,
                ),
            ]
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "face_roughness",
            sheet: Sheet::Head,
            title: "Roughness of the faces",
            row_name: "face",
            gauge: K::RoughnessTester,
            settles: &[K::RoughnessTester],
            held: &[],
            decimals: 1,
            hint: "Across the lay, clear of edges. ISO 21920-2.",
        },
        &rows,
        &[column("Rz", "", "face.roughness", D::Roughness, None)],
    );
}
