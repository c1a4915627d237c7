//! Builds the catalogue: the tables in the order in which a hand measures.

use super::names::{bank_name, valve_names};
use super::{Catalogue, Feature, HEIGHTS, Sheet, Table, WALL_DIRECTIONS};
use crate::document::{Arrangement, Document, Held, InstrumentKind as K, LashAdjustment, Material, Target};
use crate::quantity::{Dimension as D, Quantity};

/// What all cells of a column share.
struct Column {
    label: String,
    /// Ending of the path after the row's stem.
    ending: String,
    family: &'static str,
    dimension: D,
    nominal: Option<f64>,
    signed: bool,
}

/// A row: label, path stem, part, instance.
struct Row {
    label: String,
    stem: String,
    part: String,
    instance: String,
    material: Option<Material>,
}

struct Spec {
    id: &'static str,
    sheet: Sheet,
    title: &'static str,
    row_name: &'static str,
    gauge: K,
    settles: &'static [K],
    held: &'static [Held],
    decimals: usize,
    hint: &'static str,
}

fn column(label: &str, ending: &str, family: &'static str, dimension: D, nominal: Option<f64>) -> Column {
    Column { label: label.into(), ending: ending.into(), family, dimension, nominal, signed: false }
}

fn row(
    label: impl Into<String>,
    stem: impl Into<String>,
    part: impl Into<String>,
    instance: impl ToString,
    material: Option<Material>,
) -> Row {
    Row {
        label: label.into(),
        stem: stem.into(),
        part: part.into(),
        instance: instance.to_string(),
        material,
    }
}

fn si<Q: Quantity>(quantity: Option<Q>) -> Option<f64> {
    quantity.map(Quantity::si)
}

fn nominal(target: Option<&Target>) -> Option<f64> {
    let target = target?;
    let middle = target.min.zip(target.max).map(|(a, b)| f64::midpoint(a.0, b.0));
    si(target.nominal).or(middle)
}

impl Catalogue {
    fn add(&mut self, spec: &Spec, rows: &[Row], columns: &[Column]) {
        if rows.is_empty() || columns.is_empty() {
            return;
        }
        let table = self.tables.len();
        let mut cells = Vec::new();
        for (r, row) in rows.iter().enumerate() {
            let mut line = Vec::new();
            for (c, column) in columns.iter().enumerate() {
                line.push(Some(self.features.len()));
                let path = if column.ending.is_empty() {
                    row.stem.clone()
                } else {
                    format!("{}.{}", row.stem, column.ending)
                };
                self.index.insert(path.clone(), self.features.len());
                self.features.push(Feature {
                    label: feature_label(spec, row, column),
                    path,
                    part: row.part.clone(),
                    family: column.family,
                    instance: row.instance.clone(),
                    dimension: column.dimension,
                    material: row.material,
                    nominal: column.nominal,
                    signed: column.signed,
                    table,
                    row: r,
                    column: c,
                });
            }
            cells.push(line);
        }
        self.tables.push(Table {
            id: spec.id,
            sheet: spec.sheet,
            title: spec.title.into(),
            row_name: spec.row_name,
            rows: rows.iter().map(|r| r.label.clone()).collect(),
            columns: columns.iter().map(|c| c.label.clone()).collect(),
            cells,
            gauge: spec.gauge,
            settles: spec.settles.to_vec(),
            held: spec.held.to_vec(),
            decimals: spec.decimals,
            hint: spec.hint,
        });
    }
}

fn feature_label(spec: &Spec, row: &Row, column: &Column) -> String {
    let row_words = format!("{} {}", spec.row_name, row.label);
    if column.label.is_empty() {
        row_words
    } else {
        format!("{row_words}, {}", column.label.replace('\n', " "))
    }
}

pub(super) fn catalogue(document: &Document) -> Catalogue {
    let mut catalogue = Catalogue::default();
    let cylinders: Vec<u32> = (1..=document.layout.cylinders.unwrap_or(0).min(12)).collect();
    if cylinders.is_empty() {
        return catalogue;
    }
    casting(&mut catalogue, document, &cylinders);
    bores(&mut catalogue, document, &cylinders);
    crank(&mut catalogue, document);
    bearings(&mut catalogue, document, &cylinders);
    rods(&mut catalogue, document, &cylinders);
    pistons(&mut catalogue, document, &cylinders);
    head(&mut catalogue, document, &cylinders);
    valves(&mut catalogue, document);
    catalogue
}

const TWO_POINT: &[K] = &[K::Micrometer, K::BoreGauge, K::CoordinateMachine, K::Caliper];

fn casting(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
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
            settles: &[K::UltrasonicGauge, K::CoordinateMachine], held: &[], decimals: 2,
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
    let mut axis = [
        column("up", "up", "block.main_axis", D::Length, Some(0.0)),
        column("aside", "aside", "block.main_axis", D::Length, Some(0.0)),
    ];
    axis.iter_mut().for_each(|c| c.signed = true);
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
fn faces(catalogue: &mut Catalogue, document: &Document, which: &str) {
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
                let label = if banks.len() > 1 { format!("{name} {side}") } else { (*side).to_owned() };
                row(label, format!("{family}.{name}.{side}"), part.clone(), &instance, material)
            })
            .collect();
        let columns: Vec<Column> = (1..=cylinders.len() + 1)
            .map(|n| {
                let mut c = column(&n.to_string(), &n.to_string(), family, D::Length, Some(0.0));
                c.signed = true;
                c
            })
            .collect();
        let (id, title) = match (deck, bank) {
            (true, 0) => ("deck_face", "Deck face, height over a straight edge"),
            (true, _) => ("deck_face_b", "Deck face of bank b, height over a straight edge"),
            (false, 0) => ("head_face", "Head face, height over a straight edge"),
            (false, _) => ("head_face_b", "Head face of bank b, height over a straight edge"),
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

fn bores(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let material = document.block.material;
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
            id: "bores", sheet: Sheet::Bores, title: "Bores", row_name: "bore", gauge: K::BoreGauge, settles: TWO_POINT, held, decimals: 3,
            hint: "Across the crank (thrust) and along it, 10 mm below the deck, in the middle, and 10 mm above the skirt's lowest point. Two points see no three-lobed form.",
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
            D::Length,
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
            decimals: 4,
            hint: "After the last hone, washed. ISO 21920-2.",
        },
        &surface,
        &columns,
    );
}

fn crank(catalogue: &mut Catalogue, document: &Document) {
    let steel = document.crank.material;
    let ends: Vec<(String, String)> = ["front", "rear"]
        .iter()
        .flat_map(|e| ["vertical", "across"].map(|d| (format!("{e}\n{d}"), format!("{e}.{d}"))))
        .collect();
    let journal = |family: &'static str, size: Option<f64>| -> Vec<Column> {
        ends.iter().map(|(label, ending)| column(label, ending, family, D::Length, size)).collect()
    };
    let mains: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("crank.main.{m}"), "crank", m, steel))
        .collect();
    let spec = |id, title, row_name| Spec {
        id,
        sheet: Sheet::Crank,
        title,
        row_name,
        gauge: K::Micrometer,
        settles: TWO_POINT,
        held: &[],
        decimals: 3,
        hint: "Near both fillets, clear of the oil hole, in two directions.",
    };
    catalogue.add(
        &spec("mains", "Main journals", "main"),
        &mains,
        &journal("crank.main", nominal(document.crank.main_journal.as_ref())),
    );
    let pins: Vec<Row> = (1..=document.throw_count())
        .map(|p| row(p.to_string(), format!("crank.pin.{p}"), "crank", p, steel))
        .collect();
    catalogue.add(
        &spec("pins", "Crank pins", "pin"),
        &pins,
        &journal("crank.pin", nominal(document.crank.pin_journal.as_ref())),
    );
    let run_out: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("crank.run_out.{m}"), "crank", m, None))
        .collect();
    catalogue.add(
        &Spec {
            id: "run_out",
            sheet: Sheet::Crank,
            title: "Run-out of the mains",
            row_name: "main",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::CoordinateMachine],
            held: &[],
            decimals: 3,
            hint: "Total reading, crank on the end mains.",
        },
        &run_out,
        &[column("total", "", "crank.run_out", D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: "end_float",
            sheet: Sheet::Crank,
            title: "End float",
            row_name: "crank",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::FeelerGauge],
            held: &[Held::CapsTorqued],
            decimals: 2,
            hint: "Pry gently both ways, thrust shells in.",
        },
        &[row("at the thrust bearing", "crank.end_float", "crank", "1", None)],
        &[column("float", "", "crank.end_float", D::Length, None)],
    );
}

fn bearings(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
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
            settles: TWO_POINT,
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
fn shells(catalogue: &mut Catalogue, which: &'static str, places: &[(String, String)], _document: &Document) {
    let main = which == "main";
    let steel = Some(Material::Steel);
    let stem = |name: &str| if main { format!("main_shell.{name}") } else { format!("rod_shell.{name}") };
    let rows: Vec<Row> = places.iter().map(|(l, n)| row(l.clone(), stem(n), stem(n), n, steel)).collect();
    let family = if main { "main_shell" } else { "rod_shell" };
    catalogue.add(
        &Spec {
            id: if main { "main_shells" } else { "rod_shells" }, sheet: Sheet::Bearings,
            title: if main { "Main shells, wall at the crown" } else { "Rod shells, wall at the crown" },
            row_name: if main { "main" } else { "rod" }, gauge: K::Micrometer, settles: TWO_POINT, held: &[], decimals: 4,
            hint: "Ball-ended micrometer, at the crown. Leave empty when the grade in the box is all you have.",
        },
        &rows, &["upper", "lower"].map(|h| column(h, h, family, D::Length, None)),
    );
    let bearing =
        |name: &str| if main { format!("main_bearing.{name}") } else { format!("rod_bearing.{name}") };
    let fitted: Vec<Row> =
        places.iter().map(|(l, n)| row(l.clone(), bearing(n), bearing(n), n, steel)).collect();
    catalogue.add(
        &Spec {
            id: if main { "main_fitted" } else { "rod_fitted" }, sheet: Sheet::Bearings,
            title: if main { "Main bearings, bore of the fitted shells" } else { "Rod bearings, bore of the fitted shells" },
            row_name: if main { "main" } else { "rod" }, gauge: K::BoreGauge, settles: TWO_POINT,
            held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Shells in, bolts torqued, at 90° to the split; zero the gauge on the journal's own micrometer setting.",
        },
        &fitted, &[column("bore", "fitted_bore", if main { "main_bearing.fitted_bore" } else { "rod_bearing.fitted_bore" }, D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: if main { "main_strips" } else { "rod_strips" }, sheet: Sheet::Bearings,
            title: if main { "Main bearings, clearance by plastic strip" } else { "Rod bearings, clearance by plastic strip" },
            row_name: if main { "main" } else { "rod" }, gauge: K::Other, settles: &[K::Other],
            held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Optional: a dry journal, the strip along it, bolts torqued and not turned. A cross-check of the gauges; mind the unit printed on that edge of the card.",
        },
        &fitted, &[column("clearance", "clearance", if main { "main_bearing.clearance" } else { "rod_bearing.clearance" }, D::Length, None)],
    );
}

fn rods(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
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
            id: "rods", sheet: Sheet::Rods, title: "Rods", row_name: "rod", gauge: K::BoreGauge, settles: TWO_POINT,
            held: &[Held::CapsTorqued], decimals: 3, hint: "Big end without shells, bolts at their stretch: at 90° to the split and 60° to either side.",
        },
        &rows(steel),
        &[
            column("big end\n90°", "big_end.vertical", "rod.big_end", D::Length, big_end),
            column("big end\nleft", "big_end.left", "rod.big_end", D::Length, big_end),
            column("big end\nright", "big_end.right", "rod.big_end", D::Length, big_end),
            column("small end", "small_end", "rod.small_end", D::Length, nominal(document.rods.small_end.as_ref())),
            column("centre\ndistance", "length", "rod.length", D::Length, si(document.rods.length)),
        ],
    );
    catalogue.add(
        &Spec {
            id: "rod_masses",
            sheet: Sheet::Rods,
            title: "Rod masses",
            row_name: "rod",
            gauge: K::Scale,
            settles: &[K::Scale],
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
        &[column("clearance", "side_clearance", "rod.side_clearance", D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: "rod_bolts", sheet: Sheet::Rods, title: "Rod bolt stretch", row_name: "rod", gauge: K::Micrometer,
            settles: TWO_POINT, held: &[Held::CapsTorqued], decimals: 3,
            hint: "Free length against tightened length. Bolts near yield: use the bolt maker's figure, never re-use one that stays long.",
        },
        &rows(None),
        &["1", "2"].map(|n| column(&format!("bolt {n}"), &format!("bolt_stretch.{n}"), "rod.bolt_stretch", D::Length, nominal(document.rods.bolt_stretch.as_ref()))),
    );
}

fn pistons(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
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
            settles: TWO_POINT,
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
            column("pin bore", "pin_bore", "piston.pin_bore", D::Length, pin),
            column(
                "compression\nheight",
                "compression_height",
                "piston.compression_height",
                D::Length,
                si(document.pistons.compression_height),
            ),
        ],
    );
    let scale = |id, title, row_name| Spec {
        id,
        sheet: Sheet::Pistons,
        title,
        row_name,
        gauge: K::Scale,
        settles: &[K::Scale],
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
            settles: TWO_POINT,
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

fn head(catalogue: &mut Catalogue, document: &Document, cylinders: &[u32]) {
    let banks = document.banks();
    let iron = document.block.material;
    let decks: Vec<Row> = (0..banks.len())
        .map(|b| {
            row(bank_name(b), format!("block.deck_height.{}", bank_name(b)), "block", bank_name(b), iron)
        })
        .collect();
    let corners: Vec<Column> = ["front", "rear"]
        .iter()
        .flat_map(|e| {
            ["in", "out"].map(|s| {
                column(
                    &format!("{e}\n{s}"),
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
    let mut below = ["front", "rear"].map(|e| column(e, e, "cylinder.below_deck", D::Length, None));
    below.iter_mut().for_each(|c| c.signed = true);
    catalogue.add(
        &Spec {
            id: "below_deck", sheet: Sheet::Head, title: "Piston below the deck at top dead centre", row_name: "cylinder", gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::DepthGauge], held: &[Held::CapsTorqued, Held::ShellsIn], decimals: 3,
            hint: "Over the pin line, front and rear, the mean of both when it rocks. Above the deck is negative.",
        },
        &tops, &below,
    );
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
        .map(|b| row(bank_name(b), format!("gasket.{}", bank_name(b)), "gasket", bank_name(b), None))
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
                bank_name(b),
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
    faces(catalogue, document, "head");
}

fn valves(catalogue: &mut Catalogue, document: &Document) {
    let names = valve_names(document);
    let rows: Vec<Row> = names
        .iter()
        .map(|v| {
            row(
                v.label(),
                format!("head.{}", v.path()),
                format!("head.{}", bank_name(document.bank_of(v.cylinder))),
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
        &[column("lash", "lash", "valve.lash", D::Length, None)],
    );
    if shimmed {
        catalogue.add(
            &Spec {
                id: "shims",
                sheet: Sheet::Valves,
                title: "Lash shims in place",
                row_name: "valve",
                gauge: K::Micrometer,
                settles: TWO_POINT,
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
    let guard = "A compressed spring holds enough energy to put out an eye: guard it, wear goggles, use the maker's tool.";
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
            hint: guard,
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
            hint: guard,
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
            column("bind", "spring_bind", "valve.spring_bind", D::Length, si(document.springs.bind)),
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
            settles: TWO_POINT,
            held: &[],
            decimals: 3,
            hint: "Guide in the middle and both ends, write the largest.",
        },
        rows,
        &[
            column("stem", "stem", "valve.stem", D::Length, None),
            column("guide", "guide", "valve.guide", D::Length, None),
        ],
    );
    catalogue.add(
        &Spec {
            id: "seats",
            sheet: Sheet::Valves,
            title: "Seats",
            row_name: "valve",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::Caliper, K::CoordinateMachine],
            held: &[],
            decimals: 3,
            hint: "Run-out against the guide, total reading; width over the contact band.",
        },
        rows,
        &[
            column("width", "seat_width", "valve.seat_width", D::Length, None),
            column("run-out", "seat_run_out", "valve.seat_run_out", D::Length, None),
        ],
    );
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
                settles: TWO_POINT,
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
                ),
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
            rows,
            &[column("length", "pushrod", "valve.pushrod", D::Length, si(document.cams.pushrod))],
        ),
        _ => {}
    }
    let Some(count) = document.cams.bearings else { return };
    let shafts: &[&str] = if document.cams.lash_adjustment == Some(LashAdjustment::RockerScrew)
        || document.layout.arrangement == Some(Arrangement::Flat)
    {
        &["cam"]
    } else {
        &["intake", "exhaust"]
    };
    let cams: Vec<Row> = shafts
        .iter()
        .flat_map(|s| {
            (1..=count.min(12)).map(move |n| {
                row(
                    format!("{s} {n}"),
                    format!("cam.{s}.{n}"),
                    "cams",
                    format!("{s}.{n}"),
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
            settles: TWO_POINT,
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Caps on.",
        },
        &cams,
        &[
            column("journal", "journal", "cam.journal", D::Length, nominal(document.cams.journal.as_ref())),
            column("bore", "bore", "cam.bore", D::Length, nominal(document.head.cam_bore.as_ref())),
        ],
    );
}
