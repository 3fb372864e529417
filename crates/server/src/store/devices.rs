//! Who may speak to the office: codes that let a device in once, and the devices that were let in.

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension as _, TransactionBehavior, params};
use seal::certificate::Role;

use super::{FirmId, SqliteRows, StoreError, sqlite::at};

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

    /// Shuts a device out. Whether there was such a device that was in.
    fn shut_out(&self, firm: &FirmId, device: &str, now: DateTime<Utc>) -> Result<bool, StoreError>;
}

const COLUMNS: &str = "firm, device, label, since, revoked, role";

fn read(row: &rusqlite::Row<'_>) -> rusqlite::Result<Device> {
    let (firm, role): (String, String) = (row.get(0)?, row.get(5)?);
    Ok(Device {
        firm: firm.parse().map_err(|_| rusqlite::Error::InvalidColumnName(firm))?,
        device: row.get(1)?,
        label: row.get(2)?,
        since: at(row.get(3)?),
        revoked: row.get::<_, Option<i64>>(4)?.map(at),
        role: Role::parse(&role).ok_or(rusqlite::Error::InvalidColumnName(role))?,
    })
}

impl Devices for SqliteRows {
    fn open_code(
        &self,
        firm: &FirmId,
        code: &SecretDigest,
        (label, role): (&str, Role),
        until: DateTime<Utc>,
        tries: u32,
    ) -> Result<(), StoreError> {
        self.db().execute(
            "INSERT INTO codes (firm, digest, label, until, tries, role) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![firm.as_str(), code, label, until.timestamp(), tries, role.name()],
        )?;
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
        let mut db = self.db();
        let change = db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let called: Option<(String, String)> = change
            .query_row(
                "DELETE FROM codes WHERE firm = ?1 AND digest = ?2 AND until > ?3 AND tries > 0 RETURNING label, role",
                params![firm.as_str(), code, now.timestamp()],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()?;
        if let Some((label, role)) = &called {
            change.execute(
                "INSERT INTO devices (firm, device, label, token, since, role) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                 ON CONFLICT (firm, device)
                 DO UPDATE SET label = excluded.label, token = excluded.token, since = excluded.since,
                     role = excluded.role, revoked = NULL",
                params![firm.as_str(), device, label, token, now.timestamp(), role],
            )?;
        } else {
            change
                .execute("UPDATE codes SET tries = tries - 1 WHERE firm = ?1 AND tries > 0", params![firm.as_str()])?;
        }
        change.execute("DELETE FROM codes WHERE until <= ?1 OR tries <= 0", params![now.timestamp()])?;
        change.commit()?;
        Ok(called.is_some())
    }

    fn follow(
        &self,
        before: &Device,
        device: &str,
        token: &SecretDigest,
        now: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let db = self.db();
        db.execute(
            "INSERT INTO devices (firm, device, label, token, since, role) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT DO NOTHING",
            params![before.firm.as_str(), device, before.label, token, now.timestamp(), before.role.name()],
        )?;
        let mut query = db.prepare_cached(
            "SELECT 1 FROM devices WHERE firm = ?1 AND device = ?2 AND token = ?3 AND revoked IS NULL",
        )?;
        Ok(query.exists(params![before.firm.as_str(), device, token])?)
    }

    fn find_device(&self, token: &SecretDigest) -> Result<Option<Device>, StoreError> {
        let db = self.db();
        let mut query =
            db.prepare_cached(&format!("SELECT {COLUMNS} FROM devices WHERE token = ?1 AND revoked IS NULL"))?;
        Ok(query.query_row(params![token], read).optional()?)
    }

    fn list_devices(&self, firm: &FirmId) -> Result<Vec<Device>, StoreError> {
        let db = self.db();
        let mut query = db.prepare_cached(&format!("SELECT {COLUMNS} FROM devices WHERE firm = ?1 ORDER BY device"))?;
        Ok(query.query_map(params![firm.as_str()], read)?.collect::<Result<_, _>>()?)
    }

    fn shut_out(&self, firm: &FirmId, device: &str, now: DateTime<Utc>) -> Result<bool, StoreError> {
        let changed = self.db().execute(
            "UPDATE devices SET revoked = ?3 WHERE firm = ?1 AND device = ?2 AND revoked IS NULL",
            params![firm.as_str(), device, now.timestamp()],
        )?;
        Ok(changed > 0)
    }
}
