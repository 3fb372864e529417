//! A fingerprint in words, to be read out on the telephone.

use seal::digest::Fingerprint;

/// The first 88 bits as eight words of BIP-39's English list, eleven bits each.
pub fn fingerprint_words(fingerprint: &Fingerprint) -> String {
    let digest = fingerprint.0.as_bytes();
    let list = bip39::Language::English.word_list();
    let bit = |place: usize| usize::from(digest[place / 8] >> (7 - place % 8) & 1);
    let word = |nth: usize| list[(0..11).fold(0, |index, place| index * 2 + bit(nth * 11 + place))];
    (0..8).map(word).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use seal::digest::Sha256Digest;

    use super::*;

    /// The test vectors that BIP-39 points to (entropies of 16 bytes), their first eight words.
    #[test]
    fn words_are_those_of_the_published_vectors() {
        for (byte, said) in [
            (0x00, "abandon abandon abandon abandon abandon abandon abandon abandon"),
            (0x7f, "legal winner thank year wave sausage worth useful"),
            (0x80, "letter advice cage absurd amount doctor acoustic avoid"),
            (0xff, "zoo zoo zoo zoo zoo zoo zoo zoo"),
        ] {
            assert_eq!(fingerprint_words(&Fingerprint(Sha256Digest::from_bytes([byte; 32]))), said);
        }
    }
}
