//! What a cylinder is made of: sizes, walls, burn, laws, rings.

use thiserror::Error;

use super::chamber::SURFACES;
use super::heat_transfer::HeatLaw;
use super::knock::{DelayLaw, KnockError};
use super::wiebe::Wiebe;

/// Sizes and laws of one cylinder, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct CylinderSpec {
    /// Bore, m.
    pub bore: f64,
    /// Crank radius (half the stroke when the pin is not offset), m.
    pub crank_radius: f64,
    /// Rod length between centres, m.
    pub rod_length: f64,
    /// Distance of the pin's line from the crank axis, m; sign as in `mechanics::kinematics`.
    pub pin_offset: f64,
    /// Volume at top dead centre without the top-land crevice, m³.
    pub clearance_volume: f64,
    /// Surface of the crown that the gas touches, m².
    pub crown_area: f64,
    /// Surface of the head with the valve faces, m².
    pub head_area: f64,
    /// Surface of liner and gasket that the gas touches at top dead centre, m².
    pub liner_area_at_top: f64,
    /// Mean surface temperatures of crown, head and liner, K.
    pub wall_temperatures: [f64; SURFACES],
    /// Burn law; none for a motored cylinder.
    pub burn: Option<Wiebe>,
    /// Share of the mixture that the flame reaches which burns, above 0 up to 1; the rest leaves unburned.
    pub completeness: f64,
    /// Heat to the walls.
    pub heat: HeatLaw,
    /// Ignition delay of the end gas; none leaves the integral at 0.
    pub knock: Option<DelayLaw>,
    /// Crevice above the top ring; none leaves it out.
    pub crevice: Option<CreviceSpec>,
    /// Leak past the rings; needs the crevice.
    pub rings: Option<RingSpec>,
}

/// Crevice above the top ring (top land, ring side, gasket lip), taken as one volume at wall temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CreviceSpec {
    /// Volume hot, m³.
    pub volume: f64,
    /// Temperature of the gas in it: that of its walls, K.
    pub temperature: f64,
    /// Share of the mixture that comes back unburned which burns at once in hot gas, 0 to 1. Named parameter; 0.5 from memory
    /// (Heywood 11.4.3 has half to two thirds oxidised in the cylinder).
    pub late_oxidation: f64,
}

/// Gaps of the top and second ring with the land between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingSpec {
    /// End gap of the top ring hot, m.
    pub top_gap: f64,
    /// End gap of the second ring hot, m.
    pub second_gap: f64,
    /// Radial clearance of the land to the bore at the gap, m: gap times clearance is the hole.
    pub land_clearance: f64,
    /// Volume between the two rings, m³.
    pub volume: f64,
    /// Temperature of the gas between the rings, K.
    pub temperature: f64,
    /// Pressure of the crankcase, Pa.
    pub crankcase_pressure: f64,
    /// Discharge coefficient of a gap, 1: 0.86 (Namazian and Heywood, SAE 820088, from memory).
    pub discharge: f64,
}

/// Why a specification is no cylinder.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SpecError {
    /// A size, temperature or factor outside its range.
    #[error("{name} is {value}: it must lie between {least} and {greatest} (SI units)")]
    Range {
        /// Name of the field.
        name: &'static str,
        /// What it is.
        value: f64,
        /// Least.
        least: f64,
        /// Greatest.
        greatest: f64,
    },
    /// The rod cannot turn with this crank.
    #[error("the crank drive does not turn: {0}")]
    Crank(String),
    /// Knock law.
    #[error(transparent)]
    Knock(#[from] KnockError),
    /// Rings without the crevice that feeds them.
    #[error("ring gaps are given without the top-land crevice that feeds them: give its volume")]
    RingsWithoutCrevice,
}

fn within(name: &'static str, value: f64, least: f64, greatest: f64) -> Result<(), SpecError> {
    if (least..=greatest).contains(&value) {
        Ok(())
    } else {
        Err(SpecError::Range { name, value, least, greatest })
    }
}

impl CylinderSpec {
    /// A plain cylinder: flat surfaces, 450 K crown, 430 K head, 410 K liner, Woschni, no crevice, no rings, no knock law.
    ///
    /// Wall temperatures are judgement for a water-cooled engine at full load; whoever knows better sets them.
    pub fn plain(bore: f64, stroke: f64, rod_length: f64, compression_ratio: f64) -> Self {
        let area = 0.25 * core::f64::consts::PI * bore * bore;
        Self {
            bore,
            crank_radius: 0.5 * stroke,
            rod_length,
            pin_offset: 0.0,
            clearance_volume: area * stroke / (compression_ratio - 1.0),
            crown_area: area,
            head_area: area,
            liner_area_at_top: 0.0,
            wall_temperatures: [450.0, 430.0, 410.0],
            burn: None,
            completeness: 1.0,
            heat: HeatLaw::default(),
            knock: None,
            crevice: None,
            rings: None,
        }
    }

    /// Checks every field.
    ///
    /// # Errors
    /// [`SpecError`] names the first field outside its range.
    pub fn validate(&self) -> Result<(), SpecError> {
        within("bore", self.bore, 0.01, 1.0)?;
        within("crank radius", self.crank_radius, 0.005, 1.0)?;
        within("rod length", self.rod_length, 0.01, 5.0)?;
        within("clearance volume", self.clearance_volume, 1e-8, 1e-2)?;
        within("crown area", self.crown_area, 1e-6, 1.0)?;
        within("head area", self.head_area, 1e-6, 1.0)?;
        within("liner area at top dead centre", self.liner_area_at_top, 0.0, 1.0)?;
        for (name, t) in ["crown temperature", "head temperature", "liner temperature"]
            .into_iter()
            .zip(self.wall_temperatures)
        {
            within(name, t, 200.0, 1500.0)?;
        }
        within("completeness of the burn", self.completeness, 0.5, 1.0)?;
        if self.heat != HeatLaw::Adiabatic {
            within("heat transfer factor", self.heat.factor(), 0.01, 10.0)?;
        }
        if let Some(crevice) = self.crevice {
            within("crevice volume", crevice.volume, 1e-12, 0.2 * self.clearance_volume)?;
            within("crevice temperature", crevice.temperature, 200.0, 1000.0)?;
            within("late oxidation", crevice.late_oxidation, 0.0, 1.0)?;
        }
        if let Some(rings) = self.rings {
            if self.crevice.is_none() {
                return Err(SpecError::RingsWithoutCrevice);
            }
            within("top ring gap", rings.top_gap, 0.0, 0.01)?;
            within("second ring gap", rings.second_gap, 0.0, 0.01)?;
            within("land clearance", rings.land_clearance, 0.0, 0.005)?;
            within("volume between the rings", rings.volume, 1e-10, 1e-3)?;
            within("temperature between the rings", rings.temperature, 200.0, 1000.0)?;
            within("crankcase pressure", rings.crankcase_pressure, 1e3, 1e6)?;
            within("discharge coefficient of a ring gap", rings.discharge, 0.0, 1.0)?;
        }
        Ok(())
    }
}
