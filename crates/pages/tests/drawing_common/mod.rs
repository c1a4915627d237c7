//! What the drawing tests share.
#![allow(dead_code)]

use engine::document::{Arrangement, Document};
use engine::quantity::{Angle, Length};
use std::fs;
use std::path::Path;

/// A length from millimetres.
#[allow(clippy::unnecessary_wraps)]
pub fn mm(value: f64) -> Option<Length> {
    Some(Length(value / 1000.0))
}

/// An engine with round sizes.
pub fn layout(arrangement: Arrangement, cylinders: u32, angle_deg: Option<f64>) -> Document {
    let mut document = Document::default();
    document.layout.arrangement = Some(arrangement);
    document.layout.cylinders = Some(cylinders);
    document.layout.bank_angle = angle_deg.map(|a| Angle(a.to_radians()));
    document.layout.bore = mm(92.0);
    document.layout.stroke = mm(76.0);
    document.layout.pitch = mm(104.0);
    document.layout.intake_valves = Some(2);
    document.layout.exhaust_valves = Some(2);
    document.rods.length = mm(135.0);
    document.block.deck_height = mm(208.0);
    document
}

/// Well-formed, finite, legible, in the colours of the hand, and not too large.
pub fn check_svg(svg: &str, cap: usize) {
    assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>"), "a whole drawing");
    assert!(svg.len() <= cap, "{} bytes are more than {cap}", svg.len());
    assert!(svg.contains("aria-label=\"") && !svg.contains("aria-label=\"\""), "named in words");
    for word in ["NaN", "inf", "style=", "<script", "<style"] {
        assert!(!svg.contains(word), "{word} in the drawing");
    }
    let mut open: Vec<&str> = Vec::new();
    for tag in svg.split('<').skip(1) {
        let inside = tag.split('>').next().expect("a tag ends");
        let name = inside.split([' ', '/']).find(|n| !n.is_empty()).expect("a tag has a name");
        if inside.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "tags close in order");
        } else if !inside.ends_with('/') {
            open.push(name);
        }
        let colours =
            ["#fbfaf6", "#1b1f24", "#4a5058", "#9a3412", "#e9e5d8", "#c9c7bf", "#ffffff", "#000000"];
        for attribute in ["fill=\"#", "stroke=\"#"] {
            if let Some(at) = inside.find(attribute) {
                let colour = &inside[at + attribute.len() - 1..at + attribute.len() + 6];
                assert!(colours.contains(&colour), "{colour} is not a colour of the hand");
            }
        }
        if let Some(at) = inside.find("font-size=\"") {
            let size: f64 = inside[at + 11..].split('"').next().expect("quoted").parse().expect("a number");
            assert!(size >= 13.0, "text of {size} px");
        }
    }
    assert!(open.is_empty(), "all tags closed");
}

/// Compares with the file in `goldens`; `UPDATE_GOLDENS=1` writes it anew, to be looked at before it is committed.
pub fn golden(name: &str, svg: &str) {
    check_svg(svg, 90_000);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/goldens").join(name);
    let text = svg.replace("><", ">\n<") + "\n";
    if std::env::var_os("UPDATE_GOLDENS").is_some() {
        fs::write(&path, &text).expect("goldens can be written");
        return;
    }
    let signed = fs::read_to_string(&path).unwrap_or_default();
    if let Some((i, (old, new))) = signed.lines().zip(text.lines()).enumerate().find(|(_, (a, b))| a != b) {
        panic!(
            "{name} line {}:\n  signed {old}\n  drawn  {new}\nlook at it, then UPDATE_GOLDENS=1 cargo test -p pages",
            i + 1
        );
    }
    assert_eq!(
        signed.lines().count(),
        text.lines().count(),
        "{name}: UPDATE_GOLDENS=1 cargo test -p pages writes it"
    );
}
