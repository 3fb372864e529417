//! The last visit of the demonstration, sealed: what outside programs are shown.

use std::path::PathBuf;

use anyhow::{Context as _, Result};
use api::{
    CertifyRequest, Existing, Passphrase, PersonId, Role, SealRequest, SealedReport, certify_person, found_firm,
    quietly, seal_report,
};
use demo::scenario::{inspect, people, visits};
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
    for photograph in &photographs {
        std::fs::write(pictures.join(format!("{}.jpg", photograph.id())), &photograph.bytes)?;
    }
    let inspection_file = place.join("inspection.json");
    std::fs::write(&inspection_file, serde_json::to_vec(&inspection)?)?;

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
