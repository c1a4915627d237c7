//! The entered points, checked, and the surfaces through them.

use super::speed_line::SpeedLine;
use crate::monotone::{MonotoneCurve, hermite, interval, monotone_slopes};

/// Even knots between surge and choke that are added to those of the entered points.
const EVEN_KNOTS: usize = 24;
/// Beyond this multiple of the fastest line a map says nothing more: the line is held.
const FASTEST: f64 = 1.5;

/// One entered point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapPoint {
    /// Corrected mass flow, kg/s.
    pub flow: f64,
    /// Total pressure ratio, 1 or more.
    pub pressure_ratio: f64,
    /// Isentropic efficiency, above 0 and up to 1.
    pub efficiency: f64,
}

/// One speed line, its points from surge to choke.
#[derive(Debug, Clone, PartialEq)]
pub struct MapSpeedLine {
    /// Corrected speed, rad/s.
    pub speed: f64,
    /// At least three points, flow rising.
    pub points: Vec<MapPoint>,
}

/// The inlet state to which flow and speed of the map are corrected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reference {
    /// Total pressure, Pa.
    pub pressure: f64,
    /// Total temperature, K.
    pub temperature: f64,
}

/// What is wrong with a map. Lines and points are counted from 1, lines from the slowest.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CompressorError {
    /// Fewer than two lines.
    #[error("the compressor map has {found} speed lines: at least 2 are needed")]
    TooFewLines {
        /// Lines entered.
        found: usize,
    },
    /// Fewer than three points on a line.
    #[error("speed line {line} has {found} points: at least 3 are needed, from surge to choke")]
    TooFewPoints {
        /// Which line.
        line: usize,
        /// Points on it.
        found: usize,
    },
    /// Reference state or greatest speed is not possible.
    #[error("{name} is {value}: expected {expected}")]
    OutOfRange {
        /// What it is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// A value of a point is outside its range.
    #[error("speed line {line}, point {point}: {name} is {value}, expected {expected}")]
    Point {
        /// Which line.
        line: usize,
        /// Which point.
        point: usize,
        /// What it is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// Speeds do not rise from line to line.
    #[error("speed line {line} has {speed} rad/s, not above the line before it")]
    SpeedNotRising {
        /// Which line.
        line: usize,
        /// Its speed.
        speed: f64,
    },
    /// Two lines cross, or touch.
    #[error(
        "speed line {line}, point {point} (flow {flow} kg/s, pressure ratio {pressure_ratio}) is not above speed line {slower}, which has {other} there: speed lines cannot cross"
    )]
    Crossing {
        /// The faster line.
        line: usize,
        /// Its point, or the point of the slower line that lies above it.
        point: usize,
        /// Flow there.
        flow: f64,
        /// Pressure ratio of the faster line there.
        pressure_ratio: f64,
        /// The slower line.
        slower: usize,
        /// Pressure ratio of the slower line there.
        other: f64,
    },
    /// Surge, choke or something between does not move outward with speed, so the surface would fold.
    #[error("{name} of speed line {line} is {value}, not above that of speed line {slower} ({other})")]
    NotOutward {
        /// Which figure.
        name: &'static str,
        /// The faster line.
        line: usize,
        /// Its value.
        value: f64,
        /// The slower line.
        slower: usize,
        /// Its value.
        other: f64,
    },
}

/// A compressor map as smooth surfaces through its points.
///
/// Each line is a monotone curve in β, from 0 at its first point (surge) to 1 at its last (choke): β is the path along the
/// line with flow and pressure ratio each counted in parts of the whole line, so flat and steep parts get their share. At equal
/// β, flow, √(Π − 1) and efficiency are monotone cubics in speed. Every entered point is met.
/// Below the slowest line the fan laws hold (flow ∝ N, Π − 1 ∝ N², same efficiency), above the fastest too, up to 1.5 times
/// its speed, where the line is held. The parametrisation is our own (common practice in map fitting).
#[derive(Debug, Clone, PartialEq)]
pub struct CompressorMap {
    reference: Reference,
    greatest_speed: f64,
    speeds: Vec<f64>,
    /// For each knot from surge to choke, for flow, √(Π − 1), efficiency: (value, slope over speed) on each line.
    surfaces: Vec<[Vec<(f64, f64)>; 3]>,
}

impl CompressorMap {
    /// Checks the lines (slowest first) and fits the surfaces. `greatest_speed` is the highest corrected speed allowed, rad/s.
    ///
    /// # Errors
    /// Names the line and the point that are wrong.
    pub fn new(
        reference: Reference,
        greatest_speed: f64,
        lines: &[MapSpeedLine],
    ) -> Result<Self, CompressorError> {
        in_range("reference pressure", reference.pressure, 1e4, 2e5, "10,000 to 200,000 Pa")?;
        in_range("reference temperature", reference.temperature, 200.0, 350.0, "200 to 350 K")?;
        in_range("greatest speed", greatest_speed, 1.0, 1e6, "above 1 rad/s")?;
        check_lines(lines)?;
        let paths: Vec<Vec<f64>> = lines.iter().map(|line| path(&line.points)).collect();
        check_crossing(lines)?;
        let knots = knots(&paths);
        let curves: Vec<[MonotoneCurve; 3]> =
            lines.iter().zip(&paths).map(|(line, path)| line_curves(line, path)).collect();
        let speeds: Vec<f64> = lines.iter().map(|line| line.speed).collect();
        let mut surfaces = Vec::with_capacity(knots.len());
        for &knot in &knots {
            let across = [0, 1, 2].map(|k| {
                let values: Vec<f64> = curves.iter().map(|curve| curve[k].at(knot)).collect();
                let values: Vec<f64> =
                    if k == 1 { values.iter().map(|v| (v - 1.0).max(0.0).sqrt()).collect() } else { values };
                let slopes = monotone_slopes(&speeds, &values);
                values.into_iter().zip(slopes).collect::<Vec<_>>()
            });
            surfaces.push(across);
        }
        check_outward(&surfaces)?;
        Ok(Self { reference, greatest_speed, speeds, surfaces })
    }

    /// The state to which the map is corrected.
    pub fn reference(&self) -> Reference {
        self.reference
    }

    /// The highest corrected speed allowed, rad/s.
    pub fn greatest_speed(&self) -> f64 {
        self.greatest_speed
    }

    /// The highest corrected speed at which the map is read, rad/s: 1.5 times its fastest line, by the fan laws beyond that line.
    pub fn end_of_map(&self) -> f64 {
        FASTEST * self.speeds[self.speeds.len() - 1]
    }

    /// The line at any corrected speed, rad/s. Allocates once; inside a loop use [`CompressorMap::set_speed`].
    pub fn at_speed(&self, speed: f64) -> SpeedLine {
        let mut line = SpeedLine::with_knots(self.surfaces.len());
        self.set_speed(speed, &mut line);
        line
    }

    /// Puts the line of a corrected speed (rad/s) into `line`, without allocation when it came from this map.
    pub fn set_speed(&self, speed: f64, line: &mut SpeedLine) {
        let last = self.speeds.len() - 1;
        let speed = speed.clamp(1e-3 * self.speeds[0], self.end_of_map());
        let held = speed.clamp(self.speeds[0], self.speeds[last]);
        let scale = speed / held;
        let i = interval(&self.speeds, held);
        let width = self.speeds[i + 1] - self.speeds[i];
        let t = (held - self.speeds[i]) / width;
        line.clear();
        for surface in &self.surfaces {
            let [flow, root, efficiency] = [0, 1, 2].map(|k| {
                let on = &surface[k];
                hermite([on[i], on[i + 1]], width, t)
            });
            line.push(scale * flow, 1.0 + scale * scale * root * root, efficiency);
        }
        line.close();
    }
}

/// Curves of flow, pressure ratio and efficiency over β.
fn line_curves(line: &MapSpeedLine, path: &[f64]) -> [MonotoneCurve; 3] {
    let through = |value: fn(&MapPoint) -> f64| {
        let points: Vec<(f64, f64)> = path.iter().copied().zip(line.points.iter().map(value)).collect();
        MonotoneCurve::new(&points)
    };
    [through(|p| p.flow), through(|p| p.pressure_ratio), through(|p| p.efficiency)]
}

/// β of each point, 0 to 1.
fn path(points: &[MapPoint]) -> Vec<f64> {
    let flow = points[points.len() - 1].flow - points[0].flow;
    let climb: f64 = points.windows(2).map(|p| (p[1].pressure_ratio - p[0].pressure_ratio).abs()).sum();
    let mut along = vec![0.0];
    for pair in points.windows(2) {
        let rise = (pair[1].pressure_ratio - pair[0].pressure_ratio).abs();
        let step = (pair[1].flow - pair[0].flow) / flow + if climb > 0.0 { rise / climb } else { 0.0 };
        along.push(along[along.len() - 1] + step);
    }
    let whole = along[along.len() - 1];
    along.iter().map(|a| a / whole).collect()
}

fn knots(paths: &[Vec<f64>]) -> Vec<f64> {
    let mut all: Vec<f64> = paths.iter().flatten().copied().collect();
    all.extend((0..=EVEN_KNOTS).map(|i| i as f64 / EVEN_KNOTS as f64));
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
    all
}

fn check_lines(lines: &[MapSpeedLine]) -> Result<(), CompressorError> {
    if lines.len() < 2 {
        let points = lines.first().map_or(0, |line| line.points.len());
        return Err(if lines.len() == 1 && points < 3 {
            CompressorError::TooFewPoints { line: 1, found: points }
        } else {
            CompressorError::TooFewLines { found: lines.len() }
        });
    }
    for (i, line) in lines.iter().enumerate() {
        let before = if i == 0 { 0.0 } else { lines[i - 1].speed };
        if !(line.speed > before && line.speed < 1e6) {
            return Err(CompressorError::SpeedNotRising { line: i + 1, speed: line.speed });
        }
        if line.points.len() < 3 {
            return Err(CompressorError::TooFewPoints { line: i + 1, found: line.points.len() });
        }
        for (k, point) in line.points.iter().enumerate() {
            check_point(
                i + 1,
                k + 1,
                point,
                k.checked_sub(1).map_or(0.0, |before| line.points[before].flow),
            )?;
        }
    }
    Ok(())
}

fn check_point(
    line: usize,
    point: usize,
    values: &MapPoint,
    flow_before: f64,
) -> Result<(), CompressorError> {
    let wrong = |name, value, expected| Err(CompressorError::Point { line, point, name, value, expected });
    let MapPoint { flow, pressure_ratio, efficiency } = *values;
    if !(flow > 0.0 && flow < 1e3) {
        return wrong("flow", flow, "above 0, in kg/s");
    }
    if flow <= flow_before {
        return wrong("flow", flow, "above that of the point before it");
    }
    if !(1.0..100.0).contains(&pressure_ratio) {
        return wrong("pressure ratio", pressure_ratio, "1 or more");
    }
    if !(efficiency > 0.0 && efficiency <= 1.0) {
        return wrong("efficiency", efficiency, "above 0, up to 1");
    }
    Ok(())
}

/// Each line must lie above the slower one wherever both have flow: compared at the points of both.
fn check_crossing(lines: &[MapSpeedLine]) -> Result<(), CompressorError> {
    let over_flow = |line: &MapSpeedLine| {
        MonotoneCurve::new(&line.points.iter().map(|p| (p.flow, p.pressure_ratio)).collect::<Vec<_>>())
    };
    for (i, pair) in lines.windows(2).enumerate() {
        let (slow, fast) = (over_flow(&pair[0]), over_flow(&pair[1]));
        for line in pair {
            for (k, point) in line.points.iter().enumerate() {
                let shared = point.flow >= pair[1].points[0].flow && point.flow <= slow.end();
                let (below, above) = (slow.at(point.flow), fast.at(point.flow));
                if shared && above <= below {
                    let (line, slower) = (i + 2, i + 1);
                    let place = (point.flow, above, below);
                    return Err(CompressorError::Crossing {
                        line,
                        point: k + 1,
                        flow: place.0,
                        pressure_ratio: place.1,
                        slower,
                        other: place.2,
                    });
                }
            }
        }
    }
    Ok(())
}

/// At equal β, flow must rise with speed, and the pressure ratio at surge too.
fn check_outward(surfaces: &[[Vec<(f64, f64)>; 3]]) -> Result<(), CompressorError> {
    for (knot, surface) in surfaces.iter().enumerate() {
        let name = if knot == 0 {
            "the surge flow"
        } else if knot == surfaces.len() - 1 {
            "the choke flow"
        } else {
            "the flow between surge and choke"
        };
        rises(name, &surface[0])?;
    }
    rises("√(Π − 1) at surge", &surfaces[0][1])
}

fn rises(name: &'static str, on: &[(f64, f64)]) -> Result<(), CompressorError> {
    for (i, pair) in on.windows(2).enumerate() {
        let (value, other) = (pair[1].0, pair[0].0);
        if value <= other {
            return Err(CompressorError::NotOutward { name, line: i + 2, value, slower: i + 1, other });
        }
    }
    Ok(())
}

fn in_range(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), CompressorError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(CompressorError::OutOfRange { name, value, expected })
    }
}
