//! A buyer's letter of questions to a seller, written without any inspection, and the check of the reply. All wording of
//! the letter lives here.

mod check;
mod question;

pub use check::{CheckedAnswer, ContradictedBy, Contradiction, Outcome, ReplyCheck, check_reply};
pub use question::{Letter, LetterQuestion, write_letter};
