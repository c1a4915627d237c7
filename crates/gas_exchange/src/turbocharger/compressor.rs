//! Compressor by a map of entered points.

mod map;
mod speed_line;

pub use map::{CompressorError, CompressorMap, MapPoint, MapSpeedLine, Reference};
pub use speed_line::{SpeedLine, Zone};

use mechanics::math::powf;

/// A running compressor: what it does to the air at one operating point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Operation {
    /// Mass flow, kg/s.
    pub mass_flow: f64,
    /// Total pressure ratio.
    pub pressure_ratio: f64,
    /// Isentropic efficiency, total to total.
    pub efficiency: f64,
    /// Temperature behind, K.
    pub outlet_temperature: f64,
    /// Power taken from the shaft, W.
    pub power: f64,
    /// Where on the map.
    pub zone: Zone,
}

/// Air before the compressor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Inlet {
    /// Total pressure, Pa.
    pub pressure: f64,
    /// Total temperature, K.
    pub temperature: f64,
    /// Specific heat at constant pressure, J/(kg K).
    pub specific_heat: f64,
    /// Ratio of the specific heats.
    pub gamma: f64,
}

/// Distances from the limits of the map at one operating point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margins {
    /// `1 − ṁ_surge/ṁ`: the share by which the flow can fall at the same speed until it stands on the surge line; left of the line
    /// `ṁ/ṁ_surge − 1`, the share of the line's flow that it lacks, as a figure below 0.
    pub surge: f64,
    /// `1 − ṁ/ṁ_choke`, with the flow of the last entered point of this speed; below 0 beyond it.
    pub choke: f64,
    /// 1 − speed / greatest speed allowed.
    pub overspeed: f64,
}

/// Outlet temperature T₂ = T₁ (1 + (Π^((γ−1)/γ) − 1)/η), K, and power ṁ cp (T₂ − T₁), W.
///
/// `inlet` as named; `mass_flow` kg/s; `pressure_ratio` 1 or more; `efficiency` above 0, up to 1.
/// Example: 298 K, Π = 2, η = 0.75, γ = 1.4, cp = 1,005, 0.1 kg/s: 385.02 K and 8,746 W.
/// Source: Heywood, equations 6.43 and 6.44 (from memory).
pub fn compression(inlet: &Inlet, mass_flow: f64, pressure_ratio: f64, efficiency: f64) -> (f64, f64) {
    let rise = powf(pressure_ratio, (inlet.gamma - 1.0) / inlet.gamma) - 1.0;
    let outlet = inlet.temperature * (1.0 + rise / efficiency);
    (outlet, mass_flow * inlet.specific_heat * (outlet - inlet.temperature))
}

impl CompressorMap {
    /// What the compressor does at a shaft `speed` (rad/s) against `outlet_pressure` (Pa).
    pub fn against_pressure(&self, inlet: &Inlet, speed: f64, outlet_pressure: f64) -> Operation {
        let line = self.at_speed(self.corrected_speed(inlet, speed));
        let pressure_ratio = (outlet_pressure / inlet.pressure).clamp(1.0, 1e3);
        let (corrected, zone) = line.flow_at(pressure_ratio);
        self.operation(inlet, &line, corrected, pressure_ratio, zone)
    }

    /// What the compressor does at a shaft `speed` (rad/s) when it passes `mass_flow` (kg/s).
    pub fn at_flow(&self, inlet: &Inlet, speed: f64, mass_flow: f64) -> Operation {
        let line = self.at_speed(self.corrected_speed(inlet, speed));
        let corrected = mass_flow.clamp(0.0, 1e6) / self.flow_scale(inlet);
        let (pressure_ratio, zone) = line.pressure_ratio_at(corrected);
        self.operation(inlet, &line, corrected, pressure_ratio, zone)
    }

    /// Margins at a shaft `speed` (rad/s) and mass flow (kg/s).
    pub fn margins(&self, inlet: &Inlet, speed: f64, mass_flow: f64) -> Margins {
        let corrected_speed = self.corrected_speed(inlet, speed);
        let line = self.at_speed(corrected_speed);
        let flow = (mass_flow / self.flow_scale(inlet)).max(1e-9);
        let surge = line.surge().0.max(1e-9);
        Margins {
            surge: if flow >= surge { 1.0 - surge / flow } else { flow / surge - 1.0 },
            choke: 1.0 - flow / line.choke().0.max(1e-9),
            overspeed: 1.0 - corrected_speed / self.greatest_speed(),
        }
    }

    fn operation(
        &self,
        inlet: &Inlet,
        line: &SpeedLine,
        corrected: f64,
        pressure_ratio: f64,
        zone: Zone,
    ) -> Operation {
        let mass_flow = corrected * self.flow_scale(inlet);
        let efficiency = line.efficiency_at(corrected);
        let (outlet_temperature, power) = compression(inlet, mass_flow, pressure_ratio, efficiency);
        Operation { mass_flow, pressure_ratio, efficiency, outlet_temperature, power, zone }
    }

    /// Mass flow over corrected flow at this inlet, `(p/p_ref)/√(T/T_ref)`.
    pub fn flow_scale(&self, inlet: &Inlet) -> f64 {
        let reference = self.reference();
        inlet.pressure / reference.pressure / (inlet.temperature / reference.temperature).sqrt()
    }

    /// `Speed/√(T/T_ref)`, rad/s.
    pub fn corrected_speed(&self, inlet: &Inlet, speed: f64) -> f64 {
        speed / (inlet.temperature / self.reference().temperature).sqrt()
    }
}
