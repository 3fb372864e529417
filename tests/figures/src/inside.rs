//! Calls inside this process: pages, hashes and signature against one hash over the file; verifying against the same.

use std::hint::black_box;

use anyhow::{Context as _, Result};
use api::{NativeWorld, World as _};
use model::{CornerName, Inspected, Line, Record};
use nix::sys::resource::{UsageWho, getrusage};
use nix::sys::time::TimeValLike as _;
use seal::certificate::Certificate;
use seal::chain::Chain;
use seal::file::SealedFile;
use seal::key_file::{Passphrase, unlock_key};
use seal::signature::Signer;
use sha2::{Digest as _, Sha512};
use verify::Trust;

use crate::place::Place;
use crate::table::Table;

/// Measures each call once.
pub fn measure(place: &Place, table: &mut Table) -> Result<()> {
    let sealed = std::fs::read(place.report())?;
    let file = SealedFile::read(&sealed)?;
    let record_bytes = file.record()?.bytes;
    let record = model::parse_canonical_record(&record_bytes)?;
    let copies: Vec<_> = file.image_streams().collect();
    let signer = signer(place)?;
    table.size(sealed.len(), file.page_count(), copies.len());

    table.add("one SHA-512 over the file", cpu(|| Ok(black_box(Sha512::digest(&sealed)).len()))?);
    table.add(
        "pages, hashes and signature, no scaling",
        cpu(|| {
            let hashed = copies.iter().copied().collect();
            let prepared = report::render(&record, &record_bytes, &hashed)?;
            Ok(seal::sealing::seal_file(prepared.bytes, &signer)?.len())
        })?,
    );
    let short = shorten(&record)?;
    let short_bytes = short.canonical_bytes()?;
    let mut short_file = Vec::new();
    table.add(
        "pages, hashes and signature of the short report",
        cpu(|| {
            let hashed = copies.iter().copied().collect();
            let prepared = report::render(&short, &short_bytes, &hashed)?;
            short_file = seal::sealing::seal_file(prepared.bytes, &signer)?;
            Ok(short_file.len())
        })?,
    );
    table.add("one SHA-512 over the short report", cpu(|| Ok(black_box(Sha512::digest(&short_file)).len()))?);
    table.short_pages(SealedFile::read(&short_file)?.page_count());
    let mut trust = Trust::at(NativeWorld.now());
    trust.roots.push(certificate(place, "root.pem")?);
    table
        .add("verify without the pages drawn again", cpu(|| Ok(verify::check_signature(&sealed, &trust).title.len()))?);
    table.add("verify with the pages drawn again", cpu(|| Ok(verify::check_fully(&sealed, &trust).title.len()))?);
    Ok(())
}

/// The same visit with one corner looked at and no road test: the shortest report that carries as many photographs.
fn shorten(record: &Record) -> Result<Record> {
    let mut short = record.clone();
    let inspection = &mut short.inspection;
    let why = Line::try_from("only the front left corner was asked about")?;
    for name in CornerName::ALL.iter().filter(|name| **name != CornerName::FrontLeft) {
        *inspection.corners.at_mut(*name) = Inspected::NotInspected(why.clone());
    }
    inspection.readings.retain(|reading| reading.of.corner() == Some(CornerName::FrontLeft));
    inspection.road_test = Inspected::NotInspected(why);
    inspection.car.prior_visits.clear();
    short.reckoning = condition::reckon(inspection);
    Ok(short)
}

fn certificate(place: &Place, name: &str) -> Result<Certificate> {
    Ok(Certificate::parse_pem(&std::fs::read_to_string(place.firm.join(name))?)?)
}

fn signer(place: &Place) -> Result<Signer> {
    let pem = std::fs::read_to_string(place.firm.join("people/bench.key.pem"))?;
    let key = unlock_key(&pem, &Passphrase::from(std::fs::read_to_string(&place.passphrase)?))?;
    let chain = Chain::new(
        certificate(place, "people/bench.pem")?,
        certificate(place, "issuer.pem")?,
        certificate(place, "root.pem")?,
    )?;
    Signer::new(key, chain).context("the measured signer")
}

/// CPU seconds of this process for one call; its result is used so that it is not left out.
pub fn cpu(work: impl FnOnce() -> Result<usize>) -> Result<f64> {
    let spent = || -> Result<f64> {
        let usage = getrusage(UsageWho::RUSAGE_SELF)?;
        Ok((usage.user_time().num_microseconds() + usage.system_time().num_microseconds()) as f64 / 1e6)
    };
    let before = spent()?;
    black_box(work()?);
    Ok(spent()? - before)
}
