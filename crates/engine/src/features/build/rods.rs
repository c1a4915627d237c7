//! Rods.

use super::{INSIDE, OUTSIDE, Row, Spec, TO_AXIS, column, nominal, row, si};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, Sheet};
use crate::quantity::Dimension as D;

pub(super) fn rods(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let steel = document.rods.material;
    let rows = |material| -> Vec<Row> {
        cylinders
            .iter()
            .map(|c| row(c.to_string(), format!("rod.{c}"), format!("rod.{c}"), c, material))
            .collect()
    };
    let big_end = nominal(document.rods.big_end.as_ref());
    catalogue.add(
        &Spec {
            id: "rods", sheet: Sheet::Rods, title: "Rods", row_name: "rod", gauge: K::BoreGauge, settles: INSIDE,
            held: &[Held::CapsTorqued], decimals: 3, hint: "Big end without shells, bolts at their stretch: at 90° to the split and 60° to either side (left and right as seen from the numbered side).",
        },
        &rows(steel),
        &[
            column("big end\n90°", "big_end.vertical", "rod.big_end", D::Length, big_end),
            column("big end\nleft", "big_end.left", "rod.big_end", D::Length, big_end),
            column("big end\nright", "big_end.right", "rod.big_end", D::Length, big_end),
            column("small end", "small_end", "rod.small_end", D::Length, nominal(document.rods.small_end.as_ref())),
            column("centre\ndistance", "length", "rod.length", D::Length, si(document.rods.length)).by(K::HeightGauge, TO_AXIS),
        ],
    );
    catalogue.add(
        &Spec {
            id: "rod_masses",
            sheet: Sheet::Rods,
            title: "Rod masses",
            row_name: "rod",
            gauge: K::Balance,
            settles: &[K::Balance],
            held: &[],
            decimals: 1,
            hint: "Small end hung level on the second pan; big end with its bolts.",
        },
        &rows(None),
        &[
            column(
                "small end",
                "small_end_mass",
                "rod.small_end_mass",
                D::Mass,
                si(document.rods.small_end_mass),
            ),
            column("big end", "big_end_mass", "rod.big_end_mass", D::Mass, si(document.rods.big_end_mass)),
        ],
    );
    catalogue.add(
        &Spec {
            id: "rod_side",
            sheet: Sheet::Rods,
            title: "Rod side clearance",
            row_name: "rod",
            gauge: K::FeelerGauge,
            settles: &[K::FeelerGauge, K::DialIndicator],
            held: &[Held::ShellsIn],
            decimals: 3,
            hint: "Assembled on the crank pin; both rods together where two share a pin.",
        },
        &rows(None),
        &[column("side clearance", "side_clearance", "rod.side_clearance", D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: "rod_bolts",
            sheet: Sheet::Rods,
            title: "Rod bolt stretch",
            row_name: "rod",
            gauge: K::Micrometer,
            settles: OUTSIDE,
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Free length against tightened length, against the bolt maker's figure.",
        },
        &rows(None),
        &["1", "2"].map(|n| {
            column(
                &format!("bolt {n}"),
                &format!("bolt_stretch.{n}"),
                "rod.bolt_stretch",
                D::Length,
                nominal(document.rods.bolt_stretch.as_ref()),
            )
        }),
    );
}
