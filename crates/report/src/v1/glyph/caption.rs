//! What the glyph shows, in words. A picture never stands alone.

use model::{CornerName, Figure, Inspection, Reckoning};

use crate::v1::words;

/// The words beside a glyph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caption {
    /// The corner.
    pub title: String,
    /// The disc, each face, each pad, the bell. Each figure is its own; the halves of the drawing show the worse of face
    /// and whole disc.
    pub lines: Vec<String>,
}

impl Caption {
    /// The words for a corner.
    pub fn of(inspection: &Inspection, reckoning: &Reckoning, corner: CornerName) -> Self {
        let reckoned = reckoning.corners.at(corner);
        let seen = inspection.corners.at(corner).seen();
        let face = |name: &str, inspected: bool, figure: &Option<Figure>| match figure {
            Some(figure) => format!("{name} {} worn", words::percent(figure.value)),
            None if inspected => format!("{name} not told"),
            None => format!("{name} not inspected"),
        };
        let pad = |name: &str, figure: &Option<Figure>| match figure {
            Some(figure) => format!("{name} {} worn", words::percent(figure.value)),
            None => format!("{name} not measured"),
        };
        let mut lines = vec![words::capital(&words::stage("disc", reckoned.disc_stage))];
        lines.extend(reckoned.bulk.as_ref().map(|bulk| format!("whole disc {} worn", words::percent(bulk.value))));
        lines.extend([
            face("outer face", seen.is_some_and(|seen| seen.outer_face.seen().is_some()), &reckoned.outer_face),
            face("inner face", seen.is_some_and(|seen| seen.inner_face.seen().is_some()), &reckoned.inner_face),
            pad("outer pad", &reckoned.outer_pad),
            pad("inner pad", &reckoned.inner_pad),
            match seen.and_then(|seen| seen.bell.seen()) {
                Some(bell) => format!("bell {}", bell.finish.words()),
                None => "bell not inspected".to_owned(),
            },
        ]);
        Self { title: words::capital(corner.words()), lines }
    }

    /// All of it as one sentence; the picture's alternative.
    pub fn sentence(&self) -> String {
        format!("{}. {}", self.title, self.lines.join("; "))
    }
}
