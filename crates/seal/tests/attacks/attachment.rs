//! Other files inside the file.

use seal::file::FaultCode as C;

use crate::draft::{Draft, RECORD, deflate, stream};
use crate::{Attack, attack};

const OTHER: &str = "<</Type/Filespec/F(record.json)/UF(record.json)/EF<</F @bytes@/UF @bytes@>>/AFRelationship/Data>>";

/// A second attachment with its bytes.
fn with_other() -> Draft {
    Draft::valid().add("other", OTHER).add("bytes", stream("/Type/EmbeddedFile", b"{}"))
}

const REPORT: &str =
    "<</Type/Filespec/F(report.pdf)/UF(report.pdf)/EF<</F @bytes@/UF @bytes@>>/AFRelationship/Source>>";

/// A statement's file: the record, and the report that it rests on.
pub(crate) fn with_report() -> Draft {
    Draft::valid()
        .add("other", REPORT)
        .add("bytes", stream("/Type/EmbeddedFile", b"%PDF-2.0 the report inside"))
        .swap("catalog", "[(record.json) @file@]", "[(record.json) @file@(report.pdf) @other@]")
        .swap("catalog", "/AF[@file@]", "/AF[@file@ @other@]")
}

fn report_attacks() -> Vec<Attack> {
    let packed = stream("/Type/EmbeddedFile/Filter/FlateDecode", &deflate(b"%PDF-2.0 the report inside"));
    let no_pdf = stream("/Type/EmbeddedFile", b"GIF89a");
    let third = with_report().add("third", OTHER).swap(
        "catalog",
        "(report.pdf) @other@]",
        "(report.pdf) @other@(more.pdf) @third@]",
    );
    vec![
        attack(
            "the report alone",
            C::AttachmentRenamed,
            with_report().swap("catalog", "(record.json) @file@(", "(").seal(),
        ),
        attack(
            "the report before the record",
            C::AttachmentExtra,
            with_report()
                .swap("catalog", "(record.json) @file@(report.pdf) @other@", "(report.pdf) @other@(record.json) @file@")
                .seal(),
        ),
        attack(
            "a report of another name",
            C::AttachmentExtra,
            with_report().swap("catalog", "(report.pdf)", "(report.exe)").seal(),
        ),
        attack(
            "a report named otherwise in its file",
            C::AttachmentRenamed,
            with_report().swap("other", "/F(report.pdf)", "/F(more.pdf)").seal(),
        ),
        attack(
            "a report declared as data",
            C::AttachmentMalformed,
            with_report().swap("other", "/Source", "/Data").seal(),
        ),
        attack(
            "a report that is not associated",
            C::AttachmentExtra,
            with_report().swap("catalog", "/AF[@file@ @other@]", "/AF[@file@]").seal(),
        ),
        attack(
            "associated in another order",
            C::AttachmentSwapped,
            with_report().swap("catalog", "/AF[@file@ @other@]", "/AF[@other@ @file@]").seal(),
        ),
        attack("a report that is packed", C::AttachmentMalformed, with_report().set("bytes", packed).seal()),
        attack("a report that is no PDF", C::AttachmentMalformed, with_report().set("bytes", no_pdf).seal()),
        attack("a third attachment", C::AttachmentExtra, third.seal()),
    ]
}

fn swapped(name: &'static str, code: C, object: &str, from: &str, to: &str) -> Attack {
    attack(name, code, Draft::valid().swap(object, from, to).seal())
}

pub(crate) fn attachments() -> Vec<Attack> {
    let names = "[(record.json) @file@]";
    let added = with_other().swap("catalog", names, "[(other.json) @other@(record.json) @file@]").seal();
    let doubled = with_other().swap("catalog", names, "[(record.json) @file@(record.json) @other@]").seal();
    let associated = with_other().swap("catalog", "/AF[@file@]", "/AF[@file@ @other@]").seal();
    let other_associated = with_other().swap("catalog", "/AF[@file@]", "/AF[@other@]").seal();
    let other_bytes = with_other().swap("file", "/UF @record@", "/UF @bytes@").extend("info", "/N @other@").seal();
    let on_page = Draft::valid().extend("page", "/AF[@file@]").seal();
    let on_photograph = Draft::valid().extend("photograph", "/AF[@file@]").seal();
    let stray = with_other().extend("info", "/N @other@").seal();
    let stray_bytes = with_other().remove("other").extend("info", "/N @bytes@").seal();
    let nested = Draft::valid().extend("info", "/N[<</EF<</F @record@>>>>]").seal();
    let annotation = Draft::valid()
        .add("note", "<</Subtype/FileAttachment/Rect[0 0 9 9]/FS @file@>>")
        .swap("page", "[@link@ ", "[@link@ @note@ ")
        .seal();
    let no_stream = Draft::valid().set("record", "<</Type/EmbeddedFile>>").seal();
    let other_kind = Draft::valid().set("record", stream("/Filter/FlateDecode", &deflate(RECORD))).seal();
    let tree = "<<".to_owned() + "/Names" + names + ">>";
    let mut all = report_attacks();
    all.extend(vec![
        swapped("missing", C::AttachmentMissing, "catalog", &format!("/Names<</EmbeddedFiles{tree}>>"), ""),
        swapped("an empty list", C::AttachmentMissing, "catalog", names, "[]"),
        attack("added", C::AttachmentExtra, added),
        attack("added as associated", C::AttachmentExtra, associated),
        attack("added without a list", C::AttachmentExtra, stray),
        attack("bytes without a file", C::AttachmentExtra, stray_bytes),
        attack("a second description", C::AttachmentExtra, nested),
        attack("associated with a photograph", C::AttachmentExtra, on_photograph),
        attack("associated with a page", C::PageEntry, on_page),
        attack("as an annotation", C::AnnotationForbidden, annotation),
        attack("doubled", C::AttachmentDoubled, doubled),
        swapped("renamed in the list", C::AttachmentRenamed, "catalog", "(record.json)", "(record.txt)"),
        swapped("renamed in the file", C::AttachmentRenamed, "file", "/F(record.json)", "/F(record.exe)"),
        swapped("renamed in Unicode", C::AttachmentRenamed, "file", "/UF(record.json)", "/UF(other.json)"),
        attack("swapped for the associated one", C::AttachmentSwapped, other_associated),
        attack("swapped under the second name", C::AttachmentSwapped, other_bytes),
        swapped("not associated", C::AttachmentMalformed, "catalog", "/AF[@file@]", ""),
        swapped("no bytes", C::AttachmentMalformed, "file", "/EF<</F @record@/UF @record@>>", "/Desc<</N @record@>>"),
        swapped("another relationship", C::AttachmentMalformed, "file", "/Data", "/Alternative"),
        swapped("a name without a file", C::AttachmentMalformed, "catalog", names, "[(record.json) @file@(more)]"),
        swapped("a tree of lists", C::AttachmentMalformed, "catalog", "/EmbeddedFiles<<", "/EmbeddedFiles<</Kids[]"),
        attack("no stream", C::AttachmentMalformed, no_stream),
        attack("a stream of another kind", C::AttachmentMalformed, other_kind),
        swapped("external", C::AttachmentMalformed, "file", "/Type/Filespec", "/Type/Filespec/FS/URL"),
        swapped("related files", C::ExternalStream, "file", "/Type/Filespec", "/Type/Filespec/RF<<>>"),
    ]);
    all
}
