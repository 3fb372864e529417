//! What leaves the notebook in open forms, and what comes in from another.

use std::io::{Cursor, Read as _, Write as _};

use notebook::{Carried, FileAccess as _, Notebook, NotebookError, Photo};
use zip::{CompressionMethod, ZipArchive, ZipWriter, write::SimpleFileOptions};

use super::{Imported, draft, error::DoorError};

/// Larger than any entry list; a photograph has its own, lower limit.
const MOST_BYTES: u64 = 1 << 30;

/// The keys and certificates, the keys still locked.
pub(super) fn keys(book: &Notebook) -> Result<Vec<u8>, DoorError> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for path in book.files_below("firm/")? {
        put(&mut zip, &path, &book.file(&path)?.unwrap_or_default(), CompressionMethod::Deflated)?;
    }
    Ok(zip.finish()?.into_inner())
}

/// Every entry as JSON, every photograph and report as it is, and each inspection's list of fields as CSV.
pub(super) fn everything(book: &Notebook) -> Result<Vec<u8>, DoorError> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let entries = serde_json::to_vec_pretty(&book.carry()?).map_err(DoorError::Answer)?;
    put(&mut zip, "entries.json", &entries, CompressionMethod::Deflated)?;
    for line in book.list("")? {
        if line.erased {
            continue;
        }
        let draft = book.draft(&draft::name(&line.id)?)?;
        let document = serde_json::to_vec_pretty(&draft.fold().document).map_err(DoorError::Answer)?;
        put(&mut zip, &format!("inspections/{}.json", line.id), &document, CompressionMethod::Deflated)?;
        let mut table = csv::Writer::from_writer(Vec::new());
        let told = |error: csv::Error| DoorError::Unfit(error.to_string());
        table.write_record(["field", "value", "written at"]).map_err(told)?;
        for (path, value) in &draft.values {
            let at = draft.written.get(path).map(model::Timestamp::to_rfc3339).unwrap_or_default();
            let text = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
            table.write_record([path.as_str(), text.as_str(), at.as_str()]).map_err(told)?;
        }
        let table = table.into_inner().map_err(|error| DoorError::Unfit(error.to_string()))?;
        put(&mut zip, &format!("inspections/{}.csv", line.id), &table, CompressionMethod::Deflated)?;
    }
    let photographs = book
        .photographs()?
        .into_iter()
        .map(|(inspection, sha256)| (format!("photographs/{inspection}/{sha256}.jpg"), book.original(&sha256)));
    let reports = book.reports()?.into_iter().map(|report| (report.path, book.report(&report.identity)));
    let recordings = book.recordings()?.into_iter().filter_map(|kept| {
        let sha256 = kept.sha256?;
        let bytes = whole(book, &sha256);
        let ending = bytes.as_deref().map_or("csv", ending);
        Some((format!("recordings/{}/{sha256}.{ending}", kept.inspection), bytes))
    });
    // What is damaged or lost keeps nothing else back, and is named.
    let mut not_saved = String::new();
    for (path, bytes) in photographs.chain(reports).chain(recordings) {
        match bytes {
            Ok(bytes) => put(&mut zip, &path, &bytes, CompressionMethod::Stored)?,
            Err(error) => not_saved.push_str(&format!("{path}: {error}\n")),
        }
    }
    if !not_saved.is_empty() {
        put(&mut zip, "not-saved.txt", not_saved.as_bytes(), CompressionMethod::Deflated)?;
    }
    Ok(zip.finish()?.into_inner())
}

/// What a recording's file is called after its point, so that other programs open it. What has no mark of its own is a
/// table.
fn ending(recording: &[u8]) -> &'static str {
    match recording {
        [b'R', b'I', b'F', b'F', ..] => "wav",
        [b'<', ..] | [0xef, 0xbb, 0xbf, b'<', ..] => "gpx",
        [b'$', ..] => "nmea",
        _ => "csv",
    }
}

fn whole(book: &Notebook, sha256: &str) -> Result<Vec<u8>, NotebookError> {
    let mut bytes = Vec::new();
    let read = book.recording(sha256)?.read_to_end(&mut bytes);
    read.map(|_| bytes).map_err(|error| NotebookError::Unreadable(format!("recording {sha256}: {error}")))
}

/// Takes in entries, photographs and recordings that another notebook gave out.
pub(super) fn take_in(book: &mut Notebook, bytes: &[u8]) -> Result<Imported, DoorError> {
    let mut zip = ZipArchive::new(Cursor::new(bytes))?;
    let carried: Vec<Carried> = {
        let mut text = Vec::new();
        zip.by_name("entries.json")?.take(MOST_BYTES).read_to_end(&mut text).map_err(zip::result::ZipError::from)?;
        serde_json::from_slice(&text).map_err(DoorError::Request)?
    };
    let entries = book.take_in(&carried)?;
    let names: Vec<String> = zip.file_names().map(str::to_owned).collect();
    let mut photographs = 0;
    for name in names {
        let Some((inspection, file)) = name.strip_prefix("photographs/").and_then(|rest| rest.split_once('/')) else {
            continue;
        };
        let id = draft::name(inspection)?;
        let mut original = Vec::new();
        let most = photo::MAX_ORIGINAL_BYTES as u64 + 1;
        zip.by_name(&name)?.take(most).read_to_end(&mut original).map_err(zip::result::ZipError::from)?;
        if !file.starts_with(&model::Sha256::of(&original).to_string()) {
            return Err(DoorError::Unfit(format!("{name} has other bytes than its name says")));
        }
        let looked = photo::look(&original).ok();
        let (small, copy) = (looked.as_ref().map(|one| &one.small[..]), looked.as_ref().map(|one| &one.copy[..]));
        match book.store_photograph(&id, Photo { bytes: &original, small, copy }) {
            Ok(taken) => photographs += u64::from(taken.is_new),
            // Erased here meanwhile: it stays away.
            Err(NotebookError::Erased { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    let recordings = take_in_recordings(book, &mut zip)?;
    Ok(Imported { entries, photographs, recordings })
}

fn take_in_recordings(book: &mut Notebook, zip: &mut ZipArchive<Cursor<&[u8]>>) -> Result<u64, DoorError> {
    let names: Vec<String> =
        zip.file_names().filter(|name| name.starts_with("recordings/")).map(str::to_owned).collect();
    let mut count = 0;
    for name in names {
        let mut parts = name.split('/').skip(1);
        let (Some(inspection), Some(file)) = (parts.next(), parts.next()) else { continue };
        let id = draft::name(inspection)?;
        let mut bytes = Vec::new();
        zip.by_name(&name)?.take(MOST_BYTES).read_to_end(&mut bytes).map_err(zip::result::ZipError::from)?;
        if !file.starts_with(&model::Sha256::of(&bytes).to_string()) {
            return Err(DoorError::Unfit(format!("{name} has other bytes than its name says")));
        }
        let begun = book.draft(&id).ok().and_then(|draft| draft.entries().iter().map(|entry| entry.written_at).min());
        match begun.map(|at| book.store_recording(&id, "file", &at, &bytes)) {
            Some(Ok((_, is_new))) => count += u64::from(is_new),
            // Erased here meanwhile: it stays away.
            None | Some(Err(NotebookError::Erased { .. })) => {}
            Some(Err(error)) => return Err(error.into()),
        }
    }
    Ok(count)
}

fn put(
    zip: &mut ZipWriter<Cursor<Vec<u8>>>,
    path: &str,
    bytes: &[u8],
    how: CompressionMethod,
) -> Result<(), DoorError> {
    // A time of its own would make the same notebook give other bytes.
    zip.start_file(path, SimpleFileOptions::default().compression_method(how))?;
    zip.write_all(bytes).map_err(zip::result::ZipError::from)?;
    Ok(())
}
