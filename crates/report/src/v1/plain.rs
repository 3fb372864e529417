//! A document without a seal, on pages of the same look.

use super::{
    face::{Face, Typeface},
    file::write_plain_file,
    flow::{BOTTOM, Flow, Laid, MARGIN, PAGE_WIDTH, WIDTH},
    foot::{banner, line},
    ink::Ink,
    mark::{Mark, Pen, Tagged},
    setting::{BODY, BODY_BOLD, BODY_LEADING, HAIRLINE, LABEL},
    text::{Span, Style},
    tree::{NodeId, Role, Tree},
    xmp::About,
};
use crate::{
    RenderError,
    document::{Document, Part},
};

const TITLE: Style = Style::new(Face::Bold, 21.0, Ink::Black);
const FOOT: Style = Style::new(Face::Regular, 8.5, Ink::Grey);
const NUMBER: f64 = 22.0;

/// The pages of a document.
pub(crate) fn render_document(document: &Document) -> Result<Vec<u8>, RenderError> {
    let typeface = Typeface::read().ok_or_else(|| RenderError::Pages("the typeface is damaged".into()))?;
    let laid = set_pages(document, &typeface);
    let about = About {
        title: &document.title,
        author: &document.author,
        when: document.dated.to_string(),
        made_by: "Rimside, letters".to_owned(),
    };
    write_plain_file(laid, typeface, &about, document.to_text().as_bytes())
}

fn set_pages(document: &Document, typeface: &Typeface) -> Laid {
    let mut flow = Flow::new(typeface);
    let section = flow.tree.add(Tree::ROOT, Role::Section);
    let tag = flow.tree.add(section, Role::Heading1);
    let mut block = flow.text_block(&[Span::new(&document.title, TITLE)], WIDTH, 27.0, Some(tag));
    block.put(Mark::rule(0.0, block.height + 2.0, WIDTH, Pen::solid(Ink::Black, 0.9)), None);
    block.height += 12.0;
    flow.put(block);
    flow.fact(section, "Dated", &document.dated.to_string());
    for part in &document.parts {
        set_part(&mut flow, section, part);
    }
    flow.flush();
    set_feet(&mut flow, document);
    flow.finish()
}

fn set_part(flow: &mut Flow<'_>, section: NodeId, part: &Part) {
    match part {
        Part::Fact(label, value) => flow.fact(section, label, value),
        Part::Heading(words) => flow.subheading(section, words, true),
        Part::Paragraph(words) => flow.paragraph(section, &[Span::new(words, BODY)]),
        Part::Numbered(number, words, small) => set_numbered(flow, section, *number, words, small),
        Part::Quote(words) => flow.quote(section, &[Span::new(words, BODY)]),
        Part::Notice(words) => {
            let tag = flow.tree.add(section, Role::Paragraph);
            flow.put_text(&[Span::new(words, BODY_BOLD)], tag, NUMBER, BODY_LEADING);
            flow.space(5.0);
        }
        Part::Small(words) => flow.paragraph(section, &[Span::new(words, LABEL)]),
    }
}

fn set_numbered(flow: &mut Flow<'_>, section: NodeId, number: usize, words: &str, small: &str) {
    flow.together(|flow| {
        let tag = flow.tree.add(section, Role::Paragraph);
        let text = flow.text_block(&[Span::new(words, BODY)], WIDTH - NUMBER, BODY_LEADING, Some(tag));
        let mut block =
            flow.text_block(&[Span::new(&format!("{number}."), BODY_BOLD)], NUMBER, BODY_LEADING, Some(tag));
        block.absorb(text, NUMBER, 0.0);
        flow.put(block);
        if !small.is_empty() {
            let tag = flow.tree.add(section, Role::Paragraph);
            flow.put_text(&[Span::new(small, LABEL)], tag, NUMBER, 12.2);
        }
        flow.space(7.0);
    });
}

fn set_feet(flow: &mut Flow<'_>, document: &Document) {
    let count = flow.sheets.len();
    let typeface = flow.typeface;
    for (place, sheet) in flow.sheets.iter_mut().enumerate() {
        let mut marks = vec![Mark::rule(MARGIN, BOTTOM + 22.0, WIDTH, HAIRLINE)];
        let words = "A letter, not a report: it carries no seal.";
        marks.push(line(typeface, words, FOOT, MARGIN, BOTTOM + 34.0, 0.0));
        let number = format!("page {} of {count}", place + 1);
        marks.push(line(typeface, &number, FOOT, PAGE_WIDTH - MARGIN, BOTTOM + 34.0, 1.0));
        if document.demonstration {
            marks.extend(banner(typeface));
        }
        sheet.marks.extend(marks.into_iter().map(|mark| Tagged { mark, tag: None }));
    }
}
