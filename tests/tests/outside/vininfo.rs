//! vininfo 1.11, as a second opinion on the check digit of vehicle identification numbers.

use std::process::Command;

use rimside_tests::tool;

const ASK: &str = "
import sys
from vininfo import Vin
for number in sys.argv[1:]:
    print(number, Vin(number).verify_checksum())
";

/// The numbers of the published examples (49 CFR 565 and NHTSA's outline), each also with its check digit moved on.
#[test]
fn both_agree_on_check_digits() {
    let numbers = ["1J9RP1A36A1644345", "1M8GDM9AXKP042788", "1G4AH59H45G118341", "11111111111111111"];
    let spoilt = numbers.map(|number| {
        let next = match number.as_bytes()[8] {
            b'X' => '0',
            b'9' => 'X',
            digit => (digit + 1) as char,
        };
        format!("{}{next}{}", &number[..8], &number[9..])
    });
    let all: Vec<&str> = numbers.into_iter().chain(spoilt.iter().map(String::as_str)).collect();
    let python = tool("venv/bin/python").unwrap();
    let said = Command::new(python).args(["-c", ASK]).args(&all).output().unwrap();
    let said = String::from_utf8(said.stdout).unwrap();
    let theirs: Vec<_> = said.lines().collect();
    let ours: Vec<_> = all
        .iter()
        .map(|number| {
            let fits = model::Vin::try_from((*number).to_owned()).is_ok_and(|vin| vin.has_valid_check_digit());
            format!("{number} {}", if fits { "True" } else { "False" })
        })
        .collect();
    assert_eq!(ours, theirs);
    assert!(said.matches("True").count() == numbers.len() && said.matches("False").count() == numbers.len(), "{said}");
}
