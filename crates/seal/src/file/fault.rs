use std::fmt;

/// Why a file is not one of ours: a stable code for programs, the place, and a sentence for a reader.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{message}")]
pub struct Fault {
    /// The class of the fault; its spelling never changes once released.
    pub code: FaultCode,
    /// The byte, counted from 0, at which the fault was noticed; none when the fault is an absence.
    pub offset: Option<usize>,
    /// What was found and what was expected, as a plain sentence without a final stop.
    pub message: String,
}

impl Fault {
    pub(crate) fn at(code: FaultCode, offset: usize, message: impl Into<String>) -> Self {
        Self { code, offset: Some(offset), message: message.into() }
    }

    pub(crate) fn of(code: FaultCode, message: impl Into<String>) -> Self {
        Self { code, offset: None, message: message.into() }
    }
}

macro_rules! fault_codes {
    ($($(#[$doc:meta])+ $variant:ident = $text:literal,)+) => {
        /// The classes of faults, each with a stable spelling in kebab case.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[non_exhaustive]
        pub enum FaultCode { $($(#[$doc])+ $variant,)+ }

        impl FaultCode {
            /// All codes, in the order of their declaration.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// The stable spelling, such as `byte-range-missing`.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $text,)+ }
            }
        }
    };
}

impl fmt::Display for FaultCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

fault_codes! {
    /// The file is larger than the reader takes on.
    FileTooLarge = "file-too-large",
    /// There is no PDF header at all.
    HeaderMissing = "header-missing",
    /// Bytes stand before the PDF header.
    HeaderNotAtStart = "header-not-at-start",
    /// The header names another version than 2.0, or its line is not as written.
    HeaderVersion = "header-version",
    /// The binary comment after the header is not the one that reports carry.
    HeaderComment = "header-comment",
    /// The file ends before it is complete.
    Truncated = "truncated",
    /// Bytes follow the end marker.
    BytesAfterEnd = "bytes-after-end",
    /// A later revision follows the end marker.
    IncrementalUpdate = "incremental-update",
    /// A second PDF file follows the end marker.
    SecondDocument = "second-document",

    /// Something that is no object stands between two objects.
    BytesBetweenObjects = "bytes-between-objects",
    /// An object number is defined twice.
    ObjectDoubled = "object-doubled",
    /// An object number is skipped.
    ObjectOutOfOrder = "object-out-of-order",
    /// A generation number is not 0.
    GenerationNotZero = "generation-not-zero",
    /// A reference points to an object that does not exist.
    ReferenceDangling = "reference-dangling",
    /// An object cannot be reached from the trailer.
    ObjectUnreferenced = "object-unreferenced",
    /// The cross-reference data is a stream instead of a table.
    XrefStream = "xref-stream",
    /// Objects are packed into an object stream.
    ObjectStream = "object-stream",
    /// The file has both a cross-reference table and a cross-reference stream.
    HybridFile = "hybrid-file",
    /// The file is linearised.
    Linearized = "linearized",
    /// The trailer points to an earlier revision.
    PreviousRevision = "previous-revision",
    /// The file is encrypted.
    Encrypted = "encrypted",
    /// There is no cross-reference table where the objects end.
    XrefMissing = "xref-missing",
    /// The cross-reference table is not as written.
    XrefMalformed = "xref-malformed",
    /// The cross-reference table lists another number of objects than there are.
    XrefCount = "xref-count",
    /// A cross-reference entry points to another place than its object's.
    XrefOffset = "xref-offset",
    /// The trailer is missing or not as written.
    TrailerMalformed = "trailer-malformed",
    /// The trailer has an entry that reports do not have.
    TrailerEntry = "trailer-entry",
    /// The startxref section is missing or not as written.
    StartxrefMalformed = "startxref-malformed",
    /// The startxref section names another place than the table's.
    StartxrefOffset = "startxref-offset",
    /// There are two startxref sections.
    StartxrefDoubled = "startxref-doubled",

    /// A comment stands where none is written.
    Comment = "comment",
    /// White space stands where none is written, or is missing where it is written.
    WhiteSpace = "white-space",
    /// Something stands where a value is expected and is none.
    Syntax = "syntax",
    /// Dictionaries and arrays are nested too deeply.
    NestingTooDeep = "nesting-too-deep",
    /// There are more values than the reader takes on.
    TooManyValues = "too-many-values",
    /// A name is spelt with `#` escapes.
    NameEscaped = "name-escaped",
    /// A name is empty, too long or has bytes outside printable ASCII.
    NameMalformed = "name-malformed",
    /// A dictionary has the same key twice.
    KeyDoubled = "key-doubled",
    /// A number is not as written.
    NumberMalformed = "number-malformed",
    /// A whole number is larger than 64 bits hold.
    NumberTooLarge = "number-too-large",
    /// A text string is not as written.
    StringMalformed = "string-malformed",
    /// A stream has no length.
    StreamLengthMissing = "stream-length-missing",
    /// A stream's length stands in another object.
    StreamLengthIndirect = "stream-length-indirect",
    /// A stream does not end where its length says.
    StreamLength = "stream-length",
    /// A stream's data lies outside the file.
    ExternalStream = "external-stream",
    /// A stream uses a filter other than `FlateDecode` and `DCTDecode`.
    FilterUnknown = "filter-unknown",
    /// A stream has filter parameters.
    FilterParameters = "filter-parameters",
    /// A compressed stream grows beyond the limits.
    DecompressionTooLarge = "decompression-too-large",
    /// A compressed stream is damaged, or bytes follow its end.
    DecompressionFailed = "decompression-failed",
    /// A photograph's stream is no JPEG from its first to its last byte.
    ImageMalformed = "image-malformed",

    /// There is no signature dictionary.
    SignatureMissing = "signature-missing",
    /// There are two signature dictionaries.
    SignatureDoubled = "signature-doubled",
    /// The signature dictionary is not the last object.
    SignatureNotLast = "signature-not-last",
    /// The signature dictionary has an unexpected entry or value.
    SignatureEntry = "signature-entry",
    /// The signature has no byte range.
    ByteRangeMissing = "byte-range-missing",
    /// The byte range is null.
    ByteRangeNull = "byte-range-null",
    /// The byte range stands in another object.
    ByteRangeIndirect = "byte-range-indirect",
    /// The byte range is no list of numbers.
    ByteRangeMalformed = "byte-range-malformed",
    /// The byte range does not have four numbers.
    ByteRangeCount = "byte-range-count",
    /// The byte range is all zeros.
    ByteRangeZeros = "byte-range-zeros",
    /// The byte range has a negative number.
    ByteRangeNegative = "byte-range-negative",
    /// The byte range has a number with a fraction.
    ByteRangeReal = "byte-range-real",
    /// The byte range goes beyond the file or beyond what numbers hold.
    ByteRangeOverflow = "byte-range-overflow",
    /// The byte range does not begin at the first byte.
    ByteRangeStart = "byte-range-start",
    /// The second part of the byte range begins inside the first.
    ByteRangeOverlap = "byte-range-overlap",
    /// The second part of the byte range stands before the first.
    ByteRangeReversed = "byte-range-reversed",
    /// The byte range leaves out more, less or something else than the signature itself.
    ByteRangeGap = "byte-range-gap",
    /// Something other than the signature stands in the place that the byte range leaves out.
    ByteRangeHole = "byte-range-hole",
    /// The byte range ends before the file does.
    ByteRangeEnd = "byte-range-end",
    /// A byte range stands outside the signature dictionary.
    ByteRangeElsewhere = "byte-range-elsewhere",
    /// The signature has no contents.
    ContentsMissing = "contents-missing",
    /// The signature's contents are null.
    ContentsNull = "contents-null",
    /// The signature's contents stand in another object.
    ContentsIndirect = "contents-indirect",
    /// The signature's contents are an empty string.
    ContentsEmpty = "contents-empty",
    /// The signature's contents have an odd number of digits.
    ContentsOdd = "contents-odd",
    /// The signature's contents are not lower-case hexadecimal digits.
    ContentsNotHex = "contents-not-hex",
    /// The room for the signature does not have its fixed size.
    ContentsRoom = "contents-room",
    /// The signature's contents do not begin with one DER sequence.
    ContentsNotDer = "contents-not-der",
    /// Bytes other than zeros follow the signature in its room.
    ContentsPadding = "contents-padding",

    /// There is no catalog, or the trailer's root is none.
    CatalogMissing = "catalog-missing",
    /// There is a second catalog.
    CatalogDoubled = "catalog-doubled",
    /// The catalog has an entry that reports do not have.
    CatalogEntry = "catalog-entry",
    /// The page tree is not as it must be.
    PageTreeMalformed = "page-tree-malformed",
    /// The page tree leads back to itself.
    PageTreeCycle = "page-tree-cycle",
    /// A page stands outside the page tree.
    PageOutsideTree = "page-outside-tree",
    /// A page has an entry that reports do not have.
    PageEntry = "page-entry",
    /// A page shows another area than its full size.
    PageCropped = "page-cropped",
    /// A font is not embedded.
    FontExternal = "font-external",
    /// The form is missing or not as it must be.
    FormMalformed = "form-malformed",
    /// The form has a field besides the signature.
    FormFieldExtra = "form-field-extra",
    /// There is a second signature field.
    SignatureFieldDoubled = "signature-field-doubled",
    /// The form's signature flags are not 3.
    SignatureFlags = "signature-flags",
    /// The form is an XFA form.
    Xfa = "xfa",
    /// The permissions after signing are missing, doubled or allow changes.
    DocMdp = "doc-mdp",
    /// An annotation other than a link or the signature.
    AnnotationForbidden = "annotation-forbidden",
    /// A link leads elsewhere than into the file or to an https address.
    LinkForbidden = "link-forbidden",
    /// An action that runs when the file is opened.
    OpenAction = "open-action",
    /// Actions that run on events.
    AdditionalActions = "additional-actions",
    /// JavaScript.
    JavaScript = "java-script",
    /// An action that starts a program.
    Launch = "launch",
    /// An action that leads into another file.
    RemoteGoTo = "remote-go-to",
    /// An action that sends or fetches form data.
    FormAction = "form-action",
    /// Another kind of action than a link.
    ActionForbidden = "action-forbidden",
    /// Layers that can be shown and hidden.
    HiddenLayers = "hidden-layers",
    /// Sound, film, 3D or other rich media.
    RichMedia = "rich-media",
    /// Another entry that reports never have.
    EntryForbidden = "entry-forbidden",

    /// The attachment `record.json` is missing.
    AttachmentMissing = "attachment-missing",
    /// There is an attachment besides `record.json`.
    AttachmentExtra = "attachment-extra",
    /// There are two attachments of the same name.
    AttachmentDoubled = "attachment-doubled",
    /// The attachment has another name.
    AttachmentRenamed = "attachment-renamed",
    /// The attachment's entries lead to different files.
    AttachmentSwapped = "attachment-swapped",
    /// The attachment's description is not as it must be.
    AttachmentMalformed = "attachment-malformed",
}
