//! What a page is answered.

use model::{Inspection, Label, PerCorner, Reckoning};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{AskedView, OfficeRoot};

/// What this notebook is.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NotebookView {
    /// The device's name.
    pub device: String,
    /// How many entries it holds.
    pub entries: u64,
    /// How many photographs.
    pub photographs: u64,
    /// What became of a damaged notebook when this one was opened; null where there was none.
    pub mended: Option<MendedView>,
}

/// What became of a damaged notebook.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct MendedView {
    /// Entries that are here.
    pub entries: u64,
    /// Photographs that are here.
    pub photographs: u64,
    /// Sealed reports that are here.
    pub reports: u64,
    /// What could not be read, in words.
    pub lost: Vec<String>,
    /// The name of the damaged notebook's file, which was left as it was.
    pub kept_as: String,
}

/// What a slice of the look through the notebook found.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LookedView {
    /// What is not as it was written, in words.
    pub problems: Vec<String>,
    /// Where to go on; null when all was looked at.
    pub next: Option<String>,
}

/// Inspections in a list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct InspectionList {
    /// Newest first.
    pub inspections: Vec<InspectionLine>,
}

/// One inspection in a list.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct InspectionLine {
    /// Its name.
    pub id: String,
    /// As far as known.
    pub vin: Option<String>,
    /// As far as known.
    pub registration: Option<String>,
    /// As far as known.
    pub description: Option<String>,
    /// As far as known.
    pub place: Option<String>,
    /// When the visit began.
    pub visited_at: Option<String>,
    /// When something was last written.
    pub changed_at: String,
    /// How many reports of it were sealed.
    pub sealed: u32,
    /// Whether what it held was erased.
    pub erased: bool,
}

/// An inspection as it stands.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct DraftView {
    /// Its name.
    pub id: String,
    /// The fields that have a value, by path.
    pub fields: std::collections::BTreeMap<String, Value>,
    /// What the labels end in that this device gives to the things of a list: no other device gives the same.
    pub label_ending: String,
    /// When each field was written last, by path.
    pub written: std::collections::BTreeMap<String, String>,
    /// Fields with several values; sealing waits for them.
    pub conflicts: Vec<Conflict>,
    /// What is still to be done before it can be sealed.
    pub missing: Vec<Missing>,
    /// What contradicts itself, as a record's reader would say.
    pub problems: Vec<Missing>,
    /// What the findings so far come to. None where they contradict themselves.
    pub preview: Option<Preview>,
    /// Whether the last change can be taken back.
    pub can_undo: bool,
    /// Whether what was taken back can be made again.
    pub can_redo: bool,
    /// Earlier inspections of the same car in this notebook.
    pub earlier: Vec<InspectionLine>,
}

/// How a car's parts wore from visit to visit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct VisitsView {
    /// The visits, the earliest first.
    pub visits: Vec<VisitView>,
}

/// What one visit came to.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct VisitView {
    /// Its inspection.
    pub id: String,
    /// When it was.
    pub visited_at: String,
    /// The odometer, in km.
    pub km: Option<f64>,
    /// Corner by corner.
    pub corners: PerCorner<VisitCorner>,
}

/// The wear of a corner's parts at a visit, each the worst of its kind.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct VisitCorner {
    /// The disc: its bulk or a face.
    pub disc: Option<WearRange>,
    /// The pads.
    pub pads: Option<WearRange>,
}

/// A wear as a share of the way to the mark.
#[derive(Debug, Clone, Copy, Serialize, JsonSchema)]
pub struct WearRange {
    /// The best value.
    pub value: f64,
    /// Low end of the 95 % interval.
    pub low: f64,
    /// High end of the 95 % interval.
    pub high: f64,
}

/// What the findings so far come to, short of distances and reasons.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Preview {
    /// Each corner's drawing.
    pub glyphs: PerCorner<GlyphView>,
    /// Reasons not to drive so far. Their absence is never a clearance.
    pub warnings: Vec<Warning>,
    /// The look that would settle the causes best.
    pub next_look: Option<String>,
}

/// A reason not to drive, or to have something seen to first.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Warning {
    /// Whether the car must not be driven.
    pub do_not_drive: bool,
    /// The sentence.
    pub text: String,
}

/// A corner's drawing: outlines for a screen, in radii of the ring from its centre, x to the right and y down.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct GlyphView {
    /// The corner, in words.
    pub title: String,
    /// What the drawing shows, in words.
    pub lines: Vec<String>,
    /// Left edge, top edge, width and height of the drawing.
    pub view: [f64; 4],
    /// The outlines, in the order in which they are drawn.
    pub outlines: Vec<Outline>,
    /// Small letters.
    pub letters: Vec<Letters>,
}

/// An outline, as SVG writes it (SVG 2, 9.3).
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Outline {
    /// Its steps.
    pub d: String,
    /// Whether it is filled.
    pub filled: bool,
    /// Width of its line; 0 for none.
    pub width: f64,
    /// Length of a dash and of the gap after it; 0 for an unbroken line.
    pub dash: f64,
    /// Whether the ends of its lines are round: dots are lines without length.
    pub round: bool,
}

/// Letters centred on a point of their baseline.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Letters {
    /// The middle of the baseline.
    pub x: f64,
    /// The baseline.
    pub y: f64,
    /// Their size.
    pub size: f64,
    /// The letters.
    pub text: String,
}

/// A field that two devices wrote without knowing of each other.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Conflict {
    /// The field.
    pub path: String,
    /// Who says what.
    pub claimants: Vec<Claimant>,
}

/// One of several values of a field.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Claimant {
    /// The entry, to be named when it is chosen.
    pub entry: String,
    /// What it says.
    pub value: Value,
    /// Who wrote it.
    pub author: String,
    /// On which device.
    pub device: String,
    /// When, by that device's clock.
    pub written_at: String,
}

/// Something that is still to be done or does not fit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Missing {
    /// The field, or the part of the inspection.
    pub path: String,
    /// What, in words.
    pub message: String,
}

/// A photograph that was taken in.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PhotographStored {
    /// Its name inside the inspection.
    pub label: Label,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// What is wrong with it as a picture, in words; empty when nothing is.
    pub remarks: Vec<String>,
    /// The inspection with it.
    pub draft: DraftView,
}

/// What speaks against a picture.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Looked {
    /// Each in words, with what to do; empty when nothing does.
    pub flaws: Vec<FlawView>,
}

/// One thing that speaks against a picture.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FlawView {
    /// Whether it is that the picture has few pixels, as the frames of a live view have.
    pub is_small: bool,
    /// What, and what to do.
    pub words: String,
}

/// What an inspection comes to.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReckoningView {
    /// What it comes to.
    pub reckoning: Reckoning,
    /// What it was reckoned from; parts that were not looked at yet say so.
    pub inspection: Inspection,
}

/// A sealed report.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReportView {
    /// Its identity.
    pub identity: String,
    /// The inspection; null for a condition statement.
    pub inspection: Option<String>,
    /// A name for its file.
    pub file_name: String,
    /// The record's digest, whole.
    pub record: String,
    /// The record's digest as the pages print it.
    pub record_short: String,
    /// Who signed.
    pub signed_by: String,
    /// The root's fingerprint.
    pub root_fingerprint: String,
    /// When it was sealed.
    pub sealed_at: String,
    /// Bytes.
    pub bytes: u64,
    /// Pages.
    pub pages: u32,
    /// The firm's log has given its receipt, which is in the file.
    pub is_receipted: bool,
    /// The office has it.
    pub is_told: bool,
    /// It was withdrawn or superseded here: whether the office knows.
    pub withdrawn: Option<WithdrawnView>,
}

/// A report that was taken back on this device.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct WithdrawnView {
    /// Why.
    pub reason: String,
    /// The report that stands in its place.
    pub superseded_by: Option<String>,
    /// The office knows, and says so to whoever looks.
    pub is_told: bool,
}

/// What a device has to do with an office.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OfficeView {
    /// The firm whose office lets this device in; null where none does.
    pub firm: Option<String>,
    /// Its address, where the pages do not come from it: scheme, host and port.
    pub address: Option<String>,
    /// What it lets this device do: `Inspector`, `Dealer` or `Office`.
    pub role: Option<String>,
    /// The firm's root, as the office showed it when it let this device in.
    pub root: Option<OfficeRoot>,
    /// The certificate that this device asked for and has not got yet.
    pub asked: Option<AskedView>,
    /// Entries that the office does not have yet.
    pub entries: u64,
    /// Photographs and recordings that it has asked for and not got yet.
    pub blobs: usize,
    /// Sealed reports that it does not have yet.
    pub reports: usize,
    /// Those that this device lacks and fetches.
    pub awaited: usize,
    /// Those that it leaves at the office until somebody asks.
    pub left: usize,
    /// It fetches all that colleagues took, as it comes.
    pub fetches_all: bool,
    /// How much of what the office took this device has seen.
    pub seen: u64,
    /// When all was told last, by this device's clock.
    pub told_at: Option<model::Timestamp>,
}

/// What of an inspection is at the office and not on this device.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LeftView {
    /// Photographs and recordings that stay there until somebody asks.
    pub left: usize,
    /// Those that are on their way here.
    pub awaited: usize,
}

/// What to do next so that device and office have the same.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(tag = "step", rename_all = "snake_case")]
pub enum OfficeNext {
    /// Make this request, with the bytes that go with this as its body.
    Ask {
        /// The office's address, where the pages do not come from it.
        address: Option<String>,
        /// `GET`, `PUT`, `POST` or `DELETE`.
        method: String,
        /// Below the office's address.
        path: String,
        /// What goes before the body.
        headers: Vec<OfficeHeader>,
    },
    /// Wait, then ask again.
    Wait {
        /// So long.
        ms: u64,
    },
    /// All is told.
    Done,
    /// A person has to look.
    Halt {
        /// Why.
        words: String,
    },
}

/// A header of a request.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OfficeHeader {
    /// Its name.
    pub name: &'static str,
    /// What it says.
    pub value: String,
}

/// Sealed reports.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ReportList {
    /// Newest first.
    pub reports: Vec<ReportView>,
}

/// The keys of this device.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct KeysView {
    /// None where there are none yet.
    pub keys: Option<Keys>,
}

/// A firm's keys as this device has them.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Keys {
    /// The firm.
    pub firm: String,
    /// Who signs on this device.
    pub inspector: String,
    /// The root's fingerprint in hexadecimal groups.
    pub root_fingerprint: String,
    /// The beginning of the root's fingerprint in eight words, to be read out.
    pub root_words: String,
    /// The inspector's own key's fingerprint.
    pub fingerprint: String,
    /// The root's certificate in PEM, for readers.
    pub root_pem: String,
    /// Until when the inspector's certificate is valid.
    pub valid_until: String,
    /// The firm's issuer is elsewhere: another key is asked for at the office.
    pub by_office: bool,
}

/// A QR code.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CodeView {
    /// Modules along a side, without the quiet zone.
    pub side: u32,
    /// The dark modules as SVG writes an outline, one module being one unit.
    pub d: String,
}

/// What was taken in from another notebook.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Imported {
    /// Entries that were new.
    pub entries: u64,
    /// Photographs that were new.
    pub photographs: u64,
    /// New recordings.
    pub recordings: u64,
}

/// What a person likes.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// `day`, `night`, or as the device has it.
    pub theme: Theme,
    /// What new odometer figures are counted in.
    pub distance: model::OdometerUnit,
    /// The currency of new price lists (ISO 4217).
    pub currency: String,
    /// What stands in new inspections about the inspector.
    pub inspector: Option<model::Inspector>,
    /// The price list that new inspections begin with.
    pub prices: Option<model::PriceBasis>,
}

/// How the screens look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Theme {
    /// As the device has it.
    Device,
    /// Dark on light.
    Day,
    /// Light on dark.
    Night,
}

/// A letter or a checked reply, as text and as pages.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LetterView {
    /// As plain text.
    pub text: String,
    /// As a PDF, base64.
    pub pdf: String,
    /// The letter's questions in their order.
    pub questions: Vec<AskedQuestion>,
}

/// A question of a letter.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AskedQuestion {
    /// What it is about.
    pub about: model::QuestionAbout,
    /// As it is asked of this car.
    pub text: String,
}
