//! Everything copied to another folder while the program runs, and put back.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;
use serde::{Deserialize, Serialize};

use crate::chain::sha256;
use crate::photos;
use crate::store::{DATABASE, Store, StoreError};

/// Names the form of the list in a backup.
const FORM: &str = "unbury.backup/1";

const MANIFEST: &str = "backup.json";

/// Pages copied between two looks at whoever else wants to write.
const PAGES: i32 = 512;

/// What a backup holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BackedUp {
    /// The form of this list.
    pub schema: String,
    /// When it was made (RFC 3339, UTC).
    pub made: String,
    /// How many cases.
    pub cases: usize,
    /// How many photos.
    pub photos: usize,
    /// SHA-256 of the database.
    pub database: String,
}

impl Store {
    /// Copies everything to a folder that is new or holds an older backup; photos that are there are
    /// not copied again. Others may read and write meanwhile.
    ///
    /// # Errors
    /// When something cannot be read or written.
    pub fn back_up(&self, to: &Path) -> Result<BackedUp, StoreError> {
        fs::create_dir_all(to.join(photos::FOLDER)).map_err(|fault| not(to, "make", &fault))?;
        // The list goes first and comes last: a backup without it was not finished.
        let list = to.join(MANIFEST);
        match fs::remove_file(&list) {
            Err(fault) if fault.kind() != std::io::ErrorKind::NotFound => {
                return Err(not(&list, "replace", &fault));
            }
            _ => {}
        }
        let file = to.join(DATABASE);
        let beside = to.join("unbury.db.new");
        self.read(|connection| copy_database(connection, &beside))?;
        fs::rename(&beside, &file).map_err(|fault| not(&file, "write", &fault))?;
        // A photo is on the disk before an entry names it, so every photo of the copied entries is
        // here by now.
        let wanted = photo_names(&file)?;
        for sha in &wanted {
            if !to.join(photos::place(sha)).exists() {
                photos::write(to, &photos::read(self.folder(), sha)?)?;
            }
        }
        let done = self.backed_up(&file, wanted.len())?;
        write_list(&list, &done)?;
        Ok(done)
    }
}

impl Store {
    /// Writes everything as an archive (ZIP): the database, the photos, and last the list. `beside` is where
    /// the database is copied to meanwhile.
    pub(crate) fn pack_up(
        &self,
        beside: &Path,
        out: impl std::io::Write + std::io::Seek,
    ) -> Result<BackedUp, StoreError> {
        self.read(|connection| copy_database(connection, beside))?;
        let wanted = photo_names(beside)?;
        let failed = |fault: &dyn std::fmt::Display| {
            StoreError::File(format!("the backup cannot be written: {fault}"))
        };
        let mut archive = zip::ZipWriter::new(out);
        let as_it_is = zip::write::SimpleFileOptions::default()
            .compression_method(zip::CompressionMethod::Stored)
            .large_file(true);
        let begin = |archive: &mut zip::ZipWriter<_>, name: &str| {
            archive.start_file(name, as_it_is).map_err(|fault| failed(&fault))
        };
        begin(&mut archive, DATABASE)?;
        let mut database = fs::File::open(beside).map_err(|fault| not(beside, "read", &fault))?;
        std::io::copy(&mut database, &mut archive).map_err(|fault| failed(&fault))?;
        for sha in &wanted {
            let name = photos::place(sha).to_string_lossy().replace('\\', "/");
            begin(&mut archive, &name)?;
            let bytes = photos::read(self.folder(), sha)?;
            archive.write_all(&bytes).map_err(|fault| failed(&fault))?;
        }
        let done = self.backed_up(beside, wanted.len())?;
        let list = serde_json::to_vec_pretty(&done).map_err(|fault| failed(&fault))?;
        begin(&mut archive, MANIFEST)?;
        archive.write_all(&list).map_err(|fault| failed(&fault))?;
        archive.finish().map_err(|fault| failed(&fault))?;
        Ok(done)
    }

    /// The list of a backup whose database is this file.
    fn backed_up(&self, database: &Path, photos: usize) -> Result<BackedUp, StoreError> {
        Ok(BackedUp {
            schema: FORM.to_owned(),
            made: self.clock().text(),
            cases: self.cases()?.len(),
            photos,
            database: sum(database)?,
        })
    }
}

/// Puts a backup into a data folder that is new.
///
/// # Errors
/// When the backup is not whole, or there is data in the folder already.
pub fn restore(from: &Path, folder: &Path) -> Result<BackedUp, StoreError> {
    let list = from.join(MANIFEST);
    let text = fs::read_to_string(&list).map_err(|fault| {
        StoreError::File(format!("`{}` is no finished backup: {fault}", from.display()))
    })?;
    let done: BackedUp = serde_json::from_str(&text)
        .map_err(|fault| StoreError::Damaged(format!("the list of the backup: {fault}")))?;
    if done.schema != FORM {
        return Err(StoreError::Refused(format!("the backup is of the form `{}`", done.schema)));
    }
    let (source, target) = (from.join(DATABASE), folder.join(DATABASE));
    if target.exists() {
        let message = format!(
            "there is data in `{}` already; restore into a new folder and start with that one",
            folder.display()
        );
        return Err(StoreError::Refused(message));
    }
    if sum(&source)? != done.database {
        return Err(StoreError::Damaged("the database in the backup was changed".to_owned()));
    }
    for sha in photo_names(&source)? {
        let bytes = photos::read(from, &sha)?;
        photos::write(folder, &bytes)?;
    }
    fs::create_dir_all(folder).map_err(|fault| not(folder, "make", &fault))?;
    let beside = folder.join("unbury.db.new");
    fs::copy(&source, &beside).map_err(|fault| not(&beside, "write", &fault))?;
    let synced = fs::File::open(&beside).and_then(|file| file.sync_all());
    synced
        .and_then(|()| fs::rename(&beside, &target))
        .map_err(|fault| not(&target, "write", &fault))?;
    Ok(done)
}

fn copy_database(from: &Connection, to: &Path) -> Result<(), StoreError> {
    drop(fs::remove_file(to));
    let mut copy = Connection::open(to)?;
    Backup::new(from, &mut copy)?.run_to_completion(PAGES, Duration::ZERO, None)?;
    // One file that is whole by itself.
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    copy.close().map_err(|(_, fault)| StoreError::from(fault))?;
    let synced = fs::File::open(to).and_then(|file| file.sync_all());
    synced.map_err(|fault| not(to, "write", &fault))
}

fn photo_names(database: &Path) -> Result<Vec<String>, StoreError> {
    let flags = rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY;
    let connection = Connection::open_with_flags(database, flags)?;
    let mut statement = connection.prepare("SELECT DISTINCT sha FROM photos ORDER BY sha")?;
    Ok(statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?)
}

fn sum(file: &Path) -> Result<String, StoreError> {
    fs::read(file).map(|bytes| sha256(&bytes)).map_err(|fault| not(file, "read", &fault))
}

fn write_list(list: &PathBuf, done: &BackedUp) -> Result<(), StoreError> {
    let text =
        serde_json::to_string_pretty(done).map_err(|fault| StoreError::File(fault.to_string()))?;
    let written = fs::File::create(list).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    written.map_err(|fault| not(list, "write", &fault))
}

fn not(path: &Path, what: &str, fault: &std::io::Error) -> StoreError {
    StoreError::File(format!("cannot {what} `{}`: {fault}", path.display()))
}
