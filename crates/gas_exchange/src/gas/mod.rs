//! Gas properties.
//!
//! The working gas has three constituents: air, fuel vapour and burned gas (products at the run's mixture). A
//! [`Composition`] says how much of a gas is burned and how much is fuel; the rest is air.
//!
//! | file | what |
//! |---|---|
//! | [`species`] | NASA polynomials of the eleven species, mixtures of them |
//! | [`air`] | dry and humid air |
//! | [`fuel`] | fuels: composition, vapour, heating value, latent heat, octane numbers |
//! | [`equilibrium`] | products of combustion, in equilibrium and frozen |
//! | [`duct_fit`] | the polynomials of [`DuctGas`] |
//! | [`burned_table`] | burned gas in equilibrium, tabulated over temperature and pressure |
//! | [`working_gas`] | all of it for one fuel, one mixture and one air |
//!
//! `docs/physics/gas.md` has the formulas, their sources and what they were checked against.

use thiserror::Error;

pub mod air;
pub mod burned_table;
pub mod duct_fit;
pub mod equilibrium;
pub mod fuel;
pub mod species;
pub mod working_gas;

pub use air::Air;
pub use burned_table::BurnedState;
pub use fuel::Fuel;
pub use working_gas::WorkingGas;

/// Mass fractions of a working gas; what is neither burned nor fuel is air.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Composition {
    /// Burned gas, kg/kg, 0 to 1.
    pub burned: f64,
    /// Fuel vapour, kg/kg, 0 to 1.
    pub fuel: f64,
}

/// Number of constituents: air, fuel vapour, burned gas, in this order.
pub const CONSTITUENTS: usize = 3;

/// Coefficients of an energy: powers 0 to 7 of T/1000 K. Two less would be some 5 % faster in the ducts and miss cp by up to 0.3 %.
pub const ENERGY_COEFFICIENTS: usize = 8;

/// The working gas as the ducts see it: frozen constituents, energy as a polynomial of temperature.
///
/// The specific internal energy of constituent `k`, J/kg, at temperature T is
/// `formation[k] + Σ energy[k][i] · (T/1000 K)^i`, the sum being 0 at 298.15 K. Below 200 and above
/// 2000 K it goes straight on: cv is constant there.
/// Ducts carry the sum only (the sensible part); whoever joins ducts to a cylinder adds `formation[k]` for each
/// kilogram of constituent `k` that crosses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctGas {
    /// Specific gas constants, J/(kg K): air, fuel vapour, burned gas.
    pub gas_constant: [f64; CONSTITUENTS],
    /// Coefficients of the sensible internal energy, J/kg, powers 0 to 7 of T/1000 K.
    pub energy: [[f64; ENERGY_COEFFICIENTS]; CONSTITUENTS],
    /// Internal energy at 298.15 K with that of formation, J/kg.
    pub formation: [f64; CONSTITUENTS],
}

/// Why a gas could not be made.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum GasError {
    /// The mixture is outside what the model of the products holds for.
    #[error("the air-fuel ratio is λ = {lambda}: it must lie between {least} and {greatest}")]
    Mixture {
        /// Air over stoichiometric air.
        lambda: f64,
        /// Least λ.
        least: f64,
        /// Greatest λ.
        greatest: f64,
    },
    /// Water vapour of the air outside 0 to 0.2.
    #[error("the air has a mole fraction of water vapour of {water}: it must lie between 0 and 0.2")]
    Humidity {
        /// Mole fraction.
        water: f64,
    },
    /// Volume share of ethanol outside 0 to 1.
    #[error("the fuel has a volume share of ethanol of {share}: it must lie between 0 and 1")]
    EthanolShare {
        /// Volume share of the liquid.
        share: f64,
    },
    /// So little oxygen that soot would form, or an element is missing.
    #[error(
        "{carbon} mol of carbon, {hydrogen} of hydrogen and {oxygen} of oxygen do not burn to a gas: more oxygen than carbon is needed, and some of each"
    )]
    Elements {
        /// kmol/kg.
        carbon: f64,
        /// kmol/kg.
        hydrogen: f64,
        /// kmol/kg.
        oxygen: f64,
    },
    /// A state at which equilibrium is not computed.
    #[error(
        "equilibrium is computed between 1000 and 6000 K and at a pressure above zero, not at {temperature} K and {pressure} Pa"
    )]
    State {
        /// K.
        temperature: f64,
        /// Pa.
        pressure: f64,
    },
    /// Newton's iteration did not settle.
    #[error(
        "the equilibrium at {temperature} K and {pressure} Pa did not settle; the last step still changed {change} of the moles"
    )]
    NotSettled {
        /// K.
        temperature: f64,
        /// Pa.
        pressure: f64,
        /// Change over the total, 1.
        change: f64,
    },
}
