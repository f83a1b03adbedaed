//! The tables of the database, version by version. A version that was published is never changed: a
//! change is one more.

use rusqlite::Connection;

use crate::store::StoreError;

/// How the database came to be, oldest first.
const VERSIONS: &[&str] = &[include_str!("tables/1.sql")];

/// Opens a connection as all of ours are: write-ahead log, every commit on the disk before it counts.
pub(crate) fn connect(file: &std::path::Path) -> Result<Connection, StoreError> {
    let connection = Connection::open(file)?;
    connection.busy_timeout(std::time::Duration::from_secs(10))?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", "ON")?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// Brings the tables to the newest version.
pub(crate) fn bring_up(connection: &mut Connection) -> Result<(), StoreError> {
    let transaction =
        connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    let version: usize =
        transaction.pragma_query_value(None, "user_version", |row| row.get::<_, u32>(0))? as usize;
    if version > VERSIONS.len() {
        return Err(StoreError::Damaged(format!(
            "the data was written by a newer program (version {version} of the tables)"
        )));
    }
    for (index, steps) in VERSIONS.iter().enumerate().skip(version) {
        transaction.execute_batch(steps)?;
        transaction.pragma_update(None, "user_version", index as u32 + 1)?;
    }
    transaction.commit()?;
    Ok(())
}
