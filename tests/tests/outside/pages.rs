//! The pages as poppler draws them, against pictures that a person looked at.

use rimside_tests::{compare_pictures, draw_pages, top};

use crate::SEALED;

const DOTS_AN_INCH: u32 = 50;

#[test]
fn the_pages_look_as_they_were_looked_at() {
    let golden = top().join("tests/golden/pages");
    let drawn = draw_pages(&SEALED.report, &SEALED.folder.path().join("pages"), DOTS_AN_INCH).unwrap();
    assert_eq!(drawn.len(), SEALED.told.pages);
    if std::env::var_os("RIMSIDE_GOLDEN").is_some_and(|mode| mode == "write") {
        let _ = std::fs::remove_dir_all(&golden);
        std::fs::create_dir_all(&golden).unwrap();
        for page in &drawn {
            std::fs::copy(page, golden.join(page.file_name().unwrap())).unwrap();
        }
    }
    let kept = std::fs::read_dir(&golden).unwrap().count();
    assert_eq!(kept, drawn.len(), "as many pages as pictures; look at the pages, then run `cargo xtask golden`");
    for page in &drawn {
        let name = page.file_name().unwrap();
        let difference = compare_pictures(page, &golden.join(name)).unwrap();
        // Another processor may scale a photograph's last bit otherwise, and with it the digest in the foot.
        assert!(difference.mean < 1.5 && difference.share < 0.01, "{name:?} looks different: {difference:?}");
    }
}
