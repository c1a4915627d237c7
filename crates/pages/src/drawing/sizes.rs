//! The sizes that the engine section is drawn from. What the document does not say is drawn from a proportion, and
//! the part is then dashed: a picture, never a claim.

use engine::document::{Document, Target};
use engine::quantity::Length;

/// A size in mm and whether the document gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// mm
    pub mm: f64,
    /// Given, or follows from given sizes.
    pub given: bool,
}

impl Size {
    const fn given(mm: f64) -> Self {
        Self { mm, given: true }
    }

    const fn drawn(mm: f64) -> Self {
        Self { mm, given: false }
    }
}

/// All sizes of the section, mm.
#[derive(Clone, Debug)]
pub struct Sizes {
    /// Bore diameter.
    pub bore: Size,
    /// Stroke.
    pub stroke: Size,
    /// Bore pitch.
    pub pitch: Size,
    /// Crank axis to deck.
    pub deck: Size,
    /// Rod, centre to centre.
    pub rod: Size,
    /// Pin axis to crown.
    pub compression_height: Size,
    /// Bore from the deck down.
    pub bore_length: Size,
    /// Bore wall.
    pub wall: Size,
    /// Main journal.
    pub main_journal: Size,
    /// Main housing.
    pub main_housing: Size,
    /// Main shell width.
    pub main_width: Size,
    /// Crank pin.
    pub pin_journal: Size,
    /// Rod shell width.
    pub rod_width: Size,
    /// Big end housing.
    pub big_end: Size,
    /// Web along the axis.
    pub web_thickness: Size,
    /// Web across.
    pub web_width: Size,
    /// Piston pin.
    pub pin: Size,
    /// Piston pin, inner.
    pub pin_bore: Size,
    /// Piston pin length.
    pub pin_length: Size,
    /// Gasket, compressed.
    pub gasket: Size,
    /// Fire ring diameter.
    pub fire_ring: Size,
    /// Head above the gasket.
    pub head_height: Size,
    /// Intake valve head.
    pub intake_valve: Size,
    /// Exhaust valve head.
    pub exhaust_valve: Size,
    /// Valve stem.
    pub stem: Size,
    /// Spring, installed.
    pub spring: Size,
    /// Bucket diameter.
    pub bucket: Size,
    /// Top ring width.
    pub top_ring: Size,
    /// Second ring width.
    pub second_ring: Size,
    /// Shim under each barrel; None where the cylinders are one casting.
    pub barrel_shim: Option<Size>,
    /// Height of the crown above (dome) or below (dish, negative) its edge.
    pub crown: f64,
}

/// A length that can be drawn at all, mm.
fn usable(length: Option<Length>) -> Option<f64> {
    length.map(|l| l.0 * 1000.0).filter(|mm| mm.is_finite() && *mm > 0.05 && *mm < 2000.0)
}

fn nominal(target: Option<&Target>) -> Option<f64> {
    let target = target?;
    let middle = target.min.zip(target.max).map(|(a, b)| Length(f64::midpoint(a.0, b.0)));
    usable(target.nominal.or(middle))
}

/// The given size when it lies within `range` (fractions of `reference`); else the proportion, dashed.
fn pick(given: Option<f64>, proportion: f64, range: (f64, f64)) -> Size {
    match given {
        Some(mm) if mm >= proportion * range.0 && mm <= proportion * range.1 => Size::given(mm),
        _ => Size::drawn(proportion),
    }
}

const LOOSE: (f64, f64) = (0.3, 3.0);

impl Sizes {
    /// Reads the document; proportions are common practice, no source.
    pub fn of(document: &Document) -> Self {
        let layout = &document.layout;
        let bore = usable(layout.bore)
            .or_else(|| usable(document.block.bore_as_found))
            .map_or_else(|| Size::drawn(usable(layout.stroke).map_or(86.0, |s| s * 1.02)), Size::given);
        let b = bore.mm;
        let stroke = pick(usable(layout.stroke), 0.96 * b, LOOSE);
        let pitch = pick(usable(layout.pitch), 1.1 * b, (0.93, 2.5));
        let (deck, rod, compression_height) = reach(document, b, stroke.mm);
        let main_journal = pick(nominal(document.crank.main_journal.as_ref()), 0.63 * b, LOOSE);
        let pin_journal = pick(nominal(document.crank.pin_journal.as_ref()), 0.53 * b, LOOSE);
        let pin = pick(usable(document.pins.diameter), 0.25 * b, LOOSE);
        let spring = pick(usable(document.springs.installed), 0.4 * b, LOOSE);
        let shells = |journal: f64| journal + 0.045 * b;
        let valves = &document.valves;
        let count = layout.intake_valves.unwrap_or(2).max(1);
        let valve = if count > 1 { 0.385 * b } else { 0.49 * b };
        let skirt_swing = rod.mm - stroke.mm / 2.0 - 0.42 * b;
        let volume = |v: Option<engine::quantity::Volume>| v.map_or(0.0, |v| v.0 * 1e9).clamp(0.0, 1e6);
        let crown = (volume(document.pistons.dome) - volume(document.pistons.dish)) / (0.55 * b * b);
        Self {
            bore,
            stroke,
            pitch,
            deck,
            rod,
            compression_height,
            bore_length: pick(
                usable(document.block.bore_length),
                deck.mm - skirt_swing.max(0.2 * b),
                (0.6, 1.4),
            ),
            wall: pick(usable(document.block.wall), 0.055 * b, (0.3, 4.0)),
            main_housing: pick(
                nominal(document.block.main_housing.as_ref()),
                shells(main_journal.mm),
                (0.95, 1.3),
            ),
            main_width: pick(usable(document.main_shells.width), 0.22 * b, LOOSE),
            big_end: pick(nominal(document.rods.big_end.as_ref()), shells(pin_journal.mm), (0.95, 1.3)),
            rod_width: pick(usable(document.rod_shells.width), 0.21 * b, LOOSE),
            web_thickness: pick(usable(document.crank.web_thickness), 0.24 * b, LOOSE),
            web_width: pick(usable(document.crank.web_width), 0.9 * b, LOOSE),
            pin_bore: pick(usable(document.pins.inner_diameter), 0.58 * pin.mm, (0.3, 1.6)),
            pin_length: pick(usable(document.pins.length), 0.64 * b, (0.5, 1.45)),
            gasket: pick(usable(document.gasket.compressed), 0.012 * b, (0.1, 8.0)),
            fire_ring: pick(usable(document.gasket.fire_ring), 1.015 * b, (0.95, 1.1)),
            head_height: head_height(document, b, spring.mm),
            intake_valve: pick(usable(valves.intake.head_diameter), valve, (0.4, 1.4)),
            exhaust_valve: pick(usable(valves.exhaust.head_diameter), 0.86 * valve, (0.4, 1.5)),
            stem: pick(usable(valves.intake.stem), 0.068 * b, LOOSE),
            spring,
            bucket: pick(nominal(document.cams.bucket.as_ref()), 0.38 * b, LOOSE),
            top_ring: pick(usable(document.rings.top_width), 0.014 * b, LOOSE),
            second_ring: pick(usable(document.rings.second_width), 0.016 * b, LOOSE),
            barrel_shim: document.block.is_of_separate_barrels().then(|| {
                let shim = document.block.barrel_shim.map(|l| l.0 * 1000.0);
                shim.filter(|mm| (0.0..0.2 * b).contains(mm)).map_or(Size::drawn(0.004 * b), Size::given)
            }),
            crown: if crown.is_finite() { crown.clamp(-0.12 * b, 0.16 * b) } else { 0.0 },
            main_journal,
            pin_journal,
            pin,
        }
    }

    /// Crank radius, mm.
    pub fn radius(&self) -> f64 {
        self.stroke.mm / 2.0
    }

    /// Lower end of the bore above the crank axis, mm.
    pub fn bore_bottom(&self) -> f64 {
        self.deck.mm - self.bore_length.mm
    }

    /// Underside of the head above the crank axis, mm.
    pub fn head_face(&self) -> f64 {
        self.deck.mm + self.gasket.mm
    }

    /// Largest radius of the turning crank, mm: what the big end reaches, or the counterweight.
    pub fn swing(&self) -> f64 {
        (self.radius() + self.big_end.mm / 2.0 + 0.09 * self.bore.mm).max(self.counterweight())
    }

    /// Radius of the counterweights, mm (drawn: no document says it).
    pub fn counterweight(&self) -> f64 {
        (self.radius() + 0.36 * self.pin_journal.mm)
            .min(self.rod.mm - self.radius() - 0.34 * self.bore.mm)
            .max(self.main_journal.mm * 0.62)
    }

    /// Height of the spring seat above the head face, mm.
    pub fn spring_seat(&self) -> f64 {
        0.56 * self.bore.mm
    }

    /// Are the sizes of the block given?
    pub fn block_given(&self) -> bool {
        self.bore.given && self.deck.given
    }

    /// Are the sizes of the crank given?
    pub fn crank_given(&self) -> bool {
        self.stroke.given && self.main_journal.given && self.pin_journal.given
    }
}

/// Deck height, rod length and compression height: two of them and the stroke give the third.
fn reach(document: &Document, bore: f64, stroke: f64) -> (Size, Size, Size) {
    let radius = stroke / 2.0;
    let rod = usable(document.rods.length).filter(|l| *l > 1.15 * stroke && *l < 4.0 * stroke);
    let height = usable(document.pistons.compression_height).filter(|h| *h > 0.1 * bore && *h < 1.2 * bore);
    let deck = usable(document.block.deck_height).filter(|d| *d > 1.5 * stroke && *d < 6.0 * stroke);
    let below = 0.001 * bore;
    let drawn_height = height.unwrap_or(0.36 * bore);
    let rod_size = match (rod, deck) {
        (Some(l), _) => Size::given(l),
        (None, Some(d)) => Size::drawn((d - radius - drawn_height).max(1.2 * stroke)),
        (None, None) => Size::drawn(1.72 * stroke),
    };
    let height_size = match (height, deck, rod) {
        (Some(h), ..) => Size::given(h),
        (None, Some(d), Some(l)) => Size::drawn((d - l - radius).clamp(0.15 * bore, 0.8 * bore)),
        _ => Size::drawn(drawn_height),
    };
    let stack = rod_size.mm + radius + height_size.mm + below;
    let deck_size = match deck {
        Some(d) if (d - stack).abs() < 0.25 * bore => Size::given(d),
        _ => Size::drawn(stack),
    };
    (deck_size, rod_size, height_size)
}

fn head_height(document: &Document, bore: f64, spring: f64) -> Size {
    let needed = 0.56 * bore + spring + 0.2 * bore;
    match usable(document.head.height) {
        Some(h) if h > 0.5 * needed && h < 2.0 * needed => Size::given(h),
        _ => Size::drawn(needed),
    }
}
