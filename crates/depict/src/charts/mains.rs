//! The mains side as a matrix: sources against what is judged, and what a meter shows by the wiring of
//! the supply.

use analysis::{Case, MainsCell, MainsRow, SocketReadings};
use draw::chart::{Matrix, MatrixCell, MatrixRow, Verdict};

use super::{closed, picture, sentence};
use crate::Picture;
use crate::voice::Voice;

/// Sources in their states against polarity, bond, residual current, touch voltage and a line on metal.
pub(crate) fn matrix(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    let view = case.mains_view();
    let columns: Vec<String> = view
        .rows
        .iter()
        .map(|row| row.cells.iter().map(|cell| voice.say(&cell.aspect)).collect::<Vec<_>>())
        .max_by_key(Vec::len)?;
    let title = voice.say(&format!("{}: the mains side", case.vehicle_name()));
    let mut notes =
        vec![voice.say(
            "Mains voltage kills: work on it and measurements are for people licensed for it.",
        )];
    notes.extend(view.unused.iter().map(|text| sentence(&voice.say(text))));
    let trouble = view.rows.iter().filter(|row| !row.trouble.is_empty());
    notes.extend(trouble.map(|row| sentence(&voice.say(&row.trouble))));
    notes.extend(view.rows.iter().flat_map(|row| find_out(row, voice)));
    let chart = Matrix {
        heading: voice.heading(
            &title,
            voice.say(
                "Each source in the states that use it. What fails is past a limit in every case that the \
                 record leaves open; what cannot be told turns on a fact that is missing.",
            ),
            notes,
        ),
        corner: voice.say("source, states, supply"),
        columns,
        rows: view.rows.iter()
            .filter(|row| !row.cells.is_empty())
            .map(|row| one_row(row, voice))
            .collect(),
    };
    picture("mains", &title, draw::chart::matrix(&chart))
}

fn one_row(row: &MainsRow, voice: &Voice<'_>) -> MatrixRow {
    let mut about = voice.say_of(&format!("{} in {{}}", row.source), &row.states.join(", "));
    if !row.supply.is_empty() {
        about.push_str("; ");
        about.push_str(&voice.say(&format!("supply {}", row.supply)));
    }
    MatrixRow {
        id: row.device.clone(),
        label: row.device.clone(),
        about,
        cells: row.cells.iter().map(|one| cell(one, voice)).collect(),
    }
}

/// What to find out for a source, each once, with the cells that turn on it.
fn find_out(row: &MainsRow, voice: &Voice<'_>) -> Vec<String> {
    let mut asked: Vec<(&str, Vec<&str>)> = Vec::new();
    for cell in &row.cells {
        for missing in &cell.find_out {
            match asked.iter_mut().find(|(what, _)| *what == missing.what) {
                Some((_, aspects)) if aspects.contains(&cell.aspect.as_str()) => {}
                Some((_, aspects)) => aspects.push(&cell.aspect),
                None => asked.push((&missing.what, vec![&cell.aspect])),
            }
        }
    }
    let words = |(what, aspects): &(&str, Vec<&str>)| {
        let aspects: Vec<String> = aspects.iter().map(|aspect| voice.say(aspect)).collect();
        format!("{}, {}: {}", row.device, aspects.join(", "), closed(&voice.say(what)))
    };
    asked.iter().map(words).collect()
}

fn cell(cell: &MainsCell, voice: &Voice<'_>) -> MatrixCell {
    let verdict = match cell.verdict.as_str() {
        "holds" => Verdict::Holds,
        "fails" => Verdict::Fails,
        _ => Verdict::CannotTell,
    };
    // What cannot be told has nothing to add to the verdict; what to find out stands in the notes.
    let words = if cell.short == cell.verdict { String::new() } else { voice.figure(&cell.short) };
    MatrixCell { verdict, words }
}

/// What a multimeter shows: for each wiring of the supply at the first socket, then at every socket.
pub(crate) fn meter(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    let view = case.mains_view();
    let title = voice.say(&format!("{}: what a meter shows at the sockets", case.vehicle_name()));
    let rows: Vec<MatrixRow> = view.rows.iter().flat_map(|row| readings(row, voice)).collect();
    let chart = Matrix {
        heading: voice.heading(
            &title,
            voice.say(
                "Volts between line, neutral and earth as the record has it, by source and socket; for shore \
                 also what each wiring of the supply would show at the first socket.",
            ),
            vec![voice.say(
                "Measuring mains is for people licensed for it. A supply may lie a tenth off; what differs by more means that \
                 the record is wrong.",
            )],
        ),
        corner: voice.say("source and socket"),
        columns: ["line to neutral", "line to earth", "neutral to earth"]
            .map(|column| voice.say(column))
            .to_vec(),
        rows,
    };
    picture("mains-meter", &title, draw::chart::matrix(&chart))
}

/// Sockets that show the same stand in one row.
fn readings(row: &MainsRow, voice: &Voice<'_>) -> Vec<MatrixRow> {
    let first = row.readings.first().map_or("", |found| found.at.as_str());
    let about = match row.device.as_str() {
        "" => voice.say_of("no source in {}", &row.states.join(", ")),
        device => format!("{device} {}", voice.say_of("in {}", &row.states.join(", "))),
    };
    let sockets = grouped(&row.readings).into_iter().map(|(names, found)| {
        reading(&format!("{} {names}", row.device), &names, about.clone(), found, voice)
    });
    let supplies = grouped(&row.by_supply).into_iter().map(|(names, found)| {
        let about =
            voice.say(&format!("if the supply of {} were wired so, at {first}", row.device));
        reading(
            &format!("{} {names}", row.device),
            &voice.say(&format!("supply: {names}")),
            about,
            found,
            voice,
        )
    });
    sockets.chain(supplies).collect()
}

fn grouped(readings: &[SocketReadings]) -> Vec<(String, &SocketReadings)> {
    let mut groups: Vec<(String, &SocketReadings)> = Vec::new();
    let same = |a: &SocketReadings, b: &SocketReadings| {
        a.line_neutral == b.line_neutral
            && a.line_earth == b.line_earth
            && a.neutral_earth == b.neutral_earth
    };
    for found in readings {
        match groups.iter_mut().find(|(_, known)| same(known, found)) {
            Some((names, _)) => *names = format!("{names}, {}", found.at),
            None => groups.push((found.at.clone(), found)),
        }
    }
    groups
}

fn reading(
    id: &str,
    label: &str,
    about: String,
    found: &SocketReadings,
    voice: &Voice<'_>,
) -> MatrixRow {
    let figure =
        |words: &String| MatrixCell { verdict: Verdict::Figure, words: voice.figure(words) };
    MatrixRow {
        id: id.to_owned(),
        label: label.to_owned(),
        about,
        cells: [&found.line_neutral, &found.line_earth, &found.neutral_earth].map(figure).to_vec(),
    }
}
