//! What pages and core say to each other about the office.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A firm's root as a person compares it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OfficeRoot {
    /// The firm.
    pub firm: String,
    /// Its fingerprint in hexadecimal groups.
    pub fingerprint: String,
    /// Its beginning in eight words, to be read out.
    pub words: String,
}

/// A certificate that was asked for.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct AskedView {
    /// For whom.
    pub name: String,
    /// In which role.
    pub role: String,
    /// The key's fingerprint in hexadecimal groups.
    pub fingerprint: String,
    /// Its beginning in eight words: the office sees the same, or the key is another one.
    pub words: String,
}

/// Something that a person asks the office for.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(tag = "errand", rename_all = "snake_case", deny_unknown_fields)]
pub enum OfficeErrand {
    /// A link that shows one thing to whoever has it. Answers `link_made`.
    MakeLink {
        /// `report:` and an identity, or `letter:` and a number.
        shows: String,
        /// For whom.
        label: String,
        /// How long it shows it.
        days: u16,
    },
    /// The links that were made. Answers `links`.
    Links {},
    /// Closes a link for good. Answers `done`.
    CloseLink {
        /// Which.
        number: u64,
    },
    /// Leaves a letter at the office, for a link to show. Answers `letter_kept`.
    SendLetter {
        /// In the form `rimside.letter/1`.
        #[schemars(with = "model::LetterRequest")]
        letter: Value,
    },
    /// A letter with what was replied. Answers `letter`.
    ReadLetter {
        /// Which.
        number: u64,
    },
    /// The firm's devices; for the office's own alone. Answers `devices`.
    Devices {},
    /// A code that lets a device in; for the office's own alone. Answers `code`.
    MakeCode {
        /// What the office calls it.
        label: String,
        /// `Inspector`, `Dealer` or `Office`.
        role: String,
    },
    /// Shuts a device out; for the office's own alone. Answers `done`.
    ShutOut {
        /// Which.
        device: String,
    },
    /// Fetches the certificate that was asked for, or the newest list of what is revoked. Answers `certificate`.
    FetchCertificate {},
}

/// What the office answered.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(tag = "told", rename_all = "snake_case")]
pub enum OfficeAnswer {
    /// A link.
    LinkMade {
        /// It.
        link: LinkMade,
    },
    /// Links, the newest first.
    Links {
        /// They.
        links: Vec<LinkView>,
    },
    /// It is done.
    Done,
    /// A letter is there.
    LetterKept {
        /// Where.
        kept: LetterKept,
    },
    /// A letter.
    Letter {
        /// It, with its replies.
        letter: LetterRead,
    },
    /// Devices.
    Devices {
        /// They.
        devices: Vec<DeviceView>,
    },
    /// A code.
    Code {
        /// It.
        code: CodeMade,
    },
    /// Whether there is a new certificate.
    Certificate {
        /// There is.
        is_new: bool,
    },
}

/// A link that was made. Its secret is told this once.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct LinkMade {
    /// Its number among the firm's.
    pub number: u64,
    /// What makes it a link.
    pub secret: String,
    /// Until when it shows something.
    pub until: String,
}

/// A link.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct LinkView {
    /// Its number among the firm's.
    pub number: u64,
    /// `report:` and an identity, or `letter:` and a number.
    pub shows: String,
    /// For whom.
    pub label: String,
    /// Since when.
    pub made_at: String,
    /// Until when.
    pub until: String,
    /// When it was closed.
    pub closed_at: Option<String>,
    /// How often it was opened.
    pub opened: u64,
    /// When last.
    pub opened_at: Option<String>,
}

/// A letter that is at the office.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct LetterKept {
    /// Its number among the firm's.
    pub number: u64,
}

/// A letter with what was replied, as it came.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct LetterRead {
    /// What was asked, and how it was written.
    pub letter: LetterSent,
    /// When it came to the office.
    pub written_at: String,
    /// The replies, the oldest first.
    pub replies: Vec<ReplyRead>,
}

/// A letter as whoever has its link sees it.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct LetterSent {
    /// In the form `rimside.letter/1`.
    #[schemars(with = "model::LetterRequest")]
    pub request: Value,
    /// The letter in words.
    pub text: String,
}

/// A reply as it came.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct ReplyRead {
    /// In the form `rimside.reply/1`, if whoever replied kept to it.
    pub reply: Value,
    /// When.
    pub at: String,
}

/// A device of the firm.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct DeviceView {
    /// Its name, as its notebook has it.
    pub device: String,
    /// What the office calls it.
    pub label: String,
    /// What it may do.
    pub role: String,
    /// Since when it is in.
    pub since: String,
    /// When it was shut out.
    pub shut_out: Option<String>,
    /// What it asked to be certified as.
    pub certificate: Option<DeviceCertificate>,
    /// Entries that came under names which other entries have: a copy of its notebook was put back and written in.
    pub forks: u64,
}

/// What a device asked to be certified as.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct DeviceCertificate {
    /// Who.
    pub name: Option<String>,
    /// As what.
    pub role: Option<String>,
    /// SHA-256 of the key, in hexadecimal.
    pub fingerprint: Option<String>,
    /// When.
    pub asked_at: String,
    /// When it was given.
    pub given_at: Option<String>,
}

/// A code that lets a device in once.
#[derive(Debug, Clone, Serialize, Deserialize, JsonSchema)]
pub struct CodeMade {
    /// To be read out.
    pub code: String,
    /// How long it is good.
    pub minutes: i64,
}
