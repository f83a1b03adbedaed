//! Links with which an owner reads the report of one case, for a while, and nothing else.

use rusqlite::{OptionalExtension as _, Row, params};
use serde::{Deserialize, Serialize};

use crate::chain::sha256;
use crate::clock;
use crate::entry::Who;
use crate::people::secret;
use crate::store::{Store, StoreError};

/// A link that was given, as its givers see it. The secret in it is kept nowhere.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Link {
    /// What it is called by those who gave it.
    pub name: String,
    /// The case.
    pub case: String,
    /// Who gave it.
    pub made_by: String,
    /// When.
    pub made: String,
    /// Until when it opens, in seconds since 1970-01-01T00:00:00Z.
    pub ends: i64,
    /// When it was taken back, if it was.
    pub revoked: Option<String>,
}

/// What a link opens.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Followed {
    /// The case.
    pub case: String,
    /// The day on which it ends, `2026-05-02`.
    pub last_day: String,
}

impl Store {
    /// Gives a link to the report of a case for some days, and says the secret in it.
    ///
    /// # Errors
    /// When there is no such case, the days are none or more than a year, or the database fails.
    pub fn give_link(&self, case: &str, who: &Who, days: u32) -> Result<String, StoreError> {
        self.head(case)?;
        if !(1..=366).contains(&days) {
            return Err(StoreError::Refused("a link opens for 1 to 366 days".to_owned()));
        }
        let secret = secret()?;
        let (hash, case, by) = (sha256(secret.as_bytes()), case.to_owned(), who.name.clone());
        let (name, made) = (hash[..8].to_owned(), self.clock().text());
        let ends = self.clock().seconds() + i64::from(days) * 24 * 3600;
        self.0.writer.write(move |connection, _| {
            connection.execute(
                "INSERT INTO links VALUES (?1, ?2, ?3, ?4, ?5, ?6, NULL)",
                params![hash, name, case, by, made, ends],
            )?;
            Ok(())
        })?;
        Ok(secret)
    }

    /// The case whose report a link opens, if it opens one now.
    ///
    /// # Errors
    /// When the database fails.
    pub fn follow_link(&self, secret: &str) -> Result<Option<Followed>, StoreError> {
        let (hash, now) = (sha256(secret.as_bytes()), self.clock().seconds());
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT case_id, ends FROM links WHERE hash = ?1 AND ends >= ?2 AND revoked IS NULL",
            )?;
            let followed =
                |row: &Row<'_>| Ok(Followed { case: row.get(0)?, last_day: clock::day(row.get(1)?) });
            Ok(statement.query_row(params![hash, now], followed).optional()?)
        })
    }

    /// Takes a link back, by its name.
    ///
    /// # Errors
    /// When there is no such link of this case, or the database fails.
    pub fn revoke_link(&self, case: &str, name: &str) -> Result<(), StoreError> {
        let (case, name, now) = (case.to_owned(), name.to_owned(), self.clock().text());
        self.0.writer.write(move |connection, _| {
            let changed = connection.execute(
                "UPDATE links SET revoked = ?3 WHERE case_id = ?1 AND name = ?2 AND revoked IS NULL",
                params![case, name, now],
            )?;
            if changed == 0 { Err(StoreError::NoSuch("link")) } else { Ok(()) }
        })
    }

    /// The links of a case, the newest first.
    ///
    /// # Errors
    /// When the database fails.
    pub fn links(&self, case: &str) -> Result<Vec<Link>, StoreError> {
        self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT name, case_id, made_by, made, ends, revoked FROM links
                 WHERE case_id = ?1 ORDER BY made DESC, name",
            )?;
            let link = |row: &rusqlite::Row<'_>| {
                Ok(Link {
                    name: row.get(0)?,
                    case: row.get(1)?,
                    made_by: row.get(2)?,
                    made: row.get(3)?,
                    ends: row.get(4)?,
                    revoked: row.get(5)?,
                })
            };
            Ok(statement.query_map([case], link)?.collect::<Result<_, _>>()?)
        })
    }
}
