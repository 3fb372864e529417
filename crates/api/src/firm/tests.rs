use super::*;

#[test]
fn names_of_files_stay_in_their_folder() {
    for name in ["ines", "ines-2028", "a"] {
        assert_eq!(name.parse::<PersonId>().unwrap().to_string(), name);
    }
    for name in ["", "../root", "Ines", "2ines", "a/b", "a.b", &"a".repeat(65)] {
        assert!(name.parse::<PersonId>().is_err(), "{name}");
    }
}
