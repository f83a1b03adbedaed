//! The one thread that writes. Jobs that wait together are committed together, and nobody is answered
//! before the commit is on the disk.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel, sync_channel};
use std::thread::JoinHandle;

use rusqlite::Connection;

use crate::state::CaseState;
use crate::store::StoreError;

/// Most jobs committed together.
const TOGETHER: usize = 64;

/// A case that a job changed.
pub(crate) struct Changed {
    /// What it looks like now.
    pub(crate) state: Arc<CaseState>,
}

/// Told how the commit went, answers whoever waits.
type Reply = Box<dyn FnOnce(Result<(), StoreError>) + Send>;
type Job = Box<dyn FnOnce(&Connection, &mut Vec<Changed>) -> Reply + Send>;

/// The hand that gives jobs to the thread. When it is dropped the thread does what waits, closes the
/// database and ends.
pub(crate) struct Writer {
    jobs: Option<Sender<Job>>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Writer {
    fn drop(&mut self) {
        drop(self.jobs.take());
        // A thread that panicked has nothing to say here.
        drop(self.thread.take().map(JoinHandle::join));
    }
}

impl Writer {
    /// Starts the thread; `committed` is told what changed after each commit.
    pub(crate) fn start(
        connection: Connection,
        committed: impl Fn(Vec<Changed>) + Send + 'static,
    ) -> Writer {
        let (jobs, waiting) = channel();
        let thread = std::thread::spawn(move || work(&connection, &waiting, &committed));
        Writer { jobs: Some(jobs), thread: Some(thread) }
    }

    /// Has a job done, all of it or nothing, and waits until it is on the disk.
    pub(crate) fn write<T: Send + 'static>(
        &self,
        job: impl FnOnce(&Connection, &mut Vec<Changed>) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let (answer, answered) = sync_channel(1);
        let job: Job = Box::new(move |connection, changed| {
            let result = whole(connection, changed, job);
            // Who asked may have gone away.
            Box::new(move |committed| drop(answer.send(committed.and(result))))
        });
        let jobs = self.jobs.as_ref().ok_or(StoreError::Closed)?;
        jobs.send(job).map_err(|_| StoreError::Closed)?;
        answered.recv().map_err(|_| StoreError::Closed)?
    }
}

fn work(connection: &Connection, waiting: &Receiver<Job>, committed: &dyn Fn(Vec<Changed>)) {
    while let Ok(first) = waiting.recv() {
        let begun = connection.execute_batch("BEGIN IMMEDIATE").map_err(StoreError::from);
        let mut changed = Vec::new();
        let jobs = std::iter::once(first).chain(waiting.try_iter().take(TOGETHER - 1));
        let replies: Vec<Reply> = jobs.map(|job| job(connection, &mut changed)).collect();
        let end = begun.and_then(|()| Ok(connection.execute_batch("COMMIT")?));
        match &end {
            Ok(()) => committed(changed),
            // There may be nothing to take back; the failure itself is what is told.
            Err(_) => drop(connection.execute_batch("ROLLBACK")),
        }
        replies.into_iter().for_each(|reply| reply(end.clone()));
    }
}

/// A job inside the transaction of several: what it wrote is taken back if it fails.
fn whole<T>(
    connection: &Connection,
    changed: &mut Vec<Changed>,
    job: impl FnOnce(&Connection, &mut Vec<Changed>) -> Result<T, StoreError>,
) -> Result<T, StoreError> {
    let before = changed.len();
    connection.execute_batch("SAVEPOINT job")?;
    let result = job(connection, changed);
    if result.is_err() {
        changed.truncate(before);
        connection.execute_batch("ROLLBACK TO job")?;
    }
    connection.execute_batch("RELEASE job")?;
    result
}
