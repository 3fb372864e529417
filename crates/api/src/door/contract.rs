//! What a page and the core say to each other. The page's types are generated from these.

mod measured;
mod office;
mod view;

pub use measured::*;
pub use office::*;
pub use view::*;

use model::{DiscMark, Label, PhotographSubject, PhotographTaken, ReferenceStage, Timestamp};
use schemars::JsonSchema;
use serde::Deserialize;
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
    /// Brings what can be read of a damaged notebook over into a new one; the damaged one is kept as it is. Answers
    /// [`MendedView`].
    Mend {},
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
    /// Whether the report says where a photograph was taken, as its file says; it does not unless asked. Answers
    /// [`DraftView`].
    StatePlace {
        /// Of which inspection.
        inspection: String,
        /// Which photograph.
        photograph: String,
        /// It does, or it does not.
        state: bool,
    },
    /// What speaks against a picture, whose bytes go with this, before it is taken in. Answers [`Looked`].
    Look {},
    /// Begins a recording of the road test, which grows by pieces. Answers [`RecordingBegun`].
    BeginRecording {
        /// Of which inspection.
        inspection: String,
        /// What is recorded.
        kind: RecordingKind,
        /// Samples a second of a sound; 0 of anything else.
        rate_hz: u32,
        /// When it begins.
        at: Timestamp,
    },
    /// Adds the piece whose bytes go with this: of motion, lines of time in s and force in m/s² along x, y, z with commas
    /// between; of position, lines of time in s, latitude, longitude in degrees and speed in m/s, which may be empty; of a
    /// sound, samples of 16 bits, little-endian. Answers null.
    AddToRecording {
        /// As [`RecordingBegun`] named it.
        recording: i64,
        /// Its number, from 1; one that is sent twice is there once.
        nth: u32,
    },
    /// Ends a recording. Answers [`RecordingEnded`].
    EndRecording {
        /// Of which inspection.
        inspection: String,
        /// As [`RecordingBegun`] named it.
        recording: i64,
    },
    /// Throws a running recording away. Answers [`RecordingList`].
    DropRecording {
        /// Of which inspection.
        inspection: String,
        /// As [`RecordingBegun`] named it.
        recording: i64,
    },
    /// The recordings that were begun and not ended. Answers [`RecordingList`].
    RunningRecordings {
        /// Of which inspection.
        inspection: String,
    },
    /// Takes in a recording from elsewhere, whose bytes go with this. Answers [`RecordingEnded`].
    TakeInRecording {
        /// Of which inspection.
        inspection: String,
        /// The name of its file.
        name: String,
    },
    /// Measures a drive from its recordings and writes what they show into the road test. Answers [`DriveMeasured`].
    MeasureDrive {
        /// Of which inspection.
        inspection: String,
        /// The recordings, by the names that the inspection has for them.
        recordings: Vec<Label>,
    },
    /// A measured drive in words and as a drawing. Answers [`ToldView`] and bytes, an SVG.
    DriveDrawing {
        /// Of which inspection.
        inspection: String,
        /// Which, as [`DriveMeasured`] named it.
        drive: String,
    },
    /// Measures a face in its photograph and writes what it shows beside it. Answers [`DraftView`].
    MeasureFace {
        /// Of which inspection.
        inspection: String,
        /// Which photograph.
        photograph: String,
        /// Where the inspector marked the ring.
        mark: DiscMark,
    },
    /// What was measured in a photograph, in words. Answers [`ToldView`].
    FaceWords {
        /// Of which inspection.
        inspection: String,
        /// Which photograph.
        photograph: String,
    },
    /// The references that faces are compared with. Answers [`ReferencesView`].
    References {},
    /// Keeps a measured face as a reference. Answers [`ReferencesView`].
    KeepReference {
        /// Of which inspection.
        inspection: String,
        /// Which photograph.
        photograph: String,
        /// What it is known to show.
        stage: ReferenceStage,
    },
    /// Forgets a reference. Answers [`ReferencesView`].
    DropReference {
        /// The SHA-256 of its photograph.
        photograph: String,
    },
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
    /// How the car's parts wore from visit to visit, as far as this notebook has them. Answers [`VisitsView`].
    Visits {
        /// One of the visits.
        inspection: String,
    },
    /// Seals an inspection. Tells how far it is. Answers [`ReportView`].
    Seal {
        /// Which.
        inspection: String,
        /// Opens the inspector's key.
        passphrase: String,
    },
    /// Seals a dealer's condition statement as the person who has the keys; the report that it rests on goes with this.
    /// Answers [`ReportView`].
    State {
        /// What is stated.
        #[schemars(with = "model::StatementContent")]
        content: Value,
        /// Certificates in PEM to check the report with, beside this notebook's own root.
        roots: Vec<String>,
        /// Rest on a report that does not stand: page 1 says so.
        although_unsound: bool,
        /// Opens the person's key.
        passphrase: String,
    },
    /// What this device has to do with an office. Answers [`OfficeView`].
    Office {},
    /// How to ask an office to let this device in. Answers [`OfficeNext`] with bytes.
    AskToJoin {
        /// The code that the office made.
        code: String,
        /// Where it is, where the pages do not come from it: a host, an address, or the link that it shows with the code.
        #[serde(default)]
        address: Option<String>,
    },
    /// What the office answered to that; its bytes go with this. Answers [`OfficeView`].
    Join {
        /// The status of the answer.
        status: u16,
    },
    /// Forgets the office. What is here stays here, what is there stays there. Answers [`OfficeView`].
    LeaveOffice {},
    /// Which photographs and recordings of colleagues come to this device: all, or those of inspections for which somebody
    /// asks. Answers [`OfficeView`].
    FetchColleagues {
        /// All of them, as they come.
        all: bool,
    },
    /// What of an inspection is at the office and not here. Answers [`LeftView`].
    Left {
        /// The inspection's name.
        inspection: String,
    },
    /// Fetches that from now on. Answers [`OfficeView`].
    Fetch {
        /// The inspection's name.
        inspection: String,
    },
    /// What to ask the office next; `begin` starts from the beginning. Answers [`OfficeNext`] with bytes.
    OfficeNext {
        /// At the start of each round.
        begin: bool,
    },
    /// What came of it; the answer's bytes go with this. Answers [`OfficeView`].
    OfficeHeard {
        /// The status of the answer; null where none came.
        status: Option<u16>,
        /// Its header `Retry-After`, as it stands there.
        retry_after: Option<String>,
    },
    /// How to ask the office for something. Answers [`OfficeNext`] with bytes.
    OfficeAsk {
        /// What.
        errand: OfficeErrand,
    },
    /// What it answered; the answer's bytes go with this. Answers [`OfficeAnswer`].
    OfficeAnswered {
        /// What was asked.
        errand: OfficeErrand,
        /// The status of the answer.
        status: u16,
    },
    /// Makes a key for somebody, and says how to ask the office to have it certified. Answers [`OfficeNext`] with bytes.
    AskCertificate {
        /// Given and family name.
        name: String,
        /// `Inspector`, `Dealer` or `Office`.
        role: String,
        /// Locks the key.
        passphrase: String,
    },
    /// Signs that a report does not stand any more; the office is told when there is a signal. Answers [`ReportView`].
    Withdraw {
        /// Which, by its identity.
        identity: String,
        /// The report that stands in its place, by its identity.
        superseded_by: Option<String>,
        /// Why, for whoever relied on it.
        reason: String,
        /// Opens the person's key.
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
    /// A text as a QR code (ISO/IEC 18004). Answers [`CodeView`].
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

/// What each request is answered, by its name.
#[derive(JsonSchema)]
#[schemars(deny_unknown_fields)]
#[expect(dead_code, reason = "only its schema is used: the pages' types come from it")]
pub(super) struct Answers {
    notebook: NotebookView,
    look_through: LookedView,
    mend: MendedView,
    list: InspectionList,
    begin: DraftView,
    read: DraftView,
    write: DraftView,
    undo: DraftView,
    redo: DraftView,
    settle: DraftView,
    photograph: PhotographStored,
    begin_recording: RecordingBegun,
    add_to_recording: (),
    end_recording: RecordingEnded,
    drop_recording: RecordingList,
    running_recordings: RecordingList,
    take_in_recording: RecordingEnded,
    measure_drive: DriveMeasured,
    drive_drawing: ToldView,
    measure_face: DraftView,
    face_words: ToldView,
    references: ReferencesView,
    keep_reference: ReferencesView,
    drop_reference: ReferencesView,
    state_place: DraftView,
    look: Looked,
    picture: (),
    reckon: ReckoningView,
    visits: VisitsView,
    seal: ReportView,
    state: ReportView,
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
    office: OfficeView,
    ask_to_join: OfficeNext,
    join: OfficeView,
    leave_office: OfficeView,
    fetch_colleagues: OfficeView,
    left: LeftView,
    fetch: OfficeView,
    office_next: OfficeNext,
    office_heard: OfficeView,
    office_ask: OfficeNext,
    office_answered: OfficeAnswer,
    ask_certificate: OfficeNext,
    withdraw: ReportView,
    letter: LetterView,
    reply: LetterView,
}
