//! Relations between sizes: clearances, gaps, heights and margins, each a formula of a line or two.
//!
//! Metres, newtons, kelvin. A clearance is positive when the parts are free, an interference is a negative clearance.
//! What is a plain sum or difference is handed to `Uncertain::linear` by the caller; what is not linear returns
//! [`Sensitive`](crate::sensitivity::Sensitive).

pub mod bearing;
pub mod deck;
pub mod ring;
pub mod valve;

/// Diametral clearance of a hole and what runs in it, m: hole − shaft.
///
/// Piston in bore (at the piston maker's gauge point), pin in piston or bush, stem in guide, bucket in its bore,
/// camshaft journal. Bore 89.105, piston 89.021: 0.084 mm.
pub fn diametral_clearance(hole: f64, shaft: f64) -> f64 {
    hole - shaft
}

/// Interference of a press fit, m: shaft − hole. Negative: it is loose.
pub fn interference(hole: f64, shaft: f64) -> f64 {
    shaft - hole
}

/// Clearance along an axis, m: the space less what stands in it.
///
/// Ring in its groove, rod (or pair of rods) on its pin, end float of crank or camshaft.
pub fn side_clearance(space: f64, widths: &[f64]) -> f64 {
    space - widths.iter().sum::<f64>()
}
