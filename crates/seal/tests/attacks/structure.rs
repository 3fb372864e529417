//! Catalog, pages, fonts, signature fields and permissions.

use seal::file::FaultCode as C;

use crate::draft::{Draft, stream};
use crate::{Attack, attack};

fn swapped(name: &'static str, code: C, object: &str, from: &str, to: &str) -> Attack {
    attack(name, code, Draft::valid().swap(object, from, to).seal())
}

fn extended(name: &'static str, code: C, object: &str, entries: &str) -> Attack {
    attack(name, code, Draft::valid().extend(object, entries).seal())
}

pub(crate) fn trees() -> Vec<Attack> {
    let second_catalog =
        Draft::valid().add("other", "<</Type/Catalog/Pages @pages@>>").extend("info", "/N @other@").seal();
    let hidden_page = Draft::valid()
        .add("other", "<</Type/Page/Parent @pages@/MediaBox[0 0 9 9]>>")
        .extend("info", "/N @other@")
        .seal();
    let nested = Draft::valid()
        .swap("pages", "/Kids[@page@]", "/Kids[@inner@]")
        .add("inner", "<</Type/Pages/Parent @pages@/Kids[@pages@]/Count 1>>")
        .extend("info", "/N @page@")
        .seal();
    let no_catalog = Draft::valid().swap("catalog", "/Type/Catalog", "/Type/Katalog").seal();
    vec![
        attack("no catalog", C::CatalogMissing, no_catalog),
        attack("a second catalog", C::CatalogDoubled, second_catalog),
        extended("another entry", C::CatalogEntry, "catalog", "/Threads[]"),
        extended("a base address", C::CatalogEntry, "catalog", "/URI<</Base(https://example.org)>>"),
        swapped("another list of names", C::CatalogEntry, "catalog", "/Names<<", "/Names<</Pages<<>>"),
        swapped("another count", C::PageTreeMalformed, "pages", "/Count 1", "/Count 2"),
        swapped("no list of pages", C::PageTreeMalformed, "pages", "/Kids[@page@]", ""),
        swapped("a page of no kind", C::PageTreeMalformed, "page", "/Type/Page", "/Type/Template"),
        swapped("another parent", C::PageTreeMalformed, "page", "/Parent @pages@", "/Parent @catalog@"),
        swapped("a root with a parent", C::PageTreeMalformed, "pages", "/Count 1", "/Count 1/Parent @pages@"),
        swapped("a page twice", C::PageTreeCycle, "pages", "/Kids[@page@]", "/Kids[@page@ @page@]"),
        swapped("a tree in itself", C::PageTreeCycle, "pages", "/Kids[@page@]", "/Kids[@page@ @pages@]"),
        attack("a circle of two", C::PageTreeCycle, nested),
        attack("a page outside the tree", C::PageOutsideTree, hidden_page),
    ]
}

pub(crate) fn pages() -> Vec<Attack> {
    let external = Draft::valid().set("font", "<</Type/Font/Subtype/Type1/BaseFont/Helvetica/N @program@>>").seal();
    let other_file = Draft::valid()
        .add("shown", stream("/Subtype/Form/Ref<</F(other.pdf)/Page 1>>", b""))
        .swap("resources", "/P0 @photograph@", "/P0 @photograph@/X0 @shown@")
        .seal();
    let drawn = Draft::valid().set("font", "<</Type/Font/Subtype/Type3/N @program@>>").seal();
    let no_program =
        Draft::valid().swap("font", "/FontFile2 @program@", "/FontFile2 @info@").extend("info", "/N @program@").seal();
    let no_stream =
        Draft::valid().swap("page", "/Contents @text@", "/Contents @info@").extend("info", "/N @text@").seal();
    vec![
        swapped("cropped", C::PageCropped, "page", "/CropBox[0 0 595.28 841.89]", "/CropBox[0 0 595.28 400]"),
        swapped("cropped for all pages", C::PageCropped, "pages", "/Count 1", "/Count 1/CropBox[0 0 9 9]"),
        extended("turned", C::PageEntry, "page", "/Rotate 180"),
        extended("shown for a time", C::PageEntry, "page", "/Dur 1"),
        extended("scaled", C::EntryForbidden, "page", "/UserUnit 2"),
        swapped("turned for all pages", C::PageEntry, "pages", "/Count 1", "/Count 1/Rotate 180"),
        attack("contents that are no stream", C::PageEntry, no_stream),
        attack("a font that is not embedded", C::FontExternal, external),
        attack("a font drawn by hand", C::FontExternal, drawn),
        swapped("a font without its program", C::FontExternal, "font", "/FontFile2 @program@", "/N @program@"),
        attack("a font whose program is no stream", C::FontExternal, no_program),
        swapped("a font of no kind", C::FontExternal, "font", "<</Type/Font/Subtype/Type0", "<</Subtype/Type0"),
        swapped("a part of a font of no kind", C::FontExternal, "font", "[<</Type/Font", "[<<"),
        swapped("a font without its part", C::FontExternal, "font", "/DescendantFonts[", "/N["),
        swapped("a font with an empty part", C::FontExternal, "font", "/DescendantFonts[", "/DescendantFonts[]/N["),
        attack("content of another file", C::ExternalStream, other_file),
        extended("an image with an alternative", C::EntryForbidden, "photograph", "/Alternates[]"),
        attack(
            "PostScript",
            C::EntryForbidden,
            Draft::valid().set("photograph", stream("/Type/XObject/Subtype/PS", b"showpage")).seal(),
        ),
    ]
}

pub(crate) fn signatures() -> Vec<Attack> {
    let signature = "<</Type/Sig/ByteRange[0 1 2 3]/Contents<3000>>>";
    let field = "<</Type/Annot/Subtype/Widget/FT/Sig/T(other)/F 132/Rect[0 0 9 9]/V @signature@>>";
    let before = Draft::valid().add("other", signature).extend("info", "/N @other@").seal();
    let after = Draft::valid().append("other", "<</N(x)>>").extend("info", "/N @other@").prepare();
    let none = Draft::valid().swap("signature", "/Type/Sig/Filter", "/Type/Gis/Filter").seal();
    let second_field = Draft::valid().add("other", field).swap("form", "[@field@]", "[@field@ @other@]").seal();
    let hidden_field = Draft::valid().add("other", field).extend("info", "/N @other@").seal();
    let text_field =
        Draft::valid().add("other", "<</FT/Tx/T(price)/V(1)>>").swap("form", "[@field@]", "[@field@ @other@]").seal();
    let no_kind =
        Draft::valid().add("other", "<</T(price)/V(1)>>").swap("form", "[@field@]", "[@field@ @other@]").seal();
    let second_statement = Draft::valid().extend("info", "/N @other@").add("other", "<</Type/SigRef>>").seal();
    let p = |to: &str| Draft::valid().swap("signature", "/P 1/V/1.2", to).seal();
    vec![
        attack("no signature", C::SignatureMissing, none),
        attack("two signatures", C::SignatureDoubled, before),
        attack("an object after the signature", C::SignatureNotLast, after),
        swapped("another filter", C::SignatureEntry, "signature", "Adobe.PPKLite", "Adobe.PPKMS"),
        swapped("another kind", C::SignatureEntry, "signature", "ETSI.CAdES.detached", "adbe.pkcs7.detached"),
        swapped("a time that is no text", C::SignatureEntry, "signature", "/M(D:20260102030405Z)", "/M 1"),
        extended("another entry", C::SignatureEntry, "signature", "/Prop_Build<<>>"),
        attack("two signature fields", C::SignatureFieldDoubled, second_field),
        attack("a signature field outside the form", C::SignatureFieldDoubled, hidden_field),
        attack("a text field", C::FormFieldExtra, text_field),
        attack("a field of no kind", C::FormFieldExtra, no_kind),
        swapped("no form", C::FormMalformed, "catalog", "/AcroForm @form@", "/PageMode @form@"),
        swapped("no field", C::FormMalformed, "form", "[@field@]", "[]"),
        swapped("a field of no kind alone", C::FormMalformed, "field", "/FT/Sig", ""),
        swapped("a field for another signature", C::FormMalformed, "field", "/V @signature@", "/V @info@"),
        swapped("a hidden field", C::FormMalformed, "field", "/F 132", "/F 2"),
        extended("a field with children", C::FormMalformed, "field", "/Kids[]"),
        swapped("a field on no page", C::FormMalformed, "page", " @field@]", "]"),
        extended("other entries of the form", C::FormMalformed, "form", "/CO[]"),
        swapped("other flags", C::SignatureFlags, "form", "/SigFlags 3", "/SigFlags 1"),
        swapped("no flags", C::SignatureFlags, "form", "/SigFlags 3", ""),
        extended("an XFA form", C::Xfa, "form", "/XFA[]"),
        extended("a form drawn anew", C::EntryForbidden, "form", "/NeedAppearances true"),
        swapped("no permissions", C::DocMdp, "catalog", "/Perms<</DocMDP @signature@>>", ""),
        swapped("usage rights", C::DocMdp, "catalog", "/DocMDP @signature@", "/DocMDP @signature@/UR3 @signature@"),
        swapped("permissions of another signature", C::DocMdp, "catalog", "/DocMDP @signature@", "/DocMDP @info@"),
        attack("forms may be filled", C::DocMdp, p("/P 2/V/1.2")),
        attack("notes may be added", C::DocMdp, p("/P 3/V/1.2")),
        attack("no statement of what may change", C::DocMdp, p("/V/1.2")),
        swapped("another method", C::DocMdp, "signature", "/TransformMethod/DocMDP", "/TransformMethod/FieldMDP"),
        swapped("two statements", C::DocMdp, "signature", "/Reference[", "/Reference[<</Type/SigRef>>"),
        attack("a statement elsewhere", C::DocMdp, second_statement),
    ]
}
