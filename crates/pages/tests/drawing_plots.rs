//! Curves with what is aimed at, loops, contours and compressor maps.

mod drawing_common;

use drawing_common::{check_svg, golden};
use pages::drawing::{
    Axis, Contour, Line, MapPlot, Marker, Plot, Reached, SpeedLine, Target, contour, map_plot, plot,
    plot_values,
};

fn square(x: f64) -> f64 {
    x * x
}

fn axis(label: &str, unit: &str) -> Axis {
    Axis { label: label.into(), unit: unit.into(), step: None }
}

fn curve() -> Plot {
    let at = |k: u32| 2000.0 + 400.0 * f64::from(k);
    let torque = |x: f64| 450.0 - 8.0 * square(x / 1000.0 - 5.5);
    let line = |label: &str, share: f64, n: usize| Line {
        label: label.into(),
        points: (0..16).map(|k| (at(k), share * torque(at(k)))).collect(),
        dashed: n > 0,
        marker: Marker::nth(n),
        ..Line::default()
    };
    Plot {
        title: "Torque".into(),
        x: axis("crank speed", "rev/min"),
        y: axis("torque", "N\u{b7}m"),
        lines: vec![line("run 3", 1.0, 0), line("run 2", 0.96, 1)],
        envelopes: vec![(0..16).map(|k| (at(k), 0.92 * torque(at(k)), 1.08 * torque(at(k)))).collect()],
        targets: vec![Target { at: (5500.0, 440.0), label: "duty".into() }],
        width: 640.0,
        height: 320.0,
        ..Plot::default()
    }
}

#[test]
fn lines_are_told_apart_without_colour_and_the_target_is_seen() {
    let svg = plot(&curve());
    check_svg(&svg, 40_000);
    for words in ["run 3", "run 2", "duty", "stroke-dasharray=\"6 3\"", "<circle", "crank speed, rev/min"] {
        assert!(svg.contains(words), "{words}");
    }
    assert!(
        svg.contains("6000 rev/min: run 3 448.0 N\u{b7}m, run 2 430.1 N\u{b7}m"),
        "values under the pointer"
    );
    let (head, rows) = plot_values(&curve(), 60);
    assert_eq!(head, ["crank speed, rev/min", "run 3, N\u{b7}m", "run 2, N\u{b7}m"]);
    assert_eq!(rows.len(), 16);
    assert_eq!(rows[10][1], "448.0");
}

/// One volume comes back in every stroke: the table goes round, and the pointer reads nothing.
#[test]
fn a_loop_is_listed_on_its_way_round() {
    let mut cycle = curve();
    cycle.lines =
        vec![Line { points: vec![(1.0, 40.0), (2.0, 13.0), (1.0, 8.0), (2.0, 1.0)], ..Line::default() }];
    let (_, rows) = plot_values(&cycle, 60);
    let pressures: Vec<&str> = rows.iter().map(|row| row[1].as_str()).collect();
    assert_eq!(pressures, ["40.00", "13.00", "8.00", "1.00"]);
    assert!(!plot(&cycle).contains("data-value"), "no single value to read off");
}

#[test]
fn lines_on_each_other_show_both_their_markers() {
    let mut twice = curve();
    twice.lines[1].points = twice.lines[0].points.clone();
    let svg = plot(&twice);
    assert_eq!(svg.matches("r=\"5.95\"").count(), 16, "a wider ring around each dot");
    assert!(!plot(&curve()).contains("r=\"5.95\""), "none where the lines lie apart");
    assert_eq!(svg.matches("r=\"3\"").count(), 16, "the dots stay");
}

#[test]
fn a_target_beside_the_end_of_a_line_is_labelled_where_nothing_stands() {
    let base_line = |svg: &str| {
        let before = svg[..svg.find(">duty<").expect("duty")].rfind(" y=\"").expect("a base line") + 4;
        svg[before..].split('"').next().and_then(|y| y.parse::<f64>().ok()).expect("a number")
    };
    let mut near = curve();
    near.lines.truncate(1);
    let end = near.lines[0].points[15];
    near.targets[0].at = (end.0 + 900.0, end.1 + 12.0);
    let moved = base_line(&plot(&near));
    near.lines[0].label = String::new();
    assert!(moved < base_line(&plot(&near)) - 20.0, "above instead of below");
}

#[test]
fn a_loop_is_read_at_its_points() {
    let turn = |k: i32| f64::from(k) * std::f64::consts::TAU / 60.0;
    let points = (0..=60)
        .map(|k| (300.0 + 200.0 * mechanics::math::cos(turn(k)), 40.0 + 30.0 * mechanics::math::sin(turn(k))))
        .collect();
    let lines = vec![Line { label: "cylinder 1".into(), points, ..Line::default() }];
    let plotted =
        Plot { loops: true, lines, x: axis("volume", "cm\u{b3}"), y: axis("pressure", "bar"), ..curve() };
    let svg = plot(&Plot { envelopes: Vec::new(), targets: Vec::new(), ..plotted });
    check_svg(&svg, 40_000);
    assert!(svg.contains("data-value=\"cylinder 1 500 cm\u{b3}, 40.0 bar\""));
}

fn sweep() -> Contour {
    let xs: Vec<f64> = (0..13).map(|k| 100.0 + f64::from(k)).collect();
    let ys: Vec<f64> = (0..9).map(|k| -8.0 + 2.0 * f64::from(k)).collect();
    let values = ys
        .iter()
        .map(|y| xs.iter().map(|x| Some(420.0 - 0.4 * square(x - 107.0) - 0.2 * square(y - 2.0))).collect())
        .collect();
    Contour {
        title: "Torque over cam timing".into(),
        x: axis("intake lobe centre", "\u{b0}"),
        y: axis("change of duration", "\u{b0}"),
        value: axis("torque", "N\u{b7}m"),
        xs,
        ys,
        values,
        dots: false,
        marks: vec![Target { at: (107.0, 2.0), label: "most".into() }],
        body: Vec::new(),
        width: 640.0,
        height: 420.0,
    }
}

#[test]
fn a_body_lies_beside_its_contour_in_the_same_scale() {
    // The plot is 360 px high for 16 units: 22.5 px each; a body 2 units across has walls 45 px apart.
    let svg = contour(&Contour { body: vec![(-8.0, 2.0), (8.0, 2.0)], ..sweep() });
    check_svg(&svg, 60_000);
    let walls: Vec<f64> = svg
        .split('<')
        .filter(|tag| tag.contains("stroke-width=\"1.6\" stroke-linejoin") && tag.contains(" d=\"M"))
        .filter_map(|tag| tag.split(" d=\"M").nth(1)?.split(' ').next()?.parse().ok())
        .collect();
    assert_eq!(walls.len(), 2, "{svg}");
    assert!((walls[1] - walls[0] - 45.0).abs() < 0.02, "{walls:?}");
    let broad = contour(&Contour { body: vec![(-8.0, 12.0), (8.0, 12.0)], ..sweep() });
    assert_eq!(broad, contour(&sweep()), "too broad to be to scale: left out");
}

#[test]
fn a_contour_labels_its_lines_and_leaves_out_what_is_not_known() {
    let svg = contour(&sweep());
    check_svg(&svg, 60_000);
    assert!(svg.contains(">410</text>") && svg.contains("most"), "labelled");
    assert!(svg.contains(
        "data-value=\"intake lobe centre 107.0 \u{b0}, change of duration 2.0 \u{b0}: 420.00 N\u{b7}m\""
    ));
    let mut holes = sweep();
    holes.values[3][4] = None;
    holes.values[5][5] = Some(f64::NAN);
    check_svg(&contour(&holes), 60_000);
    let dotted = contour(&Contour { dots: true, ..holes });
    assert_eq!(dotted.matches("r=\"1.8\"").count(), 13 * 9 - 2, "a dot for each value that is there");
    assert_eq!(contour(&Contour { xs: vec![1.0], ..sweep() }), "");
}

fn map() -> MapPlot {
    let line = |k: u32| {
        let q = 0.5 + 0.1 * f64::from(k);
        let at = |j: u32| f64::from(j) / 7.0;
        SpeedLine {
            label: format!("{} rev/min", 60_000 + 12_000 * k),
            points: (0..8)
                .map(|j| {
                    let flow = 0.08 * q + 0.4 * q * q * (0.35 + 0.65 * at(j));
                    (
                        flow,
                        1.0 + 2.2 * q * q * (1.0 - 0.45 * at(j) * square(at(j))),
                        0.7 + 0.08 * (1.0 - square(2.0 * at(j) - 1.0)),
                    )
                })
                .collect(),
        }
    };
    let reached = |k: u32| Reached {
        at: (0.1 + 0.03 * f64::from(k), 1.4 + 0.12 * f64::from(k)),
        label: format!("{} rev/min", 3000 + 1000 * k),
        beyond: k == 5,
    };
    MapPlot {
        title: "Operating line on the compressor map".into(),
        x: axis("corrected flow", "kg/s"),
        y: axis("pressure ratio", ""),
        lines: (0..6).map(line).collect(),
        operating: (0..6).map(reached).collect(),
        width: 680.0,
        height: 460.0,
    }
}

#[test]
fn a_map_shows_where_the_engine_runs_and_what_is_beyond() {
    let svg = map_plot(&map());
    check_svg(&svg, 60_000);
    for words in [
        "surge line",
        "8000 rev/min: 0.250 kg/s, pressure ratio 2.000, beyond a limit of the map",
        "1 of them beyond",
    ] {
        assert!(svg.contains(words), "{words}: {svg}");
    }
    let empty = MapPlot { lines: Vec::new(), operating: Vec::new(), ..map() };
    assert_eq!(map_plot(&empty), "");
    let one = MapPlot { lines: map().lines[..1].to_vec(), ..map() };
    check_svg(&map_plot(&one), 60_000);
}

#[test]
fn plots_look_as_they_were_signed_off() {
    golden("plot_curve.svg", &plot(&curve()));
    golden("plot_contour.svg", &contour(&sweep()));
    golden("plot_map.svg", &map_plot(&map()));
}
