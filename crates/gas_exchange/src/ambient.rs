//! The air around the engine: standard atmosphere and humidity.

use mechanics::math::{exp, powf};

/// Gas constant of dry air, J/(kg K), ISO 2533:1975.
pub const DRY_AIR_GAS_CONSTANT: f64 = 287.052_87;
/// Ratio of the molar masses of water and dry air.
const WATER_TO_AIR: f64 = 0.621_98;

/// The height is outside the layer that the formula describes.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AmbientError {
    /// Height outside −2,000 to 11,000 m.
    #[error("altitude {0} m is outside −2,000 to 11,000 m")]
    Altitude(f64),
    /// Relative humidity outside 0 to 1, or a temperature outside −40 to 60 °C.
    #[error("humidity {humidity} at {temperature} K: expected 0 to 1 and 233 to 333 K")]
    Humidity {
        /// Relative humidity, 0 to 1.
        humidity: f64,
        /// Temperature, K.
        temperature: f64,
    },
}

/// Pressure and temperature of still air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Pressure, Pa.
    pub pressure: f64,
    /// Temperature, K.
    pub temperature: f64,
}

impl Air {
    /// Density of dry air at this state, kg/m³.
    pub fn dry_density(&self) -> f64 {
        self.pressure / (DRY_AIR_GAS_CONSTANT * self.temperature)
    }
}

/// ISO 2533 standard atmosphere: T = 288.15 − 0.0065 H, p = 101,325 (T/288.15)^5.25588.
///
/// `altitude`: geopotential height in m, −2,000 to 11,000. Example: 1,000 m gives 89,874.6 Pa.
/// Source: ISO 2533:1975 (from memory).
///
/// # Errors
/// When the altitude is outside the layer.
pub fn standard_atmosphere(altitude: f64) -> Result<Air, AmbientError> {
    if !(-2_000.0..=11_000.0).contains(&altitude) {
        return Err(AmbientError::Altitude(altitude));
    }
    let temperature = 288.15 - 0.0065 * altitude;
    Ok(Air { pressure: 101_325.0 * powf(temperature / 288.15, 5.255_88), temperature })
}

/// Pressure of water vapour in Pa: relative humidity φ times 611.21 exp((18.678 − t/234.5) t/(257.14 + t)), t in °C.
///
/// `relative_humidity` 0 to 1, `temperature` K from 233 to 333. Over water.
/// Example: 100 % at 20 °C gives 2,338 Pa. Source: A. L. Buck, J. Appl. Meteorol. 20 (1981) 1527, 1996 constants (from memory).
///
/// # Errors
/// When an argument is out of range.
pub fn vapour_pressure(relative_humidity: f64, temperature: f64) -> Result<f64, AmbientError> {
    if !(0.0..=1.0).contains(&relative_humidity) || !(233.0..=333.0).contains(&temperature) {
        return Err(AmbientError::Humidity { humidity: relative_humidity, temperature });
    }
    let t = temperature - 273.15;
    Ok(relative_humidity * 611.21 * exp((18.678 - t / 234.5) * t / (257.14 + t)))
}

/// Mass of water per mass of dry air, 0.621 98 e/(p − e).
///
/// `pressure` of the moist air and `vapour_pressure`, both Pa, the second below the first. Source: definition.
pub fn humidity_ratio(pressure: f64, vapour_pressure: f64) -> f64 {
    WATER_TO_AIR * vapour_pressure / (pressure - vapour_pressure)
}
