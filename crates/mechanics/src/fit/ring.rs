//! Piston-ring end gaps, cold and hot.

use crate::math::{normal_cdf, normal_quantile};
use crate::sensitivity::Sensitive;
use core::f64::consts::PI;

/// Change of the end gap when the bore changes, m: π × change of diameter. 0.010 mm on the bore: 0.031 mm.
pub fn gap_change(bore_change: f64) -> f64 {
    PI * bore_change
}

/// How much to file off for a gap, m; 0 when the gap is wide enough already (metal cannot be put back).
pub fn filing(gap: f64, target: f64) -> f64 {
    (target - gap).max(0.0)
}

/// A ring in its bore, cold and as hot as the duty makes both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingGap {
    /// Bore at 20 °C where the gap was read, m.
    pub bore: f64,
    /// End gap at 20 °C, m.
    pub cold_gap: f64,
    /// Expansion of the bore's material, 1/K.
    pub bore_expansion: f64,
    /// How much hotter than 20 °C the bore is near the ring at top dead centre, K.
    pub bore_rise: f64,
    /// Expansion of the ring's material, 1/K.
    pub ring_expansion: f64,
    /// How much hotter than 20 °C the ring is, K.
    pub ring_rise: f64,
}

impl RingGap {
    /// End gap when hot, m, with its derivatives by the fields in order:
    /// `πB (1 + αb ΔTb) − (πB − g)(1 + αr ΔTr)`. Negative: the ends butt.
    ///
    /// Bore 89.100, gap 0.54, iron 10.5e-6 at +120 K, steel 11.5e-6 at +200 K: 0.250 mm. Geometry of the
    /// circumference; free expansion, round and unloaded, so only as good as the temperatures.
    pub fn hot_gap(&self) -> Sensitive<6> {
        let circumference = PI * self.bore;
        let length = circumference - self.cold_gap;
        let (bore_strain, ring_strain) =
            (self.bore_expansion * self.bore_rise, self.ring_expansion * self.ring_rise);
        Sensitive {
            // Differences of strains, so that no digits are lost between two nearly equal lengths.
            value: self.cold_gap + circumference * bore_strain - length * ring_strain,
            sensitivities: [
                PI * (bore_strain - ring_strain),
                1.0 + ring_strain,
                circumference * self.bore_rise,
                circumference * self.bore_expansion,
                -length * self.ring_rise,
                -length * self.ring_expansion,
            ],
        }
    }

    /// Probability that the ends butt, from the standard uncertainties of the fields in order (independent).
    ///
    /// Φ(−gap/u), first order; the model is so nearly linear that Monte Carlo agrees within its own scatter (test).
    /// Without any uncertainty it is 0, 1, or ½ for a gap of exactly 0.
    pub fn butting_probability(&self, standard_uncertainties: &[f64; 6]) -> f64 {
        let gap = self.hot_gap();
        let u = gap.standard_uncertainty(standard_uncertainties);
        if u > 0.0 {
            normal_cdf(-gap.value / u)
        } else if gap.value > 0.0 {
            0.0
        } else if gap.value < 0.0 {
            1.0
        } else {
            0.5
        }
    }

    /// The cold gap, m, at which the probability of butting is `probability` (between 0 and 1, both excluded).
    ///
    /// Solves gap = z u with z = Φ⁻¹(1 − probability); u hardly depends on the gap, and two rounds settle it. The answer
    /// may be negative when the bore outgrows the ring. NaN outside 0 to 1.
    pub fn cold_gap_for(&self, probability: f64, standard_uncertainties: &[f64; 6]) -> f64 {
        let z = -normal_quantile(probability);
        let mut ring = *self;
        for _ in 0..4 {
            let gap = ring.hot_gap();
            let u = gap.standard_uncertainty(standard_uncertainties);
            ring.cold_gap += (z * u - gap.value) / gap.sensitivities[1];
        }
        ring.cold_gap
    }
}
