//! What the method says, to the letter and the last bit: whoever checks a record reckons it again, also with a later program.

use std::fmt::Write as _;

use sha2::{Digest as _, Sha256};

/// So many of the cars.
const CARS: u64 = 400;

#[test]
fn the_method_says_of_each_car_what_it_said_before() {
    let method = condition::METHOD.0;
    let mut said = format!(
        "# What method {method} says of the first {CARS} cars, as the SHA-256 of it\n\n\
         A record that holds anything else of such a car is not confirmed any more. Once records of a method are about,\n\
         what changes it takes the next number.\n\n"
    );
    for number in 0..CARS {
        let (truth, noted) = super::draw(number);
        let digest = Sha256::digest(serde_json::to_vec(&super::reckon(number, &noted)).unwrap());
        writeln!(said, "- car {number} ({:?}): {}", truth.age, hex::encode(&digest[..8])).unwrap();
    }
    rimside_tests::compare_golden(&format!("method-{method}.md"), &said).unwrap();
}
