//! From stations to face areas and cell volumes: a duct is a row of cones.

use super::{DuctError, DuctSpec, Station};
use std::f64::consts::PI;

/// Areas and volumes of one duct.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Length of each cell, m: all are alike.
    pub cell_length: f64,
    /// Areas of the faces, m², one more than cells.
    pub area: Vec<f64>,
    /// Volumes of the cells, m³, exact for the cones between the stations.
    pub volume: Vec<f64>,
}

/// Diameter at a place between two stations.
fn diameter(a: Station, b: Station, x: f64) -> f64 {
    // Exact at both stations and exactly constant in a straight pipe.
    a.diameter + (b.diameter - a.diameter) * ((x - a.x) / (b.x - a.x))
}

/// Volume of a frustum, m³: π/12 · length · (d₁² + d₁ d₂ + d₂²).
fn frustum(length: f64, d1: f64, d2: f64) -> f64 {
    PI / 12.0 * length * (d1 * d1 + d1 * d2 + d2 * d2)
}

#[allow(clippy::float_cmp, reason = "straight is what was given as straight")]
/// Checks the inputs of one duct and computes its areas and volumes.
///
/// # Errors
/// [`DuctError`] naming the duct and the input.
pub fn shape(duct: usize, spec: &DuctSpec) -> Result<Shape, DuctError> {
    check(duct, spec)?;
    let stations = &spec.stations;
    let (first, last) = (stations[0], stations[stations.len() - 1]);
    let cell_length = (last.x - first.x) / spec.cells as f64;
    let face = |i: usize| if i == spec.cells { last.x } else { first.x + cell_length * i as f64 };
    let segment = |x: f64| {
        let right = stations[1..stations.len() - 1]
            .iter()
            .position(|s| s.x > x)
            .map_or(stations.len() - 1, |i| i + 1);
        (stations[right - 1], stations[right])
    };
    let at = |x: f64| {
        let (a, b) = segment(x);
        diameter(a, b, x)
    };
    let area = (0..=spec.cells).map(|i| PI / 4.0 * at(face(i)) * at(face(i))).collect::<Vec<_>>();
    let volume = (0..spec.cells)
        .map(|i| {
            if area[i] == area[i + 1] && stations.iter().all(|s| s.diameter == first.diameter) {
                return area[i] * cell_length;
            }
            let (from, to) = (face(i), face(i + 1));
            stations
                .windows(2)
                .map(|pair| {
                    let (left, right) = (from.max(pair[0].x), to.min(pair[1].x));
                    if right > left {
                        let (d1, d2) = (diameter(pair[0], pair[1], left), diameter(pair[0], pair[1], right));
                        frustum(right - left, d1, d2)
                    } else {
                        0.0
                    }
                })
                .sum()
        })
        .collect();
    Ok(Shape { cell_length, area, volume })
}

fn check(duct: usize, spec: &DuctSpec) -> Result<(), DuctError> {
    if spec.stations.len() < 2 {
        return Err(DuctError::Stations { duct, stations: spec.stations.len() });
    }
    for (station, pair) in spec.stations.windows(2).enumerate() {
        let (x, previous) = (pair[1].x, pair[0].x);
        if !(x > previous && (x - previous).is_finite()) {
            return Err(DuctError::Length { duct, station: station + 1, x, previous });
        }
    }
    for (station, s) in spec.stations.iter().enumerate() {
        if !(s.diameter > 0.0 && s.diameter.is_finite()) {
            return Err(DuctError::Diameter { duct, station, diameter: s.diameter });
        }
    }
    if spec.cells < 3 {
        return Err(DuctError::Cells { duct, cells: spec.cells });
    }
    let smallest = spec.stations.iter().fold(f64::INFINITY, |least, s| least.min(s.diameter));
    let inputs = [
        ("wall temperature, K", spec.wall_temperature, spec.wall_temperature > 0.0, "more than 0"),
        (
            "roughness, m",
            spec.roughness,
            spec.roughness >= 0.0 && spec.roughness < 0.5 * smallest,
            "0 to less than the smallest radius",
        ),
        ("heat factor", spec.heat_factor, spec.heat_factor >= 0.0, "0 or more; 1 changes nothing"),
        (
            "friction factor scale",
            spec.friction_factor_scale,
            spec.friction_factor_scale >= 0.0,
            "0 or more; 1 changes nothing",
        ),
    ];
    for (what, value, fine, expected) in inputs {
        if !(fine && value.is_finite()) {
            return Err(DuctError::Input { duct, what, value, expected });
        }
    }
    Ok(())
}
