//! What a shell is told when an operation fails: a code for programs, a sentence, and what to do.

use serde::Serialize;

/// A failed operation, at the edge.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// A stable code in kebab case.
    pub code: &'static str,
    /// What happened, and to what.
    pub message: String,
    /// What to do about it, where there is something to say.
    pub hint: Option<String>,
}

/// An operation's error that can be shown to people and understood by programs.
pub trait Explained: std::error::Error {
    /// A stable code in kebab case.
    fn code(&self) -> &'static str;

    /// What to do about it.
    fn hint(&self) -> Option<String> {
        None
    }
}

impl<E: Explained> From<E> for Fault {
    fn from(error: E) -> Self {
        Self { code: error.code(), message: describe(&error), hint: error.hint() }
    }
}

/// The error with its causes, as far as they say something new.
fn describe(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(next) = cause {
        let said = next.to_string();
        if !text.contains(&said) {
            text = format!("{text}: {said}");
        }
        cause = next.source();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, thiserror::Error)]
    #[error("the key of ines cannot be opened")]
    struct Outer(#[source] Inner);

    #[derive(Debug, thiserror::Error)]
    #[error("wrong passphrase")]
    struct Inner;

    impl Explained for Outer {
        fn code(&self) -> &'static str {
            "wrong-passphrase"
        }
    }

    #[test]
    fn a_fault_says_the_causes_too() {
        let fault = Fault::from(Outer(Inner));
        assert_eq!(fault.message, "the key of ines cannot be opened: wrong passphrase");
        assert_eq!((fault.code, fault.hint), ("wrong-passphrase", None));
    }
}
