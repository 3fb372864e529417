//! The nouns: car, corner, face, finding, reading, inspection, record; units, validation, the JSON Schema.
