//! Pistons, pins, rings.

use super::{INSIDE, OUTSIDE, Row, Spec, TO_AXIS, column, row, si};
use crate::document::{Document, InstrumentKind as K, Material};
use crate::features::{Catalogue, Sheet};
use crate::quantity::Dimension as D;

pub(super) fn pistons(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let alloy = document.pistons.material;
    let rows: Vec<Row> = cylinders
        .iter()
        .map(|n| row(n.to_string(), format!("piston.{n}"), format!("piston.{n}"), n, alloy))
        .collect();
    let pin = si(document.pins.diameter);
    catalogue.add(
        &Spec {
            id: "pistons",
            sheet: Sheet::Pistons,
            title: "Pistons",
            row_name: "piston",
            gauge: K::Micrometer,
            settles: OUTSIDE,
            held: &[],
            decimals: 3,
            hint: "Skirt at the maker's gauge point, at right angles to the pin.",
        },
        &rows,
        &[
            column(
                "skirt\nat gauge point",
                "gauge",
                "piston.gauge",
                D::Length,
                si(document.pistons.gauge_diameter),
            ),
            column("pin bore", "pin_bore", "piston.pin_bore", D::Length, pin).by(K::BoreGauge, INSIDE),
            column(
                "compression\nheight",
                "compression_height",
                "piston.compression_height",
                D::Length,
                si(document.pistons.compression_height),
            )
            .by(K::HeightGauge, TO_AXIS),
        ],
    );
    let scale = |id, title, row_name| Spec {
        id,
        sheet: Sheet::Pistons,
        title,
        row_name,
        gauge: K::Balance,
        settles: &[K::Balance],
        held: &[],
        decimals: 1,
        hint: "Clean and dry, without rings and locks.",
    };
    catalogue.add(
        &scale("piston_masses", "Piston masses", "piston"),
        &rows,
        &[column("mass", "mass", "piston.mass", D::Mass, si(document.pistons.mass))],
    );
    let pins: Vec<Row> = cylinders
        .iter()
        .map(|n| row(n.to_string(), format!("pin.{n}"), format!("pin.{n}"), n, Some(Material::Steel)))
        .collect();
    catalogue.add(
        &Spec {
            id: "piston_pins",
            sheet: Sheet::Pistons,
            title: "Piston pins",
            row_name: "piston pin",
            gauge: K::Micrometer,
            settles: OUTSIDE,
            held: &[],
            decimals: 4,
            hint: "Both ends and the middle; write the mean.",
        },
        &pins,
        &[column("diameter", "diameter", "pin.diameter", D::Length, pin)],
    );
    catalogue.add(
        &scale("pin_masses", "Piston pin masses", "piston pin"),
        &pins,
        &[column("mass", "mass", "pin.mass", D::Mass, si(document.pins.mass))],
    );
    rings(catalogue, document, cylinders);
}

/// End gaps and side clearances of the rings.
fn rings(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let rings: Vec<Row> = cylinders
        .iter()
        .map(|c| row(c.to_string(), format!("ring.{c}"), format!("ring.{c}"), c, None))
        .collect();
    let mut gaps = vec![
        column("top", "top.gap", "ring.top.gap", D::Length, None),
        column("second", "second.gap", "ring.second.gap", D::Length, None),
    ];
    if document.rings.rails == Some(true) {
        gaps.push(column("upper rail", "upper_rail.gap", "ring.rail.gap", D::Length, None));
        gaps.push(column("lower rail", "lower_rail.gap", "ring.rail.gap", D::Length, None));
    }
    catalogue.add(
        &Spec {
            id: "ring_gaps",
            sheet: Sheet::Pistons,
            title: "Ring end gaps",
            row_name: "cylinder",
            gauge: K::FeelerGauge,
            settles: &[K::FeelerGauge],
            held: &[],
            decimals: 3,
            hint: "In the finished bore of this cylinder, pushed square with a piston to the stated depth.",
        },
        &rings,
        &gaps,
    );
    catalogue.add(
        &Spec {
            id: "ring_sides",
            sheet: Sheet::Pistons,
            title: "Ring side clearance",
            row_name: "cylinder",
            gauge: K::FeelerGauge,
            settles: &[K::FeelerGauge],
            held: &[],
            decimals: 3,
            hint: "Clean groove, all the way round.",
        },
        &rings,
        &[
            column("top", "top.side_clearance", "ring.side_clearance", D::Length, None),
            column("second", "second.side_clearance", "ring.side_clearance", D::Length, None),
        ],
    );
}
