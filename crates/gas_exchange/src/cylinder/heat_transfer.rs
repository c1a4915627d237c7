//! Heat from the gas to crown, head and liner: Woschni, with Hohenberg as the alternative.

use mechanics::math::{exp, ln};

/// Which relation gives the heat transfer coefficient, with its named factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatLaw {
    /// Woschni, SAE 670931 (1967): `h = 129.8 B^−0.2 p^0.8 T^−0.53 w^0.8`, p in bar, W/(m² K).
    ///
    /// `w = c₁ Sp + c₂ (Vd T_r / (p_r V_r)) (p − p_motored)`. The exponent of temperature is Woschni's own −0.53; some books round it to
    /// −0.55, which at 2000 K is 14 % less heat with the same constant.
    Woschni(Woschni),
    /// Hohenberg, SAE 790825 (1979): `h = 130 V^−0.06 p^0.8 T^−0.4 (Sp + 1.4)^0.8`, V the volume now in m³, p in bar, W/(m² K).
    Hohenberg {
        /// Named factor of the document, 1 unless calibrated, 0.3 to 3.
        factor: f64,
    },
    /// No heat to the walls.
    Adiabatic,
}

/// Parameters of Woschni's relation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Woschni {
    /// Named factor of the document, 1 unless calibrated, 0.3 to 3.
    pub factor: f64,
    /// c₁ while a valve is open, 1: 6.18.
    pub gas_exchange: f64,
    /// c₁ with the valves closed, 1: 2.28.
    pub closed: f64,
    /// c₂ from ignition to the opening of the exhaust valve, m/(s K): 3.24e-3 for an open chamber.
    pub combustion: f64,
    /// Swirl speed at the wall over mean piston speed, 1; adds 0.417 of it to c₁ in gas exchange and 0.308 when closed.
    pub swirl: f64,
}

impl Default for Woschni {
    fn default() -> Self {
        Self { factor: 1.0, gas_exchange: 6.18, closed: 2.28, combustion: 3.24e-3, swirl: 0.0 }
    }
}

impl Default for HeatLaw {
    fn default() -> Self {
        Self::Woschni(Woschni::default())
    }
}

/// What Woschni's combustion term refers to: the gas when the valves closed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference {
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// m³.
    pub volume: f64,
    /// Exponent of the motored pressure line `p_r (V_r/V)^n`, 1.
    pub exponent: f64,
}

/// What the relations need of the moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Gas pressure, Pa.
    pub pressure: f64,
    /// Mean gas temperature, K.
    pub temperature: f64,
    /// Volume, m³.
    pub volume: f64,
    /// Mean piston speed, m/s.
    pub piston_speed: f64,
    /// No valve is open.
    pub valves_closed: bool,
    /// From ignition on: the reference of the combustion term.
    pub fired: Option<Reference>,
}

impl Woschni {
    /// Mean gas speed w, m/s; `displacement` in m³.
    pub fn gas_speed(&self, now: &Moment, displacement: f64) -> f64 {
        let c1 = if now.valves_closed {
            self.closed + 0.308 * self.swirl
        } else {
            self.gas_exchange + 0.417 * self.swirl
        };
        let mut speed = c1 * now.piston_speed;
        if let Some(r) = now.fired {
            let motored = r.pressure * exp(r.exponent * ln(r.volume / now.volume));
            let rise = (now.pressure - motored).max(0.0);
            speed += self.combustion * displacement * r.temperature / (r.pressure * r.volume) * rise;
        }
        speed
    }
}

/// Woschni's h, W/(m² K): `bore` m, `pressure` Pa, `temperature` K, `gas_speed` m/s.
#[inline]
pub fn woschni_coefficient(bore: f64, pressure: f64, temperature: f64, gas_speed: f64) -> f64 {
    // One exponential for three powers.
    129.8 * exp(0.8 * ln(pressure * 1e-5 * gas_speed) - 0.2 * ln(bore) - 0.53 * ln(temperature))
}

/// Hohenberg's h, W/(m² K): `volume` m³, `pressure` Pa, `temperature` K, `piston_speed` m/s.
#[inline]
pub fn hohenberg_coefficient(volume: f64, pressure: f64, temperature: f64, piston_speed: f64) -> f64 {
    130.0 * exp(0.8 * ln(pressure * 1e-5 * (piston_speed + 1.4)) - 0.06 * ln(volume) - 0.4 * ln(temperature))
}

impl HeatLaw {
    /// The factor of the law, 1; 0 without heat.
    pub fn factor(&self) -> f64 {
        match self {
            Self::Woschni(w) => w.factor,
            Self::Hohenberg { factor } => *factor,
            Self::Adiabatic => 0.0,
        }
    }

    /// Heat transfer coefficient of the moment, W/(m² K); `bore` m, `displacement` m³.
    pub fn coefficient(&self, now: &Moment, bore: f64, displacement: f64) -> f64 {
        match self {
            Self::Woschni(w) => {
                let speed = w.gas_speed(now, displacement);
                w.factor * woschni_coefficient(bore, now.pressure, now.temperature, speed)
            }
            Self::Hohenberg { factor } => {
                factor * hohenberg_coefficient(now.volume, now.pressure, now.temperature, now.piston_speed)
            }
            Self::Adiabatic => 0.0,
        }
    }
}
