//! Decimal amounts in one spelling: digits, and perhaps a point with digits behind it. No sign, exponent, separator or
//! leading zero, so that what is written is what was read.

use rust_decimal::Decimal;
use serde::{Deserialize as _, Deserializer, de::Error as _};

/// The most digits behind the point.
const MOST_DECIMALS: usize = 6;
/// The most digits before the point of a price or a quantity: their product still fits.
const MOST_PRICE_DIGITS: usize = 9;
/// The most digits before the point of a sum of priced lines.
const MOST_SUM_DIGITS: usize = 21;

/// The form of a price or a quantity, for the schema.
pub const PRICE_PATTERN: &str = "^(0|[1-9][0-9]{0,8})(\\.[0-9]{1,6})?$";
/// The form of a sum, for the schema.
pub const SUM_PATTERN: &str = "^(0|[1-9][0-9]{0,20})(\\.[0-9]{1,6})?$";

/// Reads a price or a quantity, under a thousand million.
pub fn price<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
    read(deserializer, MOST_PRICE_DIGITS)
}

/// Reads a sum of priced lines.
pub fn sum<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
    read(deserializer, MOST_SUM_DIGITS)
}

fn read<'de, D: Deserializer<'de>>(deserializer: D, most_digits: usize) -> Result<Decimal, D::Error> {
    let text = String::deserialize(deserializer)?;
    let refuse = || {
        let got: String = text.chars().take(80).collect();
        D::Error::custom(format!(
            "got {got:?}, expected an amount such as \"1234.50\": 1 to {most_digits} digits without a leading zero, at most {MOST_DECIMALS} more behind a point"
        ))
    };
    if !is_amount(&text, most_digits) {
        return Err(refuse());
    }
    text.parse().map_err(|_| refuse())
}

fn is_amount(text: &str, most_digits: usize) -> bool {
    let (whole, decimals) = text.split_once('.').map_or((text, None), |(whole, rest)| (whole, Some(rest)));
    let is_digits = |part: &str, most| (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    is_digits(whole, most_digits)
        && (whole == "0" || !whole.starts_with('0'))
        && decimals.is_none_or(|decimals| is_digits(decimals, MOST_DECIMALS))
}
