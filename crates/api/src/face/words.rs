use photo::disc::{FaceDifference, Pattern, SCALES_MM, Spread, Stage};

use super::ReadFace;

/// The figures in sentences.
pub(super) fn tell(faces: &[ReadFace], difference: Option<&FaceDifference>, plots: &[String]) -> String {
    let mut lines = Vec::new();
    for face in faces {
        let (pattern, quality) = (&face.seen.pattern, &face.seen.quality);
        lines.push(format!("{}:", face.file));
        for (nth, scale) in SCALES_MM.iter().enumerate() {
            lines.push(format!(
                "  fibre pattern at {scale} mm: {} of the area stands out, by {}",
                percent(&pattern.density[nth]),
                percent(&pattern.contrast[nth])
            ));
        }
        lines.push(format!(
            "  homogeneity {:.3}, correlation {:.3}; colour L* {:.1}, a* {:.1}, b* {:.1}, uneven by {:.1} (CIEDE2000)",
            pattern.texture.homogeneity,
            pattern.texture.correlation,
            pattern.colour.l,
            pattern.colour.a,
            pattern.colour.b,
            pattern.colour_evenness
        ));
        lines.push(format!(
            "  {:.2} mm a pixel, sharpness {:.0}, {:.0} % left out as holes and glare{}",
            quality.mm_per_pixel,
            quality.sharpness,
            100.0 * face.seen.masked,
            if quality.passes { "" } else { "; TOO BLURRED, TOO BRIGHT OR TOO DARK to rest on" }
        ));
        if let Some(proposal) = &face.proposal {
            lines.push(match proposal.stage {
                Some(stage) => format!("  most like the references of the stage: {}", name(stage)),
                None => "  unlike any reference".to_owned(),
            });
            let distances = proposal.distances.iter().zip(proposal.colour_distances);
            let parts = distances
                .map(|((stage, distance), colour)| format!("{} {distance:.1} (colour {colour:.1})", name(*stage)));
            lines.push(format!("  distances: {}", parts.collect::<Vec<_>>().join(", ")));
        }
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

fn percent(spread: &Spread) -> String {
    format!("{:.1} ± {:.1} %", 100.0 * spread.mean, 100.0 * spread.uncertainty)
}

const fn name(stage: Stage) -> &'static str {
    match stage {
        Stage::Start => "start",
        Stage::Middle => "middle",
        Stage::End => "end",
    }
}
