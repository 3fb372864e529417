//! What kind of record a file holds: an inspector's report, or a dealer's condition statement.

/// Whether these record bytes are a condition statement's, whatever its version.
///
/// Only the form's name is looked for, as canonical JSON spells it; whether the rest fits is for the gate to say.
pub(crate) fn is_statement(record: &[u8]) -> bool {
    const NAME: &[u8] = b"\"schema\":\"rimside.condition-statement/";
    record.windows(NAME.len()).any(|window| window == NAME) && !is_record(record)
}

fn is_record(record: &[u8]) -> bool {
    const NAME: &[u8] = b"\"schema\":\"rimside.record/";
    record.windows(NAME.len()).any(|window| window == NAME)
}

#[cfg(test)]
mod tests {
    use super::is_statement;

    #[test]
    fn a_statement_is_told_from_a_record() {
        assert!(is_statement(br#"{"author":"x","schema":"rimside.condition-statement/1"}"#));
        assert!(is_statement(br#"{"schema":"rimside.condition-statement/7"}"#));
        assert!(!is_statement(br#"{"schema":"rimside.record/1"}"#));
        assert!(!is_statement(b"{}"));
        // What has both names is no statement: its gate would not hold the record.
        assert!(!is_statement(br#"{"schema":"rimside.record/1","x":{"schema":"rimside.condition-statement/1"}}"#));
        // Words that somebody wrote do not decide: inside a text the quotation marks are escaped.
        assert!(!is_statement(
            br#"{"note":"\"schema\":\"rimside.condition-statement/1\"","schema":"rimside.record/1"}"#
        ));
    }
}
