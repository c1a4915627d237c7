//! Species of air and of products, with their NASA polynomials, and mixtures of them.

use mechanics::math::ln;

/// Universal gas constant, J/(kmol K): exact since the SI of 2019 (product of the Boltzmann and Avogadro constants, CODATA 2018).
pub const UNIVERSAL_GAS_CONSTANT: f64 = 8_314.462_618_153_24;

/// Temperature at which sensible energies are zero and heats of formation are given, K.
pub const REFERENCE_TEMPERATURE: f64 = 298.15;

/// Pressure of the standard state of the polynomials, Pa.
pub const STANDARD_PRESSURE: f64 = 1.0e5;

/// Number of species.
pub const SPECIES: usize = 11;

/// Elements that the species are made of, in this order everywhere: C, H, O, N, Ar.
pub const ELEMENTS: usize = 5;

/// Standard atomic weights of C, H, O, N and Ar, kg/kmol: IUPAC 2021, abridged (from memory).
pub const ATOMIC_WEIGHTS: [f64; ELEMENTS] = [12.011, 1.008, 15.999, 14.007, 39.95];

/// A species of air or of the products of combustion; the number is its place in all arrays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "a formula is its own name")]
pub enum Species {
    N2,
    O2,
    Ar,
    CO2,
    H2O,
    CO,
    H2,
    OH,
    O,
    H,
    NO,
}

/// All species, in the order of their numbers.
pub const ALL_SPECIES: [Species; SPECIES] = [
    Species::N2,
    Species::O2,
    Species::Ar,
    Species::CO2,
    Species::H2O,
    Species::CO,
    Species::H2,
    Species::OH,
    Species::O,
    Species::H,
    Species::NO,
];

/// Atoms of C, H, O, N, Ar in a molecule of each species.
pub const ATOMS: [[f64; ELEMENTS]; SPECIES] = [
    [0.0, 0.0, 0.0, 2.0, 0.0],
    [0.0, 0.0, 2.0, 0.0, 0.0],
    [0.0, 0.0, 0.0, 0.0, 1.0],
    [1.0, 0.0, 2.0, 0.0, 0.0],
    [0.0, 2.0, 1.0, 0.0, 0.0],
    [1.0, 0.0, 1.0, 0.0, 0.0],
    [0.0, 2.0, 0.0, 0.0, 0.0],
    [0.0, 1.0, 1.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0, 0.0, 0.0],
    [0.0, 0.0, 1.0, 1.0, 0.0],
];

/// Molar masses, kg/kmol.
pub const MOLAR_MASSES: [f64; SPECIES] = molar_masses();

const fn molar_masses() -> [f64; SPECIES] {
    let mut masses = [0.0; SPECIES];
    let mut species = 0;
    while species < SPECIES {
        masses[species] = molar_mass(&ATOMS[species]);
        species += 1;
    }
    masses
}

/// Molar mass of a molecule of so many atoms of C, H, O, N, Ar, kg/kmol.
pub const fn molar_mass(atoms: &[f64; ELEMENTS]) -> f64 {
    let mut mass = 0.0;
    let mut element = 0;
    while element < ELEMENTS {
        mass += atoms[element] * ATOMIC_WEIGHTS[element];
        element += 1;
    }
    mass
}

/// Seven coefficients below and seven above 1000 K.
///
/// - cp/R = a1 + a2 T + a3 T² + a4 T³ + a5 T⁴
/// - h/R = a1 T + a2 T²/2 + a3 T³/3 + a4 T⁴/4 + a5 T⁵/5 + a6, with the heat of formation at 298.15 K in it
/// - s/R = a1 ln T + a2 T + a3 T²/2 + a4 T³/3 + a5 T⁴/4 + a7, at 1 bar
///
/// Valid 200 to 6000 K. Source: NASA TM-4513 (1993); the coefficients are those of the file
/// `nasa_gas.yaml` of Cantera 3.2. The N2 of another file in wide use, `gri30.yaml`, is 0.2 % lower in cp at 300 K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NasaPolynomial {
    /// a1 to a7 below 1000 K.
    pub low: [f64; 7],
    /// a1 to a7 from 1000 K.
    pub high: [f64; 7],
}

impl NasaPolynomial {
    /// Both ranges zero: where sums start.
    pub const ZERO: Self = Self { low: [0.0; 7], high: [0.0; 7] };

    #[inline]
    fn at(&self, t: f64) -> &[f64; 7] {
        if t < 1000.0 { &self.low } else { &self.high }
    }

    /// cp/R at `t` kelvin, 1.
    #[inline]
    pub fn heat_capacity(&self, t: f64) -> f64 {
        let [a1, a2, a3, a4, a5, ..] = *self.at(t);
        a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))
    }

    /// h/R at `t` kelvin, K; with the heat of formation.
    #[inline]
    pub fn enthalpy(&self, t: f64) -> f64 {
        let [a1, a2, a3, a4, a5, a6, _] = *self.at(t);
        a6 + t * (a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * a5 / 5.0))))
    }

    /// s/R at `t` kelvin and 1 bar, 1.
    #[inline]
    pub fn entropy(&self, t: f64) -> f64 {
        let [a1, a2, a3, a4, a5, _, a7] = *self.at(t);
        a7 + a1 * ln(t) + t * (a2 + t * (a3 / 2.0 + t * (a4 / 3.0 + t * a5 / 4.0)))
    }

    /// g/(R T) = h/(R T) − s/R at `t` kelvin and 1 bar, 1.
    #[inline]
    pub fn gibbs(&self, t: f64) -> f64 {
        self.enthalpy(t) / t - self.entropy(t)
    }

    /// This polynomial and `share` of another: a mixture's, since they are linear.
    #[must_use]
    pub fn plus(&self, other: &Self, share: f64) -> Self {
        let add = |a: &[f64; 7], b: &[f64; 7]| core::array::from_fn(|i| a[i] + share * b[i]);
        Self { low: add(&self.low, &other.low), high: add(&self.high, &other.high) }
    }
}

/// A mixture: kmol of each species in a kilogram (or in another stated mass).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoleNumbers(pub [f64; SPECIES]);

impl MoleNumbers {
    /// A kilogram with these mole fractions (they need not add up to 1).
    pub fn from_fractions(fractions: &[f64; SPECIES]) -> Self {
        let mass: f64 = fractions.iter().zip(MOLAR_MASSES).map(|(x, m)| x * m).sum();
        Self(fractions.map(|x| x / mass))
    }

    /// kmol of one species.
    #[inline]
    pub fn of(&self, species: Species) -> f64 {
        self.0[species as usize]
    }

    /// kmol of all species.
    #[inline]
    pub fn total(&self) -> f64 {
        self.0.iter().sum()
    }

    /// Mole fractions, 1.
    pub fn fractions(&self) -> [f64; SPECIES] {
        let total = self.total();
        self.0.map(|n| n / total)
    }

    /// kmol of C, H, O, N, Ar.
    pub fn elements(&self) -> [f64; ELEMENTS] {
        core::array::from_fn(|k| self.0.iter().zip(&ATOMS).map(|(n, atoms)| n * atoms[k]).sum())
    }

    /// Mass, kg: 1 where the numbers are those of a kilogram.
    pub fn mass(&self) -> f64 {
        self.0.iter().zip(MOLAR_MASSES).map(|(n, m)| n * m).sum()
    }

    /// The mixture's polynomial, summed by moles: times [`UNIVERSAL_GAS_CONSTANT`] it gives cp and h per kilogram.
    /// (Its entropy lacks that of mixing.)
    pub fn polynomial(&self) -> NasaPolynomial {
        self.0.iter().zip(&POLYNOMIALS).fold(NasaPolynomial::ZERO, |sum, (&n, p)| sum.plus(p, n))
    }

    /// Gas constant, J/(kg K).
    #[inline]
    pub fn gas_constant(&self) -> f64 {
        UNIVERSAL_GAS_CONSTANT * self.total()
    }

    /// Specific heat at constant pressure and frozen composition at `t` kelvin, J/(kg K).
    pub fn heat_capacity(&self, t: f64) -> f64 {
        UNIVERSAL_GAS_CONSTANT
            * self.0.iter().zip(&POLYNOMIALS).map(|(n, p)| n * p.heat_capacity(t)).sum::<f64>()
    }

    /// Specific enthalpy with that of formation at `t` kelvin, J/kg.
    pub fn enthalpy(&self, t: f64) -> f64 {
        UNIVERSAL_GAS_CONSTANT * self.0.iter().zip(&POLYNOMIALS).map(|(n, p)| n * p.enthalpy(t)).sum::<f64>()
    }

    /// Specific internal energy with that of formation at `t` kelvin, J/kg.
    pub fn energy(&self, t: f64) -> f64 {
        self.enthalpy(t) - self.gas_constant() * t
    }
}

/// The polynomials, in the order of [`Species`].
pub const POLYNOMIALS: [NasaPolynomial; SPECIES] = [
    // N2: TPIS78
    NasaPolynomial {
        low: [
            3.531_005_28,
            -0.000_123_660_987,
            -5.029_994_37e-7,
            2.435_306_12e-9,
            -1.408_812_35e-12,
            -1_046.976_28,
            2.967_474_68,
        ],
        high: [
            2.952_576_26,
            0.001_396_900_57,
            -4.926_316_91e-7,
            7.860_103_67e-11,
            -4.607_553_21e-15,
            -923.948_645,
            5.871_892_52,
        ],
    },
    // O2: TPIS89
    NasaPolynomial {
        low: [
            3.782_456_36,
            -0.002_996_734_15,
            9.847_302e-6,
            -9.681_295_08e-9,
            3.243_728_36e-12,
            -1_063.943_56,
            3.657_675_73,
        ],
        high: [
            3.660_960_83,
            0.000_656_365_523,
            -1.411_494_85e-7,
            2.057_976_58e-11,
            -1.299_132_48e-15,
            -1_215.977_25,
            3.415_361_84,
        ],
    },
    // Ar: L 6/88
    NasaPolynomial {
        low: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.379_674_91],
        high: [2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.379_674_91],
    },
    // CO2: L 7/88
    NasaPolynomial {
        low: [
            2.356_773_52,
            0.008_984_596_77,
            -7.123_562_69e-6,
            2.459_190_22e-9,
            -1.436_995_48e-13,
            -48_371.969_7,
            9.901_052_22,
        ],
        high: [
            4.636_594_93,
            0.002_741_319_91,
            -9.958_285_31e-7,
            1.603_730_11e-10,
            -9.161_034_68e-15,
            -49_024.934_1,
            -1.935_348_55,
        ],
    },
    // H2O: L 8/89
    NasaPolynomial {
        low: [
            4.198_640_56,
            -0.002_036_434_1,
            6.520_402_11e-6,
            -5.487_970_62e-9,
            1.771_978_17e-12,
            -30_293.726_7,
            -0.849_032_208,
        ],
        high: [
            2.677_037_87,
            0.002_973_183_29,
            -7.737_696_9e-7,
            9.443_366_89e-11,
            -4.269_009_59e-15,
            -29_885.893_8,
            6.882_555_71,
        ],
    },
    // CO: TPIS79
    NasaPolynomial {
        low: [
            3.579_533_47,
            -0.000_610_353_68,
            1.016_814_33e-6,
            9.070_058_84e-10,
            -9.044_244_99e-13,
            -14_344.086,
            3.508_409_28,
        ],
        high: [
            3.048_485_83,
            0.001_351_728_18,
            -4.857_940_75e-7,
            7.885_364_86e-11,
            -4.698_074_89e-15,
            -14_266.117_1,
            6.017_097_9,
        ],
    },
    // H2: TPIS78
    NasaPolynomial {
        low: [
            2.344_331_12,
            0.007_980_520_75,
            -1.947_815_1e-5,
            2.015_720_94e-8,
            -7.376_117_61e-12,
            -917.935_173,
            0.683_010_238,
        ],
        high: [
            2.932_865_79,
            0.000_826_607_967,
            -1.464_023_35e-7,
            1.541_003_59e-11,
            -6.888_044_32e-16,
            -813.065_597,
            -1.024_328_87,
        ],
    },
    // OH: TPIS78
    NasaPolynomial {
        low: [
            3.992_015_43,
            -0.002_401_317_52,
            4.617_938_41e-6,
            -3.881_133_33e-9,
            1.364_114_7e-12,
            3_615.080_56,
            -0.103_925_458,
        ],
        high: [
            2.838_646_07,
            0.001_107_255_86,
            -2.939_149_78e-7,
            4.205_242_47e-11,
            -2.421_690_92e-15,
            3_943.958_52,
            5.844_526_62,
        ],
    },
    // O: L 1/90
    NasaPolynomial {
        low: [
            3.168_267_1,
            -0.003_279_318_84,
            6.643_063_96e-6,
            -6.128_066_24e-9,
            2.112_659_71e-12,
            29_122.259_2,
            2.051_933_46,
        ],
        high: [
            2.543_636_97,
            -2.731_624_86e-5,
            -4.190_295_2e-9,
            4.954_818_45e-12,
            -4.795_536_94e-16,
            29_226.012,
            4.922_294_57,
        ],
    },
    // H: L 5/93
    NasaPolynomial {
        low: [2.5, 0.0, 0.0, 0.0, 0.0, 25_473.659_9, -0.446_682_853],
        high: [
            2.500_002_86,
            -5.653_342_14e-9,
            3.632_517_23e-12,
            -9.199_497_2e-16,
            7.952_607_46e-20,
            25_473.658_9,
            -0.446_698_494,
        ],
    },
    // NO: TPIS89
    NasaPolynomial {
        low: [
            4.218_598_96,
            -0.004_639_881_24,
            1.104_430_49e-5,
            -9.340_555_07e-9,
            2.805_548_74e-12,
            9_845.099_64,
            2.280_610_01,
        ],
        high: [
            3.260_712_34,
            0.001_191_011_35,
            -4.291_226_46e-7,
            6.944_814_63e-11,
            -4.032_956_81e-15,
            9_921.431_32,
            6.369_005_18,
        ],
    },
];
