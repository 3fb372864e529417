//! Recordings of a road test: they grow piece by piece, end with their digest, and are measured.

use model::{Axle, Label, MeasuredDrive, Timestamp, TyreSize};
use notebook::{Draft, Kept, Notebook};
use serde_json::{Value, json};

use super::{
    Door, DriveMeasured, RecordingBegun, RecordingEnded, RecordingKind, RecordingList, RunningRecording, ToldView,
    draft, error::DoorError,
};
use crate::recording::{AnalyseRecordingError, Gathered, describe, tell_figures};

/// How a growing recording is marked in the notebook.
struct Mark {
    kind: RecordingKind,
    rate_hz: u32,
}

impl Mark {
    fn write(&self) -> String {
        format!("{}:{}", self.kind.name(), self.rate_hz)
    }

    fn read(kind: &str) -> Option<Self> {
        let (name, rate) = kind.split_once(':')?;
        Some(Self { kind: RecordingKind::named(name)?, rate_hz: rate.parse().ok()? })
    }
}

pub(super) fn begin(
    door: &Door,
    inspection: &str,
    kind: RecordingKind,
    rate_hz: u32,
    at: Timestamp,
) -> Result<RecordingBegun, DoorError> {
    let id = draft::name(inspection)?;
    let mark = Mark { kind, rate_hz };
    if kind == RecordingKind::Sound && !road_test::RATES_HZ.contains(&rate_hz) {
        return Err(DoorError::Unfit(format!(
            "got a sound of {rate_hz} Hz, expected {} to {} Hz",
            road_test::RATES_HZ.start(),
            road_test::RATES_HZ.end()
        )));
    }
    Ok(RecordingBegun { recording: door.book().begin_recording(&id, &mark.write(), &at)? })
}

pub(super) fn running(book: &Notebook, inspection: &str) -> Result<RecordingList, DoorError> {
    let kept = book.recordings_of(inspection)?.into_iter().filter(|kept| kept.sha256.is_none());
    let view = |kept: Kept| {
        let kind = Mark::read(&kept.kind)?.kind;
        Some(RunningRecording { recording: kept.id, kind, begun_at: kept.begun_at, bytes: kept.length })
    };
    Ok(RecordingList { running: kept.filter_map(view).collect() })
}

/// Ends a recording: its beginning is put before what was recorded, and it stands in the inspection.
pub(super) fn end(door: &Door, inspection: &str, recording: i64) -> Result<RecordingEnded, DoorError> {
    let known = door.book().recordings_of(inspection)?;
    let kept = known.into_iter().find(|kept| kept.id == recording && kept.sha256.is_none());
    let kept = kept.ok_or_else(|| DoorError::Unfit("there is no such recording that is running".to_owned()))?;
    let mark = Mark::read(&kept.kind).ok_or_else(|| DoorError::Unfit(format!("a recording of kind {}", kept.kind)))?;
    if kept.length == 0 {
        door.book().drop_recording(recording)?;
        return Err(DoorError::Unfit(format!("the {} gave nothing, and was dropped", mark.kind.words())));
    }
    let first = match mark.kind {
        RecordingKind::Motion => b"time_s,ax_m_s2,ay_m_s2,az_m_s2\n".to_vec(),
        RecordingKind::Position => b"time_s,latitude,longitude,speed_m_s\n".to_vec(),
        RecordingKind::Sound => road_test::wav_header(mark.rate_hz, kept.length).to_vec(),
    };
    let sha256 = door.book().end_recording(recording, &first)?;
    let what = format!("{}, recorded in the app from {}", mark.kind.words(), kept.begun_at);
    note(door, inspection, sha256, &what)
}

/// Takes in a recording from elsewhere: it has to be one that can be read.
pub(super) fn take_in(door: &Door, inspection: &str, name: &str, bytes: &[u8]) -> Result<RecordingEnded, DoorError> {
    let id = draft::name(inspection)?;
    let is = Gathered::default().read(name, bytes)?;
    let at = door.now();
    let (sha256, _) = door.book().store_recording(&id, "file", &at, bytes)?;
    note(door, inspection, sha256, describe(is, name).as_str())
}

/// Writes the recording into the inspection, once.
fn note(door: &Door, inspection: &str, sha256: model::Sha256, what: &str) -> Result<RecordingEnded, DoorError> {
    let id = draft::name(inspection)?;
    let draft = door.book().draft(&id)?;
    let label = if let Some(known) = find_recording(&draft, &sha256.to_string()) {
        known
    } else {
        let label = draft::next_label(&draft, door.book().device(), "recordings.recording-");
        let stamp = door.stamp()?;
        door.book().write(&id, &format!("recordings.{label}"), json!({"sha256": sha256, "what": what}), stamp)?;
        label
    };
    Ok(RecordingEnded { label, draft: draft::view(&door.book(), inspection)? })
}

fn find_recording(draft: &Draft, sha256: &str) -> Option<Label> {
    let all = draft.values.iter().filter_map(|(path, value)| Some((path.strip_prefix("recordings.")?, value)));
    all.filter(|(_, value)| value["sha256"] == *sha256).find_map(|(label, _)| label.parse().ok())
}

/// Measures a drive from these recordings and writes what they show into the road test. Measured again, it takes the place
/// of what was found before.
pub(super) fn measure(door: &Door, inspection: &str, labels: &[Label]) -> Result<DriveMeasured, DoorError> {
    let id = draft::name(inspection)?;
    let draft = door.book().draft(&id)?;
    let mut gathered = Gathered::default();
    {
        let book = door.book();
        for label in labels {
            let sha256 = draft.values.get(&format!("recordings.{label}")).and_then(|value| value["sha256"].as_str());
            let sha256 = sha256.ok_or_else(|| DoorError::Unfit(format!("the inspection has no recording {label}")))?;
            gathered.read(label.as_str(), book.recording(sha256)?)?;
        }
    }
    let tyre = |axle: Axle| -> Option<TyreSize> {
        let field = format!("car.brakes.{}.tyre", axle.words());
        serde_json::from_value(draft.values.get(&field)?.clone()).ok()
    };
    let measured = gathered.measure([tyre(Axle::Front), tyre(Axle::Rear)], None)?;
    let measured = MeasuredDrive { recordings: labels.to_vec(), ..measured };
    let same = draft.values.iter().find(|(path, value)| {
        path.starts_with("road_test.drives.") && value["recordings"] == json!(measured.recordings)
    });
    let label = match same {
        Some((path, _)) => path.trim_start_matches("road_test.drives.").to_owned(),
        None => draft::next_label(&draft, door.book().device(), "road_test.drives.drive-").to_string(),
    };
    let value = serde_json::to_value(&measured).map_err(DoorError::Answer)?;
    let stamp = door.stamp()?;
    door.book().write(&id, &format!("road_test.drives.{label}"), value, stamp)?;
    Ok(DriveMeasured { drive: label, draft: draft::view(&door.book(), inspection)? })
}

/// A measured drive in words and as a drawing.
pub(super) fn show(book: &Notebook, inspection: &str, drive: &str) -> Result<(ToldView, Vec<u8>), DoorError> {
    let draft = book.draft(&draft::name(inspection)?)?;
    let value = draft.values.get(&format!("road_test.drives.{drive}")).cloned().unwrap_or(Value::Null);
    let drive: MeasuredDrive = serde_json::from_value(value)
        .map_err(|_| DoorError::Unfit(format!("the inspection has no measured drive {drive}")))?;
    Ok((ToldView { lines: tell_figures(&drive) }, report::draw_drive(&drive).into_bytes()))
}

impl From<AnalyseRecordingError> for DoorError {
    fn from(error: AnalyseRecordingError) -> Self {
        Self::Recording(Box::new(error))
    }
}
