//! Who may log in, and sessions. Passwords are kept as Argon2id hashes, sessions as hashes of what the
//! browser holds.

use argon2::{Argon2, PasswordHash, PasswordHasher, PasswordVerifier};
use rusqlite::{OptionalExtension as _, params};
use serde::{Deserialize, Serialize};

use crate::chain::{hex, sha256};
use crate::store::{Store, StoreError};

/// How long a session lasts without being used: a working week and a weekend. Our choice.
pub const SESSION_S: i64 = 9 * 24 * 3600;

/// Shortest password: NIST SP 800-63B (revision 3), 5.1.1.2, from memory.
pub const SHORTEST_PASSWORD: usize = 8;

/// Longest password that is looked at.
const LONGEST_PASSWORD: usize = 1000;

/// What somebody may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Works on cases.
    Technician,
    /// Also adds and removes people, and gives and takes back links for owners.
    Lead,
}

impl Role {
    /// The word it is kept by.
    pub fn word(self) -> &'static str {
        match self {
            Role::Technician => "technician",
            Role::Lead => "lead",
        }
    }

    fn of(word: &str) -> Role {
        if word == "lead" { Role::Lead } else { Role::Technician }
    }
}

/// Somebody who may log in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    /// The name the person logs in with.
    pub name: String,
    /// What the person may do.
    pub role: Role,
}

/// A session that holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    /// Whose.
    pub person: Person,
    /// What forms have to carry.
    pub token: String,
}

/// A session just begun.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Begun {
    /// What the browser holds; kept nowhere else.
    pub secret: String,
    /// The session.
    pub session: Session,
}

impl Store {
    /// Everybody who may log in, by name.
    ///
    /// # Errors
    /// When the database fails.
    pub fn people(&self) -> Result<Vec<Person>, StoreError> {
        self.read(|connection| {
            let mut statement = connection
                .prepare_cached("SELECT name, role FROM people WHERE gone = 0 ORDER BY name")?;
            let person = |row: &rusqlite::Row<'_>| {
                Ok(Person { name: row.get(0)?, role: Role::of(&row.get::<_, String>(1)?) })
            };
            Ok(statement.query_map([], person)?.collect::<Result<_, _>>()?)
        })
    }

    /// Lets somebody log in, or gives a new role and password to somebody who may already; sessions of
    /// that person end.
    ///
    /// # Errors
    /// When name or password will not do, or the database fails.
    pub fn put_person(&self, name: &str, role: Role, password: &str) -> Result<(), StoreError> {
        let name = name.trim().to_owned();
        let refused = |why: &str| Err(StoreError::Refused(why.to_owned()));
        if name.is_empty() || name.len() > 60 || name.chars().any(char::is_control) {
            return refused("a name has 1 to 60 characters");
        }
        if password.chars().count() < SHORTEST_PASSWORD {
            return refused("a password has at least 8 characters");
        }
        if password.len() > LONGEST_PASSWORD {
            return refused("this password is too long");
        }
        let hash = hashed(password)?;
        let added = self.clock().text();
        self.0.writer.write(move |connection, _| {
            connection.execute(
                "INSERT INTO people VALUES (?1, ?2, ?3, ?4, 0)
                 ON CONFLICT (name) DO UPDATE SET role = ?2, password = ?3, gone = 0",
                params![name, role.word(), hash, added],
            )?;
            connection.execute("DELETE FROM sessions WHERE name = ?1", [&name])?;
            Ok(())
        })
    }

    /// Lets somebody log in no more; what the person entered stays.
    ///
    /// # Errors
    /// When it is the last lead, there is no such person, or the database fails.
    pub fn remove_person(&self, name: &str) -> Result<(), StoreError> {
        let name = name.to_owned();
        self.0.writer.write(move |connection, _| {
            let leads: u64 = connection.query_row(
                "SELECT count(*) FROM people WHERE gone = 0 AND role = 'lead' AND name <> ?1",
                [&name],
                |row| row.get(0),
            )?;
            if leads == 0 {
                let why = "this is the last lead; make somebody else one first";
                return Err(StoreError::Refused(why.to_owned()));
            }
            let gone = connection
                .execute("UPDATE people SET gone = 1 WHERE name = ?1 AND gone = 0", [&name])?;
            connection.execute("DELETE FROM sessions WHERE name = ?1", [&name])?;
            if gone == 0 { Err(StoreError::NoSuch("person")) } else { Ok(()) }
        })
    }

    /// Whether name and password belong together. Takes as long for a name nobody has.
    ///
    /// # Errors
    /// When the database fails.
    pub fn check_password(&self, name: &str, password: &str) -> Result<Option<Person>, StoreError> {
        let known: Option<(String, String, String)> = self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT name, role, password FROM people WHERE name = ?1 AND gone = 0",
            )?;
            let row = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?, row.get(2)?));
            Ok(statement.query_row([name], row).optional()?)
        })?;
        if password.len() > LONGEST_PASSWORD {
            return Ok(None);
        }
        let Some((name, role, hash)) = known else {
            // The work of a hash, thrown away.
            drop(hashed(password)?);
            return Ok(None);
        };
        let kept = PasswordHash::new(&hash)
            .map_err(|fault| StoreError::Damaged(format!("a kept password: {fault}")))?;
        let fits = Argon2::default().verify_password(password.as_bytes(), &kept).is_ok();
        Ok(fits.then(|| Person { name, role: Role::of(&role) }))
    }

    /// Begins a session for somebody whose password was checked.
    ///
    /// # Errors
    /// When the database fails.
    pub fn begin_session(&self, person: &Person) -> Result<Begun, StoreError> {
        let (secret, token) = (secret()?, secret()?);
        let (hash, kept, name) = (sha256(secret.as_bytes()), token.clone(), person.name.clone());
        let now = self.clock().seconds();
        self.0.writer.write(move |connection, _| {
            connection.execute("DELETE FROM sessions WHERE ends < ?1", [now])?;
            connection.execute(
                "INSERT INTO sessions VALUES (?1, ?2, ?3, ?4)",
                params![hash, name, kept, now + SESSION_S],
            )?;
            Ok(())
        })?;
        Ok(Begun { secret, session: Session { person: person.clone(), token } })
    }

    /// The session of what a browser holds, if it holds one.
    ///
    /// # Errors
    /// When the database fails.
    pub fn session(&self, secret: &str) -> Result<Option<Session>, StoreError> {
        let (hash, now) = (sha256(secret.as_bytes()), self.clock().seconds());
        let found: Option<(Session, i64)> = self.read(|connection| {
            let mut statement = connection.prepare_cached(
                "SELECT p.name, p.role, s.token, s.ends FROM sessions s JOIN people p USING (name)
                 WHERE s.hash = ?1 AND s.ends >= ?2 AND p.gone = 0",
            )?;
            let row = |row: &rusqlite::Row<'_>| {
                let role = Role::of(&row.get::<_, String>(1)?);
                let person = Person { name: row.get(0)?, role };
                Ok((Session { person, token: row.get(2)? }, row.get(3)?))
            };
            Ok(statement.query_row(params![hash, now], row).optional()?)
        })?;
        let Some((session, ends)) = found else { return Ok(None) };
        // Written at most once a day, not with every request.
        if ends < now + SESSION_S - 24 * 3600 {
            let hash = sha256(secret.as_bytes());
            self.0.writer.write(move |connection, _| {
                connection.execute(
                    "UPDATE sessions SET ends = ?2 WHERE hash = ?1",
                    params![hash, now + SESSION_S],
                )?;
                Ok(())
            })?;
        }
        Ok(Some(session))
    }

    /// Ends the session of what a browser holds.
    ///
    /// # Errors
    /// When the database fails.
    pub fn end_session(&self, secret: &str) -> Result<(), StoreError> {
        let hash = sha256(secret.as_bytes());
        self.0.writer.write(move |connection, _| {
            connection.execute("DELETE FROM sessions WHERE hash = ?1", [hash])?;
            Ok(())
        })
    }
}

/// 32 random bytes of the operating system as hexadecimal digits.
///
/// # Errors
/// When the operating system has none.
pub fn secret() -> Result<String, StoreError> {
    Ok(hex(&random::<32>()?))
}

fn random<const N: usize>() -> Result<[u8; N], StoreError> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes)
        .map_err(|fault| StoreError::File(format!("no random numbers: {fault}")))?;
    Ok(bytes)
}

/// Argon2id (RFC 9106) with 19 MiB, 2 passes and 1 lane, the defaults of the library; the OWASP Password
/// Storage Cheat Sheet names the same (from memory).
fn hashed(password: &str) -> Result<String, StoreError> {
    let salt = random::<16>()?;
    let hash: PasswordHash = Argon2::default()
        .hash_password_with_salt(password.as_bytes(), &salt)
        .map_err(|fault| StoreError::Refused(format!("this password will not do: {fault}")))?;
    Ok(hash.to_string())
}
