//! The second visit: a year's ordinary wear.

use model::{PartyRole, PerCorner, RoadSurface, Weather};

use super::{Album, Visit};
use crate::scenario::{people, people::Instruction, road, road::RoadTest, state::CornerState};

const FRONT: CornerState = CornerState {
    outer_wear: 0.31,
    inner_wear: 0.33,
    bulk_wear: 0.17,
    outer_lining_mm: 8.3,
    inner_lining_mm: 8.1,
    inner_taper_mm: 0.2,
    force_n: Some((3_430.0, None)),
    ..CornerState::NEW
};
const REAR: CornerState = CornerState {
    outer_wear: 0.29,
    inner_wear: 0.32,
    bulk_wear: 0.18,
    outer_lining_mm: 8.6,
    inner_lining_mm: 8.3,
    force_n: Some((2_610.0, Some(1_340.0))),
    ..FRONT
};

pub(super) const VISIT: Visit = Visit {
    folder: "2-ordinary-wear",
    day: "2025-11-18",
    begins: "10:20",
    odometer_km: 30_210,
    corners: PerCorner {
        front_left: FRONT,
        front_right: CornerState { force_n: Some((3_460.0, None)), bulk_wear: 0.16, ..FRONT },
        // It wears a little faster inside than its neighbour; nobody would remark on it yet.
        rear_left: CornerState {
            inner_wear: 0.37,
            bulk_wear: 0.21,
            inner_lining_mm: 7.7,
            inner_taper_mm: 0.3,
            force_n: Some((2_540.0, Some(1_310.0))),
            ..REAR
        },
        rear_right: REAR,
    },
    fluid_c: 233.0,
    place: "Harbour & Vale, workshop, Port Merrow",
    instruction: Instruction {
        by: people::KEEPER,
        role: PartyRole::Other,
        owner: people::KEEPER,
        permission: "By the owner herself, in writing, 2025-11-10: wheels and discs off, rollers, road test",
    },
    weather: Weather::Dry,
    road_surface: RoadSurface::DryHard,
    air_c: 8.0,
    disc_c: [12.0, 12.0, 14.0, 13.0],
    tyres: "Summer tyres, 4 to 4.5 mm, pressures as on the car's plate",
    road_test: RoadTest { driver: people::INSPECTOR, distance_km: 12.5, note: None, steps: road::GOOD },
    album: Album::FacesAndInnerPads,
    registration_sent_on: None,
    not_inspected: &[("stored fault codes", "not instructed")],
    questions: &[
        (
            people::INSPECTOR,
            "Does the car's maker allow a roller brake tester?",
            Some("Yes, in service mode and below 6 km/h; the owner's handbook was shown, chapter Brakes."),
        ),
        (people::KEEPER, "Is anything due within the next year?", None),
    ],
    remarks: Some("Bay and rollers were lent by Saltmarsh Motor House; nobody of theirs took part."),
    prices: None,
    use_ahead: None,
};
