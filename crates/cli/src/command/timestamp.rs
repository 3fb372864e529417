use api::{Fault, Timestamped};
use server::{AUTHORITY_LIMIT, AskAuthority as _, HttpAuthority};

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{AttachTimestamp, FetchTimestamp, RequestTimestamp},
};

/// The authority at this address.
pub fn authority_at(address: &str) -> Result<HttpAuthority, Fault> {
    HttpAuthority::parse(address, AUTHORITY_LIMIT).map_err(|error| Fault {
        code: "authority-refused",
        message: error.to_string(),
        hint: Some("name an address such as https://stamps.example/tsa".to_owned()),
    })
}

pub fn fetch(arguments: &FetchTimestamp) -> Result<Answer, Fault> {
    let authority = authority_at(&arguments.authority)?;
    let stamped = api::fetch_timestamp(&WORLD, &arguments.file, &|question| {
        authority.ask(question).map_err(|error| error.to_string())
    })?;
    Ok(told(&stamped))
}

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
    Ok(told(&stamped))
}

fn told(stamped: &Timestamped) -> Answer {
    Answer::told(format!("{} carries the timestamp now; who issued it was not judged.\n", stamped.file), stamped)
}
