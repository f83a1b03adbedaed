//! The tables of a pack: what stands in them and in which order. Knows no file format.

use analysis::{AccessCost, HandoverView, LineUse, Review, WayIn};
use wording::Texts;

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Cell {
    Words(String),
    Number(f64),
    /// Hundredths of the currency.
    Money(i64),
}

/// An amount with its two places: `29.50`.
pub(crate) fn money(cents: i64) -> String {
    let sign = if cents < 0 { "-" } else { "" };
    format!("{sign}{}.{:02}", cents.unsigned_abs() / 100, cents.unsigned_abs() % 100)
}

/// A table.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Table {
    /// Its file's name without ending.
    pub(crate) name: &'static str,
    /// What the sheet of a workbook is called.
    pub(crate) title: String,
    pub(crate) head: Vec<String>,
    pub(crate) rows: Vec<Vec<Cell>>,
}

/// All tables, of a review and hand-over told in the language of the texts.
pub(crate) fn all(review: &Review, handover: &HandoverView, texts: &Texts) -> Vec<Table> {
    vec![
        findings(review, texts),
        find_out(review, texts),
        unseen(handover, texts),
        devices(handover, texts),
        wires(review, texts),
        energised(review, texts),
        isolation(handover, texts),
        readings(review, texts),
        service(review, texts),
        sources(review, texts),
    ]
    .into_iter()
    .chain(repairs(handover, texts))
    .chain(switched_off(handover, texts))
    .collect()
}

/// What was switched off, locked and read for the work.
fn switched_off(handover: &HandoverView, texts: &Texts) -> Option<Table> {
    let row = |step: &analysis::SwitchedOff| {
        [&step.area, &step.what, &step.before, &step.after, &step.by, &step.on]
            .map(|cell| words(cell))
            .to_vec()
    };
    let rows: Vec<Vec<Cell>> = handover.switched_off.iter().map(row).collect();
    let columns = ["work-area", "what", "read-before", "read-after", "done-by", "done-on"];
    (!rows.is_empty()).then(|| table("made-dead", texts, &columns, rows))
}

/// The chosen repairs, what would show that one failed, and what else was read at the end.
fn repairs(handover: &HandoverView, texts: &Texts) -> Vec<Table> {
    if handover.mends.is_empty() && handover.proofs.is_empty() {
        return Vec::new();
    }
    let mends = handover.mends.iter().map(|mend| {
        let stands = words(texts.get(&format!("proofs.{}", mend.stands)));
        vec![words(&mend.name), words(&mend.words), stands, words(&mend.why)]
    });
    let proofs = handover.proofs.iter().enumerate().map(|(at, row)| {
        let verdict = if row.verdict.is_empty() { "not-read" } else { row.verdict.as_str() };
        vec![
            count(at + 1),
            words(texts.get(&format!("proofs.{}", row.phase))),
            words(&row.what),
            words(if row.state.is_empty() { &row.state_words } else { &row.state }),
            words(&row.points),
            words(&row.expected),
            words(&row.limit),
            words(row.measured.as_deref().unwrap_or_default()),
            words(texts.get(&format!("proofs.{verdict}"))),
        ]
    });
    let columns =
        ["step", "now", "what", "state", "between", "computed", "limit", "read", "verdict"];
    vec![
        table("mends", texts, &["item", "what", "now", "why"], mends.collect()),
        table("proofs", texts, &columns, proofs.collect()),
    ]
}

pub(crate) fn table(
    name: &'static str,
    texts: &Texts,
    columns: &[&str],
    rows: Vec<Vec<Cell>>,
) -> Table {
    let sheet = match name {
        "service-access" => "service",
        other => other,
    };
    Table {
        name,
        title: texts.get(&format!("sheet.{sheet}")).to_owned(),
        head: columns.iter().map(|key| texts.get(&format!("col.{key}")).to_owned()).collect(),
        rows,
    }
}

pub(crate) fn words(text: &str) -> Cell {
    Cell::Words(text.to_owned())
}

fn list(items: &[String], between: &str) -> Cell {
    Cell::Words(items.join(between))
}

#[allow(clippy::cast_precision_loss, reason = "line numbers of a record of few megabytes")]
fn count(number: usize) -> Cell {
    Cell::Number(number as f64)
}

fn minutes(minutes: Option<f64>) -> Cell {
    match minutes {
        Some(minutes) if minutes.is_finite() => Cell::Number((minutes * 10.0).round() / 10.0),
        _ => words(""),
    }
}

fn cost(access: Option<&AccessCost>) -> Cell {
    Cell::Words(access.map_or_else(String::new, |cost| match cost.parts.as_slice() {
        [] => cost.words.clone(),
        parts => format!("{}: {}", cost.words, parts.join(" > ")),
    }))
}

/// A code word of the program in the language.
fn code(texts: &Texts, word: &str) -> Cell {
    let key = format!("code.{}", word.replace(' ', "-"));
    words(if texts.has(&key) { texts.get(&key) } else { word })
}

fn signal(texts: &Texts, word: &str) -> Cell {
    let key = match word {
        "DANGER" => "code.danger",
        "WARNING" => "code.warning-word",
        "CAUTION" => "code.caution",
        "NOTICE" => "code.notice",
        _ => return words(word),
    };
    words(texts.get(key))
}

fn findings(review: &Review, texts: &Texts) -> Table {
    let rows = review.findings.iter().enumerate().map(|(at, finding)| {
        let limit = finding.limit.as_ref();
        vec![
            count(at + 1),
            signal(texts, &finding.signal),
            words(&finding.check),
            words(&finding.place.name),
            count(finding.place.line),
            words(&finding.message),
            list(&finding.evidence, "; "),
            words(limit.map_or("", |limit| &limit.words)),
            words(limit.map_or("", |limit| &limit.source)),
            code(texts, &finding.confidence),
            words(&finding.remedy),
            cost(finding.access.as_ref()),
        ]
    });
    let columns = [
        "no",
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
        "there",
    ];
    table("findings", texts, &columns, rows.collect())
}

fn find_out(review: &Review, texts: &Texts) -> Table {
    let rows = review.cannot_tell.iter().flat_map(|finding| {
        finding.find_out.iter().map(move |missing| {
            vec![
                signal(texts, &finding.signal),
                words(&finding.check),
                words(&missing.what),
                list(&missing.items, ", "),
                cost(missing.access.as_ref()),
            ]
        })
    });
    table("find-out", texts, &["signal", "check", "find-out", "for", "there"], rows.collect())
}

fn unseen(handover: &HandoverView, texts: &Texts) -> Table {
    let rows = handover.unseen.iter().map(|row| {
        vec![
            words(&row.place.name),
            words(&row.place.label),
            count(row.place.line),
            words(&texts.fill(&unseen_key(&row.why), &[("part", &row.part)])),
            cost(row.access.as_ref()),
        ]
    });
    table("not-seen", texts, &["place", "what", "line", "why", "look"], rows.collect())
}

/// The key of the text that says why something was not seen.
fn unseen_key(why: &str) -> String {
    format!("unseen.{}", why.replace(' ', "-"))
}

fn devices(handover: &HandoverView, texts: &Texts) -> Table {
    let rows = handover.devices.iter().map(|device| {
        vec![
            words(&device.name),
            words(&device.label),
            words(&device.kind),
            words(&device.rating),
            words(&device.at),
            words(&device.behind),
            count(device.line),
        ]
    });
    let columns = ["device", "called", "kind", "rating", "at", "behind", "line"];
    table("devices", texts, &columns, rows.collect())
}

fn wires(review: &Review, texts: &Texts) -> Table {
    let rows = review.wires.iter().map(|wire| {
        vec![
            words(&wire.name),
            words(&wire.from),
            words(&wire.to),
            words(&wire.size),
            words(&wire.length),
            words(&wire.make),
            words(&wire.most_current),
            words(&wire.drop),
            words(&wire.behind),
            count(wire.line),
        ]
    });
    let columns =
        ["wire", "from", "to", "size", "length", "make", "most-current", "drop", "behind", "line"];
    table("wires", texts, &columns, rows.collect())
}

fn energised(review: &Review, texts: &Texts) -> Table {
    let rows = review.live.iter().map(|row| {
        let status = match row.status {
            LineUse::Live => "live",
            LineUse::MayBeLive => "may be live",
            LineUse::Return => "return",
            LineUse::NotReached => "not reached",
        };
        let from: Vec<String> = row
            .from
            .iter()
            .map(|way| {
                let mut line = way.source.clone();
                for step in &way.path {
                    line.push_str(" > ");
                    line.push_str(step);
                }
                if !way.doubt.is_empty() {
                    line.push_str(&format!(" ({})", way.doubt));
                }
                line
            })
            .collect();
        vec![words(&row.state), words(&row.wire), code(texts, status), list(&from, "; ")]
    });
    table("live", texts, &["state", "wire", "status", "from"], rows.collect())
}

fn isolation(handover: &HandoverView, texts: &Texts) -> Table {
    let card = &handover.isolation;
    let step = |(at, one): (usize, &analysis::IsolationStep)| {
        let told = texts.fill(&format!("isolation.{}", one.kind), &[("device", &one.label)]);
        let way = cost(one.access.as_ref());
        vec![count(at + 1), words(&told), words(&one.at), list(&one.prove, ", "), way]
    };
    let mut rows: Vec<Vec<Cell>> = card.steps.iter().enumerate().map(step).collect();
    for source in &card.stays {
        let stays = format!("{}: {}", texts.get("isolation.stays"), source.source);
        for (key, wires) in
            [("isolation.live", &source.wires), ("isolation.may-be", &source.may_be)]
        {
            if !wires.is_empty() {
                let line = format!("{stays} ({})", texts.get(key));
                rows.push(vec![
                    words(""),
                    words(&line),
                    words(&source.at),
                    list(wires, ", "),
                    words(""),
                ]);
            }
        }
    }
    let not_reached = words(texts.get("isolation.not-reached"));
    rows.push(vec![words(""), not_reached, words(""), list(&card.not_reached, ", "), words("")]);
    table("isolation", texts, &["step", "what", "at", "place", "there"], rows)
}

fn readings(review: &Review, texts: &Texts) -> Table {
    let rows = review.readings.iter().map(|reading| {
        vec![
            words(&reading.name),
            words(&reading.state),
            words(&reading.points),
            words(&reading.read),
            words(&reading.note),
            words(&reading.computed),
            code(texts, &reading.verdict),
            words(&reading.words),
        ]
    });
    let columns = ["no", "state", "between", "read", "how-read", "computed", "verdict", "why"];
    table("readings", texts, &columns, rows.collect())
}

fn service(review: &Review, texts: &Texts) -> Table {
    let rows = review.service_access.iter().map(|way: &WayIn| {
        let steps: Vec<String> = way.steps.iter().map(|step| step.label.clone()).collect();
        let cost = way.cost.as_ref();
        vec![
            words(&way.target),
            words(&way.service),
            code(texts, &way.outcome),
            minutes(cost.map(|cost| cost.minutes_out)),
            minutes(cost.map(|cost| cost.minutes_back)),
            minutes(way.minutes_p80),
            words(&way.words),
            list(&steps, " > "),
        ]
    });
    let columns = [
        "item",
        "service",
        "outcome",
        "minutes-out",
        "minutes-back",
        "minutes-p80",
        "words",
        "steps",
    ];
    table("service-access", texts, &columns, rows.collect())
}

fn sources(review: &Review, texts: &Texts) -> Table {
    let rows = review
        .sources
        .iter()
        .map(|source| vec![words(&source.key), words(&source.words), words(&source.standing)]);
    table("sources", texts, &["key", "document", "standing"], rows.collect())
}
