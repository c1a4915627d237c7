//! Piston below deck away from 20 °C: deck height less what stands in it, each with an expansion of its own.

use super::gauges::alpha_of;
use crate::document::{Document, Material};

/// One length of the stack.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StackLength {
    /// +1 for the deck height, −1 for rod, crank radius and compression height, which fill it.
    pub sign: f64,
    /// Nominal length, m.
    pub length: f64,
    /// Of what.
    pub material: Material,
}

/// The lengths between crank axis and deck, where the document says all of them and their materials. Of separate barrels two materials
/// make the deck height: nothing is corrected there.
pub fn stack(document: &Document) -> Option<[StackLength; 4]> {
    if document.block.is_of_separate_barrels() {
        return None;
    }
    let length = |sign: f64, length: f64, material: Option<Material>| {
        Some(StackLength { sign, length, material: material? })
    };
    Some([
        length(1.0, document.block.deck_height?.0, document.block.material)?,
        length(-1.0, document.rods.length?.0, document.rods.material)?,
        length(-1.0, document.layout.stroke?.0 / 2.0, document.crank.material)?,
        length(-1.0, document.pistons.compression_height?.0, document.pistons.material)?,
    ])
}

/// By how much the piston stands lower for each kelvin, m/K: H·α − l·α − r·α − h·α, the coefficients those of block, rod, crank and
/// piston (thermal expansion of a stack, geometry).
pub fn stack_rate(document: &Document) -> Option<f64> {
    let each = |part: StackLength| part.sign * part.length * alpha_of(document, part.material).0;
    Some(stack(document)?.into_iter().map(each).sum())
}
