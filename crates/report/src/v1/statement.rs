//! The pages of a dealer's condition statement.

use model::{ConditionStatement, ReportFound, Sha256};

use super::{
    face::{Face, Typeface},
    file::{Contents, write_file},
    flow::{BOTTOM, Block, Flow, Laid, MARGIN, PAGE_WIDTH, WIDTH},
    foot::{banner, line},
    ink::Ink,
    mark::{Area, Mark, Pen, Tagged},
    setting::{BODY, BODY_BOLD, HAIRLINE, LABEL, SMALL, Table},
    text::{Span, Style, keep_together},
    tree::{NodeId, Role, Tree},
    words,
};
use crate::{Prepared, RenderError};

const TITLE: Style = Style::new(Face::Bold, 25.0, Ink::Black);
const SUBTITLE: Style = Style::new(Face::Bold, 14.0, Ink::Black);
const FOOT: Style = Style::new(Face::Regular, 8.5, Ink::Grey);

/// The pages of a statement, with its record and the report that it rests on inside.
pub(crate) fn render_statement(
    statement: &ConditionStatement,
    record: &[u8],
    report: Option<&[u8]>,
) -> Result<Prepared, RenderError> {
    if model::canonical_json(statement).ok().as_deref() != Some(record) {
        return Err(RenderError::RecordBytes);
    }
    if statement.rests_on.is_some() != report.is_some() {
        return Err(RenderError::ReportDiffers { named: statement.rests_on.is_some() });
    }
    let typeface = Typeface::read().ok_or_else(|| RenderError::Pages("the typeface is damaged".into()))?;
    let laid = set_pages(statement, Sha256::of(record), &typeface);
    let title =
        format!("Condition statement: {}, {}", statement.content.car.description, statement.content.car.registration);
    let inside = Contents {
        title: &title,
        author: statement.author.as_str(),
        at: &statement.frozen_at,
        made_by: format!("Rimside, statement form {}", statement.renderer.0),
        reason: "I state this and stand by it",
        record,
        report,
        photographs: &[],
    };
    write_file(laid, typeface, &inside)
}

fn set_pages(statement: &ConditionStatement, digest: Sha256, typeface: &Typeface) -> Laid {
    let mut flow = Flow::new(typeface);
    let section = flow.tree.add(Tree::ROOT, Role::Section);
    set_front(&mut flow, section, statement);
    set_ground(&mut flow, section, statement);
    set_answers(&mut flow, section, statement);
    set_undertakings(&mut flow, section, statement);
    set_findings(&mut flow, section, statement);
    set_rest(&mut flow, section, statement, digest);
    flow.flush();
    set_feet(&mut flow, statement, digest);
    flow.finish()
}

fn set_front(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement) {
    let content = &statement.content;
    let tag = flow.tree.add(section, Role::Heading1);
    let mut block = flow.text_block(&[Span::new("Condition statement", TITLE)], WIDTH, 30.0, Some(tag));
    block.put(Mark::rule(0.0, block.height + 2.0, WIDTH, Pen::solid(Ink::Black, 1.2)), None);
    block.height += 10.0;
    flow.put(block);
    let tag = flow.tree.add(section, Role::Paragraph);
    flow.put_text(&[Span::new(content.car.description.as_str(), SUBTITLE)], tag, 0.0, 19.0);
    flow.fact(section, "Stated by", &format!("{}, for {}, {}", statement.author, content.firm, content.contact));
    flow.fact(section, "Stated at", &words::moment(&statement.frozen_at));
    flow.fact(section, "Asked by", &format!("{}, on {}", content.asked_by, content.asked_on));
    flow.fact(section, "VIN", content.car.vin.as_str());
    flow.fact(section, "Registration", content.car.registration.as_str());
    flow.fact(section, "Odometer", &words::odometer(content.car.odometer));
}

/// What the statement rests on; a report that was not found genuine is said before anything is answered.
fn set_ground(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement) {
    flow.space(6.0);
    let Some(report) = &statement.rests_on else {
        let words = "This statement rests on the dealer's own findings. No inspector's report goes with it.";
        flow.paragraph(section, &[Span::new(words, BODY_BOLD)]);
        return;
    };
    let (is_sound, head) = match report.found {
        ReportFound::Genuine | ReportFound::StandingNotChecked => (true, "Rests on the report inside this file"),
        ReportFound::Withdrawn | ReportFound::Superseded => {
            (false, "The report inside this file does not stand any more")
        }
        ReportFound::NotConfirmed | ReportFound::Refused => {
            (false, "The report inside this file was not found genuine")
        }
    };
    let tag = flow.tree.add(section, Role::Paragraph);
    let spans = [
        Span::new(head, Style::new(Face::Bold, 12.5, Ink::Black)),
        Span::new(
            &format!(
                "\nSigned by {}. When this statement was made, at {}, it was found {}. What it says, its inspector says; what stands below, the dealer says.",
                report.signed_by,
                words::moment(&report.checked_at),
                report.found.words()
            ),
            BODY,
        ),
        Span::new(&format!("\nIts record: {}", keep_together(&report.record.short())), SMALL),
    ];
    let text = flow.stack(&spans, WIDTH - 24.0, Some(tag));
    let mut block = Block::default();
    let pen = Pen::solid(Ink::Black, if is_sound { 1.0 } else { 2.6 });
    block.put(Mark::frame(Area::new(1.0, 0.0, WIDTH - 2.0, text.height + 13.0), None, Some(pen)), None);
    block.absorb(text, 12.0, 6.0);
    block.height += 15.0;
    flow.put(block);
}

fn set_answers(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement) {
    flow.subheading(section, "Questions and answers", true);
    for (place, answer) in statement.content.answers.iter().enumerate() {
        let asked = format!("{}. {}", place + 1, answer.question);
        flow.paragraph(section, &[Span::new(&asked, BODY_BOLD)]);
        flow.quote(section, &[Span::new(answer.answer.as_str(), BODY)]);
        flow.paragraph(section, &[Span::new(&format!("Rests on: {}", answer.basis.words()), LABEL)]);
    }
}

fn set_undertakings(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement) {
    flow.subheading(section, "Before the car is handed over", true);
    if statement.content.before_handover.is_empty() {
        flow.paragraph(section, &[Span::new("Nothing is undertaken.", BODY)]);
    }
    for undertaking in &statement.content.before_handover {
        flow.fact(section, &format!("By {}", undertaking.by_day), undertaking.what.as_str());
    }
}

fn set_findings(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement) {
    if statement.content.findings.is_empty() {
        return;
    }
    flow.subheading(section, "The dealer's own findings", true);
    let mut table = Table::dense(&[(0.26, "What"), (0.24, "Found"), (0.24, "How"), (0.26, "By whom, when")]);
    for finding in &statement.content.findings {
        table.row([
            finding.what.as_str(),
            finding.found.as_str(),
            finding.how.as_str(),
            &format!("{}, {}", finding.by, finding.on),
        ]);
    }
    flow.table(section, &table);
}

fn set_rest(flow: &mut Flow<'_>, section: NodeId, statement: &ConditionStatement, digest: Sha256) {
    if let Some(limits) = &statement.content.limits {
        flow.subheading(section, "What limits this statement", true);
        flow.quote(section, &[Span::new(limits.as_str(), BODY)]);
    }
    flow.subheading(section, "Cautions", true);
    for words in [
        "This statement describes the day on which it was made. It does not replace the car maker's procedure, the law of \
         the place, an independent inspection or the work of a licensed workshop.",
        "That nothing bad is stated is no clearance to drive.",
        "The seal shows that this file is unaltered and whose it is. It does not show that what is written here is true.",
    ] {
        flow.paragraph(section, &[Span::new(words, BODY)]);
    }
    let spans =
        [Span::new("SHA-256 of the record  ", LABEL), Span::new(&words::groups_of_eight(&digest.to_string()), SMALL)];
    flow.paragraph(section, &spans);
    let device = &statement.device;
    let form = format!("{}, record number {}; statement form {}", device.id, device.sequence, statement.renderer.0);
    flow.paragraph(section, &[Span::new(&form, LABEL)]);
}

fn set_feet(flow: &mut Flow<'_>, statement: &ConditionStatement, digest: Sha256) {
    let count = flow.sheets.len();
    let typeface = flow.typeface;
    let (rule, foot) = (BOTTOM + 22.0, BOTTOM + 34.0);
    let record = format!("record {}", keep_together(&digest.short()));
    let car = format!("VIN {}", statement.content.car.vin);
    for (place, sheet) in flow.sheets.iter_mut().enumerate() {
        let mut marks = vec![Mark::rule(MARGIN, rule, WIDTH, HAIRLINE)];
        marks.push(line(typeface, &record, FOOT.ink(Ink::Blue), MARGIN, foot, 0.0));
        marks.push(line(typeface, &car, FOOT, PAGE_WIDTH / 2.0, foot, 0.5));
        let number = format!("page {} of {count}", place + 1);
        marks.push(line(typeface, &number, FOOT, PAGE_WIDTH - MARGIN, foot, 1.0));
        if statement.content.demonstration {
            marks.extend(banner(typeface));
        }
        sheet.marks.extend(marks.into_iter().map(|mark| Tagged { mark, tag: None }));
    }
}
