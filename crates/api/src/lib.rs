//! The operations, each once: every shell's one door.
//!
//! A shell turns what somebody wants into a call of one of these and its answer into text or pixels; it decides
//! nothing. What lies outside (clock, randomness, files) comes in through [`World`]; errors become a [`Fault`] with a
//! stable code, a sentence and a hint.
//!
//! | operation | what it does |
//! |---|---|
//! | [`found_firm`] | a firm's root, issuer and revocation list |
//! | [`certify_person`] | a key and certificate for a person |
//! | [`ask_certificate`], [`certify_asked`], [`take_certificate`] | a certificate for a key that stays on its device |
//! | [`revoke_certificate`], [`renew_revocation_list`] | the firm's list of what no longer counts |
//! | [`reckon`] | what an inspection comes to |
//! | [`seal_report`] | an inspection to a sealed report |
//! | [`seal_statement`] | a dealer's condition statement, sealed |
//! | [`analyse_recordings`] | what the recordings of a drive show |
//! | [`read_faces`] | what photographs of faces show, where the ring is marked |
//! | [`verify_report`] | the four questions about a report or a statement |
//! | [`show_record`], [`find_statement`] | the record inside a report or a statement |
//! | [`state_withdrawal`] | a signed withdrawal or supersession |
//! | [`attach_receipt`] | a log's receipt put into a sealed report |
//! | [`request_timestamp`], [`attach_timestamp`], [`fetch_timestamp`] | the question for a timestamp, and its answer put into a sealed report |
//! | [`write_questions`] | a buyer's letter of questions to a seller |
//! | [`check_answers`] | a reply held against questions, findings, arithmetic and rules |
//! | [`door::Door::call`] | what a page asks of the device's notebook |
//! | [`inspection_schema`], [`record_schema`], [`letter_schema`], [`reply_schema`], [`statement_schema`] | the JSON Schemas |

mod condition_statement;
mod device;
pub mod door;
mod evidence;
mod face;
mod fault;
mod firm;
mod letter;
#[cfg(feature = "native")]
mod native_world;
mod photographs;
mod progress;
mod receipt;
mod reckoning;
mod recording;
mod sealing;
mod showing;
mod statement;
#[cfg(test)]
mod test_world;
mod timestamp;
mod verification;
mod whole_file;
mod world;

pub use condition_statement::{SealStatementError, SealStatementRequest, SealedStatement, seal_statement};
pub use device::{DeviceError, Finished};
pub use evidence::EvidenceError;
pub use face::{FaceRequest, ReadFace, ReadFaceError, ReadFaces, read_faces};
pub use fault::{Explained, Fault};
pub use firm::{
    Certified, CertifyRequest, FirmError, Founded, PersonId, PersonIdError, RevokeRequest, Revoked, ask_certificate,
    certify_asked, certify_person, digest_certificate, fingerprint_words, found_firm, renew_revocation_list,
    revoke_certificate, take_certificate,
};
pub use letter::{CheckedReply, LetterError, PagesTo, WrittenLetter, check_answers, write_questions};
#[cfg(feature = "native")]
pub use native_world::NativeWorld;
pub use photographs::PhotographsError;
pub use progress::{Progress, Step, quietly};
pub use receipt::{ReceiptError, ReceiptRequest, Receipted, attach_receipt};
pub use reckoning::{InspectionError, reckon};
pub use recording::{AnalyseRecordingError, AnalysedRecording, RecordingFile, RecordingRequest, analyse_recordings};
pub use sealing::{SealReportError, SealRequest, SealedReport, seal_report};
pub use showing::{ShowError, ShownRecord, find_statement, show_record};
pub use statement::{StateError, Stated, StatementRequest, state_withdrawal};
pub use timestamp::{TimestampError, Timestamped, attach_timestamp, fetch_timestamp, request_timestamp};
pub use verification::{TrustRequest, VerifyError, VerifyRequest, verify_report};
pub use whole_file::{Existing, write_whole};
pub use world::{Access, Lock, World, WorldError};

pub use model::{self, inspection_schema, letter_schema, record_schema, reply_schema, statement_schema};
pub use seal::{
    certificate::{CertificateAsked, Role},
    key_file::Passphrase,
    revocation::Reason,
};
pub use verify::{self, Headline, Verdict};
