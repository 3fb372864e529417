//! Who may speak to the office: codes that let a device in once, and the devices that were let in.

use chrono::{DateTime, Utc};
use seal::certificate::Role;

use super::{
    FirmId, StoreError,
    rows::{Database, Given, Row, Rows},
};

/// The digest of a code or of a token: neither is kept itself.
pub type SecretDigest = [u8; 32];

/// A device that was let in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its firm.
    pub firm: FirmId,
    /// Its name, as its notebook has it.
    pub device: String,
    /// What the office called it.
    pub label: String,
    /// What it may do.
    pub role: Role,
    /// Since when.
    pub since: DateTime<Utc>,
    /// When it was shut out, if it was.
    pub revoked: Option<DateTime<Utc>>,
}

/// The rows of codes and devices. What a function has said it did is on the disk when it returns.
pub trait Devices: Send + Sync {
    /// Keeps a code for a device that the office calls so and that may do so much, good until then and for so many wrong
    /// answers.
    fn open_code(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        called: (&str, Role),
        until: DateTime<Utc>,
        tries: u32,
    ) -> Result<(), StoreError>;

    /// Uses a code up and lets the device in with this token; a device of that name that was there before is let in anew,
    /// and its token before counts no more. A wrong code counts against every open one of the firm. Whether it was let in.
    fn let_in(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError>;

    /// Lets another name of a device in with its own token, called as that device is. Whether it is in with that token: a
    /// name that is known already is let in by a code alone.
    fn follow(
        &self,
        before: &Device,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError>;

    /// The device that has this token and was not shut out.
    fn find_device(&self, token: &SecretDigest) -> Result<Option<Device>, StoreError>;

    /// A firm's devices, in the order of their names.
    fn list_devices(&self, firm: &FirmId) -> Result<Vec<Device>, StoreError>;

    /// Shuts a device out, under every name under which it went on. Whether there was such a device that was in.
    fn shut_out(&self, firm: &FirmId, device: &str, now: DateTime<Utc>) -> Result<bool, StoreError>;
}

const COLUMNS: &str = "firm, device, label, since, revoked, role";

fn read(row: &mut Row) -> Result<Device, StoreError> {
    Ok(Device {
        firm: row.named()?,
        device: row.text()?,
        label: row.text()?,
        since: row.time()?,
        revoked: row.maybe_time()?,
        role: read_role(row)?,
    })
}

fn read_role(row: &mut Row) -> Result<Role, StoreError> {
    let name = row.text()?;
    Role::parse(&name).ok_or_else(|| StoreError::Failed(format!("a row has the role {name:?}, which is none")))
}

impl<D: Database> Devices for Rows<D> {
    fn open_code(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        (label, role): (&str, Role),
        until: DateTime<Utc>,
        tries: u32,
    ) -> Result<(), StoreError> {
        let sql = "INSERT INTO codes (firm, digest, label, until, tries, role) VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
        let tries = Given::count(tries.into())?;
        self.change(firm, sql, &[firm.into(), code.into(), label.into(), until.into(), tries, role.name().into()])?;
        Ok(())
    }

    fn let_in(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        self.together(firm, |statements| {
            let sql = "DELETE FROM codes WHERE firm = ?1 AND digest = ?2 AND until > ?3 AND tries > 0
                 RETURNING label, role";
            let called = statements.read_one(sql, &[firm.into(), code.into(), now.into()])?;
            let is_in = called.is_some();
            if let Some(mut called) = called {
                let sql =
                    "INSERT INTO devices (firm, device, label, token, since, role) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                     ON CONFLICT (firm, device)
                     DO UPDATE SET label = excluded.label, token = excluded.token, since = excluded.since,
                         role = excluded.role, revoked = NULL, follows = NULL";
                let (label, role) = (called.text()?, called.text()?);
                let given = [firm.into(), device.into(), (&*label).into(), token.into(), now.into(), (&*role).into()];
                statements.run(sql, &given)?;
            } else {
                statements.run("UPDATE codes SET tries = tries - 1 WHERE firm = ?1 AND tries > 0", &[firm.into()])?;
            }
            let sql = "DELETE FROM codes WHERE firm = ?1 AND (until <= ?2 OR tries <= 0)";
            statements.run(sql, &[firm.into(), now.into()])?;
            Ok(is_in)
        })
    }

    fn follow(
        &self,
        before: &Device,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let firm = &before.firm;
        let sql = "INSERT INTO devices (firm, device, label, token, since, role, follows)
             SELECT firm, ?3, label, ?4, ?5, role, coalesce(follows, device) FROM devices
             WHERE firm = ?1 AND device = ?2 AND revoked IS NULL ON CONFLICT DO NOTHING";
        self.change(firm, sql, &[firm.into(), (&*before.device).into(), device.into(), token.into(), now.into()])?;
        let sql = "SELECT device FROM devices WHERE firm = ?1 AND device = ?2 AND token = ?3 AND revoked IS NULL";
        self.exists(sql, &[firm.into(), device.into(), token.into()])
    }

    fn find_device(&self, token: &SecretDigest) -> Result<Option<Device>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM devices WHERE token = ?1 AND revoked IS NULL");
        self.find(&sql, &[token.into()], read)
    }

    fn list_devices(&self, firm: &FirmId) -> Result<Vec<Device>, StoreError> {
        let sql = format!("SELECT {COLUMNS} FROM devices WHERE firm = ?1 ORDER BY device");
        self.list(&sql, &[firm.into()], read)
    }

    fn shut_out(&self, firm: &FirmId, device: &str, now: DateTime<Utc>) -> Result<bool, StoreError> {
        let sql = "UPDATE devices SET revoked = ?3 WHERE firm = ?1 AND revoked IS NULL AND coalesce(follows, device) =
                 (SELECT coalesce(follows, device) FROM devices WHERE firm = ?1 AND device = ?2)";
        Ok(self.change(firm, sql, &[firm.into(), device.into(), now.into()])? > 0)
    }
}
