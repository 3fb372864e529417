//! A log's receipt, put into the room of a sealed report: the file gains a proof of time without a second revision.

use std::path::Path;

use seal::{
    digest::Sha256Digest,
    file::SealedFile,
    receipt::{Receipt, ReceiptFault},
    sealing::{SealError, add_receipt},
};
use serde::Serialize;

use crate::{
    fault::Explained,
    showing::MOST_REPORT,
    whole_file::{Existing, read_text, write_whole},
    world::{Access, World, WorldError},
};

/// More than any receipt has.
const MOST_RECEIPT: u64 = 64 * 1024;

/// Which receipt goes into which report.
#[derive(Debug)]
pub struct ReceiptRequest<'a> {
    /// The sealed report; its file is replaced in one step.
    pub report: &'a Path,
    /// The receipt's file.
    pub receipt: &'a Path,
}

/// A report that has its receipt now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Receipted {
    /// The report's file.
    pub file: String,
    /// The report's identity, which a receipt does not change.
    pub identity: String,
    /// The log's name, as the receipt says.
    pub log: String,
    /// The entry's place in the log, counted from zero.
    pub index: u64,
}

/// Why no receipt was attached. The report is as it was.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReceiptError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// The receipt's file is none.
    #[error("{file} is no receipt: {cause}")]
    Receipt {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: ReceiptFault,
    },
    /// It cannot go into this report.
    #[error("{file} takes no receipt: {cause}")]
    Attach {
        /// The report's file.
        file: String,
        /// Why.
        #[source]
        cause: SealError,
    },
}

impl Explained for ReceiptError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Receipt { .. } => "receipt-refused",
            Self::Attach { cause: SealError::OtherReceipt, .. } => "receipt-of-another-report",
            Self::Attach { .. } => "receipt-not-attached",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Receipt { .. } | Self::Attach { cause: SealError::OtherReceipt, .. } => {
                Some("ask the log for the receipt of this report again".to_owned())
            }
            Self::Attach { .. } => None,
        }
    }
}

/// Puts a log's receipt into a sealed report. No signed byte changes; whether the log is to be believed is for the
/// reader, who brings its key.
///
/// # Errors
/// [`ReceiptError`]: also for a second receipt, and for that of another report.
pub fn attach_receipt(world: &dyn World, request: &ReceiptRequest<'_>) -> Result<Receipted, ReceiptError> {
    let file = || request.report.display().to_string();
    let refused = |cause| ReceiptError::Attach { file: file(), cause };
    let text = read_text(world, request.receipt, MOST_RECEIPT)?;
    let receipt = Receipt::parse(&text)
        .map_err(|cause| ReceiptError::Receipt { file: request.receipt.display().to_string(), cause })?;
    let sealed = world.read(request.report, MOST_REPORT).map_err(WorldError::at("read", request.report))?;
    let with_receipt = add_receipt(&sealed, &receipt).map_err(refused)?;
    let read = SealedFile::read(&with_receipt).map_err(|cause| refused(cause.into()))?;
    let identity = Sha256Digest::from_bytes(read.identity());
    write_whole(world, request.report, &with_receipt, Access::Shared, Existing::Replace)?;
    Ok(Receipted {
        file: file(),
        identity: identity.to_string(),
        log: receipt.checkpoint.origin().to_owned(),
        index: receipt.index,
    })
}
