//! What the file says about itself to programs: XMP (ISO 16684-1) with PDF/A-4f's entries (ISO 19005-4, 6.7.3).

/// What a file says about itself.
#[derive(Debug)]
pub(crate) struct About<'a> {
    pub title: &'a str,
    pub author: &'a str,
    /// A moment or a day (ISO 8601).
    pub when: String,
    /// What made it, with its form.
    pub made_by: String,
}

/// The packet.
pub(crate) fn describe(about: &About<'_>) -> String {
    let (title, author, when) = (escape(about.title), escape(about.author), &about.when);
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" \
         xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" \
         xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\">\n\
         <pdfaid:part>4</pdfaid:part>\n\
         <pdfaid:rev>2020</pdfaid:rev>\n\
         <pdfaid:conformance>F</pdfaid:conformance>\n\
         <dc:format>application/pdf</dc:format>\n\
         <dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt></dc:title>\n\
         <dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>\n\
         <dc:language><rdf:Bag><rdf:li>en-GB</rdf:li></rdf:Bag></dc:language>\n\
         <xmp:CreateDate>{when}</xmp:CreateDate>\n\
         <xmp:ModifyDate>{when}</xmp:ModifyDate>\n\
         <xmp:MetadataDate>{when}</xmp:MetadataDate>\n\
         <xmp:CreatorTool>{made_by}</xmp:CreatorTool>\n\
         <pdf:Producer>Rimside</pdf:Producer>\n\
         </rdf:Description>\n\
         </rdf:RDF>\n\
         </x:xmpmeta>\n\
         <?xpacket end=\"r\"?>",
        made_by = escape(&about.made_by),
    )
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}
