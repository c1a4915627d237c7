//! Everything that an engine run asks of its gas, for one fuel, one mixture and one air.

use super::air::Air;
use super::burned_table::{BurnedState, BurnedTable};
use super::duct_fit::{AIR_CORE, BURNED_CORE, FUEL_CORE, HOLDS, energy_at, sensible_energy, slope_at};
use super::equilibrium::{equilibrium, frozen_products};
use super::fuel::Fuel;
use super::species::{ELEMENTS, MoleNumbers, REFERENCE_TEMPERATURE, UNIVERSAL_GAS_CONSTANT};
use super::{Composition, DuctGas, ENERGY_COEFFICIENTS, GasError};
use std::sync::Arc;

/// Least λ that the products are computed for: below, petrol begins to soot.
pub const LEAST_LAMBDA: f64 = 0.5;

/// Greatest λ: above, no spark engine burns.
pub const GREATEST_LAMBDA: f64 = 1.6;

/// λ of the other mixtures whose burned gas is tabulated, over that of the run: cylinders differ by a few per cent; what is straight
/// between wider nodes holds for a start from rest.
const OTHER_MIXTURES: [f64; 8] = [0.7, 0.88, 0.96, 0.98, 1.02, 1.04, 1.12, 1.4];

/// Mixtures nearer to each other than this share are one.
const SAME_MIXTURE: f64 = 0.005;

/// Burned gas of one mixture.
#[derive(Clone, Debug, PartialEq)]
struct Products {
    /// Fuel in a kilogram of what burned, kg.
    fuel: f64,
    table: BurnedTable,
}

/// Air, fuel vapour and the burned gas of their mixture at one λ.
///
/// All energies and enthalpies are absolute: they hold the heat of formation, so that adiabatic combustion changes the
/// [`Composition`] and leaves the energy as it is. Frozen states use the polynomials of [`DuctGas`], so that an energy that
/// crosses from a duct to a cylinder means the same temperature on both sides.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkingGas {
    fuel: Fuel,
    air: Air,
    lambda: f64,
    duct_gas: DuctGas,
    /// Energy with formation, powers of T/1000 K, J/kg: air, and what fuel and burned gas have more than air.
    energy: [[f64; ENERGY_COEFFICIENTS]; 3],
    /// The same of the gas constant, J/(kg K).
    gas_constant: [f64; 3],
    elements: [f64; ELEMENTS],
    frozen: MoleNumbers,
    burned: BurnedTable,
    /// Burned gas of richer and leaner mixtures, the leanest first; empty where nobody asked for it.
    others: Arc<[Products]>,
    fresh: Composition,
    heating_value: f64,
}

impl WorkingGas {
    /// The gas of `fuel` and `air` at `lambda`, 0.5 to 1.6: air over the air that the fuel needs. Solves the equilibrium for
    /// the table of burned gas: some milliseconds.
    ///
    /// # Errors
    /// [`GasError::Mixture`] for λ outside its range; [`GasError::Elements`] and [`GasError::NotSettled`] where the products
    /// cannot be found (never seen for the fuels given).
    pub fn new(fuel: &Fuel, lambda: f64, air: &Air) -> Result<Self, GasError> {
        if !(LEAST_LAMBDA..=GREATEST_LAMBDA).contains(&lambda) {
            return Err(GasError::Mixture { lambda, least: LEAST_LAMBDA, greatest: GREATEST_LAMBDA });
        }
        let air_per_fuel = lambda * fuel.stoichiometric_air_fuel() * air.mass_per_dry_mass();
        let fresh = Composition { burned: 0.0, fuel: 1.0 / (1.0 + air_per_fuel) };
        let elements = elements(fuel, *air, fresh.fuel);
        let frozen = frozen_products(&elements)?;
        let duct_gas = duct_gas(fuel, *air, &frozen);
        let absolute: [[f64; ENERGY_COEFFICIENTS]; 3] = core::array::from_fn(|k| {
            let mut energy = duct_gas.energy[k];
            energy[0] += duct_gas.formation[k];
            energy
        });
        let less_air = |k: usize| core::array::from_fn(|i| absolute[k][i] - absolute[0][i]);
        let [r_air, r_fuel, r_burned] = duct_gas.gas_constant;
        Ok(Self {
            burned: BurnedTable::new(&elements, absolute[2], r_burned)?,
            others: Arc::from([]),
            energy: [absolute[0], less_air(1), less_air(2)],
            gas_constant: [r_air, r_fuel - r_air, r_burned - r_air],
            heating_value: fuel.lower_heating_value(),
            fuel: fuel.clone(),
            air: *air,
            lambda,
            duct_gas,
            elements,
            frozen,
            fresh,
        })
    }

    /// The same gas that knows burned gas of other mixtures as well, for cylinders that run richer or leaner than the run: a table
    /// for each of some mixtures around it and for the exact one.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn with_other_mixtures(mut self) -> Result<Self, GasError> {
        let wanted = OTHER_MIXTURES.map(|factor| factor * self.lambda).into_iter().chain([1.0]);
        let mut mixtures: Vec<f64> = vec![self.lambda];
        for lambda in wanted.filter(|l| (LEAST_LAMBDA..=GREATEST_LAMBDA).contains(l)) {
            if mixtures.iter().all(|other| (other / lambda - 1.0).abs() > SAME_MIXTURE) {
                mixtures.push(lambda);
            }
        }
        mixtures.sort_by(|a, b| b.total_cmp(a));
        let others: Result<Vec<Products>, GasError> = mixtures
            .into_iter()
            .map(|lambda| {
                if lambda.to_bits() == self.lambda.to_bits() {
                    return Ok(Products { fuel: self.fresh.fuel, table: self.burned.clone() });
                }
                let gas = Self::new(&self.fuel, lambda, &self.air)?;
                Ok(Products { fuel: gas.fresh.fuel, table: gas.burned })
            })
            .collect();
        self.others = others?.into();
        Ok(self)
    }

    /// Is it the gas of this fuel and this air at this λ?
    pub fn is_of(&self, fuel: &Fuel, lambda: f64, air: &Air) -> bool {
        self.lambda.to_bits() == lambda.to_bits() && self.fuel == *fuel && self.air == *air
    }

    /// The frozen constituents as the ducts carry them.
    pub fn duct_gas(&self) -> &DuctGas {
        &self.duct_gas
    }

    /// The fuel.
    pub fn fuel(&self) -> &Fuel {
        &self.fuel
    }

    /// The air.
    pub fn air(&self) -> &Air {
        &self.air
    }

    /// Air over the air that the fuel needs, 1.
    pub fn lambda(&self) -> f64 {
        self.lambda
    }

    /// The fresh mixture at λ: fuel vapour in air, nothing burned.
    pub fn fresh(&self) -> Composition {
        self.fresh
    }

    /// Kilograms of dry air that a kilogram of fuel needs.
    pub fn stoichiometric_air_fuel(&self) -> f64 {
        self.fuel.stoichiometric_air_fuel()
    }

    /// Kilograms of this air, with the water in it, that a kilogram of fuel needs.
    pub fn stoichiometric_humid_air_fuel(&self) -> f64 {
        self.fuel.stoichiometric_air_fuel() * self.air.mass_per_dry_mass()
    }

    /// Lower heating value of the liquid fuel at 25 °C, J/kg.
    pub fn lower_heating_value(&self) -> f64 {
        self.heating_value
    }

    /// Latent heat of the fuel at `t` kelvin, J/kg.
    pub fn latent_heat(&self, t: f64) -> f64 {
        self.fuel.latent_heat(t)
    }

    /// Enthalpy of the liquid fuel at `t` kelvin with that of formation, J/kg: what injected fuel brings.
    pub fn liquid_enthalpy(&self, t: f64) -> f64 {
        self.enthalpy(t, Composition { burned: 0.0, fuel: 1.0 }) - self.fuel.latent_heat(t)
    }

    /// Specific gas constant, J/(kg K), frozen.
    #[inline]
    pub fn gas_constant(&self, c: Composition) -> f64 {
        let [air, fuel, burned] = self.gas_constant;
        air + c.fuel * fuel + c.burned * burned
    }

    /// Energy as powers of T/1000 K of a composition, J/kg.
    #[inline]
    fn energy_of(&self, c: Composition) -> [f64; ENERGY_COEFFICIENTS] {
        core::array::from_fn(|i| {
            self.energy[0][i] + c.fuel * self.energy[1][i] + c.burned * self.energy[2][i]
        })
    }

    /// Specific internal energy with that of formation at `t` kelvin, J/kg, frozen.
    #[inline]
    pub fn energy(&self, t: f64, c: Composition) -> f64 {
        energy_at(&self.energy_of(c), t * 1e-3)
    }

    /// Specific enthalpy e + R T with that of formation at `t` kelvin, J/kg, frozen.
    #[inline]
    pub fn enthalpy(&self, t: f64, c: Composition) -> f64 {
        self.energy(t, c) + self.gas_constant(c) * t
    }

    /// Specific heat at constant volume at `t` kelvin, J/(kg K), frozen: the slope of [`Self::energy`].
    #[inline]
    pub fn cv(&self, t: f64, c: Composition) -> f64 {
        1e-3 * slope_at(&self.energy_of(c), t * 1e-3)
    }

    /// Specific heat at constant pressure at `t` kelvin, J/(kg K), frozen.
    #[inline]
    pub fn cp(&self, t: f64, c: Composition) -> f64 {
        self.cv(t, c) + self.gas_constant(c)
    }

    /// Ratio of specific heats cp/cv at `t` kelvin, frozen, 1.
    #[inline]
    pub fn gamma(&self, t: f64, c: Composition) -> f64 {
        1.0 + self.gas_constant(c) / self.cv(t, c)
    }

    /// Temperature of a frozen gas of specific internal energy `e`, J/kg with formation: K, kept within 50 to 8000.
    ///
    /// From `guess` by Newton's step with Chebyshev's correction for the curvature, to some 1e-12: two steps from a guess 50 K off.
    /// NaN where `e` is.
    #[inline]
    pub fn temperature_from_energy(&self, e: f64, c: Composition, guess: f64) -> f64 {
        // Steps and temperatures in 1000 K. Far off, the correction would do harm.
        const NEAR: f64 = 0.2;
        const SETTLED: f64 = 1e-4;
        let mut coefficients = self.energy_of(c);
        coefficients[0] -= e;
        let mut x = (guess * 1e-3).clamp(0.05, 8.0);
        for _ in 0..50 {
            let per_slope = 1.0 / slope_at(&coefficients, x);
            let newton = energy_at(&coefficients, x) * per_slope;
            let bend = if newton.abs() < NEAR { 0.5 * curvature(&coefficients, x) * per_slope } else { 0.0 };
            let next = (x - newton * (1.0 + newton * bend)).clamp(0.05, 8.0);
            let moved = (next - x).abs();
            x = next;
            // The error after a step is about a tenth of its cube.
            if moved <= SETTLED {
                break;
            }
        }
        1e3 * x
    }

    /// Burned gas at `t` kelvin and `p` pascal: in equilibrium when hot, frozen as in the ducts when cold; see
    /// [`super::burned_table`] for how the two join.
    #[inline]
    pub fn burned(&self, t: f64, p: f64) -> BurnedState {
        self.burned.state(t, p)
    }

    /// Least and greatest fuel share, kg/kg, of the mixtures whose burned gas is known.
    pub fn known_mixtures(&self) -> [f64; 2] {
        match (self.others.first(), self.others.last()) {
            (Some(leanest), Some(richest)) => [leanest.fuel, richest.fuel],
            _ => [self.fresh.fuel; 2],
        }
    }

    /// Burned gas of a mixture with `fuel` kilograms of fuel in a kilogram, within [`Self::known_mixtures`], at `t` kelvin and `p` pascal:
    /// straight over the fuel share between the tabulated mixtures.
    #[inline]
    pub fn burned_of(&self, fuel: f64, t: f64, p: f64) -> BurnedState {
        let richer = self.others.partition_point(|mixture| mixture.fuel <= fuel);
        let (Some(lean), Some(rich)) = (
            self.others.get(richer.saturating_sub(1).min(self.others.len().saturating_sub(2))),
            self.others.get(richer.clamp(1, self.others.len().max(2) - 1)),
        ) else {
            return self.burned.state(t, p);
        };
        let share = (fuel - lean.fuel) / (rich.fuel - lean.fuel);
        let (a, b) = (lean.table.state(t, p), rich.table.state(t, p));
        let between = |a: f64, b: f64| a + share * (b - a);
        BurnedState {
            energy: between(a.energy, b.energy),
            energy_t: between(a.energy_t, b.energy_t),
            energy_p: between(a.energy_p, b.energy_p),
            gas_constant: between(a.gas_constant, b.gas_constant),
            gas_constant_t: between(a.gas_constant_t, b.gas_constant_t),
            gas_constant_p: between(a.gas_constant_p, b.gas_constant_p),
        }
    }

    /// Newton steps that the table of burned gas took to build: its work, without a clock.
    pub fn table_steps(&self) -> u32 {
        self.burned.steps()
    }

    /// Species of the burned gas when cold, kmol in a kilogram: complete products, or water gas balanced at 1740 K where rich.
    pub fn products_frozen(&self) -> MoleNumbers {
        self.frozen
    }

    /// Species of the burned gas in equilibrium by the direct solver, kmol in a kilogram; 1000 to 6000 K.
    ///
    /// # Errors
    /// Those of [`equilibrium`].
    pub fn products(&self, t: f64, p: f64) -> Result<MoleNumbers, GasError> {
        equilibrium(&self.elements, t, p, None)
    }
}

/// d²/dx² Σ c[i] x^i; 0 where the energy goes straight on.
#[inline]
fn curvature(c: &[f64; ENERGY_COEFFICIENTS], x: f64) -> f64 {
    if !(HOLDS[0]..=HOLDS[1]).contains(&x) {
        return 0.0;
    }
    let mut sum = 0.0;
    for power in (2..ENERGY_COEFFICIENTS).rev() {
        sum = sum * x + (power * (power - 1)) as f64 * c[power];
    }
    sum
}

/// kmol of C, H, O, N, Ar in a kilogram of mixture with so much fuel by mass.
fn elements(fuel: &Fuel, air: Air, fuel_share: f64) -> [f64; ELEMENTS] {
    let (of_fuel, of_air) = (fuel.atoms(), air.moles().elements());
    let moles = fuel_share / fuel.molar_mass();
    core::array::from_fn(|k| moles * of_fuel[k] + (1.0 - fuel_share) * of_air[k])
}

fn duct_gas(fuel: &Fuel, air: Air, burned: &MoleNumbers) -> DuctGas {
    let (air, vapour) = (air.moles(), fuel.vapour());
    let gas_constant = [air.gas_constant(), fuel.gas_constant(), burned.gas_constant()];
    let polynomials = [
        (air.polynomial(), UNIVERSAL_GAS_CONSTANT, AIR_CORE),
        (vapour, fuel.gas_constant(), FUEL_CORE),
        (burned.polynomial(), UNIVERSAL_GAS_CONSTANT, BURNED_CORE),
    ];
    let energy = core::array::from_fn(|k| {
        let (polynomial, factor, core) = &polynomials[k];
        sensible_energy(polynomial, *factor, gas_constant[k], *core)
    });
    let formation = core::array::from_fn(|k| {
        let (polynomial, factor, _) = &polynomials[k];
        factor * polynomial.enthalpy(REFERENCE_TEMPERATURE) - gas_constant[k] * REFERENCE_TEMPERATURE
    });
    DuctGas { gas_constant, energy, formation }
}
