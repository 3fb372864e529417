//! The typeface: which characters it can print and how wide they are.

use printpdf::ParsedFont;

static REGULAR: &[u8] = include_bytes!("../../fonts/GentiumBookPlus-Regular.ttf");
static BOLD: &[u8] = include_bytes!("../../fonts/GentiumBookPlus-Bold.ttf");

/// A space that keeps two groups of digits together; printed narrow.
pub(crate) const NARROW_SPACE: char = '\u{202F}';
/// How much narrower than a space it is, in thousandths of the type size.
pub(crate) const NARROWED_BY: f64 = 95.0;
/// A space at which no line ends.
pub(crate) const FIXED_SPACE: char = '\u{A0}';

/// A weight of the typeface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Face {
    Regular,
    Bold,
}

impl Face {
    /// Its name among a page's resources; six capitals, since the page writer marks the cut-down font with it.
    pub(crate) const fn resource(self) -> &'static str {
        match self {
            Self::Regular => "BOOKRG",
            Self::Bold => "BOOKBD",
        }
    }
}

/// Both weights, read.
pub(crate) struct Typeface {
    regular: Weight,
    bold: Weight,
}

struct Weight {
    font: ParsedFont,
    /// Widths of the characters below [`TABLED`], in thousandths; negative where there is none.
    tabled: Vec<i16>,
}

/// Latin, Greek and Cyrillic lie below.
const TABLED: u32 = 0x530;

impl Typeface {
    /// Reads the embedded fonts; nothing when they are damaged, which a test excludes.
    pub(crate) fn read() -> Option<Self> {
        Some(Self { regular: Weight::read(REGULAR)?, bold: Weight::read(BOLD)? })
    }

    fn weight(&self, face: Face) -> &Weight {
        match face {
            Face::Regular => &self.regular,
            Face::Bold => &self.bold,
        }
    }

    /// The font as the page writer takes it.
    pub(crate) fn into_fonts(self) -> [(Face, ParsedFont); 2] {
        [(Face::Regular, self.regular.font), (Face::Bold, self.bold.font)]
    }

    /// Whether the character prints as itself.
    pub(crate) fn prints(&self, c: char) -> bool {
        matches!(c, FIXED_SPACE | NARROW_SPACE) || self.regular.width(c).is_some()
    }

    /// The width of a character in thousandths of the type size; of one that cannot be printed, that of what
    /// stands for it.
    pub(crate) fn width(&self, face: Face, c: char) -> f64 {
        let weight = self.weight(face);
        let space = || f64::from(weight.width(' ').unwrap_or(250));
        match c {
            FIXED_SPACE => space(),
            NARROW_SPACE => space() - NARROWED_BY,
            _ if self.prints(c) => f64::from(weight.width(c).unwrap_or(0)),
            _ => stand_in(c).chars().map(|c| f64::from(weight.width(c).unwrap_or(0))).sum(),
        }
    }

    /// The width of a text in points.
    pub(crate) fn measure(&self, text: &str, face: Face, size: f64) -> f64 {
        text.chars().map(|c| self.width(face, c)).sum::<f64>() * size / 1000.0
    }
}

impl Weight {
    fn read(bytes: &[u8]) -> Option<Self> {
        let font = ParsedFont::from_bytes(bytes, 0, &mut Vec::new())?;
        let mut weight = Self { font, tabled: Vec::new() };
        weight.tabled = (0..TABLED)
            .map(|code| {
                char::from_u32(code)
                    .and_then(|c| weight.look_up(c))
                    .map_or(-1, |width| i16::try_from(width).unwrap_or(-1))
            })
            .collect();
        Some(weight)
    }

    fn width(&self, c: char) -> Option<u16> {
        match self.tabled.get(c as usize) {
            Some(&width) => u16::try_from(width).ok(),
            None => self.look_up(c),
        }
    }

    /// The width as the file's table of widths has it: cut to whole thousandths, not rounded.
    fn look_up(&self, c: char) -> Option<u16> {
        if !needs_no_shaping(c) {
            return None;
        }
        let glyph = self.font.lookup_glyph_index(c.into()).filter(|&glyph| glyph != 0)?;
        let units = u32::from(self.font.pdf_font_metrics.units_per_em.max(1));
        u16::try_from(u32::from(self.font.get_horizontal_advance(glyph)) * 1000 / units).ok()
    }
}

/// What is printed in place of a character that the typeface lacks.
pub(crate) fn stand_in(c: char) -> String {
    format!("[U+{:04X}]", u32::from(c))
}

/// Scripts whose letters stand one after the other from left to right. The typeface may have more; to print
/// those letter by letter would be wrong.
fn needs_no_shaping(c: char) -> bool {
    matches!(
        c as u32,
        0x20..=0x7E
            | 0xA1..=0xAC
            | 0xAE..=0x2FF
            | 0x370..=0x482
            | 0x48A..=0x52F
            | 0x1D00..=0x1DBF
            | 0x1E00..=0x1FFF
            | 0x2010..=0x2027
            | 0x2030..=0x205E
            | 0x2070..=0x209C
            | 0x20A0..=0x20C0
            | 0x2100..=0x23FF
            | 0x25A0..=0x27BF
            | 0x2C60..=0x2C7F
            | 0xA720..=0xA7FF
            | 0xFB00..=0xFB06
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_fonts_are_whole_and_have_what_the_pages_need() {
        let typeface = Typeface::read().expect("both fonts can be read");
        for c in "ŁukaszĐặngΈλληνικά Кириллица ±×°µΩ≥≤−→·–—…€²³“”‘’[U+]".chars()
        {
            assert!(typeface.prints(c), "{c} is lacking");
        }
        for c in ['中', 'ش', 'ש', 'अ', '\u{300}', '😀', '\u{AD}'] {
            assert!(!typeface.prints(c), "{c} is said to print");
        }
    }

    #[test]
    fn digits_are_as_wide_as_each_other() {
        let typeface = Typeface::read().expect("both fonts can be read");
        for face in [Face::Regular, Face::Bold] {
            let zero = typeface.width(face, '0');
            assert!("123456789".chars().all(|digit| typeface.width(face, digit).to_bits() == zero.to_bits()));
        }
    }
}
