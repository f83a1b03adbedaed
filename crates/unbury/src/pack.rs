//! Writes the pack: report, tables, netlist, JSON and the record itself.

use std::path::{Path, PathBuf};

use analysis::{Case, Review};
use anyhow::{Context, Result};

use crate::cli::Paper;
use crate::show::live;

/// How the pack is made.
pub(crate) struct Options {
    pub(crate) paper: Paper,
    pub(crate) dated: Option<String>,
}

/// Writes every file of the pack to a folder, each whole or not at all; returns what was written.
pub(crate) fn write(
    folder: &Path,
    record: &str,
    case: &Case,
    review: &Review,
    options: &Options,
) -> Result<Vec<(PathBuf, &'static str)>> {
    let mut written = Vec::new();
    let mut put = |name: &str, what: &'static str, bytes: Vec<u8>| -> Result<()> {
        written.push((put_file(folder, name, bytes)?, what));
        Ok(())
    };
    if let Some(bytes) = pdf(review, options)? {
        put("report.pdf", "the report", bytes)?;
    }
    put("findings.csv", "findings", findings(review)?)?;
    put("find-out.csv", "what to find out", find_out(review)?)?;
    put("wires.csv", "wire list", wires(review)?)?;
    put("live.csv", "what is energised, by state", energised(review)?)?;
    put("service-access.csv", "minutes to reach what wants service", service(review)?)?;
    put("review.json", "all of it, for programs", serde_json::to_vec_pretty(review)?)?;
    for name in case.state_names() {
        if let Some(deck) = case.netlist(&name) {
            put(
                &format!("state-{}.cir", name.replace('/', "-")),
                "the circuit, for any SPICE",
                deck.into_bytes(),
            )?;
        }
    }
    put("record.toml", "the record reviewed", record.as_bytes().to_vec())?;
    Ok(written)
}

/// Writes one file whole or not at all, and the folder where it is missing.
pub(crate) fn put_file(folder: &Path, name: &str, bytes: Vec<u8>) -> Result<PathBuf> {
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder `{}`", folder.display()))?;
    let path = folder.join(name);
    let temporary = folder.join(format!(".{name}.part"));
    std::fs::write(&temporary, bytes)
        .and_then(|()| std::fs::rename(&temporary, &path))
        .with_context(|| format!("cannot write `{}`", path.display()))?;
    Ok(path)
}

#[cfg(feature = "pdf")]
fn pdf(review: &Review, options: &Options) -> Result<Option<Vec<u8>>> {
    let _progress = crate::progress::Progress::of("setting the report");
    let options = report::Options {
        paper: match options.paper {
            Paper::A4 => report::Paper::A4,
            Paper::Letter => report::Paper::Letter,
        },
        dated: options.dated.clone(),
    };
    report::pdf(review, &options).map(Some).context("cannot set the report")
}

#[cfg(not(feature = "pdf"))]
fn pdf(_: &Review, options: &Options) -> Result<Option<Vec<u8>>> {
    let _ = (options.paper, &options.dated);
    Ok(None)
}

fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> Result<Vec<u8>> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(head)?;
    for row in rows {
        writer.write_record(row.iter().map(|cell| not_a_formula(cell)))?;
    }
    Ok(writer.into_inner()?)
}

/// A cell that a spreadsheet would take for a formula gets a leading quote mark.
fn not_a_formula(cell: &str) -> String {
    let number =
        cell.starts_with(['-', '+']) && cell[1..].starts_with(|c: char| c.is_ascii_digit());
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && !number {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

fn findings(review: &Review) -> Result<Vec<u8>> {
    let head = [
        "signal",
        "check",
        "place",
        "line",
        "message",
        "evidence",
        "limit",
        "source",
        "confidence",
        "remedy",
        "access",
    ];
    let rows = review.findings.iter().map(|finding| {
        vec![
            finding.signal.clone(),
            finding.check.clone(),
            finding.place.name.clone(),
            finding.place.line.to_string(),
            finding.message.clone(),
            finding.evidence.join("; "),
            finding.limit.as_ref().map_or_else(String::new, |limit| limit.words.clone()),
            finding.limit.as_ref().map_or_else(String::new, |limit| limit.source.clone()),
            finding.confidence.clone(),
            finding.remedy.clone(),
            finding.access.as_ref().map_or_else(String::new, |cost| cost.words.clone()),
        ]
    });
    table(&head, rows)
}

fn find_out(review: &Review) -> Result<Vec<u8>> {
    let rows = review.cannot_tell.iter().flat_map(|finding| {
        finding.find_out.iter().map(move |missing| {
            vec![
                finding.signal.clone(),
                finding.check.clone(),
                missing.what.clone(),
                missing.items.join(", "),
                missing.access.as_ref().map_or_else(String::new, |cost| cost.words.clone()),
            ]
        })
    });
    table(&["signal", "check", "find out", "for", "access to the nearest"], rows)
}

fn wires(review: &Review) -> Result<Vec<u8>> {
    let head = ["wire", "from", "to", "size", "length", "make", "largest current", "drop", "line"];
    let rows = review.wires.iter().map(|wire| {
        vec![
            wire.name.clone(),
            wire.from.clone(),
            wire.to.clone(),
            wire.size.clone(),
            wire.length.clone(),
            wire.make.clone(),
            wire.most_current.clone(),
            wire.drop.clone(),
            wire.line.to_string(),
        ]
    });
    table(&head, rows)
}

fn energised(review: &Review) -> Result<Vec<u8>> {
    let rows = review.live.iter().map(|row| {
        vec![
            row.state.clone(),
            row.wire.clone(),
            live::status(row.status).to_owned(),
            live::from(row),
        ]
    });
    table(&["state", "wire", "status", "from"], rows)
}

fn service(review: &Review) -> Result<Vec<u8>> {
    let head = [
        "item",
        "service",
        "outcome",
        "minutes in",
        "minutes back",
        "P80 minutes",
        "words",
        "steps",
    ];
    let rows = review.service_access.iter().map(|way| {
        let steps: Vec<&str> = way.steps.iter().map(|step| step.label.as_str()).collect();
        let minutes = |pick: fn(&analysis::AccessCost) -> f64| {
            way.cost.as_ref().map_or_else(String::new, |cost| format!("{:.1}", pick(cost)))
        };
        vec![
            way.target.clone(),
            way.service.clone(),
            way.outcome.clone(),
            minutes(|cost| cost.minutes_out),
            minutes(|cost| cost.minutes_back),
            way.minutes_p80.map_or_else(String::new, |minutes| format!("{minutes:.0}")),
            way.words.clone(),
            steps.join(" > "),
        ]
    });
    table(&head, rows)
}
