use api::Fault;

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{AttachTimestamp, RequestTimestamp},
};

pub fn request(arguments: &RequestTimestamp) -> Result<Answer, Fault> {
    let asked = api::request_timestamp(&WORLD, &arguments.file, &arguments.out)?;
    let text = format!(
        "{} holds the question for {}. It names a digest and nothing else.\nNext: send it to an authority, then rimside \
         timestamp attach {} --answer answer.tsr\n",
        arguments.out.display(),
        asked.file,
        asked.file,
    );
    Ok(Answer::told(text, &asked))
}

pub fn attach(arguments: &AttachTimestamp) -> Result<Answer, Fault> {
    let stamped = api::attach_timestamp(&WORLD, &arguments.file, &arguments.answer)?;
    let text = format!("{} carries the timestamp now; who issued it was not judged.\n", stamped.file);
    Ok(Answer::told(text, &stamped))
}
