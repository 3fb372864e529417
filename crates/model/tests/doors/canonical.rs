//! Canonical JSON against RFC 8785's own examples.

use model::canonical_json;
use serde_json::{Value, json};

fn canonical(text: &str) -> String {
    let value: Value = serde_json::from_str(text).unwrap();
    String::from_utf8(canonical_json(&value).unwrap()).unwrap()
}

#[test]
fn the_example_of_section_3_2_2() {
    // RFC 8785, 3.2.2 to 3.2.4: text from memory, the bytes of 3.2.4 likewise.
    let sample = r#"{
        "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
        "literals": [null, true, false]
    }"#;
    let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
    assert_eq!(canonical(sample), expected);
    let bytes = "7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333332e333333\
        333333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c75303030665c6e4127425c22\
        5c5c5c5c5c222f227d";
    let expected_bytes: Vec<_> =
        (0..bytes.len()).step_by(2).map(|at| u8::from_str_radix(&bytes[at..at + 2], 16).unwrap()).collect();
    assert_eq!(canonical(sample).as_bytes(), expected_bytes);
}

#[test]
fn keys_are_sorted_by_utf_16_units() {
    // RFC 8785, 3.2.3 (from memory): the values stand in the order of the sorted keys.
    let sample = "{\"\\u20ac\":\"Euro Sign\",\"\\r\":\"Carriage Return\",\"\\ufb33\":\"Hebrew Letter Dalet With Dagesh\",\"1\":\"One\",\"\\ud83d\\ude00\":\"Emoji: Grinning Face\",\"\\u0080\":\"Control\",\"\\u00f6\":\"Latin Small Letter O With Diaeresis\"}";
    let canonical = canonical(sample);
    let places: Vec<_> = ["Carriage", "One", "Control", "Latin", "Euro", "Emoji", "Hebrew"]
        .iter()
        .map(|word| canonical.find(word).unwrap())
        .collect();
    assert!(places.is_sorted(), "{canonical}");
}

#[test]
fn the_authors_test_data() {
    // github.com/cyberphone/json-canonicalization, testdata: values, weird, structures (read).
    for (input, output) in [
        (
            "{\"numbers\":[1E30, 4.50, 333333333.33333329, 2e-3, 0.000000000000000000000000001],\"escaping\":\"\\u20ac$\\u000F\\u000aA'\\u0042\\u0022\\u005c\\\\\\\"\\/\",\"literals\":[null, true, false]}",
            "{\"escaping\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\",\"literals\":[null,true,false],\"numbers\":[1e+30,4.5,333333333.3333333,0.002,1e-27]}",
        ),
        (
            "{\"\\u20ac\":\"Euro Sign\",\"1\":\"One\",\"\\u0080\":\"Control\\u007f\",\"\\ud83d\\ude02\":\"Smiley\",\"\\u00f6\":\"Latin Small Letter O With Diaeresis\",\"\\ufb33\":\"Hebrew Letter Dalet With Dagesh\",\"</script>\":\"Browser Challenge\"}",
            "{\"1\":\"One\",\"</script>\":\"Browser Challenge\",\"\u{80}\":\"Control\u{7f}\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😂\":\"Smiley\",\"\u{fb33}\":\"Hebrew Letter Dalet With Dagesh\"}",
        ),
        (
            "{\"1\": {\"f\": {\"f\": \"hi\",\"F\": 5} ,\"\\n\": 56.0},\"10\": { },\"\": \"empty\",\"a\": { },\"111\": [ { } ],\"A\": { }}",
            "{\"\":\"empty\",\"1\":{\"\\n\":56,\"f\":{\"F\":5,\"f\":\"hi\"}},\"10\":{},\"111\":[{}],\"A\":{},\"a\":{}}",
        ),
    ] {
        assert_eq!(canonical(input), output);
    }
}

#[test]
fn numbers_of_appendix_b() {
    // RFC 8785, appendix B: IEEE 754 bits and their text (second-hand, as other implementations' tests quote it).
    for (bits, text) in [
        (0x0000_0000_0000_0000_u64, "0"),
        (0x8000_0000_0000_0000, "0"),
        (0x0000_0000_0000_0001, "5e-324"),
        (0x8000_0000_0000_0001, "-5e-324"),
        (0x7fef_ffff_ffff_ffff, "1.7976931348623157e+308"),
        (0xffef_ffff_ffff_ffff, "-1.7976931348623157e+308"),
        (0x4340_0000_0000_0000, "9007199254740992"),
        (0xc340_0000_0000_0000, "-9007199254740992"),
        (0x4430_0000_0000_0000, "295147905179352830000"),
        (0x44b5_2d02_c7e1_4af5, "9.999999999999997e+22"),
        (0x44b5_2d02_c7e1_4af6, "1e+23"),
        (0x44b5_2d02_c7e1_4af7, "1.0000000000000001e+23"),
        (0x444b_1ae4_d6e2_ef4e, "999999999999999700000"),
        (0x444b_1ae4_d6e2_ef4f, "999999999999999900000"),
        (0x444b_1ae4_d6e2_ef50, "1e+21"),
        (0x3eb0_c6f7_a0b5_ed8c, "9.999999999999997e-7"),
        (0x3eb0_c6f7_a0b5_ed8d, "0.000001"),
        (0x41b3_de43_5555_5553, "333333333.3333332"),
        (0x41b3_de43_5555_5554, "333333333.33333325"),
        (0x41b3_de43_5555_5555, "333333333.3333333"),
        (0x41b3_de43_5555_5556, "333333333.3333334"),
        (0x41b3_de43_5555_5557, "333333333.33333343"),
        (0xbecb_f647_612f_3696, "-0.0000033333333333333333"),
        (0x4314_3ff3_c1cb_0959, "1424953923781206.2"),
    ] {
        let got = String::from_utf8(canonical_json(&f64::from_bits(bits)).unwrap()).unwrap();
        assert_eq!(got, text, "{bits:016x}");
    }
}

#[test]
fn what_is_not_finite_has_no_canonical_form() {
    assert!(canonical_json(&f64::NAN).is_err());
    assert!(canonical_json(&f64::INFINITY).is_err());
    assert_eq!(canonical_json(&json!({"b": 1, "a": [ ]})).unwrap(), br#"{"a":[],"b":1}"#);
}
