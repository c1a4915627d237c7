//! Lash, springs, stems, seats, cams.

use super::{INSIDE, OUTSIDE, Row, Spec, column, nominal, row, si};
use crate::document::{Document, Held, InstrumentKind as K, LashAdjustment, Material};
use crate::features::{Catalogue, Sheet, bank_letter, bank_name, valve_names};
use crate::quantity::Dimension as D;

pub(super) fn valves(catalogue: &mut Catalogue, document: &Document) {
    let names = valve_names(document);
    let rows: Vec<Row> = names
        .iter()
        .map(|v| {
            row(
                v.label(),
                format!("head.{}", v.path()),
                format!("head.{}", document.head_of(v.cylinder)),
                v.path(),
                Some(Material::Steel),
            )
        })
        .collect();
    let shimmed = matches!(
        document.cams.lash_adjustment,
        Some(LashAdjustment::BucketShim | LashAdjustment::FingerShim)
    );
    catalogue.add(
        &Spec {
            id: "lash",
            sheet: Sheet::Valves,
            title: "Lash, cold",
            row_name: "valve",
            gauge: K::FeelerGauge,
            settles: &[K::FeelerGauge, K::DialIndicator],
            held: &[],
            decimals: 3,
            hint: "Cam lobe pointing away.",
        },
        &rows,
        &[column("lash", "lash", lash_family(document), D::Length, None)],
    );
    if shimmed {
        catalogue.add(
            &Spec {
                id: "shims",
                sheet: Sheet::Valves,
                title: "Lash shims in place",
                row_name: "valve",
                gauge: K::Micrometer,
                settles: OUTSIDE,
                held: &[],
                decimals: 3,
                hint: "Measure it: the printed number wears off and shims dish.",
            },
            &rows,
            &[column("shim", "shim", "valve.shim", D::Length, None)],
        );
    }
    springs(catalogue, document, &rows);
    stems_and_seats(catalogue, &rows);
    valve_room(catalogue, document, &rows);
}

/// Installed height, load and bind of the springs.
fn springs(catalogue: &mut Catalogue, document: &Document, rows: &[Row]) {
    catalogue.add(
        &Spec {
            id: "springs",
            sheet: Sheet::Valves,
            title: "Springs, installed height",
            row_name: "valve",
            gauge: K::DepthGauge,
            settles: &[K::DepthGauge, K::Micrometer, K::Caliper],
            held: &[],
            decimals: 2,
            hint: "From the spring's seat to its retainer, the valve on its seat.",
        },
        rows,
        &[column(
            "installed\nheight",
            "spring_installed",
            "valve.spring_installed",
            D::Length,
            si(document.springs.installed),
        )],
    );
    catalogue.add(
        &Spec {
            id: "spring_loads",
            sheet: Sheet::Valves,
            title: "Springs on the tester",
            row_name: "valve",
            gauge: K::SpringTester,
            settles: &[K::SpringTester],
            held: &[],
            decimals: 1,
            hint: "At the installed height of this valve; then down to the bind.",
        },
        rows,
        &[
            column(
                "load at\ninstalled",
                "seat_load",
                "valve.seat_load",
                D::Force,
                si(document.springs.seat_load),
            ),
            column("bind", "spring_bind", "valve.spring_bind", D::Length, si(document.springs.bind))
                .by(K::SpringTester, &[K::SpringTester, K::Caliper, K::DepthGauge]),
        ],
    );
}

/// Stems and guides by micrometer and bore gauge, seats by indicator and caliper.
fn stems_and_seats(catalogue: &mut Catalogue, rows: &[Row]) {
    catalogue.add(
        &Spec {
            id: "guides",
            sheet: Sheet::Valves,
            title: "Stems and guides",
            row_name: "valve",
            gauge: K::Micrometer,
            settles: OUTSIDE,
            held: &[],
            decimals: 3,
            hint: "Guide in the middle and both ends, write the largest.",
        },
        rows,
        &[
            column("stem", "stem", "valve.stem", D::Length, None),
            column("guide", "guide", "valve.guide", D::Length, None).by(K::BoreGauge, INSIDE),
        ],
    );
    catalogue.add(
        &Spec {
            id: "seats",
            sheet: Sheet::Valves,
            title: "Seats",
            row_name: "valve",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::CoordinateMachine],
            held: &[],
            decimals: 3,
            hint: "Run-out against the guide, total reading; width over the contact band.",
        },
        rows,
        &[
            column("width", "seat_width", "valve.seat_width", D::Length, None)
                .by(K::Caliper, &[K::Caliper, K::CoordinateMachine]),
            column("run-out", "seat_run_out", "valve.seat_run_out", D::Length, None),
        ],
    );
}

/// Over a pushrod the lash spans block and head: a skim of either moves it, and that of cams in the head it does not.
fn lash_family(document: &Document) -> &'static str {
    if document.has_pushrods() { "valve.pushrod_lash" } else { "valve.lash" }
}

/// Piston-to-valve, buckets, pushrods, cam journals.
fn valve_room(catalogue: &mut Catalogue, document: &Document, rows: &[Row]) {
    catalogue.add(
        &Spec {
            id: "valve_room",
            sheet: Sheet::Valves,
            title: "Piston to valve, cold",
            row_name: "valve",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::DepthGauge],
            held: &[],
            decimals: 2,
            hint: "Least over the whole overlap, gasket in, with light checking springs.",
        },
        rows,
        &[column("least", "to_piston", "valve.to_piston", D::Length, None)],
    );
    match document.cams.lash_adjustment {
        Some(LashAdjustment::BucketShim) => catalogue.add(
            &Spec {
                id: "buckets",
                sheet: Sheet::Valves,
                title: "Buckets and their bores",
                row_name: "valve",
                gauge: K::Micrometer,
                settles: OUTSIDE,
                held: &[],
                decimals: 3,
                hint: "Bucket across the middle of its skirt.",
            },
            rows,
            &[
                column("bucket", "bucket", "valve.bucket", D::Length, nominal(document.cams.bucket.as_ref())),
                column(
                    "bore",
                    "bucket_bore",
                    "valve.bucket_bore",
                    D::Length,
                    nominal(document.head.bucket_bore.as_ref()),
                )
                .by(K::BoreGauge, INSIDE)
                .cut_in(document.head.material),
            ],
        ),
        Some(LashAdjustment::RockerScrew) => catalogue.add(
            &Spec {
                id: "pushrods",
                sheet: Sheet::Valves,
                title: "Pushrods",
                row_name: "valve",
                gauge: K::Caliper,
                settles: &[K::Caliper, K::HeightGauge, K::Micrometer],
                held: &[],
                decimals: 2,
                hint: "Over both ends.",
            },
            // A rod of its own, with its own temperature: no part of the head.
            &rows
                .iter()
                .map(|r| Row { part: format!("pushrod.{}", r.instance), ..r.clone() })
                .collect::<Vec<Row>>(),
            &[column("length", "pushrod", "valve.pushrod", D::Length, si(document.cams.pushrod))],
        ),
        _ => {}
    }
    cam_journals(catalogue, document);
}

fn cam_journals(catalogue: &mut Catalogue, document: &Document) {
    let Some(count) = document.cams.bearings else { return };
    let in_block = document.cams.lash_adjustment == Some(LashAdjustment::RockerScrew);
    // One shaft in the block under pushrods, in the crankcase where there is no block of one casting.
    let carrier = if in_block { document.block.material } else { document.head.material };
    let cams: Vec<Row> = shafts(document, in_block)
        .into_iter()
        .flat_map(|(label, name)| {
            (1..=count.min(MOST_CAM_BEARINGS)).map(move |n| {
                row(
                    format!("{label} {n}"),
                    format!("cam.{name}.{n}"),
                    "cams",
                    format!("{name}.{n}"),
                    Some(Material::Steel),
                )
            })
        })
        .collect();
    catalogue.add(
        &Spec {
            id: "cam_journals",
            sheet: Sheet::Valves,
            title: "Camshaft journals and bores",
            row_name: "cam journal",
            gauge: K::Micrometer,
            settles: OUTSIDE,
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Caps on.",
        },
        &cams,
        &[
            column("journal", "journal", "cam.journal", D::Length, nominal(document.cams.journal.as_ref())),
            column("bore", "bore", "cam.bore", D::Length, nominal(document.head.cam_bore.as_ref()))
                .by(K::BoreGauge, INSIDE)
                .cut_in(carrier),
        ],
    );
}

/// Bearings of one camshaft that a sheet has rows for.
const MOST_CAM_BEARINGS: u32 = 14;

/// The camshafts: as a person names them and as in paths. Over pushrods there is one; else an intake and an exhaust shaft on each bank.
/// The paths of the first bank are those of an engine that has no other.
fn shafts(document: &Document, in_block: bool) -> Vec<(String, String)> {
    if in_block {
        return vec![("cam".to_owned(), "cam".to_owned())];
    }
    let banks = document.banks().len();
    let on_bank = |bank: usize| {
        ["intake", "exhaust"].map(|side| match (banks, bank) {
            (..=1, _) => (side.to_owned(), side.to_owned()),
            (_, 0) => (format!("A {side}"), side.to_owned()),
            _ => (format!("{} {side}", bank_letter(bank)), format!("{side}_{}", bank_name(bank))),
        })
    };
    (0..banks.max(1)).flat_map(on_bank).collect()
}
