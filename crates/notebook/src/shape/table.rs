use model::{
    BellFinish, CalliperState, Celsius, Colour, Day, Defect, DiscMaterial, DiscReplacement, ElectricalMark,
    FibrePattern, FluidClass, Gram, HowSeen, Kilogram, Kilometre, Line, MeasuredDrive, Millimetre, Note, Odometer,
    Omission, PartyRole, Photograph, PriceBasis, PriorVisit, Question, Reading, Recording, RoadSurface, RoadTestStep,
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
    (
        "fixings",
        Shape::Group(&[
            ("missing_or_loose", Shape::needed::<u8>("fixings missing or loose", "0")),
            ("corroded", Shape::needed::<bool>("whether a fixing is corroded", "false")),
        ]),
    ),
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

const DISC: &[(&str, Shape)] = &[
    ("serial", Shape::maybe::<Line>()),
    ("diameter_mm", Shape::maybe::<Millimetre>()),
    ("minimum_mass_g", Shape::maybe::<Gram>()),
    ("new_mass_g", Shape::maybe::<Gram>()),
    ("minimum_thickness_mm", Shape::maybe::<Millimetre>()),
    ("new_thickness_mm", Shape::maybe::<Millimetre>()),
    ("electrical", Shape::list::<ElectricalMark>()),
    ("most_runout_mm", Shape::maybe::<Millimetre>()),
    ("most_thickness_variation_mm", Shape::maybe::<Millimetre>()),
];

const PADS: &[(&str, Shape)] =
    &[("lining_new_mm", Shape::maybe::<Millimetre>()), ("renewal_mark_mm", Shape::maybe::<Millimetre>())];

const AXLE: &[(&str, Shape)] = &[
    ("material", Shape::needed::<DiscMaterial>("what its discs are made of", r#""carbon_ceramic""#)),
    ("discs", Shape::Group(&[("left", Shape::Group(DISC)), ("right", Shape::Group(DISC))])),
    ("pads", Shape::Group(PADS)),
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
    ("drives", Shape::spare_list::<MeasuredDrive>()),
    ("note", Shape::maybe::<Note>()),
];

const INSTRUCTION: &[(&str, Shape)] = &[
    (
        "by",
        Shape::Group(&[
            ("name", Shape::needed::<Line>("who instructs", UNWRITTEN)),
            ("role", Shape::needed::<PartyRole>("what they have to do with the sale", r#""other""#)),
        ]),
    ),
    ("owner", Shape::needed::<Line>("whose car it is", UNWRITTEN)),
    ("owner_permission", Shape::needed::<Line>("how the owner gave leave", UNWRITTEN)),
];

const INSPECTOR: &[(&str, Shape)] = &[
    ("name", Shape::needed::<Line>("who inspects", UNWRITTEN)),
    ("firm", Shape::needed::<Line>("the inspector's firm", UNWRITTEN)),
    ("independence", Shape::needed::<Line>("the inspector's ties, or that there are none", UNWRITTEN)),
    ("insurance", Shape::needed::<Line>("the inspector's cover, or that there is none", UNWRITTEN)),
    ("contact", Shape::needed::<Line>("how to reach the firm", UNWRITTEN)),
];

/// The whole inspection; its form and its name are not written but given.
pub(crate) const INSPECTION: &[(&str, Shape)] = &[
    ("demonstration", Shape::needed::<bool>("whether it is invented", "false")),
    ("visited_at", Shape::needed::<Timestamp>("when the visit began", r#""2000-01-01T00:00:00+00:00""#)),
    ("place", Shape::needed::<Line>("where", UNWRITTEN)),
    ("instruction", Shape::Group(INSTRUCTION)),
    ("inspector", Shape::Group(INSPECTOR)),
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
