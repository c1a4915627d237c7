//! The sheets: stages of the job, in its order.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One sheet of the drawing set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Sheet {
    /// Walls, hardness, main line, deck face.
    Casting,
    /// Bores and their surface.
    Bores,
    /// Journals, run-out, end float.
    Crank,
    /// Housings, shells, fitted bores.
    Bearings,
    /// Rods.
    Rods,
    /// Pistons, pins, rings.
    Pistons,
    /// Deck height, chamber, gasket.
    Head,
    /// Lash, springs, guides, seats.
    Valves,
}

impl Sheet {
    /// All reading sheets in the order of the job.
    pub const ALL: [Self; 8] = [
        Self::Casting,
        Self::Bores,
        Self::Crank,
        Self::Bearings,
        Self::Rods,
        Self::Pistons,
        Self::Head,
        Self::Valves,
    ];

    /// Name in addresses.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Casting => "casting",
            Self::Bores => "bores",
            Self::Crank => "crank",
            Self::Bearings => "bearings",
            Self::Rods => "rods",
            Self::Pistons => "pistons",
            Self::Head => "head",
            Self::Valves => "valves",
        }
    }

    /// Title.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Casting => "Casting",
            Self::Bores => "Bores",
            Self::Crank => "Crank",
            Self::Bearings => "Bearings",
            Self::Rods => "Rods",
            Self::Pistons => "Pistons",
            Self::Head => "Head",
            Self::Valves => "Valves",
        }
    }

    /// The sheet with that id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.id() == id)
    }
}

/// How a sheet stands, in words for the top edge.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SheetNote {
    /// Sheet.
    pub sheet: Sheet,
    /// Places read.
    pub read: usize,
    /// Places in all.
    pub places: usize,
    /// Findings that stop the build.
    pub stops: usize,
    /// Findings that are uncertain.
    pub uncertain: usize,
    /// Stale findings.
    pub stale: usize,
    /// Questions about readings that nobody has answered.
    pub asked: usize,
    /// Words: "14 of 24 read", "1 stops the build", "good".
    pub words: String,
}
