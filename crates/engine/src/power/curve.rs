//! A measured torque curve from a CSV file whose columns the builder maps.

use crate::quantity::{Dimension, QuantityError, parse_quantity};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// One column of the file: its heading and the unit of its figures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Column {
    /// Heading as it stands in the file.
    pub name: String,
    /// Unit of the figures, as documents write it: `rev/min`, `N·m`, `bar`; empty for a ratio.
    pub unit: String,
}

/// Which column is what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Columns {
    /// Crank speed.
    pub speed: Column,
    /// Torque at the flywheel.
    pub torque: Column,
    /// Pressure in the plenum, absolute.
    pub boost: Option<Column>,
    /// Air to fuel against the exact ratio.
    pub lambda: Option<Column>,
}

/// One measured point, SI.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasuredPoint {
    /// rad/s.
    pub speed: f64,
    /// N m.
    pub torque: f64,
    /// Pa, absolute.
    pub boost: Option<f64>,
    /// Against the exact ratio.
    pub lambda: Option<f64>,
}

/// A measured curve, slowest point first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MeasuredCurve {
    /// Points.
    pub points: Vec<MeasuredPoint>,
}

/// Why a file is no curve.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// Not CSV.
    #[error("line {line}: {why}")]
    Syntax {
        /// Line, 1 first.
        line: u64,
        /// Why.
        why: String,
    },
    /// A column is not there.
    #[error("there is no column \"{name}\": the file has {found}")]
    NoColumn {
        /// Heading that was asked for.
        name: String,
        /// Headings that are there.
        found: String,
    },
    /// A cell is no figure.
    #[error("line {line}, column \"{column}\": {source}")]
    Figure {
        /// Line, 1 first.
        line: u64,
        /// Heading.
        column: String,
        /// Why.
        source: QuantityError,
    },
    /// A figure that cannot be.
    #[error("line {line}, column \"{column}\": {value} is outside of what can be: expected {expected}")]
    Range {
        /// Line, 1 first.
        line: u64,
        /// Heading.
        column: String,
        /// Figure as written.
        value: String,
        /// What is expected.
        expected: &'static str,
    },
    /// The same speed twice.
    #[error("line {line}: {speed:.0} rev/min stands twice; give one point for each speed")]
    Twice {
        /// Line, 1 first.
        line: u64,
        /// rev/min.
        speed: f64,
    },
    /// Too few points.
    #[error("too few points in the file, {0}: at least 3 are needed to fit anything")]
    TooFew(usize),
}

/// Headings of a file, in their order, before anybody said which column is what.
///
/// # Errors
/// [`CurveError::Syntax`] when its first line is no CSV.
pub fn curve_headings(text: &str) -> Result<Vec<String>, CurveError> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let headings = reader.headers().map_err(|e| syntax(&e))?;
    let names = headings.iter().map(|h| h.trim_start_matches('\u{feff}').to_owned());
    Ok(names.filter(|h| !h.is_empty()).collect())
}

/// Reads a curve.
///
/// # Errors
/// [`CurveError`] names line and column.
pub fn read_curve(text: &str, columns: &Columns) -> Result<MeasuredCurve, CurveError> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let headings = reader.headers().map_err(|e| syntax(&e))?.clone();
    let find = |column: &Column| {
        headings.iter().position(|h| h.trim_start_matches('\u{feff}') == column.name).ok_or_else(|| {
            CurveError::NoColumn {
                name: column.name.clone(),
                found: headings.iter().collect::<Vec<_>>().join(", "),
            }
        })
    };
    let speed = find(&columns.speed)?;
    let torque = find(&columns.torque)?;
    let boost = columns.boost.as_ref().map(|c| find(c).map(|i| (i, c))).transpose()?;
    let lambda = columns.lambda.as_ref().map(|c| find(c).map(|i| (i, c))).transpose()?;
    let mut points: Vec<(u64, MeasuredPoint)> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| syntax(&e))?;
        let line = record.position().map_or(0, csv::Position::line);
        let cell = |index: usize, column: &Column, dimension: Dimension| {
            let text = record.get(index).unwrap_or("");
            parse_quantity(&format!("{text} {}", column.unit), dimension)
                .map(|(value, _)| value)
                .map_err(|source| CurveError::Figure { line, column: column.name.clone(), source })
        };
        let ranged = |value: f64, column: &Column, least: f64, most: f64, expected: &'static str| {
            if value >= least && value <= most {
                return Ok(value);
            }
            Err(CurveError::Range { line, column: column.name.clone(), value: value.to_string(), expected })
        };
        // Documents hold speeds in rev/s.
        let omega = cell(speed, &columns.speed, Dimension::Speed)? * TAU;
        let omega = ranged(omega, &columns.speed, 10.0, 2100.0, "100 to 20,000 rev/min")?;
        let made = cell(torque, &columns.torque, Dimension::Torque)?;
        let made = ranged(made, &columns.torque, 1.0, 1e4, "1 to 10,000 N·m")?;
        let boost = boost
            .map(|(i, c)| {
                let value = cell(i, c, Dimension::Pressure)?;
                ranged(value, c, 2e4, 1e6, "an absolute pressure of 0.2 to 10 bar")
            })
            .transpose()?;
        let lambda = lambda
            .map(|(i, c)| {
                let value = cell(i, c, Dimension::Ratio)?;
                ranged(value, c, 0.5, 1.6, "0.5 to 1.6")
            })
            .transpose()?;
        points.push((line, MeasuredPoint { speed: omega, torque: made, boost, lambda }));
    }
    points.sort_by(|a, b| a.1.speed.total_cmp(&b.1.speed));
    if let Some(pair) = points.windows(2).find(|pair| pair[1].1.speed - pair[0].1.speed < 1e-6) {
        return Err(CurveError::Twice { line: pair[1].0, speed: pair[1].1.speed * 60.0 / TAU });
    }
    if points.len() < 3 {
        return Err(CurveError::TooFew(points.len()));
    }
    Ok(MeasuredCurve { points: points.into_iter().map(|(_, p)| p).collect() })
}

fn syntax(error: &csv::Error) -> CurveError {
    CurveError::Syntax { line: error.position().map_or(1, csv::Position::line), why: error.to_string() }
}
