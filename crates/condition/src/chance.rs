//! Chances under the normal distribution, with the same bits on every machine.

/// Half the width of a 95 % interval of a normal distribution, in standard deviations (JCGM 100:2008, table G.1).
pub const HALF_WIDTH_95: f64 = 1.96;

/// The chance that a normal variable with this mean and this standard deviation, above 0, lies under `limit`.
pub fn below(limit: f64, mean: f64, deviation: f64) -> f64 {
    0.5 * libm::erfc((mean - limit) / (deviation * std::f64::consts::SQRT_2))
}

/// Half the width of a 95 % interval of Student's t with so many degrees of freedom, at least 1, in standard deviations
/// (JCGM 100:2008, table G.2; beyond 30 by its asymptotic expansion, within 0.001 of it).
pub fn student_95(freedom: usize) -> f64 {
    const TABLE: [f64; 30] = [
        12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
        2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
    ];
    freedom.checked_sub(1).and_then(|at| TABLE.get(at)).copied().unwrap_or_else(|| {
        let (z, freedom) = (1.959_964_f64, freedom as f64);
        let (cube, fifth) = (z * z * z, z * z * z * z * z);
        z + (cube + z) / (4.0 * freedom) + (5.0 * fifth + 16.0 * cube + 3.0 * z) / (96.0 * freedom * freedom)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_are_those_of_the_handbook() {
        // NIST/SEMATECH e-Handbook 1.3.6.7.1 (from memory): Φ(0) = 0.5, Φ(1) = 0.84134, Φ(1.96) = 0.97500, Φ(−3) = 0.00135.
        for (z, chance) in [(0.0, 0.5), (1.0, 0.841_34), (1.96, 0.975_00), (-3.0, 0.001_35)] {
            assert!((below(5.0 + 2.0 * z, 5.0, 2.0) - chance).abs() < 5e-6, "{z}");
        }
    }

    #[test]
    fn students_t_runs_into_the_normal_distribution() {
        // JCGM 100:2008, table G.2 (from memory): ν = 1, 2, 10, 40, 100.
        for (freedom, t) in [(1, 12.71), (2, 4.30), (10, 2.23), (40, 2.02), (100, 1.984)] {
            assert!((student_95(freedom) - t).abs() < 0.006, "{freedom}");
        }
        // NIST/SEMATECH e-Handbook 1.3.6.7.2, to three places (from memory): beyond the table that stands here.
        for (freedom, t) in [(31, 2.040), (32, 2.037), (40, 2.021), (60, 2.000), (100, 1.984)] {
            assert!((student_95(freedom) - t).abs() < 0.0006, "{freedom}: {}", student_95(freedom));
        }
    }
}
