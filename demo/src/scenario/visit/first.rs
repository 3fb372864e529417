//! The first visit: as new.

use model::{PartyRole, PerCorner, RoadSurface, Weather};

use super::{Album, Visit};
use crate::scenario::{people, people::Instruction, road, road::RoadTest, state::CornerState};

const REAR: CornerState = CornerState { outer_wear: 0.04, inner_wear: 0.05, outer_lining_mm: 10.8, ..CornerState::NEW };

pub(super) const VISIT: Visit = Visit {
    folder: "1-as-new",
    day: "2024-11-19",
    begins: "09:40",
    odometer_km: 19_460,
    corners: PerCorner {
        front_left: CornerState::NEW,
        front_right: CornerState::NEW,
        rear_left: REAR,
        rear_right: REAR,
    },
    fluid_c: 251.0,
    place: "Harbour & Vale, workshop, Port Merrow",
    instruction: Instruction {
        by: people::KEEPER,
        role: PartyRole::Buyer,
        owner: people::DEALER,
        permission: "In writing, 2024-11-15: wheels and discs off, road test up to 20 km",
    },
    weather: Weather::Dry,
    road_surface: RoadSurface::DryHard,
    air_c: 11.0,
    disc_c: [15.0, 15.0, 16.0, 16.0],
    tyres: "Summer tyres, 5.5 to 6 mm, pressures as on the car's plate",
    road_test: RoadTest { driver: people::INSPECTOR, distance_km: 11.0, note: None, steps: road::GOOD },
    album: Album::Faces,
    registration_sent_on: None,
    not_inspected: &[("roller brake tester", "none at the place"), ("stored fault codes", "not instructed")],
    questions: &[(
        people::INSPECTOR,
        "Were discs or pads renewed since the car was new?",
        Some(
            "Pads on both axles at 18 900 km, invoice seen; the discs are the first ones. (Saltmarsh Motor House, in writing, 2024-11-15)",
        ),
    )],
    remarks: None,
    prices: None,
    use_ahead: None,
};
