//! What the answer means for each of its readers, and what is left to ask.

use model::Sentence;

use super::{
    Subject,
    flow::Flow,
    setting::{BODY, LABEL},
    text::Span,
    tree::NodeId,
    words,
};

/// Sets the sentences for buyer, seller and workshop, and the questions.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let answer = &subject.record.reckoning.answer;
    let parts = [
        ("For the buyer", &answer.to_buyer),
        ("For the seller", &answer.to_seller),
        ("For the workshop", &answer.to_workshop),
        ("To ask the seller in writing", &answer.questions),
    ];
    if parts.iter().all(|(_, said)| said.is_empty()) {
        return;
    }
    let section = flow.section("What it means", None);
    for (title, said) in parts {
        if !said.is_empty() {
            flow.subheading(section, title, true);
            set_sentences(flow, subject, section, said);
        }
    }
}

/// Sets sentences, each with what it rests on behind it.
pub(crate) fn set_sentences(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, sentences: &[Sentence]) {
    for sentence in sentences {
        let mut spans = vec![Span::new(&sentence.text, BODY)];
        let rests = words::findings(&sentence.evidence, subject.findings);
        if !rests.is_empty() {
            spans.push(Span::new(&format!("  {rests}"), LABEL));
        }
        flow.paragraph(section, &spans);
    }
}
