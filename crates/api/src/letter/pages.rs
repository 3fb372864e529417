//! A letter and a checked reply as documents.

use condition::letter::{ContradictedBy, Contradiction, Letter, Outcome, ReplyCheck};
use model::{LetterRequest, Reply};
use report::document::{Document, Part};

/// The letter.
pub fn of_letter(request: &LetterRequest, letter: &Letter) -> Document {
    let mut parts = vec![
        Part::Fact("From".to_owned(), format!("{}, {}", request.from.name, request.from.contact)),
        Part::Fact("To".to_owned(), format!("{}, {}", request.to.name, request.to.contact)),
        Part::Paragraph(letter.opening.clone()),
    ];
    parts.extend(letter.questions.iter().enumerate().map(|(place, question)| {
        let small = format!("{} Source: {}.", question.why, question.source.words());
        Part::Numbered(place + 1, question.text.clone(), small)
    }));
    parts.push(Part::Paragraph(letter.closing.clone()));
    parts.push(Part::Paragraph(request.from.name.to_string()));
    parts.extend(letter.cautions.iter().cloned().map(Part::Small));
    Document {
        title: format!("Questions about the brakes: {}", request.car.description),
        author: request.from.name.to_string(),
        dated: request.dated,
        demonstration: request.demonstration,
        parts,
    }
}

/// The reply with its check.
pub fn of_check(request: &LetterRequest, reply: &Reply, check: &ReplyCheck, has_findings: bool) -> Document {
    let against = if has_findings {
        "the questions, the findings of an inspection, arithmetic and the trade's rules"
    } else {
        "the questions, arithmetic and the trade's rules; no inspection was given"
    };
    let mut parts = vec![
        Part::Fact(
            "Letter".to_owned(),
            format!("from {} to {}, {}", request.from.name, request.to.name, request.dated),
        ),
        Part::Fact("Reply".to_owned(), format!("from {}, {}, {}", reply.from, reply.dated, reply.how)),
        Part::Fact("Held against".to_owned(), against.to_owned()),
        Part::Paragraph(check.summary.clone()),
    ];
    for answer in &check.answers {
        parts.push(Part::Numbered(answer.number, answer.question.clone(), answer.outcome.words().to_owned()));
        parts.extend(answer.words.iter().cloned().map(Part::Quote));
        if answer.outcome == Outcome::Evaded {
            parts.push(Part::Notice("The words do not say what was asked.".to_owned()));
        }
        parts.extend(answer.contradictions.iter().map(notice));
    }
    if let Some(words) = &reply.besides {
        parts.push(Part::Heading("Said besides".to_owned()));
        parts.push(Part::Quote(words.to_string()));
        parts.extend(check.besides.iter().map(notice));
    }
    parts.push(Part::Small(
        "What does not fit is said; that somebody told an untruth is not. That nothing was found that does not fit is no clearance to drive.".to_owned(),
    ));
    Document {
        title: format!("The reply about the brakes, checked: {}", request.car.description),
        author: request.from.name.to_string(),
        dated: reply.dated,
        demonstration: request.demonstration,
        parts,
    }
}

fn notice(contradiction: &Contradiction) -> Part {
    let by = match contradiction.by {
        ContradictedBy::Finding => "by a finding",
        ContradictedBy::Arithmetic => "by arithmetic",
        ContradictedBy::Rule => "by a rule",
    };
    Part::Notice(format!("{} ({by}; {})", contradiction.text, contradiction.source.words()))
}
