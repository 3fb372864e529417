use crate::fixture::Fixture;

#[test]
fn a_prepared_report_is_read_by_the_strict_reader() {
    let fixture = Fixture::with_photographs(12);
    let prepared = fixture.render().expect("the fixture renders");
    std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/report-sample.pdf"), &prepared.bytes)
        .expect("target can be written");
    let file = seal::file::SealedFile::read(&prepared.bytes).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(file.record().expect("the record is whole").bytes, fixture.bytes());
    assert!(file.signature().is_none());
}
