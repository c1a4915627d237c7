//! How much an operation usually takes off: common practice, no source. More than that is asked about once, never refused.

use crate::document::OperationKind;

/// The most that this operation usually takes off at once, m: on the diameter of a bore or a journal, in depth on a face. Common
/// practice, no source. `None` where it takes nothing off that is one figure.
pub const fn usual_most(kind: OperationKind) -> Option<f64> {
    use OperationKind as K;
    match kind {
        K::Hone | K::AlignHone | K::BigEndHone => Some(0.3e-3),
        K::DeckSkim | K::Regrind | K::SeatCut | K::RingFile => Some(1.5e-3),
        K::Bore | K::HeadSkim | K::ChamberRelief => Some(3.0e-3),
        K::Polish => Some(0.05e-3),
        K::CapSeat
        | K::NewShells
        | K::LashShim
        | K::SpringShim
        | K::BarrelShim
        | K::Sleeve
        | K::NewPart
        | K::Handled => None,
    }
}
