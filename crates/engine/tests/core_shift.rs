//! Core shift of a bore from its wall map: the vector against walls made from two circles, the side in words, and what is
//! left of it when less was read.

use engine::document::parse_document;
use engine::findings::{Bench, CoreShift, Verdict, core_shift};
use engine::quantity::UnitSystem;
use engine::{Assessment, Engine, assess};
use mechanics::math::{cos, hypot, sin};
use mechanics::metrology::thickness::WallModel;
use std::f64::consts::{FRAC_PI_4, PI};
use std::fmt::Write as _;

const ENGINE: &str = r#"
crosshatch = 2
[layout]
arrangement = "inline"
cylinders = 1
bore = "89.100 mm"
[block]
material = "grey_iron"
bore_as_found = "88.600 mm"
[limits]
wall = { min = "2.80 mm", origin = "builder", source = "shop's own" }
core_shift = { max = "1.00 mm", origin = "builder", source = "shop's own" }
[instruments.U1]
kind = "ultrasonic_gauge"
resolution = "0.01 mm"
repeatability = "0.1 mm"
scale = "1 %"
"#;

const HEIGHTS: [&str; 3] = ["top", "mid", "low"];
const DIRECTIONS: [&str; 8] =
    ["thrust", "thrust_front", "front", "anti_front", "anti_thrust", "anti_rear", "rear", "thrust_rear"];
/// Radius of the bore from which the walls are read, and of the outside, mm.
const BORE: f64 = 44.3;
const OUTSIDE: f64 = 49.2;

/// Wall between two circles, their axes `x` toward thrust and `y` toward the front apart: t = s·n + √(R² − (s × n)²) − r, mm.
fn wall(x: f64, y: f64, angle: f64) -> f64 {
    let (along, across) = (x * cos(angle) + y * sin(angle), y * cos(angle) - x * sin(angle));
    along + (OUTSIDE * OUTSIDE - across * across).sqrt() - BORE
}

/// A reading of every place that `of` gives a wall for, mm.
fn map(of: impl Fn(usize, usize) -> Option<f64>) -> String {
    let mut text = String::new();
    for (h, height) in HEIGHTS.iter().enumerate() {
        for (d, direction) in DIRECTIONS.iter().enumerate() {
            if let Some(t) = of(h, d) {
                let _ = write!(
                    text,
                    "[[readings]]\nfeature = \"block.wall.1.{height}.{direction}\"\nvalue = \"{t:.2} mm\"\ninstrument = \"U1\"\ntemperature = \"20 °C\"\n"
                );
            }
        }
    }
    text
}

fn judged(text: &str) -> (Engine, Assessment) {
    let parsed = parse_document(text, "test.toml");
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let engine = Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new());
    let assessment = assess(&engine);
    (engine, assessment)
}

fn shift_of(text: &str) -> Option<CoreShift> {
    let (engine, assessment) = judged(text);
    core_shift(Bench { engine: &engine, sizes: &assessment.sizes }, 1)
}

/// Repeatable normal noise: twelve uniform draws less six have mean 0 and variance 1.
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        // Steele, Lea and Flood (2014), SplitMix64.
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// The trade's need: the vector within 0.15 mm from 8 noisy points at 3 heights. U must hold the error at its own rate.
#[test]
fn the_vector_comes_out_within_0_15_mm_of_8_noisy_points_at_3_heights() {
    const MAPS: usize = 60;
    let mut noise = Noise(20);
    let (mut held, mut worst) = (0, 0.0_f64);
    for _ in 0..MAPS {
        let (size, toward) = (1.6 * noise.uniform() + 0.2, 2.0 * PI * noise.uniform());
        let (x, y) = (size * cos(toward), size * sin(toward));
        let sound = 1.0 + 0.01 * noise.normal();
        let read: Vec<f64> = (0..24)
            .map(|i| sound * wall(x, y, f64::from(i % 8) * FRAC_PI_4) + 0.1 * noise.normal())
            .collect();
        let found = shift_of(&format!("{ENGINE}{}", map(|h, d| Some(read[8 * h + d])))).expect("a shift");
        let (fx, fy) = (found.fit.shift_x.value() * 1e3 - x, found.fit.shift_y.value() * 1e3 - y);
        let off = hypot(fx, fy);
        worst = worst.max(off);
        // The three heights are one cylinder: they may be told apart by chance in about 3 of 100 maps.
        held += usize::from(fx.abs() <= found.fit.shift_x.expanded() * 1e3);
    }
    assert!(worst <= 0.15, "worst {worst} mm");
    // 95 % of 60 are 57; three standard deviations of that count are 5.1.
    assert!(held >= 51, "U held the error toward thrust in {held} of {MAPS}");
}

#[test]
fn the_vector_points_to_the_thick_side_and_the_thin_one_is_named() {
    let sides = [
        ((1.5, 0.0), "toward thrust: the wall is thick there and thin toward anti-thrust"),
        ((-1.5, 0.0), "toward anti-thrust: the wall is thick there and thin toward thrust"),
        ((0.0, 1.5), "toward the front: the wall is thick there and thin toward the rear"),
        ((0.0, -1.5), "toward the rear: the wall is thick there and thin toward the front"),
        (
            (1.1, -1.1),
            "toward thrust and rear: the wall is thick there and thin toward anti-thrust and front",
        ),
    ];
    for ((x, y), words) in sides {
        let readings = map(|_, d| Some(wall(x, y, d as f64 * FRAC_PI_4)));
        let (_, assessment) = judged(&format!("{ENGINE}{readings}"));
        for id in ["core_shift/1", "wall/1"] {
            let finding = assessment.finding(id).expect("asked");
            let why = finding.why.print(UnitSystem::Metric);
            assert!(why.contains(words), "{id}: {why}");
            assert!(why.contains("(24 readings at 3 heights, one circle)"), "{id}: {why}");
            let parts: Vec<f64> = finding
                .working
                .inputs
                .iter()
                .filter(|i| i.label.starts_with("core shift toward"))
                .map(|i| i.value.value * 1e3)
                .collect();
            // Readings are rounded to 0.01 mm.
            assert!((parts[0] - x).abs() < 0.01 && (parts[1] - y).abs() < 0.01, "{id}: {parts:?}");
        }
        assert_eq!(assessment.finding("core_shift/1").expect("asked").verdict, Verdict::Bad);
    }
}

#[test]
fn heights_that_differ_are_not_averaged_away() {
    let at = [(-1.0, 0.0), (-1.9, 0.0), (-1.4, 0.0)];
    let found =
        shift_of(&format!("{ENGINE}{}", map(|h, d| Some(wall(at[h].0, at[h].1, d as f64 * FRAC_PI_4)))))
            .expect("a shift");
    assert!((found.fit.shift_x.value() * 1e3 + 1.9).abs() < 0.01, "{}", found.fit.shift_x.value());
    assert_eq!(found.used, "8 readings at mid; the heights differ beyond chance");
    assert_eq!(found.heights.len(), 3);
}

#[test]
fn less_evidence_says_what_was_used_and_none_gives_no_vector() {
    let of = |keep: &dyn Fn(usize, usize) -> bool| {
        shift_of(&format!("{ENGINE}{}", map(|h, d| keep(h, d).then(|| wall(0.8, 0.3, d as f64 * FRAC_PI_4)))))
    };
    let one = of(&|h, _| h == 1).expect("one height");
    assert_eq!(one.used, "8 readings at 1 height, one circle");
    let three = of(&|h, d| h == 1 && d % 3 == 0).expect("three directions");
    assert_eq!(
        three.used,
        "3 readings at 1 height, one circle, none to spare: a wrong reading would not show"
    );
    assert!(three.fit.shift.expanded() > one.fit.shift.expanded(), "fewer readings, larger U");
    assert!(of(&|_, d| d == 0 || d == 4).is_none(), "two directions carry no circle");
    assert!(of(&|_, _| false).is_none());
}

#[test]
fn without_the_bore_a_wave_is_fitted_and_said() {
    let readings = map(|_, d| Some(wall(0.8, 0.3, d as f64 * FRAC_PI_4)));
    let text = ENGINE.replace("bore_as_found = \"88.600 mm\"\n", "");
    let found = shift_of(&format!("{text}{readings}")).expect("a shift");
    assert_eq!(found.fit.model, WallModel::FirstHarmonic);
    assert_eq!(found.used, "24 readings at 3 heights, one wave");
    assert!((found.fit.shift_x.value() * 1e3 - 0.8).abs() < 0.02);
}

/// A casting that is rougher than the gauge is sharp gets the scatter of its walls into U.
#[test]
fn a_rough_casting_widens_its_uncertainty() {
    let with = |rough: f64| {
        let mut noise = Noise(7);
        let read: Vec<f64> =
            (0..24).map(|i| wall(0.8, 0.0, f64::from(i % 8) * FRAC_PI_4) + rough * noise.normal()).collect();
        shift_of(&format!("{ENGINE}{}", map(|h, d| Some(read[8 * h + d])))).expect("a shift")
    };
    let (smooth, rough) = (with(0.05), with(0.4));
    let scatter = rough.fit.scatter.expect("24 readings");
    // u of one part of the vector is scatter·√(2/n); the speed of sound adds 1 % of the shift.
    let expected = scatter * (2.0 / rough.fit.residuals.len() as f64).sqrt();
    let found = (rough.fit.shift_y.standard() / expected - 1.0).abs();
    assert!(found < 0.1, "u {} mm for {expected}", rough.fit.shift_y.standard());
    assert!(rough.fit.shift.expanded() > 2.0 * smooth.fit.shift.expanded());
}
