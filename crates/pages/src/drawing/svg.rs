//! A small SVG writer: numbers to two decimals, escaped text, presentation attributes only, so that screen,
//! print and PDF show the same and a strict content security policy has nothing to refuse.

use std::fmt::Write as _;

/// A point on the paper in px, y downward.
pub type Point = (f64, f64);

/// A number as it stands in the file: two decimals at most, no trailing zeros, never NaN.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// Text as it may stand between tags and inside double quotes.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// The `d` of a path through points.
pub fn path_data(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(data, "{}{} {}", if i == 0 { "M" } else { "L" }, number(*x), number(*y));
    }
    if closed && !points.is_empty() {
        data.push('Z');
    }
    data
}

/// Where a text hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Align {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

impl Align {
    const fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// The growing body of one drawing.
#[derive(Clone, Debug, Default)]
pub struct Svg {
    body: String,
}

impl Svg {
    /// An empty drawing.
    pub fn new() -> Self {
        Self::default()
    }

    /// Markup that is already safe.
    pub fn raw(&mut self, markup: &str) {
        self.body.push_str(markup);
    }

    /// A path with the attributes of a pen.
    pub fn path(&mut self, data: &str, attributes: &str) {
        if !data.is_empty() {
            let _ = write!(self.body, "<path d=\"{data}\" {attributes}/>");
        }
    }

    /// A straight line.
    pub fn line(&mut self, from: Point, to: Point, attributes: &str) {
        self.path(&path_data(&[from, to], false), attributes);
    }

    /// Lines through points.
    pub fn polyline(&mut self, points: &[Point], attributes: &str) {
        self.path(&path_data(points, false), attributes);
    }

    /// A closed outline through points.
    pub fn polygon(&mut self, points: &[Point], attributes: &str) {
        self.path(&path_data(points, true), attributes);
    }

    /// A rectangle by its upper left corner and size.
    pub fn rectangle(&mut self, at: Point, size: Point, attributes: &str) {
        let _ = write!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {attributes}/>",
            number(at.0),
            number(at.1),
            number(size.0.max(0.0)),
            number(size.1.max(0.0)),
        );
    }

    /// A circle.
    pub fn circle(&mut self, centre: Point, radius: f64, attributes: &str) {
        let _ = write!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {attributes}/>",
            number(centre.0),
            number(centre.1),
            number(radius.max(0.0)),
        );
    }

    /// A line of text, escaped here.
    pub fn text(&mut self, at: Point, align: Align, attributes: &str, text: &str) {
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{}\" {attributes}>{}</text>",
            number(at.0),
            number(at.1),
            align.word(),
            escape(text),
        );
    }

    /// Text that reads upward, turned about its point.
    pub fn upward_text(&mut self, at: Point, align: Align, attributes: &str, text: &str) {
        let turn = format!("transform=\"rotate(-90 {} {})\" {attributes}", number(at.0), number(at.1));
        self.text(at, align, &turn, text);
    }

    /// Opens a link with a name in words; close with [`Self::close_link`].
    pub fn open_link(&mut self, href: &str, class: &str, words: &str) {
        let words = escape(words);
        let _ = write!(
            self.body,
            "<a class=\"{class}\" href=\"{}\" aria-label=\"{words}\"><title>{words}</title>",
            escape(href)
        );
    }

    /// Closes a link.
    pub fn close_link(&mut self) {
        self.body.push_str("</a>");
    }

    /// The body so far.
    pub fn body(&self) -> &str {
        &self.body
    }

    /// The finished drawing: a picture that a reader names in words.
    pub fn picture(self, width: f64, height: f64, class: &str, words: &str) -> String {
        self.wrap(width, height, class, "img", words)
    }

    /// The finished drawing when it holds links: a group, so that a reader still finds them.
    pub fn group(self, width: f64, height: f64, class: &str, words: &str) -> String {
        self.wrap(width, height, class, "group", words)
    }

    fn wrap(self, width: f64, height: f64, class: &str, role: &str, words: &str) -> String {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{class}\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" \
             role=\"{role}\" aria-label=\"{}\" font-family=\"B612, sans-serif\" fill=\"none\">{}</svg>",
            escape(words),
            self.body,
            w = number(width),
            h = number(height),
        )
    }
}
