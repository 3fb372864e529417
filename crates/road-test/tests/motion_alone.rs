//! A log of motion without a log of position: the car's own axis is found, and which way along it is forwards.

use demo::scenario::{record, visits};
use road_test::{Recordings, analyse, read_motion};

#[test]
fn a_gently_braked_car_is_not_taken_for_one_that_drives_backwards() {
    // On the last visit the car speeds up harder than its worn brakes slow it down.
    for visit in visits() {
        let recorded = record(&visit);
        let motion = read_motion(recorded.motion.as_bytes()).expect("a log of motion");
        let drive = analyse(Recordings { motion: Some(&motion), ..Recordings::default() }).expect("a drive");
        assert_eq!(drive.seen.brakings.len(), recorded.drive.truths.len(), "{}", visit.folder);
        for (found, truth) in drive.seen.brakings.iter().zip(&recorded.drive.truths) {
            assert!(
                (found.from_s - truth.from_s).abs() < 0.7,
                "{}: {} s, {} s",
                visit.folder,
                found.from_s,
                truth.from_s
            );
        }
    }
}
