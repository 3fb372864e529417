use condition::FaceDifference;
use model::{Estimate, MeasuredFace, Pattern, ReferenceStage};

use super::ReadFace;

/// The figures in sentences, and what was written.
pub(super) fn tell(faces: &[ReadFace], difference: Option<&FaceDifference>, plots: &[String]) -> String {
    let mut lines = Vec::new();
    for face in faces {
        lines.push(format!("{}:", face.file));
        lines.extend(figures(&face.measured).into_iter().map(|line| format!("  {line}")));
    }
    if let Some(difference) = difference {
        lines.push(format!(
            "The first against the second: colour differs by {:.1} (CIEDE2000); chance that one face's parts would differ as \
             much: {:.4}",
            difference.colour, difference.chance
        ));
        for (name, value) in Pattern::NAMES.iter().zip(difference.differences) {
            lines.push(format!("  {name}: {value:+.3}"));
        }
    }
    lines.push("It suggests; the inspector decides.".to_owned());
    lines.extend(plots.iter().map(|plot| format!("Written: {plot}")));
    lines.join("\n") + "\n"
}

/// The figures of one face in sentences.
pub(crate) fn figures(face: &MeasuredFace) -> Vec<String> {
    let mut lines = Vec::new();
    let (pattern, quality) = (&face.seen.pattern, &face.seen.quality);
    if let Some(proposal) = &face.proposal {
        lines.push(match proposal.stage {
            Some(stage) => format!("most like the inspector's references: {}", stage.words()),
            None => "unlike any reference".to_owned(),
        });
        let parts = ReferenceStage::ALL.iter().zip(proposal.distances).zip(proposal.colour_distances);
        let parts =
            parts.map(|((stage, distance), colour)| format!("{} {distance:.1} (colour {colour:.1})", stage.words()));
        lines.push(format!("distances: {}", parts.collect::<Vec<_>>().join(", ")));
    }
    for (nth, scale) in Pattern::SCALES_MM.iter().enumerate() {
        lines.push(format!(
            "fibre pattern at {scale} mm: {} of the area stands out, by {}",
            percent(&pattern.density[nth]),
            percent(&pattern.contrast[nth])
        ));
    }
    lines.push(format!(
        "homogeneity {:.3}, correlation {:.3}; colour L* {:.1}, a* {:.1}, b* {:.1}, uneven by {:.1} (CIEDE2000)",
        pattern.texture.homogeneity,
        pattern.texture.correlation,
        pattern.colour.l,
        pattern.colour.a,
        pattern.colour.b,
        pattern.colour_evenness
    ));
    lines.push(format!(
        "{:.2} mm a pixel, sharpness {:.0}, {:.0} % left out as holes and glare{}",
        quality.mm_per_pixel,
        quality.sharpness,
        100.0 * face.seen.masked,
        if quality.passes { "" } else { "; TOO BLURRED, TOO BRIGHT OR TOO DARK to rest on" }
    ));
    let bell = &face.seen.bell_evenness;
    lines.push(format!("bell uneven by {:.1} ± {:.1} (CIEDE2000)", bell.value, bell.uncertainty));
    lines
}

fn percent(spread: &Estimate) -> String {
    format!("{:.1} ± {:.1} %", 100.0 * spread.value, 100.0 * spread.uncertainty)
}
