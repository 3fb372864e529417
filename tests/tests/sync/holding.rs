//! What holds of a firm, whatever happens.

use std::collections::{BTreeMap, BTreeSet};

use api::door::OfficeBook;
use model::Sha256;
use serde_json::Value;
use sync::Book as _;

use crate::{
    firm::{Firm, INSPECTIONS, firm},
    reports::{POOL, has_receipted},
};

impl Firm {
    /// No row of the office is ever cut, changed or has a gap.
    pub fn hold_office_to_its_word(&mut self) {
        let all = self.office_entries();
        let mut rows: BTreeMap<String, Vec<Sha256>> = BTreeMap::new();
        for entry in &all {
            let row = rows.entry(entry.id.device.to_string()).or_default();
            row.push(entry.body_digest);
            assert_eq!(entry.id.seq, row.len() as u64, "a gap in the row of {}", entry.id.device);
        }
        for (device, before) in &self.known {
            assert!(
                rows.get(device).is_some_and(|row| row.starts_with(before)),
                "the row of {device} was cut or changed"
            );
        }
        self.known = rows;
    }

    /// A report that any notebook still has, or the office, everybody has with its receipt. A copy that was put back may have
    /// lost one that nobody was told of.
    fn hold_reports_together(&mut self) {
        for sealed in &POOL.reports[..self.sealed] {
            let is_anywhere = self.devices.iter().any(|device| {
                device.book.as_ref().unwrap().report_standing(&sealed.identity.to_string()).unwrap().is_some()
            });
            let office = self.rows.report(&firm(), &sealed.identity).unwrap();
            assert_eq!(office.is_some(), is_anywhere, "a report is on a device or at the office, and not in both");
            for device in self.devices.iter().filter(|_| is_anywhere) {
                assert!(has_receipted(device.book.as_ref().unwrap(), sealed), "a report, or its receipt, is missing");
            }
        }
    }

    /// Everybody has the same entries, the same inspections and every photograph; nothing that was acknowledged is lost.
    pub fn hold_together(&mut self) {
        let office: BTreeMap<String, Sha256> =
            self.office_entries().iter().map(|entry| (entry.id.to_string(), entry.body_digest)).collect();
        let salts: BTreeSet<String> =
            self.office_entries().iter().map(|entry| entry.body.as_ref().unwrap().salt.to_string()).collect();
        let named: BTreeSet<Sha256> = self
            .office_entries()
            .iter()
            .filter_map(|entry| Some(sync::named_blob(entry.body.as_ref()?)?.sha256))
            .collect();
        self.hold_reports_together();
        let mut drafts: Vec<Value> = Vec::new();
        let chance = self.chance.clone();
        for device in &mut self.devices {
            let book = device.book.as_mut().unwrap();
            let entries: BTreeMap<String, Sha256> =
                book.carry().unwrap().iter().map(|entry| (entry.id.to_string(), entry.body_digest)).collect();
            assert_eq!(entries, office, "a device has other entries than the office");
            for salt in &device.acknowledged {
                assert!(salts.contains(salt), "an entry was acknowledged and is lost");
            }
            let folded: Vec<Value> = INSPECTIONS
                .iter()
                .filter_map(|id| Some(book.draft(&id.parse().unwrap()).ok()?.fold().document))
                .collect();
            drafts.push(folded.into());
            let given: BTreeSet<Sha256> =
                named.iter().copied().filter(|sha256| self.rows.blob(&firm(), sha256).unwrap().is_some()).collect();
            let lending = OfficeBook::new(book, &chance);
            for sha256 in &given {
                assert!(lending.blob(sha256).unwrap().is_some_and(|bytes| Sha256::of(&bytes) == *sha256));
            }
            for sha256 in named.difference(&given) {
                // Gone with a device whose copy was put back before it was sent: nobody has it.
                assert!(lending.blob(sha256).unwrap().is_none(), "{sha256} was not sent");
            }
        }
        for pair in drafts.windows(2) {
            assert_eq!(pair[0], pair[1], "two devices show two inspections");
        }
    }
}
