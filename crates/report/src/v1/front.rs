//! Page 1: the answer.

use model::{CornerName, DriveWarning, Side};

use super::{
    Subject,
    corner::heading_key,
    drawing::{put_glyph, put_square_code},
    face::Face,
    flow::{Block, Flow, MARGIN, WIDTH},
    glyph::{Caption, DiscGlyph},
    ink::Ink,
    mark::{Area, Link, Mark, Pen, Place, Step, Target},
    setting::{BODY, HAIRLINE, LABEL, SMALL, SMALL_BOLD, SMALL_LEADING},
    text::{Span, Style, keep_together},
    tree::{NodeId, Role, Tree},
    words,
};

const TITLE: Style = Style::new(Face::Bold, 25.0, Ink::Black);
const CAR: Style = Style::new(Face::Bold, 14.0, Ink::Black);
const LEAD: Style = Style::new(Face::Bold, 15.0, Ink::Black);
const FURTHER: Style = Style::new(Face::Regular, 11.5, Ink::Black);
/// The least and the greatest radius of a ring in the plan.
const RADII: (f64, f64) = (25.0, 44.0);
const CAPTION_LEADING: f64 = 12.6;
/// What stands above the rings: which way the front is.
const HEADROOM: f64 = 16.0;
/// The greatest height of the frame that says do not drive, so that page 1 holds the rest too.
const MOST_FRAMED: f64 = 130.0;
/// A title is cut to so many letters where a frame does not hold it; it stands whole on the next page.
const MOST_LETTERS: usize = 240;
/// What a frame needs around its text.
const FRAME_EXTRA: f64 = 15.0;
/// What the plan needs besides its rings.
const PLAN_EXTRA: f64 = 36.0;

/// Sets page 1: whatever the answer says, the four corners, the cost and the seal stand on it.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let section = flow.tree.add(Tree::ROOT, Role::Section);
    set_title(flow, subject, section);
    set_stop(flow, subject, section);
    set_answer(flow, subject, section);
    let seal = seal_row(flow, subject, section);
    let least_plan = 2.0 * (RADII.0 * (DiscGlyph::UP + DiscGlyph::DOWN) + 9.0) + PLAN_EXTRA;
    let room = flow.left() - seal.block.height - least_plan;
    set_seen_to_first(flow, subject, section, room);
    // The rings are as large as what stands above and below them leaves.
    let room = (flow.left() - seal.block.height - PLAN_EXTRA - 14.0) / (2.0 * (DiscGlyph::UP + DiscGlyph::DOWN));
    set_plan(flow, subject, section, room.clamp(RADII.0, RADII.1));
    set_seal(flow, seal);
}

fn set_title(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let inspection = &subject.record.inspection;
    let tag = flow.tree.add(section, Role::Heading1);
    let mut block = flow.text_block(&[Span::new("Brake condition report", TITLE)], WIDTH * 0.62, 30.0, Some(tag));
    let firm = flow.tree.add(section, Role::Paragraph);
    let firm_block = flow.text_block(
        &[
            Span::new(inspection.inspector.firm.as_str(), SMALL_BOLD),
            Span::new(&format!("\n{}", inspection.inspector.contact), SMALL),
        ],
        WIDTH * 0.36,
        SMALL_LEADING,
        Some(firm),
    );
    let height = block.height;
    block.absorb(firm_block, WIDTH * 0.66, 3.0);
    block.height = height.max(block.height);
    block.heading = Some(super::flow::Heading { text: "The answer".into(), level: 1, key: None });
    block.put(Mark::rule(0.0, block.height + 2.0, WIDTH, Pen::solid(Ink::Black, 1.2)), None);
    block.height += 10.0;
    flow.put(block);

    let car = &inspection.car;
    let tag = flow.tree.add(section, Role::Paragraph);
    let block = flow.text_block(&[Span::new(car.description.as_str(), CAR)], WIDTH, 19.0, Some(tag));
    flow.put(block);
    let by = &inspection.instruction.by;
    set_facts(
        flow,
        section,
        &[
            ("Identification number (VIN)", car.vin.as_str().to_owned(), 0.31),
            ("Registration", car.registration.to_string(), 0.19),
            ("Odometer", words::odometer(car.odometer), 0.29),
            ("Instructed by", format!("{}, {}", by.name, by.role.words()), 0.21),
        ],
    );
    set_facts(
        flow,
        section,
        &[
            ("Visited", words::moment(&inspection.visited_at), 0.31),
            ("Where", inspection.place.to_string(), 0.4),
            ("Owner at the visit", inspection.instruction.owner.to_string(), 0.29),
        ],
    );
}

/// Labels with their values under them, side by side.
fn set_facts(flow: &mut Flow<'_>, section: NodeId, facts: &[(&str, String, f64)]) {
    let mut row = Block::default();
    let mut x = 0.0;
    for (label, value, share) in facts {
        let tag = flow.tree.add(section, Role::Paragraph);
        let width = share * WIDTH;
        let style = Style::new(Face::Regular, 8.5, Ink::Grey);
        let spans = [Span::new(label, style), Span::new(&format!("\n{value}"), BODY)];
        let block = flow.text_block(&spans, width - 8.0, 12.8, Some(tag));
        row.absorb(block, x, 0.0);
        x += width;
    }
    row.height += 5.0;
    flow.put(row);
}

/// The answer. Where the car must not be driven, the frame above has said the first sentence already.
fn set_answer(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let reckoning = &subject.record.reckoning;
    let is_stopped = reckoning.drive_warnings.iter().any(|warning| warning.do_not_drive);
    flow.space(5.0);
    for (place, sentence) in reckoning.answer.lead.iter().skip(usize::from(is_stopped)).enumerate() {
        let (style, leading) = if place == 0 { (LEAD, 19.5) } else { (FURTHER, 15.6) };
        let tag = flow.tree.add(section, Role::Paragraph);
        flow.put_text(&[Span::new(&sentence.text, style)], tag, 0.0, leading);
        flow.space(if place == 0 { 4.0 } else { 2.0 });
    }
    if !is_stopped {
        let tag = flow.tree.add(section, Role::Paragraph);
        let words = "No finding says do not drive. That is never a clearance to drive.";
        flow.put_text(&[Span::new(words, SMALL)], tag, 0.0, SMALL_LEADING);
    }
    flow.space(4.0);
}

/// Do not drive, and why: the answer's first sentence with the gravest reason, then the others that a frame holds. All
/// stand on the next page too, with their sources.
fn set_stop(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let reckoning = &subject.record.reckoning;
    let stop: Vec<_> = reckoning.drive_warnings.iter().filter(|warning| warning.do_not_drive).collect();
    let (Some(sentence), [_, others @ ..]) = (reckoning.answer.lead.first(), stop.as_slice()) else { return };
    let title_style = Style::new(Face::Bold, 15.0, Ink::Rust);
    let style = Style::new(Face::Bold, 10.5, Ink::Rust);
    flow.space(6.0);
    let frame = Frame { title: &sentence.text, title_style, style, pen: Pen::solid(Ink::Rust, 2.6) };
    frame.set(flow, section, others, MOST_FRAMED);
}

fn set_seen_to_first(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, room: f64) {
    let first: Vec<_> =
        subject.record.reckoning.drive_warnings.iter().filter(|warning| !warning.do_not_drive).collect();
    if first.is_empty() {
        return;
    }
    let title = Style::new(Face::Bold, 11.0, Ink::Black);
    let frame =
        Frame { title: "To be seen to first", title_style: title, style: SMALL, pen: Pen::solid(Ink::Black, 1.0) };
    frame.set(flow, section, &first, room);
}

/// Warnings in a frame.
struct Frame<'a> {
    title: &'a str,
    title_style: Style,
    style: Style,
    pen: Pen,
}

impl Frame<'_> {
    /// Sets as many of the warnings as the height holds, and how many more there are. A title that alone is too high is
    /// cut.
    fn set(&self, flow: &mut Flow<'_>, section: NodeId, warnings: &[&DriveWarning], most: f64) {
        let tag = flow.tree.add(section, Role::Paragraph);
        let (mut shown, mut letters) = (warnings.len(), usize::MAX);
        let text = loop {
            let text = flow.stack(&self.spans(warnings, shown, letters), WIDTH - 24.0, Some(tag));
            if text.height + FRAME_EXTRA <= most || letters == MOST_LETTERS {
                break text;
            }
            match shown.checked_sub(1) {
                Some(fewer) => shown = fewer,
                None => letters = MOST_LETTERS,
            }
        };
        let mut block = Block::default();
        let area = Area::new(1.0, 0.0, WIDTH - 2.0, text.height + FRAME_EXTRA - 2.0);
        block.put(Mark::frame(area, None, Some(self.pen)), None);
        block.absorb(text, 12.0, 6.0);
        block.height += FRAME_EXTRA - 6.0;
        flow.put(block);
    }

    fn spans(&self, warnings: &[&DriveWarning], shown: usize, letters: usize) -> Vec<Span> {
        let cut: String = self.title.chars().take(letters).collect();
        let sign = if cut.len() < self.title.len() { " …" } else { "" };
        let mut spans = vec![Span::new(&format!("{cut}{sign}"), self.title_style)];
        spans.extend(warnings[..shown].iter().map(|warning| Span::new(&format!("\n{}", warning.text), self.style)));
        let more = warnings.len() - shown;
        if more > 0 {
            let words = format!("\nand {more} more, on the next page");
            spans.push(Span::new(&words, Style { size: 9.0, ..self.style }));
        }
        spans
    }
}

/// The four glyphs in the car's own plan, the front at the top.
fn set_plan(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, radius: f64) {
    let record = subject.record;
    let row = radius * (DiscGlyph::UP + DiscGlyph::DOWN) + 9.0;
    let mut block = Block { height: 2.0 * row + PLAN_EXTRA - 14.0, ..Block::default() };
    let middle = WIDTH / 2.0;
    let front = Style::new(Face::Regular, 8.5, Ink::Grey);
    let words = "front of the car";
    let width = flow.typeface.measure(words, front.face, front.size);
    let at = Place { x: middle + 9.0, y: 8.5 };
    block.put(Mark::Text { at, width, text: words.into(), style: front }, None);
    let arrow = |x: f64, y: f64| Place { x: middle + x, y };
    let steps = vec![Step::Move(arrow(-4.0, 7.0)), Step::Line(arrow(0.0, 1.0)), Step::Line(arrow(4.0, 7.0))];
    block.put(Mark::Path { steps, fill: None, pen: Some(Pen::solid(Ink::Grey, 0.9)) }, None);
    block.put(Mark::upright(middle, 1.0, block.height - 6.0, HAIRLINE), None);
    for &corner in CornerName::ALL {
        let reckoning = record.reckoning.corners.at(corner);
        let glyph = DiscGlyph::of(corner, record.inspection.corners.at(corner), reckoning);
        let top = if corner.axle() == model::Axle::Front { HEADROOM } else { HEADROOM + row };
        let from_edge = radius * DiscGlyph::HALF_WIDTH;
        let (x, side) = match corner.side() {
            Side::Left => (from_edge, -1.0),
            Side::Right => (WIDTH - from_edge, 1.0),
        };
        let centre = Place { x, y: top + radius * DiscGlyph::UP };
        let figure =
            flow.tree.add_figure(section, Caption::of(&record.inspection, &record.reckoning, corner).sentence());
        put_glyph(&mut block, flow.typeface, &glyph, centre, radius, figure);
        let tag = flow.tree.add(section, Role::Paragraph);
        let most = middle - 2.0 * from_edge - 16.0;
        put_caption(&mut block, flow, subject, corner, (middle + side * 9.0, most), (top, row - 5.0), tag);
        let link = flow.tree.add(section, Role::Link);
        block.links.push(Link {
            area: Area::new(if side < 0.0 { 0.0 } else { middle + 4.0 }, top, middle - 4.0, row - 6.0),
            target: Target::Heading(heading_key(corner)),
            words: format!("To the page of the {} corner", corner.words()),
            tag: link,
        });
    }
    flow.put(block);
}

fn put_caption(
    block: &mut Block,
    flow: &Flow<'_>,
    subject: &Subject<'_>,
    corner: CornerName,
    (edge, most): (f64, f64),
    (top, height): (f64, f64),
    tag: NodeId,
) {
    let Caption { title, lines } = Caption::of(&subject.record.inspection, &subject.record.reckoning, corner);
    let title = std::iter::once((title, Style::new(Face::Bold, 11.5, Ink::Black)));
    let lines = lines
        .into_iter()
        .enumerate()
        .map(|(place, line)| (line, if place == 0 { SMALL_BOLD } else { LABEL.ink(Ink::Black) }));
    let count = lines.len() as f64 + 1.0;
    let leading = CAPTION_LEADING.min(height / count);
    let most_size = (leading * 0.84).max(7.5);
    let mut y = top + (height - leading * count) / 2.0;
    for (place, (text, style)) in title.chain(lines).enumerate() {
        // The caption stands between glyph and middle; what is longer is set smaller.
        let width = flow.typeface.measure(&text, style.face, style.size);
        let fits = if width > most { style.size * most / width } else { style.size };
        let size = if place == 0 { fits } else { fits.min(most_size) };
        let width = width * size / style.size;
        let style = Style { size, ..style };
        let x = if corner.side() == Side::Left { edge - width } else { edge };
        block.put(Mark::Text { at: Place { x, y: y + 9.0 }, width, text, style }, Some(tag));
        y += leading;
    }
}

/// The foot of page 1, and how high the seal in it is.
struct SealRow {
    block: Block,
    seal: Area,
}

/// What it costs, who signs, how to check.
fn seal_row(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) -> SealRow {
    let columns = [0.0, 0.27 * WIDTH, 0.61 * WIDTH];
    let cost = cost_block(flow, subject, section, columns[1] - 10.0);
    let (signs, height) = seal_block(flow, subject, section, columns[2] - columns[1] - 24.0);
    let check = check_block(flow, subject, section, WIDTH - columns[2]);
    let mut block = Block::default();
    block.put(Mark::rule(0.0, 0.0, WIDTH, HAIRLINE), None);
    block.absorb(cost, columns[0], 10.0);
    block.absorb(signs, columns[1] + 6.0, 14.0);
    block.absorb(check, columns[2], 11.0);
    SealRow { block, seal: Area::new(columns[1], 8.0, columns[2] - columns[1] - 12.0, height + 12.0) }
}

/// Puts the foot of page 1 down at the page's end.
fn set_seal(flow: &mut Flow<'_>, row: SealRow) {
    let spare = flow.left() - row.block.height;
    if spare > 0.0 {
        flow.space(spare);
        if flow.sheets.len() == 1 {
            let Area { x, y, width, height } = row.seal;
            flow.seal = Some(Area::new(MARGIN + x, flow.y() + y, width, height));
        }
    }
    flow.put(row.block);
}

fn cost_block(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, width: f64) -> Block {
    let tag = flow.tree.add(section, Role::Paragraph);
    let figure = Style::new(Face::Bold, 15.0, Ink::Black);
    let spans = match &subject.record.reckoning.cost {
        None => vec![
            Span::new("What it costs\n", LABEL),
            Span::new("No price list was given, so no cost is reckoned.", SMALL),
        ],
        Some(cost) => vec![
            Span::new("Due now, tax included\n", LABEL),
            Span::new(&words::money(cost.currency, cost.due_now), figure),
            Span::new("\nWhole price list, tax included\n", LABEL),
            Span::new(&words::money(cost.currency, cost.all), Style { size: 12.0, ..figure }),
        ],
    };
    flow.stack(&spans, width, Some(tag))
}

fn seal_block(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, width: f64) -> (Block, f64) {
    let record = subject.record;
    let tag = flow.tree.add(section, Role::Paragraph);
    let blue = |size: f64, face: Face| Style::new(face, size, Ink::Blue);
    let spans = [
        Span::new("Signed and sealed by\n", LABEL),
        Span::new(record.author.as_str(), blue(12.5, Face::Bold)),
        Span::new(&format!("\n{}\n", record.inspection.inspector.firm), blue(9.5, Face::Regular)),
        Span::new(&words::moment(&record.frozen_at), blue(9.5, Face::Regular)),
    ];
    let text = flow.stack(&spans, width - 10.0, Some(tag));
    let mut block = Block::default();
    let height = text.height;
    block.put(
        Mark::frame(Area::new(-4.0, -4.0, width + 6.0, height + 8.0), None, Some(Pen::solid(Ink::Blue, 0.8))),
        None,
    );
    block.put(
        Mark::frame(Area::new(-6.5, -6.5, width + 11.0, height + 13.0), None, Some(Pen::solid(Ink::Blue, 0.4))),
        None,
    );
    block.absorb(text, 3.0, 0.0);
    (block, height)
}

fn check_block(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, width: f64) -> Block {
    let record = subject.record;
    let side = 68.0;
    let code = match &record.verify_at {
        Some(address) => format!("{address}#{}", subject.digest),
        None => subject.digest.to_string(),
    };
    let mut block = Block { height: side, ..Block::default() };
    let figure = flow.tree.add_figure(section, format!("A QR code that holds {code}"));
    if let Some(mark) = put_square_code(&code, Place { x: 0.0, y: 0.0 }, side) {
        block.put(mark, Some(figure));
    }
    let tag = flow.tree.add(section, Role::Paragraph);
    let how = match &record.verify_at {
        Some(_) => "Scan the code, or open the address below it, and give it this file.".to_owned(),
        None => format!("Have this file checked by {}.", record.inspection.inspector.firm),
    };
    let spans = [
        Span::new("How to check it\n", LABEL),
        Span::new(&how, SMALL),
        Span::new("\nShort digest of the record\n", LABEL),
        Span::new(&keep_together(&subject.digest.short()), SMALL_BOLD),
    ];
    let text = flow.stack(&spans, width - side - 10.0, Some(tag));
    block.absorb(text, side + 8.0, -2.0);
    if let Some(address) = &record.verify_at {
        let address = flow.stack(&[Span::new(address.as_str(), SMALL.ink(Ink::Blue))], width, Some(tag));
        block.absorb(address, 0.0, side + 3.0);
    }
    if let Some(address) = record.verify_at.as_ref().filter(|address| can_be_followed(address.as_str())) {
        let link = flow.tree.add(section, Role::Link);
        block.links.push(Link {
            area: Area::new(0.0, 0.0, width - 6.0, side),
            target: Target::Address(format!("{address}#{}", subject.digest)),
            words: "To the page where this file can be checked".into(),
            tag: link,
        });
    }
    block
}

/// An address that a reader can press on: https, and nothing that would need another spelling.
fn can_be_followed(address: &str) -> bool {
    address.starts_with("https://")
        && !address.contains('#')
        && address.bytes().all(|byte| byte.is_ascii_graphic() && !b"()<>\\\"".contains(&byte))
}
