//! Figures that an analysis gives, cut to what can be told apart before they enter a record.

use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;

/// Finer than any figure of an analysis can be told apart, in its unit.
const DIGITS: f64 = 1e6;

/// The same with every figure cut to six digits after the point: a record is read by people, and carries no digits that
/// say nothing.
///
/// # Errors
/// A figure that is not finite, which JSON has not.
pub fn cut_figures<T: Serialize + DeserializeOwned>(measured: &T) -> Result<T, serde_json::Error> {
    let mut value = serde_json::to_value(measured)?;
    cut(&mut value);
    serde_json::from_value(value)
}

fn cut(value: &mut Value) {
    match value {
        Value::Number(number) if number.is_f64() => {
            if let Some(figure) = number.as_f64() {
                *value = Value::from((figure * DIGITS).round() / DIGITS);
            }
        }
        Value::Array(all) => all.iter_mut().for_each(cut),
        Value::Object(fields) => fields.values_mut().for_each(cut),
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_cut_and_nothing_else_changes() {
        let figures: (f64, Option<f64>, u32, String) = (0.123_456_789, Some(-9.999_999_9), 7, "0.123456789".to_owned());
        assert_eq!(cut_figures(&figures).unwrap(), (0.123_457, Some(-10.0), 7, "0.123456789".to_owned()));
    }

    #[test]
    fn a_figure_that_is_none_is_refused() {
        assert!(cut_figures(&f64::NAN).is_err());
    }
}
