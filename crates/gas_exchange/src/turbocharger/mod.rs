//! Compressor, turbine and restrictor. Cooler, wastegate and the balance of the powers belong to the network and the whole engine.

pub mod compressor;
pub mod restrictor;
pub mod turbine;

pub use compressor::{CompressorError, CompressorMap, MapPoint, MapSpeedLine, Reference, SpeedLine, Zone};
pub use restrictor::Restrictor;
pub use turbine::{Efficiency, Swallowing, Turbine};

/// A size of the turbocharger that is not possible.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TurbochargerError {
    /// A figure is not a finite number in its range.
    #[error("{name} is {value}: expected {expected}")]
    OutOfRange {
        /// What it is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// A curve with fewer than two points.
    #[error("{name} has {found} points: at least 2 are needed")]
    TooFewPoints {
        /// Which curve.
        name: &'static str,
        /// How many it has.
        found: usize,
    },
    /// A point of a curve is wrong.
    #[error("{name}, point {point}: ({x}, {y}): expected {expected}")]
    Point {
        /// Which curve.
        name: &'static str,
        /// Which point, from 1.
        point: usize,
        /// Its abscissa.
        x: f64,
        /// Its value.
        y: f64,
        /// What would be accepted.
        expected: &'static str,
    },
}

/// `value` above `low`, up to `high`.
fn in_range(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), TurbochargerError> {
    if value > low && value <= high {
        Ok(())
    } else {
        Err(TurbochargerError::OutOfRange { name, value, expected })
    }
}

/// Points with rising abscissae above `low` and values above 0, up to `top`.
fn check_points(
    name: &'static str,
    points: &[(f64, f64)],
    low: f64,
    top: f64,
    expected: &'static str,
) -> Result<(), TurbochargerError> {
    if points.len() < 2 {
        return Err(TurbochargerError::TooFewPoints { name, found: points.len() });
    }
    let mut before = low;
    for (i, &(x, y)) in points.iter().enumerate() {
        if !(x > before && x.is_finite() && y > 0.0 && y <= top) {
            return Err(TurbochargerError::Point { name, point: i + 1, x, y, expected });
        }
        before = x;
    }
    Ok(())
}
