//! What device and office say to each other.

use serde::{Serialize, de::DeserializeOwned};
use sync::{
    Answer, Ask, Awaited, Bring, Brought, Finish, Follow, Forked, Issued, Sealed, State, Wanted, named_blob, pieces,
};

/// Reads the bytes as every kind of message. Whatever is one comes back the same when it is written; gives whether they
/// are any.
///
/// # Panics
/// Something does not hold.
pub fn read_message(bytes: &[u8]) -> bool {
    let (ask, answer) = (read::<Ask>(bytes), read::<Answer>(bytes));
    let entries = ask.iter().flat_map(|ask| &ask.entries).chain(answer.iter().flat_map(|answer| &answer.entries));
    entries.for_each(look_at);
    let issued = read::<Issued>(bytes);
    if let Some((issued, signature)) = issued.as_ref().and_then(|issued| Some((issued, issued.read()?))) {
        assert_eq!(&Issued::carry(&signature), issued, "two spellings of one signature");
    }
    let lengths = [read::<Bring>(bytes).map(|bring| bring.length), read::<Finish>(bytes).map(|all| all.length)];
    for length in lengths.into_iter().flatten() {
        assert_eq!(pieces(length) == 0, length == 0, "pieces of nothing");
    }
    let others = [
        read::<Brought>(bytes).is_some(),
        read::<Follow>(bytes).is_some(),
        read::<Forked>(bytes).is_some(),
        read::<Sealed>(bytes).is_some(),
        read::<Wanted>(bytes).is_some(),
        read::<Awaited>(bytes).is_some(),
        read::<State>(bytes).is_some(),
    ];
    ask.is_some()
        || answer.is_some()
        || issued.is_some()
        || lengths.iter().any(Option::is_some)
        || others.contains(&true)
}

fn read<T: Serialize + DeserializeOwned + PartialEq>(bytes: &[u8]) -> Option<T> {
    let read: T = serde_json::from_slice(bytes).ok()?;
    let written = serde_json::to_vec(&read).expect("what was read can be written");
    assert!(serde_json::from_slice(&written).ok().as_ref() == Some(&read), "a message does not come back");
    Some(read)
}

/// The digest of a body is that of the body as it goes on to others, and of nothing else.
fn look_at(carried: &model::Carried) {
    let Some(entry) = &carried.body else { return };
    let again: model::Entry =
        serde_json::to_vec(entry).and_then(|written| serde_json::from_slice(&written)).expect("an entry comes back");
    assert_eq!(again.body_digest(), entry.body_digest(), "an entry's digest changes on its way");
    assert!(model::Carried::whole(again).is_true(), "a whole entry is not true");
    if let Some(named) = named_blob(entry) {
        assert_eq!(named.inspection.as_ref(), Some(&entry.inspection), "a photograph of another inspection");
    }
}
