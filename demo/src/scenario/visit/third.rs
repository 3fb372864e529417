//! The third visit: before the sale. The rear discs have seen heat, the left rear calliper drags, the front right
//! outer face shows a first chemical stain.

use model::{
    AntiLock, Axle, BellFinish, CalliperState, Felt, Heard, PartyRole, PerCorner, PriceItem, RoadSurface, StepKind,
    Weather,
};

use super::{Album, Visit};
use crate::scenario::{
    people,
    people::Instruction,
    prices::{Prices, UseAhead},
    road::{RoadTest, Step},
    state::{CornerState, Reach},
};

const CORNERS: PerCorner<CornerState> = PerCorner {
    front_left: CornerState {
        outer_wear: 0.48,
        inner_wear: 0.5,
        bulk_wear: 0.34,
        outer_lining_mm: 6.3,
        inner_lining_mm: 6.0,
        inner_taper_mm: 0.3,
        reach: Reach::WheelOn,
        force_n: Some((3_450.0, None)),
        ..CornerState::NEW
    },
    front_right: CornerState {
        outer_wear: 0.56,
        inner_wear: 0.5,
        bulk_wear: 0.36,
        chemical: 0.3,
        bell: BellFinish::Stained,
        outer_lining_mm: 6.2,
        inner_lining_mm: 6.1,
        inner_taper_mm: 0.2,
        reach: Reach::WheelOff,
        force_n: Some((3_400.0, None)),
        ..CornerState::NEW
    },
    rear_left: CornerState {
        outer_wear: 0.64,
        inner_wear: 1.0,
        bulk_wear: 0.93,
        heat: 0.85,
        bell: BellFinish::Discoloured,
        outer_lining_mm: 5.2,
        inner_lining_mm: 2.1,
        inner_taper_mm: 1.4,
        calliper: CalliperState::Drags,
        force_n: Some((1_690.0, Some(1_180.0))),
        ..CornerState::NEW
    },
    rear_right: CornerState {
        outer_wear: 0.55,
        inner_wear: 0.58,
        bulk_wear: 0.47,
        heat: 0.5,
        outer_lining_mm: 5.4,
        inner_lining_mm: 5.1,
        inner_taper_mm: 0.4,
        force_n: Some((2_580.0, Some(1_330.0))),
        ..CornerState::NEW
    },
};

/// On private ground and slow: the corners had been seen first.
const ROAD_TEST: RoadTest = RoadTest {
    driver: people::INSPECTOR,
    distance_km: 0.9,
    note: Some(
        "On the dealer's own closed yard only, after the corners had been seen. Łukasz Đặng kept the yard clear and \
         wrote down. Ended after the third step: the rear left wheel's rim was too hot to touch.",
    ),
    steps: &[
        Step {
            kind: StepKind::Coasting,
            from_km_h: 30.0,
            felt: &[Felt::Drag],
            heard: &[Heard::NearlySilent],
            anti_lock: None,
            note: Some("Out of gear on the flat, the car stops by itself within about 40 m."),
        },
        Step {
            kind: StepKind::LowSpeedDab,
            from_km_h: 8.0,
            felt: &[Felt::WeakBite],
            heard: &[Heard::CoarseNoise],
            anti_lock: None,
            note: Some("The noise comes from the rear left."),
        },
        Step {
            kind: StepKind::HalfEffort,
            from_km_h: 40.0,
            felt: &[Felt::PulsingPedal, Felt::PullsRight],
            heard: &[Heard::CoarseNoise],
            anti_lock: Some(AntiLock::NotReached),
            note: None,
        },
    ],
};

const PRICES: Prices = Prices {
    origin: "Corvane parts list 2026/4 and labour as quoted by Brine & Bow Garage, taken down by Tomas Reyl",
    dated: "2026-11-20",
    valid_until: "2026-12-31",
    lines: &[
        (Axle::Front, PriceItem::Disc, "2", "5890.00"),
        (Axle::Front, PriceItem::PadSet, "1", "1140.00"),
        (Axle::Front, PriceItem::WearLead, "2", "46.50"),
        (Axle::Front, PriceItem::Fixings, "2", "118.00"),
        (Axle::Front, PriceItem::LabourHour, "4.5", "145.00"),
        (Axle::Rear, PriceItem::Disc, "2", "5460.00"),
        (Axle::Rear, PriceItem::PadSet, "1", "1020.00"),
        (Axle::Rear, PriceItem::WearLead, "2", "46.50"),
        (Axle::Rear, PriceItem::Fixings, "2", "118.00"),
        (Axle::Rear, PriceItem::LabourHour, "5", "145.00"),
    ],
};

pub(super) const VISIT: Visit = Visit {
    folder: "3-before-the-sale",
    day: "2026-11-24",
    begins: "09:10",
    odometer_km: 41_080,
    corners: CORNERS,
    fluid_c: 214.0,
    place: "Saltmarsh Motor House, Port Merrow",
    instruction: Instruction {
        by: people::BUYER,
        role: PartyRole::Buyer,
        owner: people::DEALER,
        permission: "In writing, 2026-11-23: wheels and discs off, rollers, driving on the yard",
    },
    weather: Weather::Dry,
    road_surface: RoadSurface::DryHard,
    air_c: 9.0,
    disc_c: [14.0, 15.0, 61.0, 24.0],
    tyres: "Summer tyres, front 4 mm, rear 3 mm, pressures as on the car's plate",
    road_test: ROAD_TEST,
    album: Album::Everything,
    registration_sent_on: Some("2026-11-20T16:31:08+01:00"),
    not_inspected: &[
        (
            "front left: thickness, electrical reading, runout",
            "the key of the wheel's locking bolt was not with the car",
        ),
        ("mass of both front discs", "they were not taken off their hubs; leave and time covered the rear"),
        ("full-effort stop, and any stop on a public road", "rear left inner face and lining spent, calliper drags"),
        ("brake lines above the undertray", "the undertray stayed on"),
        ("stored fault codes", "not instructed"),
    ],
    questions: &[
        (
            people::BUYER,
            "Have the discs ever been renewed, and are there invoices?",
            Some("No, all four are the first ones. (Saltmarsh Motor House, by e-mail, 2026-11-23)"),
        ),
        (
            people::BUYER,
            "Was the car driven on a track?",
            Some(
                "Not known to the dealer. In the service folder lies a note of the importer who took it to a meeting in July:\n\
                 «Δύο ημέρες στην πίστα, 11 και 12 Ιουλίου 2026. Η πίσω αριστερή δαγκάνα ζεσταίνεται.»\n\
                 (Two days on the track, 11 and 12 July 2026. The rear left calliper runs hot.)",
            ),
        ),
        (
            people::INSPECTOR,
            "Which wheel cleaner has been used?",
            Some("\"The usual one.\" The can was not shown. (Saltmarsh Motor House, by telephone, 2026-11-23)"),
        ),
        (
            people::INSPECTOR,
            "Does the car's maker allow a roller brake tester?",
            Some("Yes, in service mode and below 6 km/h; the owner's handbook was shown, chapter Brakes."),
        ),
        (people::BUYER, "Can the rear left calliper be overhauled, or must it be renewed?", None),
    ],
    remarks: Some(
        "Łukasz Đặng of the dealer's workshop took three wheels and both rear discs off under my eyes and put them back \
         to the maker's torque; he took no part in measuring.\n\
         I told the dealer on the spot that I would not drive this car on the road as it stands.",
    ),
    prices: Some(PRICES),
    use_ahead: Some(UseAhead { yearly_km: 8_000, years: 3, asking_price: "98000" }),
};
