// Made by `cargo xtask types` from what the core says of itself; never edited by hand.
/**
 * What a page asks for. Bytes that go with it (a photograph, a report) travel beside it.
 */
export type Request = ({
op: "notebook"
} | {
op: "look_through"
/**
 * Where the slice before said to go on; null for the first one.
 */
after?: (string | null)
} | {
op: "mend"
} | {
op: "list"
/**
 * Empty for all.
 */
search: string
} | {
op: "begin"
/**
 * As read on the car.
 */
vin?: (string | null)
/**
 * As read on the plate.
 */
registration?: (string | null)
/**
 * When the visit begins, in the place's own offset.
 */
at: string
} | {
op: "read"
/**
 * Which.
 */
inspection: string
} | {
op: "write"
/**
 * Of which inspection.
 */
inspection: string
/**
 * The field, as in `corners.front_left.outer_face.touch`.
 */
path: string
/**
 * Its value, in the form that a record has for it.
 */
value: unknown
} | {
op: "undo"
/**
 * Of which inspection.
 */
inspection: string
} | {
op: "redo"
/**
 * Of which inspection.
 */
inspection: string
} | {
op: "settle"
/**
 * Of which inspection.
 */
inspection: string
/**
 * The field.
 */
path: string
/**
 * The entry, as [`Claimant::entry`] names it.
 */
entry: string
} | {
op: "photograph"
/**
 * Of which inspection.
 */
inspection: string
subject: PhotographSubject
taken: PhotographTaken
/**
 * When it was taken; else as the file says.
 */
taken_at?: (string | null)
} | {
op: "state_place"
/**
 * Of which inspection.
 */
inspection: string
/**
 * Which photograph.
 */
photograph: string
/**
 * It does, or it does not.
 */
state: boolean
} | {
op: "look"
} | {
op: "begin_recording"
/**
 * Of which inspection.
 */
inspection: string
kind: RecordingKind
/**
 * Samples a second of a sound; 0 of anything else.
 */
rate_hz: number
/**
 * When it begins.
 */
at: string
} | {
op: "add_to_recording"
/**
 * As [`RecordingBegun`] named it.
 */
recording: number
/**
 * Its number, from 1; one that is sent twice is there once.
 */
nth: number
} | {
op: "end_recording"
/**
 * Of which inspection.
 */
inspection: string
/**
 * As [`RecordingBegun`] named it.
 */
recording: number
} | {
op: "drop_recording"
/**
 * Of which inspection.
 */
inspection: string
/**
 * As [`RecordingBegun`] named it.
 */
recording: number
} | {
op: "running_recordings"
/**
 * Of which inspection.
 */
inspection: string
} | {
op: "take_in_recording"
/**
 * Of which inspection.
 */
inspection: string
/**
 * The name of its file.
 */
name: string
} | {
op: "measure_drive"
/**
 * Of which inspection.
 */
inspection: string
/**
 * The recordings, by the names that the inspection has for them.
 */
recordings: Label[]
} | {
op: "drive_drawing"
/**
 * Of which inspection.
 */
inspection: string
/**
 * Which, as [`DriveMeasured`] named it.
 */
drive: string
} | {
op: "measure_face"
/**
 * Of which inspection.
 */
inspection: string
/**
 * Which photograph.
 */
photograph: string
mark: DiscMark
} | {
op: "face_words"
/**
 * Of which inspection.
 */
inspection: string
/**
 * Which photograph.
 */
photograph: string
} | {
op: "references"
} | {
op: "keep_reference"
/**
 * Of which inspection.
 */
inspection: string
/**
 * Which photograph.
 */
photograph: string
stage: ReferenceStage
} | {
op: "drop_reference"
/**
 * The SHA-256 of its photograph.
 */
photograph: string
} | {
op: "picture"
/**
 * The original's SHA-256.
 */
sha256: string
/**
 * Small, to be listed; else as it was taken.
 */
small: boolean
} | {
op: "reckon"
/**
 * Which.
 */
inspection: string
} | {
op: "visits"
/**
 * One of the visits.
 */
inspection: string
} | {
op: "seal"
/**
 * Which.
 */
inspection: string
/**
 * Opens the inspector's key.
 */
passphrase: string
} | {
op: "state"
content: StatementContent
/**
 * Certificates in PEM to check the report with, beside this notebook's own root.
 */
roots: string[]
/**
 * Rest on a report that does not stand: page 1 says so.
 */
although_unsound: boolean
/**
 * Opens the person's key.
 */
passphrase: string
} | {
op: "office"
} | {
op: "ask_to_join"
/**
 * The code that the office made.
 */
code: string
/**
 * Where it is, where the pages do not come from it: a host, an address, or the link that it shows with the code.
 */
address?: (string | null)
} | {
op: "join"
/**
 * The status of the answer.
 */
status: number
} | {
op: "leave_office"
} | {
op: "fetch_colleagues"
/**
 * All of them, as they come.
 */
all: boolean
} | {
op: "left"
/**
 * The inspection's name.
 */
inspection: string
} | {
op: "fetch"
/**
 * The inspection's name.
 */
inspection: string
} | {
op: "office_next"
/**
 * At the start of each round.
 */
begin: boolean
} | {
op: "office_heard"
/**
 * The status of the answer; null where none came.
 */
status?: (number | null)
/**
 * Its header `Retry-After`, as it stands there.
 */
retry_after?: (string | null)
} | {
op: "office_ask"
errand: OfficeErrand
} | {
op: "office_answered"
errand: OfficeErrand
/**
 * The status of the answer.
 */
status: number
} | {
op: "ask_certificate"
/**
 * Given and family name.
 */
name: string
/**
 * `Inspector`, `Dealer` or `Office`.
 */
role: string
/**
 * Locks the key.
 */
passphrase: string
} | {
op: "withdraw"
/**
 * Which, by its identity.
 */
identity: string
/**
 * The report that stands in its place, by its identity.
 */
superseded_by?: (string | null)
/**
 * Why, for whoever relied on it.
 */
reason: string
/**
 * Opens the person's key.
 */
passphrase: string
} | {
op: "reports"
} | {
op: "report"
/**
 * Its identity.
 */
identity: string
} | {
op: "verify"
/**
 * Certificates in PEM that the reader has compared with the firm.
 */
roots: string[]
} | {
op: "keys"
} | {
op: "make_keys"
/**
 * The firm's name.
 */
firm: string
/**
 * The inspector's.
 */
inspector: string
/**
 * Locks the keys.
 */
passphrase: string
} | {
op: "change_key"
/**
 * Opens the firm's key, and locks the new one.
 */
passphrase: string
} | {
op: "code"
/**
 * At most some hundred letters.
 */
text: string
} | {
op: "back_up_keys"
} | {
op: "export"
} | {
op: "import"
} | {
op: "erase"
/**
 * Which inspection.
 */
inspection: string
} | {
op: "settings"
} | {
op: "set"
settings: Settings
} | {
op: "letter"
letter: LetterRequest
} | {
op: "reply"
letter: LetterRequest
reply: Reply
})
/**
 * What a photograph shows.
 */
export type PhotographSubject = ({
of: "vin"
} | {
of: "registration"
} | {
of: "odometer"
} | {
of: "car"
} | {
of: "face"
corner: CornerName
face: FaceName
} | {
of: "bell"
corner: CornerName
} | {
of: "pad"
corner: CornerName
pad: PadName
} | {
of: "calliper"
corner: CornerName
} | {
of: "instrument"
} | {
of: "other"
})
/**
 * A corner of the car; left and right are the car's own, seen from the driver's seat.
 */
export type CornerName = ("front_left" | "front_right" | "rear_left" | "rear_right")
/**
 * A face of a disc.
 */
export type FaceName = ("outer" | "inner")
/**
 * A pad of a corner.
 */
export type PadName = ("outer" | "inner")
/**
 * How a photograph came into the inspection.
 */
export type PhotographTaken = ("in_app" | "imported")
/**
 * What a recording holds.
 */
export type RecordingKind = ("motion" | "position" | "sound")
/**
 * The name of a reading, a photograph or a recording inside its inspection.
 */
export type Label = string
/**
 * A length in millimetres: a disc's thickness, a lining, a defect.
 */
export type Millimetre = number
/**
 * A stage of wear that the inspector knows a photograph to show.
 */
export type ReferenceStage = ("start" | "middle" | "end")
/**
 * One line of text: a name, a place, a short reason.
 */
export type Line = string
/**
 * A vehicle identification number.
 */
export type Vin = string
/**
 * What the odometer counts in.
 */
export type OdometerUnit = ("km" | "mi")
/**
 * A note of several lines.
 */
export type Note = string
/**
 * What an answer rests on.
 */
export type AnswerBasis = ("own_findings" | "report" | "not_known")
/**
 * Something that a person asks the office for.
 */
export type OfficeErrand = ({
errand: "make_link"
/**
 * `report:` and an identity, or `letter:` and a number.
 */
shows: string
/**
 * For whom.
 */
label: string
/**
 * How long it shows it.
 */
days: number
} | {
errand: "links"
} | {
errand: "close_link"
/**
 * Which.
 */
number: number
} | {
errand: "send_letter"
letter: LetterRequest
} | {
errand: "read_letter"
/**
 * Which.
 */
number: number
} | {
errand: "devices"
} | {
errand: "make_code"
/**
 * What the office calls it.
 */
label: string
/**
 * `Inspector`, `Dealer` or `Office`.
 */
role: string
} | {
errand: "shut_out"
/**
 * Which.
 */
device: string
} | {
errand: "fetch_certificate"
})
/**
 * The version of a letter's form.
 */
export type LetterSchema = "rimside.letter/1"
/**
 * What a disc is made of.
 */
export type DiscMaterial = ("carbon_ceramic" | "iron")
/**
 * A currency by its three-letter code (ISO 4217).
 */
export type Currency = string
/**
 * How the screens look.
 */
export type Theme = ("device" | "day" | "night")
/**
 * An axle.
 */
export type Axle = ("front" | "rear")
/**
 * What a price is for.
 */
export type PriceItem = ("disc" | "pad_set" | "wear_lead" | "fixings" | "labour_hour")
/**
 * A share in per cent.
 */
export type Percent = number
/**
 * The version of a reply's form.
 */
export type ReplySchema = "rimside.reply/1"
/**
 * What a question of the letter is about.
 */
export type QuestionAbout = ("originals" | "weighed" | "faces" | "pad_sets" | "linings" | "cleaner" | "hard_use" | "standing" | "callipers" | "life" | "signed")
/**
 * What a recorder took a reply to say.
 */
export type Claim = ({
says: "not_known"
} | {
says: "discs_are_first"
/**
 * Whether they are.
 */
yes: boolean
} | {
says: "disc_replaced"
corner: CornerName
at_km: Kilometre
} | {
says: "disc_mass"
corner: CornerName
mass_g: Gram
} | {
says: "disc_thickness"
corner: CornerName
thickness_mm: Millimetre
} | {
says: "faces_looked_at"
/**
 * The day.
 */
day: string
} | {
says: "pad_sets"
axle: Axle
/**
 * How many.
 */
count: number
} | {
says: "lining"
axle: Axle
lining_mm: Millimetre
} | {
says: "cleaner_used"
what: Line
} | {
says: "water_only"
} | {
says: "hard_use"
/**
 * Whether it was.
 */
yes: boolean
} | {
says: "stood_months"
/**
 * How many.
 */
months: number
} | {
says: "callipers_seen_to"
/**
 * The day.
 */
day: string
} | {
says: "fluid_changed"
/**
 * The day.
 */
day: string
/**
 * For which class.
 */
class?: (FluidClass | null)
} | {
says: "lasts_for_ever"
} | {
says: "will_sign"
/**
 * Whether it will.
 */
yes: boolean
})
/**
 * A distance in kilometres.
 */
export type Kilometre = number
/**
 * A mass in grams: a brake disc, at most 50 kg.
 */
export type Gram = number
/**
 * The class of the brake fluid, as the car's maker asks for it.
 */
export type FluidClass = ("dot3" | "dot4" | "dot51" | "iso6")
/**
 * The version of the method that reckoned, from 1.
 */
export type MethodVersion = number
/**
 * Where a rule or a figure comes from.
 */
export type Source = ({
from: "inspection"
} | {
from: "part_mark"
} | {
from: "published"
/**
 * Which, with its clause.
 */
document: string
} | {
from: "common_practice"
} | {
from: "project_assumption"
} | {
from: "arithmetic"
})
/**
 * Something in the inspection that a figure or a sentence rests on.
 */
export type Evidence = ({
on: "face"
corner: CornerName
face: FaceName
} | {
on: "bell"
corner: CornerName
} | {
on: "pad"
corner: CornerName
pad: PadName
} | {
on: "calliper"
corner: CornerName
} | {
on: "mark"
corner: CornerName
} | {
on: "reading"
id: Label
} | {
on: "road_test_step"
/**
 * Its place in the list.
 */
index: number
} | {
on: "drive"
/**
 * Its place in the list.
 */
index: number
} | {
on: "photograph"
id: Label
} | {
on: "earlier_visit"
/**
 * Its place in the list.
 */
index: number
} | {
on: "odometer"
} | {
on: "prices"
} | {
on: "missing"
/**
 * What, in words.
 */
what: string
})
/**
 * How far gone something is.
 */
export type Stage = ("new" | "part_worn" | "end_of_life" | "unknown")
/**
 * What, beside ordinary wear, may have worn a disc. More than one may hold.
 */
export type Cause = ("cleaner" | "heat" | "standing" | "damage" | "pad_or_calliper")
/**
 * The distance that something has left, or why none is given.
 */
export type Life = ({
reckoned: LifeLeft[]
} | {
not_reckoned: string
})
/**
 * What a distance rests on. The bases disagree; they are shown side by side and never averaged.
 */
export type LifeBasis = ("own_visits" | "rule_of_thumb" | "paper")
/**
 * Two things that ought to wear alike.
 */
export type Pairing = ("faces" | "pads" | "discs_across" | "pads_across" | "discs_along")
/**
 * How a measured value stands against its limit.
 */
export type Outcome = ("within" | "beyond" | "too_close" | "no_limit")
/**
 * What could be renewed on its own.
 */
export type Scope = ("pads_only" | "one_axle" | "both_axles")
/**
 * The version of an inspection's form.
 */
export type InspectionSchema = "rimside.inspection/1"
/**
 * One inspection of one car on one day.
 */
export type InspectionId = string
/**
 * What somebody has to do with the sale.
 */
export type PartyRole = ("buyer" | "seller" | "dealer" | "other")
/**
 * The weather.
 */
export type Weather = ("dry" | "damp" | "rain" | "snow_or_ice" | "indoors")
/**
 * The surface of the road that was driven.
 */
export type RoadSurface = ("dry_hard" | "wet_hard" | "loose" | "not_driven")
/**
 * A temperature in degrees Celsius: air, disc or boiling fluid.
 */
export type Celsius = number
/**
 * A mass in kilograms: a car ready to drive.
 */
export type Kilogram = number
/**
 * The unit of a reading.
 */
export type Unit = ("g" | "kg" | "mm" | "um" | "degC" | "N" | "ohm" | "mohm" | "uH" | "division")
/**
 * A SHA-256 digest (FIPS 180-4).
 */
export type Sha256 = string
/**
 * What is measured, and where.
 */
export type Measurand = ({
kind: "disc_mass"
corner: CornerName
} | {
kind: "disc_thickness"
corner: CornerName
} | {
kind: "electrical"
corner: CornerName
face: FaceName
} | {
kind: "runout"
corner: CornerName
face: FaceName
} | {
kind: "thickness_variation"
corner: CornerName
} | {
kind: "lining"
corner: CornerName
pad: PadName
} | {
kind: "fluid_boiling_point"
} | {
kind: "brake_force"
corner: CornerName
brake: WhichBrake
})
/**
 * Which brake pressed.
 */
export type WhichBrake = ("service" | "parking")
/**
 * A standard uncertainty (one standard deviation, GUM 3.3), in the unit of the figure that it belongs to.
 */
export type StandardUncertainty = number
/**
 * How a face was seen.
 */
export type HowSeen = ("through_wheel" | "mirror" | "wheel_off")
/**
 * How a face feels to the finger.
 */
export type Touch = ("slick" | "slightly_rough" | "abrasive")
/**
 * How the fibre pattern shows.
 */
export type FibrePattern = ("faint" | "clear" | "crowded")
/**
 * The colour of a face.
 */
export type Colour = ("near_black" | "dark_grey" | "greyed")
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected = ({
seen: Corner
} | {
not_inspected: Line
})
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected2 = ({
seen: Face
} | {
not_inspected: Line
})
/**
 * What is wrong at one place of a face.
 */
export type DefectKind = ("crack" | "chip" | "stain" | "heat_tint" | "craze" | "spalling" | "groove" | "deposit" | "pad_print")
/**
 * How far a crack goes.
 */
export type CrackExtent = ("surface" | "from_hole" | "hole_to_edge" | "through")
/**
 * Where between the ring's inner and outer edge.
 */
export type RadialZone = ("inner_third" | "middle_third" | "outer_third" | "full_width")
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected3 = ({
seen: Bell
} | {
not_inspected: Line
})
/**
 * The finish of the bell.
 */
export type BellFinish = ("even" | "discoloured" | "stained" | "etched")
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected4 = ({
seen: Pad
} | {
not_inspected: Line
})
/**
 * The wear lead of a pad.
 */
export type WearLead = ("intact" | "worn_through" | "not_fitted")
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected5 = ({
seen: Calliper
} | {
not_inspected: Line
})
/**
 * The state of the calliper.
 */
export type CalliperState = ("free" | "drags" | "seized" | "leaking")
/**
 * Seen, or not seen and why. Nothing is left out in silence.
 */
export type Inspected6 = ({
seen: RoadTest
} | {
not_inspected: Line
})
/**
 * What was done.
 */
export type StepKind = ("low_speed_dab" | "half_effort" | "full_effort" | "coasting" | "parking_brake" | "other")
/**
 * A speed in kilometres per hour.
 */
export type KilometrePerHour = number
/**
 * What was felt.
 */
export type Felt = ("sharp_bite" | "weak_bite" | "no_bite" | "pulsing_pedal" | "shaking_wheel" | "pulls_left" | "pulls_right" | "long_pedal" | "drag" | "nothing_unusual")
/**
 * What was heard.
 */
export type Heard = ("nearly_silent" | "coarse_noise" | "squeal" | "grinding" | "knock")
/**
 * Whether the anti-lock worked.
 */
export type AntiLock = ("worked" | "not_reached" | "not_told")
/**
 * What a braking was.
 */
export type BrakingKind = ("low_speed_dab" | "stop")
/**
 * A mean fully developed deceleration, or why the stop gives none.
 */
export type FullyDeveloped = ({
mean: Estimate
} | {
not_evaluable: NotEvaluable
})
/**
 * Why a stop gives no mean fully developed deceleration.
 */
export type NotEvaluable = ({
reason: "let_go"
/**
 * The speed at which it was, in m/s.
 */
at_m_per_s: number
} | {
reason: "eased"
} | {
reason: "gap"
} | {
reason: "too_slow"
/**
 * What was prescribed, in m/s.
 */
prescribed_m_per_s: number
} | {
reason: "walking_pace"
} | {
reason: "speed_unknown"
/**
 * Its standard uncertainty in m/s.
 */
uncertainty_m_per_s: number
})
/**
 * Whose tyres turn at the pace of the pulsation.
 */
export type AxleFit = ("front" | "rear" | "cannot_tell")
/**
 * What is wrong with a recording of sound.
 */
export type SoundFlaw = ("overloaded" | "windy" | "gain_controlled" | "not_aligned")
/**
 * The verdict in one word.
 */
export type Headline = ("genuine" | "genuine-standing-not-checked" | "genuine-but-withdrawn" | "genuine-but-superseded" | "cannot-be-fully-confirmed" | "do-not-rely")
/**
 * The answer to one question.
 */
export type Answer2 = ({
state: "passed"
/**
 * What was found, in a sentence.
 */
sentence: string
} | {
state: "failed"
/**
 * A stable code in kebab case.
 */
code: string
/**
 * What is wrong, in a sentence.
 */
reason: string
} | {
state: "not_checked"
/**
 * A stable code in kebab case.
 */
code: string
/**
 * What is missing, in a sentence.
 */
reason: string
})
/**
 * The main status.
 */
export type MainIndication = ("TOTAL-PASSED" | "INDETERMINATE" | "TOTAL-FAILED")
/**
 * What to do next so that device and office have the same.
 */
export type OfficeNext = ({
step: "ask"
/**
 * The office's address, where the pages do not come from it.
 */
address?: (string | null)
/**
 * `GET`, `PUT`, `POST` or `DELETE`.
 */
method: string
/**
 * Below the office's address.
 */
path: string
/**
 * What goes before the body.
 */
headers: OfficeHeader[]
} | {
step: "wait"
/**
 * So long.
 */
ms: number
} | {
step: "done"
} | {
step: "halt"
/**
 * Why.
 */
words: string
})
/**
 * What the office answered.
 */
export type OfficeAnswer = ({
told: "link_made"
link: LinkMade
} | {
told: "links"
/**
 * They.
 */
links: LinkView[]
} | {
told: "done"
} | {
told: "letter_kept"
kept: LetterKept
} | {
told: "letter"
letter: LetterRead
} | {
told: "devices"
/**
 * They.
 */
devices: DeviceView[]
} | {
told: "code"
code: CodeMade
} | {
told: "certificate"
/**
 * There is.
 */
is_new: boolean
})
/**
 * Where an inspector marked a ring in a photograph, in pixels of the upright picture from its upper left corner.
 */
export interface DiscMark {
/**
 * The outer edge at the disc's right, below, left and above.
 */
outer: unknown[][]
/**
 * The same of the inner edge.
 */
inner: unknown[][]
outer_diameter_mm: Millimetre
/**
 * A grey card in the picture.
 */
grey_card?: (GreyCardMark | null)
}
/**
 * A part of a grey card in a picture.
 */
export interface GreyCardMark {
/**
 * Left, upper, width and height of the part, in pixels.
 */
part: unknown[]
/**
 * The share of light that it reflects: 0.18 for the usual one.
 */
reflects: number
}
/**
 * What is written before it is frozen.
 */
export interface StatementContent {
/**
 * Whether it is invented, to show the program.
 */
demonstration: boolean
firm: Line
contact: Line
asked_by: Line
/**
 * On which day.
 */
asked_on: string
car: StatedCar
/**
 * The questions with their answers.
 */
answers: StatedAnswer[]
/**
 * What the dealer's own workshop found.
 */
findings: WorkshopFinding[]
/**
 * What will be done before the car is handed over.
 */
before_handover: Undertaking[]
/**
 * What limits the statement, in the dealer's own words.
 */
limits?: (Note | null)
}
/**
 * The car that is spoken of.
 */
export interface StatedCar {
description: Line
vin: Vin
registration: Line
odometer: Odometer
}
/**
 * An odometer's figure with the unit that it counts in.
 */
export interface Odometer {
/**
 * The figure shown, whole.
 */
figure: number
unit: OdometerUnit
}
/**
 * A question and its answer.
 */
export interface StatedAnswer {
question: Note
answer: Note
basis: AnswerBasis
}
/**
 * Something that the dealer's own workshop found.
 */
export interface WorkshopFinding {
what: Line
found: Line
how: Line
by: Line
/**
 * On which day.
 */
on: string
}
/**
 * Something that will be done.
 */
export interface Undertaking {
what: Line
/**
 * By which day.
 */
by_day: string
}
/**
 * What a letter of questions is written from: no inspection is needed for it.
 */
export interface LetterRequest {
schema: LetterSchema
/**
 * Whether it is invented, to show the program.
 */
demonstration: boolean
/**
 * The day of the letter.
 */
dated: string
from: Correspondent
to: Correspondent
car: OfferedCar
}
/**
 * Somebody who writes or is written to.
 */
export interface Correspondent {
name: Line
contact: Line
}
/**
 * A car as an offer describes it.
 */
export interface OfferedCar {
description: Line
/**
 * Registration.
 */
registration?: (Line | null)
/**
 * Vehicle identification number.
 */
vin?: (Vin | null)
/**
 * Odometer.
 */
odometer?: (Odometer | null)
/**
 * First registered.
 */
first_registered?: (string | null)
/**
 * What the front discs are made of.
 */
front?: (DiscMaterial | null)
/**
 * What the rear discs are made of.
 */
rear?: (DiscMaterial | null)
/**
 * What is asked for it.
 */
asking_price?: (AskingPrice | null)
}
/**
 * What is asked for the car.
 */
export interface AskingPrice {
currency: Currency
/**
 * The amount.
 */
amount: string
}
/**
 * What a person likes.
 */
export interface Settings {
theme: Theme
distance: OdometerUnit
/**
 * The currency of new price lists (ISO 4217).
 */
currency: string
/**
 * What stands in new inspections about the inspector.
 */
inspector?: (Inspector | null)
/**
 * The price list that new inspections begin with.
 */
prices?: (PriceBasis | null)
}
/**
 * Who inspects.
 */
export interface Inspector {
name: Line
firm: Line
independence: Line
insurance: Line
contact: Line
}
/**
 * What renewal costs, as somebody quoted it on some day.
 */
export interface PriceBasis {
currency: Currency
origin: Line
/**
 * On which day.
 */
dated: string
/**
 * Until when it holds.
 */
valid_until?: (string | null)
/**
 * The lines.
 */
lines: PriceLine[]
}
/**
 * One line of the price basis.
 */
export interface PriceLine {
axle: Axle
item: PriceItem
/**
 * How many a renewal of this axle takes (a decimal in a text: "2", "1.5").
 */
quantity: string
/**
 * Price of one, without tax.
 */
unit_price: string
tax_percent: Percent
}
/**
 * A seller's reply, word for word, with what it was taken to say.
 */
export interface Reply {
schema: ReplySchema
from: Line
/**
 * When.
 */
dated: string
how: Line
/**
 * Each question's answer; a question that is missing was not answered.
 */
answers: ReplyAnswer[]
/**
 * What else was said, word for word.
 */
besides?: (Note | null)
}
/**
 * The answer to one question.
 */
export interface ReplyAnswer {
about: QuestionAbout
words: Note
/**
 * What they were taken to say; empty where they say nothing that was asked.
 */
claims: Claim[]
}
/**
 * What each request is answered, by its name.
 */
export interface Answers {
notebook: NotebookView
look_through: LookedView
mend: MendedView
list: InspectionList
begin: DraftView
read: DraftView
write: DraftView
undo: DraftView
redo: DraftView
settle: DraftView
photograph: PhotographStored
begin_recording: RecordingBegun
add_to_recording: null
end_recording: RecordingEnded
drop_recording: RecordingList
running_recordings: RecordingList
take_in_recording: RecordingEnded
measure_drive: DriveMeasured
drive_drawing: ToldView
measure_face: DraftView
face_words: ToldView
references: ReferencesView
keep_reference: ReferencesView
drop_reference: ReferencesView
state_place: DraftView
look: Looked
picture: null
reckon: ReckoningView
visits: VisitsView
seal: ReportView
state: ReportView
reports: ReportList
report: null
verify: Verdict
keys: KeysView
make_keys: KeysView
change_key: KeysView
code: CodeView
back_up_keys: null
export: null
import: Imported
erase: InspectionList
settings: Settings
set: Settings
office: OfficeView
ask_to_join: OfficeNext
join: OfficeView
leave_office: OfficeView
fetch_colleagues: OfficeView
left: LeftView
fetch: OfficeView
office_next: OfficeNext
office_heard: OfficeView
office_ask: OfficeNext
office_answered: OfficeAnswer
ask_certificate: OfficeNext
withdraw: ReportView
letter: LetterView
reply: LetterView
}
/**
 * What this notebook is.
 */
export interface NotebookView {
/**
 * The device's name.
 */
device: string
/**
 * How many entries it holds.
 */
entries: number
/**
 * How many photographs.
 */
photographs: number
/**
 * What became of a damaged notebook when this one was opened; null where there was none.
 */
mended?: (MendedView | null)
}
/**
 * What became of a damaged notebook.
 */
export interface MendedView {
/**
 * Entries that are here.
 */
entries: number
/**
 * Photographs that are here.
 */
photographs: number
/**
 * Sealed reports that are here.
 */
reports: number
/**
 * What could not be read, in words.
 */
lost: string[]
/**
 * The name of the damaged notebook's file, which was left as it was.
 */
kept_as: string
}
/**
 * What a slice of the look through the notebook found.
 */
export interface LookedView {
/**
 * What is not as it was written, in words.
 */
problems: string[]
/**
 * Where to go on; null when all was looked at.
 */
next?: (string | null)
}
/**
 * Inspections in a list.
 */
export interface InspectionList {
/**
 * Newest first.
 */
inspections: InspectionLine[]
}
/**
 * One inspection in a list.
 */
export interface InspectionLine {
/**
 * Its name.
 */
id: string
/**
 * As far as known.
 */
vin?: (string | null)
/**
 * As far as known.
 */
registration?: (string | null)
/**
 * As far as known.
 */
description?: (string | null)
/**
 * As far as known.
 */
place?: (string | null)
/**
 * When the visit began.
 */
visited_at?: (string | null)
/**
 * When something was last written.
 */
changed_at: string
/**
 * How many reports of it were sealed.
 */
sealed: number
/**
 * Whether what it held was erased.
 */
erased: boolean
}
/**
 * An inspection as it stands.
 */
export interface DraftView {
/**
 * Its name.
 */
id: string
/**
 * The fields that have a value, by path.
 */
fields: {
[k: string]: unknown
}
/**
 * What the labels end in that this device gives to the things of a list: no other device gives the same.
 */
label_ending: string
/**
 * When each field was written last, by path.
 */
written: {
[k: string]: string
}
/**
 * Fields with several values; sealing waits for them.
 */
conflicts: Conflict[]
/**
 * What is still to be done before it can be sealed.
 */
missing: Missing[]
/**
 * What contradicts itself, as a record's reader would say.
 */
problems: Missing[]
/**
 * What the findings so far come to. None where they contradict themselves.
 */
preview?: (Preview | null)
/**
 * Whether the last change can be taken back.
 */
can_undo: boolean
/**
 * Whether what was taken back can be made again.
 */
can_redo: boolean
/**
 * Earlier inspections of the same car in this notebook.
 */
earlier: InspectionLine[]
}
/**
 * A field that two devices wrote without knowing of each other.
 */
export interface Conflict {
/**
 * The field.
 */
path: string
/**
 * Who says what.
 */
claimants: Claimant[]
}
/**
 * One of several values of a field.
 */
export interface Claimant {
/**
 * The entry, to be named when it is chosen.
 */
entry: string
/**
 * What it says.
 */
value: unknown
/**
 * Who wrote it.
 */
author: string
/**
 * On which device.
 */
device: string
/**
 * When, by that device's clock.
 */
written_at: string
}
/**
 * Something that is still to be done or does not fit.
 */
export interface Missing {
/**
 * The field, or the part of the inspection.
 */
path: string
/**
 * What, in words.
 */
message: string
}
/**
 * What the findings so far come to, short of distances and reasons.
 */
export interface Preview {
glyphs: PerCorner
/**
 * Reasons not to drive so far. Their absence is never a clearance.
 */
warnings: Warning[]
/**
 * The look that would settle the causes best.
 */
next_look?: (string | null)
}
/**
 * Something for each corner.
 */
export interface PerCorner {
front_left: GlyphView
front_right: GlyphView
rear_left: GlyphView
rear_right: GlyphView
}
/**
 * A corner's drawing: outlines for a screen, in radii of the ring from its centre, x to the right and y down.
 */
export interface GlyphView {
/**
 * The corner, in words.
 */
title: string
/**
 * What the drawing shows, in words.
 */
lines: string[]
/**
 * Left edge, top edge, width and height of the drawing.
 */
view: number[]
/**
 * The outlines, in the order in which they are drawn.
 */
outlines: Outline[]
/**
 * Small letters.
 */
letters: Letters[]
}
/**
 * An outline, as SVG writes it (SVG 2, 9.3).
 */
export interface Outline {
/**
 * Its steps.
 */
d: string
/**
 * Whether it is filled.
 */
filled: boolean
/**
 * Width of its line; 0 for none.
 */
width: number
/**
 * Length of a dash and of the gap after it; 0 for an unbroken line.
 */
dash: number
/**
 * Whether the ends of its lines are round: dots are lines without length.
 */
round: boolean
}
/**
 * Letters centred on a point of their baseline.
 */
export interface Letters {
/**
 * The middle of the baseline.
 */
x: number
/**
 * The baseline.
 */
y: number
/**
 * Their size.
 */
size: number
/**
 * The letters.
 */
text: string
}
/**
 * A reason not to drive, or to have something seen to first.
 */
export interface Warning {
/**
 * Whether the car must not be driven.
 */
do_not_drive: boolean
/**
 * The sentence.
 */
text: string
}
/**
 * A photograph that was taken in.
 */
export interface PhotographStored {
label: Label
/**
 * SHA-256 of its bytes.
 */
sha256: string
/**
 * What is wrong with it as a picture, in words; empty when nothing is.
 */
remarks: string[]
draft: DraftView
}
/**
 * A recording that was begun.
 */
export interface RecordingBegun {
/**
 * Its number in this notebook.
 */
recording: number
}
/**
 * A recording that stands in the inspection.
 */
export interface RecordingEnded {
label: Label
draft: DraftView
}
/**
 * Recordings that were begun and not ended.
 */
export interface RecordingList {
/**
 * In the order in which they began.
 */
running: RunningRecording[]
}
/**
 * A recording that was begun and not ended.
 */
export interface RunningRecording {
/**
 * Its number in this notebook.
 */
recording: number
kind: RecordingKind
/**
 * When it began.
 */
begun_at: string
/**
 * Its bytes so far.
 */
bytes: number
}
/**
 * A drive that was measured.
 */
export interface DriveMeasured {
/**
 * Its name in the road test.
 */
drive: string
draft: DraftView
}
/**
 * What was measured, in words.
 */
export interface ToldView {
/**
 * Line by line; an empty one stands between kinds of figures.
 */
lines: string[]
}
/**
 * The references that faces are compared with.
 */
export interface ReferencesView {
/**
 * In the order in which they were kept.
 */
references: ReferenceView[]
/**
 * What is missing before a face can be compared with them; null when nothing is.
 */
missing?: (string | null)
}
/**
 * A face whose stage the inspector knows.
 */
export interface ReferenceView {
/**
 * SHA-256 of its photograph.
 */
photograph: string
stage: ReferenceStage
/**
 * When it was kept.
 */
kept_at: string
}
/**
 * What speaks against a picture.
 */
export interface Looked {
/**
 * Each in words, with what to do; empty when nothing does.
 */
flaws: FlawView[]
}
/**
 * One thing that speaks against a picture.
 */
export interface FlawView {
/**
 * Whether it is that the picture has few pixels, as the frames of a live view have.
 */
is_small: boolean
/**
 * What, and what to do.
 */
words: string
}
/**
 * What an inspection comes to.
 */
export interface ReckoningView {
reckoning: Reckoning
inspection: Inspection
}
/**
 * What the findings come to.
 */
export interface Reckoning {
method: MethodVersion
corners: PerCorner2
/**
 * Differences between what ought to wear alike.
 */
asymmetries: Asymmetry[]
/**
 * The distance run beside what rules allow for.
 */
distance: DistanceComparison[]
/**
 * What was measured on the whole car or against a limit.
 */
measured: Measured[]
/**
 * The look that would settle the causes best; absent where no look would settle anything more.
 */
next_look?: (NextLook | null)
/**
 * Reasons not to drive. Their absence is never a clearance.
 */
drive_warnings: DriveWarning[]
/**
 * What renewal costs; absent without a price basis.
 */
cost?: (CostReckoning | null)
answer: Answer
}
/**
 * Something for each corner.
 */
export interface PerCorner2 {
front_left: CornerReckoning
front_right: CornerReckoning
rear_left: CornerReckoning
rear_right: CornerReckoning
}
/**
 * One corner reckoned. Each quantity stands on its own; the worse governs.
 */
export interface CornerReckoning {
/**
 * Wear of the disc's bulk against its own marks.
 */
bulk?: (Figure | null)
/**
 * Wear of the outer face's surface.
 */
outer_face?: (Figure | null)
/**
 * Wear of the inner face's surface.
 */
inner_face?: (Figure | null)
/**
 * Wear of the outer pad's lining against its mark.
 */
outer_pad?: (Figure | null)
/**
 * Wear of the inner pad's lining against its mark.
 */
inner_pad?: (Figure | null)
disc_stage: Stage
/**
 * How likely each stage of the disc is; absent where nothing of it could be reckoned.
 */
disc_chances?: (StageChances | null)
pad_stage: Stage
/**
 * How likely each stage of the pads is; absent where no lining could be reckoned.
 */
pad_chances?: (StageChances | null)
/**
 * Why the disc wore; absent where nothing of the corner was seen, or the disc is of iron.
 */
cause?: (CauseReckoning | null)
life: CornerLife
/**
 * What could not be reckoned, and why.
 */
missing: string[]
}
/**
 * A figure with its uncertainty and its origin. For wear: 0 as new, 1 at the mark.
 */
export interface Figure {
/**
 * The best value.
 */
value: number
/**
 * Standard uncertainty (one standard deviation).
 */
uncertainty: number
/**
 * Low end of the 95 % interval.
 */
low: number
/**
 * High end of the 95 % interval.
 */
high: number
because: Explanation
}
/**
 * A step of how a figure came about; its parts stand below it.
 */
export interface Explanation {
/**
 * What was done, in a sentence with its figures.
 */
text: string
/**
 * What the step came to, in the quantity of the figure that it explains; absent where the step is a remark.
 */
came_to?: (Estimate | null)
/**
 * How far the parts agree, where the step puts several estimates of one quantity together.
 */
agreement?: (Agreement | null)
source: Source
/**
 * What it rests on directly.
 */
evidence: Evidence[]
/**
 * The parts.
 */
parts: Explanation[]
}
/**
 * A value with its standard uncertainty.
 */
export interface Estimate {
/**
 * The best value.
 */
value: number
/**
 * One standard deviation.
 */
uncertainty: number
}
/**
 * How far several estimates of one quantity agree.
 */
export interface Agreement {
/**
 * The sum of squared normalised deviations.
 */
chi_squared: number
/**
 * Estimates less one.
 */
freedom: number
/**
 * What χ² passes in one case of twenty where the uncertainties are right.
 */
chi_squared_95: number
/**
 * √(χ²/ν), by which the uncertainty was widened where χ² passes that point.
 */
birge_ratio: number
/**
 * Which estimate lies farthest from the others; only where χ² passes that point.
 */
culprit?: (Culprit | null)
}
/**
 * The estimate that lies farthest from the others.
 */
export interface Culprit {
/**
 * Its place among the parts, from 0.
 */
part: number
/**
 * How far it lies from what the others come to, in standard deviations of that difference.
 */
deviations: number
}
/**
 * How likely each stage is; the three add up to 1.
 */
export interface StageChances {
/**
 * As new.
 */
new: number
/**
 * Part-worn.
 */
part_worn: number
/**
 * At the end of its life.
 */
end_of_life: number
}
/**
 * How likely each cause is at one corner.
 */
export interface CauseReckoning {
/**
 * The chance that ordinary wear is the only cause.
 */
wear_only: number
/**
 * Each cause; more than one may hold.
 */
causes: CauseChance[]
/**
 * How many of the signs that the table knows could be looked at here.
 */
signs_seen: number
/**
 * How many the table knows.
 */
signs_known: number
}
/**
 * How likely one cause is, and what speaks for and against it.
 */
export interface CauseChance {
cause: Cause
/**
 * The chance that it holds, from 0 to 1.
 */
chance: number
/**
 * The chance before any sign of this car was looked at.
 */
before: number
/**
 * The strongest signs for it, the strongest first.
 */
speaks_for: SignWeight[]
/**
 * The strongest signs against it, the strongest first.
 */
speaks_against: SignWeight[]
}
/**
 * What one sign does to the odds of a cause.
 */
export interface SignWeight {
/**
 * The sign as it was found.
 */
text: string
/**
 * The factor by which it changes the odds, given all other signs: above 1 for, under 1 against.
 */
factor: number
source: Source
/**
 * What it rests on.
 */
evidence: Evidence[]
}
/**
 * How far one corner's disc and pads will go.
 */
export interface CornerLife {
disc: Life
pads: Life
/**
 * The chance that the disc outlives its present pads, on each basis that both have.
 */
disc_outlives_pads: ChanceOnBasis[]
}
/**
 * The distance left on one basis.
 */
export interface LifeLeft {
basis: LifeBasis
/**
 * The kilometres that it still goes with a chance of 95, 75, 50, 25 and 5 %: the 5, 25, 50, 75 and 95 % points.
 */
km: number[]
/**
 * The days on which it ends at the yearly distance; absent where none is known or a day lies beyond any calendar.
 */
ends?: (LifeEnds | null)
because: Explanation
}
/**
 * The days on which the 5, 50 and 95 % points of a distance are reached.
 */
export interface LifeEnds {
/**
 * With a chance of 5 %, by this day.
 */
early_on: string
/**
 * As likely before as after it.
 */
middle_on: string
/**
 * With a chance of 95 %, by this day.
 */
late_on: string
}
/**
 * A chance on one basis.
 */
export interface ChanceOnBasis {
basis: LifeBasis
/**
 * From 0 to 1.
 */
chance: number
}
/**
 * A difference in wear between two things that ought to wear alike.
 */
export interface Asymmetry {
between: Pairing
/**
 * The corner, for what stands at one corner.
 */
corner?: (CornerName | null)
/**
 * The axle, for what stands on one axle.
 */
axle?: (Axle | null)
/**
 * Wear of the first less that of the second, as a share.
 */
difference: number
/**
 * Its standard uncertainty.
 */
uncertainty: number
/**
 * The difference in standard deviations, without sign.
 */
deviations: number
/**
 * Whether it lies beyond what the uncertainties explain in one case of twenty.
 */
is_significant: boolean
/**
 * The sentence.
 */
text: string
/**
 * What it rests on.
 */
evidence: Evidence[]
}
/**
 * The distance that the car has run beside what a rule allows for; a comparison, never evidence of wear.
 */
export interface DistanceComparison {
/**
 * The sentence.
 */
text: string
/**
 * The distance run as a share of the rule's.
 */
share: number
source: Source
/**
 * What it rests on.
 */
evidence: Evidence[]
}
/**
 * Something measured or computed from measurements and held against a limit.
 */
export interface Measured {
/**
 * What, with its place.
 */
what: string
value: Figure
/**
 * The unit.
 */
unit: string
/**
 * The limit, in the unit.
 */
limit?: (number | null)
outcome: Outcome
source: Source
}
/**
 * The look that would settle the causes best.
 */
export interface NextLook {
corner: CornerName
/**
 * What to do, as a sentence.
 */
text: string
/**
 * How much of what is not known it is expected to settle, in bits.
 */
gain_bits: number
}
/**
 * A reason not to drive, or to have something seen to first.
 */
export interface DriveWarning {
/**
 * Whether the car must not be driven; otherwise it is to be seen to first.
 */
do_not_drive: boolean
/**
 * The sentence.
 */
text: string
source: Source
/**
 * What it rests on.
 */
evidence: Evidence[]
}
/**
 * What renewal costs.
 */
export interface CostReckoning {
currency: Currency
/**
 * The lines.
 */
rows: CostRow[]
/**
 * Sum of what is due now, tax included.
 */
due_now: string
/**
 * Sum of all lines, tax included.
 */
all: string
/**
 * What each way to renew costs.
 */
alternatives: Alternative[]
/**
 * What is to be expected within the buyer's own distance, on each basis; empty where no distance is known.
 */
expected: ExpectedCost[]
/**
 * What is due now, and what is expected, beside the asking price.
 */
against_asking: Sentence[]
/**
 * What there is to say about the basis: its age, missing lines.
 */
remarks: string[]
}
/**
 * One priced line.
 */
export interface CostRow {
axle: Axle
item: PriceItem
/**
 * How many.
 */
quantity: string
/**
 * Without tax, rounded to the currency's smallest unit.
 */
net: string
/**
 * The tax.
 */
tax: string
/**
 * Whether the findings call for it now.
 */
due_now: boolean
}
/**
 * What one way to renew costs.
 */
export interface Alternative {
scope: Scope
/**
 * On which axle; absent for both.
 */
axle?: (Axle | null)
/**
 * With tax.
 */
cost: string
}
/**
 * What is to be expected within the buyer's own distance, on one basis: Σ p·c.
 */
export interface ExpectedCost {
basis: LifeBasis
/**
 * The distance, in kilometres.
 */
within_km: number
/**
 * Each renewal with its chance.
 */
rows: ExpectedRow[]
/**
 * Σ p·c, rounded to the currency's smallest unit.
 */
expected: string
/**
 * What it leaves out, in words.
 */
lacks: string[]
}
/**
 * One renewal that may fall in the buyer's time.
 */
export interface ExpectedRow {
axle: Axle
/**
 * Whether the discs are renewed, with pads and all; otherwise the pads alone.
 */
discs: boolean
/**
 * The chance that it falls in that time.
 */
chance: number
/**
 * What it costs with tax.
 */
cost: string
}
/**
 * A sentence of the answer and what carries it.
 */
export interface Sentence {
/**
 * The sentence.
 */
text: string
/**
 * What carries it.
 */
evidence: Evidence[]
}
/**
 * The answer in words.
 */
export interface Answer {
/**
 * The answer itself, first: at most three sentences.
 */
lead: Sentence[]
/**
 * Why, corner by corner.
 */
why: Sentence[]
/**
 * What limits it.
 */
limits: Sentence[]
/**
 * What it means for who buys the car.
 */
to_buyer: Sentence[]
/**
 * What it means for who sells it.
 */
to_seller: Sentence[]
/**
 * What it means for who works on it.
 */
to_workshop: Sentence[]
/**
 * Questions for the buyer to put to the seller in writing.
 */
questions: Sentence[]
}
/**
 * One inspection of one car on one visit. What spans several fields is checked beyond this schema.
 */
export interface Inspection {
schema: InspectionSchema
id: InspectionId
/**
 * Whether it is invented, to show the program; printed on every page when so.
 */
demonstration: boolean
/**
 * When the visit began.
 */
visited_at: string
place: Line
instruction: Instruction
inspector: Inspector
surroundings: Surroundings
car: Car
corners: PerCorner4
/**
 * What was measured.
 */
readings: Reading[]
road_test: Inspected6
/**
 * Photographs.
 */
photographs: Photograph[]
/**
 * Recordings.
 */
recordings: Recording[]
/**
 * What else was not inspected.
 */
not_inspected: Omission[]
/**
 * Questions that were asked.
 */
questions: Question[]
/**
 * What the inspector adds in own words; kept apart from what is reckoned.
 */
remarks?: (Note | null)
/**
 * What renewal costs.
 */
prices?: (PriceBasis | null)
/**
 * What the buyer means to do with the car, where that is known.
 */
use_ahead?: (UseAhead | null)
}
/**
 * On whose behalf, and with whose leave.
 */
export interface Instruction {
by: Party
owner: Line
owner_permission: Line
}
/**
 * Somebody who has to do with the sale.
 */
export interface Party {
name: Line
role: PartyRole
}
/**
 * The day, the road and the state of the car.
 */
export interface Surroundings {
weather: Weather
road_surface: RoadSurface
/**
 * Air temperature.
 */
air_c?: (Celsius | null)
disc_c: PerCorner3
tyres: Line
}
/**
 * Something for each corner.
 */
export interface PerCorner3 {
/**
 * Front left.
 */
front_left?: (Celsius | null)
/**
 * Front right.
 */
front_right?: (Celsius | null)
/**
 * Rear left.
 */
rear_left?: (Celsius | null)
/**
 * Rear right.
 */
rear_right?: (Celsius | null)
}
/**
 * The car.
 */
export interface Car {
vin: Vin
registration: Line
description: Line
/**
 * First registered, where known.
 */
first_registered?: (string | null)
odometer: Odometer
/**
 * Photograph of the identification number.
 */
vin_photograph?: (Label | null)
/**
 * Photograph of the registration plate.
 */
registration_photograph?: (Label | null)
/**
 * Photograph of the odometer.
 */
odometer_photograph?: (Label | null)
/**
 * Mass ready to drive, where known.
 */
mass_kg?: (Kilogram | null)
/**
 * The class of brake fluid that the maker asks for, where known.
 */
fluid_class?: (FluidClass | null)
brakes: PerAxle
pad_sets_used: PerAxle2
/**
 * Discs replaced since the last visit, or ever when there was none.
 */
discs_replaced: DiscReplacement[]
/**
 * Earlier visits of this car, oldest first.
 */
prior_visits: PriorVisit[]
}
/**
 * Something for each axle.
 */
export interface PerAxle {
front: AxleFitment
rear: AxleFitment
}
/**
 * What is fitted on one axle.
 */
export interface AxleFitment {
material: DiscMaterial
discs: PerSide
pads: PadFitment
tyre: TyreSize
}
/**
 * Something for the left and the right of an axle.
 */
export interface PerSide {
left: Disc
right: Disc
}
/**
 * One disc and what is marked on it.
 */
export interface Disc {
/**
 * Serial number, where legible.
 */
serial?: (Line | null)
/**
 * Outer diameter, where known.
 */
diameter_mm?: (Millimetre | null)
/**
 * Least mass as marked.
 */
minimum_mass_g?: (Gram | null)
/**
 * Mass when new, where known.
 */
new_mass_g?: (Gram | null)
/**
 * Least thickness as marked.
 */
minimum_thickness_mm?: (Millimetre | null)
/**
 * Thickness when new, where known.
 */
new_thickness_mm?: (Millimetre | null)
/**
 * Limits of an electrical reading at the marked points.
 */
electrical: ElectricalMark[]
/**
 * Largest runout allowed, where known.
 */
most_runout_mm?: (Millimetre | null)
/**
 * Largest thickness variation allowed, where known.
 */
most_thickness_variation_mm?: (Millimetre | null)
}
/**
 * The limit of an electrical reading at one marked point of a disc.
 */
export interface ElectricalMark {
at: Line
unit: Unit
/**
 * The reading when new.
 */
new: number
/**
 * The reading at which the disc is to be renewed.
 */
limit: number
}
/**
 * The pads of an axle.
 */
export interface PadFitment {
/**
 * Lining when new, where known.
 */
lining_new_mm?: (Millimetre | null)
/**
 * Lining at which the maker calls for renewal, where known.
 */
renewal_mark_mm?: (Millimetre | null)
}
/**
 * A tyre's size: `205/55 R16` is width 205 mm, aspect 55 %, rim 16 in.
 */
export interface TyreSize {
/**
 * Section width in millimetres.
 */
width_mm: number
/**
 * Section height as a share of the width, in per cent.
 */
aspect_percent: number
/**
 * Rim diameter in inches.
 */
rim_in: number
}
/**
 * Something for each axle.
 */
export interface PerAxle2 {
/**
 * Front axle.
 */
front?: (number | null)
/**
 * Rear axle.
 */
rear?: (number | null)
}
/**
 * A disc that was put on.
 */
export interface DiscReplacement {
corner: CornerName
/**
 * Serial number of the new disc.
 */
serial?: (Line | null)
/**
 * Odometer at that time, in kilometres.
 */
at_km?: (Kilometre | null)
origin: Line
}
/**
 * An earlier visit of this car.
 */
export interface PriorVisit {
/**
 * The day.
 */
on: string
odometer: Odometer
/**
 * Digest of its record, where it was sealed.
 */
record?: (Sha256 | null)
/**
 * What was measured then, of what is measured again now.
 */
readings: Reading[]
/**
 * How faces were seen then.
 */
faces: EarlierFace[]
}
/**
 * One reading: one instrument on one thing, at one or several points.
 */
export interface Reading {
id: Label
of: Measurand
unit: Unit
/**
 * The figures, point by point.
 */
points: Point[]
uncertainty: StandardUncertainty
instrument: Instrument
/**
 * When.
 */
taken_at: string
}
/**
 * One figure of a reading.
 */
export interface Point {
at: Line
/**
 * The figure, in the reading's unit.
 */
value: number
}
/**
 * An instrument.
 */
export interface Instrument {
name: Line
/**
 * Serial number.
 */
serial?: (Line | null)
/**
 * Last calibrated or checked.
 */
calibrated_on?: (string | null)
}
/**
 * A face as it was seen on an earlier visit.
 */
export interface EarlierFace {
corner: CornerName
face: FaceName
seen: HowSeen
/**
 * How it felt.
 */
touch?: (Touch | null)
/**
 * How the fibre pattern showed.
 */
fibre_pattern?: (FibrePattern | null)
/**
 * Its colour.
 */
colour?: (Colour | null)
}
/**
 * Something for each corner.
 */
export interface PerCorner4 {
front_left: Inspected
front_right: Inspected
rear_left: Inspected
rear_right: Inspected
}
/**
 * One corner as it was seen.
 */
export interface Corner {
outer_face: Inspected2
inner_face: Inspected2
bell: Inspected3
outer_pad: Inspected4
inner_pad: Inspected4
calliper: Inspected5
}
/**
 * A face of a disc.
 */
export interface Face {
seen: HowSeen
/**
 * How it feels; absent when it could not be touched.
 */
touch?: (Touch | null)
/**
 * How the fibre pattern shows.
 */
fibre_pattern?: (FibrePattern | null)
/**
 * Its colour.
 */
colour?: (Colour | null)
/**
 * What is wrong, place by place.
 */
defects: Defect[]
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * Something wrong at one place of a face.
 */
export interface Defect {
kind: DefectKind
/**
 * How far it goes; for a crack, and only for one.
 */
extent?: (CrackExtent | null)
/**
 * Its largest dimension.
 */
size_mm?: (Millimetre | null)
place: DefectPlace
/**
 * Photographs that show it.
 */
photographs: Label[]
/**
 * What else there is to say.
 */
note?: (Line | null)
}
/**
 * A place on a face: hour of a clock face laid on the disc as seen, valve at twelve, and zone of the radius.
 */
export interface DefectPlace {
/**
 * The hour, 1 to 12, valve at 12; absent when it is all round.
 */
hour?: (number | null)
zone: RadialZone
}
/**
 * The bell.
 */
export interface Bell {
finish: BellFinish
fixings: Fixings
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * The fixings between bell and ring.
 */
export interface Fixings {
/**
 * How many are missing or loose.
 */
missing_or_loose: number
/**
 * Whether any is corroded.
 */
corroded: boolean
}
/**
 * One pad. Its lining is a reading.
 */
export interface Pad {
/**
 * The wear lead.
 */
lead?: (WearLead | null)
/**
 * Difference of the lining between its two ends, where measured.
 */
taper_mm?: (Millimetre | null)
/**
 * Whether the lining is glazed.
 */
glazed?: (boolean | null)
/**
 * Whether the lining crumbles.
 */
crumbling?: (boolean | null)
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * The calliper.
 */
export interface Calliper {
state: CalliperState
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * The road test.
 */
export interface RoadTest {
driver: Line
/**
 * How far.
 */
distance_km?: (Kilometre | null)
/**
 * The steps in their order.
 */
steps: RoadTestStep[]
/**
 * What recordings of it show; left out where there are none.
 */
drives?: MeasuredDrive[]
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * One step of the road test.
 */
export interface RoadTestStep {
kind: StepKind
/**
 * From which speed.
 */
from_km_h?: (KilometrePerHour | null)
/**
 * What was felt.
 */
felt: Felt[]
/**
 * What was heard.
 */
heard: Heard[]
/**
 * Whether the anti-lock worked.
 */
anti_lock?: (AntiLock | null)
/**
 * Recordings of it.
 */
recordings: Label[]
/**
 * What else there is to say.
 */
note?: (Note | null)
}
/**
 * The recordings of one drive, measured.
 */
export interface MeasuredDrive {
/**
 * The recordings that it was measured from.
 */
recordings: Label[]
/**
 * Length of the log of motion in s.
 */
length_s: number
/**
 * Whether the car's axis is known from its position; else from the strongest motion.
 */
axis_from_position: boolean
/**
 * Standard uncertainty of the axis in degrees.
 */
axis_uncertainty_deg: number
/**
 * Shift of the position's clock in s, where there is one.
 */
position_shift_s?: (Estimate | null)
/**
 * Each braking, in the order of time.
 */
brakings: Braking[]
/**
 * What came with the wheel's turns.
 */
pulsation?: (Pulsation | null)
/**
 * How braking sounds beside rolling.
 */
sound?: (BrakeSound | null)
/**
 * What limits the figures.
 */
limits: Line[]
trace: DriveTrace
}
/**
 * One braking.
 */
export interface Braking {
kind: BrakingKind
/**
 * When it began, in s by the clock of the log of motion.
 */
from_s: number
/**
 * When it ended.
 */
to_s: number
entry_m_per_s: Estimate
exit_m_per_s: Estimate
distance_m: Estimate
fully_developed: FullyDeveloped
peak_m_per_s2: Estimate
rise_s: Estimate
jerk_m_per_s3: Estimate
/**
 * What it showed of the anti-lock; none where it is too short or too slow to tell.
 */
anti_lock?: (AntiLockSeen | null)
}
/**
 * What a braking showed of the anti-lock.
 */
export interface AntiLockSeen {
/**
 * Whether the deceleration was modulated as by an anti-lock.
 */
worked: boolean
/**
 * Root mean square of the modulation in m/s².
 */
modulation_m_per_s2: number
/**
 * What is asked of it, in m/s².
 */
threshold_m_per_s2: number
/**
 * Where it worked, the adhesion that tyre and road gave: mean deceleration by gravity. Then the tyre was the limit;
 * else the brake, or the foot.
 */
adhesion?: (Estimate | null)
}
/**
 * What comes with the wheel's turns.
 */
export interface Pulsation {
/**
 * Orders 1 to 4, as far as the recording is fast enough to show them.
 */
orders: Order[]
/**
 * Rolling circumference that fits best, in m.
 */
circumference_m: number
axle: AxleFit
/**
 * Turns of the wheel that were looked at.
 */
turns: number
/**
 * The spectrum over orders while braking: order, amplitude in m/s².
 */
spectrum: unknown[][]
}
/**
 * The amplitude of one order: so many times a turn.
 */
export interface Order {
/**
 * How often a turn, 1 to 4.
 */
order: number
/**
 * Amplitude while braking in m/s², the noise taken out.
 */
braking_m_per_s2: number
/**
 * Standard uncertainty of it.
 */
uncertainty_m_per_s2: number
/**
 * Where in the turn it is strongest, in degrees from the beginning of the longest braking.
 */
phase_deg: number
/**
 * Amplitude while rolling at the same speeds in m/s².
 */
coasting_m_per_s2: number
/**
 * Noise floor in m/s²: the least amplitude that this drive tells to a tenth, ten standard deviations of what noise
 * does to it. Smaller ones can stand out of noise too: `chance_of_noise` says so.
 */
floor_m_per_s2: number
/**
 * Chance that noise alone reaches this amplitude somewhere that was looked at.
 */
chance_of_noise: number
}
/**
 * The sound of braking and of rolling at the same speeds.
 */
export interface BrakeSound {
braking: Character
rolling: Character
grain_db: Estimate
/**
 * Seconds of braking that were compared.
 */
braking_s: number
/**
 * Seconds of rolling that they were compared with.
 */
rolling_s: number
/**
 * Add this to a time of the sound to have the time of the log of motion, in s.
 */
shift_s: number
/**
 * What is wrong with the recording.
 */
flaws: SoundFlaw[]
}
/**
 * One sound: braking, or rolling.
 */
export interface Character {
/**
 * Level of the friction band in dB relative to full scale.
 */
level_db: number
/**
 * Spectral centroid of the friction band in Hz.
 */
centroid_hz: number
/**
 * Spectral flatness of it.
 */
flatness: number
/**
 * Kurtosis of its signal (Pearson): 3 for noise, more where it grates.
 */
kurtosis: number
/**
 * How much its loudness flickers between 15 and 90 Hz: root mean square by the mean.
 */
roughness: number
}
/**
 * A drive over time, thinned to what a page can show. All lists have the same length but those of the sound, which are
 * empty where none was recorded.
 */
export interface DriveTrace {
/**
 * When it begins, in s by the clock of the log of motion.
 */
from_s: number
/**
 * From one value to the next, in s.
 */
step_s: number
/**
 * Speed in km/h.
 */
speed_km_h: number[]
/**
 * The least deceleration of each step in m/s², so that no peak is lost.
 */
least_m_per_s2: number[]
/**
 * The greatest.
 */
greatest_m_per_s2: number[]
/**
 * Level of the friction band in dB under full scale; none where the sound had not begun or was over.
 */
sound_db: (number | null)[]
}
/**
 * A photograph of the inspection: the original as it was taken.
 */
export interface Photograph {
id: Label
sha256: Sha256
subject: PhotographSubject
taken: PhotographTaken
/**
 * When it was taken, as the camera or the inspector says.
 */
taken_at?: (string | null)
/**
 * What there is to see.
 */
caption?: (Line | null)
place?: Place
measured?: MeasuredFace
}
/**
 * A place on the earth, WGS 84.
 */
export interface Place {
/**
 * Degrees north of the equator; negative in the south.
 */
latitude_deg: number
/**
 * Degrees east of Greenwich; negative in the west.
 */
longitude_deg: number
}
/**
 * A face, measured in its photograph.
 */
export interface MeasuredFace {
mark: DiscMark
seen: FaceSeen
/**
 * Which stage it is most like; none where there were too few references to compare it with.
 */
proposal?: (Proposal | null)
}
/**
 * What a marked ring shows.
 */
export interface FaceSeen {
pattern: Pattern
quality: DiscQuality
/**
 * Share of the ring that was left out: holes and glare.
 */
masked: number
bell_evenness: Estimate
}
/**
 * What the ring shows.
 */
export interface Pattern {
/**
 * Share of the area that stands out at each of [`Pattern::SCALES_MM`].
 */
density: Estimate[]
/**
 * Root mean square by which it does.
 */
contrast: Estimate[]
texture: Texture
colour: Lab
/**
 * How even the colour is: mean CIEDE2000 distance of the parts from it.
 */
colour_evenness: number
/**
 * The same for each part of the ring, to be compared.
 */
parts: number[][]
/**
 * The mean colour of each part.
 */
part_colours: Lab[]
}
/**
 * What a co-occurrence table says of a texture (Haralick, Shanmugam and Dinstein 1973).
 */
export interface Texture {
/**
 * Σ p (i − j)².
 */
contrast: number
/**
 * Σ p |i − j|.
 */
dissimilarity: number
/**
 * Σ p / (1 + (i − j)²).
 */
homogeneity: number
/**
 * √ Σ p².
 */
energy: number
/**
 * Correlation of neighbouring levels; 1 where all are the same.
 */
correlation: number
}
/**
 * A colour in CIELAB under D65 for the 2° observer (ISO/CIE 11664-4:2019).
 */
export interface Lab {
/**
 * Lightness, 0 to 100.
 */
l: number
/**
 * Green to red.
 */
a: number
/**
 * Blue to yellow.
 */
b: number
}
/**
 * What speaks for and against a photograph as evidence of a face.
 */
export interface DiscQuality {
/**
 * mm of the disc that a pixel shows.
 */
mm_per_pixel: number
/**
 * Variance of the Laplacian over the ring, in squared grey levels.
 */
sharpness: number
/**
 * Share of the ring at the top of the camera's range.
 */
clipped: number
/**
 * Share of it at the bottom.
 */
black: number
/**
 * Whether the figures may be used: sharp, neither washed out nor dark.
 */
passes: boolean
}
/**
 * What is proposed.
 */
export interface Proposal {
/**
 * The stage that the face is most like; none where it is unlike any reference.
 */
stage?: (ReferenceStage | null)
/**
 * How far it is from each stage, start to end: 1 is as far as references of one stage are from each other.
 */
distances: number[]
/**
 * CIEDE2000 to the mean colour of each stage.
 */
colour_distances: number[]
/**
 * How many references it was compared with.
 */
references: number
}
/**
 * A recording of motion, position or sound.
 */
export interface Recording {
id: Label
sha256: Sha256
what: Line
}
/**
 * Something that was not inspected, and why.
 */
export interface Omission {
what: Line
why: Line
}
/**
 * A question that was asked before or during the visit.
 */
export interface Question {
asked_by: Line
question: Note
/**
 * What was answered, and by whom.
 */
answer?: (Note | null)
}
/**
 * The buyer's own distance and time, and what is asked for the car.
 */
export interface UseAhead {
yearly: Odometer
/**
 * How many years the car is to be kept.
 */
years: number
/**
 * What is asked for the car.
 */
asking_price?: (AskingPrice | null)
}
/**
 * How a car's parts wore from visit to visit.
 */
export interface VisitsView {
/**
 * The visits, the earliest first.
 */
visits: VisitView[]
}
/**
 * What one visit came to.
 */
export interface VisitView {
/**
 * Its inspection.
 */
id: string
/**
 * When it was.
 */
visited_at: string
/**
 * The odometer, in km.
 */
km?: (number | null)
corners: PerCorner5
}
/**
 * Something for each corner.
 */
export interface PerCorner5 {
front_left: VisitCorner
front_right: VisitCorner
rear_left: VisitCorner
rear_right: VisitCorner
}
/**
 * The wear of a corner's parts at a visit, each the worst of its kind.
 */
export interface VisitCorner {
/**
 * The disc: its bulk or a face.
 */
disc?: (WearRange | null)
/**
 * The pads.
 */
pads?: (WearRange | null)
}
/**
 * A wear as a share of the way to the mark.
 */
export interface WearRange {
/**
 * The best value.
 */
value: number
/**
 * Low end of the 95 % interval.
 */
low: number
/**
 * High end of the 95 % interval.
 */
high: number
}
/**
 * A sealed report.
 */
export interface ReportView {
/**
 * Its identity.
 */
identity: string
/**
 * The inspection; null for a condition statement.
 */
inspection?: (string | null)
/**
 * A name for its file.
 */
file_name: string
/**
 * The record's digest, whole.
 */
record: string
/**
 * The record's digest as the pages print it.
 */
record_short: string
/**
 * Who signed.
 */
signed_by: string
/**
 * The root's fingerprint.
 */
root_fingerprint: string
/**
 * When it was sealed.
 */
sealed_at: string
/**
 * Bytes.
 */
bytes: number
/**
 * Pages.
 */
pages: number
/**
 * The firm's log has given its receipt, which is in the file.
 */
is_receipted: boolean
/**
 * The office has it.
 */
is_told: boolean
/**
 * It was withdrawn or superseded here: whether the office knows.
 */
withdrawn?: (WithdrawnView | null)
}
/**
 * A report that was taken back on this device.
 */
export interface WithdrawnView {
/**
 * Why.
 */
reason: string
/**
 * The report that stands in its place.
 */
superseded_by?: (string | null)
/**
 * The office knows, and says so to whoever looks.
 */
is_told: boolean
}
/**
 * Sealed reports.
 */
export interface ReportList {
/**
 * Newest first.
 */
reports: ReportView[]
}
/**
 * What was found out about a file. Only this crate makes one.
 */
export interface Verdict {
headline: Headline
/**
 * The headline in words.
 */
title: string
/**
 * What decided it, in a sentence.
 */
because: string
/**
 * What the headline means and what it does not.
 */
meaning: string
/**
 * What to do next.
 */
next: string
questions: Questions
/**
 * Who signed, as far as the file names somebody whose signature fits.
 */
signed_by?: (SignedBy | null)
/**
 * Whose root vouches.
 */
root?: (Root | null)
/**
 * Which report it is.
 */
report?: (Identified | null)
/**
 * Who says what, where the file is a condition statement: the sentence of a dealer's statement. Absent for a report.
 */
states?: (string | null)
/**
 * The verdict on the report that a condition statement rests on.
 */
rests_on?: (Verdict | null)
details: Details
}
/**
 * The four questions with their answers.
 */
export interface Questions {
unchanged: Answer2
whose: Answer2
since_when: Answer2
still_stands: Answer2
}
/**
 * Who signed, by the certificate inside the signature.
 */
export interface SignedBy {
/**
 * The person.
 */
name: string
/**
 * The firm.
 */
organization: string
/**
 * What the person may do.
 */
role?: (string | null)
/**
 * SHA-256 over the key, in groups of four digits.
 */
fingerprint: string
}
/**
 * The root that vouches for the signer.
 */
export interface Root {
/**
 * Its name.
 */
name: string
/**
 * SHA-256 over its key, in groups of four digits: to be compared with what the firm says of itself.
 */
fingerprint: string
/**
 * Whether the reader brought this root along.
 */
given_by_reader: boolean
}
/**
 * Which report it is. Present only when the signature fits the file.
 */
export interface Identified {
/**
 * SHA-256 over the signed bytes.
 */
identity: string
/**
 * SHA-256 over the record inside, as it stands on each page.
 */
record: string
/**
 * The record's digest as the pages print it: its first 80 bits in five groups.
 */
record_short: string
/**
 * When it was signed by the signer's own clock; proves nothing.
 */
claimed_time?: (string | null)
}
/**
 * What else there is to know, for programs and for the curious.
 */
export interface Details {
indication: Indication
/**
 * The version of the pages' form, as the record says.
 */
renderer?: (number | null)
/**
 * The version of the reckoning's method, as the record says.
 */
method?: (number | null)
/**
 * The record says that everything in it is invented, to show the program.
 */
demonstration?: (boolean | null)
/**
 * Evidence that was given and set aside, and why.
 */
remarks: Remark[]
}
/**
 * Main status and, where known, its reason.
 */
export interface Indication {
indication: MainIndication
/**
 * The reason, where the standard has a name for it.
 */
subindication?: (string | null)
}
/**
 * Something that does not change the headline and that a reader should know.
 */
export interface Remark {
/**
 * A stable code in kebab case.
 */
code: string
/**
 * A sentence.
 */
reason: string
}
/**
 * The keys of this device.
 */
export interface KeysView {
/**
 * None where there are none yet.
 */
keys?: (Keys | null)
}
/**
 * A firm's keys as this device has them.
 */
export interface Keys {
/**
 * The firm.
 */
firm: string
/**
 * Who signs on this device.
 */
inspector: string
/**
 * The root's fingerprint in hexadecimal groups.
 */
root_fingerprint: string
/**
 * The beginning of the root's fingerprint in eight words, to be read out.
 */
root_words: string
/**
 * The inspector's own key's fingerprint.
 */
fingerprint: string
/**
 * The root's certificate in PEM, for readers.
 */
root_pem: string
/**
 * Until when the inspector's certificate is valid.
 */
valid_until: string
/**
 * The firm's issuer is elsewhere: another key is asked for at the office.
 */
by_office: boolean
}
/**
 * A QR code.
 */
export interface CodeView {
/**
 * Modules along a side, without the quiet zone.
 */
side: number
/**
 * The dark modules as SVG writes an outline, one module being one unit.
 */
d: string
}
/**
 * What was taken in from another notebook.
 */
export interface Imported {
/**
 * Entries that were new.
 */
entries: number
/**
 * Photographs that were new.
 */
photographs: number
/**
 * New recordings.
 */
recordings: number
}
/**
 * What a device has to do with an office.
 */
export interface OfficeView {
/**
 * The firm whose office lets this device in; null where none does.
 */
firm?: (string | null)
/**
 * Its address, where the pages do not come from it: scheme, host and port.
 */
address?: (string | null)
/**
 * What it lets this device do: `Inspector`, `Dealer` or `Office`.
 */
role?: (string | null)
/**
 * The firm's root, as the office showed it when it let this device in.
 */
root?: (OfficeRoot | null)
/**
 * The certificate that this device asked for and has not got yet.
 */
asked?: (AskedView | null)
/**
 * Entries that the office does not have yet.
 */
entries: number
/**
 * Photographs and recordings that it has asked for and not got yet.
 */
blobs: number
/**
 * Sealed reports that it does not have yet.
 */
reports: number
/**
 * Those that this device lacks and fetches.
 */
awaited: number
/**
 * Those that it leaves at the office until somebody asks.
 */
left: number
/**
 * It fetches all that colleagues took, as it comes.
 */
fetches_all: boolean
/**
 * How much of what the office took this device has seen.
 */
seen: number
/**
 * When all was told last, by this device's clock.
 */
told_at?: (string | null)
}
/**
 * A firm's root as a person compares it.
 */
export interface OfficeRoot {
/**
 * The firm.
 */
firm: string
/**
 * Its fingerprint in hexadecimal groups.
 */
fingerprint: string
/**
 * Its beginning in eight words, to be read out.
 */
words: string
}
/**
 * A certificate that was asked for.
 */
export interface AskedView {
/**
 * For whom.
 */
name: string
/**
 * In which role.
 */
role: string
/**
 * The key's fingerprint in hexadecimal groups.
 */
fingerprint: string
/**
 * Its beginning in eight words: the office sees the same, or the key is another one.
 */
words: string
}
/**
 * A header of a request.
 */
export interface OfficeHeader {
/**
 * Its name.
 */
name: string
/**
 * What it says.
 */
value: string
}
/**
 * What of an inspection is at the office and not on this device.
 */
export interface LeftView {
/**
 * Photographs and recordings that stay there until somebody asks.
 */
left: number
/**
 * Those that are on their way here.
 */
awaited: number
}
/**
 * A link that was made. Its secret is told this once.
 */
export interface LinkMade {
/**
 * Its number among the firm's.
 */
number: number
/**
 * What makes it a link.
 */
secret: string
/**
 * Until when it shows something.
 */
until: string
}
/**
 * A link.
 */
export interface LinkView {
/**
 * Its number among the firm's.
 */
number: number
/**
 * `report:` and an identity, or `letter:` and a number.
 */
shows: string
/**
 * For whom.
 */
label: string
/**
 * Since when.
 */
made_at: string
/**
 * Until when.
 */
until: string
/**
 * When it was closed.
 */
closed_at?: (string | null)
/**
 * How often it was opened.
 */
opened: number
/**
 * When last.
 */
opened_at?: (string | null)
}
/**
 * A letter that is at the office.
 */
export interface LetterKept {
/**
 * Its number among the firm's.
 */
number: number
}
/**
 * A letter with what was replied, as it came.
 */
export interface LetterRead {
letter: LetterSent
/**
 * When it came to the office.
 */
written_at: string
/**
 * The replies, the oldest first.
 */
replies: ReplyRead[]
}
/**
 * A letter as whoever has its link sees it.
 */
export interface LetterSent {
request: LetterRequest
/**
 * The letter in words.
 */
text: string
}
/**
 * A reply as it came.
 */
export interface ReplyRead {
/**
 * In the form `rimside.reply/1`, if whoever replied kept to it.
 */
reply: unknown
/**
 * When.
 */
at: string
}
/**
 * A device of the firm.
 */
export interface DeviceView {
/**
 * Its name, as its notebook has it.
 */
device: string
/**
 * What the office calls it.
 */
label: string
/**
 * What it may do.
 */
role: string
/**
 * Since when it is in.
 */
since: string
/**
 * When it was shut out.
 */
shut_out?: (string | null)
/**
 * What it asked to be certified as.
 */
certificate?: (DeviceCertificate | null)
/**
 * Entries that came under names which other entries have: a copy of its notebook was put back and written in.
 */
forks: number
}
/**
 * What a device asked to be certified as.
 */
export interface DeviceCertificate {
/**
 * Who.
 */
name?: (string | null)
/**
 * As what.
 */
role?: (string | null)
/**
 * SHA-256 of the key, in hexadecimal.
 */
fingerprint?: (string | null)
/**
 * When.
 */
asked_at: string
/**
 * When it was given.
 */
given_at?: (string | null)
}
/**
 * A code that lets a device in once.
 */
export interface CodeMade {
/**
 * To be read out.
 */
code: string
/**
 * How long it is good.
 */
minutes: number
}
/**
 * A letter or a checked reply, as text and as pages.
 */
export interface LetterView {
/**
 * As plain text.
 */
text: string
/**
 * As a PDF, base64.
 */
pdf: string
/**
 * The letter's questions in their order.
 */
questions: AskedQuestion[]
}
/**
 * A question of a letter.
 */
export interface AskedQuestion {
about: QuestionAbout
/**
 * As it is asked of this car.
 */
text: string
}
