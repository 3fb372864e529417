//! What a reader brings along, and how a chain is judged by it.

use chrono::{DateTime, Utc};

use crate::{
    certificate::Certificate,
    chain::Chain,
    digest::Fingerprint,
    receipt::{LogKey, Witnesses},
    revocation::{Revocation, RevocationList},
    statement::SignedStatement,
    verdict::{Check, Finding, Whose},
};

/// A reader's own knowledge. Nothing of it comes from the file that is being checked.
#[derive(Clone, Debug)]
pub struct Trust {
    /// The roots that the reader relies on.
    pub roots: Vec<Certificate>,
    /// Revocation lists, of any authority and age; those that are not signed by the chain's authorities count nothing.
    pub revocation_lists: Vec<RevocationList>,
    /// The logs that the reader relies on, each for the reports of its own firm.
    pub logs: Vec<FirmLog>,
    /// The authorities for timestamps whose word the reader takes for a time.
    #[cfg(feature = "authority")]
    pub authorities: Vec<crate::timestamp::AuthorityCertificate>,
    /// Withdrawals and supersessions.
    pub statements: Vec<SignedStatement>,
    /// When the statements were gathered, if they are all that the firm had then. None when that is not known: then a
    /// withdrawal counts, but the absence of one proves nothing.
    pub statements_complete_as_of: Option<DateTime<Utc>>,
    /// The time of the check, by the reader's clock.
    pub at: DateTime<Utc>,
}

/// A firm's log. It proves times for the firm's own reports only: what another firm's log says could help a thief who
/// holds a revoked key of this one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FirmLog {
    /// The firm's root key.
    pub root: Fingerprint,
    /// The log's name and key.
    pub key: LogKey,
    /// The witnesses whose word the reader takes for a time, where there are any; without them it is the log's own.
    pub witnesses: Option<Witnesses>,
}

impl Trust {
    /// Trust in nothing, at a given time; to be filled.
    pub const fn at(at: DateTime<Utc>) -> Self {
        Self {
            roots: Vec::new(),
            revocation_lists: Vec::new(),
            logs: Vec::new(),
            #[cfg(feature = "authority")]
            authorities: Vec::new(),
            statements: Vec::new(),
            statements_complete_as_of: None,
            at,
        }
    }

    /// Judges a chain at the proven time if there is one, else at the time of the check.
    ///
    /// Failed: not yet valid; invalid at the proven time; revoked, unless proven to be older than the revocation.
    /// Not checked: expired without proof of an earlier time; a root that the reader does not have.
    pub fn judge(&self, chain: &Chain, proven: Option<DateTime<Utc>>) -> Check<Whose> {
        let judged_at = proven.unwrap_or(self.at);
        if let Some(verdict) = judge_validity(chain, judged_at, proven.is_some()) {
            return verdict;
        }
        let mut revoked_later = None;
        for (certificate, authority, whose) in
            [(chain.person(), chain.issuer(), "signer's"), (chain.issuer(), chain.root(), "issuer's")]
        {
            let Some(revocation) = self.find_revocation(certificate, authority) else { continue };
            if proven.is_none_or(|proven| proven >= revocation.since) {
                let since = revocation.since.format("%Y-%m-%d %H:%M UTC");
                let reason = revocation.reason.name();
                let proof =
                    if proven.is_some() { "before the signature" } else { "and nothing proves an earlier signature" };
                return Check::failed(
                    "revoked",
                    format!("the {whose} key is revoked since {since} ({reason}), {proof}"),
                );
            }
            // The person's own revocation says more than the issuer's.
            revoked_later = revoked_later.or(Some(revocation.clone()));
        }
        let root = chain.root();
        let Some(known) = self.roots.iter().find(|own| is_same_authority(own, root)) else {
            let fingerprint = root.fingerprint();
            let reason = format!("the root is not one that was given; its fingerprint is {fingerprint}");
            return Check::not_checked("unknown-root", reason);
        };
        match (chain.person().subject(), known.subject()) {
            (Ok(person), Ok(root)) => Check::Passed(Whose {
                person,
                signer: chain.person().fingerprint(),
                root,
                root_fingerprint: known.fingerprint(),
                judged_at,
                revoked_later,
            }),
            (Err(error), _) | (_, Err(error)) => Check::failed("certificate-subject", error.to_string()),
        }
    }

    /// A firm's logs.
    pub(crate) fn list_logs(&self, root: &Certificate) -> Vec<&FirmLog> {
        self.logs.iter().filter(|log| log.root == root.fingerprint()).collect()
    }

    /// The earliest revocation of a certificate in any list of its authority. An outdated list still tells what it
    /// knew; a revocation is never taken back.
    fn find_revocation(&self, certificate: &Certificate, authority: &Certificate) -> Option<&Revocation> {
        let lists = self.revocation_lists.iter().filter(|list| list.check(authority).is_ok());
        lists.filter_map(|list| list.find_revocation(certificate)).min_by_key(|revocation| revocation.since)
    }

    /// As of when the issuer's word on revocations is known: the newest list that is not overdue.
    pub(crate) fn revocations_known_as_of(&self, chain: &Chain) -> Result<DateTime<Utc>, Finding> {
        let own = self.revocation_lists.iter().filter(|list| list.check(chain.issuer()).is_ok());
        let Some(newest) = own.max_by_key(|list| (list.this_update(), list.number())) else {
            return Err(Finding {
                code: "revocation-list-missing",
                reason: "no revocation list of the issuer was given".to_owned(),
            });
        };
        if newest.next_update() < self.at || newest.this_update() > self.at {
            let due = newest.next_update().format("%Y-%m-%d %H:%M UTC");
            return Err(Finding {
                code: "revocation-list-outdated",
                reason: format!(
                    "the issuer's revocation list does not cover the time of the check; the next was due {due}"
                ),
            });
        }
        Ok(newest.this_update())
    }
}

fn judge_validity(chain: &Chain, judged_at: DateTime<Utc>, is_proven: bool) -> Option<Check<Whose>> {
    let names = ["signer's", "issuer's", "root's"];
    for (certificate, whose) in chain.certificates().into_iter().zip(names) {
        let (first, last) = certificate.validity();
        let day = |time: DateTime<Utc>| time.format("%Y-%m-%d");
        if judged_at < first {
            let reason = format!("the {whose} certificate is valid from {} only", day(first));
            return Some(Check::failed("not-yet-valid", reason));
        }
        if judged_at > last && is_proven {
            let reason = format!("the {whose} certificate had expired on {}, before the proven time", day(last));
            return Some(Check::failed("expired-before-proven-time", reason));
        }
        if judged_at > last {
            let reason =
                format!("the {whose} certificate expired on {}, and nothing proves an earlier signature", day(last));
            return Some(Check::not_checked("expired", reason));
        }
    }
    None
}

/// The same name and the same key: a root that was certified again is the same authority.
fn is_same_authority(own: &Certificate, other: &Certificate) -> bool {
    own.key() == other.key() && own.inner().tbs_certificate().subject() == other.inner().tbs_certificate().subject()
}
