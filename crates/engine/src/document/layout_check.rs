//! Cylinders, banks, throws and firing order against each other; shell grades against those described.

use super::diagnostic::{Code, Draft};
use super::issue::Issue;
use super::model::{Arrangement, Document, Layout};
use super::parts::Shells;
use super::path::Segment::{self, Entry, Key};
use super::suggest::nearest;
use crate::quantity::{Quantity, counted, phrase_list};
use std::f64::consts::PI;

const CYLINDERS: &[&str] = &["layout.cylinders"];
const BANKS: &[&str] = &["layout.cylinders", "layout.banks", "layout.arrangement"];
const FIRING: &[&str] = &[
    "layout.cylinders",
    "layout.banks",
    "layout.arrangement",
    "layout.bank_angle",
    "layout.throws",
    "layout.throw_of_cylinder",
    "layout.firing_order",
];

/// Checks of the layout and of what names cylinders.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let layout = &document.layout;
    let mut issues = Vec::new();
    arrangement(layout, &mut issues);
    banks(layout, &mut issues);
    throws(document, &mut issues);
    bearings(document, &mut issues);
    let sound_so_far = issues.is_empty();
    if let Some(order) = &layout.firing_order {
        let count = layout.cylinders.map_or(order.len(), |n| n as usize);
        let at = [Key("layout"), Key("firing_order")];
        let found = every_cylinder_once(
            order.iter().copied().enumerate().map(|(i, c)| (vec![Entry(i + 1)], c)),
            count,
            &at,
        );
        let complete = found.is_empty();
        issues.extend(found);
        if complete && sound_so_far {
            issues.extend(order_on_crank(document));
            issues.extend(super::usual_crank::check(document).map(|issue| issue.needs(FIRING)));
        }
    }
    for (part, places) in [("pistons", &document.pistons.in_cylinder), ("pins", &document.pins.in_cylinder)] {
        let (Some(places), Some(count)) = (places, layout.cylinders) else { continue };
        let at = [Key(part), Key("in_cylinder")];
        let named = places.iter().copied().enumerate().map(|(i, c)| (vec![Entry(i + 1)], c));
        issues.extend(every_cylinder_once(named, count as usize, &at));
    }
    if let (Some(heads), Some(count)) = (&document.head.cylinders, layout.cylinders) {
        let named = heads.iter().enumerate().flat_map(|(h, head)| {
            head.iter().enumerate().map(move |(i, cylinder)| (vec![Entry(h + 1), Entry(i + 1)], *cylinder))
        });
        issues.extend(every_cylinder_once(named, count as usize, &[Key("head"), Key("cylinders")]));
        for (h, _) in heads.iter().enumerate().filter(|(_, head)| head.is_empty()) {
            let draft = Draft::error(Code::Incomplete, "no cylinder is named under this head")
                .expected("the cylinders under each head, such as [[1, 3], [2, 4]]");
            issues.push(Issue::new([Key("head"), Key("cylinders"), Entry(h + 1)], draft));
        }
    }
    exhaust_groups(document, &mut issues);
    grades(&document.main_shells, "main_shells", &mut issues);
    grades(&document.rod_shells, "rod_shells", &mut issues);
    issues
}

fn at_layout(key: &'static str) -> [Segment<'static>; 2] {
    [Key("layout"), Key(key)]
}

fn arrangement<'a>(layout: &'a Layout, issues: &mut Vec<Issue<'a>>) {
    let degrees = layout.bank_angle.map(|a| a.si() * 180.0 / PI);
    match (layout.arrangement, degrees) {
        (Some(Arrangement::Inline), Some(_)) => {
            let draft =
                Draft::error(Code::Layout, "an inline engine has no bank angle").hint("take the key out");
            issues.push(Issue::new(at_layout("bank_angle"), draft).needs(&["layout.arrangement"]));
        }
        (Some(Arrangement::Flat), Some(degrees)) if (degrees - 180.0).abs() > 1e-6 => {
            let draft = Draft::error(Code::Layout, "the banks of a flat engine lie opposite each other")
                .expected("\"180 deg\", or no bank angle")
                .hint("an engine with another angle is a vee");
            issues.push(Issue::new(at_layout("bank_angle"), draft).needs(&["layout.arrangement"]));
        }
        (Some(Arrangement::Vee), Some(degrees)) if degrees <= 0.0 || degrees > 180.0 + 1e-6 => {
            let draft = Draft::error(Code::Layout, "this is no angle between two banks")
                .expected("more than 0 and at most 180 deg");
            issues.push(Issue::new(at_layout("bank_angle"), draft));
        }
        _ => {}
    }
    let two_banks = matches!(layout.arrangement, Some(Arrangement::Vee | Arrangement::Flat));
    if let Some(count) = layout.cylinders
        && two_banks
        && count % 2 == 1
        && layout.banks.is_none()
    {
        let draft =
            Draft::error(Code::Layout, format!("{count} cylinders do not divide evenly over two banks"))
                .hint("say which cylinders stand in which bank: banks = [[1, 3], [2]]");
        issues.push(Issue::new(at_layout("cylinders"), draft).needs(BANKS));
    }
}

fn banks<'a>(layout: &'a Layout, issues: &mut Vec<Issue<'a>>) {
    let Some(banks) = &layout.banks else { return };
    let expected = match layout.arrangement {
        Some(Arrangement::Inline) => 1,
        Some(Arrangement::Vee | Arrangement::Flat) => 2,
        None => banks.len(),
    };
    if banks.len() != expected || banks.len() > 2 {
        let draft = Draft::error(Code::Layout, counted(banks.len(), "bank is listed", "banks are listed"))
            .expected(if expected == 1 { "one bank, or none" } else { "two banks" });
        issues.push(Issue::new(at_layout("banks"), draft).needs(&["layout.arrangement"]));
        return;
    }
    if let Some(count) = layout.cylinders {
        let named = banks.iter().enumerate().flat_map(|(b, bank)| {
            bank.iter().enumerate().map(move |(i, cylinder)| (vec![Entry(b + 1), Entry(i + 1)], *cylinder))
        });
        issues.extend(every_cylinder_once(named, count as usize, &at_layout("banks")));
    }
}

/// Each of cylinders 1 to `count` is named exactly once.
fn every_cylinder_once<'a>(
    named: impl Iterator<Item = (Vec<Segment<'a>>, u32)>,
    count: usize,
    at: &[Segment<'a>],
) -> Vec<Issue<'a>> {
    let mut seen = vec![false; count];
    let mut issues = Vec::new();
    for (entry, cylinder) in named {
        let place = (cylinder as usize).checked_sub(1).and_then(|i| seen.get_mut(i));
        let draft = match place {
            None => Draft::error(Code::UnknownCylinder, format!("there is no cylinder {cylinder}"))
                .expected(format!("cylinders 1 to {count}, each once")),
            Some(seen) if *seen => {
                Draft::error(Code::DuplicateCylinder, format!("cylinder {cylinder} is named twice"))
                    .expected(format!("cylinders 1 to {count}, each once"))
            }
            Some(seen) => {
                *seen = true;
                continue;
            }
        };
        issues.push(Issue::new(at.iter().copied().chain(entry), draft).needs(CYLINDERS));
    }
    let missing: Vec<String> =
        seen.iter().enumerate().filter(|(_, seen)| !**seen).map(|(i, _)| (i + 1).to_string()).collect();
    if !missing.is_empty() {
        let message = match missing.as_slice() {
            [one] => format!("cylinder {one} is not named"),
            several => format!("cylinders {} are not named", phrase_list(several)),
        };
        let draft = Draft::error(Code::MissingCylinder, message)
            .expected(format!("cylinders 1 to {count}, each once"));
        issues.push(Issue::new(at.iter().copied(), draft).needs(CYLINDERS));
    }
    issues
}

fn throws<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let layout = &document.layout;
    let throws = layout.throws.as_ref().map(Vec::len);
    if let (Some(throws), Some(count)) = (throws, layout.cylinders)
        && (throws == 0 || throws > count as usize)
    {
        let draft = Draft::error(
            Code::Throws,
            format!(
                "{} for {}",
                counted(throws, "throw is listed", "throws are listed"),
                counted(count as usize, "cylinder", "cylinders")
            ),
        )
        .expected(if count == 1 { "1 throw".to_owned() } else { format!("1 to {count} throws") });
        issues.push(Issue::new(at_layout("throws"), draft).needs(CYLINDERS));
        return;
    }
    match (&layout.throw_of_cylinder, layout.cylinders) {
        (Some(carried), Some(count)) => {
            if carried.len() != count as usize {
                let draft = Draft::error(
                    Code::Throws,
                    format!(
                        "{} for {}",
                        counted(carried.len(), "entry", "entries"),
                        counted(count as usize, "cylinder", "cylinders")
                    ),
                )
                .expected("the number of the throw that carries each cylinder, cylinder 1 first");
                issues.push(Issue::new(at_layout("throw_of_cylinder"), draft).needs(CYLINDERS));
            }
            let most = throws.unwrap_or(count as usize);
            for (i, throw) in
                carried.iter().enumerate().filter(|(_, t)| !(1..=most).contains(&(**t as usize)))
            {
                let draft = Draft::error(Code::Throws, format!("there is no throw {throw}"))
                    .expected(format!("throws 1 to {most}"));
                let path = at_layout("throw_of_cylinder").into_iter().chain([Entry(i + 1)]);
                issues.push(Issue::new(path, draft).needs(&["layout.cylinders", "layout.throws"]));
            }
        }
        (None, Some(_)) => throws_as_derived(document, throws, issues),
        _ => {}
    }
}

/// The thrust bearing is one of the mains, and rods that stand on one pin are not said to have a pin each.
fn bearings<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let mains = document.main_count();
    if let Some(thrust) = document.crank.thrust_bearing.filter(|n| mains > 0 && !(1..=mains).contains(n)) {
        let draft = Draft::error(Code::Layout, format!("there is no main bearing {thrust}"))
            .expected(format!("the number of a main, 1 to {mains}"));
        let path = [Key("crank"), Key("thrust_bearing")];
        issues.push(Issue::new(path, draft).needs(&["layout.cylinders", "layout.main_bearings"]));
    }
    let carried = document.layout.throw_of_cylinder.as_deref().unwrap_or_default();
    let shared = |throw: &&u32| carried.iter().filter(|other| other == throw).count() > 1;
    if let (Some(false), Some(throw)) = (document.rods.paired, carried.iter().find(shared)) {
        let draft = Draft::error(
            Code::Layout,
            format!("two rods stand on throw {throw}, but they are said not to share a pin"),
        )
        .expected("paired = true, or no such key");
        let path = [Key("rods"), Key("paired")];
        issues.push(Issue::new(path, draft).needs(&["layout.throw_of_cylinder"]));
    }
}

/// Throws are listed, which cylinder each carries is not: the usual arrangement must need just as many.
fn throws_as_derived<'a>(document: &'a Document, throws: Option<usize>, issues: &mut Vec<Issue<'a>>) {
    let needed = document.throw_of_cylinder().into_iter().max().unwrap_or(0) as usize;
    if let Some(throws) = throws
        && throws != needed
    {
        let draft = Draft::error(
            Code::Throws,
            format!(
                "{}, this arrangement usually has {needed}",
                counted(throws, "throw is listed", "throws are listed")
            ),
        )
        .hint("say which throw carries each cylinder: throw_of_cylinder = [1, 1, 2, 2]");
        issues.push(Issue::new(at_layout("throws"), draft).needs(BANKS));
    }
}

/// The order can be fired on the crank and banks as written; nothing to check where they are left out.
fn order_on_crank(document: &Document) -> Option<Issue<'_>> {
    document.layout.throws.as_ref()?;
    let error = document.firing()?.err()?;
    let draft = Draft::error(Code::ImpossibleFiringOrder, error.to_string())
        .expected("an order in which each cylinder's top dead centre comes after that of the one before it, within two turns")
        .hint("compare the order with the throws and the bank angle; leave throws out to have them derived for even firing");
    Some(Issue::new(at_layout("firing_order"), draft).needs(FIRING))
}

fn exhaust_groups<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let (Some(groups), Some(count)) = (&document.exhaust.groups, document.layout.cylinders) else { return };
    let mut seen = vec![false; count as usize];
    for (g, group) in groups.iter().enumerate() {
        for (i, cylinder) in group.iter().enumerate() {
            let path = [Key("exhaust"), Key("groups"), Entry(g + 1), Entry(i + 1)];
            let draft = match (*cylinder as usize).checked_sub(1).and_then(|c| seen.get_mut(c)) {
                None => Draft::error(Code::UnknownCylinder, format!("there is no cylinder {cylinder}")),
                Some(seen) if *seen => {
                    Draft::error(Code::DuplicateCylinder, format!("cylinder {cylinder} is named twice"))
                }
                Some(seen) => {
                    *seen = true;
                    continue;
                }
            };
            issues.push(
                Issue::new(path, draft.expected(format!("cylinders 1 to {count}, each at most once")))
                    .needs(CYLINDERS),
            );
        }
    }
}

fn grades<'a>(shells: &'a Shells, section: &'static str, issues: &mut Vec<Issue<'a>>) {
    for (journal, fitted) in &shells.fitted {
        let path = [Key(section), Key("fitted"), Key(journal)];
        if !(1..=2).contains(&fitted.len()) {
            let draft =
                Draft::error(Code::Incomplete, counted(fitted.len(), "grade is named", "grades are named"))
                    .expected("one grade, or two when the upper and the lower shell differ");
            issues.push(Issue::new(path, draft));
        }
        for (i, grade) in fitted.iter().enumerate().filter(|(_, g)| !shells.grades.contains_key(*g)) {
            let known: Vec<&str> = shells.grades.keys().map(String::as_str).collect();
            let expected = if known.is_empty() {
                format!("grades in [{section}.grades]")
            } else {
                format!("one of {}", known.join(", "))
            };
            let draft = Draft::error(Code::UnknownName, format!("there is no grade \"{grade}\""))
                .expected(expected)
                .nearest(nearest(grade, known));
            let needs: &'static [&'static str] =
                if section == "main_shells" { &["main_shells.grades"] } else { &["rod_shells.grades"] };
            issues.push(Issue::new(path.into_iter().chain([Entry(i + 1)]), draft).needs(needs));
        }
    }
}
