//! What does not apply to separate barrels, and what applies to them alone, said where it is written.

use super::diagnostic::{Code, Draft};
use super::issue::Issue;
use super::model::Document;
use super::path::Segment::{self, Key};

const CYLINDERS: &[&str] = &["block.cylinders"];

/// Keys that are written and mean nothing for this kind of cylinders.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    if document.block.is_of_separate_barrels() { of_one_casting(document) } else { of_barrels(document) }
}

fn of_one_casting(document: &Document) -> Vec<Issue<'_>> {
    let (block, limits) = (&document.block, &document.limits);
    let walls = "the maker of a barrel says how far it may be bored: its wall is not mapped here";
    let no_deck = "there is no deck to cut or to read: a barrel is raised or lowered by its shim";
    let written: [(bool, [Segment<'_>; 2], &str); 7] = [
        (block.wall.is_some(), [Key("block"), Key("wall")], walls),
        (limits.wall.is_some(), [Key("limits"), Key("wall")], walls),
        (limits.core_shift.is_some(), [Key("limits"), Key("core_shift")], walls),
        (block.deck_stock.is_some(), [Key("block"), Key("deck_stock")], no_deck),
        (limits.deck_flatness.is_some(), [Key("limits"), Key("deck_flatness")], no_deck),
        (limits.deck_lean.is_some(), [Key("limits"), Key("deck_lean")], no_deck),
        (
            !document.shop.gaskets.is_empty(),
            [Key("shop"), Key("gaskets")],
            "the plan sets separate barrels by their shims and does not choose among gaskets",
        ),
    ];
    issues(written, "this is not used with separate barrels")
}

fn of_barrels(document: &Document) -> Vec<Issue<'_>> {
    let (block, limits) = (&document.block, &document.limits);
    let say =
        "write cylinders = \"separate_barrels\" under [block] where each cylinder is a barrel of its own";
    let written: [(bool, [Segment<'_>; 2], &str); 3] = [
        (block.barrel_shim.is_some(), [Key("block"), Key("barrel_shim")], say),
        (limits.barrel_parallel.is_some(), [Key("limits"), Key("barrel_parallel")], say),
        (limits.barrel_match.is_some(), [Key("limits"), Key("barrel_match")], say),
    ];
    issues(written, "this is used with separate barrels only")
}

fn issues<'a, const N: usize>(written: [(bool, [Segment<'a>; 2], &str); N], message: &str) -> Vec<Issue<'a>> {
    let stands = written.into_iter().filter(|(stands, ..)| *stands);
    stands
        .map(|(_, path, hint)| {
            let draft = Draft::warning(Code::Layout, message.to_owned()).hint(hint.to_owned());
            Issue::new(path, draft).needs(CYLINDERS)
        })
        .collect()
}
