//! Gauge figures, enlarged drawings, fits and plots.

mod drawing_common;

use drawing_common::{check_svg, golden};
use engine::quantity::UnitSystem;
use pages::drawing::gauge::dot_position;
use pages::drawing::{
    Allowed, Axis, Deviations, Figures, FitDrawing, GaugeFigure, Item, Line, Plot, Round, Row, Surface,
    Value, bars, bore_form, deck_figure, deviations, fit_drawing, gauge_figure, lash_figure, plot,
    ring_gap_figure,
};

/// Bores from above as two bores were read: the first round and 0.020 mm over at the top, the second oval, unread in the middle.
fn two_bores() -> Deviations<'static> {
    let read = |thrust: f64, along: f64| [thrust, along].map(|mm| Some(Value::of(mm / 1000.0, 2e-6)));
    let round = |label: &str, levels: [[Option<Value>; 2]; 3]| Round {
        label: label.into(),
        levels: levels.to_vec(),
        stops: false,
    };
    Deviations {
        surface: Surface::Bore,
        rounds: vec![
            round("1", [read(90.02, 90.02), read(90.0, 90.0), read(90.0, 90.0)]),
            round("2", [read(90.02, 89.98), [None, None], read(89.98, 90.02)]),
        ],
        levels: &["top", "middle", "bottom"],
        directions: ["thrust", "along the crank"],
        reference: Some(0.09),
        allowed: Allowed { min: Some(0.08999), max: Some(0.09001) },
        figures: Figures::fine_lengths(UnitSystem::Metric),
        width: 700.0,
    }
}

/// Points of every outline of a drawing: the closed lines of more than four points, in the order of drawing.
fn outlines(svg: &str) -> Vec<Vec<(f64, f64)>> {
    let of = |data: &str| -> Vec<(f64, f64)> {
        let points = data.trim_end_matches('Z').split(['M', 'L']).filter(|point| !point.is_empty());
        points
            .map(|point| {
                let (x, y) = point.split_once(' ').expect("x and y");
                (x.parse().expect("x"), y.parse().expect("y"))
            })
            .collect()
    };
    let data = svg.split("<path d=\"").skip(1).filter_map(|rest| rest.split('"').next());
    data.filter(|data| data.ends_with('Z')).map(of).filter(|points: &Vec<_>| points.len() > 4).collect()
}

/// How far an outline reaches from its centre across the page and up it, on the two diameters that were read, and its centre.
/// The first point lies to the right; a dented oval may bulge farther between the diameters.
fn extent(points: &[(f64, f64)]) -> ((f64, f64), (f64, f64)) {
    let quarter = points.len() / 4;
    let (right, top, left, foot) = (points[0], points[quarter], points[2 * quarter], points[3 * quarter]);
    let centre = (f64::midpoint(left.0, right.0), f64::midpoint(top.1, foot.1));
    (((right.0 - left.0) / 2.0, (foot.1 - top.1) / 2.0), centre)
}

#[test]
fn a_bore_from_above_is_as_wide_and_as_long_as_it_was_read() {
    let svg = bore_form(&two_bores());
    check_svg(&svg, 40_000);
    let drawn: Vec<_> = outlines(&svg).iter().map(|points| extent(points)).collect();
    let [top, middle, bottom, oval, across] = drawn[..] else {
        panic!("five heights were read in both directions, drawn: {}", drawn.len());
    };
    let near = |a: f64, b: f64| (a - b).abs() < 0.1;
    // What is read at the reference is the circle of the reference; what is larger stands outside of it, as far both ways.
    assert!(near(middle.0.0, 50.0) && near(middle.0.1, 50.0), "{middle:?}");
    assert!(near(bottom.0.0, 50.0) && near(bottom.0.1, 50.0), "{bottom:?}");
    let over = top.0.0 - 50.0;
    assert!(over > 5.0 && near(top.0.1, top.0.0), "{top:?}");
    // Thrust goes across the page and the crank up it; 0.020 mm under stands as far inside as 0.020 mm over outside.
    assert!(near(oval.0.0, 50.0 + over) && near(oval.0.1, 50.0 - over), "{oval:?}");
    assert!(near(across.0.0, 50.0 - over) && near(across.0.1, 50.0 + over), "{across:?}");
    // The heights of a bore lie over each other, the second bore to the right of the first in the same row.
    assert!(near(top.1.0, bottom.1.0) && near(top.1.1, bottom.1.1) && near(oval.1.0, across.1.0));
    assert!(oval.1.0 > top.1.0 + 2.0 * 60.0 && near(oval.1.1, top.1.1), "{oval:?}");
    // Words for who cannot see it, and what is missing said.
    assert!(svg.contains("bore 2: top 90.020 and 89.980, middle not read and not read"), "{svg}");
    assert!(svg.contains("a height is not read yet"), "{svg}");
    // The number of each stands over it.
    for (number, bore) in [("1", top), ("2", oval)] {
        let text = svg.split("<text ").find(|text| text.contains(&format!(">{number}</text>")));
        let x: f64 =
            text.and_then(|t| t.split("x=\"").nth(1)?.split('"').next()?.parse().ok()).expect("its number");
        assert!(near(x, bore.1.0), "bore {number} at {x}");
    }
}

#[test]
fn bores_from_above_need_both_directions_of_a_height() {
    let mut drawing = two_bores();
    for level in drawing.rounds.iter_mut().flat_map(|round| &mut round.levels) {
        level[1] = None;
    }
    assert_eq!(bore_form(&drawing), "");
}

fn gauge(value: f64, min: Option<f64>, max: Option<f64>) -> GaugeFigure {
    GaugeFigure {
        reading: Some((value, 0.1)),
        min,
        max,
        predicted: false,
        stale: false,
        stops: false,
        words: "in words".into(),
    }
}

fn dot(figure: &GaugeFigure) -> f64 {
    dot_position(&gauge_figure(figure)).expect("a dot").parse().expect("a number")
}

#[test]
fn no_reading_no_figure() {
    let mut figure = gauge(1.0, Some(0.0), Some(2.0));
    figure.reading = None;
    assert_eq!(gauge_figure(&figure), "");
    assert_eq!(gauge_figure(&gauge(f64::NAN, Some(0.0), Some(2.0))), "");
    assert_eq!(gauge_figure(&gauge(1.0, None, None)), "", "nothing to compare with");
}

#[test]
fn the_dot_stands_between_the_strokes_when_the_value_is_inside() {
    let middle = dot(&gauge(5.0, Some(4.0), Some(6.0)));
    assert!((middle - 63.0).abs() < 0.01, "{middle}");
    let svg = gauge_figure(&gauge(5.0, Some(4.0), Some(6.0)));
    check_svg(&svg, 1_500);
    assert!(dot(&gauge(4.2, Some(4.0), Some(6.0))) < middle);
    // One-sided: least 2.80, read 2.67 stands left of its stroke, 2.90 right of it.
    let (bad, good) = (dot(&gauge(2.67, Some(2.8), None)), dot(&gauge(2.9, Some(2.8), None)));
    assert!(bad < good, "{bad} {good}");
}

#[test]
fn off_scale_values_stand_at_the_end_with_an_arrow() {
    assert!((dot(&gauge(90.0, Some(4.0), Some(6.0))) - 111.0).abs() < 0.01);
    assert!((dot(&gauge(-90.0, Some(4.0), Some(6.0))) - 15.0).abs() < 0.01);
}

#[test]
fn predicted_is_dashed_stale_is_hatched_only_stops_are_red() {
    let plain = gauge_figure(&gauge(5.0, Some(4.0), Some(6.0)));
    assert!(!plain.contains("dasharray") && !plain.contains("0.45") && !plain.contains("#9a3412"));
    let predicted = gauge_figure(&GaugeFigure { predicted: true, ..gauge(5.0, Some(4.0), Some(6.0)) });
    assert!(predicted.contains("stroke-dasharray"));
    let stale = gauge_figure(&GaugeFigure { stale: true, ..gauge(5.0, Some(4.0), Some(6.0)) });
    assert!(stale.contains("stroke-width=\"0.45\""));
    let stops = gauge_figure(&GaugeFigure { stops: true, ..gauge(5.0, Some(4.0), Some(6.0)) });
    assert!(stops.contains("#9a3412"));
}

fn bores(count: usize) -> String {
    let level = |d: f64| [Some(Value::of(d, 2e-6)), Some(Value::of(d + 1e-6, 2e-6))];
    let rounds = (1..=count)
        .map(|n| Round {
            label: n.to_string(),
            levels: match n {
                2 => vec![level(0.089_103), level(0.089_098), level(0.089_082)],
                3 => vec![level(0.089_099), [None, None], [None, None]],
                _ => vec![level(0.089_100); 3],
            },
            stops: n == 2,
        })
        .collect();
    deviations(&Deviations {
        surface: Surface::Bore,
        rounds,
        levels: &["top", "mid", "low"],
        directions: ["thrust", "along"],
        reference: Some(0.0891),
        allowed: Allowed { min: Some(0.089_09), max: Some(0.089_11) },
        figures: Figures::fine_lengths(UnitSystem::Metric),
        width: 1100.0,
    })
}

#[test]
fn one_to_twelve_bores_are_drawn_with_their_figures() {
    for count in 1..=12 {
        let svg = bores(count);
        check_svg(&svg, 60_000);
        assert!(svg.contains("89.100"));
        assert!(svg.contains("allowed 89.090 to 89.110"));
        assert_eq!(svg.contains("89.082"), count >= 2, "the taper of bore 2 is written");
    }
    assert_eq!(bores(0), "");
}

fn row() -> Row {
    let item = |label: &str, value: Option<f64>, stops| Item {
        label: label.into(),
        value: value.map(|v| Value::of(v, 1e-5)),
        allowed: None,
        note: "2.65".into(),
        stops,
    };
    Row {
        title: "top ring end gap".into(),
        items: vec![item("1", Some(5.4e-4), false), item("2", Some(3.4e-4), true), item("3", None, false)],
        allowed: Allowed { min: Some(5e-4), max: Some(6e-4) },
        figures: Figures::lengths(UnitSystem::Metric),
        width: 640.0,
    }
}

#[test]
fn rows_write_each_value_and_say_what_was_not_read() {
    for svg in [ring_gap_figure(&row()), lash_figure(&row()), bars(&row()), deck_figure(&row(), None)] {
        check_svg(&svg, 12_000);
        assert!(svg.contains(">0.54<") && svg.contains(">0.34 bad<") && svg.contains(">not read<"));
        assert!(svg.contains("2 0.34 mm, stops the build"), "the words say it as well");
    }
    let nothing = Row { items: Vec::new(), ..row() };
    assert_eq!(bars(&nothing), "");
    assert_eq!(ring_gap_figure(&nothing), "");
}

fn fit() -> FitDrawing {
    FitDrawing {
        title: "rod bearing 2: crank pin in big end".into(),
        outer_label: "big end".into(),
        outer: Some(Value::of(0.049_510, 2e-6)),
        inner_label: "crank pin".into(),
        inner: Some(Value::of(0.046_471, 2e-6)),
        shells: Some((Value::of(0.001_486_5, 1e-6), Value::of(0.001_486_5, 1e-6))),
        clearance: Some(Value { predicted: true, ..Value::of(0.000_066, 4e-6) }),
        allowed: Allowed { min: Some(46e-6), max: Some(60e-6) },
        stops: true,
        figures: Figures::fine_lengths(UnitSystem::Metric),
        width: 300.0,
    }
}

#[test]
fn a_fit_carries_its_sizes_on_dimension_lines() {
    let svg = fit_drawing(&fit());
    check_svg(&svg, 8_000);
    for figure in ["⌀ 49.510", "⌀ 46.471", "1.4865", "0.066 ± 0.004", "on diameter", "predicted, not"] {
        assert!(svg.contains(figure), "{figure}");
    }
    let unread =
        fit_drawing(&FitDrawing { outer: None, inner: None, clearance: None, shells: None, ..fit() });
    check_svg(&unread, 8_000);
    assert!(unread.contains("not read yet"));
}

fn sine() -> Plot {
    Plot {
        title: "Piston speed".into(),
        x: Axis { label: "crank angle".into(), unit: "°".into(), step: Some(60.0) },
        y: Axis { label: "speed".into(), unit: "m/s".into(), step: None },
        lines: vec![Line {
            label: "speed".into(),
            points: (0..=36).map(|i| (f64::from(10 * i), f64::from(i * (36 - i)) / 9.0)).collect(),
            ..Line::default()
        }],
        bands: vec![(10.0, 20.0)],
        width: 560.0,
        height: 280.0,
        ..Plot::default()
    }
}

#[test]
fn a_plot_says_its_values_on_hover_and_in_words() {
    let svg = plot(&sine());
    check_svg(&svg, 20_000);
    assert!(svg.contains("data-value=\"180 °: speed 36"), "the peak is under the pointer");
    assert!(svg.contains("crank angle, °") && svg.contains("speed, m/s"), "units on the axes");
    let mut empty = sine();
    empty.lines[0].points.clear();
    assert_eq!(plot(&empty), "");
    let mut broken = sine();
    broken.lines[0].points[5].1 = f64::NAN;
    check_svg(&plot(&broken), 20_000);
}

#[test]
fn figures_look_as_they_were_signed_off() {
    golden("gauge_inside.svg", &gauge_figure(&gauge(5.0, Some(4.0), Some(6.0))));
    golden(
        "gauge_stale_one_sided.svg",
        &gauge_figure(&GaugeFigure { stale: true, stops: true, ..gauge(2.67, Some(2.8), None) }),
    );
    golden("bores_four.svg", &bores(4));
    golden("fit_rod_bearing.svg", &fit_drawing(&fit()));
    golden("ring_gaps.svg", &ring_gap_figure(&row()));
    golden("plot.svg", &plot(&sine()));
}
