//! Files that only pass through: a case or a backup on its way out, a file on its way in. They lie in
//! the data folder, which has room for them, and are gone as soon as nobody holds them.

use std::fs::{self, File};
use std::io::{Read, Result as IoResult, Seek, SeekFrom, Write};

use crate::backup::BackedUp;
use crate::store::{Store, StoreError};

/// Their folder in the data folder.
const FOLDER: &str = "passing";

/// A file that passes through.
#[derive(Debug)]
pub struct PassingFile(File);

impl Store {
    /// An empty one.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn passing(&self) -> Result<PassingFile, StoreError> {
        let folder = self.folder().join(FOLDER);
        let path = folder.join(crate::draft::new_id());
        let failed = |fault: std::io::Error| {
            StoreError::File(format!("cannot make the file `{}`: {fault}", path.display()))
        };
        fs::create_dir_all(&folder).map_err(failed)?;
        let options = || File::options().read(true).write(true).create_new(true).open(&path);
        let file = options().map_err(failed)?;
        // Who holds it goes on having it. Where that is not so, it stays, and does no harm.
        drop(fs::remove_file(&path));
        Ok(PassingFile(file))
    }

    /// A case as one file, at its beginning.
    ///
    /// # Errors
    /// As [`Store::write_case`].
    pub fn case_file(&self, case: &str) -> Result<PassingFile, StoreError> {
        let mut file = self.passing()?;
        self.write_case(case, &mut file.0)?;
        file.begin()?;
        Ok(file)
    }

    /// Everything as one file, at its beginning: an archive of the folder that [`Store::back_up`] makes.
    ///
    /// # Errors
    /// When something cannot be read or written.
    pub fn backup_file(&self) -> Result<(BackedUp, PassingFile), StoreError> {
        let mut file = self.passing()?;
        let beside = self.folder().join(FOLDER).join(format!("{}.db", crate::draft::new_id()));
        let done = self.pack_up(&beside, &mut file.0);
        drop(fs::remove_file(&beside));
        let done = done?;
        file.begin()?;
        Ok((done, file))
    }
}

impl PassingFile {
    /// Back to the beginning, to be read.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn begin(&mut self) -> Result<(), StoreError> {
        let begun = self.0.flush().and_then(|()| self.0.rewind());
        begun.map_err(|fault| StoreError::File(format!("cannot read back a file: {fault}")))
    }

    /// How long it is, bytes.
    ///
    /// # Errors
    /// When the disk fails.
    pub fn length(&self) -> Result<u64, StoreError> {
        let known = self.0.metadata();
        known
            .map(|known| known.len())
            .map_err(|fault| StoreError::File(format!("cannot look at a file: {fault}")))
    }
}

impl Read for PassingFile {
    fn read(&mut self, into: &mut [u8]) -> IoResult<usize> {
        self.0.read(into)
    }
}

impl Write for PassingFile {
    fn write(&mut self, bytes: &[u8]) -> IoResult<usize> {
        self.0.write(bytes)
    }

    fn flush(&mut self) -> IoResult<()> {
        self.0.flush()
    }
}

impl Seek for PassingFile {
    fn seek(&mut self, to: SeekFrom) -> IoResult<u64> {
        self.0.seek(to)
    }
}
