//! What stands for a sealed report here: its text, then rooms for the log's receipt and for an authority's timestamp.

use model::Sha256;
use sync::Issued;

const ROOM: usize = 80;

pub fn seal(body: &[u8]) -> Vec<u8> {
    [body, &[b' '; 2 * ROOM]].concat()
}

fn body(bytes: &[u8]) -> &[u8] {
    &bytes[..bytes.len() - 2 * ROOM]
}

/// What goes into a room does not change which report it is.
pub fn identity(bytes: &[u8]) -> Sha256 {
    Sha256::of(body(bytes))
}

pub fn receipt(identity: &Sha256) -> String {
    format!("received {identity}")
}

pub fn timestamp(identity: &Sha256) -> Vec<u8> {
    format!("stamped {identity}").into_bytes()
}

pub fn statement(name: &str) -> String {
    format!("it does not stand: {name}")
}

pub fn issued(identity: &Sha256) -> Issued {
    Issued::carry(format!("signed {identity}").as_bytes())
}

fn fill(bytes: &[u8], room: usize, text: &[u8]) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    let start = bytes.len() - room * ROOM;
    bytes[start..start + text.len()].copy_from_slice(text);
    bytes
}

pub fn with_receipt(bytes: &[u8]) -> Vec<u8> {
    fill(bytes, 2, receipt(&identity(bytes)).as_bytes())
}

pub fn with_timestamp(bytes: &[u8]) -> Vec<u8> {
    fill(bytes, 1, &timestamp(&identity(bytes)))
}

pub fn is_receipted(bytes: &[u8]) -> bool {
    with_receipt(bytes) == bytes
}

pub fn is_stamped(bytes: &[u8]) -> bool {
    with_timestamp(bytes) == bytes
}
