//! The screens that the pages are judged at.

/// A screen, in CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Viewport {
    /// Used in picture names.
    pub name: &'static str,
    /// Width in CSS pixels.
    pub width: u32,
    /// Height in CSS pixels.
    pub height: u32,
    /// Whether the screen is touched rather than pointed at.
    pub touch: bool,
}

impl Viewport {
    /// The desk of the shop's owner.
    pub const DESKTOP: Self = Self { name: "desktop", width: 1440, height: 960, touch: false };
    /// A tablet lying beside the engine.
    pub const TABLET_LANDSCAPE: Self = Self { name: "tablet", width: 1024, height: 768, touch: true };
    /// The same tablet in the hand.
    pub const TABLET_PORTRAIT: Self = Self { name: "tablet-portrait", width: 768, height: 1024, touch: true };

    /// All of them: a page is looked at on each.
    pub const ALL: [Self; 3] = [Self::DESKTOP, Self::TABLET_LANDSCAPE, Self::TABLET_PORTRAIT];
}
