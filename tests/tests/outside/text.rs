//! What poppler reads out of the pages: the answer, every figure that was measured, names in other alphabets.

use api::{NativeWorld, show_record};
use model::Reading;
use rimside_tests::read_text;

use crate::SEALED;

/// The text without its spaces and line ends, which are the setting's and not the sentence's.
fn dense(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).collect()
}

/// What is read from the pages, without the head and foot that come between a sentence's lines at a page's end.
fn dense_pages() -> String {
    let read = read_text(&SEALED.report).unwrap();
    let body = read.lines().filter(|line| {
        let line = line.trim_start_matches('\u{c}');
        !line.starts_with("DEMONSTRATION:") && !line.starts_with("record ")
    });
    dense(&body.collect::<Vec<_>>().join("\n"))
}

#[test]
fn the_answer_is_read_as_it_was_written() {
    let read = dense_pages();
    let answer = show_record(&NativeWorld, &SEALED.report).unwrap().record.reckoning.answer;
    let sentences: Vec<_> = answer.lead.iter().chain(&answer.why).chain(&answer.limits).collect();
    assert!(sentences.len() > 12, "{}", sentences.len());
    for sentence in sentences {
        assert!(read.contains(&dense(&sentence.text)), "the pages do not say {:?}", sentence.text);
    }
}

/// The figure with as few decimals as its uncertainty allows, and with more: the pages may print any of these.
fn spellings(reading: &Reading, value: f64) -> Vec<String> {
    let least = (0..6).find(|&decimals| 0.5 * 0.1_f64.powi(decimals) <= reading.uncertainty.value()).unwrap_or(6);
    (least..=6).map(|decimals| format!("{value:.*}", decimals as usize)).collect()
}

#[test]
fn every_measured_figure_is_on_the_pages_beside_its_place() {
    let read = dense_pages();
    let inspection = show_record(&NativeWorld, &SEALED.report).unwrap().record.inspection;
    let mut figures = 0;
    for reading in &inspection.readings {
        for point in &reading.points {
            let place = dense(point.at.as_str());
            let is_there =
                spellings(reading, point.value).iter().any(|figure| read.contains(&format!("{place}:{figure}")));
            assert!(is_there, "{} of {}, {}, is not on the pages", point.value, reading.id, point.at);
            figures += 1;
        }
    }
    assert!(figures > 40, "{figures}");
    let odometer = inspection.car.odometer.figure.to_string();
    assert!(read.contains(&odometer) && read.contains(inspection.car.vin.as_str()));
}

#[test]
fn names_in_other_alphabets_are_read() {
    let read = read_text(&SEALED.report).unwrap();
    let record = show_record(&NativeWorld, &SEALED.report).unwrap().record;
    let written = serde_json::to_string(&record).unwrap();
    for word in ["Łukasz", "Đặng"] {
        assert!(written.contains(word) && read.contains(word), "{word}");
    }
    let greek = |text: &str| text.chars().filter(|c| ('\u{370}'..='\u{3ff}').contains(c)).count();
    assert!(greek(&written) > 10);
    assert!(greek(&read) >= greek(&written) * 9 / 10, "{} of {} Greek letters", greek(&read), greek(&written));
}

#[test]
fn the_short_digest_stands_on_each_page() {
    let read = read_text(&SEALED.report).unwrap();
    let pages: Vec<_> = read.split('\u{c}').filter(|page| !page.trim().is_empty()).collect();
    assert_eq!(pages.len(), SEALED.told.pages);
    for (number, page) in pages.iter().enumerate() {
        assert!(dense(page).contains(&dense(&SEALED.told.record_short)), "page {}", number + 1);
    }
}
