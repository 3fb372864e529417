//! The fibre pattern's density and contrast at stated scales, its texture, its colour.

use image::RgbImage;
use model::{Estimate, Lab, PartFigures, Pattern, ciede2000};

use super::{
    Ellipse, Ring, STEP_MM, co_occurrence,
    colour::{linear, linear_to_lab},
    texture_of,
};

/// What stands out by this share of its surroundings counts for the density. The project's assumption.
const STANDS_OUT: f32 = 0.06;
/// Parts of the ring that are looked at by themselves.
const PARTS: usize = 12;
/// Levels of the co-occurrence table, over half to twice the light.
const LEVELS: usize = 16;
/// Distance of neighbours in the table, in mm.
const NEIGHBOUR_MM: f64 = 1.2;

pub(super) fn read(ring: &Ring) -> Pattern {
    let bands: Vec<Vec<f32>> = Pattern::SCALES_MM
        .iter()
        .map(|scale| {
            let (fine, coarse) =
                (ring.smooth(&ring.even, &ring.seen, scale / 2.0), ring.smooth(&ring.even, &ring.seen, *scale * 2.0));
            fine.iter().zip(&coarse).map(|(fine, coarse)| fine - coarse).collect()
        })
        .collect();
    let levels: Vec<Option<u8>> =
        ring.even.iter().zip(&ring.seen).map(|(&even, &seen)| seen.then(|| level(even))).collect();
    let reach = (NEIGHBOUR_MM / STEP_MM) as isize;
    let steps = [(reach, 0), (0, reach), (reach, reach), (reach, -reach)];
    let (mut parts, mut part_colours) = (Vec::new(), Vec::new());
    for part in 0..PARTS {
        let columns = part * ring.columns / PARTS..(part + 1) * ring.columns / PARTS;
        let places: Vec<usize> = (0..ring.rows)
            .flat_map(|row| columns.clone().map(move |column| (row, column)))
            .map(|(row, column)| row * ring.columns + column)
            .filter(|&place| ring.seen[place])
            .collect();
        if places.len() * 4 < columns.len() * ring.rows {
            continue;
        }
        let count = places.len() as f64;
        let mut figures: PartFigures = [0.0; 9];
        for (nth, band) in bands.iter().enumerate() {
            let out = places.iter().filter(|&&place| band[place].abs() > STANDS_OUT).count();
            let square: f64 = places.iter().map(|&place| f64::from(band[place]) * f64::from(band[place])).sum();
            figures[nth] = out as f64 / count;
            figures[3 + nth] = libm::sqrt(square / count);
        }
        let cut: Vec<Option<u8>> = (0..ring.rows)
            .flat_map(|row| {
                levels[row * ring.columns + columns.start..row * ring.columns + columns.end].iter().copied()
            })
            .collect();
        let texture = texture_of(&co_occurrence(&cut, columns.len(), LEVELS, &steps), LEVELS);
        let mut mean = [0.0; 3];
        for &place in &places {
            for (mean, value) in mean.iter_mut().zip(ring.colour[place]) {
                *mean += f64::from(value) / count;
            }
        }
        let lab = linear_to_lab(mean);
        (figures[6], figures[7], figures[8]) = (texture.homogeneity, texture.correlation, lab.l);
        parts.push(figures);
        part_colours.push(lab);
    }
    let over = |nth: usize| spread(parts.iter().map(|figures| figures[nth]));
    let colour = mean_colour(&part_colours);
    Pattern {
        density: [over(0), over(1), over(2)],
        contrast: [over(3), over(4), over(5)],
        texture: texture_of(&co_occurrence(&levels, ring.columns, LEVELS, &steps), LEVELS),
        colour,
        colour_evenness: part_colours.iter().map(|&part| ciede2000(part, colour)).sum::<f64>()
            / part_colours.len().max(1) as f64,
        parts,
        part_colours,
    }
}

/// The level of a brightness relative to the light: even steps from 0.6 to 1.4.
fn level(even: f32) -> u8 {
    ((even - 0.6) / 0.8 * LEVELS as f32).clamp(0.0, LEVELS as f32 - 1.0) as u8
}

fn spread(values: impl Iterator<Item = f64> + Clone) -> Estimate {
    let count = values.clone().count().max(1) as f64;
    let mean = values.clone().sum::<f64>() / count;
    let square: f64 = values.map(|value| (value - mean) * (value - mean)).sum();
    Estimate { value: mean, uncertainty: libm::sqrt(square / (count - 1.0).max(1.0) / count) }
}

pub(super) fn mean_colour(colours: &[Lab]) -> Lab {
    let count = colours.len().max(1) as f64;
    colours.iter().fold(Lab::default(), |sum, one| Lab {
        l: sum.l + one.l / count,
        a: sum.a + one.a / count,
        b: sum.b + one.b / count,
    })
}

/// How far the patches of an ellipse lie from their mean colour.
pub(super) fn evenness(picture: &RgbImage, bell: &Ellipse, gains: [f64; 3]) -> Estimate {
    let mut patches = Vec::new();
    for part in 0..PARTS {
        for ring in 0..3 {
            let (mut sum, mut count) = ([0.0; 3], 0.0);
            for look in 0..64 {
                let angle =
                    (f64::from(part as u32) + f64::from(look % 8) / 8.0) / PARTS as f64 * 2.0 * std::f64::consts::PI;
                let share = 0.35 + 0.2 * f64::from(ring) + 0.2 * f64::from(look / 8) / 8.0;
                let (x, y) = bell.scaled(share).point(angle);
                let pixel = picture
                    .get_pixel(
                        (x.max(0.0) as u32).min(picture.width() - 1),
                        (y.max(0.0) as u32).min(picture.height() - 1),
                    )
                    .0;
                for ((sum, value), gain) in sum.iter_mut().zip(pixel).zip(gains) {
                    *sum += linear(value) * gain;
                }
                count += 1.0;
            }
            patches.push(linear_to_lab(sum.map(|sum| sum / count)));
        }
    }
    let mean = mean_colour(&patches);
    spread(patches.iter().map(|&patch| ciede2000(patch, mean)).collect::<Vec<_>>().into_iter())
}
