//! Linear thermal expansion by family of material.
//!
//! Typical values between 20 and 100 to 200 °C, from memory: a default to start from, with a band that is meant as
//! limits of a rectangular distribution. The material's own data sheet replaces them.

/// A family of engine materials.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MaterialFamily {
    /// Blocks, liners, rings of lamellar iron.
    GreyIron,
    /// Crankshafts, rods, pins, rings, fasteners.
    Steel,
    /// Cast or forged pistons with about 12 % silicon.
    EutecticPistonAlloy,
    /// Cast pistons with about 18 % silicon.
    HypereutecticPistonAlloy,
    /// Forged pistons of aluminium-copper with little silicon.
    LowSiliconForging,
    /// Heads and blocks of aluminium-silicon castings.
    AluminiumCasting,
    /// Blocks and covers of magnesium-aluminium-zinc castings.
    MagnesiumCasting,
    /// Rods and valves of Ti-6Al-4V.
    Titanium,
    /// Bushes and guides.
    Bronze,
}

/// A typical coefficient of linear expansion and its band, 1/K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expansion {
    /// Middle of the band, or the figure usually quoted.
    pub typical: f64,
    /// Low end of the band.
    pub low: f64,
    /// High end of the band.
    pub high: f64,
}

/// Where the values come from, for the working of a finding.
pub const EXPANSION_ORIGIN: &str = "typical of the material family, 20 to 100-200 °C; from memory";

impl MaterialFamily {
    /// All families.
    pub const ALL: [Self; 9] = [
        Self::GreyIron,
        Self::Steel,
        Self::EutecticPistonAlloy,
        Self::HypereutecticPistonAlloy,
        Self::LowSiliconForging,
        Self::AluminiumCasting,
        Self::MagnesiumCasting,
        Self::Titanium,
        Self::Bronze,
    ];

    /// Its coefficient, 1/K; see [`EXPANSION_ORIGIN`].
    pub fn expansion(self) -> Expansion {
        let [low, typical, high] = match self {
            Self::GreyIron => [10.0, 10.5, 11.0],
            Self::Steel => [11.0, 11.5, 12.0],
            Self::EutecticPistonAlloy => [19.5, 20.25, 21.0],
            Self::HypereutecticPistonAlloy => [17.5, 18.25, 19.0],
            Self::LowSiliconForging => [22.0, 23.0, 24.0],
            Self::AluminiumCasting => [21.0, 21.5, 22.0],
            Self::MagnesiumCasting => [25.5, 26.0, 27.0],
            Self::Titanium => [8.6, 8.9, 9.2],
            Self::Bronze => [17.0, 17.5, 18.0],
        };
        Expansion { typical: typical * 1e-6, low: low * 1e-6, high: high * 1e-6 }
    }
}

impl Expansion {
    /// Standard uncertainty of the coefficient, 1/K: half width/√3 (JCGM 100, 4.3.7).
    pub fn standard_uncertainty(self) -> f64 {
        0.5 * (self.high - self.low) / 3_f64.sqrt()
    }
}
