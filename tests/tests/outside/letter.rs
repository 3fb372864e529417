//! A letter's pages, read by other people's programs.

use api::{Existing, NativeWorld, PagesTo, check_answers, write_questions};
use demo::scenario::{letter, reply};
use rimside_tests::{check_with_qpdf, read_text};

fn dense(text: &str) -> String {
    text.chars().filter(|letter| !letter.is_whitespace()).collect()
}

#[test]
fn what_a_letter_asks_is_on_its_pages_and_the_same_at_every_writing() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name);
    std::fs::write(file("letter.json"), serde_json::to_vec(&letter().unwrap()).unwrap()).unwrap();
    std::fs::write(file("reply.json"), serde_json::to_vec(&reply().unwrap()).unwrap()).unwrap();
    let out = file("letter.pdf");
    let pages = |existing| Some(PagesTo { out: &out, existing });
    let written = write_questions(&NativeWorld, &file("letter.json"), pages(Existing::Refuse)).unwrap();
    let first = std::fs::read(&out).unwrap();
    check_with_qpdf(&out).unwrap();
    let read = dense(&read_text(&out).unwrap());
    for question in &written.letter.questions {
        assert!(read.contains(&dense(&question.text)), "{} is not on the pages", question.text);
        assert!(written.text.contains(&question.text));
    }
    assert!(write_questions(&NativeWorld, &file("letter.json"), pages(Existing::Refuse)).is_err(), "one is there");
    write_questions(&NativeWorld, &file("letter.json"), pages(Existing::Replace)).unwrap();
    assert_eq!(std::fs::read(&out).unwrap(), first);

    let checked =
        check_answers(&NativeWorld, &file("letter.json"), &file("reply.json"), None, pages(Existing::Replace)).unwrap();
    let read = dense(&read_text(&out).unwrap());
    assert!(read.contains(&dense(&checked.check.summary)));
    for answer in &checked.check.answers {
        assert!(answer.words.as_ref().is_none_or(|words| read.contains(&dense(words))));
        for misfit in &answer.contradictions {
            assert!(read.contains(&dense(&misfit.text)), "{} is not on the pages", misfit.text);
        }
    }
    check_with_qpdf(&out).unwrap();
}
