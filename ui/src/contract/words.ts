// Made by `cargo xtask types` from what the core says of itself; never edited by hand.
export const CornerName = {
  front_left: "front left",
  front_right: "front right",
  rear_left: "rear left",
  rear_right: "rear right",
} as const;
export const FaceName = {
  outer: "outer",
  inner: "inner",
} as const;
export const PadName = {
  outer: "outer",
  inner: "inner",
} as const;
export const PhotographTaken = {
  in_app: "taken in the app",
  imported: "imported",
} as const;
export const RecordingKind = {
  motion: "motion",
  position: "position",
  sound: "sound",
} as const;
export const ReferenceStage = {
  start: "as new",
  middle: "part-worn",
  end: "spent",
} as const;
export const OdometerUnit = {
  km: "km",
  mi: "mi",
} as const;
export const AnswerBasis = {
  own_findings: "own workshop findings",
  report: "the attached report",
  not_known: "not known",
} as const;
export const DiscMaterial = {
  carbon_ceramic: "carbon-ceramic",
  iron: "iron",
} as const;
export const Axle = {
  front: "front",
  rear: "rear",
} as const;
export const PriceItem = {
  disc: "disc",
  pad_set: "pad set",
  wear_lead: "wear lead",
  fixings: "fixings",
  labour_hour: "labour hour",
} as const;
export const QuestionAbout = {
  originals: "whether the discs are the first ones",
  weighed: "mass and thickness",
  faces: "both faces",
  pad_sets: "sets of pads",
  linings: "linings",
  cleaner: "wheel cleaner",
  hard_use: "hard use",
  standing: "standing",
  callipers: "callipers and fluid",
  life: "the discs' life",
  signed: "a signed answer",
} as const;
export const FluidClass = {
  dot3: "DOT 3",
  dot4: "DOT 4",
  dot51: "DOT 5.1",
  iso6: "ISO 4925 class 6",
} as const;
export const Stage = {
  new: "as new",
  part_worn: "part-worn",
  end_of_life: "at the end of its life",
  unknown: "not known",
} as const;
export const Cause = {
  cleaner: "attack by a wheel cleaner",
  heat: "too much heat",
  standing: "corrosion from standing",
  damage: "mechanical damage",
  pad_or_calliper: "a pad or calliper fault",
} as const;
export const LifeBasis = {
  own_visits: "this car's own visits",
  rule_of_thumb: "a rule of thumb",
  paper: "a published figure",
} as const;
export const Pairing = {
  faces: "outer and inner face",
  pads: "outer and inner pad",
  discs_across: "left and right disc",
  pads_across: "left and right pads",
  discs_along: "front and rear discs",
} as const;
export const Outcome = {
  within: "within the limit",
  beyond: "beyond the limit",
  too_close: "too close to the limit to tell",
  no_limit: "no limit known",
} as const;
export const Scope = {
  pads_only: "pads only",
  one_axle: "one axle",
  both_axles: "both axles",
} as const;
export const PartyRole = {
  buyer: "buyer",
  seller: "seller",
  dealer: "dealer",
  other: "other party",
} as const;
export const Weather = {
  dry: "dry",
  damp: "damp",
  rain: "rain",
  snow_or_ice: "snow or ice",
  indoors: "indoors",
} as const;
export const RoadSurface = {
  dry_hard: "dry hard surface",
  wet_hard: "wet hard surface",
  loose: "loose surface",
  not_driven: "not driven",
} as const;
export const WhichBrake = {
  service: "service brake",
  parking: "parking brake",
} as const;
export const HowSeen = {
  through_wheel: "through the wheel",
  mirror: "by mirror",
  wheel_off: "wheel off",
} as const;
export const Touch = {
  slick: "slick",
  slightly_rough: "slightly rough",
  abrasive: "abrasive",
} as const;
export const FibrePattern = {
  faint: "faint",
  clear: "clear",
  crowded: "crowded",
} as const;
export const Colour = {
  near_black: "near-black",
  dark_grey: "dark grey",
  greyed: "greyed",
} as const;
export const DefectKind = {
  crack: "crack",
  chip: "chip",
  stain: "stain",
  heat_tint: "heat tint",
  craze: "craze",
  spalling: "spalling",
  groove: "groove",
  deposit: "deposit",
  pad_print: "pad print",
} as const;
export const CrackExtent = {
  surface: "in the surface",
  from_hole: "from a hole",
  hole_to_edge: "from a hole to the edge",
  through: "through the ring",
} as const;
export const RadialZone = {
  inner_third: "inner third",
  middle_third: "middle third",
  outer_third: "outer third",
  full_width: "full width",
} as const;
export const BellFinish = {
  even: "even",
  discoloured: "discoloured",
  stained: "stained",
  etched: "etched",
} as const;
export const WearLead = {
  intact: "intact",
  worn_through: "worn through",
  not_fitted: "not fitted",
} as const;
export const CalliperState = {
  free: "free",
  drags: "drags",
  seized: "seized",
  leaking: "leaking",
} as const;
export const StepKind = {
  low_speed_dab: "low-speed dab",
  half_effort: "half effort",
  full_effort: "full effort",
  coasting: "coasting",
  parking_brake: "parking brake",
  other: "other",
} as const;
export const Felt = {
  sharp_bite: "sharp bite",
  weak_bite: "weak bite",
  no_bite: "no bite",
  pulsing_pedal: "pulsing pedal",
  shaking_wheel: "shaking wheel",
  pulls_left: "pulls to the left",
  pulls_right: "pulls to the right",
  long_pedal: "long pedal",
  drag: "drag",
  nothing_unusual: "nothing unusual felt",
} as const;
export const Heard = {
  nearly_silent: "nearly silent",
  coarse_noise: "coarse noise",
  squeal: "squeal",
  grinding: "grinding",
  knock: "knock",
} as const;
export const AntiLock = {
  worked: "anti-lock worked",
  not_reached: "anti-lock not reached",
  not_told: "anti-lock could not be told",
} as const;
export const BrakingKind = {
  low_speed_dab: "low-speed dab",
  stop: "braking",
} as const;
export const AxleFit = {
  front: "the front axle's tyres",
  rear: "the rear axle's tyres",
  cannot_tell: "tyres of either axle",
} as const;
export const SoundFlaw = {
  overloaded: "the microphone was overloaded while braking: lay the phone farther from the wheel",
  windy: "wind blew into the microphone: close the windows and the vents",
  gain_controlled: "the phone turned its gain down when it became loud: switch its sound processing off",
  not_aligned: "the sound could not be aligned with the motion; both are taken to begin together",
} as const;
