//! DER by hand: what an attacker writes, libraries do not.

/// A value of this tag around these parts (X.690 §8.1: definite length in the fewest bytes).
pub fn wrap(tag: u8, parts: &[&[u8]]) -> Vec<u8> {
    let body = parts.concat();
    let mut whole = vec![tag];
    match body.len() {
        short @ 0..=0x7f => whole.push(short as u8),
        middle @ 0x80..=0xff => whole.extend([0x81, middle as u8]),
        long => {
            whole.push(0x82);
            whole.extend(u16::try_from(long).unwrap().to_be_bytes());
        }
    }
    whole.extend(body);
    whole
}

pub fn sequence(parts: &[&[u8]]) -> Vec<u8> {
    wrap(0x30, parts)
}

/// A set in the order in which its elements come.
pub fn listed(tag: u8, elements: &[Vec<u8>]) -> Vec<u8> {
    wrap(tag, &elements.iter().map(Vec::as_slice).collect::<Vec<_>>())
}

/// A set in DER's order (X.690 §11.6).
pub fn set(tag: u8, elements: &[Vec<u8>]) -> Vec<u8> {
    let mut sorted = elements.to_vec();
    sorted.sort();
    listed(tag, &sorted)
}

/// An object identifier by its encoded arcs in hexadecimal.
pub fn oid(arcs: &str) -> Vec<u8> {
    wrap(6, &[&hex::decode(arcs).unwrap()])
}

/// `Attribute` of RFC 5652 §5.3 with these values.
pub fn attribute(arcs: &str, values: &[Vec<u8>]) -> Vec<u8> {
    sequence(&[&oid(arcs), &set(0x31, values)])
}

/// The parts of a value, each with its head.
pub fn parts(whole: &[u8]) -> Vec<&[u8]> {
    let mut rest = &whole[head(whole)..];
    let mut parts = Vec::new();
    while !rest.is_empty() {
        let (part, after) = rest.split_at(head(rest) + length(rest));
        parts.push(part);
        rest = after;
    }
    parts
}

fn head(whole: &[u8]) -> usize {
    match whole[1] {
        0..=0x7f => 2,
        more => 2 + usize::from(more & 0x7f),
    }
}

fn length(whole: &[u8]) -> usize {
    match whole[1] {
        short @ 0..=0x7f => usize::from(short),
        _ => whole[2..head(whole)].iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte)),
    }
}
