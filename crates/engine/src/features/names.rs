//! Names of banks and valves.

use crate::document::{Arrangement, Document, LashAdjustment, Material};
use serde::{Deserialize, Serialize};

/// Intake or exhaust.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Intake.
    Intake,
    /// Exhaust.
    Exhaust,
}

impl Side {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Intake, Self::Exhaust];

    /// The word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }
}

/// One valve.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize)]
pub struct ValveName {
    /// Side.
    pub side: Side,
    /// Cylinder, 1 first.
    pub cylinder: u32,
    /// `a` is the front one.
    pub letter: char,
    /// The only one of its side in this cylinder: it is then named without its letter.
    pub only: bool,
}

impl ValveName {
    /// As in paths: `intake.4a`.
    pub fn path(&self) -> String {
        format!("{}.{}{}", self.side.word(), self.cylinder, self.letter)
    }

    /// As spoken: "4 intake a".
    pub fn label(&self) -> String {
        let name = format!("{} {}", self.cylinder, self.side.word());
        if self.only { name } else { format!("{name} {}", self.letter) }
    }
}

/// All valves, cylinder by cylinder, intake first.
pub fn valve_names(document: &Document) -> Vec<ValveName> {
    let count = |side| match side {
        Side::Intake => document.layout.intake_valves.unwrap_or(0),
        Side::Exhaust => document.layout.exhaust_valves.unwrap_or(0),
    };
    let mut names = Vec::new();
    for cylinder in 1..=document.layout.cylinders.unwrap_or(0) {
        for side in Side::BOTH {
            for letter in ('a'..='e').take(count(side) as usize) {
                names.push(ValveName { side, cylinder, letter, only: count(side) == 1 });
            }
        }
    }
    names
}

/// `a` for the first bank, `b` for the second.
pub const fn bank_name(bank: usize) -> &'static str {
    if bank == 0 { "a" } else { "b" }
}

/// How a bank is named to a person: a capital, so that it is not taken for the letter of a valve.
pub const fn bank_letter(bank: usize) -> &'static str {
    if bank == 0 { "A" } else { "B" }
}

/// What is sealed together: the deck of a bank or the top of a separate barrel, or the head on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// As in paths: `a`, `3`.
    pub name: String,
    /// How it is named to a person: `A`, `3`.
    pub mark: String,
    /// Cylinders that end in it, from the front.
    pub cylinders: Vec<u32>,
}

impl Face {
    fn of_cylinder(cylinder: u32) -> Self {
        Self { name: cylinder.to_string(), mark: cylinder.to_string(), cylinders: vec![cylinder] }
    }

    /// By letters in their order; 12 cylinders have no more than 12 faces.
    fn lettered(groups: Vec<Vec<u32>>) -> Vec<Self> {
        let letters = groups.into_iter().zip('a'..='z');
        letters
            .map(|(cylinders, letter)| Self {
                name: letter.to_string(),
                mark: letter.to_ascii_uppercase().to_string(),
                cylinders,
            })
            .collect()
    }
}

impl Document {
    /// The faces under the heads: the deck of each bank, or each separate barrel.
    pub fn decks(&self) -> Vec<Face> {
        if self.block.is_of_separate_barrels() {
            return self.banks().into_iter().flatten().map(Face::of_cylinder).collect();
        }
        Face::lettered(self.banks())
    }

    /// Name of the face in which a cylinder ends, as in paths.
    pub fn deck_of(&self, cylinder: u32) -> String {
        name_in(&self.decks(), cylinder)
    }

    /// The heads: as written, named by the cylinder where each has one alone; else one for each bank.
    pub fn heads(&self) -> Vec<Face> {
        match &self.head.cylinders {
            Some(groups) if groups.iter().all(|group| group.len() == 1) => {
                groups.iter().flatten().map(|c| Face::of_cylinder(*c)).collect()
            }
            Some(groups) => Face::lettered(groups.clone()),
            None => Face::lettered(self.banks()),
        }
    }

    /// Name of the head of a cylinder, as in paths.
    pub fn head_of(&self, cylinder: u32) -> String {
        name_in(&self.heads(), cylinder)
    }

    /// Is the wall of the casting round each bore asked for? Not of separate barrels, nor round liners, behind which an ultrasonic gauge
    /// sees no wall of the casting, unless a wall or a limit for it is stated.
    pub fn asks_for_walls(&self) -> bool {
        let stated = self.block.wall.is_some() || self.limits.wall.is_some();
        !self.block.is_of_separate_barrels() && (!self.block.is_lined() || stated)
    }

    /// Is the hardness of the casting asked for? Not where no piston runs in it, as of a crankcase under separate barrels or a light
    /// alloy casting with liners, unless a limit for it is stated.
    pub fn asks_for_hardness(&self) -> bool {
        let light =
            matches!(self.block.material, Some(Material::AluminiumCasting | Material::MagnesiumCasting));
        let elsewhere = self.block.is_of_separate_barrels() || self.block.is_lined() && light;
        !elsewhere || self.limits.hardness.is_some()
    }

    /// Part that carries the bore of a cylinder: `block`, or `barrel.3`.
    pub fn bore_part(&self, cylinder: u32) -> String {
        if self.block.is_of_separate_barrels() { format!("barrel.{cylinder}") } else { "block".to_owned() }
    }
}

fn name_in(faces: &[Face], cylinder: u32) -> String {
    let own = faces.iter().find(|face| face.cylinders.contains(&cylinder)).or(faces.first());
    own.map(|face| face.name.clone()).unwrap_or_default()
}

/// "head face", or "head face A" where there are several.
pub fn face_label(words: &str, face: &Face, of: usize) -> String {
    if of > 1 { format!("{words} {}", face.mark) } else { words.to_owned() }
}

/// "deck", or "deck A" where there are two.
pub fn deck_label(document: &Document, bank: usize) -> String {
    if document.banks().len() > 1 { format!("deck {}", bank_letter(bank)) } else { "deck".to_owned() }
}

impl Document {
    /// How a side of a deck or head face is called: `in` is the valley side of a vee and the intake side of any other engine.
    pub fn side_of_face(&self, side: &str) -> &'static str {
        let vee = self.layout.arrangement == Some(Arrangement::Vee);
        match (side, vee) {
            ("in", true) => "valley side",
            ("out", true) => "outer side",
            ("in", false) => "intake side",
            ("out", false) => "exhaust side",
            _ => "middle",
        }
    }

    /// Does a pushrod stand between cam and valve? A screw in the rocker says so, and so does a stated length.
    pub fn has_pushrods(&self) -> bool {
        self.cams.lash_adjustment == Some(LashAdjustment::RockerScrew) || self.cams.pushrod.is_some()
    }

    /// Cylinder numbers of each bank from the front: as written, or derived. In a derived vee or flat engine the odd
    /// numbers stand in bank a and the even ones in bank b.
    pub fn banks(&self) -> Vec<Vec<u32>> {
        if let Some(banks) = &self.layout.banks {
            return banks.clone();
        }
        let cylinders = self.layout.cylinders.unwrap_or(0).min(12);
        match self.layout.arrangement {
            Some(Arrangement::Vee | Arrangement::Flat) => {
                vec![(1..=cylinders).step_by(2).collect(), (2..=cylinders).step_by(2).collect()]
            }
            _ if cylinders == 0 => Vec::new(),
            _ => vec![(1..=cylinders).collect()],
        }
    }

    /// Bank in which a cylinder stands.
    pub fn bank_of(&self, cylinder: u32) -> usize {
        self.banks().iter().position(|bank| bank.contains(&cylinder)).unwrap_or(0)
    }

    /// Throw that carries each cylinder, 1 first: as written, or derived (vee: neighbours of both banks share one;
    /// inline and flat: one each).
    pub fn throw_of_cylinder(&self) -> Vec<u32> {
        if let Some(throws) = &self.layout.throw_of_cylinder {
            return throws.clone();
        }
        let cylinders = self.layout.cylinders.unwrap_or(0).min(12);
        let banks = self.banks();
        (1..=cylinders)
            .map(|cylinder| {
                let shared = self.layout.arrangement == Some(Arrangement::Vee) && banks.len() == 2;
                let place = banks.iter().find_map(|bank| bank.iter().position(|&c| c == cylinder));
                if shared { place.map_or(cylinder, |p| p as u32 + 1) } else { cylinder }
            })
            .collect()
    }

    /// Number of crank throws.
    pub fn throw_count(&self) -> u32 {
        let written = self.layout.throws.as_ref().map_or(0, |t| t.len() as u32);
        self.throw_of_cylinder().into_iter().max().unwrap_or(0).max(written).min(12)
    }

    /// Number of main bearings: as written, or one more than the throws; in a vee one more than the cylinders of a bank, since
    /// split pins stand between the same mains.
    pub fn main_count(&self) -> u32 {
        let longest = self.banks().iter().map(Vec::len).max().unwrap_or(0) as u32;
        let vee = self.layout.arrangement == Some(Arrangement::Vee);
        let throws = if vee { longest } else { self.throw_count() };
        self.layout.main_bearings.unwrap_or(if throws == 0 { 0 } else { throws + 1 }).min(13)
    }
}
