//! ISO 286-1: limits and fits for sizes over 18 up to 120 mm.
//!
//! Grades 4 to 11. IT5 to IT8 agree with published tables of ISO 286-1 (from memory); the rest and the fundamental deviations
//! are from memory, and those with a formula in the standard (d, e, f, g, m, n and the grades) are checked against it.

use thiserror::Error;

/// Why no limits can be given.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum StandardError {
    /// Outside the table.
    #[error("a size of {size} m is outside the table: over 0.018 and up to 0.120 m")]
    SizeOutsideTable {
        /// Nominal size, m.
        size: f64,
    },
    /// Outside the table.
    #[error("grade IT{grade} is outside the table: IT4 to IT11")]
    GradeOutsideTable {
        /// Tolerance grade.
        grade: u8,
    },
    /// Not a class of the table.
    #[error(
        "`{text}` is not a tolerance class of the table: H with a grade for holes, d to p with a grade for shafts"
    )]
    UnknownClass {
        /// What was given.
        text: String,
    },
    /// The deviation depends on the grade and holds for few of them.
    #[error("k is tabulated here for IT4 to IT7, not IT{grade}")]
    GradeWithoutDeviation {
        /// Tolerance grade.
        grade: u8,
    },
}

/// Position of a shaft's tolerance zone. `a` to `c` and beyond `p` are left out: engines fit by `d` to `p`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShaftLetter {
    /// Large clearance.
    D,
    /// Loose running.
    E,
    /// Running.
    F,
    /// Sliding.
    G,
    /// Upper deviation zero.
    H,
    /// Symmetrical about zero.
    Js,
    /// Transition.
    K,
    /// Transition.
    M,
    /// Transition.
    N,
    /// Press.
    P,
}

/// Lower and upper limit of a size, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeLimits {
    /// m.
    pub lower: f64,
    /// m.
    pub upper: f64,
}

/// Least and greatest clearance of a hole and a shaft, m; negative: interference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// m.
    pub min_clearance: f64,
    /// m.
    pub max_clearance: f64,
}

/// Upper ends of the size bands, m: over 18 to 30, to 50, to 80, to 120 mm.
const BANDS: [f64; 4] = [0.030, 0.050, 0.080, 0.120];
const SMALLEST: f64 = 0.018;

/// IT4 to IT11 by band, µm.
const GRADES: [[f64; 4]; 8] = [
    [6.0, 7.0, 8.0, 10.0],
    [9.0, 11.0, 13.0, 15.0],
    [13.0, 16.0, 19.0, 22.0],
    [21.0, 25.0, 30.0, 35.0],
    [33.0, 39.0, 46.0, 54.0],
    [52.0, 62.0, 74.0, 87.0],
    [84.0, 100.0, 120.0, 140.0],
    [130.0, 160.0, 190.0, 220.0],
];

/// Width of a tolerance zone, m: ISO 286-1 table 1.
///
/// IT7 at 50 mm: 25 µm.
///
/// # Errors
/// Outside 18 to 120 mm or IT4 to IT11.
pub fn tolerance(size: f64, grade: u8) -> Result<f64, StandardError> {
    let band = band(size)?;
    let row = grade.checked_sub(4).and_then(|row| GRADES.get(usize::from(row)));
    row.map(|row| row[band] * 1e-6).ok_or(StandardError::GradeOutsideTable { grade })
}

/// Fundamental deviation of a shaft, m: the upper one for `d` to `h`, the lower one for `k` to `p`; for `js` half
/// the tolerance as the upper one.
///
/// # Errors
/// Outside the table.
pub fn shaft_deviation(size: f64, letter: ShaftLetter, grade: u8) -> Result<f64, StandardError> {
    let band = band(size)?;
    let micrometres = match letter {
        ShaftLetter::D => [-65.0, -80.0, -100.0, -120.0],
        ShaftLetter::E => [-40.0, -50.0, -60.0, -72.0],
        ShaftLetter::F => [-20.0, -25.0, -30.0, -36.0],
        ShaftLetter::G => [-7.0, -9.0, -10.0, -12.0],
        ShaftLetter::H => [0.0; 4],
        ShaftLetter::Js => return Ok(0.5 * tolerance(size, grade)?),
        ShaftLetter::K if (4..=7).contains(&grade) => [2.0, 2.0, 2.0, 3.0],
        ShaftLetter::K => return Err(StandardError::GradeWithoutDeviation { grade }),
        ShaftLetter::M => [8.0, 9.0, 11.0, 13.0],
        ShaftLetter::N => [15.0, 17.0, 20.0, 23.0],
        ShaftLetter::P => [22.0, 26.0, 32.0, 37.0],
    };
    Ok(micrometres[band] * 1e-6)
}

/// Limits of a shaft, m. 50 g6: 49.975 to 49.991 mm.
///
/// # Errors
/// Outside the table.
pub fn shaft(size: f64, letter: ShaftLetter, grade: u8) -> Result<SizeLimits, StandardError> {
    let width = tolerance(size, grade)?;
    let deviation = shaft_deviation(size, letter, grade)?;
    let upper = match letter {
        ShaftLetter::K | ShaftLetter::M | ShaftLetter::N | ShaftLetter::P => deviation + width,
        _ => deviation,
    };
    Ok(SizeLimits { lower: size + upper - width, upper: size + upper })
}

/// Limits of an H hole, m: from the size up by the tolerance.
///
/// # Errors
/// Outside the table.
pub fn hole_h(size: f64, grade: u8) -> Result<SizeLimits, StandardError> {
    Ok(SizeLimits { lower: size, upper: size + tolerance(size, grade)? })
}

/// Clearances of a hole and a shaft, m. 50 H7/g6: 9 to 50 µm; 50 H7/p6: −42 to −1 µm.
pub fn fit(hole: SizeLimits, shaft: SizeLimits) -> Fit {
    Fit { min_clearance: hole.lower - shaft.upper, max_clearance: hole.upper - shaft.lower }
}

/// Reads a fit as drawings write it, "H7/g6", and gives its clearances.
///
/// # Errors
/// When it is not of the table.
pub fn fit_of(size: f64, text: &str) -> Result<Fit, StandardError> {
    let unknown = || StandardError::UnknownClass { text: text.to_owned() };
    let (hole_class, shaft_class) = text.trim().split_once('/').ok_or_else(unknown)?;
    let hole_grade = hole_class.strip_prefix('H').and_then(|grade| grade.parse().ok()).ok_or_else(unknown)?;
    let at = shaft_class.find(|c: char| c.is_ascii_digit()).ok_or_else(unknown)?;
    let letter = match &shaft_class[..at] {
        "d" => ShaftLetter::D,
        "e" => ShaftLetter::E,
        "f" => ShaftLetter::F,
        "g" => ShaftLetter::G,
        "h" => ShaftLetter::H,
        "js" => ShaftLetter::Js,
        "k" => ShaftLetter::K,
        "m" => ShaftLetter::M,
        "n" => ShaftLetter::N,
        "p" => ShaftLetter::P,
        _ => return Err(unknown()),
    };
    let shaft_grade = shaft_class[at..].parse().map_err(|_| unknown())?;
    Ok(fit(hole_h(size, hole_grade)?, shaft(size, letter, shaft_grade)?))
}

fn band(size: f64) -> Result<usize, StandardError> {
    // A thousandth of a micrometre, so that 0.030 read from text stays in its band.
    let outside = || StandardError::SizeOutsideTable { size };
    if !size.is_finite() || size <= SMALLEST + 1e-9 {
        return Err(outside());
    }
    BANDS.iter().position(|end| size <= end + 1e-9).ok_or_else(outside)
}
