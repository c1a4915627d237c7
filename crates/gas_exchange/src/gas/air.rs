//! Dry and humid air.

use super::GasError;
use super::species::{MOLAR_MASSES, MoleNumbers, SPECIES, Species};

/// Air at the inlet: dry air with a share of water vapour.
///
/// Dry air is 78.09 % N2, 20.95 % O2, 0.93 % Ar and 0.03 % CO2 by moles (ISO 2533, from memory, rounded), 28.964 kg/kmol.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Air {
    water: f64,
}

/// Mole fractions of dry air.
const DRY: [(Species, f64); 4] =
    [(Species::N2, 0.7809), (Species::O2, 0.2095), (Species::Ar, 0.0093), (Species::CO2, 0.0003)];

impl Air {
    /// Dry air.
    pub const DRY: Self = Self { water: 0.0 };

    /// Air with `water` mole fraction of water vapour, 0 to 0.2 (25 °C and 60 % relative humidity is about 0.019).
    ///
    /// # Errors
    /// [`GasError::Humidity`] outside 0 to 0.2.
    pub fn humid(water: f64) -> Result<Self, GasError> {
        if (0.0..=0.2).contains(&water) { Ok(Self { water }) } else { Err(GasError::Humidity { water }) }
    }

    /// Mole fraction of water vapour, 0 to 0.2.
    pub fn water(&self) -> f64 {
        self.water
    }

    /// Species, kmol in a kilogram of this air.
    pub fn moles(&self) -> MoleNumbers {
        let mut fractions = [0.0; SPECIES];
        for (species, fraction) in DRY {
            fractions[species as usize] = fraction * (1.0 - self.water);
        }
        fractions[Species::H2O as usize] = self.water;
        MoleNumbers::from_fractions(&fractions)
    }

    /// Mass of this air that holds a kilogram of dry air, kg/kg, at least 1.
    pub fn mass_per_dry_mass(&self) -> f64 {
        let dry: f64 = DRY.iter().map(|&(species, fraction)| fraction * MOLAR_MASSES[species as usize]).sum();
        1.0 + self.water * MOLAR_MASSES[Species::H2O as usize] / ((1.0 - self.water) * dry)
    }
}
