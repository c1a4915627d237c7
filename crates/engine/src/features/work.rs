//! Which places work on a part moves: their kinds, the places that its list names put into one form, and what it reaches from there.

use super::{Catalogue, Face, Feature};
use crate::document::{Document, OperationKind as K};

/// Families of places that an operation moves. Common practice, no source.
pub(crate) const fn moved_families(kind: K) -> &'static [&'static str] {
    match kind {
        // Walls are carried through the cut by the finding that asks for them, so boring does not make them stale.
        K::Bore | K::Hone => {
            &["block.bore", "block.bore_surface", "ring.top.gap", "ring.second.gap", "ring.rail.gap"]
        }
        K::Sleeve => &[
            "block.bore",
            "block.bore_surface",
            "block.wall",
            "block.deck_face",
            "ring.top.gap",
            "ring.second.gap",
            "ring.rail.gap",
        ],
        K::DeckSkim => &[
            "block.deck_roughness",
            "block.deck_height",
            "block.deck_face",
            "barrel.height",
            "cylinder.below_deck",
            "valve.to_piston",
            "valve.pushrod_lash",
        ],
        K::HeadSkim => {
            &["head.face_roughness", "head.face", "head.chamber", "valve.to_piston", "valve.pushrod_lash"]
        }
        // A pin that is ground may stand at another radius than before.
        K::Regrind => &[
            "crank.main",
            "crank.pin",
            "crank.run_out",
            "main_bearing.clearance",
            "rod_bearing.clearance",
            "cylinder.below_deck",
            "valve.to_piston",
        ],
        K::Polish => {
            &["crank.main", "crank.pin", "crank.run_out", "main_bearing.clearance", "rod_bearing.clearance"]
        }
        K::SeatCut => &[
            "valve.lash",
            "valve.pushrod_lash",
            "valve.spring_installed",
            "valve.seat_load",
            "valve.seat_width",
            "valve.seat_run_out",
            "valve.to_piston",
            "head.chamber",
            "head.port_flow",
        ],
        // The crank axis rises: everything that is read from it opens again.
        K::AlignHone => &[
            "block.main_housing",
            "block.main_axis",
            "main_bearing.fitted_bore",
            "main_bearing.clearance",
            "block.deck_height",
            "cylinder.below_deck",
            "crank.end_float",
            "valve.to_piston",
            "main_shell.crush",
        ],
        K::CapSeat => {
            &["block.main_housing", "block.main_axis", "main_bearing.fitted_bore", "main_bearing.clearance"]
        }
        K::NewShells => &[
            "main_shell",
            "rod_shell",
            "main_shell.crush",
            "rod_shell.crush",
            "main_bearing.fitted_bore",
            "rod_bearing.fitted_bore",
            "main_bearing.clearance",
            "rod_bearing.clearance",
            "crank.end_float",
        ],
        K::RingFile => &["ring.top.gap", "ring.second.gap", "ring.rail.gap"],
        K::LashShim => &["valve.lash", "valve.pushrod_lash", "valve.shim"],
        K::SpringShim => &["valve.spring_installed", "valve.seat_load"],
        K::BarrelShim => &[
            "barrel.shim",
            "block.deck_height",
            "cylinder.below_deck",
            "valve.to_piston",
            "valve.pushrod_lash",
        ],
        K::ChamberRelief => &["head.chamber"],
        K::BigEndHone => &[
            "rod_shell.crush",
            "rod.big_end",
            "rod.length",
            "rod_bearing.fitted_bore",
            "rod_bearing.clearance",
            "cylinder.below_deck",
            "valve.to_piston",
        ],
        K::NewPart | K::Handled => &[],
    }
}

/// A name as paths have it: "Piston 3" is "piston.3".
pub(crate) fn plain_name(name: &str) -> String {
    name.trim().to_lowercase().replace(' ', ".")
}

/// Is that kind of place at a main, of what a grind moves?
pub(crate) fn is_at_a_main(family: &str) -> bool {
    matches!(family, "crank.main" | "crank.run_out" | "main_bearing.clearance")
}

/// The places of this engine that are meant by a name in the list of an operation, in one form: the deck or head by its letter, the
/// cylinder, valve or main by its number, a journal as `crank.pin.2`, the shells as `main.1` or `rod.1`, a ring by its path. None where
/// such an operation can be done at no place of that name.
pub fn work_places(kind: K, name: &str, document: &Document, catalogue: &Catalogue) -> Option<Vec<String>> {
    let name = plain_name(name);
    match kind {
        K::NewPart | K::Handled => Some(vec![name]),
        K::DeckSkim => {
            faces(&name, &document.decks(), &["block.deck_face", "deck", "bank", "block", "barrel"])
        }
        K::HeadSkim => faces(&name, &document.heads(), &["head.face", "head", "bank"]),
        K::Regrind | K::Polish => journals(&name, catalogue),
        K::NewShells => shells(&name, catalogue),
        _ => rows(kind, &name, catalogue).or_else(|| cylinders_of_bank(kind, &name, document, catalogue)),
    }
}

/// What stands after one of these words: "b" in "deck.b"; the name itself where it starts with none of them.
fn after_word<'a>(name: &'a str, words: &[&str]) -> &'a str {
    let rest = |word: &&str| name.strip_prefix(word)?.strip_prefix('.');
    words.iter().find_map(rest).unwrap_or(name)
}

/// The decks or heads that a letter, a word or the number of a cylinder names.
fn faces(name: &str, faces: &[Face], words: &[&str]) -> Option<Vec<String>> {
    if words.contains(&name) {
        return Some(faces.iter().map(|face| face.name.clone()).collect());
    }
    let which = after_word(name, words).split('.').next()?;
    let of_name = faces.iter().find(|face| face.name == which);
    let of_cylinder = || faces.iter().find(|face| face.cylinders.iter().any(|c| c.to_string() == which));
    of_name.or_else(of_cylinder).map(|face| vec![face.name.clone()])
}

/// A main or a crank pin; a bare number may be either.
fn journals(name: &str, catalogue: &Catalogue) -> Option<Vec<String>> {
    let stems = ["crank.main", "crank.pin"];
    let exists = |stem: &str| catalogue.features.iter().any(|f| f.path.starts_with(&format!("{stem}.")));
    if name == "crank" {
        return Some(stems.map(str::to_owned).to_vec());
    }
    if is_number(name) {
        return stems.iter().any(|stem| exists(&format!("{stem}.{name}"))).then(|| vec![name.to_owned()]);
    }
    let (which, rest) =
        after_word(name, &["crank"]).split_once('.').unwrap_or((after_word(name, &["crank"]), ""));
    let stem = match which {
        "main" | "mains" | "main_journal" => stems[0],
        "pin" | "pins" | "pin_journal" => stems[1],
        _ => return None,
    };
    let place = match rest.split('.').next() {
        None | Some("") => stem.to_owned(),
        Some(number) => format!("{stem}.{number}"),
    };
    exists(&place).then(|| vec![place])
}

/// The shells of a main or of a rod; a bare number may be either.
fn shells(name: &str, catalogue: &Catalogue) -> Option<Vec<String>> {
    let exists = |which: &str, number: &str| {
        let stem = format!("{which}_shell.");
        catalogue
            .features
            .iter()
            .any(|f| f.part.starts_with(&stem) && (number.is_empty() || f.instance == number))
    };
    if is_number(name) {
        return ["main", "rod"].iter().any(|which| exists(which, name)).then(|| vec![name.to_owned()]);
    }
    let (which, rest) = name.split_once('.').unwrap_or((name, ""));
    let which = match which {
        "main" | "mains" | "main_shell" | "main_bearing" => "main",
        "rod" | "rods" | "rod_shell" | "rod_bearing" => "rod",
        _ => return None,
    };
    let number = rest.split('.').next().unwrap_or_default();
    let place = if number.is_empty() { which.to_owned() } else { format!("{which}.{number}") };
    exists(which, number).then(|| vec![place])
}

/// The rows of what the operation moves, by the number or name of the row, its path or its part.
fn rows(kind: K, name: &str, catalogue: &Catalogue) -> Option<Vec<String>> {
    let moved = |f: &&Feature| moved_families(kind).contains(&f.family);
    let places = || catalogue.features.iter().filter(moved);
    let valves = valves_of(after_word(name, &["head", "valve"]), catalogue);
    if matches!(kind, K::SeatCut | K::LashShim | K::SpringShim) && !valves.is_empty() {
        return Some(valves);
    }
    if places().any(|f| f.instance == name) || kind == K::RingFile && places().any(|f| f.is_below(name)) {
        return Some(vec![name.to_owned()]);
    }
    let short = after_word(name, words_of(kind));
    if short != name && places().any(|f| f.instance == short) {
        return Some(vec![short.to_owned()]);
    }
    let instances = |name: &str| {
        let mut found: Vec<String> = Vec::new();
        for f in places().filter(|f| f.is_below(name) || f.part == name) {
            if !found.contains(&f.instance) {
                found.push(f.instance.clone());
            }
        }
        found
    };
    // "ring.2.top" may be written "2.top".
    if kind == K::RingFile && places().any(|f| f.is_below(&format!("ring.{name}"))) {
        return Some(vec![format!("ring.{name}")]);
    }
    ["", "block.", "head."].iter().map(|before| instances(&format!("{before}{name}"))).find(|i| !i.is_empty())
}

/// The valves of one side of a cylinder, of which "intake.2" names no single one by its letter.
fn valves_of(name: &str, catalogue: &Catalogue) -> Vec<String> {
    let of_side = |f: &&Feature| {
        let side = f.instance.trim_end_matches(|c: char| c.is_ascii_lowercase());
        f.family.starts_with("valve.") && side == name && f.instance != name
    };
    let mut found: Vec<String> = Vec::new();
    for f in catalogue.features.iter().filter(of_side) {
        if !found.contains(&f.instance) {
            found.push(f.instance.clone());
        }
    }
    found
}

/// Words that a hand writes before the number of what such an operation is done to.
const fn words_of(kind: K) -> &'static [&'static str] {
    match kind {
        K::AlignHone | K::CapSeat => &["main", "cap", "housing"],
        K::BigEndHone => &["rod", "big_end"],
        K::SeatCut | K::LashShim | K::SpringShim => &["valve", "seat", "cylinder"],
        K::RingFile => &["ring", "cylinder"],
        _ => &["bore", "cylinder", "chamber", "barrel", "liner"],
    }
}

/// All cylinders of a bank or under a head, where the operation is done to cylinders.
fn cylinders_of_bank(kind: K, name: &str, document: &Document, catalogue: &Catalogue) -> Option<Vec<String>> {
    if matches!(kind, K::AlignHone | K::CapSeat) {
        return None;
    }
    let (decks, heads) = (document.decks(), document.heads());
    let which = after_word(name, &["bank", "head", "deck"]);
    let all = if name.starts_with("head.") { heads.iter().chain(&decks) } else { decks.iter().chain(&heads) };
    let face = all.into_iter().find(|face| face.name == which)?;
    let exists = |c: &String| {
        catalogue.features.iter().any(|f| moved_families(kind).contains(&f.family) && f.cylinder_is(c))
    };
    let cylinders: Vec<String> = face.cylinders.iter().map(ToString::to_string).filter(exists).collect();
    (!cylinders.is_empty()).then_some(cylinders)
}

fn is_number(name: &str) -> bool {
    !name.is_empty() && name.bytes().all(|b| b.is_ascii_digit())
}

/// Does an operation at this place reach what is read there? The place is one of [`work_places`], or the part that is new.
pub(crate) fn reaches(kind: K, place: &str, feature: &Feature) -> bool {
    match kind {
        K::AlignHone => {
            let of_main = feature.family.starts_with("main_") || feature.family.starts_with("block.main_");
            !of_main || feature.instance == place
        }
        K::CapSeat => feature.instance == place,
        K::DeckSkim => feature.deck == place,
        K::HeadSkim => feature.head == place,
        K::Regrind | K::Polish => is_at_journal(place, feature),
        K::NewShells => match place.split_once('.') {
            Some((which, number)) => feature.family.starts_with(which) && feature.instance == number,
            None if is_number(place) => feature.instance == place,
            None => feature.family.starts_with(place),
        },
        K::NewPart => feature.is_below(place) || feature.instance == place || feature.part == place,
        _ => {
            feature.is_below(place)
                || feature.instance == place
                || feature.cylinder_is(place)
                || is_of_valve(place, feature)
        }
    }
}

fn is_at_journal(place: &str, feature: &Feature) -> bool {
    if feature.is_below(place) {
        return true;
    }
    let main = is_at_a_main(feature.family);
    let at = if main { feature.instance.parse().ok() } else { feature.throw };
    let at = at.map(|n: u32| n.to_string());
    match place.rsplit_once('.') {
        Some(("crank", "main")) => main,
        Some(("crank", "pin")) => feature.throw.is_some(),
        Some(("crank.main", number)) => main && at.as_deref() == Some(number),
        Some(("crank.pin", number)) => !main && at.as_deref() == Some(number),
        _ => at.as_deref() == Some(place),
    }
}

/// Port and chamber belong to the valve that is named: `intake.6a`.
fn is_of_valve(valve: &str, feature: &Feature) -> bool {
    let Some((_, number)) = valve.rsplit_once('.') else { return false };
    match feature.family {
        "head.port_flow" => valve.trim_end_matches(|c: char| c.is_ascii_lowercase()) == feature.instance,
        "head.chamber" => feature.cylinder_is(number.trim_end_matches(|c: char| c.is_ascii_lowercase())),
        _ => false,
    }
}
