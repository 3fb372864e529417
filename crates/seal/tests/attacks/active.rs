//! What runs, sends, fetches, hides or covers.

use seal::file::FaultCode as C;

use crate::draft::Draft;
use crate::{Attack, attack};

fn extended(name: &'static str, code: C, object: &str, entries: &str) -> Attack {
    attack(name, code, Draft::valid().extend(object, entries).seal())
}

/// The link does something else.
fn link(name: &'static str, code: C, action: &str) -> Attack {
    let whole = "<</Type/Action/S/URI/URI(https://example.org/)>>";
    attack(name, code, Draft::valid().swap("link", whole, action).seal())
}

pub(crate) fn actions() -> Vec<Attack> {
    vec![
        extended("when opened", C::OpenAction, "catalog", "/OpenAction[@page@/Fit]"),
        extended("when a page is shown", C::AdditionalActions, "page", "/AA<</O<</S/URI/URI(https://example.org)>>>>"),
        extended("when the file is closed", C::AdditionalActions, "catalog", "/AA<<>>"),
        attack(
            "scripts by name",
            C::JavaScript,
            Draft::valid().swap("catalog", "/Names<<", "/Names<</JavaScript<</Names[]>>").seal(),
        ),
        link("a script", C::JavaScript, "<</S/JavaScript/JS(app.alert\\(1\\))>>"),
        link("a script without its text", C::JavaScript, "<</S/JavaScript>>"),
        link("a program", C::Launch, "<</S/Launch/F(calc.exe)>>"),
        link("another file", C::RemoteGoTo, "<</S/GoToR/F(other.pdf)/D[0/Fit]>>"),
        link("an embedded file", C::RemoteGoTo, "<</S/GoToE/D[0/Fit]>>"),
        link("a form is sent", C::FormAction, "<</S/SubmitForm/F(https://example.org)>>"),
        link("a form is reset", C::FormAction, "<</S/ResetForm>>"),
        link("data is fetched", C::FormAction, "<</S/ImportData/F(data.fdf)>>"),
        link("something is hidden", C::ActionForbidden, "<</S/Hide/T(seal)>>"),
        link("a command of the program", C::ActionForbidden, "<</S/Named/N/Print>>"),
        link("two actions", C::ActionForbidden, "<</S/URI/URI(https://example.org)/Next<</S/GoTo/D[@page@/Fit]>>>>"),
        link("layers are switched", C::HiddenLayers, "<</S/SetOCGState/State[]>>"),
        link("a film is played", C::RichMedia, "<</S/Rendition>>"),
        link("an address without a lock", C::LinkForbidden, "<</S/URI/URI(http://example.org)>>"),
        link("a script as an address", C::LinkForbidden, "<</S/URI/URI(javascript:alert)>>"),
        link("a file as an address", C::LinkForbidden, "<</S/URI/URI(file:///etc/passwd)>>"),
        link("an action of no known kind", C::LinkForbidden, "<</S/Teleport>>"),
        link("no action", C::LinkForbidden, "<<>>"),
        extended("an action and a place", C::LinkForbidden, "link", "/Dest[@page@/Fit]"),
        extended("the form's script", C::JavaScript, "form", "/N<</JS(1)>>"),
        extended("demands on the program", C::EntryForbidden, "info", "/Requirements[]"),
        extended("validation data", C::EntryForbidden, "info", "/DSS<<>>"),
        extended("a portfolio", C::EntryForbidden, "catalog", "/Collection<<>>"),
    ]
}

/// A page with another annotation.
fn annotation(name: &'static str, code: C, body: &str) -> Attack {
    let draft = Draft::valid().add("note", body).swap("page", "[@link@ ", "[@link@ @note@ ");
    attack(name, code, draft.seal())
}

pub(crate) fn covers() -> Vec<Attack> {
    vec![
        extended("layers", C::HiddenLayers, "catalog", "/OCProperties<</OCGs[]/D<<>>>>"),
        extended("a photograph on a layer", C::HiddenLayers, "photograph", "/OC<</Type/OCG/Name(x)>>"),
        extended("a layer without an entry for it", C::HiddenLayers, "info", "/N<</Type/OCG/Name(x)>>"),
        extended("a layer by membership", C::HiddenLayers, "info", "/N<</Type/OCMD>>"),
        annotation("text over the page", C::AnnotationForbidden, "<</Subtype/FreeText/Rect[0 0 9 9]/Contents(good)>>"),
        annotation("a stamp", C::AnnotationForbidden, "<</Subtype/Stamp/Rect[0 0 9 9]>>"),
        annotation("a rectangle", C::AnnotationForbidden, "<</Subtype/Square/Rect[0 0 9 9]/IC[1 1 1]>>"),
        annotation("a redaction", C::AnnotationForbidden, "<</Subtype/Redact/Rect[0 0 9 9]>>"),
        annotation("a pop-up", C::AnnotationForbidden, "<</Subtype/Popup/Rect[0 0 9 9]>>"),
        annotation("a second widget", C::AnnotationForbidden, "<</Subtype/Widget/Rect[0 0 9 9]>>"),
        annotation(
            "a rectangle with all that a link has",
            C::AnnotationForbidden,
            "<</Subtype/Square/F 4/Rect[0 0 9 9]/C[1 1 1]/Dest[@page@/Fit]>>",
        ),
        annotation("of no kind", C::AnnotationForbidden, "<</Rect[0 0 9 9]>>"),
        annotation("no annotation", C::AnnotationForbidden, " 7 "),
        annotation("a link that is drawn", C::AnnotationForbidden, "<</Subtype/Link/F 4/Rect[0 0 9 9]/AP<<>>>>"),
        annotation("a hidden link", C::AnnotationForbidden, "<</Subtype/Link/F 2/Rect[0 0 9 9]/Dest[@page@/Fit]>>"),
        annotation("a link to nowhere", C::LinkForbidden, "<</Subtype/Link/F 4/Rect[0 0 9 9]>>"),
        annotation("a film", C::RichMedia, "<</Subtype/RichMedia/Rect[0 0 9 9]/RichMediaContent<<>>>>"),
        annotation("a film by its kind", C::RichMedia, "<</Subtype/Screen/Rect[0 0 9 9]>>"),
        attack(
            "annotations that are no list",
            C::AnnotationForbidden,
            Draft::valid()
                .swap("page", "/Annots[@link@ @field@]", "/Annots @link@")
                .extend("info", "/N @field@")
                .seal(),
        ),
    ]
}
