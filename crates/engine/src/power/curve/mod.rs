//! A measured torque curve from a CSV file whose columns the builder maps.

mod marks;
mod table;

use self::marks::{Marks, Unclear, pointed};
use self::table::Table;
pub use self::table::heading_unit;
use crate::quantity::{Dimension, QuantityError, find_unit, parse_quantity};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// One column of the file: its heading and the unit of its figures.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Column {
    /// Heading as it stands in the file.
    pub name: String,
    /// Unit of the figures, as documents write it: `rev/min`, `N·m`, `bar`; empty where the heading says it, and for a ratio.
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

/// A curve that was read from a file, with the units it was read in.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveRead {
    /// The curve.
    pub curve: MeasuredCurve,
    /// Which unit each column was read in, in words: "speed in rev/min, torque in lbf·ft".
    pub units: String,
}

/// Why a file is no curve.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CurveError {
    /// Nothing stands in it.
    #[error(
        "there is nothing in it; expected a line of headings and below it a line of figures for each of at least 3 speeds, such as \"rpm,torque\" and \"3000,401.5\""
    )]
    Empty,
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
    /// Two quantities from one column.
    #[error(
        "{one} and {other} are both to be read from the column \"{column}\": each has a column of its own"
    )]
    SameColumn {
        /// Heading.
        column: String,
        /// One of them.
        one: &'static str,
        /// The other one.
        other: &'static str,
    },
    /// The heading says one unit, the mapping another.
    #[error(
        "the heading \"{column}\" says {said}, and it is to be read as {mapped}: say {said}, or put the heading right"
    )]
    UnitDiffers {
        /// Heading.
        column: String,
        /// Unit of the heading.
        said: String,
        /// Unit of the mapping.
        mapped: String,
    },
    /// A cell with nothing in it.
    #[error(
        "line {line}, column \"{column}\": the cell is empty; write {} such as {example}, or take the line out",
        .dimension.with_article()
    )]
    EmptyCell {
        /// Line, 1 first.
        line: u64,
        /// Heading.
        column: String,
        /// What belongs there.
        dimension: Dimension,
        /// A figure that could stand there.
        example: &'static str,
    },
    /// A mark between thousands.
    #[error(
        "line {line}, column \"{column}\": \"{cell}\" has a mark between the thousands; write {plain}, with a mark before the decimals only"
    )]
    ThousandsMark {
        /// Line, 1 first.
        line: u64,
        /// Heading.
        column: String,
        /// As written.
        cell: String,
        /// Without it.
        plain: String,
    },
    /// A mark that may be one of thousands or the decimal one.
    #[error(
        "line {line}, column \"{column}\": \"{cell}\" may be {whole}, or {decimals} as other figures of the file mark decimals; write one of both"
    )]
    EitherMark {
        /// Line, 1 first.
        line: u64,
        /// Heading.
        column: String,
        /// As written.
        cell: String,
        /// With the mark taken as one of thousands.
        whole: String,
        /// With decimals, in the mark of the file.
        decimals: String,
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
    #[error("too few points in the file, {0}: at least 3 are needed to adjust anything")]
    TooFew(usize),
}

/// Headings of a file, in their order, before anybody said which column is what; a line of units below them is told in brackets.
///
/// # Errors
/// [`CurveError::Empty`] when nothing stands in it, [`CurveError::Syntax`] when it is no CSV.
pub fn curve_headings(text: &str) -> Result<Vec<String>, CurveError> {
    let headings = Table::read(text)?.headings;
    Ok(headings.into_iter().filter(|h| !h.is_empty()).collect())
}

/// What a column holds.
#[derive(Clone, Copy)]
struct Kind {
    /// In words.
    what: &'static str,
    dimension: Dimension,
    /// A figure in the usual unit.
    example: &'static str,
    /// Unit where neither the mapping nor the heading says one.
    usual: &'static str,
    least: f64,
    most: f64,
    /// The range in words.
    expected: &'static str,
}

/// Documents hold speeds in rev/s.
const SPEED: Kind = Kind {
    what: "speed",
    dimension: Dimension::Speed,
    example: "4500",
    usual: "rev/min",
    least: 100.0 / 60.0,
    most: 20_000.0 / 60.0,
    expected: "100 to 20,000 rev/min",
};
const TORQUE: Kind = Kind {
    what: "torque",
    dimension: Dimension::Torque,
    example: "401.5",
    usual: "N\u{b7}m",
    least: 1.0,
    most: 1e4,
    expected: "1 to 10,000 N\u{b7}m",
};
const BOOST: Kind = Kind {
    what: "pressure",
    dimension: Dimension::Pressure,
    example: "1.85",
    usual: "bar",
    least: 2e4,
    most: 1e6,
    expected: "an absolute pressure of 0.2 to 10 bar",
};
const LAMBDA: Kind = Kind {
    what: "mixture",
    dimension: Dimension::Ratio,
    example: "0.88",
    usual: "",
    least: 0.5,
    most: 1.6,
    expected: "0.5 to 1.6; an air\u{2013}fuel ratio by mass, such as 12.5, is first divided by the stoichiometric one of the fuel",
};

/// A column that was found: its place and its unit.
struct Found<'a> {
    place: usize,
    name: &'a str,
    unit: String,
    kind: Kind,
    /// How this column, and the file, mark decimals.
    marks: (Marks, Marks),
}

impl<'a> Found<'a> {
    fn of(table: &Table, column: &'a Column, kind: Kind) -> Result<Self, CurveError> {
        let place = table.column(&column.name).ok_or_else(|| CurveError::NoColumn {
            name: column.name.clone(),
            found: table.headings.join(", "),
        })?;
        let said = heading_unit(&table.headings[place], kind.dimension);
        let unit = match (column.unit.trim(), said) {
            ("", said) => said.unwrap_or(kind.usual),
            (mapped, Some(said)) if differ(mapped, said, kind.dimension) => {
                return Err(CurveError::UnitDiffers {
                    column: table.headings[place].clone(),
                    said: said.to_owned(),
                    mapped: mapped.to_owned(),
                });
            }
            (mapped, _) => mapped,
        };
        let marks = (table.marks_of(place), table.marks);
        Ok(Self { place, name: &column.name, unit: unit.to_owned(), kind, marks })
    }

    /// SI, as documents hold it.
    fn value(&self, line: u64, cells: &[String]) -> Result<f64, CurveError> {
        let cell = cells.get(self.place).map_or("", String::as_str);
        let column = || self.name.to_owned();
        let Kind { dimension, example, .. } = self.kind;
        if cell.is_empty() {
            return Err(CurveError::EmptyCell { line, column: column(), dimension, example });
        }
        let written = || cell.to_owned();
        let figure = pointed(cell, self.marks.0, self.marks.1).map_err(|unclear| match unclear {
            Unclear::Thousands(plain) => {
                CurveError::ThousandsMark { line, column: column(), cell: written(), plain }
            }
            Unclear::Either { whole, decimals } => {
                CurveError::EitherMark { line, column: column(), cell: written(), whole, decimals }
            }
        })?;
        let (value, _) = parse_quantity(&format!("{figure} {}", self.unit), dimension)
            .map_err(|source| CurveError::Figure { line, column: column(), source })?;
        if value >= self.kind.least && value <= self.kind.most {
            return Ok(value);
        }
        let value = format!("{cell} {}", self.unit).trim().to_owned();
        Err(CurveError::Range { line, column: column(), value, expected: self.kind.expected })
    }

    /// "torque in lbf·ft".
    fn words(&self) -> String {
        format!("{} in {}", self.kind.what, if self.unit.is_empty() { "a ratio" } else { &self.unit })
    }
}

/// Are both known, and not the same?
fn differ(mapped: &str, said: &str, dimension: Dimension) -> bool {
    find_unit(mapped, dimension).zip(find_unit(said, dimension)).is_some_and(|(a, b)| !a.is_same(b))
}

/// Refuses two quantities from one column.
fn each_its_own(found: &[&Found<'_>]) -> Result<(), CurveError> {
    for (i, one) in found.iter().enumerate() {
        if let Some(other) = found[i + 1..].iter().find(|other| other.place == one.place) {
            let column = one.name.to_owned();
            return Err(CurveError::SameColumn { column, one: one.kind.what, other: other.kind.what });
        }
    }
    Ok(())
}

/// Reads a curve. A unit that is left empty is taken from the heading, else the usual one (rev/min, N·m, bar).
///
/// # Errors
/// [`CurveError`] names line and column.
pub fn read_curve(text: &str, columns: &Columns) -> Result<CurveRead, CurveError> {
    let table = Table::read(text)?;
    let find = |column, kind| Found::of(&table, column, kind);
    let speed = find(&columns.speed, SPEED)?;
    let torque = find(&columns.torque, TORQUE)?;
    let boost = columns.boost.as_ref().map(|c| find(c, BOOST)).transpose()?;
    let lambda = columns.lambda.as_ref().map(|c| find(c, LAMBDA)).transpose()?;
    let all: Vec<&Found<'_>> = [&speed, &torque].into_iter().chain(&boost).chain(&lambda).collect();
    each_its_own(&all)?;
    let units = all.iter().map(|found| found.words()).collect::<Vec<_>>().join(", ");
    let mut points: Vec<(u64, MeasuredPoint)> = Vec::new();
    for (line, cells) in table.lines() {
        let value = |column: &Found<'_>| column.value(line, cells);
        let point = MeasuredPoint {
            speed: value(&speed)? * TAU,
            torque: value(&torque)?,
            boost: boost.as_ref().map(value).transpose()?,
            lambda: lambda.as_ref().map(value).transpose()?,
        };
        points.push((line, point));
    }
    points.sort_by(|a, b| a.1.speed.total_cmp(&b.1.speed));
    if let Some(pair) = points.windows(2).find(|pair| pair[1].1.speed - pair[0].1.speed < 1e-6) {
        return Err(CurveError::Twice { line: pair[1].0, speed: pair[1].1.speed * 60.0 / TAU });
    }
    if points.len() < 3 {
        return Err(CurveError::TooFew(points.len()));
    }
    Ok(CurveRead { curve: MeasuredCurve { points: points.into_iter().map(|(_, p)| p).collect() }, units })
}
