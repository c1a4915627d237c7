//! Circles, planes, tunnel lines, wall maps and surface values against published examples and brute force.

use core::f64::consts::PI;

use mechanics::math::{cos, normal_quantile, sin};
use mechanics::metrology::circle::{Point, least_squares_circle};
use mechanics::metrology::form::{
    FormError, chance_apart, magnitude, neighbour_steps, offsets_from_end_line, taper, two_point_out_of_round,
};
use mechanics::metrology::plane::{Height, least_squares_plane, minimum_zone_flatness};
use mechanics::metrology::surface::{CoreLine, SurfaceError, rk_values};
use mechanics::metrology::thickness::{WallModel, WallReading, wall_map};
use mechanics::metrology::{SourceId, Uncertain};
use proptest::prelude::*;
use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

fn close(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found}, expected {expected} ± {tolerance}");
}

fn normal(bits: &mut Pcg64Mcg) -> f64 {
    normal_quantile(((bits.next_u64() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64)
}

/// Gander, Golub and Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994), section 1:
/// geometric centre (4.7398, 2.9835), radius 4.7142. Last digits by our own computation.
#[test]
fn circle_of_gander_golub_strebel() {
    let points = [(1.0, 7.0), (2.0, 6.0), (5.0, 8.0), (7.0, 7.0), (9.0, 5.0), (3.0, 7.0)]
        .map(|(x, y)| Point::exact(x, y));
    let circle = least_squares_circle(&points).expect("a circle");
    close(circle.x.value(), 4.73978, 5e-6, "centre x");
    close(circle.y.value(), 2.98353, 5e-6, "centre y");
    close(circle.radius.value(), 4.71423, 5e-6, "radius");
    close(circle.sum_of_squares(), 1.22760, 5e-6, "sum of squares");
}

fn lobed_bore() -> Vec<(f64, f64)> {
    (0..36)
        .map(|i| {
            let t = f64::from(i) * PI / 18.0;
            let r = 43.0 + 0.004 * cos(2.0 * t) + 0.002 * cos(3.0 * t);
            (0.012 + r * cos(t), -0.007 + r * sin(t))
        })
        .collect()
}

/// A synthetic trace of known centre and lobes (own computation): recovered within 1e-6, roundness 10.796 µm.
#[test]
fn circle_of_a_lobed_bore() {
    let points: Vec<_> = lobed_bore().into_iter().map(|(x, y)| Point::exact(x, y)).collect();
    let circle = least_squares_circle(&points).expect("a circle");
    close(circle.x.value(), 0.012, 1e-6, "centre x");
    close(circle.y.value(), -0.007, 1e-6, "centre y");
    close(circle.radius.value(), 43.0, 1e-6, "radius");
    close(1e3 * circle.roundness.value(), 10.796, 1e-3, "roundness, µm");
}

/// The sensitivities of the fit against finite differences of the fit itself.
#[test]
fn circle_sensitivities() {
    // One place dented, so that highest and lowest are single points.
    let mut places = lobed_bore();
    places[27].0 += 0.001;
    places[27].1 += 0.002;
    let fit = |moved: usize, by: f64| {
        let points: Vec<_> = places
            .iter()
            .enumerate()
            .map(|(i, &(x, y))| {
                let x = if i == moved { x + by } else { x };
                Point { x: Uncertain::new(x, SourceId(i as u32), 1.0), y: Uncertain::exact(y) }
            })
            .collect();
        least_squares_circle(&points).expect("a circle")
    };
    let here = fit(0, 0.0);
    for i in [0, 5, 17, 29] {
        let (more, less) = (fit(i, 1e-4), fit(i, -1e-4));
        for (name, of) in [
            ("x", &(|c: &mechanics::metrology::circle::Circle| c.x.clone()) as &dyn Fn(&_) -> Uncertain),
            ("y", &|c: &mechanics::metrology::circle::Circle| c.y.clone()),
            ("radius", &|c: &mechanics::metrology::circle::Circle| c.radius.clone()),
            ("roundness", &|c: &mechanics::metrology::circle::Circle| c.roundness.clone()),
        ] {
            let term = of(&here).terms().iter().find(|t| t.0 == SourceId(i as u32)).map_or(0.0, |t| t.1);
            let numeric = (of(&more).value() - of(&less).value()) / 2e-4;
            // The linearised problem drops terms of the order of residual over radius, 0.005/43.
            close(term, numeric, 1e-3, &format!("{name} by point {i}"));
        }
    }
}

#[test]
fn circles_that_are_none() {
    let points = |list: &[(f64, f64)]| list.iter().map(|&(x, y)| Point::exact(x, y)).collect::<Vec<_>>();
    let fails = |list: &[(f64, f64)]| least_squares_circle(&points(list)).expect_err("no circle");
    assert_eq!(fails(&[(0.0, 0.0), (1.0, 0.0)]), FormError::TooFew { given: 2, needed: 3 });
    assert_eq!(fails(&[(1.0, 1.0); 5]), FormError::Degenerate);
    assert_eq!(fails(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (3.0, 3.0)]), FormError::Degenerate);
    assert_eq!(fails(&[(0.0, 0.0), (f64::NAN, 1.0), (2.0, 2.0)]), FormError::NotFinite { index: 1 });
    let three = least_squares_circle(&points(&[(0.0, 1.0), (1.0, 0.0), (-1.0, 0.0)])).expect("through three");
    close(three.radius.value(), 1.0, 1e-12, "circle through three points");
    close(three.roundness.value(), 0.0, 1e-12, "no roundness from three points");
}

/// Geometry: a curve of constant width (three lobes) has one diameter in every direction.
#[test]
fn two_points_are_blind_to_three_lobes() {
    let radius = |t: f64| 43.0 + 0.010 * cos(3.0 * t);
    let diameter = |t: f64| Uncertain::exact(radius(t) + radius(t + PI));
    let found = two_point_out_of_round(&[&diameter(0.3), &diameter(0.3 + 0.5 * PI), &diameter(1.2)]);
    close(found.expect("three directions").value.value(), 0.0, 1e-12, "seen by two anvils");
}

/// Range of n equal normal sizes: upper points of the studentized range with infinite degrees of freedom, q(3) 3.314 at 5 % and 4.120 at
/// 1 %, q(8) 4.286 and 4.987 (tables of the studentized range, as in Pearson and Hartley, Biometrika Tables; `scipy.stats.studentized_range`
/// gives the same). Three standard errors of the draws are 0.7 and 0.3 %. What all share changes nothing.
#[test]
fn the_chance_that_any_two_lie_apart() {
    for (count, most, chance, off) in
        [(3, 3.314, 0.05, 7e-3), (3, 4.120, 0.01, 3e-3), (8, 4.286, 0.05, 7e-3), (8, 4.987, 0.01, 3e-3)]
    {
        let size = |id| Uncertain::exact(20.0).with_term(SourceId(id), 1.0).with_term(SourceId(99), 5.0);
        let sizes: Vec<Uncertain> = (0..count).map(size).collect();
        let sizes: Vec<&Uncertain> = sizes.iter().collect();
        close(chance_apart(&sizes, most), chance, off, &format!("{count} sizes beyond {most}"));
    }
    // Two are one pair: 2 Φ(−2/√2) = 0.1573. One that hangs wholly on another is no third.
    let one = Uncertain::exact(0.0).with_term(SourceId(0), 1.0);
    let two = Uncertain::exact(0.0).with_term(SourceId(1), 1.0);
    close(chance_apart(&[&one, &two], 2.0), 0.1573, 5e-5, "one pair");
    close(chance_apart(&[&one, &two, &one], 2.0), 0.1573, 0.011, "one twice");
    assert_eq!((chance_apart(&[&one], 1.0), chance_apart(&[], 1.0)), (0.0, 0.0));
    // Rare ones are summed up, never too little: the pair alone has 0.135 %.
    let far = Uncertain::exact(-1.0).with_term(SourceId(2), 1.0);
    let rare = chance_apart(&[&one, &two, &far], 1.0 + 3.0 * 2_f64.sqrt());
    assert!(rare > 2.0 * 1.349e-3 && rare < 0.01, "{rare}");
}

#[test]
fn taper_and_shared_terms() {
    let read = |value| Uncertain::new(value, SourceId(0), 0.005);
    let levels = [
        read(89.103).with_term(SourceId(1), 0.001),
        read(89.098),
        read(89.082).with_term(SourceId(2), 0.001),
    ];
    let found = taper(&levels.iter().collect::<Vec<_>>()).expect("three levels");
    close(found.value.value(), 0.021, 1e-12, "taper");
    close(found.value.standard(), 0.001 * 2_f64.sqrt(), 1e-12, "the gauge's own error cancels");
    assert_eq!((found.largest, found.smallest), (0, 2));
    assert_eq!(taper(&[&levels[0]]), None);
}

/// A tunnel with one cap 0.027 up; the measuring datum leans, and its lean does not matter.
#[test]
fn tunnel_axis() {
    let lean = SourceId(9);
    let support = |i: u32, offset: f64| {
        let station = 98.3 * f64::from(i);
        let height = Uncertain::new(0.2 + 0.001 * station + offset, SourceId(i), 0.002)
            .with_term(lean, 0.01 * station);
        (station, height)
    };
    let read = [support(0, 0.0), support(1, 0.003), support(2, 0.027), support(3, -0.002), support(4, 0.0)];
    let supports: Vec<_> = read.iter().map(|(x, h)| (*x, h)).collect();
    let offsets = offsets_from_end_line(&supports).expect("a line");
    for (offset, expected) in offsets.iter().zip([0.0, 0.003, 0.027, -0.002, 0.0]) {
        close(offset.value(), expected, 1e-12, "offset");
        assert!(offset.covariance(&Uncertain::new(0.0, lean, 1.0)).abs() < 1e-12, "the lean cancels");
    }
    // u² = 0.002² (1 + ¼ + ¼) half way.
    close(offsets[2].standard(), 0.002 * 1.5_f64.sqrt(), 1e-12, "u half way");
    let steps: Vec<f64> = neighbour_steps(&offsets).iter().map(Uncertain::value).collect();
    for (step, expected) in steps.iter().zip([0.003, 0.024, -0.029, 0.002]) {
        close(*step, expected, 1e-12, "step");
    }
    assert!(matches!(offsets_from_end_line(&supports[..2]), Err(FormError::TooFew { .. })));
    assert_eq!(offsets_from_end_line(&[supports[0], supports[1], supports[0]]), Err(FormError::Degenerate));
    let off = magnitude(&Uncertain::new(0.03, SourceId(0), 0.002), &Uncertain::new(0.04, SourceId(1), 0.001));
    close(off.value(), 0.05, 1e-12, "length");
    close(off.standard(), (0.6_f64 * 0.6 * 4e-6 + 0.8 * 0.8 * 1e-6).sqrt(), 1e-12, "u of the length");
    close(
        magnitude(&Uncertain::exact(0.0), &Uncertain::new(0.0, SourceId(1), 0.001)).standard(),
        0.001,
        0.0,
        "origin",
    );
}

fn deck(shape: impl Fn(f64, f64) -> f64, columns: u32, rows: u32) -> Vec<Height> {
    (0..columns * rows)
        .map(|i| {
            let (x, y) = (40.0 * f64::from(i % columns), 60.0 * f64::from(i / columns));
            Height { x, y, z: Uncertain::new(shape(x, y), SourceId(i), 0.002) }
        })
        .collect()
}

/// A tilted plane has no flatness error and the tilt that it was given.
#[test]
fn tilted_deck() {
    let heights = deck(|x, y| 0.5 + 1e-4 * x - 2e-4 * y, 6, 3);
    let plane = least_squares_plane(&heights).expect("a plane");
    close(plane.slope_x.value(), 1e-4, 1e-12, "slope x");
    close(plane.slope_y.value(), -2e-4, 1e-12, "slope y");
    close(plane.rise(0.0, 120.0).value(), -0.024, 1e-12, "lean across");
    close(plane.tilt().value(), 5_f64.sqrt() * 1e-4, 1e-12, "tilt");
    close(plane.height_at(40.0, 60.0).value(), 0.5 + 0.004 - 0.012, 1e-12, "height");
    close(plane.flatness.value(), 0.0, 1e-12, "flat");
    close(minimum_zone_flatness(&heights).expect("a zone").value(), 0.0, 1e-12, "flat");
    // u of a slope by the textbook: u/√Σ(x − x̄)².
    let square: f64 = heights.iter().map(|h| (h.x - 100.0) * (h.x - 100.0)).sum();
    close(plane.slope_x.standard(), 0.002 / square.sqrt(), 1e-12, "u of the slope");
}

/// By hand: a saddle h, −h at alternate corners of a square: the zone is 2 h, carried by two pairs.
#[test]
fn saddle_and_single_hump() {
    let corners = [(0.0, 0.0, 0.01), (1.0, 0.0, -0.01), (1.0, 1.0, 0.01), (0.0, 1.0, -0.01)];
    let heights: Vec<_> = corners.iter().map(|&(x, y, z)| Height { x, y, z: Uncertain::exact(z) }).collect();
    close(minimum_zone_flatness(&heights).expect("a zone").value(), 0.02, 1e-12, "saddle");
    let hump = deck(|x, y| if (x - 80.0).abs() < 1.0 && (y - 60.0).abs() < 1.0 { 0.03 } else { 0.0 }, 5, 3);
    let zone = minimum_zone_flatness(&hump).expect("a zone");
    close(zone.value(), 0.03, 1e-12, "one high spot in the middle");
    assert!(zone.value() <= least_squares_plane(&hump).expect("a plane").flatness.value() + 1e-12);
    assert!(zone.terms().len() <= 4, "four readings carry the zone");
    let line = deck(|_, _| 0.0, 7, 1);
    assert_eq!(least_squares_plane(&line), Err(FormError::Degenerate));
    assert_eq!(minimum_zone_flatness(&line), Err(FormError::Degenerate));
    assert!(matches!(minimum_zone_flatness(&line[..2]), Err(FormError::TooFew { .. })));
}

/// Least width over all planes that a vertex of the hull's faces or a pair of edges can carry.
fn zone_by_enumeration(heights: &[Height]) -> f64 {
    let width = |sx: f64, sy: f64| {
        let over = |h: &Height| h.z.value() - sx * h.x - sy * h.y;
        let (low, high) = heights
            .iter()
            .map(over)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)));
        high - low
    };
    let n = heights.len();
    let step = |a: usize, b: usize| {
        (
            heights[b].x - heights[a].x,
            heights[b].y - heights[a].y,
            heights[b].z.value() - heights[a].z.value(),
        )
    };
    let mut best = f64::INFINITY;
    let mut both = |u: (f64, f64, f64), v: (f64, f64, f64)| {
        let determinant = u.0 * v.1 - u.1 * v.0;
        if determinant.abs() > 1e-9 {
            best =
                best.min(width((u.2 * v.1 - v.2 * u.1) / determinant, (u.0 * v.2 - v.0 * u.2) / determinant));
        }
    };
    for a in 0..n {
        for b in a + 1..n {
            for c in 0..n {
                for d in c + 1..n {
                    both(step(a, b), step(c, d));
                }
            }
        }
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The simplex finds the zone that trying every pair of edges finds, on the grids a deck is read on.
    #[test]
    fn minimum_zone_is_exact(z in proptest::collection::vec(prop_oneof![-0.05..0.05_f64, (-3..4_i32).prop_map(|k| 0.01 * f64::from(k))], 12), columns in prop::sample::select(vec![3_u32, 4, 6])) {
        let mut z = z.into_iter();
        let mut heights = deck(|_, _| 0.0, columns, 12 / columns);
        for height in &mut heights {
            height.z = Uncertain::exact(z.next().expect("twelve"));
        }
        let found = minimum_zone_flatness(&heights).expect("a zone");
        prop_assert!((found.value() - zone_by_enumeration(&heights)).abs() < 1e-10);
    }

    /// Noise on any arc from 60° up: no step away from the fit lowers the sum of squares.
    #[test]
    fn circle_is_a_minimum(arc in 1.05..2.0 * PI, n in 5..40_u32, seed in any::<u64>()) {
        let mut bits = Pcg64Mcg::seed_from_u64(seed);
        let points: Vec<(f64, f64)> = (0..n)
            .map(|i| {
                let t = arc * f64::from(i) / f64::from(n);
                let r = 43.0 + 0.02 * normal(&mut bits);
                (100.0 + r * cos(t), -50.0 + r * sin(t))
            })
            .collect();
        let exact: Vec<_> = points.iter().map(|&(x, y)| Point::exact(x, y)).collect();
        let fit = least_squares_circle(&exact).expect("a circle");
        let squares = |x: f64, y: f64, r: f64| -> f64 {
            points.iter().map(|p| ((p.0 - x) * (p.0 - x) + (p.1 - y) * (p.1 - y)).sqrt() - r).map(|d| d * d).sum()
        };
        let (x, y, r) = (fit.x.value(), fit.y.value(), fit.radius.value());
        let least = squares(x, y, r);
        for (dx, dy, dr) in [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 1.0), (0.0, -1.0, 1.0), (1.0, 1.0, -1.0)] {
            for step in [1e-3, -1e-3] {
                prop_assert!(squares(x + step * dx, y + step * dy, r + step * dr) >= least - 1e-12);
            }
        }
    }

    /// Whatever is read: an error or finite numbers.
    #[test]
    fn any_points_are_answered(places in proptest::collection::vec((-1e3..1e3_f64, -1e3..1e3_f64, prop_oneof![Just(0.0), -1.0..1.0_f64, any::<f64>()]), 0..9)) {
        let points: Vec<_> = places.iter().map(|p| Point::exact(p.0, p.2)).collect();
        if let Ok(circle) = least_squares_circle(&points) {
            prop_assert!(circle.radius.value().is_finite() && circle.roundness.value() >= 0.0);
        }
        let heights: Vec<_> = places.iter().map(|p| Height { x: p.0, y: p.1, z: Uncertain::exact(p.2) }).collect();
        let far = heights.iter().any(|h| h.z.value().abs() > 1e100);
        if let (false, Ok(plane), Ok(zone)) =
            (far, least_squares_plane(&heights), minimum_zone_flatness(&heights))
        {
            prop_assert!(zone.value() <= plane.flatness.value() * (1.0 + 1e-9) + 1e-12);
        }
    }

    /// Two eccentric circles without noise come back exactly, in any direction, from five places or more.
    #[test]
    fn eccentric_wall_is_exact(shift in 0.0..3.0_f64, toward in -PI..PI, wall in 3.5..8.0_f64, places in 5..16_u32) {
        let (bore, outer) = (44.3, 44.3 + wall);
        let readings: Vec<_> = (0..places)
            .map(|i| {
                let angle = 2.0 * PI * f64::from(i) / f64::from(places);
                let across = shift * sin(angle - toward);
                let thickness = shift * cos(angle - toward) + (outer * outer - across * across).sqrt() - bore;
                WallReading { angle, height: 0.0, thickness: Uncertain::exact(thickness) }
            })
            .collect();
        let map = wall_map(&readings, WallModel::EccentricCircles { bore_radius: bore }).expect("a map");
        let fit = &map.overall;
        prop_assert!((fit.mean.value() - wall).abs() < 1e-9);
        prop_assert!((fit.shift_x.value() - shift * cos(toward)).abs() < 1e-9);
        prop_assert!((fit.shift_y.value() - shift * sin(toward)).abs() < 1e-9);
        prop_assert!((fit.thinnest.value() - (wall - shift)).abs() < 1e-9);
        prop_assert!((fit.wall_at(fit.thinnest_angle).value() - (wall - shift)).abs() < 1e-6);
        prop_assert!(readings.iter().all(|r| (fit.wall_at(r.angle).value() - r.thickness.value()).abs() < 1e-9));
        let harmonic = wall_map(&readings, WallModel::FirstHarmonic).expect("a map").overall;
        // What the first order leaves out, stated in the docs: s²/(4 R) of the mean.
        prop_assert!((harmonic.mean.value() - (wall - shift * shift / (4.0 * outer))).abs() < 1e-3);
        prop_assert!((harmonic.thinnest.value() - (wall - shift)).abs() < shift * shift / (2.0 * outer) + 1e-3);
        prop_assert!((harmonic.shift_x.value() - shift * cos(toward)).abs() < 5e-3);
    }
}

struct ShiftErrors {
    overall: Vec<f64>,
    one_height: Vec<f64>,
    /// Errors over their own stated uncertainty, one component.
    scaled: Vec<f64>,
}

/// 8 places at 3 heights, ultrasonic noise of 0.1 mm on each, 1 % on the speed of sound.
fn noisy_maps(model: WallModel, maps: u64) -> ShiftErrors {
    let mut bits = Pcg64Mcg::seed_from_u64(812);
    let mut errors = ShiftErrors { overall: Vec::new(), one_height: Vec::new(), scaled: Vec::new() };
    for _ in 0..maps {
        let (x, y) = (0.8 * normal(&mut bits), 0.8 * normal(&mut bits));
        let sound = 0.01 * normal(&mut bits);
        let (bore, outer) = (44.3, 49.2);
        let mut readings = Vec::new();
        for place in 0..24_u32 {
            let angle = PI * f64::from(place % 8) / 4.0;
            let (c, s) = (cos(angle), sin(angle));
            let across = y * c - x * s;
            let thickness = x * c + y * s + (outer * outer - across * across).sqrt() - bore;
            let read = (thickness + 0.1 * normal(&mut bits)) * (1.0 + sound);
            let thickness =
                Uncertain::new(read, SourceId(place + 1), 0.1).with_term(SourceId(0), 0.01 * read);
            readings.push(WallReading { angle, height: f64::from(place / 8) * 50.0, thickness });
        }
        let map = wall_map(&readings, model).expect("a map");
        let error = |fit: &mechanics::metrology::thickness::WallFit| {
            let (dx, dy) = (fit.shift_x.value() - x, fit.shift_y.value() - y);
            (dx * dx + dy * dy).sqrt()
        };
        assert_eq!(map.heights.len(), 3);
        errors.overall.push(error(&map.overall));
        errors.one_height.extend(map.heights.iter().map(|(_, fit)| error(fit)));
        errors.scaled.push((map.overall.shift_x.value() - x) / map.overall.shift_x.standard());
    }
    errors.overall.sort_by(f64::total_cmp);
    errors.one_height.sort_by(f64::total_cmp);
    errors
}

/// The requirement: the core shift within 0.15 mm from 8 noisy points at 3 heights.
#[test]
#[allow(clippy::print_stdout)]
fn core_shift_from_noisy_maps() {
    println!("error of the core shift, mm    median   95 %   99 %  99.9 %  worst   within 0.15");
    for (name, model) in [
        ("two circles", WallModel::EccentricCircles { bore_radius: 44.3 }),
        ("first harmonic", WallModel::FirstHarmonic),
    ] {
        let errors = noisy_maps(model, 5_000);
        for (what, list) in [("3 heights", &errors.overall), ("1 height", &errors.one_height)] {
            let at = |p: f64| list[((list.len() - 1) as f64 * p) as usize];
            let within = list.partition_point(|e| *e <= 0.15) as f64 / list.len() as f64;
            println!(
                "{name:>14}, {what:<9}    {:.3}    {:.3}  {:.3}  {:.3}   {:.3}   {:.2} %",
                at(0.5),
                at(0.95),
                at(0.99),
                at(0.999),
                at(1.0),
                100.0 * within
            );
            if what == "3 heights" {
                assert!(at(0.999) < 0.15, "{name}: 99.9 % quantile {}", at(0.999));
            }
        }
        let spread = (errors.scaled.iter().map(|z| z * z).sum::<f64>() / errors.scaled.len() as f64).sqrt();
        close(spread, 1.0, 0.04, "error over stated uncertainty (four standard errors of 5,000 maps)");
    }
}

#[test]
fn wall_maps_that_say_little() {
    let reading =
        |angle, height, thickness| WallReading { angle, height, thickness: Uncertain::exact(thickness) };
    let readings =
        [reading(0.0, 0.0, 4.0), reading(2.0, 0.0, 4.2), reading(4.0, 0.0, 4.4), reading(0.0, 50.0, 3.9)];
    let map = wall_map(&readings, WallModel::FirstHarmonic).expect("a map");
    assert_eq!((map.heights.len(), map.unfitted.as_slice(), map.thinnest_reading), (1, &[50.0][..], 3));
    assert_eq!(map.heights[0].1.scatter, None);
    assert!(wall_map(&readings[..2], WallModel::FirstHarmonic).is_err());
    let same = [reading(0.0, 0.0, 4.0), reading(0.0, 0.0, 4.1), reading(0.0, 0.0, 4.2)];
    assert_eq!(wall_map(&same, WallModel::FirstHarmonic), Err(FormError::Degenerate));
    let bad = WallModel::EccentricCircles { bore_radius: f64::NAN };
    assert_eq!(wall_map(&readings, bad), Err(FormError::Degenerate));
}

/// Normal heights of unit Rq (analytic): Rk = 2.62200, Mr1 = 9.4929 %, Rpk = Rvk = 0.93698 with the secant itself.
#[test]
fn rk_of_normal_heights() {
    let heights: Vec<f64> = (0..400_001).map(|i| normal_quantile((f64::from(i) + 0.5) / 400_001.0)).collect();
    let found = rk_values(&heights, CoreLine::Secant).expect("values");
    close(found.core_height, 2.62200, 1e-3, "Rk");
    close(found.peak_ratio, 0.094_929, 1e-3, "Mr1");
    close(found.valley_ratio, 0.905_071, 1e-3, "Mr2");
    close(found.reduced_peak_height, 0.93698, 1e-3, "Rpk");
    close(found.reduced_valley_depth, 0.93698, 1e-3, "Rvk");
    close(found.oil_volume(), 0.5 * 0.93698 * 0.094_929, 1e-4, "oil volume");

    // Least squares over the middle 40 %: slope ∫ q(½ + x) x dx / ∫ x² dx by quadrature, 1.8 % below the secant.
    let fitted = rk_values(&heights, CoreLine::LeastSquares).expect("values");
    let (mut across, mut square) = (0.0, 0.0);
    for i in 0..100_000 {
        let x = -0.2 + 0.4 * (f64::from(i) + 0.5) / 100_000.0;
        across += x * normal_quantile(0.5 + x);
        square += x * x;
    }
    close(fitted.core_height, across / square, 1e-3, "Rk by least squares");

    let mut bits = Pcg64Mcg::seed_from_u64(116);
    let sampled: Vec<f64> = (0..8_000).map(|_| normal(&mut bits)).collect();
    let found = rk_values(&sampled, CoreLine::Secant).expect("values");
    close(found.core_height, 2.62200, 0.03 * 2.622, "Rk of 8,000 sampled heights");
}

/// A straight Abbott curve is all core; a plateau with grooves has valleys and hardly a peak.
#[test]
fn rk_of_straight_and_plateau() {
    let straight: Vec<f64> = (0..=1_000).map(|i| f64::from((i * 3) % 1_001) * 0.004).collect();
    for line in [CoreLine::Secant, CoreLine::LeastSquares] {
        let found = rk_values(&straight, line).expect("values");
        close(found.core_height, 4.0, 1e-9, "Rk = Rz");
        close(found.reduced_peak_height, 0.0, 1e-6, "Rpk");
        close(found.reduced_valley_depth, 0.0, 1e-6, "Rvk");
        let honed: Vec<f64> = (0..1_000)
            .map(|i| if i % 5 == 0 { -2.0 * f64::from(i) / 1_000.0 } else { 0.3 * f64::from(i) / 1_000.0 })
            .collect();
        let found = rk_values(&honed, line).expect("values");
        assert!(found.reduced_valley_depth > 3.0 * found.reduced_peak_height, "{found:?}");
        close(found.valley_ratio, 0.8, 0.03, "a fifth is grooves");
        let flat = rk_values(&[1.0; 50], line).expect("values");
        close(flat.core_height + flat.reduced_peak_height + flat.reduced_valley_depth, 0.0, 0.0, "flat");
    }
    assert!(matches!(rk_values(&[0.0; 3], CoreLine::Secant), Err(SurfaceError::TooFew { given: 3, .. })));
    assert!(matches!(
        rk_values(&[f64::NAN; 30], CoreLine::Secant),
        Err(SurfaceError::NotFinite { index: 0 })
    ));
}
