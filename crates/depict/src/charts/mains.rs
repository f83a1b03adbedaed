//! The mains side as a matrix: sources against what is judged, and what a meter shows by the wiring of
//! the supply.

use analysis::{Case, MainsCell, MainsRow, SocketReadings};
use draw::chart::{Heading, Matrix, MatrixCell, MatrixRow, Verdict};

use super::{closed, picture, sentence};
use crate::Picture;

/// Sources in their states against polarity, bond, residual current, touch voltage and a line on metal.
pub(crate) fn matrix(case: &Case) -> Option<Picture> {
    let view = case.mains_view();
    let columns: Vec<String> = view
        .rows
        .iter()
        .map(|row| row.cells.iter().map(|cell| cell.aspect.clone()).collect::<Vec<_>>())
        .max_by_key(Vec::len)?;
    let title = format!("{}: the mains side", case.vehicle_name());
    let mut notes = vec![
        "Mains voltage kills: work on it and measurements are for people licensed for it."
            .to_owned(),
    ];
    notes.extend(view.unused.iter().map(|text| sentence(text)));
    notes.extend(
        view.rows.iter().filter(|row| !row.trouble.is_empty()).map(|row| sentence(&row.trouble)),
    );
    notes.extend(view.rows.iter().flat_map(find_out));
    let chart = Matrix {
        heading: Heading {
            title: title.clone(),
            about: "Each source in the states that use it. What fails is past a limit in every case that \
                    the record leaves open; what cannot be told turns on a fact that is missing."
                .to_owned(),
            notes,
        },
        corner: "source, states, supply".to_owned(),
        columns,
        rows: view.rows.iter().filter(|row| !row.cells.is_empty()).map(one_row).collect(),
    };
    picture("mains", &title, draw::chart::matrix(&chart))
}

fn one_row(row: &MainsRow) -> MatrixRow {
    let mut about = format!("{} in {}", row.source, row.states.join(", "));
    if !row.supply.is_empty() {
        about.push_str(&format!("; supply {}", row.supply));
    }
    MatrixRow {
        id: row.device.clone(),
        label: row.device.clone(),
        about,
        cells: row.cells.iter().map(cell).collect(),
    }
}

/// What to find out for a source, each once, with the cells that turn on it.
fn find_out(row: &MainsRow) -> Vec<String> {
    let mut asked: Vec<(&str, Vec<&str>)> = Vec::new();
    for cell in &row.cells {
        for missing in &cell.find_out {
            match asked.iter_mut().find(|(what, _)| *what == missing.what) {
                Some((_, aspects)) => aspects.push(&cell.aspect),
                None => asked.push((&missing.what, vec![&cell.aspect])),
            }
        }
    }
    let words = |(what, aspects): &(&str, Vec<&str>)| {
        format!("{}, {}: {}", row.device, aspects.join(", "), closed(what))
    };
    asked.iter().map(words).collect()
}

fn cell(cell: &MainsCell) -> MatrixCell {
    let verdict = match cell.verdict.as_str() {
        "holds" => Verdict::Holds,
        "fails" => Verdict::Fails,
        _ => Verdict::CannotTell,
    };
    // What cannot be told has nothing to add to the verdict; what to find out stands in the notes.
    let words = if cell.short == cell.verdict { String::new() } else { cell.short.clone() };
    MatrixCell { verdict, words }
}

/// What a multimeter shows: for each wiring of the supply at the first socket, then at every socket.
pub(crate) fn meter(case: &Case) -> Option<Picture> {
    let view = case.mains_view();
    let title = format!("{}: what a meter shows at the sockets", case.vehicle_name());
    let rows: Vec<MatrixRow> = view.rows.iter().flat_map(readings).collect();
    let chart = Matrix {
        heading: Heading {
            title: title.clone(),
            about: "Volts between line, neutral and earth as the record has it, by source and socket; for shore \
                    also what each wiring of the supply would show at the first socket."
                .to_owned(),
            notes: vec![
                "Measuring mains is for people licensed for it. A reading that is not in the list means that \
                 the record is wrong."
                    .to_owned(),
            ],
        },
        corner: "source and socket".to_owned(),
        columns: ["line to neutral", "line to earth", "neutral to earth"].map(str::to_owned).to_vec(),
        rows,
    };
    picture("mains-meter", &title, draw::chart::matrix(&chart))
}

/// Sockets that show the same stand in one row.
fn readings(row: &MainsRow) -> Vec<MatrixRow> {
    let first = row.readings.first().map_or("", |found| found.at.as_str());
    let about = format!("{} in {}", row.device, row.states.join(", "));
    let sockets = grouped(&row.readings).into_iter().map(|(names, found)| {
        reading(&format!("{} {names}", row.device), &names, about.clone(), found)
    });
    let supplies = grouped(&row.by_supply).into_iter().map(|(names, found)| {
        let about = format!("if the supply of {} were wired so, at {first}", row.device);
        reading(&format!("{} {names}", row.device), &format!("supply: {names}"), about, found)
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

fn reading(id: &str, label: &str, about: String, found: &SocketReadings) -> MatrixRow {
    let figure = |words: &String| MatrixCell { verdict: Verdict::Figure, words: words.clone() };
    MatrixRow {
        id: id.to_owned(),
        label: label.to_owned(),
        about,
        cells: [&found.line_neutral, &found.line_earth, &found.neutral_earth].map(figure).to_vec(),
    }
}
