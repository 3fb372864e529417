//! One order's amplitude beside noise: how well it is told, and whether there is any.

use model::Order;

use super::stretch::{Stretch, together};

/// How far the way smears an amplitude that noise does not touch, as a share. The project's assumption, held against the
/// generated drives.
const WAY_SHARE: f64 = 0.015;
/// Standard deviation of the brakings' mean amplitude, as a share, from which one of them is taken to be unlike the others.
const UNLIKE: f64 = 0.08;
/// The noise floor in standard deviations of what noise does to an amplitude: IUPAC's limit of quantification (Currie,
/// Pure Appl. Chem. 67, 1995, p. 1699), at which a figure is told to a tenth. Whether there is anything to be told at all,
/// which is so far below it, is what the chance of noise says.
const FLOOR: f64 = 10.0;

/// One order's amplitude beside what noise alone would come to. `tried` is how many circumferences it was the strongest of.
pub(super) fn tell(order: u8, circumference: f64, tried: f64, stretches: &[Stretch], coasting: &[Stretch]) -> Order {
    let per_metre = f64::from(order) / circumference;
    let noise = noise_near(stretches, f64::from(order), circumference);
    let looks = count_looks(stretches);
    let scatter = scatter(stretches, per_metre, noise);
    let mean = together(stretches, per_metre);
    // Brakings that differ more than the disc lets them: one of them shows something else too, and carries the mean off.
    let is_one_unlike = stretches.len() > 2 && scatter > (UNLIKE * mean) * (UNLIKE * mean);
    let amplitude = if is_one_unlike { median(stretches, per_metre) } else { mean };
    let of_the_disc = libm::sqrt((amplitude * amplitude - noise * noise).max(0.0));
    let of_noise = noise / libm::sqrt(2.0 * looks);
    let single = ratio_tail(
        libm::floor(looks),
        looks * looks_beside(stretches, circumference),
        amplitude * amplitude / (noise * noise).max(1e-12),
    );
    let tried = tried * f64::from(order);
    let phase = stretches.iter().max_by(|a, b| a.length_m.total_cmp(&b.length_m)).map_or(0.0, |longest| {
        let (_, phase) = longest.amplitude(per_metre);
        phase.to_degrees().rem_euclid(360.0)
    });
    Order {
        order,
        braking_m_per_s2: of_the_disc,
        uncertainty_m_per_s2: libm::sqrt(
            of_noise * of_noise + (WAY_SHARE * of_the_disc) * (WAY_SHARE * of_the_disc) + scatter,
        ),
        phase_deg: phase,
        coasting_m_per_s2: together(coasting, per_metre),
        floor_m_per_s2: FLOOR * of_noise,
        chance_of_noise: (1.0 - libm::pow(1.0 - single, tried)).clamp(0.0, 1.0),
    }
}

/// Where beside an order noise is looked at.
const BESIDE: [f64; 12] = [-0.5, -0.45, -0.4, -0.35, -0.3, -0.25, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5];

/// What noise alone comes to at an order: the root of the mean square of the amplitudes beside it.
fn noise_near(stretches: &[Stretch], order: f64, circumference: f64) -> f64 {
    let squares = BESIDE.iter().map(|beside| {
        let at = order + beside;
        let angle = std::f64::consts::PI * at;
        // The mean over one turn, which was taken away, held this part of it.
        let amplitude = together(stretches, at / circumference) / (1.0 - libm::sin(angle) / angle);
        amplitude * amplitude
    });
    libm::sqrt(squares.sum::<f64>() / BESIDE.len() as f64)
}

/// The amplitude that the brakings of half of the turns do not reach.
fn median(stretches: &[Stretch], per_metre: f64) -> f64 {
    let mut amplitudes: Vec<(f64, f64)> =
        stretches.iter().map(|one| (one.amplitude(per_metre).0, one.length_m)).collect();
    amplitudes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let half = amplitudes.iter().map(|(_, length)| length).sum::<f64>() / 2.0;
    let mut passed = 0.0;
    let reached = amplitudes.iter().find(|(_, length)| {
        passed += length;
        passed >= half
    });
    reached.map_or(0.0, |(amplitude, _)| *amplitude)
}

/// The variance of the mean amplitude by which the brakings differ more than noise lets them.
fn scatter(stretches: &[Stretch], per_metre: f64, noise: f64) -> f64 {
    let count = stretches.len() as f64;
    if count < 2.0 {
        return 0.0;
    }
    let amplitudes: Vec<f64> = stretches.iter().map(|one| one.amplitude(per_metre).0).collect();
    let mean = amplitudes.iter().sum::<f64>() / count;
    let variance = amplitudes.iter().map(|one| (one - mean) * (one - mean)).sum::<f64>() / (count - 1.0);
    (variance - noise * noise / 2.0).max(0.0) / count
}

/// As how many equally long brakings these count.
fn count_looks(stretches: &[Stretch]) -> f64 {
    let sum: f64 = stretches.iter().map(|one| one.length_m).sum();
    let squares: f64 = stretches.iter().map(|one| one.length_m * one.length_m).sum();
    (sum * sum / squares).max(1.0)
}

/// How many of the places beside an order tell something of their own in one braking: short ones see a blur.
fn looks_beside(stretches: &[Stretch], circumference: f64) -> f64 {
    let width = 2.0 * (BESIDE[BESIDE.len() - 1] - BESIDE[BESIDE.len() / 2]);
    let longest = stretches.iter().map(Stretch::resolution).fold(f64::INFINITY, f64::min);
    (width / (longest * circumference) + 2.0).min(BESIDE.len() as f64)
}

/// Chance that the mean of `above` squares of noise exceeds that of `below` others by a ratio: the upper tail of the F
/// distribution with twice so many degrees of freedom, which for a whole `above` is that of the negative binomial one.
fn ratio_tail(above: f64, below: f64, ratio: f64) -> f64 {
    let share = above * ratio / below;
    let (mut term, mut sum, mut nth) = (libm::pow(1.0 + share, -below), 0.0, 0.0);
    while nth < above {
        sum += term;
        nth += 1.0;
        term *= (below + nth - 1.0) / nth * share / (1.0 + share);
    }
    sum.min(1.0)
}

#[cfg(test)]
mod tests {
    use super::ratio_tail;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.3: critical values of the F distribution at 5 %
    /// (from memory; `SciPy` 1's `stats.f.isf` gives the same).
    #[test]
    fn the_tail_is_that_of_the_tables() {
        for (above, below, critical) in [(2.0, 10.0, 4.103), (4.0, 20.0, 2.866), (10.0, 10.0, 2.978)] {
            let tail = ratio_tail(above / 2.0, below / 2.0, critical);
            assert!((tail - 0.05).abs() < 1e-4, "{above} and {below}: {tail}");
        }
    }
}
