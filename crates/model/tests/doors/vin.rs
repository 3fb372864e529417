//! Vehicle identification numbers against published ones.

use model::{Vin, VinError};

fn vin(text: &str) -> Result<Vin, VinError> {
    Vin::try_from(text.to_owned())
}

#[test]
fn published_numbers_have_their_published_check_digit() {
    // NHTSA's outline of 49 CFR 565: sum 314, check digit 6.
    assert_eq!(vin("1J9RP1A36A1644345").unwrap().check_digit(), '6');
    // From memory, computed: sum 351, X.
    assert_eq!(vin("1M8GDM9AXKP042788").unwrap().check_digit(), 'X');
    // The former Part 565, table V, second-hand: sum 411, 4.
    assert_eq!(vin("1G4AH59H45G118341").unwrap().check_digit(), '4');
}

#[test]
fn a_wrong_check_digit_is_refused_in_north_america_only() {
    assert_eq!(vin("1J9RP1A37A1644345"), Err(VinError::CheckDigit { got: '7', expected: '6' }));
    // The same with a first character of elsewhere: there, the ninth character means something else.
    let elsewhere = vin("WJ9RP1A37A1644345").unwrap();
    assert!(!elsewhere.has_valid_check_digit());
}

#[test]
fn other_texts_are_refused() {
    assert_eq!(vin("1J9RP1A36A164434"), Err(VinError::Length { got: 16 }));
    assert_eq!(vin("1J9RP1A36A164434O"), Err(VinError::Character { got: 'O', position: 17 }));
    assert_eq!(vin("1j9RP1A36A1644345"), Err(VinError::Character { got: 'j', position: 2 }));
}
