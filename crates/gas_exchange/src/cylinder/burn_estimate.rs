//! How long a charge burns, estimated from speed, load, mixture, residual and compression.
//!
//! Hires, Tabaczynski and Novak, SAE 780232 (1978) as in Heywood, section 9.4 (from memory):
//! development `Δθ_d = C₁ (Sp ν)^⅓ (h/S_L)^⅔` at ignition, rapid burn `Δθ_b = C₂ (ρᵢ/ρ*)^(10/9) (Sp ν*)^⅓ (h*/S_L*)^⅔` with the starred
//! state near half burned, here motored top dead centre. The constants belong to a chamber; here they are given by the burn angles of a
//! reference state and two named factors. The laminar flame speed enters as a ratio, so its absolute value cancels.

use mechanics::math::{cbrt, exp, powf};
use thiserror::Error;

use crate::gas::{Composition, Fuel, WorkingGas};

use super::chamber::Chamber;
use super::wiebe::{Wiebe, WiebeError};
use super::working_cylinder::Cylinder;

/// Fuel as the flame speed knows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FlameFuel {
    /// Iso-octane; stands for petrol.
    IsoOctane,
    /// Ethanol.
    Ethanol,
    /// Methanol.
    Methanol,
    /// Petrol with a volume share of ethanol, 0 to 1: a straight line between the two (judgement).
    EthanolBlend(f64),
}

/// Molar volume of liquid ethanol over that of petrol, 1: 58.0 and about 137 cm³/mol.
const ETHANOL_MOLAR_VOLUME: f64 = 0.423;

impl FlameFuel {
    /// The flame of a fuel, by the carbon and oxygen in its mean molecule.
    pub fn of(fuel: &Fuel) -> Self {
        let [carbon, _, oxygen, ..] = fuel.atoms();
        if oxygen <= 0.0 {
            Self::IsoOctane
        } else if carbon < 1.5 && oxygen > 0.9 {
            Self::Methanol
        } else if oxygen > 0.999 {
            Self::Ethanol
        } else {
            let ethanol = oxygen * ETHANOL_MOLAR_VOLUME;
            Self::EthanolBlend(ethanol / (ethanol + 1.0 - oxygen))
        }
    }
}

/// Mole fraction of burned gas in a composition, 1.
pub fn residual_mole_fraction(gas: &WorkingGas, c: Composition) -> f64 {
    c.burned * gas.gas_constant(Composition { burned: 1.0, fuel: 0.0 }) / gas.gas_constant(c)
}

/// Gülder's constants: `S_L = W φ^η exp(−ξ (φ − 1.075)²) (T/300)^α (p/1 atm)^β`.
struct Constants {
    w: f64,
    eta: f64,
    xi: f64,
    alpha: f64,
    beta: f64,
}

/// Gülder 1984 (SAE 841000), from memory. Iso-octane at 300 K comes out 0.45 m/s, above later measurements (about 0.35): only ratios
/// are used here.
const ISO_OCTANE: Constants = Constants { w: 0.4658, eta: -0.326, xi: 4.48, alpha: 1.56, beta: -0.22 };
/// Gülder 1982/84, from memory.
const ETHANOL: Constants = Constants { w: 0.4650, eta: 0.250, xi: 6.34, alpha: 1.75, beta: -0.17 };
/// Gülder 1982/84, from memory.
const METHANOL: Constants = Constants { w: 0.4920, eta: 0.250, xi: 5.11, alpha: 1.75, beta: -0.20 };

/// Least part of the flame speed that residual may leave, 1: beyond, a charge does not burn reliably anyhow.
const LEAST_DILUTION_FACTOR: f64 = 0.05;

impl Constants {
    fn speed(&self, phi: f64, t: f64, p: f64) -> f64 {
        let offset = phi - 1.075;
        self.w
            * powf(phi, self.eta)
            * exp(-self.xi * offset * offset)
            * powf(t / 300.0, self.alpha)
            * powf(p / 101_325.0, self.beta)
    }
}

/// Laminar flame speed, m/s, at equivalence ratio `phi` (0.5 to 1.8), temperature (K), pressure (Pa) and mole fraction of residual.
///
/// Residual: `1 − 2.06 x^0.77` (Rhodes and Keck, SAE 850047, 1985, from memory).
pub fn laminar_flame_speed(fuel: FlameFuel, phi: f64, t: f64, p: f64, residual: f64) -> f64 {
    let undiluted = match fuel {
        FlameFuel::IsoOctane => ISO_OCTANE.speed(phi, t, p),
        FlameFuel::Ethanol => ETHANOL.speed(phi, t, p),
        FlameFuel::Methanol => METHANOL.speed(phi, t, p),
        FlameFuel::EthanolBlend(share) => {
            let share = share.clamp(0.0, 1.0);
            (1.0 - share) * ISO_OCTANE.speed(phi, t, p) + share * ETHANOL.speed(phi, t, p)
        }
    };
    undiluted * (1.0 - 2.06 * powf(residual.max(0.0), 0.77)).max(LEAST_DILUTION_FACTOR)
}

/// Kinematic viscosity of air, m²/s: `3.3e-7 T^0.7 / ρ` (Heywood eq. 4.67, from memory).
pub fn kinematic_viscosity(t: f64, density: f64) -> f64 {
    3.3e-7 * powf(t, 0.7) / density
}

/// Gas and chamber at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// kg/m³.
    pub density: f64,
    /// Volume over piston area, m.
    pub height: f64,
}

/// What the estimate asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Fuel.
    pub fuel: FlameFuel,
    /// Fuel over stoichiometric fuel (1/λ), 0.5 to 1.8.
    pub equivalence_ratio: f64,
    /// Mole fraction of residual, 0 to 0.35.
    pub residual: f64,
    /// Mean piston speed, m/s.
    pub piston_speed: f64,
    /// At ignition.
    pub ignition: Moment,
    /// At top dead centre, motored.
    pub top: Moment,
}

/// Polytropic exponent of the motored compression here, 1 (judgement: petrol mixture with some heat loss).
const COMPRESSION_EXPONENT: f64 = 1.32;

/// The gas at intake closing, from which the moments at ignition and top dead centre are carried on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closing {
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// J/(kg K).
    pub gas_constant: f64,
    /// m³.
    pub volume: f64,
}

/// The moments at `ignition` (rad) and top dead centre by a polytropic line from closing.
pub fn moments(chamber: &Chamber, closing: &Closing, ignition: f64) -> [Moment; 2] {
    let area = 0.25 * core::f64::consts::PI * chamber.bore() * chamber.bore();
    let from = closing.volume;
    [ignition, 0.0].map(|angle| {
        let volume = chamber.volume(angle);
        let rise = powf(from / volume, COMPRESSION_EXPONENT - 1.0);
        let pressure = closing.pressure * rise * from / volume;
        let temperature = closing.temperature * rise;
        Moment {
            pressure,
            temperature,
            density: pressure / (closing.gas_constant * temperature),
            height: volume / area,
        }
    })
}

impl Conditions {
    /// The conditions of a cylinder from its last closing of the valves, for a burn that starts at `ignition` (rad) at a crank speed
    /// (rad/s); none before the valves closed for the first time.
    pub fn of_cylinder(
        cylinder: &Cylinder,
        gas: &WorkingGas,
        ignition: f64,
        crank_speed: f64,
    ) -> Option<Self> {
        let (at, composition) = cylinder.at_closing()?;
        let closing = Closing {
            pressure: at.pressure,
            temperature: at.temperature,
            gas_constant: gas.gas_constant(composition),
            volume: at.volume,
        };
        let [ignition, top] = moments(cylinder.chamber(), &closing, ignition);
        Some(Self {
            fuel: FlameFuel::of(gas.fuel()),
            equivalence_ratio: 1.0 / gas.lambda(),
            residual: residual_mole_fraction(gas, composition),
            piston_speed: cylinder.chamber().mean_piston_speed(crank_speed),
            ignition,
            top,
        })
    }
}

/// Named parameters of the document: two factors on the burn angles of the reference state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnEstimate {
    /// Factor on the angle from ignition to 10 % burned, 1 unless calibrated, 0.2 to 5.
    pub development_factor: f64,
    /// Factor on the angle from 10 to 90 %, 1 unless calibrated, 0.2 to 5.
    pub burn_factor: f64,
}

impl Default for BurnEstimate {
    fn default() -> Self {
        Self { development_factor: 1.0, burn_factor: 1.0 }
    }
}

/// What an estimate is worth without calibration, as a share of the angles (judgement): chambers differ by that much.
pub const UNCALIBRATED_BAND: f64 = 0.25;

/// Burn angles of the reference state, rad: 20° from ignition to 10 % and 24° from 10 to 90 % (judgement: a four-valve pent-roof
/// chamber at wide open throttle and 2000 /min; common practice, no source).
const REFERENCE_ANGLES: [f64; 2] = [20.0 * DEGREE, 24.0 * DEGREE];
const DEGREE: f64 = core::f64::consts::PI / 180.0;

/// State that the reference angles hold for: bore and stroke 86 mm, compression 10, 2000 /min, iso-octane at φ = 1.1, 4 % residual,
/// 1 bar and 350 K at bottom dead centre compressed with 1.32 to 25° before top dead centre and to it.
const REFERENCE: Conditions = Conditions {
    fuel: FlameFuel::IsoOctane,
    equivalence_ratio: 1.1,
    residual: 0.04,
    piston_speed: 5.733,
    ignition: Moment { pressure: 11.79e5, temperature: 636.5, density: 6.808, height: 0.014_744 },
    top: Moment { pressure: 20.89e5, temperature: 731.25, density: 10.504, height: 0.009_556 },
};

/// An estimated burn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnAngles {
    /// Ignition to 10 % burned, rad.
    pub to_ten: f64,
    /// 10 to 90 % burned, rad.
    pub ten_to_ninety: f64,
    /// Share by which both may lie to either side, 1.
    pub band: f64,
}

/// Why no burn is estimated.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum EstimateError {
    /// A condition outside the range of the relation.
    #[error("{name} is {value}: the estimate of the burn holds from {least} to {greatest} (SI units)")]
    Range {
        /// What.
        name: &'static str,
        /// Its value.
        value: f64,
        /// Least.
        least: f64,
        /// Greatest.
        greatest: f64,
    },
    /// The angles give no burn law.
    #[error(transparent)]
    Wiebe(#[from] WiebeError),
}

/// Terms of both relations without their constants.
fn terms(c: &Conditions) -> [f64; 2] {
    let part = |m: &Moment| {
        let flame = laminar_flame_speed(c.fuel, c.equivalence_ratio, m.temperature, m.pressure, c.residual);
        let ratio = m.height / flame;
        cbrt(c.piston_speed * kinematic_viscosity(m.temperature, m.density) * ratio * ratio)
    };
    [part(&c.ignition), powf(c.ignition.density / c.top.density, 10.0 / 9.0) * part(&c.top)]
}

impl BurnEstimate {
    /// Burn angles of the conditions.
    ///
    /// # Errors
    /// [`EstimateError::Range`] outside the range of the relation.
    pub fn angles(&self, c: &Conditions) -> Result<BurnAngles, EstimateError> {
        let within = |name, value: f64, least: f64, greatest: f64| {
            if (least..=greatest).contains(&value) {
                Ok(())
            } else {
                Err(EstimateError::Range { name, value, least, greatest })
            }
        };
        within("development factor", self.development_factor, 0.2, 5.0)?;
        within("burn factor", self.burn_factor, 0.2, 5.0)?;
        within("equivalence ratio", c.equivalence_ratio, 0.5, 1.8)?;
        within("residual mole fraction", c.residual, 0.0, 0.35)?;
        within("mean piston speed", c.piston_speed, 0.5, 40.0)?;
        for m in [&c.ignition, &c.top] {
            within("pressure", m.pressure, 1e4, 3e7)?;
            within("temperature", m.temperature, 250.0, 1500.0)?;
            within("density", m.density, 0.05, 200.0)?;
            within("chamber height", m.height, 1e-4, 1.0)?;
        }
        let (now, reference) = (terms(c), terms(&REFERENCE));
        Ok(BurnAngles {
            to_ten: self.development_factor * REFERENCE_ANGLES[0] * now[0] / reference[0],
            ten_to_ninety: self.burn_factor * REFERENCE_ANGLES[1] * now[1] / reference[1],
            band: UNCALIBRATED_BAND,
        })
    }
}

impl BurnAngles {
    /// The burn law with these angles that has burned half at `half` radians from firing top dead centre.
    ///
    /// # Errors
    /// [`WiebeError`] when the start leaves the compression stroke.
    pub fn with_half_at(&self, half: f64) -> Result<Wiebe, WiebeError> {
        let at_zero = Wiebe::from_delay(0.0, self.to_ten, self.ten_to_ninety)?;
        at_zero.shifted(half - at_zero.half_angle())
    }

    /// The burn law with these angles that is ignited at `start` radians.
    ///
    /// # Errors
    /// [`WiebeError`].
    pub fn with_start_at(&self, start: f64) -> Result<Wiebe, WiebeError> {
        Wiebe::from_delay(start, self.to_ten, self.ten_to_ninety)
    }
}
