//! What a log, its witnesses and their keys are spelt as.

use log::{AddCheckpoint, Entry, read_bundle};
use seal::receipt::{Checkpoint, LogEntry, LogKey, Receipt, WitnessKey};
use verify::WitnessPolicy;

use super::Reader;

impl Reader {
    /// Reads the bytes as everything that a log says. What is read is spelt as it came, and no receipt proves another
    /// time than the one that the log gave; gives whether they are a receipt for the one report.
    ///
    /// # Panics
    /// Something does not hold.
    pub fn read_receipt(&self, bytes: &[u8]) -> bool {
        read_entries(bytes);
        let Ok(text) = std::str::from_utf8(bytes) else { return false };
        read_keys(text);
        self.read_heads(text);
        let Ok(receipt) = Receipt::parse(text) else { return false };
        assert_eq!(receipt.to_text(), text, "a receipt in another spelling");
        let keys: Vec<LogKey> = self.trust.logs.iter().map(|log| log.key.clone()).collect();
        let Ok(logged) = receipt.check(self.signed, &self.value, &keys) else { return false };
        assert_eq!(receipt.entry, self.receipt.entry, "a receipt proves what was never entered");
        assert_eq!(logged.at, self.receipt.entry.at, "a receipt proves another time");
        true
    }

    fn read_heads(&self, text: &str) {
        if let Some(asked) = AddCheckpoint::parse(text) {
            assert_eq!(asked.to_text(), text, "a head for a witness in another spelling");
        }
        let Some(head) = Checkpoint::parse(text) else { return };
        assert_eq!(head.as_str(), text, "a head in another spelling");
        assert!(!head.origin().is_empty() && text.ends_with(head.signature_lines()), "a head in another order");
        let again = head.with_signatures(head.signature_lines());
        assert_eq!(again.as_ref(), Some(&head), "signature lines that are there are put there twice");
        for key in self.trust.logs.iter().map(|log| &log.key) {
            let alone = head.only_signed_by(key).filter(|alone| alone.names(key));
            assert!(alone.is_some() || !head.names(key), "a log's own line is lost");
        }
        if let Ok(Some(time)) = head.cosigned_at(&self.witness) {
            let signed = self.receipt.checkpoint.cosigned_at(&self.witness);
            assert_eq!(signed, Ok(Some(time)), "a witness signed at another time");
        }
    }
}

fn read_entries(bytes: &[u8]) {
    let entry = Entry::parse(bytes);
    if let Some(entry) = &entry {
        assert_eq!(entry.to_text().as_bytes(), bytes, "an entry in another spelling");
    }
    let issued = LogEntry::parse(bytes);
    assert_eq!(issued, entry.and_then(|entry| entry.as_issued()), "two readers of one entry");
    if let Some(texts) = read_bundle(bytes) {
        let spelt: Vec<u8> =
            texts.iter().flat_map(|text| [&(text.len() as u16).to_be_bytes()[..], text].concat()).collect();
        assert!(spelt == bytes, "a bundle in another spelling");
    }
}

fn read_keys(text: &str) {
    let (log, witness) = (LogKey::parse(text), WitnessKey::parse(text));
    assert!(log.is_err() || witness.is_err(), "a key of two kinds");
    let spelt = log.map(|key| key.to_text()).or(witness.map(|key| key.to_text()));
    assert!(spelt.is_err() || spelt.as_deref() == Ok(text), "a key in another spelling");
    if let Ok(policy) = WitnessPolicy::parse(text, None) {
        let again = WitnessPolicy::parse(&policy.keys().join("\n"), Some(policy.needed()));
        assert_eq!(again.ok().as_ref(), Some(&policy), "a policy does not come back");
    }
}
