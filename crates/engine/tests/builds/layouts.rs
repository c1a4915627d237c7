//! Five layouts, invented: each becomes a document with sizes, limits and gauges. They differ in units, in the gauges' steps, in
//! whether walls and gasket are read or taken from the box, in material and in the rule for bores.

use engine::document::{Document, parse_document};
use std::f64::consts::PI;
use std::fmt::Write as _;

/// One layout; lengths in mm.
#[allow(clippy::struct_excessive_bools)] // A shop does or does not read each of these.
pub struct Shape {
    pub name: &'static str,
    layout: &'static str,
    pub cylinders: u32,
    intake_valves: u32,
    pub inch: bool,
    pub bore: f64,
    stroke: f64,
    pub main: f64,
    pub pin: f64,
    /// Pushrods and screws instead of buckets and shims.
    pub pushrods: bool,
    /// Shell walls are read; else the grade in the box is all there is.
    pub reads_walls: bool,
    /// The gasket is read; else its nominal with its spread.
    pub reads_gasket: bool,
    /// The bore of the fitted rod shells is read.
    pub reads_fitted: bool,
    /// Bores are judged between two firms.
    guard_band: bool,
    block: &'static str,
}

#[rustfmt::skip]
pub const SHAPES: [Shape; 5] = [
    Shape {
        name: "I4, 16 valves, buckets", layout: "arrangement = \"inline\"\ncylinders = 4\nfiring_order = [1, 3, 4, 2]", cylinders: 4, intake_valves: 2, inch: false,
        bore: 86.0, stroke: 86.0, main: 55.0, pin: 48.0, pushrods: false, reads_walls: true, reads_gasket: true, reads_fitted: true, guard_band: true, block: "grey_iron",
    },
    Shape {
        name: "I6, 24 valves, buckets", layout: "arrangement = \"inline\"\ncylinders = 6\nfiring_order = [1, 5, 3, 6, 2, 4]", cylinders: 6, intake_valves: 2, inch: false,
        bore: 84.0, stroke: 89.6, main: 60.0, pin: 50.0, pushrods: false, reads_walls: false, reads_gasket: true, reads_fitted: true, guard_band: false, block: "grey_iron",
    },
    Shape {
        name: "V6, 24 valves, buckets", layout: "arrangement = \"vee\"\ncylinders = 6\nbank_angle = \"60 deg\"\nfiring_order = [1, 2, 3, 4, 5, 6]\nthrow_of_cylinder = [1, 2, 3, 4, 5, 6]\nmain_bearings = 4", cylinders: 6, intake_valves: 2, inch: false,
        bore: 88.0, stroke: 82.0, main: 62.0, pin: 52.0, pushrods: false, reads_walls: true, reads_gasket: false, reads_fitted: false, guard_band: false, block: "aluminium_casting",
    },
    Shape {
        name: "V8, pushrods, inches", layout: "arrangement = \"vee\"\ncylinders = 8\nbank_angle = \"90 deg\"\nbanks = [[1, 2, 3, 4], [5, 6, 7, 8]]\nfiring_order = [1, 3, 6, 2, 7, 8, 4, 5]\nthrows = [\"0 deg\", \"90 deg\", \"270 deg\", \"180 deg\"]\nthrow_of_cylinder = [1, 2, 3, 4, 1, 2, 3, 4]\nmain_bearings = 5", cylinders: 8, intake_valves: 1, inch: true,
        bore: 101.6, stroke: 88.4, main: 63.5, pin: 53.34, pushrods: true, reads_walls: false, reads_gasket: true, reads_fitted: false, guard_band: true, block: "grey_iron",
    },
    Shape {
        name: "flat 4, 16 valves", layout: "arrangement = \"flat\"\ncylinders = 4\nfiring_order = [1, 3, 2, 4]\nmain_bearings = 5", cylinders: 4, intake_valves: 2, inch: false,
        bore: 92.0, stroke: 75.0, main: 60.0, pin: 52.0, pushrods: false, reads_walls: true, reads_gasket: true, reads_fitted: true, guard_band: false, block: "aluminium_casting",
    },
];

/// Walls of the three shell grades on offer and their spread, mm.
pub const MAIN_WALL: f64 = 1.986;
pub const ROD_WALL: f64 = 1.4865;
pub const GRADE_STEP: f64 = 0.006;
pub const GRADE_SPREAD: f64 = 0.0006;
/// Compressed gasket and its spread, mm.
pub const GASKET: f64 = 1.0;
pub const GASKET_SPREAD: f64 = 0.015;
/// Targets of fits, mm.
pub const MAIN_CLEARANCE: f64 = 0.053;
pub const ROD_CLEARANCE: f64 = 0.052;
pub const PISTON_CLEARANCE: f64 = 0.085;
pub const BELOW_DECK: f64 = 0.075;
pub const PISTON_PIN: f64 = 22.0;
pub const SPRING: f64 = 34.0;
pub const SPRING_RATE: f64 = 41.0;
pub const SEAT_LOAD: f64 = 330.0;
pub const PUSHROD: f64 = 206.75;

impl Shape {
    /// Windows of the inch engine are wider: its gauges show tenths of a thousandth.
    pub fn width(&self) -> f64 {
        if self.inch { 1.5 } else { 1.0 }
    }

    pub fn main_housing(&self) -> f64 {
        self.main + 2.0 * MAIN_WALL + MAIN_CLEARANCE
    }

    /// Where the fitted bore is read, the growth by crush (4 µm) belongs to the clearance.
    pub fn big_end(&self) -> f64 {
        self.pin + 2.0 * ROD_WALL + ROD_CLEARANCE - if self.reads_fitted { 0.004 } else { 0.0 }
    }

    /// Chamber volume for a ratio of 10, cm³.
    pub fn chamber(&self) -> f64 {
        let disc = |bore: f64| PI / 4.0 * bore * bore / 1000.0;
        disc(self.bore) * (self.stroke / 9.0 - BELOW_DECK) - disc(self.bore + 1.3) * GASKET - 0.9
    }

    pub fn top_gap(&self) -> f64 {
        0.0062 * self.bore
    }

    fn length(&self, mm: f64) -> String {
        if self.inch { format!("\"{:.7} in\"", mm / 25.4) } else { format!("\"{mm:.5} mm\"") }
    }

    pub fn document(&self) -> Document {
        let text = self.text();
        let parsed = parse_document(&text, self.name);
        let document = parsed.document;
        document.unwrap_or_else(|| panic!("{}: {:#?}\n{text}", self.name, parsed.diagnostics))
    }

    fn text(&self) -> String {
        let l = |mm| self.length(mm);
        let w = self.width();
        let target = |nominal: f64, half: f64| {
            format!(
                "{{ nominal = {}, min = {}, max = {} }}",
                l(nominal),
                l(nominal - half),
                l(nominal + half)
            )
        };
        let mut text = format!(
            "crosshatch = 2\n[engine]\nname = \"{}\"\ninvented = true\nunits = \"{}\"\n[layout]\n{}\n",
            self.name,
            if self.inch { "inch" } else { "metric" },
            self.layout
        );
        let mut add = |line: String| writeln!(text, "{line}").expect("a string takes all");
        add(format!("bore = {}\nstroke = {}", l(self.bore), l(self.stroke)));
        add(format!("intake_valves = {0}\nexhaust_valves = {0}", self.intake_valves));
        add("[duty]\ntop_ring_temperature = \"250 °C\"\ntop_ring_temperature_spread = \"10 K\"\nbore_temperature = \"150 °C\"\nbore_temperature_spread = \"5 K\"".into());
        add(format!(
            "[block]\nmaterial = \"{}\"\ndeck_height = {}\nbore_as_found = {}\nwall = {}\ndeck_stock = {}\nmain_housing = {}",
            self.block,
            l(219.15),
            l(self.bore - 0.5),
            l(4.9),
            l(0.3),
            target(self.main_housing(), 0.006 * w)
        ));
        add(format!(
            "[crank]\nmaterial = \"steel\"\nmain_journal = {}\npin_journal = {}",
            target(self.main, 0.006 * w),
            target(self.pin, 0.006 * w)
        ));
        for (table, wall, count) in
            [("main_shells", MAIN_WALL, self.mains()), ("rod_shells", ROD_WALL, self.cylinders)]
        {
            add(format!(
                "[{table}]\ngrades = {{ thin = {}, middle = {}, thick = {} }}\ngrade_spread = {}",
                l(wall - GRADE_STEP),
                l(wall),
                l(wall + GRADE_STEP),
                l(GRADE_SPREAD)
            ));
            let fitted: Vec<String> = (1..=count).map(|n| format!("{n} = [\"middle\"]")).collect();
            add(format!("fitted = {{ {} }}", fitted.join(", ")));
        }
        add(format!(
            "[rods]\nmaterial = \"steel\"\nlength = {}\nbig_end = {}",
            l(146.5),
            target(self.big_end(), 0.005 * w)
        ));
        add(format!(
            "[pistons]\nmaterial = \"forged_piston_low_silicon\"\ngauge_diameter = {}\ntop_land_crevice = \"0.9 cm3\"\nmass = \"338 g\"",
            l(self.bore - PISTON_CLEARANCE)
        ));
        add(format!(
            "[pins]\ndiameter = {}\nmass = \"110 g\"\n[rings]\nmaterial = \"steel\"\nrails = true",
            l(PISTON_PIN)
        ));
        add(format!(
            "[head]\nmaterial = \"aluminium_casting\"\nchamber = \"{:.2} cm3\"\nbucket_bore = {}\ncam_bore = {}",
            self.chamber(),
            target(35.01, 0.02),
            target(26.02, 0.02)
        ));
        add(format!(
            "[gasket]\ncompressed = {}\nspread = {}\nfire_ring = {}",
            l(GASKET),
            l(GASKET_SPREAD),
            l(self.bore + 1.3)
        ));
        add(format!("[valves.intake]\nlift = {0}\n[valves.exhaust]\nlift = {0}", l(10.6)));
        add(format!(
            "[springs]\ninstalled = {}\nseat_load = \"{SEAT_LOAD} N\"\nrate = \"{SPRING_RATE} N/mm\"\nbind = {}",
            l(SPRING),
            l(22.1)
        ));
        add(format!(
            "[cams]\nlash_adjustment = \"{}\"\nbearings = 5\njournal = {}\nbucket = {}",
            if self.pushrods { "rocker_screw" } else { "bucket_shim" },
            target(25.97, 0.02),
            target(34.975, 0.02)
        ));
        if self.pushrods {
            add(format!("pushrod = {}", l(PUSHROD)));
        }
        self.limits(&mut add);
        self.gauges(&mut add);
        text
    }

    pub fn mains(&self) -> u32 {
        match (self.cylinders, self.layout.contains("vee")) {
            (6, true) => 4,
            (6, false) => 7,
            _ => 5,
        }
    }

    fn limits(&self, add: &mut impl FnMut(String)) {
        let w = self.width();
        let top = self.top_gap();
        let range = |middle: f64, half: f64| (Some(middle - half), Some(middle + half));
        let most = |max: f64| (None, Some(max));
        let least = |min: f64| (Some(min), None);
        for (name, (min, max)) in [
            ("bore", range(self.bore, 0.010 * w)),
            ("bore_taper", most(0.010 * w)),
            ("bore_round", most(0.008 * w)),
            ("wall", least(2.8)),
            ("main_housing_round", most(0.010 * w)),
            ("tunnel_overall", most(0.025 * w)),
            ("tunnel_neighbour", most(0.013 * w)),
            ("deck_flatness", most(0.030)),
            ("head_flatness", most(0.030)),
            ("deck_lean", most(0.020 * w)),
            ("journal_taper", most(0.005 * w)),
            ("journal_round", most(0.005 * w)),
            ("crank_run_out", most(0.025)),
            ("end_float", range(0.14, 0.06)),
            ("main_clearance", range(MAIN_CLEARANCE, 0.008 * w)),
            ("rod_clearance", range(ROD_CLEARANCE, 0.007 * w)),
            ("big_end_round", most(0.008 * w)),
            ("rod_side_clearance", range(0.26, 0.06)),
            ("rod_length", range(146.5, 0.02)),
            ("piston_clearance", range(PISTON_CLEARANCE, 0.006 * w)),
            ("pin_in_piston", range(0.009, 0.004 * w)),
            ("pin_in_rod", range(0.013, 0.004 * w)),
            ("top_ring_gap", range(top, 0.05)),
            ("second_ring_gap", range(top + 0.06, 0.05)),
            ("rail_gap", range(0.375, 0.125)),
            ("ring_side_clearance", range(0.045, 0.015)),
            ("quench", range(GASKET + BELOW_DECK, 0.125)),
            ("lash_intake", range(0.22, 0.03)),
            ("lash_exhaust", range(0.32, 0.03)),
            ("guide_intake", range(0.035, 0.010)),
            ("guide_exhaust", range(0.045, 0.010)),
            ("seat_run_out", most(0.030)),
            ("seat_width_intake", range(1.1, 0.2)),
            ("seat_width_exhaust", range(1.5, 0.2)),
            ("spring_installed", range(SPRING, 0.2)),
            ("coil_bind_margin", least(0.8)),
            ("bucket_clearance", range(0.035, 0.015)),
            ("cam_clearance", range(0.050, 0.015)),
            ("piston_to_intake_valve", least(1.5)),
            ("piston_to_exhaust_valve", least(2.0)),
            ("pushrod", range(PUSHROD, 0.25)),
        ] {
            let firms = self.guard_band && name.starts_with("bore");
            self.limit(add, name, min.map(|v| self.length(v)), max.map(|v| self.length(v)), firms);
        }
        let chamber = self.chamber();
        for (name, min, max) in [
            ("bore_rk", Some("0.5 um".to_owned()), "0.9 um".to_owned()),
            ("bore_rpk", None, "0.30 um".into()),
            ("bore_rvk", Some("0.9 um".into()), "1.7 um".into()),
            ("hardness", Some("200 HB".into()), "230 HB".into()),
            ("mass_spread", None, "1.0 g".into()),
            ("ring_butting", None, "5 %".into()),
            ("chamber", Some(format!("{:.2} cm3", chamber - 0.3)), format!("{:.2} cm3", chamber + 0.3)),
            ("compression_ratio", Some("9.6".into()), "10.4".into()),
            ("compression_spread", None, "0.15".into()),
            ("seat_load", Some("315 N".into()), "345 N".into()),
        ] {
            self.limit(add, name, min.map(|m| format!("\"{m}\"")), Some(format!("\"{max}\"")), false);
        }
    }

    fn limit(
        &self,
        add: &mut impl FnMut(String),
        name: &str,
        min: Option<String>,
        max: Option<String>,
        firms: bool,
    ) {
        add(format!("[limits.{name}]\norigin = \"builder\"\nsource = \"{}\"", self.name));
        for (key, value) in [("min", min), ("max", max)] {
            if let Some(value) = value {
                add(format!("{key} = {value}"));
            }
        }
        if firms {
            add("decision = \"guard_band\"".into());
        }
    }

    fn gauges(&self, add: &mut impl FnMut(String)) {
        for gauge in GAUGES {
            let figures = self.figures(gauge);
            add(format!(
                "[instruments.{}]\nkind = \"{}\"\ntemperature_spread = \"0.3 K\"",
                gauge.name, gauge.kind
            ));
            let mut figure = |key: &str, value: f64| {
                if value > 0.0 {
                    add(format!("{key} = \"{value:.6} {}\"", gauge.unit));
                }
            };
            figure("resolution", figures.step);
            figure("setting", figures.setting);
            figure("repeatability", figures.scatter);
            figure("max_error", gauge.permissible);
            if gauge.scale > 0.0 {
                add(format!("scale = \"{} %\"", gauge.scale * 100.0));
            }
        }
    }

    /// Figures of a gauge in its unit; the inch engine's gauges show 0.0001 in where the metric ones show 0.001 mm.
    pub fn figures(&self, gauge: &Gauge) -> Figures {
        let tenths = self.inch && gauge.unit == "mm" && gauge.step <= 0.001;
        if tenths {
            let step = if gauge.step < 0.001 { 0.00127 } else { 0.00254 };
            Figures { step, setting: gauge.setting, scatter: gauge.scatter }
        } else if self.inch && gauge.unit == "mm" {
            // Half a thousandth of an inch for 0.005 and 0.01 mm.
            let step = if gauge.step > 0.007 { 0.0254 } else { 0.0127 };
            Figures { step, setting: gauge.setting, scatter: gauge.scatter }
        } else {
            Figures { step: gauge.step, setting: gauge.setting, scatter: gauge.scatter }
        }
    }
}

/// Step, setting and scatter in the gauge's unit.
pub struct Figures {
    pub step: f64,
    pub setting: f64,
    pub scatter: f64,
}

/// A gauge of the shop; figures in `unit`, standard uncertainties.
pub struct Gauge {
    pub name: &'static str,
    kind: &'static str,
    pub unit: &'static str,
    step: f64,
    setting: f64,
    scatter: f64,
    pub permissible: f64,
    pub scale: f64,
}

const fn gauge(
    name: &'static str,
    kind: &'static str,
    unit: &'static str,
    step: f64,
    setting: f64,
    scatter: f64,
) -> Gauge {
    Gauge { name, kind, unit, step, setting, scatter, permissible: 0.0, scale: 0.0 }
}

#[rustfmt::skip]
pub const GAUGES: &[Gauge] = &[
    gauge("B1", "bore_gauge", "mm", 0.001, 0.0008, 0.0010),
    gauge("B2", "bore_gauge", "mm", 0.001, 0.0006, 0.0008),
    gauge("B3", "bore_gauge", "mm", 0.0005, 0.0003, 0.0003),
    gauge("M1", "micrometer", "mm", 0.0005, 0.0002, 0.0003),
    gauge("M3", "micrometer", "mm", 0.001, 0.0005, 0.0006),
    gauge("M4", "micrometer", "mm", 0.001, 0.0005, 0.0006),
    gauge("D1", "dial_indicator", "mm", 0.001, 0.0, 0.0010),
    gauge("D2", "dial_indicator", "mm", 0.01, 0.0, 0.02),
    gauge("A1", "alignment_bar", "mm", 0.001, 0.0, 0.0010),
    Gauge { scale: 0.022, ..gauge("U1", "ultrasonic_gauge", "mm", 0.01, 0.0, 0.035) },
    gauge("F1", "feeler_gauge", "mm", 0.005, 0.0, 0.0045),
    gauge("F2", "feeler_gauge", "mm", 0.0025, 0.0, 0.0020),
    gauge("H1", "height_gauge", "mm", 0.001, 0.0015, 0.0015),
    gauge("K1", "coordinate_machine", "mm", 0.001, 0.0015, 0.0010),
    Gauge { permissible: 0.02, ..gauge("C1", "caliper", "mm", 0.01, 0.0, 0.01) },
    gauge("Y1", "depth_gauge", "mm", 0.01, 0.0, 0.015),
    gauge("V1", "burette", "cm3", 0.05, 0.0, 0.05),
    gauge("W1", "balance", "g", 0.1, 0.03, 0.05),
    Gauge { permissible: 3.0, ..gauge("S1", "spring_tester", "N", 1.0, 0.0, 1.0) },
    gauge("E1", "hardness_tester", "HB", 1.0, 0.0, 4.0),
    Gauge { scale: 0.02, ..gauge("R1", "roughness_tester", "um", 0.01, 0.0, 0.03) },
];

/// Gauge that reads a family of places; None where these builds read nothing.
pub fn gauge_of(family: &str) -> Option<&'static Gauge> {
    let name = match family {
        "block.bore" => "B1",
        "block.main_housing"
        | "rod.big_end"
        | "main_bearing.fitted_bore"
        | "rod_bearing.fitted_bore"
        | "valve.bucket_bore"
        | "cam.bore" => "B2",
        "rod.small_end" | "piston.pin_bore" | "valve.guide" => "B3",
        "main_shell" | "rod_shell" | "rod.bolt_stretch" | "pin.diameter" | "valve.stem" | "valve.shim"
        | "gasket.compressed" => "M1",
        "crank.main" | "crank.pin" | "valve.bucket" | "cam.journal" => "M3",
        "piston.gauge" => "M4",
        "block.deck_face"
        | "head.face"
        | "crank.run_out"
        | "crank.end_float"
        | "cylinder.below_deck"
        | "valve.seat_run_out" => "D1",
        "valve.to_piston" => "D2",
        "block.main_axis" => "A1",
        "block.wall" => "U1",
        "rod.side_clearance" | "ring.top.gap" | "ring.second.gap" | "ring.rail.gap" | "valve.lash"
        | "valve.pushrod_lash" => "F1",
        "ring.side_clearance" => "F2",
        "block.deck_height" => "H1",
        "rod.length" => "K1",
        "valve.seat_width" | "valve.pushrod" => "C1",
        "valve.spring_installed" => "Y1",
        "head.chamber" => "V1",
        "rod.small_end_mass" | "piston.mass" | "pin.mass" => "W1",
        "valve.seat_load" => "S1",
        "block.hardness" => "E1",
        "block.bore_surface" => "R1",
        _ => return None,
    };
    GAUGES.iter().find(|g| g.name == name)
}
