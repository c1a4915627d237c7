//! The pictures of the documentation, and what a PNG says about itself.

use crate::viewport::Viewport;

/// A page that the documentation shows.
#[derive(Clone, Copy, Debug)]
pub struct PageToPicture {
    /// File name without ending, in `docs/pictures/`.
    pub name: &'static str,
    /// Path on the server of the demo.
    pub path: &'static str,
    /// The screen it is shown on.
    pub viewport: Viewport,
}

/// Every picture of the documentation: `cargo xtask screenshots` makes them again.
pub const PAGES_TO_PICTURE: &[PageToPicture] = &[
    page("engine-desktop", "/engine/hill-climb-four", Viewport::DESKTOP),
    page("bores-tablet", "/engine/hill-climb-four/sheet/bores", Viewport::TABLET_LANDSCAPE),
    page("fits-desktop", "/engine/hill-climb-four/fits", Viewport::DESKTOP),
    page("plan-desktop", "/engine/hill-climb-four/plan", Viewport::DESKTOP),
    page("power-desktop", "/engine/hill-climb-four/power", Viewport::DESKTOP),
    page("finding-tablet", "/engine/hill-climb-four/finding?id=bore_taper/2", Viewport::TABLET_LANDSCAPE),
];

const fn page(name: &'static str, path: &'static str, viewport: Viewport) -> PageToPicture {
    PageToPicture { name, path, viewport }
}

/// Width and height in pixels that a PNG states in its header; `None` when it is no PNG.
///
/// Source: PNG specification (ISO/IEC 15948), 5.2 signature and 11.2.2 IHDR.
pub fn picture_size(png: &[u8]) -> Option<(u32, u32)> {
    let header = png.strip_prefix(b"\x89PNG\r\n\x1a\n")?;
    let number = |at: usize| Some(u32::from_be_bytes(header.get(at..at + 4)?.try_into().ok()?));
    Some((number(8)?, number(12)?))
}
