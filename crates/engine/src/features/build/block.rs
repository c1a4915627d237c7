//! Walls, hardness, main line, faces, bores.

use super::{Column, INSIDE, Row, Spec, column, row, si};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, Face, HEIGHTS, Sheet, WALL_DIRECTIONS, direction_words, face_label};
use crate::quantity::{Dimension as D, UnitSystem};

pub(super) fn casting(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let barrels = document.block.is_of_separate_barrels();
    if document.asks_for_walls() {
        walls(catalogue, document, cylinders);
    }
    if document.asks_for_hardness() {
        hardness(catalogue, document);
    }
    main_line(catalogue, document);
    if !barrels {
        faces(catalogue, document, "deck");
    }
}

fn walls(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let iron = document.block.material;
    let walls: Vec<Row> = cylinders
        .iter()
        .flat_map(|c| {
            HEIGHTS.map(|h| row(format!("{c} {h}"), format!("block.wall.{c}.{h}"), "block", c, iron))
        })
        .collect();
    let directions = WALL_DIRECTIONS.map(|d| {
        column(&direction_words(d).replace(", ", ",\n"), d, "block.wall", D::Length, si(document.block.wall))
    });
    catalogue.add(
        &Spec {
            id: "walls", sheet: Sheet::Casting, title: "Bore walls", row_name: "bore", gauge: K::UltrasonicGauge,
            settles: &[K::UltrasonicGauge], held: &[], decimals: 2,
            hint: "Couple the probe square to the wall. Calibrate the gauge on this casting at a place that can be reached from both sides: the speed of sound differs by several per cent between irons.",
        },
        &walls, &directions,
    );
}

fn hardness(catalogue: &mut Catalogue, document: &Document) {
    let iron = document.block.material;
    let barrels = document.block.is_of_separate_barrels();
    let dents: Vec<Column> = (1..=8)
        .map(|n| column(&n.to_string(), &n.to_string(), "block.hardness", D::Hardness, None))
        .collect();
    catalogue.add(
        &Spec {
            id: "hardness", sheet: Sheet::Casting, title: if barrels { "Hardness of the crankcase" } else { "Hardness of the casting" }, row_name: "block", gauge: K::HardnessTester,
            settles: &[K::HardnessTester], held: &[], decimals: 0,
            hint: if barrels {
                "On faces that were machined, away from edges. The mean counts, one dent does not."
            } else {
                "On the deck and the sump rail, skin removed, away from edges. The mean counts, one dent does not."
            },
        },
        &[row("dents", "block.hardness", "block", "1", iron)], &dents,
    );
}

fn main_line(catalogue: &mut Catalogue, document: &Document) {
    let iron = document.block.material;
    let mains: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("block.main_axis.{m}"), "block", m, iron))
        .collect();
    let axis = [
        column("up", "up", "block.main_axis", D::Length, Some(0.0)).signed(),
        column("sideways", "aside", "block.main_axis", D::Length, Some(0.0)).signed(),
    ];
    catalogue.add(
        &Spec {
            id: "main_line", sheet: Sheet::Casting, title: "Main tunnel, axis of each housing", row_name: "main", gauge: K::AlignmentBar,
            settles: &[K::AlignmentBar, K::CoordinateMachine], held: &[Held::CapsTorqued], decimals: 3,
            hint: "With a bar, an arbor with indicator or coordinates; a two-point gauge sees no centres. Up and toward the thrust side are positive. Any straight line will do as datum.",
        },
        &mains, &axis,
    );
}

/// A grid of heights on the deck of each bank or on the face of each head.
pub(super) fn faces(catalogue: &mut Catalogue, document: &Document, which: &str) {
    let deck = which == "deck";
    let all = if deck { document.decks() } else { document.heads() };
    // Heads of the same number of cylinders share a table where the document says which they are: twelve tables find nobody.
    let stated = !deck && document.head.cylinders.is_some();
    let mut tables: Vec<Vec<&Face>> = Vec::new();
    for face in &all {
        let same = |table: &&mut Vec<&Face>| stated && table[0].cylinders.len() == face.cylinders.len();
        match tables.iter_mut().find(same) {
            Some(table) => table.push(face),
            None => tables.push(vec![face]),
        }
    }
    for (place, table) in tables.into_iter().enumerate() {
        face_table(catalogue, document, deck, &table, (place, all.len()));
    }
}

/// One table of heights; its place among them, and how many faces there are in all.
fn face_table(
    catalogue: &mut Catalogue,
    document: &Document,
    deck: bool,
    faces: &[&Face],
    (place, of): (usize, usize),
) {
    let family = if deck { "block.deck_face" } else { "head.face" };
    let rows: Vec<Row> = faces
        .iter()
        .flat_map(|face| {
            let (part, material) = if deck {
                ("block".to_owned(), document.block.material)
            } else {
                (format!("head.{}", face.name), document.head.material)
            };
            ["in", "mid", "out"].map(|side| {
                let words = document.side_of_face(side);
                let label = if of > 1 { format!("{} {words}", face.mark) } else { words.to_owned() };
                row(label, format!("{family}.{}.{side}", face.name), part.clone(), &face.name, material)
            })
        })
        .collect();
    let columns: Vec<Column> = (1..=faces[0].cylinders.len() + 1)
        .map(|n| column(&n.to_string(), &n.to_string(), family, D::Length, Some(0.0)).signed())
        .collect();
    let stated = !deck && document.head.cylinders.is_some();
    let (id, title) = match (deck, place) {
        (true, 0) if of > 1 => ("deck_face", "Deck face of bank A, height over a straight edge"),
        (true, 0) => ("deck_face", "Deck face, height over a straight edge"),
        (true, _) => ("deck_face_b", "Deck face of bank B, height over a straight edge"),
        (false, _) if stated => (
            // Twelve cylinders make heads of at most four sizes: 1 + 2 + 3 + 4.
            ["head_face", "head_face_b", "head_face_c", "head_face_d"][place.min(3)],
            if of > 1 {
                "Faces of the heads, height over a straight edge"
            } else {
                "Head face, height over a straight edge"
            },
        ),
        (false, 0) if of > 1 => ("head_face", "Head face of bank A, height over a straight edge"),
        (false, 0) => ("head_face", "Head face, height over a straight edge"),
        (false, _) => ("head_face_b", "Head face of bank B, height over a straight edge"),
    };
    catalogue.add(
        &Spec {
            id,
            sheet: if deck { Sheet::Casting } else { Sheet::Head },
            title,
            row_name: if deck { "deck" } else { "face" },
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::CoordinateMachine, K::FeelerGauge, K::DepthGauge],
            held: &[],
            decimals: 3,
            hint: if stated && faces[0].cylinders.len() == 1 {
                "In front of the cylinder (1) and behind it (2), on three lines. High is positive; any datum."
            } else {
                "Between the cylinders from front (1) to rear, on three lines. High is positive; any datum."
            },
        },
        &rows,
        &columns,
    );
}

pub(super) fn bores(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let material = document.block.bore_material();
    let rows: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("block.bore.{c}"), document.bore_part(*c), c, material))
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
                UnitSystem::Metric if document.block.is_of_separate_barrels() => "Across the crank (thrust) and along it, 10 mm below the top of the barrel, in the middle, and 10 mm above the skirt's lowest point. Two points see no three-lobed form.",
                UnitSystem::Inch if document.block.is_of_separate_barrels() => "Across the crank (thrust) and along it, 0.4 in below the top of the barrel, in the middle, and 0.4 in above the skirt's lowest point. Two points see no three-lobed form.",
                UnitSystem::Metric => "Across the crank (thrust) and along it, 10 mm below the deck, in the middle, and 10 mm above the skirt's lowest point. Two points see no three-lobed form.",
                UnitSystem::Inch => "Across the crank (thrust) and along it, 0.4 in below the deck, in the middle, and 0.4 in above the skirt's lowest point. Two points see no three-lobed form.",
            },
        },
        &rows, &columns,
    );
    let surface: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("block.bore_surface.{c}"), document.bore_part(*c), c, None))
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

/// Roughness of deck and head face of each bank, or of each barrel and head, for what seals between them.
pub(super) fn face_roughness(catalogue: &mut Catalogue, document: &Document) {
    let barrels = document.block.is_of_separate_barrels();
    let (decks, heads) = (document.decks(), document.heads());
    let of_deck = |face: &Face| {
        let words = if barrels { "barrel" } else { "deck" };
        let part = if barrels { format!("barrel.{}", face.name) } else { "block".to_owned() };
        let label = face_label(words, face, decks.len());
        row(label, format!("block.deck_roughness.{}", face.name), part, &face.name, None)
    };
    let of_head = |face: &Face| {
        let label = face_label("head", face, heads.len());
        row(
            label,
            format!("head.face_roughness.{}", face.name),
            format!("head.{}", face.name),
            &face.name,
            None,
        )
    };
    let rows: Vec<Row> = if decks.len() == heads.len() {
        decks.iter().zip(&heads).flat_map(|(deck, head)| [of_deck(deck), of_head(head)]).collect()
    } else {
        decks.iter().map(of_deck).chain(heads.iter().map(of_head)).collect()
    };
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
