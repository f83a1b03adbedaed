//! Locks: done ticks of the list `dead`. Whoever put a lock on takes it off; a lead may for somebody
//! else. Each person's own lock is common practice of lockout (29 CFR 1910.147(e)(3), from memory: removed
//! by who applied it, or under the employer's direction once it is known where that person is).

use rusqlite::{Connection, OptionalExtension as _};

use crate::entry::{Change, Entry, Keep};
use crate::people::Role;
use crate::state::{CaseState, Ticked};
use crate::store::StoreError;

/// The list whose done ticks are locks.
const LIST: &str = "dead";

/// Ends the name of a reading that is taken before a step: no lock.
const NO_LOCK: &str = " before";

/// Why an entry is refused that takes off, or takes over, the lock of somebody else.
pub(crate) fn refused(
    connection: &Connection,
    before: &CaseState,
    entry: &Entry,
) -> Result<Option<String>, StoreError> {
    let Some(lock) = touched(before, entry).filter(|lock| lock.said.who != entry.who) else {
        return Ok(None);
    };
    if is_lead(connection, &entry.who)? {
        return Ok(None);
    }
    let who = &lock.said.who;
    Ok(Some(format!(
        "{who} put this lock on: {who} takes it off, or a lead who has made sure where {who} is and that \
         {who} knows"
    )))
}

/// The lock that an entry takes off or over.
fn touched<'s>(before: &'s CaseState, entry: &Entry) -> Option<&'s Ticked> {
    let at = |list: &str, step: &str| {
        let mut ticks = before.ticks.iter();
        ticks.find(|tick| is_lock(tick) && tick.list == list && tick.step == step)
    };
    match &entry.change {
        Change::Tick { list, step, done: false, .. } => at(list, step),
        // The same once more takes nothing over; another reading by who has not seen it is shown to both.
        Change::Tick { list, step, reading, .. } => {
            at(list, step).filter(|lock| lock.reading != *reading && lock.said.seq <= entry.base)
        }
        Change::Undo { entry: of } => {
            before.ticks.iter().find(|tick| is_lock(tick) && tick.said.entry == *of)
        }
        Change::Choose { entry: of, place, keep: Keep::Other } => {
            let conflicts = &mut before.conflicts.iter();
            let conflict = conflicts.find(|known| known.entry == *of && known.place == *place)?;
            let Change::Tick { list, step, .. } = &conflict.change else { return None };
            at(list, step)
        }
        _ => None,
    }
}

fn is_lock(tick: &Ticked) -> bool {
    tick.list == LIST && tick.done && !tick.step.ends_with(NO_LOCK)
}

fn is_lead(connection: &Connection, name: &str) -> Result<bool, StoreError> {
    let mut statement =
        connection.prepare_cached("SELECT role FROM people WHERE name = ?1 AND gone = 0")?;
    let role: Option<String> = statement.query_row([name], |row| row.get(0)).optional()?;
    Ok(role.as_deref() == Some(Role::Lead.word()))
}
