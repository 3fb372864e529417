//! What a command has to say.

use serde::Serialize;

/// An answer and the exit code that goes with it.
pub struct Answer {
    pub code: u8,
    body: Body,
}

enum Body {
    /// The same, for people and for programs.
    Told { text: String, json: serde_json::Value },
    /// Bytes as they are, whatever was asked for.
    Bytes(Vec<u8>),
}

impl Answer {
    /// For people and for programs.
    pub fn told(text: String, value: &impl Serialize) -> Self {
        let json = serde_json::to_value(value).expect("answers are made of text, numbers and lists");
        Self { code: 0, body: Body::Told { text, json } }
    }

    /// Bytes as they are.
    pub fn bytes(bytes: Vec<u8>) -> Self {
        Self { code: 0, body: Body::Bytes(bytes) }
    }

    /// With another exit code than 0.
    pub fn with_code(self, code: u8) -> Self {
        Self { code, ..self }
    }

    /// What goes to standard output.
    pub fn to_bytes(&self, json: bool) -> Vec<u8> {
        match &self.body {
            Body::Bytes(bytes) => bytes.clone(),
            Body::Told { json: value, .. } if json => format!("{value:#}\n").into_bytes(),
            Body::Told { text, .. } => text.clone().into_bytes(),
        }
    }
}
