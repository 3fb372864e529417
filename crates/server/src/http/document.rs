//! What the office can be asked, as an `OpenAPI` 3.1 document. Addresses, statuses and bodies come from the handlers and their
//! types; a handler without its entry does not become an address.

use std::collections::{BTreeMap, BTreeSet};

use schemars::generate::{SchemaGenerator, SchemaSettings};
use serde_json::{Value, json};
use utoipa::openapi::{
    Content, Header, HeaderBuilder, OpenApi, Ref, RefOr, Response, ResponseBuilder,
    schema::{ObjectBuilder, Type},
};

use super::{
    answer::{Refusal, Refused},
    certificates::Given,
    desk::{KnownDevices, NewCode, RootOf, ToLetIn},
    links::{KeptLetter, ListedLinks, MadeLink, NumberedLetter, Opened, ToMake},
    reports::Stated,
    routes::{Enrolled, Enrolment},
    sync::NotTaken,
};

/// What any request may be answered at the door, whatever its address.
const AT_THE_DOOR: [&Refusal; 4] = [&Refusal::TWICE, &Refusal::LATE, &Refusal::LARGE, &Refusal::OFTEN];

/// Refusals as the document tells them: one response for each status, with every code that comes under it. What is refused at
/// the door is always among them.
pub(super) fn tell_refusals(of_address: &[&Refusal]) -> BTreeMap<String, RefOr<Response>> {
    let mut told: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for refusal in AT_THE_DOOR.iter().chain(of_address) {
        let line = format!("`{}`: {}.", refusal.code(), refusal.message());
        told.entry(refusal.status().as_str().to_owned()).or_default().insert(line);
    }
    told.into_iter()
        .map(|(status, lines)| {
            let lines: Vec<String> = lines.into_iter().collect();
            let mut response = ResponseBuilder::new()
                .description(lines.join(" "))
                .content("application/json", Content::new(Some(Ref::from_schema_name("Refused"))));
            if status == Refusal::OFTEN.status().as_str() {
                response = response.header("Retry-After", seconds());
            }
            (status, RefOr::T(response.build()))
        })
        .collect()
}

fn seconds() -> Header {
    let whole = ObjectBuilder::new().schema_type(Type::Integer).minimum(Some(1)).build();
    HeaderBuilder::new().schema(Some(whole)).description(Some("Seconds until it is answered again.")).build()
}

/// Names what an address refuses beside what is refused at the door, as a set of responses for the document.
macro_rules! refusals {
    ($($name:ident: $($refusal:ident),*;)+) => { $(
        struct $name;

        impl utoipa::IntoResponses for $name {
            fn responses()
            -> std::collections::BTreeMap<String, utoipa::openapi::RefOr<utoipa::openapi::response::Response>> {
                $crate::http::document::tell_refusals(&[$(&$crate::http::answer::Refusal::$refusal),*])
            }
        }
    )+ };
}
pub(super) use refusals;

/// Every body by its name, from the types that read and write it.
fn bodies() -> Value {
    let mut generator = SchemaGenerator::new(SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
        settings.meta_schema = None;
    }));
    macro_rules! name {
        ($($body:ty),+ $(,)?) => { $( generator.subschema_for::<$body>(); )+ };
    }
    name![
        Refused,
        Enrolment,
        Enrolled,
        ::sync::Ask,
        ::sync::Answer,
        NotTaken,
        ::sync::Follow,
        ::sync::Finish,
        ::sync::Issued,
        ::sync::Bring,
        ::sync::Brought,
        Stated,
        ToMake,
        MadeLink,
        ListedLinks,
        NumberedLetter,
        KeptLetter,
        Opened,
        Given,
        ToLetIn,
        NewCode,
        KnownDevices,
        RootOf,
    ];
    Value::Object(generator.take_definitions(true))
}

/// The document.
pub(super) fn describe(addresses: OpenApi) -> Value {
    let mut document = serde_json::to_value(addresses).unwrap_or_default();
    document["info"] = json!({
        "title": "A Rimside office",
        "version": env!("CARGO_PKG_VERSION"),
        "description": "What devices, readers and the office's own desk ask over HTTP. A device has a token, which it was \
                        given for a code that the office made. A body of an address with Content-Digest is taken only where \
                        that is its SHA-256 (RFC 9530). `x-most-bytes` is the largest body that an address takes.",
        "license": { "name": env!("CARGO_PKG_LICENSE"), "identifier": env!("CARGO_PKG_LICENSE") },
    });
    document["components"] = json!({
        "schemas": bodies(),
        "securitySchemes": {
            "token": { "type": "http", "scheme": "bearer", "description": "The token that `POST /v1/enrol` answered." },
        },
    });
    // A path of several parts has no form of its own in OpenAPI.
    if let Some(paths) = document["paths"].as_object_mut() {
        let spelt = std::mem::take(paths);
        paths.extend(spelt.into_iter().map(|(path, item)| (path.replace("{*", "{"), item)));
    }
    document
}
