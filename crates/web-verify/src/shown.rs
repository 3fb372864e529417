//! What a reader sees of a report beside its verdict: the car, when, and the photographs.

use seal::file::SealedFile;
use serde_json::json;
use wasm_bindgen::prelude::wasm_bindgen;

/// A report's photographs with what each shows, as its own record says.
#[wasm_bindgen]
pub struct Shown {
    told: String,
    pictures: Vec<Vec<u8>>,
}

#[wasm_bindgen]
impl Shown {
    /// Reads a report; a condition statement has no photographs of its own.
    ///
    /// # Errors
    /// A sentence that says why it cannot be read. The verdict says more.
    #[wasm_bindgen(constructor)]
    pub fn new(file: &[u8]) -> Result<Self, String> {
        let sealed = SealedFile::read(file).map_err(|fault| fault.to_string())?;
        let attached = sealed.record().map_err(|fault| fault.to_string())?;
        let Ok(record) = model::parse_canonical_record(&attached.bytes) else {
            return Ok(Self {
                told: json!({ "car": null, "visited_at": null, "photographs": [] }).to_string(),
                pictures: Vec::new(),
            });
        };
        let inspection = &record.inspection;
        let (mut told, mut pictures) = (Vec::new(), Vec::new());
        let streams: Vec<&[u8]> = sealed.image_streams().collect();
        for (photograph, copy) in inspection.photographs.iter().zip(&record.report_photographs) {
            // A picture is shown as what the record says it is, or not at all.
            let Some(stream) = streams.iter().find(|stream| model::Sha256::of(stream) == copy.sha256) else { continue };
            told.push(json!({
                "shows": photograph.subject.words(),
                "caption": photograph.caption.as_ref().map(ToString::to_string),
                "width": copy.width_px, "height": copy.height_px,
            }));
            pictures.push(stream.to_vec());
        }
        let car = &inspection.car;
        let told = json!({
            "car": car.description.to_string(),
            "registration": car.registration.to_string(),
            "visited_at": inspection.visited_at.to_rfc3339(), "photographs": told,
        });
        Ok(Self { told: told.to_string(), pictures })
    }

    /// As JSON: `car`, `registration`, `visited_at`, `photographs` with what each shows.
    pub fn told(&self) -> String {
        self.told.clone()
    }

    /// A photograph's bytes, a JPEG; empty where there is none of that number.
    pub fn picture(&self, nth: usize) -> Vec<u8> {
        self.pictures.get(nth).cloned().unwrap_or_default()
    }
}
