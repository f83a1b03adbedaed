//! A case as one file, and back: a ZIP archive with the journal, the photos, the record as it stands,
//! and a list of them all with their checksums.
//!
//! The journal is written as it is kept, so that its hashes still hold wherever the file goes.

use std::collections::BTreeMap;
use std::io::{Read, Seek, Write};

use serde::{Deserialize, Serialize};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

use crate::chain::{self, sha256};
use crate::draft;
use crate::entry::{Change, Entry, Outcome};
use crate::fold;
use crate::journal;
use crate::photos::is_sha;
use crate::store::{Store, StoreError};

/// Names the form of the file.
const FORM: &str = "unbury.case/1";

const MANIFEST: &str = "manifest.json";
const JOURNAL: &str = "journal.jsonl";
const RECORD: &str = "record.toml";

/// Largest photo, as photos are kept; larger ones were not made here.
const MAX_PHOTO: u64 = 4 << 20;

/// Largest journal that is read.
const MAX_JOURNAL: u64 = 1 << 28;

/// Most photos of a case.
const MAX_PHOTOS: usize = 20_000;

#[derive(Serialize, Deserialize)]
struct Manifest {
    schema: String,
    case: String,
    title: String,
    entries: u64,
    last_hash: String,
    /// SHA-256 of every other file.
    files: BTreeMap<String, String>,
}

/// An entry with its change as the text that was hashed.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    seq: u64,
    id: String,
    who: String,
    device: String,
    at: String,
    received: String,
    base: u64,
    change: String,
    outcome: Outcome,
    previous: String,
    hash: String,
}

/// What came of taking a case in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenIn {
    /// The case.
    pub case: String,
    /// What people call it.
    pub title: String,
    /// How many entries were new.
    pub new_entries: u64,
    /// How many photos it has.
    pub photos: usize,
}

impl Store {
    /// Writes a case as one file.
    ///
    /// # Errors
    /// When there is no such case, its journal or a photo is not whole, or it cannot be written.
    pub fn write_case(&self, case: &str, out: impl Write + Seek) -> Result<(), StoreError> {
        let rows = self.history(case, None, usize::MAX)?;
        let entries: Vec<(Entry, String)> = self.entries(case)?;
        if let Some((_, fault)) = chain::fault(&entries) {
            return Err(StoreError::Damaged(fault));
        }
        let outcomes = rows.iter().map(|row| (row.entry.seq, row.outcome)).collect();
        let state = self.case(case)?;
        let journal = lines(&entries, &outcomes)?;
        let mut files = vec![
            (JOURNAL.to_owned(), journal.into_bytes()),
            (RECORD.to_owned(), state.text.clone().into_bytes()),
        ];
        for sha in self.photo_names(case)? {
            let bytes = self.photo(case, &sha)?;
            files.push((format!("photos/{sha}.jpg"), bytes));
        }
        let manifest = Manifest {
            schema: FORM.to_owned(),
            case: case.to_owned(),
            title: state.title.clone(),
            entries: entries.len() as u64,
            last_hash: entries.last().map_or_else(String::new, |(entry, _)| entry.hash.clone()),
            files: files.iter().map(|(name, bytes)| (name.clone(), sha256(bytes))).collect(),
        };
        let manifest = serde_json::to_vec_pretty(&manifest).map_err(|fault| not_written(&fault))?;
        files.insert(0, (MANIFEST.to_owned(), manifest));
        archive(&files, out)
    }

    /// Takes in a case from one file. Where the case is here already, the longer journal goes on from
    /// the shorter.
    ///
    /// # Errors
    /// When the file is none of ours, was changed, or the two journals went separate ways.
    pub fn read_case(&self, file: impl Read + Seek) -> Result<TakenIn, StoreError> {
        let mut archive = ZipArchive::new(file)
            .map_err(|fault| refused(format!("this is no file of a case: {fault}")))?;
        let manifest = unpacked(&mut archive, MANIFEST, MAX_PHOTO)?;
        let manifest: Manifest = serde_json::from_slice(&manifest)
            .map_err(|fault| refused(format!("its list of contents cannot be read: {fault}")))?;
        if manifest.schema != FORM {
            return Err(refused(format!("it is of the form `{}`, not `{FORM}`", manifest.schema)));
        }
        if !draft::is_case(&manifest.case) {
            return Err(refused("the case in it has no proper name".to_owned()));
        }
        let lines = read_lines(&checked(&mut archive, &manifest, JOURNAL, MAX_JOURNAL)?)?;
        let entries = whole(&manifest, &lines)?;
        let photos = self.take_photos(&mut archive, &manifest)?;
        let new_entries = self.go_on(&manifest, &lines, entries, &photos)?;
        let Manifest { case, title, .. } = manifest;
        Ok(TakenIn { case, title, new_entries, photos: photos.len() })
    }

    /// Photos that a case may show.
    fn photo_names(&self, case: &str) -> Result<Vec<String>, StoreError> {
        self.read(|connection| {
            let mut statement = connection
                .prepare_cached("SELECT sha FROM photos WHERE case_id = ?1 ORDER BY sha")?;
            Ok(statement.query_map([case], |row| row.get(0))?.collect::<Result<_, _>>()?)
        })
    }

    fn take_photos(
        &self,
        archive: &mut ZipArchive<impl Read + Seek>,
        manifest: &Manifest,
    ) -> Result<Vec<String>, StoreError> {
        let is_photo = |name: &&String| name.starts_with("photos/");
        let names: Vec<&String> = manifest.files.keys().filter(is_photo).collect();
        if names.len() > MAX_PHOTOS {
            return Err(refused(format!("it has more than {MAX_PHOTOS} photos")));
        }
        let mut shas = Vec::new();
        for name in names {
            let sha = name.strip_prefix("photos/").and_then(|name| name.strip_suffix(".jpg"));
            let sha = sha.filter(|sha| is_sha(sha));
            let sha = sha.ok_or_else(|| refused(format!("`{name}` is no name of a photo")))?;
            let bytes = checked(archive, manifest, name, MAX_PHOTO)?;
            // Start of image and the first marker (ITU-T T.81, B.1.1.3): photos are kept as JPEG.
            if !bytes.starts_with(&[0xff, 0xd8, 0xff]) || sha256(&bytes) != sha {
                return Err(refused(format!("`{name}` is not the photo it says it is")));
            }
            crate::photos::write(&self.0.folder, &bytes)?;
            shas.push(sha.to_owned());
        }
        Ok(shas)
    }

    /// Adds the entries that are not here yet.
    fn go_on(
        &self,
        manifest: &Manifest,
        lines: &[Line],
        entries: Vec<(Entry, String)>,
        photos: &[String],
    ) -> Result<u64, StoreError> {
        let case = manifest.case.clone();
        let state =
            fold::fold(&case, &entries.iter().map(|(entry, _)| entry.clone()).collect::<Vec<_>>());
        let outcomes: Vec<Outcome> = lines.iter().map(|line| line.outcome).collect();
        let (photos, received) = (photos.to_vec(), self.clock().text());
        self.0.writer.write(move |connection, changed| {
            let here = journal::entries(connection, &case, u64::MAX)?;
            let shared =
                here.iter().zip(&entries).take_while(|(a, b)| a.0.hash == b.0.hash).count();
            if shared < here.len() && shared < entries.len() {
                return Err(refused(format!(
                    "the case here and the case in the file went separate ways after entry {shared}"
                )));
            }
            if shared < entries.len() {
                journal::adopt(connection, &state, &entries[shared..], &outcomes[shared..])?;
                changed.push(crate::writer::Changed { state: std::sync::Arc::new(state) });
            }
            for sha in &photos {
                connection
                    .prepare_cached(
                        "INSERT OR IGNORE INTO photos VALUES (?1, ?2, ?3, 'from a file')",
                    )?
                    .execute([&case, sha, &received])?;
            }
            Ok((entries.len() - shared) as u64)
        })
    }
}

fn refused(why: String) -> StoreError {
    StoreError::Refused(why)
}

fn not_written(fault: &dyn std::fmt::Display) -> StoreError {
    StoreError::File(format!("the file of the case cannot be written: {fault}"))
}

fn lines(
    entries: &[(Entry, String)],
    outcomes: &BTreeMap<u64, Outcome>,
) -> Result<String, StoreError> {
    let mut out = String::new();
    for (entry, change) in entries {
        let entry = entry.clone();
        let line = Line {
            seq: entry.seq,
            id: entry.id,
            who: entry.who,
            device: entry.device,
            at: entry.at,
            received: entry.received,
            base: entry.base,
            change: change.clone(),
            outcome: outcomes.get(&entry.seq).copied().unwrap_or(Outcome::Taken),
            previous: entry.previous,
            hash: entry.hash,
        };
        out.push_str(&serde_json::to_string(&line).map_err(|fault| not_written(&fault))?);
        out.push('\n');
    }
    Ok(out)
}

/// The earliest time the format knows stands at every file: when the case was written down is no part
/// of it.
fn archive(files: &[(String, Vec<u8>)], out: impl Write + Seek) -> Result<(), StoreError> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut archive = ZipWriter::new(out);
    for (name, bytes) in files {
        archive.start_file(name.as_str(), options).map_err(|fault| not_written(&fault))?;
        archive.write_all(bytes).map_err(|fault| not_written(&fault))?;
    }
    archive.finish().map_err(|fault| not_written(&fault))?;
    Ok(())
}

/// A file of the archive, but never more of it than it may have.
fn unpacked(
    archive: &mut ZipArchive<impl Read + Seek>,
    name: &str,
    most: u64,
) -> Result<Vec<u8>, StoreError> {
    let missing = |fault| refused(format!("`{name}` is missing or damaged: {fault}"));
    let file = archive.by_name(name).map_err(missing)?;
    let mut bytes = Vec::new();
    let read = file.take(most + 1).read_to_end(&mut bytes);
    read.map_err(|fault| refused(format!("`{name}` is damaged: {fault}")))?;
    match bytes.len() as u64 > most {
        true => Err(refused(format!("`{name}` is larger than {most} bytes"))),
        false => Ok(bytes),
    }
}

fn checked(
    archive: &mut ZipArchive<impl Read + Seek>,
    manifest: &Manifest,
    name: &str,
    most: u64,
) -> Result<Vec<u8>, StoreError> {
    let bytes = unpacked(archive, name, most)?;
    match manifest.files.get(name) {
        Some(sum) if *sum == sha256(&bytes) => Ok(bytes),
        _ => Err(refused(format!("`{name}` does not fit its checksum: the file was changed"))),
    }
}

fn read_lines(journal: &[u8]) -> Result<Vec<Line>, StoreError> {
    let text =
        std::str::from_utf8(journal).map_err(|_| refused("its journal is no text".to_owned()))?;
    let read = |(index, line): (usize, &str)| {
        serde_json::from_str(line)
            .map_err(|fault| refused(format!("entry {} cannot be read: {fault}", index + 1)))
    };
    text.lines().enumerate().map(read).collect()
}

/// The entries of a journal, held against their hashes.
fn whole(manifest: &Manifest, lines: &[Line]) -> Result<Vec<(Entry, String)>, StoreError> {
    let mut entries = Vec::new();
    for line in lines {
        let change: Change = serde_json::from_str(&line.change)
            .map_err(|fault| refused(format!("entry {} cannot be read: {fault}", line.seq)))?;
        let entry = Entry {
            case: manifest.case.clone(),
            seq: line.seq,
            id: line.id.clone(),
            who: line.who.clone(),
            device: line.device.clone(),
            at: line.at.clone(),
            received: line.received.clone(),
            base: line.base,
            change,
            previous: line.previous.clone(),
            hash: line.hash.clone(),
        };
        entries.push((entry, line.change.clone()));
    }
    if let Some((_, fault)) = chain::fault(&entries) {
        return Err(refused(fault));
    }
    match entries.first() {
        Some((Entry { change: Change::Open { .. }, .. }, _)) => Ok(entries),
        _ => Err(refused("its journal does not begin with the opening of a case".to_owned())),
    }
}
