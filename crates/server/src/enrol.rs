//! Letting a device in: a short code that the office reads out, and the token that it is exchanged for.

use chrono::{DateTime, TimeDelta, Utc};
use seal::{certificate::Role, digest::Sha256Digest};

use crate::store::{Devices, FirmId, SecretDigest, StoreError};

/// How long a code is good.
pub const CODE_MINUTES: i64 = 10;
/// So many wrong answers end every open code.
pub const CODE_TRIES: u32 = 5;
/// Letters that are not taken for each other, read out or in handwriting.
const LETTERS: &[u8; 31] = b"23456789ABCDEFGHJKMNPQRSTUVWXYZ";
const CODE_LETTERS: usize = 10;

/// What tells the time and gives randomness.
pub trait OfficeWorld: Send + Sync {
    /// The time by this machine's clock.
    fn now(&self) -> DateTime<Utc>;

    /// Fills all bytes with randomness that is fit for keys.
    ///
    /// # Errors
    /// A machine that has none.
    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()>;
}

/// Makes a code for a device that the office calls so and that may do so much: ten letters in two groups, good for ten minutes, once.
///
/// # Errors
/// The store.
pub fn make_code(
    devices: &dyn Devices,
    world: &dyn OfficeWorld,
    firm: &FirmId,
    called: (&str, Role),
) -> Result<String, StoreError> {
    let mut bytes = [0; CODE_LETTERS];
    world.fill_random(&mut bytes)?;
    let letters: String = bytes.iter().map(|byte| char::from(LETTERS[usize::from(*byte) % LETTERS.len()])).collect();
    let until = world.now() + TimeDelta::minutes(CODE_MINUTES);
    devices.open_code(firm, &digest_code(&letters), called, until, CODE_TRIES)?;
    Ok(format!("{}-{}", &letters[..CODE_LETTERS / 2], &letters[CODE_LETTERS / 2..]))
}

/// Lets a device in by its code; its token comes back, and is kept nowhere here.
///
/// # Errors
/// The store.
pub fn let_in(
    devices: &dyn Devices,
    world: &dyn OfficeWorld,
    firm: &FirmId,
    (code, device): (&str, &str),
) -> Result<Option<String>, StoreError> {
    let mut bytes = [0; 32];
    world.fill_random(&mut bytes)?;
    let token = Sha256Digest::from_bytes(bytes).to_hex();
    let was_let_in = devices.let_in(firm, &digest_code(code), device, &digest_token(&token), world.now())?;
    Ok(was_let_in.then_some(token))
}

/// What is kept of a code: typed in any case, with or without its dash and blanks.
fn digest_code(code: &str) -> SecretDigest {
    let plain: String = code.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_ascii_uppercase();
    *Sha256Digest::of(format!("rimside.code/1\n{plain}").as_bytes()).as_bytes()
}

/// What is kept of a token.
pub fn digest_token(token: &str) -> SecretDigest {
    *Sha256Digest::of(format!("rimside.token/1\n{token}").as_bytes()).as_bytes()
}
