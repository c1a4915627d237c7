//! Gas properties.
//!
//! The working gas has three constituents: air, fuel vapour and burned gas (products at the run's mixture). A
//! [`Composition`] says how much of a gas is burned and how much is fuel; the rest is air.

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

/// The working gas as the ducts see it: frozen constituents, energy as a polynomial of temperature.
///
/// The specific internal energy of constituent `k`, J/kg, at temperature T is
/// `formation[k] + Σ energy[k][i] · (T/1000 K)^i`, the sum being 0 at 298.15 K.
/// Ducts carry the sum only (the sensible part); whoever joins ducts to a cylinder adds `formation[k]` for each
/// kilogram of constituent `k` that crosses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctGas {
    /// Specific gas constants, J/(kg K): air, fuel vapour, burned gas.
    pub gas_constant: [f64; CONSTITUENTS],
    /// Coefficients of the sensible internal energy, J/kg, powers 0 to 5 of T/1000 K.
    pub energy: [[f64; 6]; CONSTITUENTS],
    /// Internal energy at 298.15 K with that of formation, J/kg.
    pub formation: [f64; CONSTITUENTS],
}
