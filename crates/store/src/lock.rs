//! Locks: done ticks of the list `dead`. Whoever put a lock on takes it off; a lead may for somebody
//! else. Each person's own lock is common practice of lockout (29 CFR 1910.147(e)(3), from memory: removed
//! by who applied it, or under the employer's direction once it is known where that person is).

use rusqlite::{Connection, OptionalExtension as _};

use crate::people::Role;
use crate::state::{CaseState, Ticked};
use crate::store::StoreError;

/// The list whose done ticks are locks.
const LIST: &str = "dead";

/// Ends the name of a reading that is taken before a step: no lock, but for the step of the tester.
const NO_LOCK: &str = " before";
const TESTER: &str = "tester before";

/// Why an entry of `who` is refused that takes off, or takes over, the lock of somebody else, however it
/// does so: by the tick, by taking an entry back, or by choosing.
pub(crate) fn refused(
    connection: &Connection,
    before: &CaseState,
    after: &CaseState,
    who: &str,
) -> Result<Option<String>, StoreError> {
    let stands = |lock: &Ticked| after.ticks.iter().any(|tick| tick == lock);
    let mut gone = before.ticks.iter().filter(|tick| is_lock(tick) && tick.said.who != who);
    let Some(lock) = gone.find(|lock| !stands(lock)) else { return Ok(None) };
    if is_lead(connection, who)? {
        return Ok(None);
    }
    let holder = &lock.said.who;
    Ok(Some(format!(
        "{holder} put this lock on: {holder} takes it off, or a lead who has made sure where {holder} is \
         and that {holder} knows"
    )))
}

fn is_lock(tick: &Ticked) -> bool {
    let is_read_before = tick.step.ends_with(NO_LOCK) && !tick.step.ends_with(TESTER);
    tick.list == LIST && tick.done && !is_read_before
}

fn is_lead(connection: &Connection, name: &str) -> Result<bool, StoreError> {
    let mut statement =
        connection.prepare_cached("SELECT role FROM people WHERE name = ?1 AND gone = 0")?;
    let role: Option<String> = statement.query_row([name], |row| row.get(0)).optional()?;
    Ok(role.as_deref() == Some(Role::Lead.word()))
}
