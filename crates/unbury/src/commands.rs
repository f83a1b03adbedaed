//! What each command does: read, analyse, show.

use std::io::{Read, Write};
use std::path::Path;

use analysis::{Case, Review};
use anyhow::{Context, Result};
use clap::CommandFactory;

use crate::cli::{Arguments, Command, End, Paper, RecordFile, SchemaOf};
use crate::pack::Beside;
use crate::page::Page;
use crate::progress::Progress;
use crate::telling::Telling;
use crate::{dead, demo, drawings, find, keep, mend, pack, reckon, report, show, steps};

/// Longest file read at all; the record's own limit is lower and says more.
const MAX_FILE_BYTES: u64 = 64 << 20;

pub(crate) fn run(arguments: &Arguments) -> Result<End> {
    let (mut page, json) = (Page::standard(arguments.color), arguments.json);
    match &arguments.command {
        Command::Demo { out, print_only, listen } => {
            let served = (!*print_only && !arguments.json).then_some(*listen);
            demo::run(&mut page, arguments.json, out, served)
        }
        Command::Keep(command) => keep::run(&mut page, command, arguments.json),
        Command::Review { record, out, all, form } => {
            let (path, text) = read(record)?;
            let options = (*form).into();
            let target = out.as_deref().map(|folder| (folder, Beside::of(&record.path), &options));
            review(&mut page, &path, &text, arguments.json, *all, target)
        }
        Command::Report { record, out, zip, form } => {
            let target = report::Target { folder: out, zip: *zip, options: (*form).into() };
            report::write(&mut page, record, arguments.json, &target)
        }
        Command::Solve { record, state, meter: Some(words), .. } => {
            meter(&mut page, record, arguments.json, state.as_deref(), words)
        }
        Command::Solve { record, state, meter: None, faults } => {
            solve(&mut page, record, arguments.json, state.as_deref(), faults)
        }
        Command::Live { record, state, wire } => {
            live(&mut page, record, arguments.json, state.as_deref(), wire.as_deref())
        }
        Command::Dead { record, area, read, out } => {
            dead::plan(&mut page, record, json, (area, read, out))
        }
        Command::Ac { record, state } => ac(&mut page, record, arguments.json, state.as_deref()),
        Command::FaultLevel { record, state, all } => {
            fault_level(&mut page, record, arguments.json, state.as_deref(), *all)
        }
        Command::Wayin { record, targets, out, sheet, paper, telling } => {
            let sheet = sheet.as_deref().map(|folder| (folder, *paper, *telling));
            way_in(&mut page, record, arguments.json, targets, out, sheet)
        }
        Command::ServiceAccess { record } => service_access(&mut page, record, arguments.json),
        Command::Hatch { record, pairs } => hatch(&mut page, record, arguments.json, *pairs),
        Command::Repair(command) => mend::run(&mut page, command, json),
        Command::Reckon(command) => reckon::run(&mut page, command, json),
        Command::Heat { record, state } => heat(&mut page, record, json, state.as_deref()),
        Command::Draw { record, out, only, paper, telling } => {
            draw(&mut page, record, json, out, only.as_deref(), (*paper).into(), *telling)
        }
        Command::Suspects { record, about } => {
            find::suspects(&mut page, record, arguments.json, about.as_deref())
        }
        Command::Next { record, about, out } => {
            let asked = find::Asked { about: about.as_deref(), out };
            find::next(&mut page, record, arguments.json, &asked)
        }
        Command::Find { record, about, out, write } => {
            let asked = find::Asked { about: about.as_deref(), out };
            find::find(&mut page, record, &asked, *write)
        }
        Command::Trace { record, wire, out } => find::trace(&mut page, record, json, wire, out),
        Command::Explain { check, list, markdown } => {
            explain(&mut page, check.as_deref(), *list, *markdown, arguments.json)
        }
        Command::Kinds { filter } => kinds(&mut page, filter.as_deref(), arguments.json),
        Command::Schema { of } => schema(&mut page, *of),
        Command::Netlist { record, state, ac, faults } => {
            let side = if *ac { Side::Mains } else { Side::DirectCurrent };
            netlist(&mut page, record, state.as_deref(), side, faults)
        }
        Command::Completions { shell } => completions(&mut page, *shell),
    }
}

fn schema(page: &mut Page, of: SchemaOf) -> Result<End> {
    let schema = match of {
        SchemaOf::Record => analysis::record_schema(),
        SchemaOf::Review => analysis::review_schema(),
    };
    page.json(&schema)?;
    Ok(End::Done)
}

fn completions(page: &mut Page, shell: clap_complete::Shell) -> Result<End> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "unbury", &mut text);
    page.raw(&String::from_utf8_lossy(&text))?;
    Ok(End::Done)
}

pub(crate) fn read(record: &RecordFile) -> Result<(String, String)> {
    let path = record.path.display().to_string();
    let mut bytes = Vec::new();
    if record.path == Path::new("-") {
        std::io::stdin()
            .take(MAX_FILE_BYTES)
            .read_to_end(&mut bytes)
            .context("reading standard input")?;
    } else {
        let file = std::fs::File::open(&record.path)
            .with_context(|| format!("cannot read the record `{path}`"))?;
        file.take(MAX_FILE_BYTES)
            .read_to_end(&mut bytes)
            .with_context(|| format!("cannot read the record `{path}`"))?;
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        anyhow::anyhow!(
            "the record `{path}` is not UTF-8 text (byte {}); save it as UTF-8",
            error.utf8_error().valid_up_to()
        )
    })?;
    Ok((path, text))
}

pub(crate) fn review(
    page: &mut Page,
    path: &str,
    text: &str,
    json: bool,
    all: bool,
    out: Option<(&Path, Beside<'_>, &::pack::Options)>,
) -> Result<End> {
    let progress = Progress::of("reviewing");
    let case = Case::of(text);
    let review = case.review();
    drop(progress);
    if json {
        page.json(&review)?;
    } else {
        show::review::whole(page, path, text, &review, all)?;
    }
    if let Some((folder, beside, options)) = out {
        let (_, written) = pack::write(folder, text, beside, (&case, &review), options)?;
        if !json {
            show::pack::files(page, folder, &written.files)?;
        }
        show::pack::refused(page, &written.refused)?;
    }
    Ok(match (has_errors(&review), review.findings.is_empty()) {
        (true, _) => End::RecordErrors,
        (false, false) => End::Fails,
        (false, true) => End::Done,
    })
}

/// A record without a device was not judged at all.
pub(crate) fn has_errors(review: &Review) -> bool {
    review.understood.devices == 0
        || review.record_faults.iter().any(|fault| fault.severity == "error")
}

/// Reads and analyses; faults of the record go to standard error.
pub(crate) fn case(page: &Page, record: &RecordFile) -> Result<(Case, End)> {
    let (path, text) = read(record)?;
    let progress = Progress::of("solving");
    let case = Case::of(&text);
    drop(progress);
    let faults = case.record_faults();
    show::faults::on_standard_error(page, &path, &text, &faults)?;
    let has_errors = faults.iter().any(|fault| fault.severity == "error");
    Ok((case, if has_errors { End::RecordErrors } else { End::Done }))
}

/// The items of one state, or all; `None` when there is no such state.
fn of_state<T>(
    items: Vec<T>,
    state: Option<&str>,
    name: impl Fn(&T) -> &str,
) -> Result<Vec<T>, Vec<String>> {
    let Some(state) = state else { return Ok(items) };
    let mut known: Vec<String> = items.iter().map(|item| name(item).to_owned()).collect();
    known.dedup();
    let found: Vec<T> = items.into_iter().filter(|item| name(item) == state).collect();
    if found.is_empty() { Err(known) } else { Ok(found) }
}

fn solve(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    state: Option<&str>,
    faults: &[String],
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let views = if faults.is_empty() {
        case.state_views()
    } else {
        match case.state_views_with(faults) {
            Ok(views) => views,
            Err(not_read) => return no_fault(page, &not_read),
        }
    };
    match of_state(views, state, |view| &view.name) {
        Ok(views) if json => page.json(&form("solve", "states", &views))?,
        Ok(views) => {
            for view in &views {
                show::states::state(page, view)?;
            }
        }
        Err(known) => return no_such(page, "state", state.unwrap_or_default(), &known),
    }
    Ok(end)
}

/// Says that a fault was not understood.
fn no_fault(page: &Page, not_read: &analysis::FaultNotRead) -> Result<End> {
    let words = format!("fault `{}`: {}", not_read.words, not_read.why);
    let mut out = std::io::stderr().lock();
    writeln!(out, "{}", page.wrapped(&words, "error: ", "       "))?;
    Ok(End::NoSuchThing)
}

fn meter(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    state: Option<&str>,
    words: &str,
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let rows = match case.meter(words) {
        Ok(rows) => rows,
        Err(error) => {
            let mut out = std::io::stderr().lock();
            writeln!(out, "{}", page.wrapped(&error, "error: ", "       "))?;
            return Ok(End::NoSuchThing);
        }
    };
    match of_state(rows, state, |row| &row.state) {
        Ok(rows) if json => page.json(&form("meter", "readings", &rows))?,
        Ok(rows) => show::states::meter(page, words, &rows)?,
        Err(known) => return no_such(page, "state", state.unwrap_or_default(), &known),
    }
    Ok(end)
}

/// A result under the name and version of its form (docs/json.md).
fn form<T: serde::Serialize>(command: &str, key: &str, result: &T) -> serde_json::Value {
    serde_json::json!({ "schema": format!("unbury.{command}/1"), key: result })
}

fn live(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    state: Option<&str>,
    wire: Option<&str>,
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let rows = match of_state(case.live_rows(), state, |row| &row.state) {
        Ok(rows) => rows,
        Err(known) => return no_such(page, "state", state.unwrap_or_default(), &known),
    };
    let rows = match of_state(rows, wire, |row| &row.wire) {
        Ok(rows) => rows,
        Err(known) => return no_such(page, "wire", wire.unwrap_or_default(), &known),
    };
    let states = case.live_states(state);
    if json {
        let mut result = form("live", "conductors", &rows);
        result["states"] = serde_json::to_value(&states)?;
        page.json(&result)?;
    } else {
        show::live::map(page, &rows, &states, &case.not_seen())?;
    }
    Ok(end)
}

fn fault_level(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    state: Option<&str>,
    all: bool,
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let Some(view) = case.fault_level(state) else {
        return no_such(page, "state", state.unwrap_or_default(), &case.state_names());
    };
    if json {
        page.json(&form("fault-level", "faults", &view))?;
    } else {
        show::fault_level::whole(page, &view, all)?;
    }
    let fails = view.protection.iter().any(analysis::ProtectionRow::fails);
    Ok(if end == End::Done && fails { End::Fails } else { end })
}

fn way_in(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    targets: &[String],
    out: &[String],
    sheet: Option<(&Path, Paper, Telling)>,
) -> Result<End> {
    let (mut case, end) = case(page, record)?;
    if let Err(unknown) = case.with_out(out) {
        let known: Vec<String> = case.part_names().into_iter().map(str::to_owned).collect();
        return no_such(page, "part", &unknown.join(", "), &known);
    }
    if targets.is_empty() {
        let ways = case.service_access();
        if json {
            page.json(&form("wayin", "ways", &ways))?;
        } else {
            show::ways::service(page, &ways)?;
        }
        return Ok(end);
    }
    let further = match targets {
        [only] => case.while_open(only).unwrap_or_default(),
        _ => Vec::new(),
    };
    match case.opening(targets) {
        Ok(opening) if json => {
            let ways: Vec<_> = targets.iter().filter_map(|target| case.way_in(target)).collect();
            let mut result = form("wayin", "ways", &ways);
            result["while_open"] = serde_json::to_value(further)?;
            result["opening"] = serde_json::to_value(opening)?;
            page.json(&result)?;
        }
        Ok(opening) => {
            show::opening::whole(page, &opening)?;
            show::service::further(page, &further)?;
            if let Some((folder, paper, telling)) = sheet {
                let files = steps::write(folder, &case, &opening, paper, telling)?;
                show::pack::files(page, folder, &files)?;
            }
        }
        Err(unknown) => {
            let known: Vec<String> = case.way_in_targets().into_iter().map(str::to_owned).collect();
            return no_such(page, "device, spot, part or wire", &unknown.join(", "), &known);
        }
    }
    Ok(end)
}

fn service_access(page: &mut Page, record: &RecordFile, json: bool) -> Result<End> {
    let (case, end) = case(page, record)?;
    let table = case.service_table();
    if json {
        page.json(&table)?;
    } else {
        show::service::table(page, &table)?;
    }
    Ok(end)
}

fn hatch(page: &mut Page, record: &RecordFile, json: bool, pairs: bool) -> Result<End> {
    let (case, end) = case(page, record)?;
    let table = case.hatch_table();
    if json {
        page.json(&table)?;
    } else {
        show::hatch::table(page, &table, pairs)?;
    }
    Ok(end)
}

fn heat(page: &mut Page, record: &RecordFile, json: bool, state: Option<&str>) -> Result<End> {
    let (case, end) = case(page, record)?;
    let mut view = case.heat();
    view.states = match of_state(view.states, state, |state| &state.state) {
        Ok(states) => states,
        Err(known) => return no_such(page, "state", state.unwrap_or_default(), &known),
    };
    if json {
        page.json(&view)?;
    } else {
        show::heat::view(page, &view)?;
    }
    Ok(if end == End::Done && view.fails() { End::Fails } else { end })
}

/// Writes the drawings, or one of them with all its sheets.
fn draw(
    page: &mut Page,
    record: &RecordFile,
    json: bool,
    folder: &Path,
    only: Option<&str>,
    paper: depict::Paper,
    telling: Telling,
) -> Result<End> {
    let teller = telling.teller();
    let (case, end) = case(page, record)?;
    let mut pictures = depict::pictures_told(&case, paper, &teller);
    if only.is_some_and(|name| name.starts_with("next")) {
        pictures.extend(depict::next_check(&case, &teller));
    }
    if only.is_some_and(|name| name.starts_with("wiring-suspects")) {
        let list = case.suspect_list();
        let suspicion = case.search(&list).shading();
        let overlay = depict::Overlay::Suspects(&suspicion);
        pictures.extend(depict::wiring_told(&case, overlay, paper, &teller));
    }
    if let Some(name) = only {
        let sort = |picture: &depict::Picture| {
            picture.name.split('-').next().unwrap_or_default().to_owned()
        };
        let mut known: Vec<String> = pictures.iter().map(sort).collect();
        known.dedup();
        pictures.retain(|picture| picture.is_of(name));
        if pictures.is_empty() {
            return no_such(page, "drawing", name, &known);
        }
    }
    let written = drawings::write(folder, pictures)?;
    if json {
        page.json(&form("draw", "drawings", &written))?;
    } else {
        show::drawings::list(page, folder, &written)?;
        show::drawings::left(page, &teller.left())?;
    }
    Ok(end)
}

/// What `explain` calls the page of documents by region.
const REGIONS: &str = "regions";

fn explain(
    page: &mut Page,
    check: Option<&str>,
    list: bool,
    markdown: bool,
    json: bool,
) -> Result<End> {
    let Some(slug) = check.filter(|_| !list) else {
        let checks: Vec<(&str, &str)> = analysis::check_list().collect();
        if json {
            page.json(&form("explain", "checks", &checks))?;
        } else {
            show::explain::list(page, &checks)?;
        }
        return Ok(End::Done);
    };
    let text = match slug {
        REGIONS => Some(analysis::region_page()),
        _ => analysis::check_page(slug).map(str::to_owned),
    };
    let Some(text) = text else {
        let known: Vec<String> = analysis::check_list().map(|(slug, _)| slug.to_owned()).collect();
        return no_such(page, "check", slug, &known);
    };
    if json {
        page.json(&form("explain", "checks", &[(slug, &text)]))?;
    } else if markdown {
        page.raw(&text)?;
    } else {
        show::explain::page(page, &text)?;
    }
    Ok(End::Done)
}

fn kinds(page: &mut Page, filter: Option<&str>, json: bool) -> Result<End> {
    let mut rows = analysis::kinds();
    rows.retain(|row| filter.is_none_or(|words| row.name.contains(words)));
    if rows.is_empty() {
        let known: Vec<String> = analysis::kinds().into_iter().map(|row| row.name).collect();
        return no_such(page, "kind of device", filter.unwrap_or_default(), &known);
    }
    if json {
        page.json(&form("kinds", "kinds", &rows))?;
    } else {
        show::explain::kinds(page, &rows)?;
    }
    Ok(End::Done)
}

/// Which circuit of a state.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    DirectCurrent,
    Mains,
}

fn netlist(
    page: &mut Page,
    record: &RecordFile,
    state: Option<&str>,
    side: Side,
    faults: &[String],
) -> Result<End> {
    let (case, end) = case(page, record)?;
    let name = state.map_or_else(|| case.state_names().first().cloned(), |s| Some(s.to_owned()));
    let name = name.unwrap_or_default();
    if !case.state_names().contains(&name) {
        return no_such(page, "state", &name, &case.state_names());
    }
    let deck = match side {
        Side::DirectCurrent if faults.is_empty() => case.netlist(&name),
        Side::DirectCurrent => match case.netlist_with(&name, faults) {
            Ok(deck) => deck,
            Err(not_read) => return no_fault(page, &not_read),
        },
        Side::Mains => case.mains_netlist(&name),
    };
    match deck {
        Some(deck) => page.raw(&deck)?,
        None => return no_such(page, "source of mains power in state", &name, &[]),
    }
    Ok(end)
}

fn ac(page: &mut Page, record: &RecordFile, json: bool, state: Option<&str>) -> Result<End> {
    let (case, end) = case(page, record)?;
    let mut view = case.mains_view();
    if let Some(state) = state {
        if !case.state_names().iter().any(|name| name == state) {
            return no_such(page, "state", state, &case.state_names());
        }
        view.rows.retain(|row| row.states.iter().any(|name| name == state));
    }
    if json {
        page.json(&view)?;
    } else {
        show::ac::matrix(page, &view)?;
    }
    let fails = |row: &analysis::MainsRow| {
        !row.trouble.is_empty() || row.cells.iter().any(|cell| cell.verdict == "fails")
    };
    let has_failed = view.rows.iter().any(fails);
    Ok(if end == End::Done && has_failed { End::Fails } else { end })
}

/// Says that there is no such thing, and what was perhaps meant.
pub(crate) fn no_such(page: &Page, what: &str, wanted: &str, known: &[String]) -> Result<End> {
    let near = known
        .iter()
        .map(|name| (strsim::osa_distance(wanted, name), name))
        .filter(|(distance, name)| *distance <= (wanted.len().max(name.len()) / 3).max(1))
        .min();
    let mut words = format!("there is no {what} `{wanted}` here");
    match near {
        Some((_, name)) => words.push_str(&format!("; did you mean `{name}`?")),
        None if known.is_empty() => {}
        None if known.len() <= 15 => words.push_str(&format!("; known: {}", known.join(", "))),
        None if what == "repair" => words.push_str("; `unbury mend` lists them with their names"),
        None => {}
    }
    let mut out = std::io::stderr().lock();
    writeln!(out, "{}", page.wrapped(&words, "error: ", "       "))?;
    Ok(End::NoSuchThing)
}
