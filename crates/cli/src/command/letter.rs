//! Letters and replies.

use api::{Existing, Fault, PagesTo, check_answers, write_questions};

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{Ask, PagesOut, ReplyTo},
};

pub fn ask(arguments: &Ask) -> Result<Answer, Fault> {
    let written = write_questions(&WORLD, &arguments.letter, pages_to(&arguments.pages))?;
    Ok(Answer::told(written.text.clone(), &written))
}

pub fn reply(arguments: &ReplyTo) -> Result<Answer, Fault> {
    let inspection = arguments.inspection.as_deref();
    let pages = pages_to(&arguments.pages);
    let checked = check_answers(&WORLD, &arguments.letter, &arguments.reply, inspection, pages)?;
    Ok(Answer::told(checked.text.clone(), &checked))
}

fn pages_to(arguments: &PagesOut) -> Option<PagesTo<'_>> {
    let existing = if arguments.replace { Existing::Replace } else { Existing::Refuse };
    arguments.out.as_deref().map(|out| PagesTo { out, existing })
}
