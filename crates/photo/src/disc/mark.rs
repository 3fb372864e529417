use model::DiscMark;

/// An ellipse in a picture, in pixels from its upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ellipse {
    /// Its centre.
    pub centre: (f64, f64),
    /// Half its axes.
    pub axes: (f64, f64),
    /// The turn of the first axis from the x axis towards the y axis, in radians.
    pub turn: f64,
}

/// Why a mark is none.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MarkError {
    /// A figure that is none, or a ring without width.
    #[error("the mark is no ring: the inner edge must lie inside the outer one, and all figures be finite")]
    NoRing,
    /// Outside the picture.
    #[error(
        "the mark reaches {share:.0} % of the ring's circumference outside the picture, expected none: mark it again"
    )]
    Outside {
        /// Percent of the circumference.
        share: f64,
    },
    /// Seen too flatly.
    #[error(
        "the disc is seen at {degrees:.0}° from its axis, expected at most {most:.0}°: hold the phone before the disc"
    )]
    TooFlat {
        /// The angle.
        degrees: f64,
        /// What is allowed.
        most: f64,
    },
}

const MOST_TILT_DEG: f64 = 55.0;

impl Ellipse {
    /// The ellipse through the ends of two axes that stand upright on each other in the disc: right, lower, left, upper.
    pub fn through([right, lower, left, upper]: [(f64, f64); 4]) -> Self {
        let middle = |one: (f64, f64), other: (f64, f64)| ((one.0 + other.0) / 2.0, (one.1 + other.1) / 2.0);
        let half = |one: (f64, f64), other: (f64, f64)| ((one.0 - other.0) / 2.0, (one.1 - other.1) / 2.0);
        let (a, b) = (middle(right, left), middle(lower, upper));
        let centre = middle(a, b);
        // Conjugate half diameters p and q make the ellipse c + p cos t + q sin t; its axes follow from them.
        let (p, q) = (half(right, left), half(lower, upper));
        let lean = libm::atan2(2.0 * (p.0 * q.0 + p.1 * q.1), p.0 * p.0 + p.1 * p.1 - q.0 * q.0 - q.1 * q.1) / 2.0;
        let along = |t: f64| (p.0 * libm::cos(t) + q.0 * libm::sin(t), p.1 * libm::cos(t) + q.1 * libm::sin(t));
        let (first, second) = (along(lean), along(lean + std::f64::consts::FRAC_PI_2));
        Self {
            centre,
            axes: (libm::hypot(first.0, first.1), libm::hypot(second.0, second.1)),
            turn: libm::atan2(first.1, first.0),
        }
    }

    /// The point at an angle of the circle that the ellipse is a picture of.
    pub fn point(&self, angle: f64) -> (f64, f64) {
        let (sine, cosine) = libm::sincos(angle - self.turn);
        let (x, y) = (self.axes.0 * cosine, self.axes.1 * sine);
        let (turn_sine, turn_cosine) = libm::sincos(self.turn);
        (self.centre.0 + x * turn_cosine - y * turn_sine, self.centre.1 + x * turn_sine + y * turn_cosine)
    }

    /// The same ellipse, so much as large.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self { axes: (self.axes.0 * factor, self.axes.1 * factor), ..*self }
    }

    pub(super) fn check(&self, (width, height): (u32, u32)) -> Result<(), MarkError> {
        let all = [self.centre.0, self.centre.1, self.axes.0, self.axes.1, self.turn];
        if all.iter().any(|value| !value.is_finite() || value.abs() > 1e6) || self.axes.0 < 4.0 || self.axes.1 < 4.0 {
            return Err(MarkError::NoRing);
        }
        let flat = self.axes.0.min(self.axes.1) / self.axes.0.max(self.axes.1);
        let degrees = libm::acos(flat).to_degrees();
        if degrees > MOST_TILT_DEG {
            return Err(MarkError::TooFlat { degrees, most: MOST_TILT_DEG });
        }
        let outside = (0..360).map(|degree| self.point(f64::from(degree).to_radians())).filter(|(x, y)| {
            !(0.0..=f64::from(width) - 1.0).contains(x) || !(0.0..=f64::from(height) - 1.0).contains(y)
        });
        match outside.count() {
            0 => Ok(()),
            count => Err(MarkError::Outside { share: count as f64 / 3.6 }),
        }
    }
}

/// The friction ring as the inspector marked it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingMark {
    /// Its outer edge.
    pub outer: Ellipse,
    /// Its inner edge, where the bell begins.
    pub inner: Ellipse,
    /// The known length: the disc's outer diameter in mm.
    pub outer_diameter_mm: f64,
}

impl From<&DiscMark> for RingMark {
    fn from(mark: &DiscMark) -> Self {
        Self {
            outer: Ellipse::through(mark.outer),
            inner: Ellipse::through(mark.inner),
            outer_diameter_mm: mark.outer_diameter_mm.value(),
        }
    }
}

impl RingMark {
    /// mm of the disc that a pixel shows along the longer axis.
    pub fn mm_per_pixel(&self) -> f64 {
        self.outer_diameter_mm / (2.0 * self.outer.axes.0.max(self.outer.axes.1))
    }

    /// The ring's inner radius in mm.
    pub fn inner_radius_mm(&self) -> f64 {
        let share = (self.inner.axes.0 * self.inner.axes.1) / (self.outer.axes.0 * self.outer.axes.1);
        self.outer_diameter_mm / 2.0 * libm::sqrt(share)
    }

    pub(super) fn check(&self, size: (u32, u32)) -> Result<(), MarkError> {
        self.outer.check(size)?;
        self.inner.check(size)?;
        let known = self.outer_diameter_mm.is_finite() && (100.0..600.0).contains(&self.outer_diameter_mm);
        let away = libm::hypot(self.inner.centre.0 - self.outer.centre.0, self.inner.centre.1 - self.outer.centre.1);
        let is_inside =
            away + self.inner.axes.0.max(self.inner.axes.1) < 0.95 * self.outer.axes.0.max(self.outer.axes.1);
        if known && is_inside { Ok(()) } else { Err(MarkError::NoRing) }
    }

    /// The point at an angle, a share of the way from the inner to the outer edge.
    pub fn point(&self, angle: f64, share: f64) -> (f64, f64) {
        let (inner, outer) = (self.inner.point(angle), self.outer.point(angle));
        (inner.0 + (outer.0 - inner.0) * share, inner.1 + (outer.1 - inner.1) * share)
    }
}
