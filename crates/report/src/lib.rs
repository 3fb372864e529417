//! A record to the bytes of a PDF: pages, the disc glyph, attachments, the empty room for the seal.
