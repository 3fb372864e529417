//! Every class of attack on a signed file that the file itself shows, each built from a valid file
//! and refused with its own reason.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod attacks {
    pub(crate) mod active;
    pub(crate) mod attachment;
    pub(crate) mod container;
    pub(crate) mod range;
    pub(crate) mod structure;
    pub(crate) mod syntax;
}
mod draft;

use std::collections::BTreeSet;

use seal::file::{FaultCode, SealedFile};

/// A class of attack: what it does, the reason it is refused with, a file made so.
struct Attack {
    name: &'static str,
    code: FaultCode,
    file: Vec<u8>,
}

fn attack(name: &'static str, code: FaultCode, file: Vec<u8>) -> Attack {
    Attack { name, code, file }
}

fn assert_refused(attacks: Vec<Attack>) {
    for Attack { name, code, file } in attacks {
        match SealedFile::read(&file) {
            Ok(_) => panic!("{name}: the file was accepted"),
            Err(fault) => {
                assert_eq!(fault.code, code, "{name}: {fault} (at {:?})", fault.offset);
                assert!(!fault.message.is_empty() && !fault.message.ends_with('.'), "{name}: {fault}");
                assert!(fault.offset.is_none_or(|offset| offset <= file.len()), "{name}: {:?}", fault.offset);
            }
        }
    }
}

#[test]
fn what_all_attacks_start_from_is_accepted() {
    SealedFile::read(&draft::sealed()).unwrap();
}

#[test]
fn games_with_the_byte_range_are_refused() {
    assert_refused(attacks::range::byte_ranges());
}

#[test]
fn games_with_the_signature_string_are_refused() {
    assert_refused(attacks::range::contents());
}

#[test]
fn objects_planted_in_the_hole_are_refused() {
    assert_refused(attacks::range::planted());
}

#[test]
fn second_spellings_are_refused() {
    assert_refused(attacks::syntax::spellings());
}

#[test]
fn streams_that_end_elsewhere_or_grow_too_large_are_refused() {
    assert_refused(attacks::syntax::streams());
}

#[test]
fn files_beyond_the_limits_are_refused() {
    assert_refused(attacks::syntax::limits());
}

#[test]
fn bytes_before_and_after_the_file_are_refused() {
    assert_refused(attacks::container::around());
}

#[test]
fn later_revisions_are_refused() {
    assert_refused(attacks::container::revisions());
}

#[test]
fn other_layouts_are_refused() {
    assert_refused(attacks::container::layouts());
}

#[test]
fn tables_that_lie_are_refused() {
    assert_refused(attacks::container::tables());
}

#[test]
fn catalogs_and_page_trees_that_can_be_read_in_two_ways_are_refused() {
    assert_refused(attacks::structure::trees());
}

#[test]
fn pages_that_show_something_else_are_refused() {
    assert_refused(attacks::structure::pages());
}

#[test]
fn second_signatures_and_loose_permissions_are_refused() {
    assert_refused(attacks::structure::signatures());
}

#[test]
fn everything_that_acts_is_refused() {
    assert_refused(attacks::active::actions());
}

#[test]
fn everything_that_covers_or_hides_is_refused() {
    assert_refused(attacks::active::covers());
}

#[test]
fn a_report_that_goes_with_a_statement_is_found_as_it_is() {
    let sealed = attacks::attachment::with_report().seal();
    let file = SealedFile::read(&sealed).unwrap();
    assert_eq!(file.report(), Some(&b"%PDF-2.0 the report inside"[..]));
    assert_eq!(SealedFile::read(&draft::Draft::valid().seal()).unwrap().report(), None);
}

#[test]
fn other_attachments_are_refused() {
    assert_refused(attacks::attachment::attachments());
}

#[test]
fn every_reason_has_an_attack() {
    let families = [
        attacks::range::byte_ranges,
        attacks::range::contents,
        attacks::range::planted,
        attacks::syntax::spellings,
        attacks::syntax::streams,
        attacks::syntax::limits,
        attacks::container::around,
        attacks::container::revisions,
        attacks::container::layouts,
        attacks::container::tables,
        attacks::structure::trees,
        attacks::structure::pages,
        attacks::structure::signatures,
        attacks::active::actions,
        attacks::active::covers,
        attacks::attachment::attachments,
    ];
    let tried: BTreeSet<FaultCode> = families.iter().flat_map(|family| family()).map(|attack| attack.code).collect();
    let untried: Vec<_> = FaultCode::ALL.iter().filter(|code| !tried.contains(code)).collect();
    assert!(untried.is_empty(), "no attack is refused with {untried:?}");
}
