//! What was measured on the whole car, or of a disc's shape, beside its limit.

use super::{
    Subject,
    flow::Flow,
    setting::{LABEL, Table},
    text::Span,
    words,
};

/// Sets the table; nothing where nothing was measured.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let measured = &subject.record.reckoning.measured;
    if measured.is_empty() {
        return;
    }
    let section = flow.section("Measured against a limit", None);
    let mut table = Table::dense(&[
        (0.36, "What"),
        (0.16, ">Measured"),
        (0.12, ">Limit"),
        (0.36, "How it stands, and whose limit"),
    ]);
    for one in measured {
        let digits = digits_for(one.value.uncertainty);
        let value = format!(
            "{} ± {} {}",
            words::number(one.value.value, digits),
            words::number(one.value.uncertainty, digits),
            one.unit
        );
        let limit = one.limit.map_or_else(String::new, |limit| format!("{} {}", words::plain(limit), one.unit));
        let stands = match one.limit {
            Some(_) => format!("{}; {}", one.outcome.words(), one.source.words()),
            None => String::new(),
        };
        table.row([&one.what, &value, &limit, &stands]);
    }
    flow.table(section, &table);
    let note = "Within or beyond a limit is what lies on that side of it by more than the measurement is unsure.";
    flow.paragraph(section, &[Span::new(note, LABEL)]);
}

/// So many digits behind the point that the uncertainty shows its first figure.
fn digits_for(uncertainty: f64) -> usize {
    (0..6).find(|&digits| uncertainty * libm::pow(10.0, digits as f64) >= 0.75).unwrap_or(6)
}
