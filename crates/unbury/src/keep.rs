//! What a workshop keeps, from the command line: cases in and out, people, backups, journals checked.

use std::fs::File;
use std::io::BufRead as _;
use std::path::{Path, PathBuf};

use analysis::Case;
use anyhow::{Context, Result, bail};
use store::{Clock, Role, Store, Verified, Who};

use crate::cli::{CaseCommand, End, KeepCommand, PersonRole, RecordFile};
use crate::commands;
use crate::pack::Beside;
use crate::page::Page;
use crate::serve::{self, Serving};

/// Does what was asked for.
pub(crate) fn run(page: &mut Page, command: &KeepCommand, json: bool) -> Result<End> {
    match command {
        KeepCommand::Serve { listen, data, tls, also, name } => {
            let tls = tls.then_some(also.as_slice());
            let store = Store::open(&data.folder, Clock::system())?;
            serve::serve(page, store, &Serving { listen: *listen, name, tls })
        }
        KeepCommand::Case { what } => of_cases(page, what, json),
        KeepCommand::Person { name, role, data } => {
            let role = match role {
                PersonRole::Technician => Role::Technician,
                PersonRole::Lead => Role::Lead,
            };
            person(page, name, role, &data.folder)
        }
        KeepCommand::Backup { to, data } => back_up(page, &data.folder, to),
        KeepCommand::Restore { from, data } => restore(page, from, &data.folder),
        KeepCommand::Verify { case, holds, data } => {
            let asked = Asked { case: case.as_deref(), holds: holds.as_deref() };
            verify(page, &data.folder, &asked, json)
        }
    }
}

fn of_cases(page: &mut Page, what: &CaseCommand, json: bool) -> Result<End> {
    match what {
        CaseCommand::List { data } => list(page, &data.folder, json),
        CaseCommand::Add { record, data, name } => add(page, record, &data.folder, name),
        CaseCommand::Export { case, data, out } => export(page, case, &data.folder, out.as_deref()),
        CaseCommand::Import { file, data } => import(page, file, &data.folder),
    }
}

/// Opens the data folder, which has to be there.
fn there(data: &Path) -> Result<Store> {
    if !data.join("unbury.db").exists() {
        bail!("there is no data in `{}`; `unbury serve --data` begins it", data.display());
    }
    Ok(Store::open(data, Clock::system())?)
}

/// Lists the cases.
fn list(page: &mut Page, data: &Path, json: bool) -> Result<End> {
    let cases = there(data)?.cases()?;
    if json {
        page.json(&serde_json::json!({ "schema": "unbury.cases/1", "cases": cases }))?;
        return Ok(End::Done);
    }
    for case in &cases {
        let text = format!(
            "{}; {}, the last by {} at {}",
            case.title,
            counted(case.head, "entry", "entries"),
            case.changed_by,
            case.changed
        );
        page.labelled(&case.id, &text, 0)?;
    }
    if cases.is_empty() {
        page.paragraph("No cases yet.", 0)?;
    }
    Ok(End::Done)
}

/// Makes a case of a record file and the photos beside it.
fn add(page: &mut Page, record: &RecordFile, data: &Path, name: &str) -> Result<End> {
    let (_, text) = commands::read(record)?;
    let store = Store::open(data, Clock::system())?;
    let id = store::new_id();
    let refused = take_record(&store, name, &id, &text, Beside::of(&record.path))?;
    for (photo, why) in refused {
        page.paragraph(&format!("The photo `{photo}` is not taken: {why}."), 0)?;
    }
    page.labelled(&id, &store.case(&id)?.title, 0)?;
    Ok(End::Done)
}

/// Opens a case with a record. Photos beside it are taken in and renamed in the record; those that
/// are not taken are told.
pub(crate) fn take_record(
    store: &Store,
    name: &str,
    id: &str,
    text: &str,
    beside: Beside<'_>,
) -> Result<Vec<(String, String)>> {
    let who = Who { name: name.to_owned() };
    let (mut text, mut taken, mut refused) = (text.to_owned(), Vec::new(), Vec::new());
    for photo in Case::of(&text).handover().photos {
        let bytes = beside.read(&photo.file);
        let clean =
            bytes.and_then(|bytes| ::pack::clean_photo(&bytes).map_err(|why| why.to_string()));
        match clean {
            Ok((bytes, ..)) => {
                let new = format!("\"photos/{}.jpg\"", store::sha256(&bytes));
                text = text.replace(&format!("\"{}\"", photo.file), &new);
                taken.push(bytes);
            }
            Err(why) => refused.push((photo.file, why)),
        }
    }
    web::serve::open_case(store, &who, id, &text)?;
    for bytes in taken {
        store.keep_photo(id, &who, &bytes)?;
    }
    Ok(refused)
}

/// Writes a case to a file.
fn export(page: &mut Page, case: &str, data: &Path, out: Option<&Path>) -> Result<End> {
    let store = there(data)?;
    let out = out.map_or_else(|| PathBuf::from(format!("{case}.unbury-case")), Path::to_owned);
    if store.head(case).is_err() {
        return commands::no_such(page, "case", case, &names(&store)?);
    }
    let beside = out.with_extension("unfinished");
    let file =
        File::create(&beside).with_context(|| format!("cannot write `{}`", beside.display()))?;
    store.write_case(case, &file)?;
    file.sync_all().with_context(|| format!("cannot write `{}`", beside.display()))?;
    std::fs::rename(&beside, &out).with_context(|| format!("cannot write `{}`", out.display()))?;
    page.paragraph(&format!("Written to {}", out.display()), 0)?;
    Ok(End::Done)
}

/// Takes a case in from a file.
fn import(page: &mut Page, file: &Path, data: &Path) -> Result<End> {
    let open = File::open(file).with_context(|| format!("cannot read `{}`", file.display()))?;
    let store = Store::open(data, Clock::system())?;
    let taken =
        store.read_case(open).with_context(|| format!("`{}` is not taken in", file.display()))?;
    let text =
        format!("{}; {} new entries, {} photos", taken.title, taken.new_entries, taken.photos);
    page.labelled(&taken.case, &text, 0)?;
    Ok(End::Done)
}

/// Copies everything while it may be in use.
fn back_up(page: &mut Page, data: &Path, to: &Path) -> Result<End> {
    let done = there(data)?.back_up(to)?;
    let text = format!("{} cases and {} photos are in {}", done.cases, done.photos, to.display());
    page.paragraph(&text, 0)?;
    Ok(End::Done)
}

/// Puts a backup into a new data folder.
fn restore(page: &mut Page, from: &Path, data: &Path) -> Result<End> {
    let done = store::restore(from, data)?;
    let text = format!(
        "{} cases and {} photos of {} are in {}",
        done.cases,
        done.photos,
        done.made,
        data.display()
    );
    page.paragraph(&text, 0)?;
    verify(page, data, &Asked::default(), false)
}

/// Lets somebody log in; the password is the first line of standard input.
fn person(page: &mut Page, name: &str, role: Role, data: &Path) -> Result<End> {
    page.ask("Password: ")?;
    let mut password = String::new();
    std::io::stdin().lock().read_line(&mut password).context("reading the password")?;
    let store = Store::open(data, Clock::system())?;
    store.put_person(name, role, password.trim_end_matches(['\n', '\r']))?;
    page.paragraph(&format!("{name} may log in as {}.", role.word()), 0)?;
    Ok(End::Done)
}

/// Which journals to look at, and what has to be in them.
#[derive(Default)]
struct Asked<'a> {
    /// Only this case.
    case: Option<&'a str>,
    /// A hash that one of its entries has to have.
    holds: Option<&'a str>,
}

/// Holds journals against their hashes, and everything else against the journals.
fn verify(page: &mut Page, data: &Path, asked: &Asked<'_>, json: bool) -> Result<End> {
    let store = there(data)?;
    let known = names(&store)?;
    let wanted = match asked.case {
        Some(case) if !known.iter().any(|id| id == case) => {
            return commands::no_such(page, "case", case, &known);
        }
        Some(case) => vec![case.to_owned()],
        None => known,
    };
    let mut all: Vec<Verified> =
        wanted.iter().map(|case| store.verify(case)).collect::<Result<_, _>>()?;
    if let Some(hash) = asked.holds {
        for one in &mut all {
            if !store.holds_hash(&one.case, hash)? {
                one.faults.push(format!("no entry has the hash {hash}"));
            }
        }
    }
    let database = store.database_faults()?;
    if json {
        page.json(&serde_json::json!({ "schema": "unbury.journal/1", "cases": all, "database": database }))?;
    } else {
        told(page, &all, &database)?;
    }
    let holds = database.is_empty() && all.iter().all(|one| one.faults.is_empty());
    Ok(if holds { End::Done } else { End::Fails })
}

fn told(page: &mut Page, all: &[Verified], database: &[String]) -> Result<()> {
    for one in all {
        let what = if one.faults.is_empty() { "holds" } else { "DOES NOT HOLD" };
        page.labelled(
            &one.title,
            &format!("{what}: {} of case {}", counted(one.entries, "entry", "entries"), one.case),
            0,
        )?;
        for fault in &one.faults {
            page.paragraph(fault, 2)?;
        }
        page.paragraph(&format!("last hash {}", one.last_hash), 2)?;
    }
    for fault in database {
        page.paragraph(&format!("Database: {fault}"), 0)?;
    }
    Ok(())
}

/// `1 entry`, `2 entries`.
fn counted(count: u64, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

fn names(store: &Store) -> Result<Vec<String>> {
    Ok(store.cases()?.into_iter().map(|row| row.id).collect())
}
