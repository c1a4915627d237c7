//! What can be wrong with a duct, or go wrong in it.

/// Why ducts cannot be made, or a step cannot be taken. Ducts, stations and cells are counted from 0.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DuctError {
    /// Fewer than two stations.
    #[error(
        "duct {duct} has {stations} stations; give at least two, each a place along the duct and the diameter there"
    )]
    Stations {
        /// Number of the duct.
        duct: usize,
        /// How many stations were given.
        stations: usize,
    },
    /// The stations do not lead forward: a duct of no length, or one that goes back.
    #[error(
        "duct {duct}: station {station} is at {x} m and the one before it at {previous} m; the places must increase"
    )]
    Length {
        /// Number of the duct.
        duct: usize,
        /// Number of the station.
        station: usize,
        /// Its place, m.
        x: f64,
        /// The place before it, m.
        previous: f64,
    },
    /// A diameter that is zero, negative or not a number.
    #[error("duct {duct}: the diameter at station {station} is {diameter} m; it must be greater than zero")]
    Diameter {
        /// Number of the duct.
        duct: usize,
        /// Number of the station.
        station: usize,
        /// What was given, m.
        diameter: f64,
    },
    /// Too few cells for slopes.
    #[error("duct {duct} has {cells} cells; it needs at least 3")]
    Cells {
        /// Number of the duct.
        duct: usize,
        /// What was given.
        cells: usize,
    },
    /// Another input outside its range.
    #[error("duct {duct}: {what} is {value}; expected {expected}")]
    Input {
        /// Number of the duct.
        duct: usize,
        /// Which input.
        what: &'static str,
        /// What was given.
        value: f64,
        /// What is expected.
        expected: &'static str,
    },
    /// There is no such duct.
    #[error("there is no duct {duct}: there are {ducts}, counted from 0")]
    NoDuct {
        /// Number that was asked for.
        duct: usize,
        /// How many there are.
        ducts: usize,
    },
    /// There is no such cell.
    #[error("duct {duct} has no cell {cell}: it has {cells}, counted from 0")]
    NoCell {
        /// Number of the duct.
        duct: usize,
        /// Number that was asked for.
        cell: usize,
        /// How many there are.
        cells: usize,
    },
    /// Instructions that this machine has not got.
    #[error("this machine has not got the instructions {path:?}; the portable path runs everywhere")]
    Path {
        /// What was asked for.
        path: super::Path,
    },
    /// A step left a cell without density, without temperature or with something that is no number.
    #[error(
        "duct {duct}, cell {cell}: after a step of {step} s the density is {density} kg/m³ and the temperature {temperature} K; \
         take a shorter step, or look at what joins this duct"
    )]
    State {
        /// Number of the duct.
        duct: usize,
        /// Cell, counted from the start of the duct.
        cell: usize,
        /// Density, kg/m³.
        density: f64,
        /// Temperature, K.
        temperature: f64,
        /// The step, s.
        step: f64,
    },
}

impl DuctError {
    /// The duct that is meant, counted from 0.
    pub fn duct(&self) -> Option<usize> {
        match self {
            Self::Stations { duct, .. }
            | Self::Length { duct, .. }
            | Self::Diameter { duct, .. }
            | Self::Cells { duct, .. }
            | Self::Input { duct, .. }
            | Self::NoDuct { duct, .. }
            | Self::NoCell { duct, .. }
            | Self::State { duct, .. } => Some(*duct),
            Self::Path { .. } => None,
        }
    }
}
