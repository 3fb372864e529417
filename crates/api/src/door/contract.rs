//! What a page and the core say to each other. The page's types are generated from these.

use model::{Inspection, Label, PerCorner, PhotographSubject, PhotographTaken, Reckoning, Timestamp};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What a page asks for. Bytes that go with it (a photograph, a report) travel beside it.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(tag = "op", rename_all = "snake_case", deny_unknown_fields)]
pub enum Request {
    /// What this notebook is. Answers [`NotebookView`].
    Notebook {},
    /// Looks a slice of the notebook through. Answers [`LookedView`].
    LookThrough {
        /// Where the slice before said to go on; null for the first one.
        after: Option<String>,
    },
    /// The inspections, newest first, that have this in VIN, registration, description or place. Answers
    /// [`InspectionList`].
    List {
        /// Empty for all.
        search: String,
    },
    /// A new inspection of a car. Earlier visits of the same car come along. Answers [`DraftView`].
    Begin {
        /// As read on the car.
        vin: Option<String>,
        /// As read on the plate.
        registration: Option<String>,
        /// When the visit begins, in the place's own offset.
        at: Timestamp,
    },
    /// An inspection as it stands. Answers [`DraftView`].
    Read {
        /// Which.
        inspection: String,
    },
    /// Writes a field; `null` takes its value away. Answers [`DraftView`].
    Write {
        /// Of which inspection.
        inspection: String,
        /// The field, as in `corners.front_left.outer_face.touch`.
        path: String,
        /// Its value, in the form that a record has for it.
        value: Value,
    },
    /// Takes back the latest change that was made on this device and not taken back yet. Answers [`DraftView`].
    Undo {
        /// Of which inspection.
        inspection: String,
    },
    /// Makes again what was taken back last. Answers [`DraftView`].
    Redo {
        /// Of which inspection.
        inspection: String,
    },
    /// Settles a conflict: the value that this entry wrote counts. Answers [`DraftView`].
    Settle {
        /// Of which inspection.
        inspection: String,
        /// The field.
        path: String,
        /// The entry, as [`Claimant::entry`] names it.
        entry: String,
    },
    /// Takes in a photograph, whose bytes go with this. Answers [`PhotographStored`].
    Photograph {
        /// Of which inspection.
        inspection: String,
        /// What it shows.
        subject: PhotographSubject,
        /// How it came here.
        taken: PhotographTaken,
        /// When it was taken; else as the file says.
        taken_at: Option<Timestamp>,
    },
    /// What speaks against a picture, whose bytes go with this, before it is taken in. Answers [`Looked`].
    Look {},
    /// The bytes of a photograph. Answers bytes, a JPEG.
    Picture {
        /// The original's SHA-256.
        sha256: String,
        /// Small, to be listed; else as it was taken.
        small: bool,
    },
    /// What the inspection comes to, with every draw. Answers [`ReckoningView`].
    Reckon {
        /// Which.
        inspection: String,
    },
    /// Seals an inspection. Tells how far it is. Answers [`ReportView`].
    Seal {
        /// Which.
        inspection: String,
        /// Opens the inspector's key.
        passphrase: String,
    },
    /// The sealed reports, newest first. Answers [`ReportList`].
    Reports {},
    /// A sealed report. Answers bytes, a PDF.
    Report {
        /// Its identity.
        identity: String,
    },
    /// Checks a report, whose bytes go with this, against this notebook's own root and the given ones. Answers a
    /// [`verify::Verdict`].
    Verify {
        /// Certificates in PEM that the reader has compared with the firm.
        roots: Vec<String>,
    },
    /// The keys of this device. Answers [`KeysView`].
    Keys {},
    /// Makes a firm of one with its inspector's key. Answers [`KeysView`].
    MakeKeys {
        /// The firm's name.
        firm: String,
        /// The inspector's.
        inspector: String,
        /// Locks the keys.
        passphrase: String,
    },
    /// A new key for the same inspector under the same root. Answers [`KeysView`].
    ChangeKey {
        /// Opens the firm's key, and locks the new one.
        passphrase: String,
    },
    /// A text as a square code (ISO/IEC 18004). Answers [`CodeView`].
    Code {
        /// At most some hundred letters.
        text: String,
    },
    /// The keys as they rest, still locked, to be kept elsewhere. Answers bytes, a ZIP file.
    BackUpKeys {},
    /// Everything in the notebook in open forms. Answers bytes, a ZIP file.
    Export {},
    /// Takes in what another notebook gave out; the bytes go with this. Answers [`Imported`].
    Import {},
    /// Erases what is known of a client in one inspection; the chain of entries stays provable. Answers
    /// [`InspectionList`].
    Erase {
        /// Which inspection.
        inspection: String,
    },
    /// Answers [`Settings`].
    Settings {},
    /// Keeps the settings. Answers [`Settings`].
    Set {
        /// All of them.
        settings: Settings,
    },
    /// A letter of questions to a seller. Answers [`LetterView`].
    Letter {
        /// In the form `rimside.letter/1`.
        #[schemars(with = "model::LetterRequest")]
        letter: Value,
    },
    /// A seller's reply, held against its letter. Answers [`LetterView`].
    Reply {
        /// In the form `rimside.letter/1`.
        #[schemars(with = "model::LetterRequest")]
        letter: Value,
        /// In the form `rimside.reply/1`.
        #[schemars(with = "model::Reply")]
        reply: Value,
    },
}

/// What this notebook is.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NotebookView {
    /// The device's name.
    pub device: String,
    /// How many entries it holds.
    pub entries: u64,
    /// How many photographs.
    pub photographs: u64,
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
    /// The inspection.
    pub inspection: String,
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
}

/// A square code.
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
}

/// What each request is answered, by its name.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
#[expect(dead_code, reason = "only its schema is used: the pages' types come from it")]
pub(super) struct Answers {
    notebook: NotebookView,
    look_through: LookedView,
    list: InspectionList,
    begin: DraftView,
    read: DraftView,
    write: DraftView,
    undo: DraftView,
    redo: DraftView,
    settle: DraftView,
    photograph: PhotographStored,
    look: Looked,
    picture: (),
    reckon: ReckoningView,
    seal: ReportView,
    reports: ReportList,
    report: (),
    verify: verify::Verdict,
    keys: KeysView,
    make_keys: KeysView,
    change_key: KeysView,
    code: CodeView,
    back_up_keys: (),
    export: (),
    import: Imported,
    erase: InspectionList,
    settings: Settings,
    set: Settings,
    letter: LetterView,
    reply: LetterView,
}
