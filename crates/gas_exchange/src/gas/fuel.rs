//! Fuels: what they are made of, and what follows from it.

use mechanics::math::powf;

use super::GasError;
use super::air::Air;
use super::species::{
    ELEMENTS, MoleNumbers, NasaPolynomial, REFERENCE_TEMPERATURE, SPECIES, Species, UNIVERSAL_GAS_CONSTANT,
    molar_mass,
};

/// A pure liquid that fuels are blended of.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Component {
    /// Atoms of C, H, O, N, Ar in a molecule.
    atoms: [f64; ELEMENTS],
    vapour: NasaPolynomial,
    /// Enthalpy of vaporisation at 298.15 K, J/kmol.
    vaporisation: f64,
    critical_temperature: f64,
    /// Exponent of the fall of the latent heat towards the critical point.
    exponent: f64,
    /// Density of the liquid at 15 °C, kg/m³.
    density: f64,
}

impl Component {
    fn molar_mass(&self) -> f64 {
        molar_mass(&self.atoms)
    }

    /// Watson's rule, ΔH = ΔH₂₉₈ ((Tc − T)/(Tc − 298.15))ⁿ, J/kmol.
    fn vaporisation(&self, t: f64) -> f64 {
        let reduced = (self.critical_temperature - t) / (self.critical_temperature - REFERENCE_TEMPERATURE);
        if reduced > 0.0 { self.vaporisation * powf(reduced, self.exponent) } else { 0.0 }
    }
}

/// A fuel as injected: a blend of pure liquids.
#[derive(Clone, Debug, PartialEq)]
pub struct Fuel {
    name: String,
    /// Liquids and their mole fractions, which add up to 1.
    blend: Vec<(Component, f64)>,
    research_octane: f64,
    motor_octane: f64,
}

impl Fuel {
    /// Petrol as pure iso-octane (2,2,4-trimethylpentane).
    pub fn iso_octane() -> Self {
        Self::pure("iso-octane", ISO_OCTANE, 100.0, 100.0)
    }

    /// Petrol of research octane 95 as a blend of 42.9 % iso-octane, 43.4 % toluene and 13.7 % n-heptane by moles.
    ///
    /// The blend is that of Pera and Knop, Fuel 96 (2012) 59–69, for petrol to EN 228. It stands for energy, stoichiometry and
    /// specific heat; a real petrol has lighter parts that evaporate sooner. The motor octane number is the least that EN 228 asks
    /// (85, from memory).
    pub fn petrol() -> Self {
        let blend = vec![(ISO_OCTANE, 0.429), (TOLUENE, 0.434), (HEPTANE, 0.137)];
        Self { name: "petrol".to_owned(), blend, research_octane: 95.0, motor_octane: 85.0 }
    }

    /// Petrol with `share` of ethanol by volume of the liquids, 0 to 1: 0.85 is the nominal E85.
    ///
    /// Octane numbers are weighted by moles (Anderson and others, Energy & Fuels 24 (2010) 6576, from memory: nearly linear in
    /// moles). What is sold as E85 may hold anything from 50 to 85 % by season and country: measure it.
    ///
    /// # Errors
    /// [`GasError::EthanolShare`] outside 0 to 1.
    pub fn ethanol_blend(share: f64) -> Result<Self, GasError> {
        if !(0.0..=1.0).contains(&share) {
            return Err(GasError::EthanolShare { share });
        }
        let (petrol, ethanol) = (Self::petrol(), Self::ethanol());
        let moles_of_ethanol = share * ethanol.liquid_density() / ethanol.molar_mass();
        let moles_of_petrol = (1.0 - share) * petrol.liquid_density() / petrol.molar_mass();
        let fraction = moles_of_ethanol / (moles_of_ethanol + moles_of_petrol);
        let mut blend: Vec<_> = petrol.blend.iter().map(|&(c, x)| (c, x * (1.0 - fraction))).collect();
        blend.push((ETHANOL, fraction));
        let octane = |petrol: f64, ethanol: f64| petrol + fraction * (ethanol - petrol);
        Ok(Self {
            name: format!("petrol with {:.0} % of ethanol by volume", 100.0 * share),
            blend,
            research_octane: octane(petrol.research_octane, ethanol.research_octane),
            motor_octane: octane(petrol.motor_octane, ethanol.motor_octane),
        })
    }

    /// Pure ethanol.
    pub fn ethanol() -> Self {
        Self::pure("ethanol", ETHANOL, 108.6, 89.7)
    }

    /// Pure methanol.
    pub fn methanol() -> Self {
        Self::pure("methanol", METHANOL, 108.7, 88.6)
    }

    fn pure(name: &str, component: Component, research_octane: f64, motor_octane: f64) -> Self {
        Self { name: name.to_owned(), blend: vec![(component, 1.0)], research_octane, motor_octane }
    }

    /// The fuel in plain words.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Research octane number. Of pure liquids: those of the library `chemicals` 1.5 (a compilation of published ratings).
    /// What a real fuel has is on its data sheet.
    pub fn research_octane(&self) -> f64 {
        self.research_octane
    }

    /// Motor octane number; source as that of [`Self::research_octane`].
    pub fn motor_octane(&self) -> f64 {
        self.motor_octane
    }

    fn sum(&self, of: impl Fn(&Component) -> f64) -> f64 {
        self.blend.iter().map(|(component, fraction)| fraction * of(component)).sum()
    }

    /// Atoms of C, H, O, N, Ar in a mean molecule.
    pub fn atoms(&self) -> [f64; ELEMENTS] {
        core::array::from_fn(|k| self.sum(|c| c.atoms[k]))
    }

    /// Molar mass, kg/kmol.
    pub fn molar_mass(&self) -> f64 {
        self.sum(Component::molar_mass)
    }

    /// Gas constant of the vapour, J/(kg K).
    pub fn gas_constant(&self) -> f64 {
        UNIVERSAL_GAS_CONSTANT / self.molar_mass()
    }

    /// Polynomial of the vapour for a mole of mean molecules (its entropy lacks that of mixing).
    pub fn vapour(&self) -> NasaPolynomial {
        self.blend.iter().fold(NasaPolynomial::ZERO, |sum, (c, fraction)| sum.plus(&c.vapour, *fraction))
    }

    /// Latent heat of evaporation at `t` kelvin, J/kg: all components at the same temperature, ideal mixing. 0 above the
    /// critical point.
    ///
    /// ΔH = ΔH₂₉₈ ((Tc − T)/(Tc − 298.15))ⁿ (Watson 1943, from memory), n fitted for each liquid to its equation of state.
    /// Valid 250 to 400 K within 1.5 %.
    pub fn latent_heat(&self, t: f64) -> f64 {
        self.sum(|c| c.vaporisation(t)) / self.molar_mass()
    }

    /// Density of the liquid at 15 °C, kg/m³; volumes add up (mixing of alcohol and petrol swells by some 0.3 %, left out).
    pub fn liquid_density(&self) -> f64 {
        self.molar_mass() / self.sum(|c| c.molar_mass() / c.density)
    }

    /// Enthalpy of the liquid at `t` kelvin with that of formation, J/kg: vapour less latent heat.
    pub fn liquid_enthalpy(&self, t: f64) -> f64 {
        self.gas_constant() * self.vapour().enthalpy(t) - self.latent_heat(t)
    }

    /// Heat of burning a kilogram of liquid to CO2 and water vapour at 298.15 K, J/kg: the lower heating value, from enthalpies
    /// of formation.
    pub fn lower_heating_value(&self) -> f64 {
        let [carbon, hydrogen, ..] = self.atoms();
        let mut products = [0.0; SPECIES];
        products[Species::CO2 as usize] = carbon;
        products[Species::H2O as usize] = hydrogen / 2.0;
        products[Species::O2 as usize] = -self.oxygen_demand();
        let products = MoleNumbers(products.map(|n| n / self.molar_mass()));
        self.liquid_enthalpy(REFERENCE_TEMPERATURE) - products.enthalpy(REFERENCE_TEMPERATURE)
    }

    /// Moles of O2 for a mole of fuel: x + y/4 − z/2.
    pub fn oxygen_demand(&self) -> f64 {
        let [carbon, hydrogen, oxygen, ..] = self.atoms();
        carbon + hydrogen / 4.0 - oxygen / 2.0
    }

    /// Kilograms of dry air that a kilogram of fuel needs to burn to CO2 and water.
    pub fn stoichiometric_air_fuel(&self) -> f64 {
        self.oxygen_demand() / (self.molar_mass() * Air::DRY.moles().of(Species::O2))
    }
}

// Enthalpies of vaporisation at 25 °C: CRC Handbook of Chemistry and Physics, as held by the library `chemicals` 1.5. Critical
// temperatures, exponents and densities of heptane, toluene, ethanol and methanol: their reference equations of state in CoolProp
// 8; of iso-octane: the same handbook (the exponent from the two enthalpies at 25 °C and at boiling), the density from memory.

const ISO_OCTANE: Component = Component {
    atoms: [8.0, 18.0, 0.0, 0.0, 0.0],
    vapour: ISO_OCTANE_VAPOUR,
    vaporisation: 35.14e6,
    critical_temperature: 544.0,
    exponent: 0.368,
    density: 696.0,
};

const HEPTANE: Component = Component {
    atoms: [7.0, 16.0, 0.0, 0.0, 0.0],
    vapour: HEPTANE_VAPOUR,
    vaporisation: 36.57e6,
    critical_temperature: 541.2,
    exponent: 0.387,
    density: 688.0,
};

const TOLUENE: Component = Component {
    atoms: [7.0, 8.0, 0.0, 0.0, 0.0],
    vapour: TOLUENE_VAPOUR,
    vaporisation: 38.01e6,
    critical_temperature: 591.7,
    exponent: 0.388,
    density: 871.5,
};

const ETHANOL: Component = Component {
    atoms: [2.0, 6.0, 1.0, 0.0, 0.0],
    vapour: ETHANOL_VAPOUR,
    vaporisation: 42.32e6,
    critical_temperature: 514.7,
    exponent: 0.31,
    density: 793.7,
};

const METHANOL: Component = Component {
    atoms: [1.0, 4.0, 1.0, 0.0, 0.0],
    vapour: METHANOL_VAPOUR,
    vaporisation: 37.43e6,
    critical_temperature: 513.4,
    exponent: 0.32,
    density: 795.7,
};

// Vapours: NASA TM-4513 (1993) by way of `nasa_gas.yaml` of Cantera 3.2, as the other species.

// C8H18,isooctane: X 4/85
const ISO_OCTANE_VAPOUR: NasaPolynomial = NasaPolynomial {
    low: [
        0.815_737_338,
        0.073_264_395_9,
        1.783_006_88e-5,
        -6.935_896_2e-8,
        3.216_293_82e-11,
        -30_477.286_2,
        24.150_999_4,
    ],
    high: [
        15.989_927_3,
        0.055_318_479,
        -1.952_670_72e-5,
        3.117_791_72e-9,
        -1.853_125_77e-13,
        -35_875.797_3,
        -60.116_141_4,
    ],
};
// C7H16,n-heptane: X10/85
const HEPTANE_VAPOUR: NasaPolynomial = NasaPolynomial {
    low: [
        11.153_248_4,
        -0.009_494_154_33,
        0.000_195_571_181,
        -2.497_525_2e-7,
        9.848_732_13e-11,
        -26_771.173_5,
        -15.909_611,
    ],
    high: [
        18.535_470_4,
        0.039_142_046_8,
        -1.380_302_68e-5,
        2.224_038_74e-9,
        -1.334_525_8e-13,
        -31_950.078_3,
        -70.190_284,
    ],
};
// C7H8: L 1/93
const TOLUENE_VAPOUR: NasaPolynomial = NasaPolynomial {
    low: [
        1.611_914,
        0.021_118_890_2,
        8.532_214_53e-5,
        -1.325_668_76e-7,
        5.594_061_09e-11,
        4_096.519_76,
        20.297_361_4,
    ],
    high: [
        12.939_475,
        0.026_692_155_8,
        -9.684_201_08e-6,
        1.573_921_4e-9,
        -9.466_704_82e-14,
        -677.035_769,
        -46.725_530_2,
    ],
};
// C2H5OH: L 8/88
const ETHANOL_VAPOUR: NasaPolynomial = NasaPolynomial {
    low: [
        4.858_681_78,
        -0.003_740_067_4,
        6.955_502_67e-5,
        -8.865_411_47e-8,
        3.516_844_3e-11,
        -29_996.130_9,
        4.801_922_94,
    ],
    high: [
        6.562_897_7,
        0.015_203_426_4,
        -5.389_222_47e-6,
        8.621_502_24e-10,
        -5.128_246_83e-14,
        -31_525.798_4,
        -9.475_576_44,
    ],
};
// CH3OH: L 8/88
const METHANOL_VAPOUR: NasaPolynomial = NasaPolynomial {
    low: [
        5.715_395_82,
        -0.015_230_912_9,
        6.524_411_55e-5,
        -7.108_068_89e-8,
        2.613_526_98e-11,
        -25_642.765_6,
        -1.504_098_23,
    ],
    high: [
        3.601_344_86,
        0.010_243_095_4,
        -3.599_855_17e-6,
        5.725_059_86e-10,
        -3.391_176_4e-14,
        -25_997.191,
        4.705_122_53,
    ],
};
