//! Signatures, and timestamps over them.

use seal::{
    check::check_file,
    file::replace_room,
    sealing::add_token,
    signature::{Form, LoneSignature, SignedMessage, attach_receipt, attach_timestamp, strip_unsigned},
    timestamp::read_answer,
};

use super::Reader;

impl Reader {
    /// Reads the bytes as a signature. It is of one form, what was added after signing can be taken off and put back, and
    /// it is that of the one report; gives whether it stands.
    ///
    /// # Panics
    /// Something does not hold.
    pub fn read_signature(&self, bytes: &[u8]) -> bool {
        let [detached, attached] = [Form::Detached, Form::Attached].map(|form| SignedMessage::parse(bytes, form));
        assert!(detached.is_err() || attached.is_err(), "content inside and outside");
        for message in [detached, attached].iter().flatten() {
            assert_eq!(message.certificates().len(), 3, "another chain");
            assert!(message.certificates().contains(message.signer()), "a signer from elsewhere");
            assert!(take_off_and_put_back(bytes, message) == bytes, "a signature does not come back");
        }
        let Ok(signature) = LoneSignature::parse(bytes) else { return false };
        assert!(signature.report() == self.signed, "a signature over another report stands");
        true
    }

    /// Puts the bytes, an authority's answer or the token in it, into the signature of the one report. Whatever they are,
    /// its file stays unchanged, and no other time is proven than the one that the root's own authority gave; gives
    /// whether they are over this signature.
    ///
    /// # Panics
    /// Something does not hold.
    pub fn read_timestamp(&self, bytes: &[u8]) -> bool {
        let answered = read_answer(bytes);
        let token = answered.as_deref().unwrap_or(bytes);
        assert!(bytes.ends_with(token), "a token that was not in the answer");
        let Ok(signature) = attach_timestamp(&self.signature, token) else { return false };
        let Ok(stamped) = replace_room(&self.file, &signature) else { return false };
        let added = add_token(&self.file, token);
        let report = check_file(&stamped, &self.trust);
        let verified = report.unchanged.passed().expect("what is not signed changes nothing of what is");
        assert!(verified.identity() == self.signed, "a token changes the report");
        if let Some(since) = report.since_when.passed() {
            assert!(added.is_ok(), "a token over something else proves a time");
            assert_eq!(since.at, self.receipt.entry.at, "a token proves another time");
        }
        added.is_ok_and(|added| added == stamped)
    }
}

/// The same signature, put together again from what is signed and what is not.
fn take_off_and_put_back(bytes: &[u8], message: &SignedMessage) -> Vec<u8> {
    let mut whole = strip_unsigned(bytes).expect("what was read is a signature");
    if let Some(receipt) = message.receipt() {
        whole = attach_receipt(&whole, receipt).expect("a receipt can be put back");
    }
    if let Some(token) = message.timestamp() {
        whole = attach_timestamp(&whole, token).expect("a token can be put back");
    }
    whole
}
