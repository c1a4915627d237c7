//! Plain bearings: clearance from housing, shells and journal, and what crush does to it.
//!
//! A prediction is no measurement: the bore read in the fitted, torqued shells is the better value.

use core::f64::consts::PI;

/// Elastic constants of a ring's material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Young's modulus, Pa.
    pub modulus: f64,
    /// Poisson's ratio.
    pub poisson: f64,
}

/// A ring pressed into another, by Lamé (plane stress).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressFit {
    /// Diametral interference before assembly, m.
    pub interference: f64,
    /// Diameter of the inner ring's bore, m; 0 when it is solid.
    pub inner_diameter: f64,
    /// Diameter at which they meet, m.
    pub interface_diameter: f64,
    /// Outer diameter of the outer ring, m. For a big end or a block this is an equivalent, and uncertain.
    pub outer_diameter: f64,
    /// The outer ring.
    pub outer: Elastic,
    /// The inner ring.
    pub inner: Elastic,
}

/// What the interference does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// Pressure between the rings, Pa.
    pub pressure: f64,
    /// Tangential stress at the bore of the outer ring, Pa, tension.
    pub outer_hoop_stress: f64,
    /// Mean tangential stress in the inner ring, Pa, negative: compression.
    pub inner_hoop_stress: f64,
    /// Growth of the outer ring's bore in diameter, m.
    pub housing_growth: f64,
    /// How much thicker the inner ring's wall gets, m (Poisson).
    pub wall_growth: f64,
}

impl PressFit {
    /// Pressure and growth of the assembled rings.
    ///
    /// p = δ / {d [((D²+d²)/(D²−d²) + νₒ)/Eₒ + ((d²+dᵢ²)/(d²−dᵢ²) − νᵢ)/Eᵢ]}; outer bore growth
    /// p d/Eₒ [(D²+d²)/(D²−d²) + νₒ].
    ///
    /// Valid for dᵢ < d < D below yield. Solid 50 shaft, 100 hub, steel (207e9 Pa, 0.3), δ 0.050 mm: p 77.625e6 Pa, hub
    /// stress 129.375e6 Pa. Shigley, *Mechanical Engineering Design*, equation 3-56 (from memory). A loose ring
    /// (δ ≤ 0) presses nothing.
    pub fn assembled(&self) -> Pressed {
        let (di, d, od) = (self.inner_diameter, self.interface_diameter, self.outer_diameter);
        let outer_ratio = (od * od + d * d) / (od * od - d * d);
        let inner_ratio = (d * d + di * di) / (d * d - di * di);
        let outer_give = (outer_ratio + self.outer.poisson) / self.outer.modulus;
        let inner_give = (inner_ratio - self.inner.poisson) / self.inner.modulus;
        let pressure = self.interference.max(0.0) / (d * (outer_give + inner_give));
        // Shrinkage of the inner ring's bore: σθ there is −2 p d²/(d² − dᵢ²), radially free.
        let bore_shrinkage = di * 2.0 * pressure * d * d / (d * d - di * di) / self.inner.modulus;
        let rim_shrinkage = pressure * d * inner_give;
        Pressed {
            pressure,
            outer_hoop_stress: pressure * outer_ratio,
            inner_hoop_stress: if d > di { -pressure * d / (d - di) } else { 0.0 },
            housing_growth: pressure * d * outer_give,
            wall_growth: 0.5 * (bore_shrinkage - rim_shrinkage),
        }
    }
}

/// Sizes of one plain bearing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlainBearing {
    /// Housing bore with the cap torqued, no shells, m.
    pub housing: f64,
    /// Wall of the upper shell at its crown, m.
    pub upper_wall: f64,
    /// Wall of the lower shell at its crown, m.
    pub lower_wall: f64,
    /// Journal diameter, m.
    pub journal: f64,
}

/// Clearance predicted two ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PredictedClearance {
    /// Housing − walls − journal, m.
    pub by_subtraction: f64,
    /// The same with the growth of the housing by crush and the thicker wall, m.
    pub with_growth: f64,
    /// Why they differ and which to trust.
    pub note: &'static str,
}

/// The note of every prediction.
const PREDICTION_NOTE: &str = "a prediction: the housing grows by the crush of the shells, as a thin ring of an \
     equivalent outer diameter, which a real cap is not; the bore measured in the torqued shells replaces both figures";

impl PlainBearing {
    /// Clearance by subtraction, m: housing − upper wall − lower wall − journal; linear, derivatives 1, −1, −1, −1.
    ///
    /// 49.510 − 2 × 1.4865 − 46.485: 0.052 mm.
    pub fn clearance(&self) -> f64 {
        self.housing - self.upper_wall - self.lower_wall - self.journal
    }

    /// Clearance by subtraction and with the growth that crush gives.
    ///
    /// `outer_diameter` is that of the ring which stands for the housing, m (a big end: about the width across the bolts).
    pub fn predicted(
        &self,
        crush_heights: [f64; 2],
        outer_diameter: f64,
        housing: Elastic,
        shell: Elastic,
    ) -> PredictedClearance {
        let pressed = PressFit {
            interference: crush_interference(crush_heights),
            inner_diameter: self.housing - self.upper_wall - self.lower_wall,
            interface_diameter: self.housing,
            outer_diameter,
            outer: housing,
            inner: shell,
        }
        .assembled();
        let by_subtraction = self.clearance();
        PredictedClearance {
            by_subtraction,
            with_growth: by_subtraction + pressed.housing_growth - 2.0 * pressed.wall_growth,
            note: PREDICTION_NOTE,
        }
    }
}

/// Diametral interference of a pair of shells, m, from the crush heights of both: (a₁ + a₂)/π.
///
/// The crush height is what the shell's edge stands above the parting face when it is seated: the excess of its
/// half circumference. 0.05 mm each: 0.0318 mm.
pub fn crush_interference(crush_heights: [f64; 2]) -> f64 {
    (crush_heights[0] + crush_heights[1]) / PI
}

/// Crush height of a shell from its half circumference outside and the housing bore, m: L − π d/2.
pub fn crush_height(half_circumference: f64, housing: f64) -> f64 {
    half_circumference - 0.5 * PI * housing
}

/// The wall that both shells of a pair need for a clearance, m: (housing − journal − clearance)/2.
pub fn wall_for_clearance(housing: f64, journal: f64, clearance: f64) -> f64 {
    0.5 * (housing - journal - clearance)
}
