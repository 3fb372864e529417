"""A verifier of sealed reports, receipts and logs, written from docs/format.md.

Where the page did not suffice, the page was mended.

It shares nothing with the Rust code. It does not reckon or draw again (section 6.6), so it never says "genuine".
General-purpose libraries do the general work: cryptography (Ed25519), rfc8785 (canonical JSON), jsonschema.
"""
