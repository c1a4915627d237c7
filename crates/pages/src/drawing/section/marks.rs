//! What is written on the section: axes, dimensions, numbers, links, balloons.

use super::anchors::{Anchor, Locator};
use super::balloons::{cross, place};
use super::block::faces;
use super::frame::{Frame, Pencil};
use super::head::Levels;
use super::layout::{Along, Layout};
use super::{Balloon, Region, Scene, SectionOptions};
use crate::drawing::hand::{ACCENT, Dimension, INK, PAPER, SMALL, SOFT, halo, text_width, type_of};
use crate::drawing::svg::{Align, Point, Svg, number};
use engine::features::Sheet;
use engine::quantity::{Dimension as Kind, UnitSystem, display_unit, format_fixed};

/// Chain lines through bores and crank.
pub fn axes(svg: &mut Svg, scene: &Scene, view: &Along) {
    let s = &scene.sizes;
    let top = s.head_face() + Levels::of(s, &scene.plan).top;
    for (i, (bank, frame)) in view.banks.iter().enumerate() {
        let over = 6.0 / frame.scale;
        let mut pencil = Pencil { svg, frame: *frame };
        for cylinder in scene.places.of_bank(*bank) {
            let low = if view.banks.len() > 1 { 0.0 } else { -(s.swing() + over) };
            pencil.axis((cylinder.x, low), (cylinder.x, top + over));
        }
        if i == 0 {
            let from = (view.outline.left - 10.0, frame.origin.1);
            let to = (view.outline.right + 10.0, frame.origin.1);
            svg.line(from, to, crate::drawing::hand::AXIS);
        }
    }
}

fn figure(scene: &Scene, mm: f64) -> String {
    let units = scene.document.engine.units;
    let decimals = if units == UnitSystem::Inch { 4 } else { 2 };
    let unit = display_unit(Kind::Length, units);
    let text = format_fixed(mm / 1000.0 / unit.factor, decimals);
    if units == UnitSystem::Inch { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Pitch, deck height, stroke and bore, each only where the document gives it.
pub fn dimensions(svg: &mut Svg, scene: &Scene, sheet: &Layout, placed: &[Placed]) {
    let s = &scene.sizes;
    let Some(view) = sheet.along.first() else { return };
    let Some((bank, frame)) = view.banks.first().copied() else { return };
    if s.deck.given {
        let (_, rear) = faces(&scene.places, s);
        let text = figure(scene, s.deck.mm);
        let (from, to) = (frame.at(rear, s.deck.mm), (view.outline.right, frame.origin.1));
        let line = view.outline.right + 18.0;
        Dimension { from, to, line, text: &text, upright: true, beyond: false }.draw(svg);
    }
    if s.stroke.given {
        let x = scene.places.mains.first().copied().unwrap_or(0.0) + s.main_width.mm / 2.0;
        let text = figure(scene, s.stroke.mm);
        let (from, to) = (frame.at(x, s.radius()), frame.at(x, -s.radius()));
        let line = view.outline.left - 10.0;
        Dimension { from, to, line, text: &text, upright: true, beyond: true }.draw(svg);
    }
    if s.pitch.given {
        pitch_dimension(svg, scene, view, placed);
    }
    if s.bore.given {
        bore_dimension(svg, scene, frame, bank);
    }
}

/// Between the first pair of neighbours whose figure no leader crosses.
fn pitch_dimension(svg: &mut Svg, scene: &Scene, view: &Along, placed: &[Placed]) {
    // Below the view stands the last bank in it, with its numbers in a flat engine.
    let Some((bank, frame)) = view.banks.last().copied() else { return };
    let line = view.reserved.bottom - 12.0;
    let text = figure(scene, scene.sizes.pitch.mm);
    let half = text_width(&text, SMALL) / 2.0 + 3.0;
    let xs: Vec<f64> = scene.places.of_bank(bank).iter().map(|c| frame.at(c.x, 0.0).0).collect();
    let free = |middle: f64| {
        let (low, high) = ((middle - half, line - 2.0), (middle + half, line - 16.0));
        placed.iter().all(|p| {
            !cross(p.anchor, p.at, low, high) && !cross(p.anchor, p.at, (low.0, high.1), (high.0, low.1))
        })
    };
    let pairs: Vec<(f64, f64)> = xs.windows(2).map(|w| (w[0], w[1])).collect();
    let chosen = pairs.iter().find(|(a, b)| free(f64::midpoint(*a, *b))).or_else(|| pairs.first());
    if let Some((a, b)) = chosen {
        let y = view.reserved.bottom - 26.0;
        Dimension { from: (*a, y), to: (*b, y), line, text: &text, upright: false, beyond: false }.draw(svg);
    }
}

/// The bore, written in the free room above the piston that stands lowest.
fn bore_dimension(svg: &mut Svg, scene: &Scene, frame: Frame, bank: usize) {
    let s = &scene.sizes;
    let height = |c: &crate::drawing::places::CylinderPlace| scene.places.pin_height(*c, scene.crank_deg, s);
    let cylinders = scene.places.of_bank(bank);
    let Some(lowest) = cylinders.iter().min_by(|a, b| height(a).total_cmp(&height(b))) else { return };
    let crown = height(lowest) + s.compression_height.mm + s.crown.max(0.0);
    let room = (s.deck.mm - crown) * frame.scale;
    let text = format!("⌀ {}", figure(scene, s.bore.mm));
    if room < 26.0 || s.bore.mm * frame.scale < 46.0 {
        return;
    }
    let half = s.bore.mm / 2.0;
    let v = crown + (s.deck.mm - crown) * 0.4;
    let (from, to) = (frame.at(lowest.x - half, v), frame.at(lowest.x + half, v));
    Dimension { from, to, line: from.1, text: &text, upright: false, beyond: false }.draw(svg);
}

/// Cylinder numbers, names of views, what the dashes mean.
pub fn words(svg: &mut Svg, scene: &Scene, sheet: &Layout) {
    let s = &scene.sizes;
    let levels = Levels::of(s, &scene.plan);
    let top = s.head_face() + levels.top;
    for view in &sheet.along {
        for (i, (bank, frame)) in view.banks.iter().enumerate() {
            for cylinder in scene.places.of_bank(*bank) {
                let at = frame.at(cylinder.x, top);
                let y = if i == 0 { at.1 - 9.0 } else { at.1 + 20.0 };
                svg.text((at.0, y), Align::Middle, &halo(15.0, INK, true), &cylinder.number.to_string());
            }
            if scene.places.banks() > 1 {
                let (front, _) = faces(&scene.places, s);
                let at = frame.at(front, s.head_face() + 0.62 * levels.top);
                // Beside the head; where another view stands there, below the pan rail.
                let (at, align) = if sheet.along.len() > 1 && !view.sides.left {
                    ((view.outline.right, view.outline.bottom + 18.0), Align::End)
                } else {
                    ((at.0 - 6.0, at.1 + 4.0), Align::End)
                };
                svg.text(
                    at,
                    align,
                    &halo(SMALL, SOFT, false),
                    &format!("bank {}", engine::features::bank_letter(*bank)),
                );
            }
        }
    }
    if let Some(front) = &sheet.front {
        let ratio =
            sheet.along.first().and_then(|a| a.banks.first()).map_or(1.0, |(_, f)| front.scale / f.scale);
        let text = if ratio > 0.985 {
            "from the front".to_owned()
        } else {
            format!("from the front, × {}", format_fixed(ratio, 2))
        };
        let middle = f64::midpoint(front.outline.left, front.outline.right);
        svg.text((middle, front.outline.bottom + 18.0), Align::Middle, &halo(SMALL, SOFT, false), &text);
    }
    svg.text(
        (8.0, sheet.height - 8.0),
        Align::Start,
        &type_of(SMALL, SOFT, false),
        &caption(scene, sheet.width),
    );
}

fn caption(scene: &Scene, width: f64) -> String {
    let s = &scene.sizes;
    let unit = match scene.document.engine.units {
        UnitSystem::Metric => "mm",
        UnitSystem::Inch => "inches",
    };
    if !scene.places.given {
        return "number of cylinders not given: a sketch of one".to_owned();
    }
    let crank = format!("crank {:.0}°", scene.crank_deg);
    let angles = if scene.places.angles_given || width < 520.0 {
        ""
    } else {
        "; throws drawn evenly, order not given"
    };
    let behind = if scene.plan.exhaust_behind && width >= 520.0 {
        "; dashed leaders: exhaust valves, behind the intake"
    } else {
        ""
    };
    let dashed = !(s.block_given()
        && s.crank_given()
        && s.rod.given
        && s.compression_height.given
        && s.head_height.given);
    match (dashed, width < 520.0) {
        (true, false) => {
            format!("sizes in {unit}; {crank}{angles}{behind}; dashed: size not given, shape only drawn")
        }
        (true, true) => format!("{unit}; {crank}; dashed: size not given"),
        (false, _) => format!("sizes in {unit}; {crank}{angles}{behind}"),
    }
}

/// Invisible areas over parts that lead to their sheets.
pub fn regions(svg: &mut Svg, scene: &Scene, sheet: &Layout, options: &SectionOptions) {
    let s = &scene.sizes;
    let half = s.bore.mm / 2.0;
    let levels = Levels::of(s, &scene.plan);
    for view in &sheet.along {
        for (i, (bank, frame)) in view.banks.iter().enumerate() {
            for c in scene.places.of_bank(*bank) {
                let span = (c.x - half, c.x + half);
                let name = c.number.to_string();
                let heights = [
                    (
                        s.head_face() + levels.seat,
                        s.head_face() + levels.top,
                        Sheet::Valves,
                        "lash",
                        "valves of cylinder",
                    ),
                    (s.deck.mm, s.head_face() + levels.seat, Sheet::Head, "chambers", "chamber"),
                    (s.bore_bottom(), s.deck.mm, Sheet::Bores, "bores", "bore"),
                ];
                for (low, high, target, table, words) in heights {
                    let region = Region {
                        sheet: target,
                        table,
                        instance: name.clone(),
                        words: format!("{words} {name}"),
                    };
                    area(svg, frame.at(span.0, low), frame.at(span.1, high), &region, options);
                }
            }
            if i == 0 && *bank == 0 {
                shaft_regions(svg, scene, *frame, options);
            }
        }
    }
}

fn shaft_regions(svg: &mut Svg, scene: &Scene, frame: Frame, options: &SectionOptions) {
    let s = &scene.sizes;
    let finger = 22.0 / frame.scale;
    let swing = s.swing().max(finger);
    for (i, throw) in scene.places.throws.iter().enumerate() {
        let (name, half) = ((i + 1).to_string(), (0.22 * s.bore.mm).max(0.6 * finger));
        let region =
            Region { sheet: Sheet::Crank, table: "pins", words: format!("crank pin {name}"), instance: name };
        area(svg, frame.at(throw.x - half, -swing), frame.at(throw.x + half, swing * 0.95), &region, options);
    }
    for (i, main) in scene.places.mains.iter().enumerate() {
        let name = (i + 1).to_string();
        let half = (s.main_width.mm / 2.0).max(0.6 * finger);
        let region = Region {
            sheet: Sheet::Bearings,
            table: "main_housings",
            words: format!("main bearing {name}"),
            instance: name,
        };
        area(svg, frame.at(main - half, -swing), frame.at(main + half, swing * 0.8), &region, options);
    }
}

fn area(svg: &mut Svg, a: Point, b: Point, region: &Region, options: &SectionOptions) {
    let Some(href) = (options.region_href)(region) else { return };
    svg.open_link(&href, "region", &format!("{}, sheet {}", region.words, region.sheet.title()));
    let at = (a.0.min(b.0), a.1.min(b.1));
    svg.rectangle(at, ((a.0 - b.0).abs(), (a.1 - b.1).abs()), "fill=\"#000000\" fill-opacity=\"0\"");
    svg.close_link();
}

/// A balloon with its place and the point on the part.
pub struct Placed<'a> {
    balloon: &'a Balloon,
    anchor: Point,
    hidden: bool,
    at: Point,
}

/// Finds the point of each balloon and a place for it outside its view.
pub fn place_balloons<'a>(scene: &Scene, sheet: &Layout, options: &SectionOptions<'a>) -> Vec<Placed<'a>> {
    let mut frames: Vec<(usize, Frame)> = sheet.along.iter().flat_map(|v| v.banks.iter().copied()).collect();
    frames.sort_by_key(|f| f.0);
    let frames: Vec<Frame> = frames.into_iter().map(|f| f.1).collect();
    let locator = Locator {
        places: &scene.places,
        sizes: &scene.sizes,
        plan: &scene.plan,
        crank_deg: scene.crank_deg,
        frames: &frames,
    };
    let find = |b: &Balloon| locator.find(b.anchor).or_else(|| locator.find(Anchor::Engine));
    let found: Vec<(&'a Balloon, usize, Point)> =
        options.balloons.iter().filter_map(|b| find(b).map(|(bank, at)| (b, bank, at))).collect();
    let mut all = Vec::new();
    for (row, view) in sheet.along.iter().enumerate() {
        let own: Vec<&(&'a Balloon, usize, Point)> =
            found.iter().filter(|f| locator.joined() || f.1 == row).collect();
        let anchors: Vec<Point> = own.iter().map(|f| f.2).collect();
        let places = place(&anchors, view.reserved, view.sides);
        all.extend(own.iter().zip(places).map(|(f, at)| Placed {
            balloon: f.0,
            anchor: f.2,
            hidden: locator.is_hidden(f.0.anchor),
            at,
        }));
    }
    all
}

/// The thin lines from balloons to parts.
pub fn leaders(svg: &mut Svg, placed: &[Placed], options: &SectionOptions) {
    for one in placed {
        leader(svg, one, options.selected == Some(one.balloon.number));
    }
}

/// The balloons themselves, above all else.
pub fn balloons(svg: &mut Svg, placed: &[Placed], options: &SectionOptions) {
    for one in placed {
        balloon(svg, one.balloon, one.at, options);
    }
}

fn colour(balloon: &Balloon) -> &'static str {
    if balloon.stops { ACCENT } else { INK }
}

const RADIUS: f64 = 13.0;
/// Radius of the second ring around what stops the build: told apart without colour.
const SECOND_RING: f64 = 16.4;

/// Where the outline of a balloon ends.
fn outer(balloon: &Balloon) -> f64 {
    if balloon.stops { SECOND_RING } else { RADIUS }
}

/// A thin line from a balloon to its part; to a part behind the cut it is dashed and ends in a ring.
fn leader(svg: &mut Svg, one: &Placed, selected: bool) {
    let (anchor, at, colour) = (one.anchor, one.at, colour(one.balloon));
    let (dx, dy) = (at.0 - anchor.0, at.1 - anchor.1);
    let length = (dx * dx + dy * dy).sqrt().max(1e-6);
    let edge = outer(one.balloon);
    let end = (at.0 - dx / length * edge, at.1 - dy / length * edge);
    let width = if selected { 1.8 } else { 0.9 };
    svg.line(anchor, end, &format!("stroke=\"{PAPER}\" stroke-width=\"{}\"", number(width + 2.2)));
    let dashes = if one.hidden { " stroke-dasharray=\"5 3\"" } else { "" };
    svg.line(anchor, end, &format!("stroke=\"{colour}\" stroke-width=\"{}\"{dashes}", number(width)));
    let (fill, edge) = if one.hidden { (PAPER, colour) } else { (colour, PAPER) };
    svg.circle(anchor, 2.8, &format!("fill=\"{fill}\" stroke=\"{edge}\" stroke-width=\"1\""));
}

fn balloon(svg: &mut Svg, balloon: &Balloon, at: Point, options: &SectionOptions) {
    let selected = options.selected == Some(balloon.number);
    let ink = colour(balloon);
    let (fill, text) = if selected { (ink, PAPER) } else { (PAPER, ink) };
    let class = if selected { "balloon selected" } else { "balloon" };
    let stops = if balloon.stops { ", stops the build" } else { "" };
    svg.open_link(&balloon.href, class, &format!("{} {}{stops}", balloon.number, balloon.label));
    svg.circle(at, 22.0, "fill=\"#000000\" fill-opacity=\"0\"");
    if balloon.stops {
        svg.circle(at, SECOND_RING, &format!("fill=\"{PAPER}\" stroke=\"{ink}\" stroke-width=\"1.2\""));
    }
    svg.circle(at, RADIUS, &format!("fill=\"{fill}\" stroke=\"{ink}\" stroke-width=\"1.6\""));
    svg.text((at.0, at.1 + 5.0), Align::Middle, &type_of(14.0, text, true), &balloon.number.to_string());
    svg.close_link();
}
