//! What a cylinder adds up over a cycle.

use super::chamber::SURFACES;
use super::knock::KnockIntegral;

/// Sums since they were last taken: usually one cycle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CycleTotals {
    /// ∫ p dV over compression and expansion (bottom to bottom dead centre about firing), J.
    pub gross_work: f64,
    /// ∫ p dV over exhaust and intake stroke, J.
    pub pumping_work: f64,
    /// Heat to crown, head, liner, J; that of the crevices is apart.
    pub heat: [f64; SURFACES],
    /// Heat to the walls of the crevice and between the rings, J.
    pub crevice_heat: f64,
    /// Mass that left to the crankcase, kg.
    pub blow_by: f64,
    /// Energy with formation that left to the crankcase, J.
    pub blow_by_energy: f64,
    /// Energy given to burned gas of another mixture than the run's where it is written down as burned gas of the run's with air or
    /// fuel beside it, as ports and crevice carry it, J (below 0: taken).
    pub mixture_energy: f64,
    /// Fuel that burned, kg.
    pub burned_fuel: f64,
    /// Greatest pressure, Pa.
    pub peak_pressure: f64,
    /// Where, rad from firing top dead centre.
    pub peak_angle: f64,
    /// Greatest rise of pressure over the crank angle, Pa/rad.
    pub peak_rise: f64,
    /// Greatest temperature of the unburned gas while the valves were closed, K.
    pub peak_unburned_temperature: f64,
    /// Greatest temperature of the burned gas or of the whole, K.
    pub peak_temperature: f64,
    /// Knock integral of the last closed part.
    pub knock: KnockIntegral,
    /// ∫ h A dt of crown, head, liner, J/K.
    pub conductance_time: [f64; SURFACES],
    /// ∫ h A T dt of crown, head, liner, J, with the temperature of the gas that touches them.
    pub conductance_temperature_time: [f64; SURFACES],
    /// Time, s.
    pub time: f64,
    /// What went otherwise than a good cycle goes.
    pub flags: Flags,
}

/// What went otherwise than a good cycle goes; findings, not failures.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flags {
    /// The burn was not over when a valve opened: share that had burned.
    pub burn_cut_short: Option<f64>,
    /// The valves closed after the burn should have begun, or the burn was moved to an angle that had passed: it did not burn.
    pub missed_ignition: bool,
    /// Nothing that could burn was there at ignition.
    pub nothing_to_burn: bool,
}

/// Gas side of a surface in the mean: the heat is conductance times (temperature − wall).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceExchange {
    /// Heat transfer coefficient times surface, W/K.
    pub conductance: f64,
    /// Gas temperature that weighs with it, K.
    pub temperature: f64,
}

impl CycleTotals {
    /// Gross and pumping work, J.
    pub fn work(&self) -> f64 {
        self.gross_work + self.pumping_work
    }

    /// Heat to all walls, J.
    pub fn total_heat(&self) -> f64 {
        self.heat.iter().sum::<f64>() + self.crevice_heat
    }

    /// What the gas does to crown, head and liner in the mean over time.
    pub fn gas_side(&self) -> [SurfaceExchange; SURFACES] {
        core::array::from_fn(|i| {
            let (conductance, product) = (self.conductance_time[i], self.conductance_temperature_time[i]);
            if self.time > 0.0 && conductance > 0.0 {
                SurfaceExchange { conductance: conductance / self.time, temperature: product / conductance }
            } else {
                SurfaceExchange::default()
            }
        })
    }
}
