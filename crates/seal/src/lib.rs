//! Keys, certificates, the PDF signature and the strict reader that checks it. Uses nothing of ours.
