//! Heights around the head gasket.

use crate::kinematics::SliderCrank;
use crate::sensitivity::Sensitive;

/// How far the piston's edge stays below the deck at top dead centre, m, negative above, with its derivatives by
/// deck height, crank radius, rod length, offset and compression height:
/// deck height − √((l + r)² − e²) − compression height.
///
/// Deck 219.15, r 41.95, l 146.50, compression height 30.60: 0.10 mm.
pub fn piston_below_deck(deck_height: f64, crank: &SliderCrank, compression_height: f64) -> Sensitive<5> {
    let top = crank.top_height();
    let in_line = (crank.rod_length() + crank.crank_radius()) / top;
    Sensitive {
        value: deck_height - top - compression_height,
        sensitivities: [1.0, -in_line, -in_line, crank.offset() / top, -1.0],
    }
}

/// Quench: the least gap between the piston's flat and the head, m: below the deck + gasket as compressed.
///
/// 0.10 + 1.05: 1.15 mm. Cold and static; at speed the rod stretches and the gap shrinks.
pub fn quench(below_deck: f64, compressed_gasket: f64) -> f64 {
    below_deck + compressed_gasket
}

/// How far a gasket is squeezed, as a fraction of its free thickness: (free − compressed)/free.
pub fn gasket_compression(free: f64, compressed: f64) -> Sensitive<2> {
    Sensitive { value: (free - compressed) / free, sensitivities: [compressed / (free * free), -1.0 / free] }
}

/// Thickness of a gasket squeezed by a fraction of its free thickness, m, with derivatives by both.
pub fn compressed_gasket(free: f64, fraction: f64) -> Sensitive<2> {
    Sensitive { value: free * (1.0 - fraction), sensitivities: [1.0 - fraction, -free] }
}
