//! What joins ducts, volumes, valves, throttles and the turbocharger; mass and energy are conserved exactly.
//!
//! Every connection computes one flow and books it on both sides with opposite signs. Ducts hold sensible energy; the
//! energy of formation is added for each kilogram that leaves a duct and taken off for each that enters it.

pub mod boundary;
mod connection;
mod junction;
pub mod passage;
mod power;
mod rotor;
mod step;
pub mod volume;

pub use connection::{Connection, Node, Opening, Side, formation};
pub use junction::Junction;
pub use passage::{Passage, Route};
pub use rotor::{Rotor, RotorCycle, RotorPlace};
pub use step::{Books, Injection, Network, NetworkError, Unit, ValveGroup, atmosphere};
