//! Inside one cycle: pressure and volume, flow through the valves, waves in the ducts, the compressor map.

use super::curve::{HEIGHT, WIDTH};
use super::units::{degrees, hundreds, rev};
use super::{
    PowerView, ShownRun, caution, figure, page, plot_box, published, stale, table_under, values_table,
};
use crate::drawing::{self, Axis, Contour, Line, MapPlot, Marker, Plot, Reached, SpeedLine};
use crate::words::{grouped, sentence};
use engine::features::Side;
use engine::power::{Flag, PowerPoint, PowerRun, PowerTrace, ValveFlow};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};
use mechanics::math::log10;

/// The page at the point of number `at` (the one with most power when it is not there), for a cylinder (1 first).
pub fn inside_page(
    power: &PowerView,
    shown: Option<&ShownRun>,
    at: Option<usize>,
    cylinder: Option<u32>,
) -> String {
    let body = html! {
        h1 { "Inside a cycle" }
        (caution())
        @match shown {
            None => { p.quiet { "Nothing computed yet." } }
            Some(shown) => {
                (stale(power, &shown.changes))
                (published(&shown.run.inputs))
                (choose(power, shown, at, cylinder))
                @if let Some(trace) = point(shown.run, at).and_then(|p| p.trace.as_ref()) { (cycle(power, trace, cylinder)) }
                @else { p { "This run was made without its cycles: compute the curve again to see inside." } }
                (valves(power, shown.run))
                (map(power, shown.run))
            }
        }
    };
    page(power, "Inside a cycle", &body)
}

/// The point asked for, else that of the greatest power.
fn point(run: &PowerRun, at: Option<usize>) -> Option<&PowerPoint> {
    let best = || run.points.iter().max_by(|a, b| a.power.total_cmp(&b.power));
    at.and_then(|n| run.points.get(n)).or_else(best)
}

fn choose(power: &PowerView, shown: &ShownRun, at: Option<usize>, cylinder: Option<u32>) -> Markup {
    let here = point(shown.run, at).map(|p| p.speed);
    let trace = point(shown.run, at).and_then(|p| p.trace.as_ref());
    let cylinders = trace.map_or(0, |t| t.pressure.len());
    html! {
        form.range.no-print method="get" action=(power.at("inside")) {
            input type="hidden" name="run" value=(shown.line.number);
            label { "Crank speed" select name="point" {
                @for (n, point) in shown.run.points.iter().enumerate() {
                    option value=(n) selected[here == Some(point.speed)] { (rev(point.speed)) " rev/min" }
                }
            } }
            @if cylinders > 1 {
                label { "Cylinder" select name="cylinder" {
                    @for number in 1..=cylinders { option value=(number) selected[trace.map(|t| index(t, cylinder) + 1) == Some(number)] { (number) } }
                } }
            }
            button type="submit" { "Show" }
        }
        @if let Some(speed) = here { p { "Run " (shown.line.number) ", " (rev(speed)) " rev/min." } }
    }
}

/// Place in the lists of the cylinder asked for, else of the one whose ducts are kept.
fn index(trace: &PowerTrace, cylinder: Option<u32>) -> usize {
    let place =
        |number: u32| usize::try_from(number).ok()?.checked_sub(1).filter(|i| *i < trace.pressure.len());
    cylinder.and_then(place).or_else(|| place(trace.cylinder)).unwrap_or(0)
}

fn cycle(power: &PowerView, trace: &PowerTrace, cylinder: Option<u32>) -> Markup {
    let index = index(trace, cylinder);
    html! {
        section {
            h2 { "Cylinder " (index + 1) " over one cycle" }
            div.plot-row {
                (figure(&pressure_volume(power, trace, index)))
                (figure(&logarithmic(power, trace, index)))
                (figure(&over_angle(power, trace, index)))
                (figure(&flows(power, trace, index)))
            }
            (ducts(power, trace, index))
        }
    }
}

/// Waves in the ducts of the cylinder that is looked at, else of the one that is kept.
fn ducts(power: &PowerView, trace: &PowerTrace, index: usize) -> Markup {
    let wanted = index as u32 + 1;
    let other = trace.others.iter().find(|other| other.cylinder == wanted);
    let cylinder = other.map_or(trace.cylinder, |other| other.cylinder);
    let (angle, intake, exhaust) = match other {
        Some(o) => (
            &o.angle,
            DuctShown { pressures: &o.intake_duct, cells: &o.intake_cells, diameters: &o.intake_diameters },
            DuctShown {
                pressures: &o.exhaust_duct,
                cells: &o.exhaust_cells,
                diameters: &o.exhaust_diameters,
            },
        ),
        None => (
            &trace.angle,
            DuctShown {
                pressures: &trace.intake_duct,
                cells: &trace.intake_cells,
                diameters: &trace.intake_diameters,
            },
            DuctShown {
                pressures: &trace.exhaust_duct,
                cells: &trace.exhaust_cells,
                diameters: &trace.exhaust_diameters,
            },
        ),
    };
    html! {
        h2 { "Pressure along the ducts of cylinder " (cylinder) }
        @if cylinder != wanted {
            p { "Those of cylinder " (wanted) " are not kept at this speed: name it under \u{201c}Ducts of all cylinders\u{201d} and compute the curve again." }
        }
        p.small.quiet { "Lines of equal pressure over crank angle and place, from the valve outward: what leans is a wave on its way, and its slope is its speed. Beside each plot the duct in the scale of its axis, with its end correction. Kept for cylinder 1 at each speed, for the others at the one that is chosen." }
        div.plot-row {
            (along(power, &format!("Intake duct of cylinder {cylinder}"), angle, &intake))
            (along(power, &format!("Exhaust duct of cylinder {cylinder}"), angle, &exhaust))
        }
    }
}

fn axis(label: &str, unit: &str) -> Axis {
    Axis { label: label.to_owned(), unit: unit.to_owned(), step: None }
}

fn crank() -> Axis {
    Axis { step: Some(90.0), ..axis("crank angle after firing top dead centre of cylinder 1", "\u{b0}") }
}

fn pressure_volume(power: &PowerView, trace: &PowerTrace, index: usize) -> Plot {
    let units = power.shown();
    let pair = trace.volume.get(index).zip(trace.pressure.get(index));
    let points = pair.map(|(volumes, pressures)| {
        let at = |(v, p): (&f64, &f64)| {
            (units.number(*v, Dimension::Volume), units.number(*p, Dimension::Pressure))
        };
        volumes.iter().zip(pressures).map(at).collect()
    });
    Plot {
        title: format!("Pressure over volume, cylinder {}", index + 1),
        x: axis("volume", units.symbol(Dimension::Volume)),
        y: axis("pressure", units.symbol(Dimension::Pressure)),
        lines: vec![Line { points: points.unwrap_or_default(), ..Line::default() }],
        loops: true,
        width: WIDTH,
        height: HEIGHT,
        ..Plot::default()
    }
}

/// The same on logarithmic axes: compression and expansion are nearly straight, and their slope is the polytropic exponent.
fn logarithmic(power: &PowerView, trace: &PowerTrace, index: usize) -> Plot {
    let mut plot = pressure_volume(power, trace, index);
    plot.title = format!("The same on logarithmic axes, cylinder {}", index + 1);
    plot.logarithmic = true;
    for point in plot.lines.iter_mut().flat_map(|line| &mut line.points) {
        *point = (log10(point.0), log10(point.1));
    }
    plot
}

fn over(trace: &PowerTrace, values: Option<&Vec<f64>>, scale: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let values = values.map_or(&[][..], Vec::as_slice);
    trace.angle.iter().zip(values).map(|(a, v)| (degrees(*a), scale(*v))).collect()
}

fn over_angle(power: &PowerView, trace: &PowerTrace, index: usize) -> Plot {
    let units = power.shown();
    let points = over(trace, trace.pressure.get(index), |p| units.number(p, Dimension::Pressure));
    Plot {
        title: format!("Pressure over crank angle, cylinder {}", index + 1),
        x: crank(),
        y: axis("pressure", units.symbol(Dimension::Pressure)),
        lines: vec![Line { points, ..Line::default() }],
        width: WIDTH,
        height: HEIGHT,
        ..Plot::default()
    }
}

fn flows(power: &PowerView, trace: &PowerTrace, index: usize) -> Plot {
    let units = power.shown();
    let flow = |values: Option<&Vec<f64>>| over(trace, values, |q| units.number(q, Dimension::MassFlow));
    Plot {
        title: format!(
            "Flow through the valves, cylinder {}: in, intake solid; out, exhaust dashed",
            index + 1
        ),
        x: crank(),
        y: axis("flow", units.symbol(Dimension::MassFlow)),
        lines: vec![
            Line {
                label: "in, intake".to_owned(),
                points: flow(trace.intake_flow.get(index)),
                ..Line::default()
            },
            Line {
                label: "out, exhaust".to_owned(),
                points: flow(trace.exhaust_flow.get(index)),
                dashed: true,
                ..Line::default()
            },
        ],
        width: WIDTH,
        height: HEIGHT,
        ..Plot::default()
    }
}

/// Angles of a contour at most.
const ANGLES: usize = 120;

/// One duct of the cylinder that is drawn.
struct DuctShown<'a> {
    pressures: &'a [Vec<f64>],
    cells: &'a [f64],
    diameters: &'a [f64],
}

impl DuctShown<'_> {
    /// Place and diameter from end to end, m.
    fn body(&self) -> Vec<(f64, f64)> {
        let mut body: Vec<(f64, f64)> =
            self.cells.iter().copied().zip(self.diameters.iter().copied()).collect();
        if let (Some((half, first)), Some((centre, last))) = (body.first().copied(), body.last().copied()) {
            body.insert(0, (0.0, first));
            body.push((centre + half, last));
        }
        body
    }
}

fn along(power: &PowerView, title: &str, angle: &[f64], shown: &DuctShown) -> Markup {
    let units = power.shown();
    let duct = shown.pressures;
    let length = |m: f64| units.number(m, Dimension::Length);
    let cells = duct.first().map_or(0, Vec::len);
    let every = duct.len().div_ceil(ANGLES).max(1);
    let samples: Vec<usize> = (0..duct.len().min(angle.len())).step_by(every).collect();
    // A result of an older program does not say where its cells lie.
    let to_scale = cells > 0 && shown.cells.len() == cells;
    let contour = Contour {
        title: title.to_owned(),
        x: crank(),
        y: if to_scale {
            axis("distance from the valve", units.symbol(Dimension::Length))
        } else {
            axis("place, share of the duct from the valve", "%")
        },
        value: axis("pressure", units.symbol(Dimension::Pressure)),
        xs: samples.iter().map(|s| degrees(angle[*s])).collect(),
        ys: if to_scale {
            shown.cells.iter().map(|x| length(*x)).collect()
        } else {
            (0..cells).map(|c| (c as f64 + 0.5) / cells as f64 * 100.0).collect()
        },
        values: (0..cells)
            .map(|c| {
                samples
                    .iter()
                    .map(|s| duct[*s].get(c).map(|p| units.number(*p, Dimension::Pressure)))
                    .collect()
            })
            .collect(),
        marks: Vec::new(),
        dots: false,
        body: if to_scale {
            shown.body().into_iter().map(|(x, d)| (length(x), length(d))).collect()
        } else {
            Vec::new()
        },
        width: WIDTH,
        height: 400.0,
    };
    contour_figure(&contour)
}

/// Rows and columns of a contour's table at most.
const TABLE: usize = 13;

/// The values of a contour, thinned to what a page holds.
fn contour_table(contour: &Contour) -> Markup {
    let every = |n: usize| n.div_ceil(TABLE).max(1);
    let columns: Vec<usize> = (0..contour.xs.len()).step_by(every(contour.xs.len())).collect();
    let rows: Vec<usize> = (0..contour.ys.len()).step_by(every(contour.ys.len())).collect();
    let range = contour
        .values
        .iter()
        .flatten()
        .flatten()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)));
    let decimals = if range.1 - range.0 < 10.0 { 2 } else { 0 };
    let place = |v: f64| grouped(&format_fixed(v, usize::from(v.abs() < 10.0)));
    let head: Vec<String> = std::iter::once(format!(
        "{} in {}, across: {} in {}",
        contour.y.label, contour.y.unit, contour.x.label, contour.x.unit
    ))
    .chain(columns.iter().map(|c| place(contour.xs[*c])))
    .collect();
    let body: Vec<Vec<String>> = rows
        .iter()
        .map(|r| {
            let value = |c: &usize| contour.values.get(*r).and_then(|row| row.get(*c)).copied().flatten();
            let cells = columns
                .iter()
                .map(|c| value(c).map_or_else(String::new, |v| grouped(&format_fixed(v, decimals))));
            std::iter::once(place(contour.ys[*r])).chain(cells).collect()
        })
        .collect();
    values_table(&contour.title, &head, &body)
}

/// A contour in its box.
pub(super) fn contour_figure(contour: &Contour) -> Markup {
    let svg = drawing::contour(contour);
    html! {
        @if svg.is_empty() { p.quiet { (contour.title) ": nothing to draw." } }
        @else { figure.plot-figure { h3 { (contour.title) ", " (contour.value.label) " in " (contour.value.unit) } (plot_box(&contour.title, svg)) (contour_table(contour)) } }
    }
}

const fn side(side: Side) -> &'static str {
    match side {
        Side::Intake => "intake",
        Side::Exhaust => "exhaust",
    }
}

fn valves(power: &PowerView, run: &PowerRun) -> Markup {
    let units = power.shown();
    let lines = |x: &dyn Fn(&ValveFlow) -> Vec<(f64, f64)>, marker: bool| -> Vec<Line> {
        let line = |(n, flow): (usize, &ValveFlow)| Line {
            label: side(flow.side).to_owned(),
            points: x(flow),
            dashed: flow.side == Side::Exhaust,
            marker: if marker { Marker::nth(n) } else { Marker::None },
            ..Line::default()
        };
        run.valve_flow.iter().enumerate().map(line).collect()
    };
    let length = |m: f64| units.number(m, Dimension::Length);
    let plot = |title: &str, x: Axis, y: Axis, lines: Vec<Line>| Plot {
        title: title.to_owned(),
        x,
        y,
        lines,
        width: WIDTH,
        height: HEIGHT,
        ..Plot::default()
    };
    let lift_axis = axis("lift", units.symbol(Dimension::Length));
    let plots = [
        plot(
            "Lift over crank angle",
            crank(),
            lift_axis.clone(),
            lines(
                &|f| f.crank.iter().zip(&f.valve_lift).map(|(a, l)| (degrees(*a), length(*l))).collect(),
                false,
            ),
        ),
        plot(
            "Effective area of one valve",
            lift_axis.clone(),
            axis("effective area", units.symbol(Dimension::Area)),
            lines(
                &|f| {
                    f.lift
                        .iter()
                        .zip(&f.area)
                        .map(|(l, a)| (length(*l), units.number(*a, Dimension::Area)))
                        .collect()
                },
                true,
            ),
        ),
        Plot {
            decimals: Some(2),
            ..plot(
                "Discharge coefficient on the curtain",
                lift_axis,
                axis("coefficient", ""),
                lines(&|f| f.lift.iter().zip(&f.coefficient).map(|(l, c)| (length(*l), *c)).collect(), true),
            )
        },
    ];
    html! {
        @if !run.valve_flow.is_empty() {
            section { h2 { "Valve flow" } p.small.quiet { "Solid: intake. Dashed: exhaust." } div.plot-row { @for plot in &plots { (figure(plot)) } } }
        }
    }
}

fn map(power: &PowerView, run: &PowerRun) -> Markup {
    let units = power.shown();
    let flow = |q: f64| units.number(q, Dimension::MassFlow);
    html! {
        @if let Some(map) = &run.map {
            @let plot = MapPlot {
                title: "Operating line on the compressor map".to_owned(),
                x: axis("corrected flow", units.symbol(Dimension::MassFlow)),
                y: axis("pressure ratio", ""),
                lines: map.lines.iter().map(|l| SpeedLine {
                    label: format!("{} rev/min", hundreds(l.speed)),
                    points: l.points.iter().map(|p| (flow(p[0]), p[1], p[2])).collect(),
                }).collect(),
                operating: run.points.iter().filter_map(|p| {
                    let rotor = p.rotor.as_ref()?;
                    let beyond = p.flags.iter().any(|f| matches!(f, Flag::Surge | Flag::Choke | Flag::Overspeed));
                    Some(Reached { at: (flow(rotor.corrected_flow), rotor.pressure_ratio), label: format!("{} rev/min", rev(p.speed)), beyond })
                }).collect(),
                width: 900.0,
                height: 520.0,
            };
            @let (reference, temperature) = (units.value(map.reference_pressure, Dimension::Pressure, 2), units.value(map.reference_temperature, Dimension::Temperature, 0));
            section {
                h2 { "Compressor map" }
                p.small.quiet { (sentence("flow at ")) (reference) ", " (temperature) ". Thin: speed lines with their turbocharger speed; dotted: equal efficiency in per cent; dashed with rings: the engine at full throttle; a cross: beyond a limit of the map." }
                figure.plot-figure.broad { h3 { (plot.title) } (plot_box(&plot.title, drawing::map_plot(&plot))) (map_table(&plot)) }
            }
        }
    }
}

/// Where the engine runs on the map, and the map as it was entered.
fn map_table(plot: &MapPlot) -> Markup {
    let head = |first: &str| {
        vec![first.to_owned(), format!("{}, {}", plot.x.label, plot.x.unit), plot.y.label.clone()]
    };
    let operating: Vec<Vec<String>> = plot
        .operating
        .iter()
        .map(|o| {
            let label = if o.beyond { format!("{}, beyond", o.label) } else { o.label.clone() };
            vec![label, format_fixed(o.at.0, 3), format_fixed(o.at.1, 2)]
        })
        .collect();
    let lines: Vec<Vec<String>> = plot
        .lines
        .iter()
        .flat_map(|line| {
            let row = |p: &(f64, f64, f64)| {
                vec![line.label.clone(), format_fixed(p.0, 3), format_fixed(p.1, 2), format_fixed(p.2, 3)]
            };
            line.points.iter().map(row).collect::<Vec<_>>()
        })
        .collect();
    let mut map_head = head("turbocharger speed");
    map_head.push("efficiency".to_owned());
    html! {
        (table_under(&html! { "Operating line as a table" }, "Operating line", &head("engine"), &operating))
        (table_under(&html! { "Map as entered, as a table" }, "Map as entered", &map_head, &lines))
    }
}
