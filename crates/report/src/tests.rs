//! What holds for a whole file.

use std::collections::BTreeMap;

use lopdf::{Document, Object};
use model::Sha256;
use seal::file::SealedFile;

use crate::{
    Prepared, RenderError,
    fixture::{Fixture, line, note},
};

/// Left where a person can look at it.
const SAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/report-sample.pdf");

fn read(prepared: &Prepared) -> SealedFile<'_> {
    SealedFile::read(&prepared.bytes).unwrap_or_else(|fault| panic!("{fault}"))
}

/// The text of the pages: shown strings through each font's own table of characters.
fn text_of(prepared: &Prepared) -> String {
    let document = Document::load_mem(&prepared.bytes).expect("the file loads");
    let pages: Vec<u32> = document.get_pages().into_keys().collect();
    document.extract_text(&pages).expect("the text can be extracted").replace('\n', " ")
}

#[test]
fn a_prepared_report_is_read_by_the_strict_reader() {
    let fixture = Fixture::with_photographs(12);
    let prepared = fixture.render().expect("the fixture renders");
    std::fs::write(SAMPLE, &prepared.bytes).expect("the target folder can be written to");
    let file = read(&prepared);
    assert!(file.signature().is_none());
    assert_eq!(file.record().expect("the record is whole").bytes, fixture.bytes());
    let images: Vec<&[u8]> = file.image_streams().collect();
    let copies: Vec<&[u8]> =
        fixture.record.report_photographs.iter().map(|copy| fixture.copies[&copy.sha256].as_slice()).collect();
    assert_eq!(images, copies, "the copies stand in the file unchanged and in order");
}

#[test]
fn the_room_is_all_zeros_and_everything_else_is_covered() {
    let prepared = Fixture::with_photographs(1).render().expect("the fixture renders");
    let Prepared { bytes, room } = &prepared;
    assert_eq!(room.len(), 2 * crate::ROOM_BYTES);
    assert!(bytes[room.clone()].iter().all(|&digit| digit == b'0'));
    let range = read(&prepared).byte_range().clone();
    assert_eq!((range.before.start, range.before.end), (0, room.start - 1));
    assert_eq!((range.after.start, range.after.end), (room.end + 1, bytes.len()));
}

#[test]
fn an_author_who_spells_the_file_s_own_marks_changes_nothing() {
    for name in ["[0 1000000000 1000000000 1000000000]/Contents<00>", "trailer\\ 0 obj (<<", "Łukasz )Đặng("] {
        let mut fixture = Fixture::with_photographs(0);
        fixture.record.author = line(name);
        let prepared = fixture.render().expect("the fixture renders");
        assert!(read(&prepared).signature().is_none());
    }
}

#[test]
fn rendering_twice_gives_the_same_bytes() {
    let fixture = Fixture::with_photographs(12);
    assert_eq!(fixture.render(), fixture.render());
}

#[test]
fn the_pages_say_the_answer_and_every_figure() {
    let fixture = Fixture::with_photographs(2);
    let text = text_of(&fixture.render().expect("the fixture renders"));
    let answer = &fixture.record.reckoning.answer;
    let sentences = answer.lead.iter().chain(&answer.why).chain(&answer.limits);
    for sentence in sentences {
        for word in sentence.text.split_whitespace() {
            assert!(text.contains(word), "{word:?} of {:?} is lacking", sentence.text);
        }
    }
    for figure in ["5 412 ± 3 g", "4 655 ± 3 g", "33.79 to 33.82 ± 0.02 mm", "2.2 ± 0.1 mm", "214.0 ± 2.5 °C", "37.90"]
    {
        assert!(text.contains(figure), "{figure} is lacking");
    }
    for words in ["EUR 11 136.00", "19 460 km (12 092 mi)", "00CTESSEX2M000317", "Do not drive", "Amara Quill"] {
        assert!(text.contains(words), "{words} is lacking");
    }
}

#[test]
fn the_pages_show_what_was_recorded_and_measured() {
    let fixture = Fixture::with_photographs(3).measured();
    let text = text_of(&fixture.render().expect("the fixture renders"));
    for words in [
        "What was recorded",
        "speed in km/h",
        "deceleration in m/s²",
        "sound from 1 to 6 kHz in dB under full scale",
        "2.55 ± 0.02",
        "no anti-lock at work",
        "0.60 ± 0.01 m/s² while braking at 11°",
        "not told from noise",
        "Measured in its photograph",
        "58.0 ± 0.5 % of the area stands out at 2.4 mm",
        "most like the inspector's references: spent",
    ] {
        assert!(text.contains(words), "{words} is lacking");
    }
    assert!(!text.contains("−0;"), "what is rounded to nothing has no sign");
}

#[test]
fn a_drive_that_means_harm_is_drawn_without_harm() {
    let mut drive = model::sample::drive();
    drive.trace.step_s = 0.0;
    drive.trace.speed_km_h.fill(-1e10);
    drive.trace.greatest_m_per_s2.fill(1e10);
    drive.trace.sound_db.fill(None);
    drive.trace.sound_db[3] = Some(1e10);
    drive.brakings[0].from_s = 1e10;
    if let Some(seen) = &mut drive.pulsation {
        seen.spectrum.truncate(1);
    }
    let svg = crate::draw_drive(&drive);
    assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
    drive.trace = model::DriveTrace::default();
    drive.brakings.clear();
    drive.pulsation = None;
    assert!(crate::draw_drive(&drive).ends_with("</svg>\n"));
}

#[test]
fn a_character_that_cannot_be_printed_is_said() {
    let mut fixture = Fixture::with_photographs(0);
    let text = text_of(&fixture.render().expect("the fixture renders"));
    assert!(text.contains("[U+4E2D][U+6587]"));
    assert!(text.contains("2 characters on this page could not be printed"));
    assert!(text.contains("Łukasz Đặng") && text.contains("υπερθερμανθεί"));
    // A letter with its mark written apart is the same letter.
    fixture.record.inspection.remarks = Some(note("D\u{323}a\u{323}\u{306}ng"));
    let text = text_of(&fixture.render().expect("the fixture renders"));
    assert!(text.contains("Ḍặng") && !text.contains("could not be printed"));
}

#[test]
fn a_demonstration_says_so_on_every_page() {
    let mut fixture = Fixture::with_photographs(0);
    let count = |fixture: &Fixture| {
        let prepared = fixture.render().expect("the fixture renders");
        (read(&prepared).page_count(), text_of(&prepared).matches("DEMONSTRATION").count())
    };
    let (pages, banners) = count(&fixture);
    assert_eq!(pages, banners);
    fixture.record.inspection.demonstration = false;
    assert_eq!(count(&fixture).1, 0);
}

#[test]
fn five_hundred_photographs_and_long_notes_become_pages() {
    let mut fixture = Fixture::with_photographs(500);
    let words = "a note without end, ".repeat(400);
    fixture.record.inspection.remarks = Some(note(&words[..8000]));
    let long_word = "x".repeat(8000);
    fixture.record.inspection.questions[0].answer = Some(note(&long_word));
    let prepared = fixture.render().expect("the fixture renders");
    assert_eq!(read(&prepared).image_streams().count(), 500);
    assert!(text_of(&prepared).matches('x').count() >= 8000);
}

#[test]
fn a_spoilt_copy_is_refused_by_name() {
    let fixture = Fixture::with_photographs(3);
    let bytes = fixture.bytes();
    let second = &fixture.record.report_photographs[1];
    let render = |copies: &BTreeMap<Sha256, Vec<u8>>| {
        crate::render(&fixture.record, &bytes, &copies.values().map(Vec::as_slice).collect())
    };

    let mut copies = fixture.copies.clone();
    copies.remove(&second.sha256);
    assert_eq!(render(&copies), Err(RenderError::CopyMissing { photograph: second.id.clone(), sha256: second.sha256 }));

    let mut copies = fixture.copies.clone();
    let copy = copies.get_mut(&second.sha256).expect("the copy is there");
    let last = copy.len() - 3;
    copy[last] ^= 1;
    assert!(matches!(render(&copies), Err(RenderError::CopyMissing { photograph, .. }) if photograph == second.id));
}

#[test]
fn a_copy_that_is_no_jpeg_or_of_another_size_is_refused() {
    let mut fixture = Fixture::with_photographs(1);
    let right = fixture.record.report_photographs[0].clone();
    let jpeg = fixture.copies[&right.sha256].clone();

    fixture.record.report_photographs[0].width_px += 1;
    let size = (right.width_px, right.height_px);
    assert_eq!(
        fixture.render(),
        Err(RenderError::CopySize { photograph: right.id.clone(), expected: (size.0 + 1, size.1), got: size })
    );

    let cut = jpeg[..20].to_vec();
    let mut no_frame = jpeg.clone();
    no_frame.drain(2..jpeg.len() - 2);
    for bytes in [Vec::new(), b"GIF89a".to_vec(), cut, no_frame] {
        let sha256 = Sha256::of(&bytes);
        fixture.record.report_photographs[0] = model::ReportPhotograph { sha256, ..right.clone() };
        fixture.copies.insert(sha256, bytes);
        assert!(matches!(fixture.render(), Err(RenderError::CopyNotJpeg { .. })));
    }
}

#[test]
fn bytes_that_are_not_the_record_are_refused() {
    let fixture = Fixture::with_photographs(1);
    let mut bytes = fixture.bytes();
    bytes.push(b' ');
    assert_eq!(crate::render(&fixture.record, &bytes, &crate::Copies::new()), Err(RenderError::RecordBytes));
    let mut other = Fixture::with_photographs(1);
    other.record.renderer = model::RendererVersion(2);
    assert_eq!(other.render(), Err(RenderError::RendererUnknown { got: 2 }));
    let mut fewer = Fixture::with_photographs(2);
    fewer.record.report_photographs.pop();
    assert_eq!(fewer.render(), Err(RenderError::PhotographsDiffer { got: 1, expected: 2 }));
}

#[test]
fn every_mark_on_a_page_belongs_to_a_tag_that_leads_back() {
    let prepared = Fixture::with_photographs(5).measured().render().expect("the fixture renders");
    let document = Document::load_mem(&prepared.bytes).expect("the file loads");
    let catalog = document.catalog().expect("there is a catalog");
    let root = document.get_dict_in_dict(catalog, b"StructTreeRoot").expect("the file is tagged");
    let parents = document.get_dict_in_dict(root, b"ParentTree").expect("there is a parent tree");
    let numbers = parents.get(b"Nums").and_then(Object::as_array).expect("the parent tree has rows");
    for (key, id) in document.page_iter().enumerate() {
        let content = String::from_utf8_lossy(&document.get_page_content(id)).into_owned();
        let marks = content.matches("/MCID").count();
        let row = numbers[2 * key + 1].as_array().expect("a page's row lists nodes");
        assert_eq!(marks, row.len(), "page {key}");
        assert_eq!(content.matches("BDC").count() + content.matches("BMC").count(), content.matches("EMC").count());
    }
}
