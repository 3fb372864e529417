//! Differences in wear between things that ought to wear alike, with their significance.

use model::{Asymmetry, Axle, CornerName, CornerReckoning, Evidence, FaceName, Figure, PadName, Pairing, PerCorner};

use crate::chance::HALF_WIDTH_95;
use crate::disc_part::{part_of, parts};
use crate::explain::evidence_of;
use crate::number::percent;

/// Two figures that can be held against each other, and how each is called.
struct Pair<'a> {
    between: Pairing,
    corner: Option<CornerName>,
    axle: Option<Axle>,
    first: (String, &'a Figure),
    second: (String, &'a Figure),
}

/// Every difference that can be told: faces and pads at each corner, discs and pads across each axle, discs front to
/// rear on each side. Like is held against like: bulk against bulk, face against the same face.
pub fn list(corners: &PerCorner<CornerReckoning>) -> Vec<Asymmetry> {
    let at_corners = corners.iter().flat_map(|(name, corner)| at_corner(name, corner));
    let across = Axle::ALL.iter().flat_map(|&axle| across(corners, axle));
    at_corners.chain(across).chain(along(corners)).map(judge).collect()
}

fn at_corner(name: CornerName, corner: &CornerReckoning) -> Vec<Pair<'_>> {
    let mut pairs = Vec::new();
    if let (Some(outer), Some(inner)) = (&corner.outer_face, &corner.inner_face) {
        pairs.push(Pair {
            between: Pairing::Faces,
            corner: Some(name),
            axle: None,
            first: (face_words(name, FaceName::Outer), outer),
            second: (face_words(name, FaceName::Inner), inner),
        });
    }
    if let (Some(outer), Some(inner)) = (&corner.outer_pad, &corner.inner_pad) {
        pairs.push(Pair {
            between: Pairing::Pads,
            corner: Some(name),
            axle: None,
            first: (pad_words(name, PadName::Outer), outer),
            second: (pad_words(name, PadName::Inner), inner),
        });
    }
    pairs
}

fn face_words(name: CornerName, face: FaceName) -> String {
    format!("the {} disc's {} face", name.words(), face.words())
}

fn pad_words(name: CornerName, pad: PadName) -> String {
    format!("the {} {} pad", name.words(), pad.words())
}

const fn corners_of(axle: Axle) -> [CornerName; 2] {
    match axle {
        Axle::Front => [CornerName::FrontLeft, CornerName::FrontRight],
        Axle::Rear => [CornerName::RearLeft, CornerName::RearRight],
    }
}

fn across(corners: &PerCorner<CornerReckoning>, axle: Axle) -> Vec<Pair<'_>> {
    let [left, right] = corners_of(axle);
    let mut pairs: Vec<_> = discs(corners, Pairing::DiscsAcross, Some(axle), left, right).into_iter().collect();
    let worse = |name: CornerName| {
        let corner = corners.at(name);
        let pads = [(PadName::Outer, &corner.outer_pad), (PadName::Inner, &corner.inner_pad)];
        let known = pads.into_iter().filter_map(|(pad, figure)| Some((pad_words(name, pad), figure.as_ref()?)));
        known.max_by(|a, b| a.1.value.total_cmp(&b.1.value))
    };
    if let (Some(first), Some(second)) = (worse(left), worse(right)) {
        pairs.push(Pair { between: Pairing::PadsAcross, corner: None, axle: Some(axle), first, second });
    }
    pairs
}

fn along(corners: &PerCorner<CornerReckoning>) -> Vec<Pair<'_>> {
    let sides = [(CornerName::FrontLeft, CornerName::RearLeft), (CornerName::FrontRight, CornerName::RearRight)];
    sides.into_iter().filter_map(|(front, rear)| discs(corners, Pairing::DiscsAlong, None, front, rear)).collect()
}

/// Bulk where both discs have it, else the outer faces, else the inner ones.
fn discs(
    corners: &PerCorner<CornerReckoning>,
    between: Pairing,
    axle: Option<Axle>,
    one: CornerName,
    other: CornerName,
) -> Option<Pair<'_>> {
    parts(corners.at(one)).into_iter().zip(parts(corners.at(other))).find_map(|((what, first), (_, second))| {
        let words = |name: CornerName| part_of(name, what);
        let (first, second) = (first?, second?);
        Some(Pair { between, corner: None, axle, first: (words(one), first), second: (words(other), second) })
    })
}

fn judge(pair: Pair<'_>) -> Asymmetry {
    let ((first_words, first), (second_words, second)) = (pair.first, pair.second);
    let difference = first.value - second.value;
    let uncertainty = libm::hypot(first.uncertainty, second.uncertainty);
    let deviations = difference.abs() / uncertainty;
    let is_significant = deviations > HALF_WIDTH_95;
    let (more, less) = if difference >= 0.0 { (&first_words, &second_words) } else { (&second_words, &first_words) };
    let size = percent(difference.abs(), uncertainty);
    let text = if is_significant {
        format!(
            "{more} is more worn than {less}, by {size} % of the way to the mark ({deviations:.1} standard deviations)"
        )
    } else {
        format!("{first_words} and {second_words} do not differ by more than chance explains ({size} %)")
    };
    let mut evidence = evidence_of(first);
    evidence
        .extend(evidence_of(second).into_iter().filter(|one: &Evidence| !evidence.contains(one)).collect::<Vec<_>>());
    Asymmetry {
        between: pair.between,
        corner: pair.corner,
        axle: pair.axle,
        difference,
        uncertainty,
        deviations,
        is_significant,
        text: crate::answer::capital(&text) + ".",
        evidence,
    }
}
