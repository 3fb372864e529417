//! Files that are signed with the right key, and whose pages or findings say something else than their record.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod sealed;

use model::{Line, Note};
use seal::{certificate::Role, file::SealedFile, sealing::seal_file};
use sealed::{Case, attach, find, prepare, record, replace_stream};
use verify::{Answer, Headline, Verdict, check_fully, check_signature};

/// Seals a spoilt file with the right key; the signature must then fit.
fn judge(case: &Case, prepared: &[u8]) -> Verdict {
    let sealed = seal_file(prepared.to_vec(), &case.signer).unwrap();
    let quick = check_signature(&sealed, &case.trust());
    assert_eq!(quick.questions.unchanged.code(), Some("not-drawn-again"), "the signature itself is right");
    check_fully(&sealed, &case.trust())
}

fn assert_refused(verdict: &Verdict, code: &str, says: &str) {
    assert_eq!(verdict.headline, Headline::DoNotRely, "{verdict:#?}");
    assert!(matches!(verdict.questions.unchanged, Answer::Failed { .. }), "{verdict:#?}");
    assert_eq!(verdict.questions.unchanged.code(), Some(code), "{}", verdict.because);
    assert!(verdict.because.contains(says), "{} does not say {says:?}", verdict.because);
}

#[test]
fn what_is_drawn_from_its_record_is_genuine() {
    let case = Case::found();
    let record = record();
    let verdict = check_fully(&case.seal(&record), &case.trust());
    assert_eq!(verdict.headline, Headline::Genuine, "{verdict:#?}");
    let digest = model::Sha256::of(&model::canonical_json(&record).unwrap());
    let report = verdict.report.unwrap();
    assert_eq!((report.record, report.record_short), (digest.to_string(), digest.short()));
    assert_eq!(report.claimed_time, Some(record.frozen_at.to_utc()));
    assert_eq!((verdict.details.renderer, verdict.details.method), (Some(1), Some(1)));
    assert_eq!(verdict.details.demonstration, Some(true));
    assert_eq!((verdict.states, verdict.rests_on.is_some()), (None, false), "a report states nothing for a dealer");
}

#[test]
fn a_page_with_other_text_is_refused_and_named() {
    let case = Case::found();
    let prepared = prepare(&record());
    let file = SealedFile::read(&prepared).unwrap();
    for page in [0, 3] {
        let object = file.objects().find(file.pages()[page]).unwrap();
        let contents = object.value.as_dictionary().unwrap().find("Contents").unwrap().as_reference().unwrap();
        let mut plain = file.decode_stream(file.objects().find(contents).unwrap()).unwrap();
        // One digit of the page's drawing is another: a coordinate or a glyph.
        let digit = plain.iter().rposition(u8::is_ascii_digit).unwrap();
        plain[digit] = if plain[digit] == b'1' { b'2' } else { b'1' };
        let verdict = judge(&case, &replace_stream(&prepared, contents, &plain));
        assert_refused(&verdict, "pages-differ", "");
        let said = format!("page {} does not show what the record says", page + 1);
        // The byte range differs too, but stands behind the page.
        assert!(verdict.because.to_lowercase().contains(&said), "{}", verdict.because);
    }
}

#[test]
fn another_title_of_the_same_length_is_refused() {
    let case = Case::found();
    let mut prepared = prepare(&record());
    let at = find(&prepared, b"/Title");
    let letter = at + prepared[at..].iter().position(|byte| *byte == b'(' || *byte == b'<').unwrap() + 1;
    let letter = letter + if prepared[letter - 1] == b'<' { 6 } else { 2 };
    prepared[letter] = if prepared[letter] == b'4' { b'5' } else { b'4' };
    assert_refused(&judge(&case, &prepared), "pages-differ", "");
}

/// The signature's own name for the signer, which many readers show: the seal does not look at it.
#[test]
fn another_name_in_the_signature_is_refused() {
    let case = Case::found();
    let mut prepared = prepare(&record());
    let signature = find(&prepared, b"/ETSI.CAdES.detached");
    let name = signature + find(&prepared[signature..], b"/Name(Ines Okafor-Lind)");
    prepared[name + 6..name + 10].copy_from_slice(b"Maja");
    assert_refused(&judge(&case, &prepared), "pages-differ", "");
}

#[test]
fn a_reckoning_that_does_not_follow_is_refused_by_its_field() {
    let case = Case::found();
    let mut record = record();
    record.reckoning.answer.lead[0].text = "All four discs are as new.".into();
    assert_refused(&judge(&case, &prepare(&record)), "reckoning-differs", "answer.lead[0].text");
    let mut record = self::record();
    record.reckoning.corners.rear_left.inner_face.as_mut().unwrap().value = 0.1;
    assert_refused(&judge(&case, &prepare(&record)), "reckoning-differs", "corners.rear_left.inner_face.value");
    let mut record = self::record();
    record.reckoning.drive_warnings.clear();
    assert_refused(&judge(&case, &prepare(&record)), "reckoning-differs", "drive_warnings[0]");
}

#[test]
fn a_photograph_that_was_exchanged_is_named() {
    let case = Case::found();
    let record = record();
    let mut prepared = prepare(&record);
    let photograph = &record.report_photographs[4];
    let file = SealedFile::read(&prepared).unwrap();
    let bytes = file.image_streams().find(|bytes| model::Sha256::of(bytes) == photograph.sha256).unwrap().to_vec();
    let at = find(&prepared, &bytes);
    // Inside the coded picture: still a JPEG from its first to its last byte.
    prepared[at + bytes.len() - 40] ^= 1;
    assert_refused(&judge(&case, &prepared), "photograph-differs", photograph.id.as_str());
}

#[test]
fn a_photograph_that_the_record_does_not_list_is_refused() {
    let case = Case::found();
    let full = record();
    let mut record = full.clone();
    let taken = record.report_photographs.pop().unwrap();
    record.inspection.photographs.retain(|photograph| photograph.id != taken.id);
    record.reckoning = condition::reckon(&record.inspection);
    let prepared = attach(&prepare(&full), &model::canonical_json(&record).unwrap());
    assert_refused(&judge(&case, &prepared), "photograph-unlisted", "1 of the photographs");
}

#[test]
fn another_record_beside_the_same_pages_is_refused() {
    let case = Case::found();
    let full = record();
    let mut other = full.clone();
    other.inspection.remarks = Some(Note::try_from("Drives well.").unwrap());
    let prepared = attach(&prepare(&full), &model::canonical_json(&other).unwrap());
    assert_refused(&judge(&case, &prepared), "pages-differ", "");
}

#[test]
fn a_record_in_another_spelling_is_refused() {
    let case = Case::found();
    let record = record();
    let prepared = prepare(&record);
    let canonical = String::from_utf8(model::canonical_json(&record).unwrap()).unwrap();
    for (spelt, code) in [
        (format!(" {canonical}"), "record-not-canonical"),
        (serde_json::to_string_pretty(&record).unwrap(), "record-not-canonical"),
        (format!("{canonical} {{}}"), "record-malformed"),
        (canonical.replacen('{', "{\"author\":\"A\",", 1), "record-malformed"),
        (canonical.replacen('{', "{\"approved\":true,", 1), "record-malformed"),
        ("[]".to_owned(), "record-malformed"),
    ] {
        assert_refused(&judge(&case, &attach(&prepared, spelt.as_bytes())), code, "");
    }
}

#[test]
fn later_versions_cannot_be_confirmed_and_are_not_called_wrong() {
    let case = Case::found();
    let record = record();
    let prepared = prepare(&record);
    let canonical = String::from_utf8(model::canonical_json(&record).unwrap()).unwrap();
    for (from, to, code) in [
        ("\"renderer\":1", "\"renderer\":2", "renderer-unknown"),
        ("\"method\":1", "\"method\":7", "method-unknown"),
        ("rimside.record/1", "rimside.record/2", "record-form-unknown"),
    ] {
        assert_eq!(canonical.matches(from).count(), 1, "{from}");
        let verdict = judge(&case, &attach(&prepared, canonical.replace(from, to).as_bytes()));
        assert_eq!(verdict.headline, Headline::CannotBeFullyConfirmed, "{verdict:#?}");
        assert_eq!(verdict.questions.unchanged.code(), Some(code));
        assert!(verdict.next.contains("newer release"), "{}", verdict.next);
    }
}

#[test]
fn an_author_who_did_not_sign_is_refused() {
    let case = Case::found();
    let mut record = record();
    record.author = Line::try_from("Tomas Reyl").unwrap();
    let verdict = check_fully(&case.seal(&record), &case.trust());
    assert_eq!((verdict.headline, verdict.questions.whose.code()), (Headline::DoNotRely, Some("author-differs")));
    assert!(verdict.because.contains("Tomas Reyl") && verdict.because.contains("Ines Okafor-Lind"));
}

#[test]
fn only_an_inspector_seals() {
    let mut case = Case::found();
    for role in [Role::Office, Role::Dealer] {
        let signer = case.hire("Ines Okafor-Lind", role);
        let sealed = seal_file(prepare(&record()), &signer).unwrap();
        for verdict in [check_fully(&sealed, &case.trust()), check_signature(&sealed, &case.trust())] {
            let whose = verdict.questions.whose.code();
            assert_eq!((verdict.headline, whose), (Headline::DoNotRely, Some("role-may-not-seal")));
            assert!(verdict.because.contains("Only an inspector seals a report"), "{}", verdict.because);
        }
    }
}

#[test]
fn another_firm_on_the_pages_than_in_the_certificate_is_remarked() {
    let case = Case::found();
    let mut record = record();
    record.inspection.inspector.firm = Line::try_from("North Bay Inspections").unwrap();
    record.reckoning = condition::reckon(&record.inspection);
    let verdict = check_fully(&case.seal(&record), &case.trust());
    assert!(verdict.details.remarks.iter().any(|remark| remark.code == "firm-differs"), "{verdict:#?}");
}
