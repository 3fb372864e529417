//! A page for each corner.

use model::{
    Calliper, Corner, CornerName, Defect, Disc, Face, FaceName, Inspected, Instrument, Measurand, MeasuredFace, Pad,
    PadName, Reading, ReferenceStage,
};

use super::{
    Subject,
    drawing::put_glyph,
    flow::{Block, Flow, WIDTH},
    glyph::{Caption, DiscGlyph},
    ink::Ink,
    mark::{HeadingKey, Mark, Place},
    photographs,
    setting::{BODY, HAIRLINE, LABEL, SMALL, SMALL_BOLD, SMALL_LEADING, Table},
    text::{Span, Style},
    tree::{NodeId, Role},
    words,
};

const RADIUS: f64 = 56.0;
const FIGURE: Style = Style::new(super::face::Face::Bold, 18.0, Ink::Black);

/// The heading of a corner's page, for links to it.
pub(crate) fn heading_key(corner: CornerName) -> HeadingKey {
    HeadingKey(corner as u16)
}

/// Sets a corner's pages.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>, corner: CornerName) {
    flow.turn_page();
    let section = flow.section(&words::capital(corner.words()), Some(heading_key(corner)));
    set_head(flow, subject, corner, section);
    match subject.record.inspection.corners.at(corner) {
        Inspected::NotInspected(reason) => {
            flow.paragraph(section, &[Span::new(&format!("This corner was not inspected: {reason}."), BODY)]);
        }
        Inspected::Seen(seen) => {
            set_faces(flow, subject, corner, seen, section);
            set_pads(flow, subject, corner, seen, section);
            flow.together(|flow| set_bell_and_calliper(flow, seen, section));
        }
    }
    flow.together(|flow| set_disc(flow, subject.record.inspection.car.disc(corner), section));
    let readings: Vec<&Reading> =
        subject.record.inspection.readings.iter().filter(|reading| reading.of.corner() == Some(corner)).collect();
    set_readings(flow, subject, &readings, section);
    photographs::set(flow, subject, section, "Photographs", |shown| shown.corner() == Some(corner));
}

/// The glyph at the left, the figures that were measured beside it.
fn set_head(flow: &mut Flow<'_>, subject: &Subject<'_>, corner: CornerName, section: NodeId) {
    let record = subject.record;
    let reckoning = record.reckoning.corners.at(corner);
    let glyph = DiscGlyph::of(corner, record.inspection.corners.at(corner), reckoning);
    let mut block = Block::default();
    let centre = Place { x: RADIUS * DiscGlyph::HALF_WIDTH, y: 6.0 + RADIUS * DiscGlyph::UP };
    let figure = flow.tree.add_figure(section, Caption::of(&record.inspection, &record.reckoning, corner).sentence());
    put_glyph(&mut block, flow.typeface, &glyph, centre, RADIUS, figure);
    let glyph_width = 2.0 * RADIUS * DiscGlyph::HALF_WIDTH;
    let tag = flow.tree.add(section, Role::Paragraph);
    let stages = [
        Span::new(&words::capital(&words::stage("disc", reckoning.disc_stage)), SMALL_BOLD),
        Span::new(&format!("\n{}", words::capital(&words::stage("pads", reckoning.pad_stage))), SMALL_BOLD),
    ];
    let under = flow.text_block(&stages, glyph_width, SMALL_LEADING, Some(tag));
    block.absorb(under, 0.0, centre.y + RADIUS * DiscGlyph::DOWN + 10.0);

    let left = glyph_width + 16.0;
    let column = (WIDTH - left) / 2.0;
    let mut y = 2.0;
    for pair in cards(subject, corner).chunks(2) {
        let mut height = 0.0_f64;
        for (side, card) in pair.iter().enumerate() {
            let card = card_block(flow, card, column - 10.0, section);
            let x = left + side as f64 * column;
            block.put(Mark::rule(x, y, column - 10.0, HAIRLINE), None);
            height = height.max(card.height);
            block.absorb(card, x, y + 3.0);
        }
        y += height + 9.0;
    }
    block.height += 8.0;
    flow.put(block);
}

fn card_block(flow: &mut Flow<'_>, card: &Card, width: f64, section: NodeId) -> Block {
    let tag = flow.tree.add(section, Role::Paragraph);
    // The figure is as large as it can be on one line.
    let natural = flow.typeface.measure(&card.figure, FIGURE.face, FIGURE.size);
    let size = if natural > width { FIGURE.size * width / natural } else { FIGURE.size };
    let mut spans =
        vec![Span::new(&format!("{}\n", card.label), LABEL), Span::new(&card.figure, Style { size, ..FIGURE })];
    if !card.marks.is_empty() {
        spans.push(Span::new(&format!("\n{}", card.marks), LABEL));
    }
    flow.stack(&spans, width + 0.5, Some(tag))
}

struct Card {
    label: String,
    figure: String,
    marks: String,
}

/// Up to eight readings of a corner, those with a mark on the part first, each with that mark.
fn cards(subject: &Subject<'_>, corner: CornerName) -> Vec<Card> {
    let inspection = &subject.record.inspection;
    let disc = inspection.car.disc(corner);
    let pads = inspection.car.pads(corner.axle());
    let mut readings: Vec<&Reading> =
        inspection.readings.iter().filter(|reading| reading.of.corner() == Some(corner)).collect();
    readings.sort_by_key(|reading| match reading.of {
        Measurand::DiscMass { .. } => 0,
        Measurand::DiscThickness { .. } => 1,
        Measurand::Lining { .. } => 2,
        Measurand::Electrical { .. } => 3,
        Measurand::Runout { .. } | Measurand::ThicknessVariation { .. } => 4,
        Measurand::BrakeForce { .. } | Measurand::FluidBoilingPoint => 5,
    });
    readings
        .into_iter()
        .take(8)
        .map(|reading| {
            let marks = match reading.of {
                Measurand::DiscMass { .. } => join_marks(&[
                    ("minimum", disc.minimum_mass_g.map(|mass| words::number(mass.value(), 0) + " g")),
                    ("new", disc.new_mass_g.map(|mass| words::number(mass.value(), 0) + " g")),
                ]),
                Measurand::DiscThickness { .. } => join_marks(&[
                    ("minimum", disc.minimum_thickness_mm.map(millimetres)),
                    ("new", disc.new_thickness_mm.map(millimetres)),
                ]),
                Measurand::Lining { .. } => join_marks(&[
                    ("renew at", pads.renewal_mark_mm.map(millimetres)),
                    ("new", pads.lining_new_mm.map(millimetres)),
                ]),
                Measurand::Runout { .. } => join_marks(&[("at most", disc.most_runout_mm.map(millimetres))]),
                Measurand::ThicknessVariation { .. } => {
                    join_marks(&[("at most", disc.most_thickness_variation_mm.map(millimetres))])
                }
                Measurand::Electrical { .. } | Measurand::BrakeForce { .. } | Measurand::FluidBoilingPoint => {
                    String::new()
                }
            };
            Card { label: words::capital(&words::measurand(reading.of)), figure: words::measured(reading), marks }
        })
        .collect()
}

fn join_marks(marks: &[(&str, Option<String>)]) -> String {
    let known: Vec<String> =
        marks.iter().filter_map(|(name, mark)| mark.as_ref().map(|mark| format!("{name} {mark}"))).collect();
    known.join(" · ")
}

fn millimetres(length: model::Millimetre) -> String {
    format!("{} mm", length.value())
}

fn set_faces(flow: &mut Flow<'_>, subject: &Subject<'_>, corner: CornerName, seen: &Corner, section: NodeId) {
    let reckoning = subject.record.reckoning.corners.at(corner);
    flow.subheading(section, "The two faces of the disc", false);
    let mut table =
        Table::new(&[(0.26, ""), (0.37, "Outer face, away from the car"), (0.37, "Inner face, towards the car")]);
    let faces = [&seen.outer_face, &seen.inner_face];
    let mut row = |label: &str, cell: &dyn Fn(&Face) -> String| {
        let cells = faces.map(|face| face.seen().map(cell).unwrap_or_default());
        if cells.iter().any(|cell| !cell.is_empty()) {
            table.rows.push(labelled(label, &cells));
        }
    };
    row("How it was seen", &|face| face.seen.words().to_owned());
    row("Touch", &|face| face.touch.map_or("not told", model::Touch::words).to_owned());
    row("Fibre pattern", &|face| face.fibre_pattern.map_or("not told", model::FibrePattern::words).to_owned());
    row("Colour", &|face| face.colour.map_or("not told", model::Colour::words).to_owned());
    row("Defects", &|face| {
        let defects: Vec<String> = face.defects.iter().map(defect_words).collect();
        if defects.is_empty() { "none seen".to_owned() } else { defects.join("\n") }
    });
    row("Note", &|face| face.note.as_ref().map(ToString::to_string).unwrap_or_default());
    let reasons = faces.map(|face| face.reason().map(|reason| format!("not inspected: {reason}")).unwrap_or_default());
    if reasons.iter().any(|reason| !reason.is_empty()) {
        table.rows.insert(0, labelled("Not inspected", &reasons));
    }
    let measured = FaceName::ALL.iter().map(|&face| {
        subject.record.inspection.find_measured_face(corner, face).map(measured_words).unwrap_or_default()
    });
    let measured: Vec<String> = measured.collect();
    if let [outer, inner] = &measured[..]
        && !(outer.is_empty() && inner.is_empty())
    {
        table.rows.push(labelled("Measured in its photograph", &[outer.clone(), inner.clone()]));
    }
    let wear = [&reckoning.outer_face, &reckoning.inner_face]
        .map(|figure| figure.as_ref().map_or_else(|| "not reckoned".to_owned(), words::wear));
    table.rows.push(labelled("Wear of the surface", &wear));
    let bulk = reckoning.bulk.as_ref().map_or_else(|| "not reckoned".to_owned(), words::wear);
    table.rows.push(labelled("Wear of the whole disc", &[bulk, String::new()]));
    flow.table(section, &table);
}

/// What the photograph of a face shows, and which of the inspector's references it is most like.
fn measured_words((id, measured): (&model::Label, &MeasuredFace)) -> String {
    let pattern = &measured.seen.pattern;
    let percent = |share: f64| words::number(share * 100.0, 1);
    let mut text = format!(
        "{} ± {} % of the area stands out at {} mm; L* {}, a* {}, b* {}; {} mm a pixel (photograph {id})",
        percent(pattern.density[1].value),
        percent(pattern.density[1].uncertainty),
        model::Pattern::SCALES_MM[1],
        words::number(pattern.colour.l, 0),
        words::number(pattern.colour.a, 0),
        words::number(pattern.colour.b, 0),
        words::number(measured.seen.quality.mm_per_pixel, 2),
    );
    if let Some(proposal) = &measured.proposal {
        text += &match proposal.stage {
            Some(stage) => format!("\nmost like the inspector's references: {}", stage.words()),
            None => "\nunlike any of the inspector's references".to_owned(),
        };
        let distances: Vec<String> = ReferenceStage::ALL
            .iter()
            .zip(proposal.distances)
            .map(|(stage, distance)| format!("{} {}", stage.words(), words::number(distance, 1)))
            .collect();
        text += &format!(" (distances: {}; {} references)", distances.join(", "), proposal.references);
    }
    text
}

fn labelled(label: &str, cells: &[String; 2]) -> Vec<Vec<Span>> {
    let mut row = vec![vec![Span::new(label, LABEL)]];
    row.extend(cells.iter().map(|cell| vec![Span::new(cell, SMALL)]));
    row
}

fn defect_words(defect: &Defect) -> String {
    let mut words = defect.kind.words().to_owned();
    if let Some(extent) = defect.extent {
        words += &format!(" {}", extent.words());
    }
    if let Some(size) = defect.size_mm {
        words += &format!(", {} mm", size.value());
    }
    match defect.place.hour {
        Some(hour) => words += &format!(", at {hour} o'clock (valve at 12)"),
        None => words += ", all round",
    }
    words += &format!(", {}", defect.place.zone.words());
    if let Some(note) = &defect.note {
        words += &format!("; {note}");
    }
    if !defect.photographs.is_empty() {
        let photographs: Vec<&str> = defect.photographs.iter().map(model::Label::as_str).collect();
        words += &format!("; photograph {}", photographs.join(", "));
    }
    words
}

fn set_pads(flow: &mut Flow<'_>, subject: &Subject<'_>, corner: CornerName, seen: &Corner, section: NodeId) {
    let reckoning = subject.record.reckoning.corners.at(corner);
    flow.subheading(section, "The pads", false);
    let mut table = Table::new(&[(0.26, ""), (0.37, "Outer pad"), (0.37, "Inner pad")]);
    let pads = [&seen.outer_pad, &seen.inner_pad];
    let reasons = pads.map(|pad| pad.reason().map(|reason| format!("not inspected: {reason}")).unwrap_or_default());
    if reasons.iter().any(|reason| !reason.is_empty()) {
        table.rows.push(labelled("Not inspected", &reasons));
    }
    let lining = [PadName::Outer, PadName::Inner].map(|pad| {
        let readings: Vec<String> =
            subject.record.inspection.readings_of(Measurand::Lining { corner, pad }).map(words::measured).collect();
        if readings.is_empty() { "not measured".to_owned() } else { readings.join("\n") }
    });
    table.rows.push(labelled("Lining", &lining));
    let mut row = |label: &str, cell: &dyn Fn(&Pad) -> String| {
        let cells = pads.map(|pad| pad.seen().map(cell).unwrap_or_default());
        if cells.iter().any(|cell| !cell.is_empty()) {
            table.rows.push(labelled(label, &cells));
        }
    };
    let yes = |answer: Option<bool>| match answer {
        None => "not told",
        Some(true) => "yes",
        Some(false) => "no",
    };
    row("Wear lead", &|pad| pad.lead.map_or("not told", model::WearLead::words).to_owned());
    row("Taper", &|pad| pad.taper_mm.map_or_else(|| "not measured".to_owned(), millimetres));
    row("Glazed", &|pad| yes(pad.glazed).to_owned());
    row("Crumbling", &|pad| yes(pad.crumbling).to_owned());
    row("Note", &|pad| pad.note.as_ref().map(ToString::to_string).unwrap_or_default());
    let wear = [&reckoning.outer_pad, &reckoning.inner_pad]
        .map(|figure| figure.as_ref().map_or_else(|| "not reckoned".to_owned(), words::wear));
    table.rows.push(labelled("Wear", &wear));
    flow.table(section, &table);
}

fn set_bell_and_calliper(flow: &mut Flow<'_>, seen: &Corner, section: NodeId) {
    flow.subheading(section, "Bell and calliper", false);
    match &seen.bell {
        Inspected::NotInspected(reason) => flow.fact(section, "Bell", &format!("not inspected: {reason}")),
        Inspected::Seen(bell) => {
            let loose = match bell.fixings.missing_or_loose {
                0 => "none missing or loose".to_owned(),
                count => format!("{count} missing or loose"),
            };
            let corroded = if bell.fixings.corroded { "corroded" } else { "not corroded" };
            flow.fact(section, "Bell", &format!("{}; fixings {loose}, {corroded}", bell.finish.words()));
            if let Some(note) = &bell.note {
                flow.fact(section, "Note on the bell", note.as_str());
            }
        }
    }
    match &seen.calliper {
        Inspected::NotInspected(reason) => flow.fact(section, "Calliper", &format!("not inspected: {reason}")),
        Inspected::Seen(Calliper { state, note }) => {
            flow.fact(section, "Calliper", state.words());
            if let Some(note) = note {
                flow.fact(section, "Note on the calliper", note.as_str());
            }
        }
    }
}

fn set_disc(flow: &mut Flow<'_>, disc: &Disc, section: NodeId) {
    flow.subheading(section, "The disc and its own marks", false);
    let grams = |mass: Option<model::Gram>| mass.map(|mass| words::number(mass.value(), 0) + " g");
    let mut known = vec![match &disc.serial {
        Some(serial) => format!("serial number {serial}"),
        None => "serial number not legible".to_owned(),
    }];
    known.extend(disc.diameter_mm.map(|mm| format!("diameter {}", millimetres(mm))));
    let pairs = [
        ("mass", grams(disc.minimum_mass_g), grams(disc.new_mass_g)),
        ("thickness", disc.minimum_thickness_mm.map(millimetres), disc.new_thickness_mm.map(millimetres)),
    ];
    for (what, minimum, new) in pairs {
        let marks = join_marks(&[("minimum", minimum), ("new", new)]);
        known.push(format!("{what} {}", if marks.is_empty() { "not known" } else { &marks }));
    }
    flow.paragraph(section, &[Span::new(&(words::capital(&known.join("; ")) + "."), SMALL)]);
    let electrical: Vec<_> = disc
        .electrical
        .iter()
        .map(|mark| format!("{}: new {}, limit {} {}", mark.at, mark.new, mark.limit, mark.unit.symbol()))
        .collect();
    if !electrical.is_empty() {
        let words = format!("Electrical marks: {}.", electrical.join("; "));
        flow.paragraph(section, &[Span::new(&words, SMALL)]);
    }
}

/// A table of readings with all their points and times, and the instruments that took them.
pub(crate) fn set_readings(flow: &mut Flow<'_>, subject: &Subject<'_>, readings: &[&Reading], section: NodeId) {
    if readings.is_empty() {
        return;
    }
    let visited = &subject.record.inspection.visited_at;
    flow.subheading(section, "What was measured", false);
    let mut table =
        Table::dense(&[(0.23, "Of what"), (0.2, "Measured"), (0.3, "Point by point"), (0.27, "With what, when")]);
    for reading in readings {
        let taken = &reading.taken_at;
        let same_day = taken.date_naive() == visited.date_naive() && taken.offset() == visited.offset();
        let when = if same_day { taken.format("%H:%M").to_string() } else { words::moment(taken) };
        table.rows.push(vec![
            vec![Span::new(&words::capital(&words::measurand(reading.of)), SMALL)],
            vec![Span::new(&words::measured(reading), SMALL_BOLD)],
            vec![Span::new(&words::points(reading), SMALL)],
            vec![Span::new(&format!("{}, {when}", reading.instrument.name), LABEL)],
        ]);
    }
    flow.table(section, &table);
}

/// The instruments of all readings, each once, and what stands after ±.
pub(crate) fn set_instruments(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId) {
    let mut instruments: Vec<String> = Vec::new();
    for reading in &subject.record.inspection.readings {
        let instrument = instrument_words(&reading.instrument);
        if !instruments.contains(&instrument) {
            instruments.push(instrument);
        }
    }
    if instruments.is_empty() {
        return;
    }
    let note = format!(
        "After the ± of a reading stands the standard uncertainty of one point (one standard deviation). Instruments: {}.",
        instruments.join("; ")
    );
    flow.paragraph(section, &[Span::new(&note, LABEL)]);
}

fn instrument_words(instrument: &Instrument) -> String {
    let serial = instrument.serial.as_ref().map_or_else(String::new, |serial| format!(", no. {serial}"));
    match instrument.calibrated_on {
        Some(day) => format!("{}{serial}, checked {day}", instrument.name),
        None => format!("{}{serial}, check not known", instrument.name),
    }
}
