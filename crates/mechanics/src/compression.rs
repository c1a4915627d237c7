//! Swept and clearance volumes, compression ratio, trapped compression.
//!
//! Volumes in m³, lengths in m. Everything is per cylinder, from sizes as measured.

use crate::kinematics::SliderCrank;
use crate::sensitivity::Sensitive;
use core::f64::consts::{FRAC_PI_2, FRAC_PI_4};
use thiserror::Error;

/// Why a compression cannot be computed.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum CompressionError {
    /// A size that must be positive and finite.
    #[error("{name} is {value}; it must be a positive number")]
    NotPositive {
        /// Which one.
        name: &'static str,
        /// What was given, SI.
        value: f64,
    },
    /// Nothing is left above the piston.
    #[error(
        "the clearance volume comes out as {volume} m³; check the sign of the dome, the deck gap and the chamber"
    )]
    NoClearanceVolume {
        /// m³, zero or negative.
        volume: f64,
    },
    /// A ratio of one or less is no compression.
    #[error("a compression ratio of {ratio} was asked for; it must be greater than 1")]
    RatioNotAboveOne {
        /// What was asked for.
        ratio: f64,
    },
    /// No section of a bore was given.
    #[error("no bore diameter was given; measure at least one section")]
    NoSections,
}

/// What forms the space above the piston at top dead centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Space {
    /// Bore, m: the mean over its sections.
    pub bore: f64,
    /// Stroke as swept by the pin, m ([`SliderCrank::stroke`] when the pin is offset).
    pub stroke: f64,
    /// Chamber in the head with valves and plug in place, m³, by burette.
    pub chamber_volume: f64,
    /// Bore of the gasket, m.
    pub gasket_bore: f64,
    /// Thickness of the gasket as compressed, m.
    pub gasket_thickness: f64,
    /// Piston edge below the deck at top dead centre, m; negative when it stands above.
    pub deck_gap: f64,
    /// What the crown displaces above its edge, m³: positive for a dome, negative for a dish and for valve pockets.
    pub dome_volume: f64,
    /// Space beside the top land down to the top ring, m³ ([`top_land_crevice`]).
    pub crevice_volume: f64,
}

impl Space {
    /// Number of inputs, in the order of the fields: the order of every sensitivity here.
    pub const INPUTS: usize = 8;

    /// Swept volume, m³: π/4 B² S. Bore and stroke 86 mm: 499.557 cm³.
    pub fn swept_volume(&self) -> f64 {
        FRAC_PI_4 * self.bore * self.bore * self.stroke
    }

    /// Clearance volume, m³, with its derivatives by the fields in order:
    /// chamber + π/4 (gasket bore)² thickness + π/4 B² (deck gap) − dome + crevice.
    ///
    /// Chamber 46 cm³, gasket 87.5 × 1.0 mm, deck 0.2 mm at bore 86, dome 4.0 cm³: 49.17497 cm³.
    pub fn clearance_volume(&self) -> Sensitive<8> {
        let gasket_area = FRAC_PI_4 * self.gasket_bore * self.gasket_bore;
        let bore_area = FRAC_PI_4 * self.bore * self.bore;
        Sensitive {
            value: self.chamber_volume + gasket_area * self.gasket_thickness + bore_area * self.deck_gap
                - self.dome_volume
                + self.crevice_volume,
            sensitivities: [
                FRAC_PI_2 * self.bore * self.deck_gap,
                0.0,
                1.0,
                FRAC_PI_2 * self.gasket_bore * self.gasket_thickness,
                gasket_area,
                bore_area,
                -1.0,
                1.0,
            ],
        }
    }

    /// Compression ratio (Vs + Vc)/Vc with its derivatives by the fields in order.
    ///
    /// The example of [`Self::clearance_volume`] gives 11.15877. Definition: Heywood, *Internal Combustion Engine
    /// Fundamentals*, 2.1 (from memory).
    ///
    /// # Errors
    /// When bore or stroke is not positive or no clearance volume is left.
    pub fn compression_ratio(&self) -> Result<Sensitive<8>, CompressionError> {
        positive("the bore", self.bore)?;
        positive("the stroke", self.stroke)?;
        let clearance = self.clearance_volume();
        let (swept, volume) = (self.swept_volume(), clearance.value);
        if !volume.is_finite() || volume <= 0.0 {
            return Err(CompressionError::NoClearanceVolume { volume });
        }
        // ε = 1 + Vs/Vc: dε = dVs/Vc − Vs/Vc² dVc.
        let mut sensitivities = clearance.sensitivities.map(|c| -swept / (volume * volume) * c);
        sensitivities[0] += FRAC_PI_2 * self.bore * self.stroke / volume;
        sensitivities[1] += FRAC_PI_4 * self.bore * self.bore / volume;
        Ok(Sensitive { value: 1.0 + swept / volume, sensitivities })
    }

    /// How much the chamber must grow to meet a ratio, m³: Vs/(ε − 1) − Vc. Negative: it must shrink.
    ///
    /// # Errors
    /// When the ratio is not above 1.
    pub fn relief_for_ratio(&self, ratio: f64) -> Result<f64, CompressionError> {
        Ok(clearance_for_ratio(self.swept_volume(), ratio)? - self.clearance_volume().value)
    }

    /// Compression from intake closing, (Vc + A s(θ))/Vc, with its derivatives by the fields in order and then by
    /// the closing angle.
    ///
    /// `closing_after_bottom` is in radians of crank after bottom dead centre, at the lift that the caller states. This is
    /// geometry: what is trapped also depends on the waves in the intake. The derivative by stroke takes the crank
    /// radius as half of it and the rod as exact.
    ///
    /// # Errors
    /// As [`Self::compression_ratio`].
    pub fn trapped_ratio(
        &self,
        crank: &SliderCrank,
        closing_after_bottom: f64,
    ) -> Result<Sensitive<9>, CompressionError> {
        self.compression_ratio()?;
        let clearance = self.clearance_volume();
        let angle = crank.bottom_dead_centre() + closing_after_bottom;
        let travel = crank.displacement_sensitive(angle);
        let (bore_area, volume) = (FRAC_PI_4 * self.bore * self.bore, clearance.value);
        let swept = bore_area * travel.value;
        let mut sensitivities = [0.0; 9];
        for (out, c) in sensitivities.iter_mut().zip(clearance.sensitivities) {
            *out = -swept / (volume * volume) * c;
        }
        sensitivities[0] += FRAC_PI_2 * self.bore * travel.value / volume;
        // Bottom dead centre itself moves with the radius when the pin is offset; the angle is counted from it.
        sensitivities[1] +=
            0.5 * bore_area * (travel.sensitivities[0] + travel.sensitivities[3] * bottom_shift(crank))
                / volume;
        sensitivities[8] = bore_area * travel.sensitivities[3] / volume;
        Ok(Sensitive { value: 1.0 + swept / volume, sensitivities })
    }
}

/// d(bottom dead centre)/d(crank radius), rad/m.
fn bottom_shift(crank: &SliderCrank) -> f64 {
    let (arm, offset) = (crank.rod_length() - crank.crank_radius(), crank.offset());
    offset / (arm * (arm * arm - offset * offset).sqrt())
}

/// Swept volume of one cylinder, m³, with its derivatives by bore and stroke: π/4 B² S.
pub fn swept_volume(bore: f64, stroke: f64) -> Sensitive<2> {
    Sensitive {
        value: FRAC_PI_4 * bore * bore * stroke,
        sensitivities: [FRAC_PI_2 * bore * stroke, FRAC_PI_4 * bore * bore],
    }
}

/// The diameter whose circle has the mean area of the sections, m: √(mean of B²).
///
/// For sections that differ by 0.02 mm it agrees with the plain mean to 1e-9 m; it is exact for the volume. Each
/// derivative is Bᵢ/(n B̄).
///
/// # Errors
/// When there is no section or one is not positive.
pub fn bore_from_sections(sections: &[f64]) -> Result<f64, CompressionError> {
    if sections.is_empty() {
        return Err(CompressionError::NoSections);
    }
    let mut sum = 0.0;
    for &section in sections {
        positive("the bore", section)?;
        sum += section * section;
    }
    Ok((sum / sections.len() as f64).sqrt())
}

/// Volume beside the top land, m³, with its derivatives by bore, land diameter and land height:
/// π/4 (B² − d²) h. Bore 89.100, land 88.40, height 6.0 mm: 0.5855 cm³.
pub fn top_land_crevice(bore: f64, land_diameter: f64, land_height: f64) -> Sensitive<3> {
    let ring = FRAC_PI_4 * (bore * bore - land_diameter * land_diameter);
    Sensitive {
        value: ring * land_height,
        sensitivities: [FRAC_PI_2 * bore * land_height, -FRAC_PI_2 * land_diameter * land_height, ring],
    }
}

/// The clearance volume that gives a ratio, m³: Vs/(ε − 1).
///
/// # Errors
/// When the ratio is not above 1.
pub fn clearance_for_ratio(swept_volume: f64, ratio: f64) -> Result<f64, CompressionError> {
    if ratio.is_finite() && ratio > 1.0 {
        Ok(swept_volume / (ratio - 1.0))
    } else {
        Err(CompressionError::RatioNotAboveOne { ratio })
    }
}

/// Total displacement, m³: the sum over the cylinders as measured.
pub fn displacement(swept_volumes: &[f64]) -> f64 {
    swept_volumes.iter().sum()
}

/// What a class rule leaves, m³: allowed less measured. Negative: over the limit.
pub fn class_margin(displacement: f64, allowed: f64) -> f64 {
    allowed - displacement
}

/// The greatest bore, m, that `cylinders` of this stroke may have under a displacement limit: √(4 V/(π n S)).
///
/// 2,000 cm³, four cylinders, stroke 86: 86.038 mm.
///
/// # Errors
/// When an argument is not positive.
pub fn greatest_bore(allowed: f64, cylinders: usize, stroke: f64) -> Result<f64, CompressionError> {
    positive("the allowed displacement", allowed)?;
    positive("the stroke", stroke)?;
    positive("the number of cylinders", cylinders as f64)?;
    Ok((allowed / (FRAC_PI_4 * cylinders as f64 * stroke)).sqrt())
}

fn positive(name: &'static str, value: f64) -> Result<f64, CompressionError> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(CompressionError::NotPositive { name, value })
    }
}
