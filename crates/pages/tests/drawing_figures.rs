//! Gauge figures, enlarged drawings, fits and plots.

mod drawing_common;

use drawing_common::{check_svg, golden};
use engine::quantity::UnitSystem;
use pages::drawing::gauge::dot_position;
use pages::drawing::{
    Allowed, Axis, Deviations, Figures, FitDrawing, GaugeFigure, Item, Line, Plot, Round, Row, Surface,
    Value, bars, deck_figure, deviations, fit_drawing, gauge_figure, lash_figure, plot, ring_gap_figure,
};

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
        assert!(svg.contains(">0.54<") && svg.contains(">0.34<") && svg.contains(">not read<"));
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
