use model::{
    BellFinish, CalliperState, Celsius, Colour, Day, Defect, Disc, DiscMaterial, DiscReplacement, FibrePattern,
    Fixings, FluidClass, HowSeen, Inspector, Instruction, Kilogram, Kilometre, Line, Millimetre, Note, Odometer,
    Omission, PadFitment, Photograph, PriceBasis, PriorVisit, Question, Reading, Recording, RoadSurface, RoadTestStep,
    Timestamp, Touch, TyreSize, UseAhead, Vin, WearLead, Weather,
};

use super::Shape;

const UNWRITTEN: &str = r#""not written yet""#;

const FACE: &[(&str, Shape)] = &[
    ("seen", Shape::needed::<HowSeen>("how it was seen", r#""through_wheel""#)),
    ("touch", Shape::maybe::<Touch>()),
    ("fibre_pattern", Shape::maybe::<FibrePattern>()),
    ("colour", Shape::maybe::<Colour>()),
    ("defects", Shape::list::<Defect>()),
    ("note", Shape::maybe::<Note>()),
];

const BELL: &[(&str, Shape)] = &[
    ("finish", Shape::needed::<BellFinish>("its finish", r#""even""#)),
    ("fixings", Shape::needed::<Fixings>("its fixings", r#"{"missing_or_loose":0,"corroded":false}"#)),
    ("note", Shape::maybe::<Note>()),
];

const PAD: &[(&str, Shape)] = &[
    ("lead", Shape::maybe::<WearLead>()),
    ("taper_mm", Shape::maybe::<Millimetre>()),
    ("glazed", Shape::maybe::<bool>()),
    ("crumbling", Shape::maybe::<bool>()),
    ("note", Shape::maybe::<Note>()),
];

const CALLIPER: &[(&str, Shape)] =
    &[("state", Shape::needed::<CalliperState>("its state", r#""free""#)), ("note", Shape::maybe::<Note>())];

const CORNER: &[(&str, Shape)] = &[
    ("outer_face", Shape::Part { fields: FACE, words: "outer face" }),
    ("inner_face", Shape::Part { fields: FACE, words: "inner face" }),
    ("bell", Shape::Part { fields: BELL, words: "bell" }),
    ("outer_pad", Shape::Part { fields: PAD, words: "outer pad" }),
    ("inner_pad", Shape::Part { fields: PAD, words: "inner pad" }),
    ("calliper", Shape::Part { fields: CALLIPER, words: "calliper" }),
];

const NO_DISC: &str = r#"{"serial":null,"diameter_mm":null,"minimum_mass_g":null,"new_mass_g":null,
    "minimum_thickness_mm":null,"new_thickness_mm":null,"electrical":[],"most_runout_mm":null,
    "most_thickness_variation_mm":null}"#;

const AXLE: &[(&str, Shape)] = &[
    ("material", Shape::needed::<DiscMaterial>("what its discs are made of", r#""carbon_ceramic""#)),
    (
        "discs",
        Shape::Group(&[
            ("left", Shape::needed::<Disc>("the left disc's marks", NO_DISC)),
            ("right", Shape::needed::<Disc>("the right disc's marks", NO_DISC)),
        ]),
    ),
    (
        "pads",
        Shape::needed::<PadFitment>("its pads' linings when new", r#"{"lining_new_mm":null,"renewal_mark_mm":null}"#),
    ),
    ("tyre", Shape::needed::<TyreSize>("its tyre's size", r#"{"width_mm":255,"aspect_percent":35,"rim_in":20}"#)),
];

const CAR: &[(&str, Shape)] = &[
    ("vin", Shape::needed::<Vin>("the identification number", r#""00000000000000000""#)),
    ("registration", Shape::needed::<Line>("the registration", UNWRITTEN)),
    ("description", Shape::needed::<Line>("make and model", UNWRITTEN)),
    ("first_registered", Shape::maybe::<Day>()),
    ("odometer", Shape::needed::<Odometer>("the odometer's figure", r#"{"figure":0,"unit":"km"}"#)),
    ("mass_kg", Shape::maybe::<Kilogram>()),
    ("fluid_class", Shape::maybe::<FluidClass>()),
    ("brakes", Shape::Group(&[("front", Shape::Group(AXLE)), ("rear", Shape::Group(AXLE))])),
    ("pad_sets_used", Shape::Group(&[("front", Shape::maybe::<u8>()), ("rear", Shape::maybe::<u8>())])),
    ("discs_replaced", Shape::list::<DiscReplacement>()),
    ("prior_visits", Shape::list::<PriorVisit>()),
];

const SURROUNDINGS: &[(&str, Shape)] = &[
    ("weather", Shape::needed::<Weather>("the weather", r#""dry""#)),
    ("road_surface", Shape::needed::<RoadSurface>("the road's surface", r#""not_driven""#)),
    ("air_c", Shape::maybe::<Celsius>()),
    (
        "disc_c",
        Shape::Group(&[
            ("front_left", Shape::maybe::<Celsius>()),
            ("front_right", Shape::maybe::<Celsius>()),
            ("rear_left", Shape::maybe::<Celsius>()),
            ("rear_right", Shape::maybe::<Celsius>()),
        ]),
    ),
    ("tyres", Shape::needed::<Line>("the tyres' state", UNWRITTEN)),
];

const ROAD_TEST: &[(&str, Shape)] = &[
    ("driver", Shape::needed::<Line>("who drove", UNWRITTEN)),
    ("distance_km", Shape::maybe::<Kilometre>()),
    ("steps", Shape::list::<RoadTestStep>()),
    ("note", Shape::maybe::<Note>()),
];

const INSTRUCTION: &str = r#"{"by":{"name":"not written yet","role":"other"},"owner":"not written yet",
    "owner_permission":"not written yet"}"#;
const INSPECTOR: &str = r#"{"name":"not written yet","firm":"not written yet","independence":"not written yet",
    "insurance":"not written yet","contact":"not written yet"}"#;

/// The whole inspection; its form and its name are not written but given.
pub(crate) const INSPECTION: &[(&str, Shape)] = &[
    ("demonstration", Shape::needed::<bool>("whether it is invented", "false")),
    ("visited_at", Shape::needed::<Timestamp>("when the visit began", r#""2000-01-01T00:00:00+00:00""#)),
    ("place", Shape::needed::<Line>("where", UNWRITTEN)),
    ("instruction", Shape::needed::<Instruction>("who instructs and who gave leave", INSTRUCTION)),
    ("inspector", Shape::needed::<Inspector>("who inspects", INSPECTOR)),
    ("surroundings", Shape::Group(SURROUNDINGS)),
    ("car", Shape::Group(CAR)),
    (
        "corners",
        Shape::Group(&[
            ("front_left", Shape::Part { fields: CORNER, words: "front left corner" }),
            ("front_right", Shape::Part { fields: CORNER, words: "front right corner" }),
            ("rear_left", Shape::Part { fields: CORNER, words: "rear left corner" }),
            ("rear_right", Shape::Part { fields: CORNER, words: "rear right corner" }),
        ]),
    ),
    ("readings", Shape::named::<Reading>()),
    ("road_test", Shape::Part { fields: ROAD_TEST, words: "road test" }),
    ("photographs", Shape::named::<Photograph>()),
    ("recordings", Shape::named::<Recording>()),
    ("not_inspected", Shape::list::<Omission>()),
    ("questions", Shape::list::<Question>()),
    ("remarks", Shape::maybe::<Note>()),
    ("prices", Shape::maybe::<PriceBasis>()),
    ("use_ahead", Shape::maybe::<UseAhead>()),
];
