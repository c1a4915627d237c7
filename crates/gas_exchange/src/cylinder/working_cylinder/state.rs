//! What goes into a step, what comes out, and why it may stop.

use thiserror::Error;

use crate::gas::Composition;

use super::super::spec::SpecError;

/// What flowed through ports, injectors and valves over a step, positive into the cylinder.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PortFlow {
    /// kg.
    pub mass: f64,
    /// Total enthalpy with formation that crossed, J.
    pub enthalpy: f64,
    /// Burned gas in it, kg.
    pub burned: f64,
    /// Fuel in it, kg.
    pub fuel: f64,
}

/// The gas in the cylinder: what would leave now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CylinderState {
    /// Pa.
    pub pressure: f64,
    /// Mean temperature, K.
    pub temperature: f64,
    /// kg, without crevices.
    pub mass: f64,
    /// Mean composition.
    pub composition: Composition,
    /// m³.
    pub volume: f64,
    /// Ratio of specific heats, frozen, 1.
    pub gamma: f64,
    /// p V / (m T), J/(kg K).
    pub gas_constant: f64,
    /// Specific enthalpy with formation, J/kg.
    pub enthalpy: f64,
}

/// Why a cylinder stopped.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum CylinderError {
    /// The specification is none.
    #[error(transparent)]
    Spec(#[from] SpecError),
    /// A start that is no gas.
    #[error("a cylinder cannot start at {pressure} Pa and {temperature} K")]
    Start {
        /// Pa.
        pressure: f64,
        /// K.
        temperature: f64,
    },
    /// A step whose angles or time make no sense.
    #[error(
        "a step from {from} to {to} rad in {dt} s: it must go forward, by at most half a turn, in a time above 0"
    )]
    Step {
        /// rad.
        from: f64,
        /// rad.
        to: f64,
        /// s.
        dt: f64,
    },
    /// Ignition came while a valve was open.
    #[error(
        "the burn starts {:.1}° after firing top dead centre while a valve is open: ignition must lie after intake closing and before exhaust opening; look at the burn angles that are stated", .start.to_degrees()
    )]
    IgnitionWithValveOpen {
        /// rad.
        start: f64,
    },
    /// The gas left the range in which it has a state.
    #[error(
        "the gas in the cylinder has no state at {angle:.3} rad from firing top dead centre: last {pressure} Pa and {temperature} K, {mass} kg; the step was too long for the flow through the valves"
    )]
    NoState {
        /// rad.
        angle: f64,
        /// Last good pressure, Pa.
        pressure: f64,
        /// Last good temperature, K.
        temperature: f64,
        /// Mass now, kg.
        mass: f64,
    },
}
