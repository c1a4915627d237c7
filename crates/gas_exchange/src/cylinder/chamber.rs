//! Volume and surfaces of the chamber over the crank angle.

use core::f64::consts::PI;

use mechanics::kinematics::SliderCrank;

use super::spec::{CylinderSpec, SpecError};

/// Surfaces that the gas touches, in the order of every array of surfaces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Piston crown.
    Crown,
    /// Head with valve faces.
    Head,
    /// Liner as far as the piston uncovers it.
    Liner,
}

/// Number of surfaces.
pub const SURFACES: usize = 3;

/// Geometry of a cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chamber {
    crank: SliderCrank,
    top: f64,
    bore: f64,
    piston_area: f64,
    clearance_volume: f64,
    displacement: f64,
    stroke: f64,
    /// Crown, head, liner at top dead centre, m².
    areas: [f64; SURFACES],
}

impl Chamber {
    /// The chamber of a specification.
    ///
    /// # Errors
    /// [`SpecError::Crank`] for a rod that cannot turn.
    pub fn new(spec: &CylinderSpec) -> Result<Self, SpecError> {
        let crank = SliderCrank::new(spec.crank_radius, spec.rod_length, spec.pin_offset)
            .map_err(|error| SpecError::Crank(error.to_string()))?;
        let piston_area = 0.25 * PI * spec.bore * spec.bore;
        let stroke = crank.stroke().value;
        Ok(Self {
            crank,
            top: crank.top_dead_centre(),
            bore: spec.bore,
            piston_area,
            clearance_volume: spec.clearance_volume,
            displacement: piston_area * stroke,
            stroke,
            areas: [spec.crown_area, spec.head_area, spec.liner_area_at_top],
        })
    }

    /// Volume at `angle` from top dead centre (rad), m³; without the top-land crevice.
    #[inline]
    pub fn volume(&self, angle: f64) -> f64 {
        self.clearance_volume + self.piston_area * self.crank.displacement(angle + self.top)
    }

    /// Surfaces when the volume is `volume` (m³): crown, head, liner, m².
    #[inline]
    pub fn areas(&self, volume: f64) -> [f64; SURFACES] {
        let uncovered = 4.0 * (volume - self.clearance_volume) / self.bore;
        [self.areas[0], self.areas[1], self.areas[2] + uncovered]
    }

    /// Swept volume, m³.
    pub fn displacement(&self) -> f64 {
        self.displacement
    }

    /// Stroke, m; with an offset a little more than twice the crank radius.
    pub fn stroke(&self) -> f64 {
        self.stroke
    }

    /// Bore, m.
    pub fn bore(&self) -> f64 {
        self.bore
    }

    /// Compression ratio, 1.
    pub fn compression_ratio(&self) -> f64 {
        1.0 + self.displacement / self.clearance_volume
    }

    /// Mean piston speed at a crank speed (rad/s), m/s.
    #[inline]
    pub fn mean_piston_speed(&self, crank_speed: f64) -> f64 {
        self.stroke * crank_speed / PI
    }
}
