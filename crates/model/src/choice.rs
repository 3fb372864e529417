//! Where on the car something is, and whether it was seen at all.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::text::Line;

macro_rules! names {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $words:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$vdoc])* #[schemars(title = $words)] $variant),+ }

        impl $name {
            /// All of them, in the order in which they are shown.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The words that a reader sees.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$variant => $words),+ }
            }
        }
    };
}
pub(crate) use names;

names!(
    /// A corner of the car; left and right are the car's own, seen from the driver's seat.
    CornerName {
        /// Front left.
        FrontLeft = "front left",
        /// Front right.
        FrontRight = "front right",
        /// Rear left.
        RearLeft = "rear left",
        /// Rear right.
        RearRight = "rear right",
    }
);
names!(
    /// An axle.
    Axle {
        /// Front axle.
        Front = "front",
        /// Rear axle.
        Rear = "rear",
    }
);
names!(
    /// A side of the car.
    Side {
        /// The car's left.
        Left = "left",
        /// The car's right.
        Right = "right",
    }
);
names!(
    /// A face of a disc.
    FaceName {
        /// Away from the car.
        Outer = "outer",
        /// Towards the car.
        Inner = "inner",
    }
);
names!(
    /// A pad of a corner.
    PadName {
        /// Away from the car.
        Outer = "outer",
        /// Towards the car.
        Inner = "inner",
    }
);

impl CornerName {
    /// The axle that the corner is on.
    pub const fn axle(self) -> Axle {
        match self {
            Self::FrontLeft | Self::FrontRight => Axle::Front,
            Self::RearLeft | Self::RearRight => Axle::Rear,
        }
    }

    /// The side that the corner is on.
    pub const fn side(self) -> Side {
        match self {
            Self::FrontLeft | Self::RearLeft => Side::Left,
            Self::FrontRight | Self::RearRight => Side::Right,
        }
    }
}

/// Something for each corner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PerCorner<T> {
    /// Front left.
    pub front_left: T,
    /// Front right.
    pub front_right: T,
    /// Rear left.
    pub rear_left: T,
    /// Rear right.
    pub rear_right: T,
}

impl<T> PerCorner<T> {
    /// What belongs to this corner.
    pub const fn at(&self, corner: CornerName) -> &T {
        match corner {
            CornerName::FrontLeft => &self.front_left,
            CornerName::FrontRight => &self.front_right,
            CornerName::RearLeft => &self.rear_left,
            CornerName::RearRight => &self.rear_right,
        }
    }

    /// What belongs to this corner, to be changed.
    pub const fn at_mut(&mut self, corner: CornerName) -> &mut T {
        match corner {
            CornerName::FrontLeft => &mut self.front_left,
            CornerName::FrontRight => &mut self.front_right,
            CornerName::RearLeft => &mut self.rear_left,
            CornerName::RearRight => &mut self.rear_right,
        }
    }

    /// One for each corner, made by `make`.
    pub fn from_fn(mut make: impl FnMut(CornerName) -> T) -> Self {
        Self {
            front_left: make(CornerName::FrontLeft),
            front_right: make(CornerName::FrontRight),
            rear_left: make(CornerName::RearLeft),
            rear_right: make(CornerName::RearRight),
        }
    }

    /// Each value with its corner, front left first.
    pub fn into_each(self) -> [(CornerName, T); 4] {
        [
            (CornerName::FrontLeft, self.front_left),
            (CornerName::FrontRight, self.front_right),
            (CornerName::RearLeft, self.rear_left),
            (CornerName::RearRight, self.rear_right),
        ]
    }

    /// Corner and value, front left first.
    pub fn iter(&self) -> impl Iterator<Item = (CornerName, &T)> {
        CornerName::ALL.iter().map(|&corner| (corner, self.at(corner)))
    }
}

/// Something for each axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PerAxle<T> {
    /// Front axle.
    pub front: T,
    /// Rear axle.
    pub rear: T,
}

impl<T> PerAxle<T> {
    /// What belongs to this axle.
    pub const fn at(&self, axle: Axle) -> &T {
        match axle {
            Axle::Front => &self.front,
            Axle::Rear => &self.rear,
        }
    }
}

/// Something for the left and the right of an axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PerSide<T> {
    /// The car's left.
    pub left: T,
    /// The car's right.
    pub right: T,
}

impl<T> PerSide<T> {
    /// What belongs to this side.
    pub const fn at(&self, side: Side) -> &T {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }
}

/// Seen, or not seen and why. Nothing is left out in silence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Inspected<T> {
    /// It was looked at.
    Seen(T),
    /// It was not looked at, for this reason.
    NotInspected(Line),
}

impl<T> Inspected<T> {
    /// What was seen.
    pub const fn seen(&self) -> Option<&T> {
        match self {
            Self::Seen(value) => Some(value),
            Self::NotInspected(_) => None,
        }
    }

    /// Why it was not looked at.
    pub const fn reason(&self) -> Option<&Line> {
        match self {
            Self::Seen(_) => None,
            Self::NotInspected(reason) => Some(reason),
        }
    }
}
