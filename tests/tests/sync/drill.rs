//! The office is lost and comes back from a copy: at the end everybody has everything, also what was told since the copy.

use std::{fs, path::Path};

use seal::key_file::Passphrase;
use server::{LogFolder, Stores, back_up_office, restore_office};

use crate::firm::{Firm, Link};

/// A log beside what devices tell, as every office has one.
fn found_log(office: &Path) {
    let founded = tempfile::tempdir().unwrap();
    LogFolder::found(
        founded.path(),
        ("log.example/firm", None),
        &Stores::default(),
        &Passphrase::from("an invented phrase".to_owned()),
        [7; 32],
    )
    .unwrap();
    for name in ["log.pub", "log.key.pem"] {
        fs::copy(founded.path().join(name), office.join(name)).unwrap();
    }
}

#[test]
fn an_office_that_was_lost_comes_back_from_its_copy_and_hears_the_rest_again() {
    let mut forks = 0;
    for seed in 0..12 {
        let mut firm = Firm::begin(seed, 3);
        found_log(firm.folder());
        let chance = firm.chance.clone();
        let link = Link { lost_before: 15, lost_after: 15, twice: 10, late: 10, spoilt: 5, stranger: 5 };
        let live = |firm: &mut Firm| {
            for _ in 0..15 {
                let at = chance.below(3) as usize;
                firm.write(at);
                firm.carry(at, 1 + chance.below(12) as usize, link);
            }
        };
        live(&mut firm);
        let copies = tempfile::tempdir().unwrap();
        let copy = copies.path().join("copy");
        let made = back_up_office(firm.folder(), &copy, "2026-11-24T10:00:00Z".parse().unwrap()).unwrap();
        assert_eq!(made.damaged, [], "{seed}");
        live(&mut firm);
        let restored = copies.path().join("restored");
        let told = restore_office(&copy, &restored, None).unwrap();
        assert_eq!((told.entries, told.blobs), (made.entries, made.blobs), "{seed}");
        firm.replace_office(&restored);
        live(&mut firm);
        firm.settle();
        firm.hold_together();
        forks += firm.forks();
    }
    assert_eq!(forks, 0, "a lost office is nobody's fork");
}
