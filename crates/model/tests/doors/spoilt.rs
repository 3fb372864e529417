//! Random damage to a whole inspection: the door refuses or reads, and never falls over.

use model::{canonical_json, parse_inspection};
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn spoilt_bytes_are_read_or_refused(
        places in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in prop::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = crate::sample::document().to_string().into_bytes();
        for (place, byte) in places {
            let at = place.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        if let Ok(inspection) = parse_inspection(&bytes) {
            // What was let in has one canonical form, which reads back as the same.
            let canonical = canonical_json(&inspection).unwrap();
            prop_assert_eq!(parse_inspection(&canonical).unwrap(), inspection);
        }
    }
}
