//! The last visit of the demonstration, sealed: what outside programs are shown.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use api::{
    CertifyRequest, Existing, FaceRequest, Passphrase, PersonId, RecordingRequest, Role, SealRequest, SealedReport,
    analyse_recordings, certify_person, found_firm, quietly, read_faces, seal_report,
};
use demo::scenario::{Visit, inspect, people, record, visits};
use tempfile::TempDir;

use crate::FixedWorld;

/// Pixels: photographs that are drawn quickly, and show what they should at the size of a golden page.
const WIDTH: u32 = 400;

/// A sealed report with what belongs to it, in a folder that goes with it.
#[derive(Debug)]
pub struct Sealed {
    /// What the sealing told.
    pub told: SealedReport,
    /// The sealed report.
    pub report: PathBuf,
    /// The firm's root.
    pub root: PathBuf,
    /// The firm's folder.
    pub firm: PathBuf,
    /// The folder of all this; it goes when this value goes.
    pub folder: TempDir,
}

/// Founds a firm, certifies its inspector and seals the last visit, under a fixed world: the same bytes each time.
///
/// # Errors
/// What any of these steps says.
pub fn seal_last_visit() -> Result<Sealed> {
    let world = FixedWorld::default();
    let folder = tempfile::tempdir()?;
    let place = folder.path();
    let [.., visit] = visits();
    let (inspection, photographs) = inspect(&visit, (WIDTH, WIDTH * 3 / 4))?;
    let pictures = place.join("photographs");
    std::fs::create_dir(&pictures)?;
    let mut measured = Vec::new();
    for photograph in &photographs {
        let file = pictures.join(format!("{}.jpg", photograph.id()));
        std::fs::write(&file, &photograph.bytes)?;
        if let Some(mark) = photograph.mark_json() {
            std::fs::write(format!("{}.mark.json", file.display()), mark)?;
            measured.push(file);
        }
    }
    let inspection_file = place.join("inspection.json");
    std::fs::write(&inspection_file, serde_json::to_vec(&inspection)?)?;
    measure(&world, place, &visit, &measured, &inspection_file).context("what was measured")?;

    let firm = place.join("firm");
    let passphrase = Passphrase::from("demonstration only".to_owned());
    found_firm(&world, &firm, people::FIRM, &passphrase).context("the firm")?;
    let person: PersonId = "ines".parse()?;
    let request = CertifyRequest {
        firm: &firm,
        id: &person,
        name: people::INSPECTOR,
        role: Role::Inspector,
        firm_passphrase: &passphrase,
        person_passphrase: &passphrase,
    };
    certify_person(&world, &request).context("the inspector")?;
    let report = place.join("report.pdf");
    let request = SealRequest {
        inspection: &inspection_file,
        photographs: &pictures,
        firm: &firm,
        person: &person,
        passphrase: &passphrase,
        device: None,
        out: &report,
        existing: Existing::Refuse,
        supersedes: None,
        verify_at: Some("https://check.harbour-vale.example/".try_into()?),
    };
    let told = seal_report(&world, &request, &quietly).context("the report")?;
    Ok(Sealed { told, report, root: firm.join("root.pem"), firm, folder })
}

/// Puts what the visit's recordings and its marked faces show into the inspection.
fn measure(world: &FixedWorld, place: &Path, visit: &Visit, faces: &[PathBuf], inspection: &Path) -> Result<()> {
    let folder = place.join("references");
    std::fs::create_dir(&folder)?;
    let mut list = Vec::new();
    for (stage, name, face) in demo::face::references() {
        let drawn = demo::face::draw(&face);
        std::fs::write(folder.join(&name), drawn.jpeg()?)?;
        std::fs::write(folder.join(format!("{name}.mark.json")), drawn.mark_json())?;
        list.push(serde_json::json!({ "photograph": name, "stage": stage }));
    }
    let references = folder.join("references.json");
    let document = serde_json::json!({ "schema": "rimside.references/1", "references": list });
    std::fs::write(&references, document.to_string())?;
    read_faces(
        world,
        &FaceRequest {
            photographs: faces,
            references: Some(&references),
            plots: None,
            existing: Existing::Refuse,
            into: Some(inspection),
        },
    )?;
    let recorded = record(visit);
    let files = ["motion.csv", "position.nmea", "sound.wav"].map(|name| place.join(name));
    let contents = [recorded.motion.as_bytes(), recorded.position.as_bytes(), &recorded.sound];
    for (file, bytes) in files.iter().zip(contents) {
        std::fs::write(file, bytes)?;
    }
    let request = RecordingRequest {
        files: &files,
        plots: None,
        tyres: [None; 2],
        prescribed_km_h: None,
        existing: Existing::Refuse,
        into: Some(inspection),
    };
    analyse_recordings(world, &request)?;
    Ok(())
}
