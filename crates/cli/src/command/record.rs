use std::fmt::Write as _;

use api::{
    Fault, find_statement,
    model::{ConditionStatement, CornerName, CornerReckoning, Figure, Inspection, Reckoning, Record, Sentence, Sha256},
    show_record,
};

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{Reckon, Show},
};

pub fn reckon(arguments: &Reckon) -> Result<Answer, Fault> {
    let (inspection, reckoning) = api::reckon(&WORLD, &arguments.inspection)?;
    let text = format!("{}\n{}", describe_car(&inspection), describe_reckoning(&reckoning));
    Ok(Answer::told(text, &reckoning))
}

pub fn show(arguments: &Show) -> Result<Answer, Fault> {
    if !arguments.record
        && let Some(statement) = find_statement(&WORLD, &arguments.file)?
    {
        return Ok(Answer::told(describe_statement(&statement), &statement));
    }
    let shown = show_record(&WORLD, &arguments.file)?;
    if arguments.record {
        return Ok(Answer::bytes(shown.bytes));
    }
    let digest = Sha256::of(&shown.bytes);
    Ok(Answer::told(describe_record(&shown.record, digest), &shown.record))
}

fn describe_statement(statement: &ConditionStatement) -> String {
    let content = &statement.content;
    let mut text = format!(
        "This is what the file says; whether it is genuine is for `rimside verify`.\n\n\
         Condition statement of {}, for {}\n{}, VIN {}, registration {}\nAsked by {} on {}\n",
        statement.author,
        content.firm,
        content.car.description,
        content.car.vin,
        content.car.registration,
        content.asked_by,
        content.asked_on
    );
    if let Some(report) = &statement.rests_on {
        let _ = writeln!(text, "Rests on the report of {}, found {}", report.signed_by, report.found.words());
    }
    for (place, answer) in content.answers.iter().enumerate() {
        let (question, said) = (&answer.question, &answer.answer);
        let _ = writeln!(text, "\n{}. {question}\n   {said}\n   Rests on: {}", place + 1, answer.basis.words());
    }
    for undertaking in &content.before_handover {
        let _ = writeln!(text, "\nBefore handover, by {}: {}", undertaking.by_day, undertaking.what);
    }
    text
}

fn describe_car(inspection: &Inspection) -> String {
    let car = &inspection.car;
    let demonstration = if inspection.demonstration { "Demonstration: everything here is invented.\n" } else { "" };
    format!(
        "{demonstration}{}, registration {}\nVisited {} in {} by {}, {}, for {}\n",
        car.description,
        car.registration,
        inspection.visited_at.format("%Y-%m-%d %H:%M %:z"),
        inspection.place,
        inspection.inspector.name,
        inspection.inspector.firm,
        inspection.instruction.by.name,
    )
}

fn describe_record(record: &Record, digest: Sha256) -> String {
    let mut text = format!(
        "This is what the file says; whether it is genuine is for `rimside verify`.\n\n{}",
        describe_car(&record.inspection)
    );
    let _ = writeln!(
        text,
        "Record {} of {}, frozen {} by {}\nDigest {}, in short {}\n{} photographs, {} readings\n",
        record.device.sequence,
        record.device.id,
        record.frozen_at.format("%Y-%m-%d %H:%M %:z"),
        record.author,
        digest,
        digest.short(),
        record.inspection.photographs.len(),
        record.inspection.readings.len(),
    );
    text.push_str(&describe_reckoning(&record.reckoning));
    text
}

fn describe_reckoning(reckoning: &Reckoning) -> String {
    let mut text = String::new();
    write_sentences(&mut text, "", &reckoning.answer.lead);
    for warning in &reckoning.drive_warnings {
        let what = if warning.do_not_drive { "Do not drive" } else { "See to it first" };
        let _ = writeln!(text, "{what}: {}", warning.text);
    }
    text.push('\n');
    for &corner in CornerName::ALL {
        write_corner(&mut text, corner, reckoning.corners.at(corner));
    }
    if let Some(cost) = &reckoning.cost {
        let currency = cost.currency.code();
        let _ =
            writeln!(text, "\nDue now {} {currency}, all lines {} {currency}, tax included", cost.due_now, cost.all);
    }
    write_sentences(&mut text, "\nWhy\n", &reckoning.answer.why);
    write_sentences(&mut text, "\nLimits\n", &reckoning.answer.limits);
    text
}

fn write_sentences(text: &mut String, title: &str, sentences: &[Sentence]) {
    if sentences.is_empty() {
        return;
    }
    text.push_str(title);
    for sentence in sentences {
        let _ = writeln!(text, "{}", sentence.text);
    }
}

fn write_corner(text: &mut String, corner: CornerName, reckoned: &CornerReckoning) {
    let _ = writeln!(
        text,
        "{:<12} disc {}, pads {}",
        corner.words(),
        reckoned.disc_stage.words(),
        reckoned.pad_stage.words()
    );
    let parts = [
        ("whole disc", &reckoned.bulk),
        ("outer face", &reckoned.outer_face),
        ("inner face", &reckoned.inner_face),
        ("outer pad", &reckoned.outer_pad),
        ("inner pad", &reckoned.inner_pad),
    ];
    for (part, figure) in parts {
        if let Some(Figure { value, uncertainty, low, high, .. }) = figure {
            let _ = writeln!(
                text,
                "{:13}{part:<11} {:.0} ± {:.0} % worn (95 %: {:.0} to {:.0} %)",
                "",
                100.0 * value,
                (100.0 * uncertainty).max(1.0),
                100.0 * low,
                100.0 * high
            );
        }
    }
    for missing in &reckoned.missing {
        let _ = writeln!(text, "{:13}not known: {missing}", "");
    }
}
