//! Housings, shells, fitted bores.

use super::{INSIDE, OUTSIDE, Row, Spec, column, nominal, row};
use crate::document::{Document, Held, InstrumentKind as K, Material};
use crate::features::{Catalogue, Sheet};
use crate::quantity::Dimension as D;

pub(super) fn bearings(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let iron = document.block.material;
    let housing = nominal(document.block.main_housing.as_ref());
    let mains: Vec<u32> = (1..=document.main_count()).collect();
    let rows: Vec<Row> = mains
        .iter()
        .map(|m| row(m.to_string(), format!("block.main_housing.{m}"), "block", m, iron))
        .collect();
    catalogue.add(
        &Spec {
            id: "main_housings",
            sheet: Sheet::Bearings,
            title: "Main housings, no shells",
            row_name: "main",
            gauge: K::BoreGauge,
            settles: INSIDE,
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Caps torqued in the maker's steps; vertical at 90° to the split.",
        },
        &rows,
        &["vertical", "across"].map(|d| column(d, d, "block.main_housing", D::Length, housing)),
    );
    shells(
        catalogue,
        "main",
        &mains.iter().map(|m| (m.to_string(), format!("{m}"))).collect::<Vec<_>>(),
        document,
    );
    let rods: Vec<(String, String)> = cylinders.iter().map(|c| (c.to_string(), c.to_string())).collect();
    shells(catalogue, "rod", &rods, document);
}

/// Shell walls and the bore of the fitted shells.
fn shells(catalogue: &mut Catalogue, which: &'static str, places: &[(String, String)], document: &Document) {
    let main = which == "main";
    let steel = Some(Material::Steel);
    let stem = |name: &str| if main { format!("main_shell.{name}") } else { format!("rod_shell.{name}") };
    let rows: Vec<Row> = places.iter().map(|(l, n)| row(l.clone(), stem(n), stem(n), n, steel)).collect();
    let family = if main { "main_shell" } else { "rod_shell" };
    catalogue.add(
        &Spec {
            id: if main { "main_shells" } else { "rod_shells" }, sheet: Sheet::Bearings,
            title: if main { "Main shells, wall at the crown" } else { "Rod shells, wall at the crown" },
            row_name: if main { "main" } else { "rod" }, gauge: K::Micrometer, settles: OUTSIDE, held: &[], decimals: 4,
            hint: "Ball-ended micrometer, at the crown. Leave empty when the grade in the box is all you have.",
        },
        &rows, &["upper", "lower"].map(|h| column(h, h, family, D::Length, None)),
    );
    let bearing =
        |name: &str| if main { format!("main_bearing.{name}") } else { format!("rod_bearing.{name}") };
    // The bore of fitted shells grows with what holds them; the thin walls in it change it little.
    let housing = if main { document.block.material } else { document.rods.material };
    let fitted: Vec<Row> =
        places.iter().map(|(l, n)| row(l.clone(), bearing(n), bearing(n), n, housing)).collect();
    catalogue.add(
        &Spec {
            id: if main { "main_fitted" } else { "rod_fitted" }, sheet: Sheet::Bearings,
            title: if main { "Main bearings, bore of the fitted shells" } else { "Rod bearings, bore of the fitted shells" },
            row_name: if main { "main" } else { "rod" }, gauge: K::BoreGauge, settles: INSIDE,
            held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Shells in, bolts torqued, at 90° to the split; zero the gauge on the journal's own micrometer setting.",
        },
        &fitted, &[column("bore", "fitted_bore", if main { "main_bearing.fitted_bore" } else { "rod_bearing.fitted_bore" }, D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: if main { "main_strips" } else { "rod_strips" }, sheet: Sheet::Bearings,
            title: if main { "Main bearings, clearance by plastic strip" } else { "Rod bearings, clearance by plastic strip" },
            row_name: if main { "main" } else { "rod" }, gauge: K::PlasticStrip, settles: &[K::PlasticStrip],
            held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Optional: a dry journal, the strip along it, bolts torqued and not turned. A cross-check of the gauges; mind the unit printed on that edge of the card.",
        },
        &fitted, &[column("clearance", "clearance", if main { "main_bearing.clearance" } else { "rod_bearing.clearance" }, D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: if main { "main_crush" } else { "rod_crush" },
            sheet: Sheet::Bearings,
            title: if main { "Main shells, crush height" } else { "Rod shells, crush height" },
            row_name: if main { "main" } else { "rod" },
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::FeelerGauge, K::DepthGauge],
            held: &[],
            decimals: 3,
            hint: "Optional: what a pair stands above the split, one bolt tight and the other loose by hand, by the shell maker's method.",
        },
        &rows,
        &[column("crush", "crush", if main { "main_shell.crush" } else { "rod_shell.crush" }, D::Length, None)],
    );
}
