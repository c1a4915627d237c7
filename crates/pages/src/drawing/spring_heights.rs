//! A valve spring at three heights: installed, at full lift, coils touching.

use super::hand::{ACCENT, Dimension, HIDDEN, INK, SMALL, SOFT, caption, caption_height, halo, type_of};
use super::measured::Figures;
use super::section::spring_picture;
use super::svg::{Align, Svg};

/// Heights of one spring in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct SpringHeights {
    /// "3 intake b".
    pub label: String,
    /// Installed height.
    pub installed: Option<f64>,
    /// Valve lift.
    pub lift: Option<f64>,
    /// Height at which the coils touch.
    pub bind: Option<f64>,
    /// Least room that must remain.
    pub least_room: Option<f64>,
    /// It stops the build.
    pub stops: bool,
    /// How figures are written.
    pub figures: Figures,
}

const WIDTH: f64 = 420.0;

/// Draws the three heights on one base line, to scale.
pub fn spring_figure(spring: &SpringHeights) -> String {
    let Some(installed) = spring.installed.filter(|h| *h > 0.0) else { return String::new() };
    let px = 120.0 / installed;
    let base = 154.0;
    let mut svg = Svg::new();
    svg.line((8.0, base), (WIDTH - 8.0, base), &format!("stroke=\"{INK}\" stroke-width=\"1.6\""));
    let full = spring.lift.map(|l| installed - l);
    for (i, (name, height)) in
        [("installed", Some(installed)), ("full lift", full), ("coils touch", spring.bind)]
            .into_iter()
            .enumerate()
    {
        let x = 56.0 + 134.0 * i as f64;
        svg.text((x, base + 18.0), Align::Middle, &type_of(SMALL, SOFT, false), name);
        let Some(height) = height.filter(|h| *h > 0.0) else {
            svg.rectangle((x - 26.0, base - 90.0), (52.0, 90.0), HIDDEN);
            continue;
        };
        spring_picture(&mut svg, (x, base), height * px, 52.0);
        let text = spring.figures.number(height);
        Dimension {
            from: (x + 26.0, base),
            to: (x + 26.0, base - height * px),
            line: x + 50.0,
            text: &text,
            upright: true,
            beyond: false,
        }
        .draw(&mut svg);
    }
    let room = full.zip(spring.bind).map(|(f, b)| f - b);
    if let Some((room, bind)) = room.zip(spring.bind) {
        let colour = if spring.stops { ACCENT } else { INK };
        let y = base - bind * px;
        svg.line(
            (180.0, y),
            (WIDTH - 8.0, y),
            &format!("stroke=\"{colour}\" stroke-width=\"0.9\" stroke-dasharray=\"6 3\""),
        );
        let text = format!("room {}", spring.figures.number(room));
        svg.text((256.0, y - room * px - 8.0), Align::Middle, &halo(SMALL, colour, true), &text);
    }
    let least =
        spring.least_room.map_or(String::new(), |l| format!(", least room {}", spring.figures.with_unit(l)));
    let text = format!("to scale{least}; dashed: not given");
    caption(&mut svg, (8.0, base + 42.0), WIDTH - 16.0, &text);
    let words = format!(
        "Spring {}: installed {}, room before the coils touch {}{least}",
        spring.label,
        spring.figures.with_unit(installed),
        room.map_or("not known".to_owned(), |r| spring.figures.with_unit(r))
    );
    svg.picture(WIDTH, base + 52.0 + caption_height(WIDTH - 16.0, &text), "spring", &words)
}
