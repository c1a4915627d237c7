//! The engine section: true geometry for every layout, balloons that do not cross, sound SVG whatever the document says.

mod drawing_common;

use drawing_common::{check_svg, golden, layout, mm};
use engine::document::{Arrangement, Document};
use engine::features::Side;
use pages::drawing::places::Places;
use pages::drawing::section::{Area, Height, Sides, cross, place, spread};
use pages::drawing::sizes::Sizes;
use pages::drawing::{Anchor, Balloon, SectionOptions, engine_section};

/// Layouts of the issue: I1 to I6, V2 to V12, flat.
fn layouts() -> Vec<Document> {
    let mut all: Vec<Document> = (1..=6).map(|n| layout(Arrangement::Inline, n, None)).collect();
    for n in [2, 4, 6, 8, 10, 12] {
        all.extend([45.0, 60.0, 72.0, 90.0].map(|angle| layout(Arrangement::Vee, n, Some(angle))));
        all.push(layout(Arrangement::Flat, n, None));
    }
    all
}

fn fired(arrangement: Arrangement, angle: Option<f64>, order: &[u32], throws: Option<&[u32]>) -> Document {
    let mut document = layout(arrangement, order.len() as u32, angle);
    document.layout.firing_order = Some(order.to_vec());
    document.layout.throw_of_cylinder = throws.map(<[u32]>::to_vec);
    document
}

/// Greatest height of the pin at or near this crank angle says top dead centre.
fn stands_at_top(document: &Document, cylinder: u32, crank_deg: f64) -> bool {
    let sizes = Sizes::of(document);
    let places = Places::of(document, &sizes);
    let Some(at) = places.cylinder(cylinder) else { return false };
    let height = places.pin_height(at, crank_deg, &sizes);
    (height - (sizes.rod.mm + sizes.radius())).abs() < 1e-6 * sizes.rod.mm
}

/// Bank a carries the first half of the numbers.
fn row_after_row(mut document: Document) -> Document {
    let cylinders = document.layout.cylinders.expect("given");
    document.layout.banks =
        Some(vec![(1..=cylinders / 2).collect(), (cylinders / 2 + 1..=cylinders).collect()]);
    document
}

/// Barrels stand on a crankcase: each has its walls and its shim, and no wall of a block runs up between them.
#[test]
fn separate_barrels_are_drawn_on_a_crankcase() {
    let block = layout(Arrangement::Inline, 2, None);
    let mut barrels = block.clone();
    barrels.block.cylinders = Some(engine::document::Cylinders::SeparateBarrels);
    barrels.block.barrel_shim = mm(0.5);
    let drawn = |document: &Document| engine_section(document, &SectionOptions::default());
    assert_ne!(drawn(&block), drawn(&barrels));
    golden("section_barrels.svg", &drawn(&barrels));
    let mut all = layouts();
    for document in &mut all {
        document.block.cylinders = barrels.block.cylinders;
        check_svg(&drawn(document), 400_000);
    }
}

#[test]
fn each_cylinder_stands_at_top_dead_centre_when_it_fires() {
    // Even firing, orders of common practice (no source): 720/n apart, each at its top.
    let engines = vec![
        fired(Arrangement::Inline, None, &[1, 2, 3], None),
        fired(Arrangement::Inline, None, &[1, 3, 4, 2], None),
        fired(Arrangement::Inline, None, &[1, 2, 4, 5, 3], None),
        fired(Arrangement::Inline, None, &[1, 5, 3, 6, 2, 4], None),
        row_after_row(fired(Arrangement::Vee, Some(90.0), &[1, 3, 6, 2, 7, 8, 4, 5], None)),
        fired(Arrangement::Flat, None, &[1, 6, 2, 4, 3, 5], Some(&[1, 2, 3, 4, 5, 6])),
    ];
    for document in engines {
        let order = document.layout.firing_order.clone().expect("given above");
        for (k, cylinder) in order.iter().enumerate() {
            let angle = 720.0 * k as f64 / order.len() as f64;
            assert!(
                stands_at_top(&document, *cylinder, angle),
                "cylinder {cylinder} of {order:?} at {angle}°"
            );
            assert!(!stands_at_top(&document, *cylinder, angle + 90.0), "moves away from the top");
        }
    }
}

#[test]
fn a_vee_twelve_shares_its_pins_and_still_fires_evenly() {
    let mut document = fired(Arrangement::Vee, Some(60.0), &[1, 12, 5, 8, 3, 10, 6, 7, 2, 11, 4, 9], None);
    document.layout.banks = Some(vec![(1..=6).collect(), (7..=12).collect()]);
    for (k, cylinder) in document.layout.firing_order.clone().expect("given above").iter().enumerate() {
        assert!(stands_at_top(&document, *cylinder, 60.0 * k as f64), "cylinder {cylinder}");
    }
}

#[test]
fn written_throws_stand_ahead_in_the_direction_of_turning() {
    // The throw written 90° ahead points up 90° of turning sooner: at 270° after throw 1.
    let mut document = layout(Arrangement::Inline, 4, None);
    let throws = [0.0, 90.0, 270.0, 180.0];
    document.layout.throws = Some(throws.map(|a: f64| engine::quantity::Angle(a.to_radians())).to_vec());
    for (cylinder, top) in [(1, 0.0), (2, 270.0), (3, 90.0), (4, 180.0)] {
        assert!(stands_at_top(&document, cylinder, top), "cylinder {cylinder} at {top}°");
    }
}

#[test]
fn every_layout_draws_at_every_angle() {
    for document in layouts() {
        for angle in [0.0, 37.0, 90.0, 180.0, 271.5, 719.0, -30.0, f64::NAN] {
            let options = SectionOptions { crank_angle_deg: angle, ..SectionOptions::default() };
            let svg = engine_section(&document, &options);
            check_svg(&svg, 170_000);
            let numbers = document.layout.cylinders.unwrap_or(0);
            for n in 1..=numbers {
                assert!(svg.contains(&format!(">{n}</text>")), "cylinder {n} is numbered");
            }
        }
    }
}

#[test]
fn an_almost_empty_document_is_a_dashed_sketch_without_figures() {
    let mut document = Document::default();
    for cylinders in [None, Some(0), Some(4), Some(99)] {
        document.layout.cylinders = cylinders;
        let svg = engine_section(&document, &SectionOptions::default());
        check_svg(&svg, 60_000);
        assert!(svg.contains("stroke-dasharray=\"5 3\""), "parts are dashed");
        assert!(!svg.contains("⌀"), "no size is claimed");
        assert!(!svg.contains("stroke-width=\"0.45\""), "nothing is hatched as if it were known");
    }
}

#[test]
fn absurd_sizes_are_drawn_as_not_given() {
    for bad in [-89.0, 0.0, 1e9, f64::NAN, f64::INFINITY, 1e-9] {
        let mut document = layout(Arrangement::Vee, 8, Some(90.0));
        document.layout.bore = mm(bad);
        document.layout.stroke = mm(bad);
        document.layout.pitch = mm(bad);
        document.rods.length = mm(bad);
        document.block.deck_height = mm(bad);
        document.springs.installed = mm(bad);
        document.layout.throw_of_cylinder = Some(vec![1, 99, 0]);
        document.layout.banks = Some(vec![vec![1, 1, 2], vec![7]]);
        check_svg(&engine_section(&document, &SectionOptions::default()), 170_000);
    }
}

#[test]
fn the_bore_is_drawn_to_scale_of_the_deck_height() {
    let document = layout(Arrangement::Inline, 4, None);
    let svg =
        engine_section(&document, &SectionOptions { crank_angle_deg: 0.0, ..SectionOptions::default() });
    // Two dimension lines of the same drawing: their lengths stand in the ratio of the sizes.
    let bore = dimension_length(&svg, "⌀ 92.00", true);
    let deck = dimension_length(&svg, "208.00", false);
    assert!((bore / deck - 92.0 / 208.0).abs() < 0.002, "{bore} px to {deck} px");
}

/// Length of the last line drawn before a dimension's figure and its arrows.
fn dimension_length(svg: &str, figure: &str, along: bool) -> f64 {
    let end = svg.find(&format!(">{figure}<")).expect("the figure is drawn");
    let lines: Vec<&str> = svg[..end].split("<path d=\"").collect();
    let line = lines[lines.len() - 3].split('"').next().expect("a path");
    let numbers: Vec<f64> =
        line.split(['M', 'L', ' ']).filter(|t| !t.is_empty()).map(|t| t.parse().expect("a number")).collect();
    if along { (numbers[2] - numbers[0]).abs() } else { (numbers[3] - numbers[1]).abs() }
}

#[test]
fn leaders_of_many_balloons_do_not_cross() {
    let outline = Area { left: 100.0, top: 80.0, right: 700.0, bottom: 560.0 };
    let mut seed = 7_u64;
    let mut random = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / f64::from(1_u32 << 31)
    };
    for round in 0..200 {
        let count = 1 + round % 24;
        let anchors: Vec<(f64, f64)> =
            (0..count).map(|_| (100.0 + 600.0 * random(), 80.0 + 480.0 * random())).collect();
        let sides = Sides { top: true, bottom: true, left: true, right: round % 2 == 0 };
        let places = place(&anchors, outline, sides);
        for i in 0..count {
            let (x, y) = places[i];
            let inside = x > outline.left && x < outline.right && y > outline.top && y < outline.bottom;
            assert!(!inside, "balloon {i} stands on the drawing");
            for j in 0..i {
                assert!(
                    !cross(anchors[i], places[i], anchors[j], places[j]),
                    "leaders {i} and {j} of {count}"
                );
                let (dx, dy) = (x - places[j].0, y - places[j].1);
                assert!((dx * dx + dy * dy).sqrt() > 24.0, "balloons {i} and {j} of {count} do not touch");
            }
        }
    }
}

#[test]
fn spreading_keeps_the_order_the_gap_and_the_range() {
    let placed = spread(&[50.0, 51.0, 52.0, 300.0], 40.0, 0.0, 320.0);
    assert!(placed.windows(2).all(|w| w[1] - w[0] >= 40.0 - 1e-9), "{placed:?}");
    assert!(placed.iter().all(|p| (0.0..=320.0).contains(p)));
    assert!((placed[1] - 51.0).abs() < 1e-9, "the middle one of three stays where it wants to be");
    assert!((placed[3] - 300.0).abs() < 1e-9, "who has room does not move");
}

#[test]
fn balloons_are_links_with_words_and_only_stops_are_red() {
    let document = layout(Arrangement::Inline, 4, None);
    let balloon = |number, stops| Balloon {
        number,
        anchor: Anchor::Bore(3, Height::Mid),
        label: "bore 3 <thin>".into(),
        href: "#finding-1?a=1&b=2".into(),
        stops,
    };
    let calm = engine_section(
        &document,
        &SectionOptions { balloons: &[balloon(1, false)], ..SectionOptions::default() },
    );
    assert!(!calm.contains("#9a3412"), "nothing is red unless it stops the build");
    let alarmed = engine_section(
        &document,
        &SectionOptions { balloons: &[balloon(1, true)], ..SectionOptions::default() },
    );
    assert!(alarmed.contains("#9a3412"));
    assert!(
        alarmed.contains("aria-label=\"1 bore 3 &lt;thin&gt;, stops the build\""),
        "escaped and in words"
    );
    assert!(alarmed.contains("href=\"#finding-1?a=1&amp;b=2\""));
    check_svg(&alarmed, 120_000);
}

#[test]
fn sections_look_as_they_were_signed_off() {
    golden(
        "section_single.svg",
        &engine_section(
            &layout(Arrangement::Inline, 1, None),
            &SectionOptions { crank_angle_deg: 40.0, ..SectionOptions::default() },
        ),
    );
    golden(
        "section_flat_two.svg",
        &engine_section(
            &layout(Arrangement::Flat, 2, None),
            &SectionOptions { crank_angle_deg: 40.0, ..SectionOptions::default() },
        ),
    );
    golden(
        "section_vee_two.svg",
        &engine_section(
            &layout(Arrangement::Vee, 2, Some(60.0)),
            &SectionOptions { crank_angle_deg: 40.0, ..SectionOptions::default() },
        ),
    );
}

/// The end of the only leader: the ring or dot on the part.
fn pointed_at(anchor: Anchor) -> (f64, f64, bool) {
    let mut document = layout(Arrangement::Inline, 4, None);
    (document.layout.intake_valves, document.layout.exhaust_valves) = (Some(2), Some(2));
    let balloon = Balloon { number: 1, anchor, label: "it".into(), href: "#it".into(), stops: false };
    let svg =
        engine_section(&document, &SectionOptions { balloons: &[balloon], ..SectionOptions::default() });
    let end = svg.split("<circle ").find(|c| c.contains("r=\"2.8\"")).expect("a leader ends on the part");
    let of = |name: &str| -> f64 {
        let from = end.find(&format!("{name}=\"")).expect("it stands there") + name.len() + 2;
        end[from..].split('"').next().and_then(|t| t.parse().ok()).expect("a number")
    };
    (of("cx"), of("cy"), svg.contains("stroke-width=\"0.9\" stroke-dasharray=\"5 3\"/>"))
}

/// Told apart without colour: what stops the build has a second ring, and its leader ends there.
#[test]
fn what_stops_the_build_has_a_second_ring() {
    let document = layout(Arrangement::Inline, 4, None);
    let rings = |stops| {
        let balloon =
            Balloon { number: 1, anchor: Anchor::Engine, label: "it".into(), href: "#it".into(), stops };
        let svg =
            engine_section(&document, &SectionOptions { balloons: &[balloon], ..SectionOptions::default() });
        let balloon = svg
            .split("class=\"balloon\"")
            .nth(1)
            .and_then(|s| s.split("</a>").next())
            .expect("it")
            .to_owned();
        balloon.matches("stroke=\"").count()
    };
    assert_eq!((rings(false), rings(true)), (1, 2));
}

/// An injector hangs at the intake port of its cylinder; an exhaust valve behind the cut has a leader that says so.
#[test]
fn balloons_point_to_their_own_part() {
    let parsed = engine::document::parse_with_readings(
        include_str!("../../../examples/hill-climb-four.toml"),
        "e.toml",
        include_str!("../../../examples/hill-climb-four.readings.csv"),
        "r.csv",
    );
    let engine = engine::Engine::new(parsed.document.expect("it parses"), Vec::new(), Vec::new());
    let assessment = engine::assess(&engine);
    let injector = assessment.findings.iter().find(|f| f.id == "injector_flow/3.2").expect("asked");
    assert_eq!(Anchor::of(injector), Anchor::Injector(3));

    let (third, first) = (pointed_at(Anchor::Injector(3)).0, pointed_at(Anchor::Injector(1)).0);
    let bores = pointed_at(Anchor::Chamber(3)).0 - pointed_at(Anchor::Chamber(1)).0;
    assert!((third - first - bores).abs() < 0.2, "as far apart as their cylinders");
    assert!(pointed_at(Anchor::Injector(3)).1 < pointed_at(Anchor::Chamber(3)).1, "over the chamber");

    let (intake, _, dashed) = pointed_at(Anchor::Valve(Side::Intake, 3, 'b'));
    assert!(!dashed, "it stands in the cut");
    let (exhaust, _, dashed) = pointed_at(Anchor::Valve(Side::Exhaust, 3, 'b'));
    assert!(dashed, "it stands behind the cut");
    assert!((exhaust - intake).abs() > 0.2, "the smaller heads stand nearer together");
}
