//! What joins ducts, volumes, valves, throttles and the turbocharger; mass and energy are conserved exactly.

pub mod boundary;
