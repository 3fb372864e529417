//! A marked disc in a photograph to figures: the fibre pattern, the colour, how even the bell is, and which stage of wear
//! they are most like among references that the inspector gathered. It suggests; the inspector decides.

mod colour;
mod glcm;
mod mark;
mod pattern;
mod quality;
mod reference;
mod unwrap;

pub use crate::copy::decode_whole;
pub use colour::{GreyCard, srgb_to_lab};
pub use glcm::{co_occurrence, texture_of};
pub use mark::{Ellipse, MarkError, RingMark};
pub use quality::laplacian_variance;
pub use reference::{Reference, ReferenceError, ReferenceSet};
pub use unwrap::{Ring, STEP_MM};

use image::{ImageFormat, RgbImage};
use model::{Estimate, FaceSeen};

/// Why a photograph gives no figures.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FaceError {
    /// The mark cannot be one of a disc.
    #[error(transparent)]
    Mark(#[from] MarkError),
    /// Where the mark says that the ring ends, the picture shows no edge.
    #[error(
        "at {share:.0} % of the marked edge the picture shows one, expected at least {expected:.0} %: is this a disc, and is the \
         mark on it?"
    )]
    NoDisc {
        /// Percent of the circumference with an edge.
        share: f64,
        /// Percent that is asked.
        expected: f64,
    },
    /// What shows goes around in circles, as a tyre's ribs do.
    #[error(
        "{share:.0} % of what the ring shows goes around in circles, as a tyre's ribs do, expected at most {most:.0} % of a disc's \
         fibres: is the mark on the disc?"
    )]
    Ribbed {
        /// Percent.
        share: f64,
        /// Percent that is allowed.
        most: f64,
    },
    /// Too little of the ring can be judged.
    #[error(
        "{masked:.0} % of the ring are holes, glare or shadow, expected at most {most:.0} %: light it from the side"
    )]
    Hidden {
        /// Percent.
        masked: f64,
        /// Percent that is allowed.
        most: f64,
    },
    /// The picture is too coarse for the fibre pattern.
    #[error(
        "one pixel is {got:.2} mm of the disc, expected at most {most:.2} mm: go closer, or use the camera's full size"
    )]
    TooCoarse {
        /// mm of a pixel.
        got: f64,
        /// mm that are allowed.
        most: f64,
    },
}

/// Coarser pictures blur the finest scale of the pattern away, in mm of a pixel.
const MOST_MM_PER_PIXEL: f64 = 0.5;
/// Share of the circumference that must show an edge where the mark says so.
const LEAST_EDGE: f64 = 0.55;
/// Share of the pattern that may go with the radius alone: grooved discs stay under it. The project's assumption.
const MOST_CONCENTRIC: f64 = 0.5;
/// Share of the ring that may be hidden.
const MOST_MASKED: f64 = 0.5;

/// Reads a face. The picture is upright; `grey` is a grey card in it, where there is one.
///
/// # Errors
/// [`FaceError`].
pub fn read_face(picture: &RgbImage, mark: &RingMark, grey: Option<&GreyCard>) -> Result<FaceSeen, FaceError> {
    mark.check(picture.dimensions())?;
    let mm_per_pixel = mark.mm_per_pixel();
    if mm_per_pixel > MOST_MM_PER_PIXEL {
        return Err(FaceError::TooCoarse { got: mm_per_pixel, most: MOST_MM_PER_PIXEL });
    }
    let edge = unwrap::find_edge_share(picture, mark);
    if edge < LEAST_EDGE {
        return Err(FaceError::NoDisc { share: 100.0 * edge, expected: 100.0 * LEAST_EDGE });
    }
    let gains = grey.map_or([1.0; 3], |card| card.gains(picture));
    let ring = Ring::unwrap(picture, mark, gains);
    let masked = ring.masked();
    if masked > MOST_MASKED {
        return Err(FaceError::Hidden { masked: 100.0 * masked, most: 100.0 * MOST_MASKED });
    }
    let concentric = ring.concentric();
    if concentric > MOST_CONCENTRIC {
        return Err(FaceError::Ribbed { share: 100.0 * concentric, most: 100.0 * MOST_CONCENTRIC });
    }
    let quality = quality::judge(picture, mark, &ring);
    let bell_evenness = pattern::evenness(picture, &mark.inner, gains);
    Ok(FaceSeen { pattern: pattern::read(&ring), quality, masked, bell_evenness })
}

/// The ring rolled out, as a picture (PNG): around it to the right, from the inner edge at the top to the outer one; grey is
/// brightness relative to the light, white is what was left out.
///
/// # Panics
/// Never: a picture in memory can be written.
pub fn unroll_png(picture: &RgbImage, mark: &RingMark) -> Vec<u8> {
    let drawn = Ring::unwrap(picture, mark, [1.0; 3]).draw();
    let mut bytes = std::io::Cursor::new(Vec::new());
    drawn.write_to(&mut bytes, ImageFormat::Png).expect("a picture in memory can be written");
    bytes.into_inner()
}

/// How even a bell's colour is: the mean CIEDE2000 distance of its patches from their mean colour.
///
/// # Errors
/// [`FaceError::Mark`].
pub fn read_bell(picture: &RgbImage, bell: &Ellipse, grey: Option<&GreyCard>) -> Result<Estimate, FaceError> {
    bell.check(picture.dimensions())?;
    let gains = grey.map_or([1.0; 3], |card| card.gains(picture));
    Ok(pattern::evenness(picture, bell, gains))
}
