//! The few colours of a page. Colour is left to the photographs.

/// A colour with one purpose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Text and the glyph.
    Black,
    /// Labels and what stands in the second row.
    Grey,
    /// Rules between rows.
    Hairline,
    /// The inspector's seal and what can be followed.
    Blue,
    /// Do not drive, and nothing else.
    Rust,
}

impl Ink {
    /// Red, green and blue of sRGB, 0 to 255.
    pub(crate) const fn rgb(self) -> [u8; 3] {
        match self {
            Self::Black => [28, 28, 30],
            Self::Grey => [88, 88, 92],
            Self::Hairline => [176, 176, 172],
            Self::Blue => [24, 44, 104],
            Self::Rust => [146, 48, 18],
        }
    }
}
