//! The signs of a face and where each stands between new and spent.
//!
//! That a slick, faint, near-black face is new and an abrasive, crowded, greyed one spent is common practice, without a
//! source. No measurement links a sign to a share: the figures and their uncertainties are the project's assumption.
//!
//! | sign | value | ± | why |
//! |---|---|---|---|
//! | touch slick | 0.30 | 0.20 | new and part-worn faces both feel slick |
//! | touch slightly rough | 0.65 | 0.15 | past half, not yet spent |
//! | touch abrasive | 0.95 | 0.10 | the surest sign of a spent face |
//! | pattern faint | 0.12 | 0.12 | as new |
//! | pattern clear | 0.50 | 0.17 | part-worn |
//! | pattern crowded | 0.92 | 0.12 | spent |
//! | colour near-black | 0.15 | 0.18 | as new; light and dirt deceive |
//! | colour dark grey | 0.50 | 0.20 | part-worn; light and dirt deceive |
//! | colour greyed | 0.88 | 0.17 | spent; light and dirt deceive |
//! | photograph most like the start | 0.12 | 0.15 | as new; the references are the inspector's own |
//! | photograph most like the middle | 0.50 | 0.18 | part-worn |
//! | photograph most like the end | 0.92 | 0.14 | spent |
//!
//! The photograph shows the pattern and the colour that the inspector judged by eye: it is not wholly another look, so it is
//! less sure than it would be alone.

use model::{Colour, FibrePattern, HowSeen, ReferenceStage, Touch};

/// A sign with its place between new (0) and spent (1) and one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// What was looked at.
    pub kind: &'static str,
    /// What was found.
    pub words: &'static str,
    /// Its place.
    pub value: f64,
    /// How sure that is.
    pub uncertainty: f64,
}

/// The sign of a touch.
pub const fn touch(found: Touch) -> Sign {
    let (value, uncertainty) = match found {
        Touch::Slick => (0.30, 0.20),
        Touch::SlightlyRough => (0.65, 0.15),
        Touch::Abrasive => (0.95, 0.10),
    };
    Sign { kind: "touch", words: found.words(), value, uncertainty }
}

/// The sign of a fibre pattern.
pub const fn pattern(found: FibrePattern) -> Sign {
    let (value, uncertainty) = match found {
        FibrePattern::Faint => (0.12, 0.12),
        FibrePattern::Clear => (0.50, 0.17),
        FibrePattern::Crowded => (0.92, 0.12),
    };
    Sign { kind: "fibre pattern", words: found.words(), value, uncertainty }
}

/// The sign of a colour.
pub const fn colour(found: Colour) -> Sign {
    let (value, uncertainty) = match found {
        Colour::NearBlack => (0.15, 0.18),
        Colour::DarkGrey => (0.50, 0.20),
        Colour::Greyed => (0.88, 0.17),
    };
    Sign { kind: "colour", words: found.words(), value, uncertainty }
}

/// The sign of a photograph that is most like the references of a stage.
pub const fn photograph(stage: ReferenceStage) -> Sign {
    let (words, value, uncertainty) = match stage {
        ReferenceStage::Start => ("most like the references as new", 0.12, 0.15),
        ReferenceStage::Middle => ("most like the part-worn references", 0.50, 0.18),
        ReferenceStage::End => ("most like the spent references", 0.92, 0.14),
    };
    Sign { kind: "photograph", words, value, uncertainty }
}

/// How many times less sure a sign is when the face was not seen freely (project assumption).
pub const fn widening(seen: HowSeen) -> f64 {
    match seen {
        HowSeen::WheelOff => 1.0,
        HowSeen::Mirror => 1.5,
        HowSeen::ThroughWheel => 1.7,
    }
}

/// The signs show one change of one surface: however well they agree, a face is not told more surely than this
/// (project assumption).
pub const LEAST_UNCERTAINTY: f64 = 0.08;
