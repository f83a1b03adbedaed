//! A whole review: dangers first.

use analysis::{FindingView, LiveRow, Review};
use anyhow::Result;

use crate::page::{Page, Weight};
use crate::show::{faults, live};

/// Lists longer than this are cut unless all was asked for.
const SHORT: usize = 8;

pub(crate) fn whole(
    page: &mut Page,
    path: &str,
    record: &str,
    review: &Review,
    all: bool,
) -> Result<()> {
    title(page, review)?;
    dangers(page, review)?;
    understood(page, path, record, review, all)?;
    behaviour(page, review)?;
    findings(page, path, review)?;
    find_out_first(page, review, all)?;
    cannot_tell(page, review, all)?;
    readings(page, review)?;
    energised(page, review)?;
    service(page, review, all)?;
    page.heading("Cautions")?;
    for caution in &review.cautions {
        page.line(&page.wrapped(caution, "  - ", "    "))?;
    }
    sources(page, review)
}

fn title(page: &mut Page, review: &Review) -> Result<()> {
    let vehicle = &review.vehicle;
    let name = if vehicle.name.is_empty() { "(no name)" } else { &vehicle.name };
    let strong = page.weigh(name, Weight::Strong);
    page.line(&page.wrapped(&titled(name, &vehicle.words), "", "  ").replacen(name, &strong, 1))?;
    page.labelled("complaint", &vehicle.complaint, 2)?;
    for symptom in &vehicle.symptoms {
        page.labelled("noticed", symptom, 2)?;
    }
    page.labelled("house side", &vehicle.system, 2)?;
    page.labelled("rules", &vehicle.region, 2)
}

/// The worst first, one line each; everything else stands further down.
fn dangers(page: &mut Page, review: &Review) -> Result<()> {
    let numbered: Vec<(usize, &FindingView)> =
        review.findings.iter().enumerate().map(|(index, finding)| (index + 1, finding)).collect();
    page.heading("Dangers first")?;
    if review.understood.devices == 0 {
        return page.paragraph("Nothing was judged: the record holds no device.", 2);
    }
    let open: Vec<&FindingView> =
        review.cannot_tell.iter().filter(|finding| is_grave(finding)).collect();
    if !numbered.iter().any(|(_, finding)| is_grave(finding)) {
        let words = if open.is_empty() {
            "None found among what could be told; see what could not, below."
        } else {
            "None found among what could be told; these may be, find out first:"
        };
        page.paragraph(words, 2)?;
    }
    let is_cause = |finding: &FindingView| is_grave(finding) && finding.follows_from.is_none();
    for (number, finding) in numbered.iter().filter(|(_, finding)| is_cause(finding)) {
        signal_line(page, &number.to_string(), finding)?;
    }
    for finding in open {
        signal_line(page, "?", finding)?;
    }
    Ok(())
}

fn is_grave(finding: &FindingView) -> bool {
    matches!(finding.signal.as_str(), "DANGER" | "WARNING")
}

fn understood(page: &mut Page, path: &str, record: &str, review: &Review, all: bool) -> Result<()> {
    let counts = &review.understood;
    page.heading("What was understood")?;
    page.paragraph(
        &format!(
            "{}, {} ({} with an end nobody has seen), {}, {}, {}. \
             Of the facts that decide most, {} are known, {} assumed, {} unknown.",
            count(counts.devices, "device"),
            count(counts.wires, "wire"),
            counts.wires_with_unknown_end,
            count(counts.parts, "part"),
            count(counts.states, "state"),
            count(counts.readings, "reading"),
            counts.facts_known,
            counts.facts_assumed,
            counts.facts_unknown
        ),
        2,
    )?;
    let limit = if all { usize::MAX } else { SHORT };
    for assumption in review.assumptions.iter().take(limit) {
        let words =
            format!("{} for {} ({})", assumption.what, some(&assumption.items, 4), assumption.why);
        page.labelled("assumed", &words, 2)?;
    }
    more(page, review.assumptions.len(), limit, "assumptions")?;
    if !review.record_faults.is_empty() {
        page.blank()?;
        let text = faults::text(path, record, &review.record_faults, page.colour());
        page.raw(&text)?;
    }
    Ok(())
}

fn behaviour(page: &mut Page, review: &Review) -> Result<()> {
    page.heading("What the sums say")?;
    for state in &review.states {
        let strong = page.weigh(&state.name, Weight::Strong);
        let line = format!("  {} {}: {}", state.name, state.outcome, state.words);
        page.line(&page.wrapped(&line, "", "      ").replacen(&state.name, &strong, 1))?;
        for note in &state.notes {
            page.line(&page.wrapped(note, "      ! ", "        "))?;
        }
    }
    Ok(())
}

fn findings(page: &mut Page, path: &str, review: &Review) -> Result<()> {
    let count = review.findings.len();
    let following = review.findings.iter().filter(|finding| finding.follows_from.is_some()).count();
    let heading = match following {
        0 => format!("What fails ({count})"),
        1 => format!("What fails ({}, and 1 that follows from them)", count - 1),
        more => format!("What fails ({}, and {more} that follow from them)", count - more),
    };
    page.heading(&heading)?;
    if count == 0 && review.understood.devices > 0 {
        page.paragraph(
            "Nothing that was looked at fails. What could not be told stands below.",
            2,
        )?;
    }
    for (index, finding) in review.findings.iter().enumerate() {
        if index > 0 {
            page.blank()?;
        }
        self::finding(page, path, index + 1, finding, review)?;
    }
    Ok(())
}

fn finding(
    page: &mut Page,
    path: &str,
    number: usize,
    finding: &FindingView,
    review: &Review,
) -> Result<()> {
    signal_line(page, &format!("{number}"), finding)?;
    let place = &finding.place;
    let label = if place.label.is_empty() || place.label == place.name {
        String::new()
    } else {
        format!(" ({})", place.label)
    };
    page.labelled(
        "place",
        &format!("{}{label}, {path}:{}:{}", place.name, place.line, place.column),
        4,
    )?;
    for evidence in &finding.evidence {
        page.labelled("evidence", evidence, 4)?;
    }
    if let Some(limit) = &finding.limit {
        let source = review.sources.iter().find(|source| source.key == limit.source);
        let source = match source {
            Some(source) if source.key == "practice" => source.standing.clone(),
            Some(source) => format!("{}, {}", source.key, source.standing),
            None => limit.source.clone(),
        };
        page.labelled("limit", &format!("{} [{source}]", limit.words), 4)?;
    }
    page.labelled("hazard", &finding.hazard, 4)?;
    if !finding.grade.is_empty() {
        page.labelled("graded", &finding.grade, 4)?;
    }
    if let Some(cause) = &finding.follows_from {
        page.labelled("follows", &format!("from {cause}; put right with it"), 4)?;
    }
    page.labelled("do", &finding.remedy, 4)?;
    if finding.confidence == "likely" {
        page.labelled("how sure", "likely: rests on an assumption; find it out first", 4)?;
    }
    let access = finding.access.as_ref().map_or("way in not recorded", |cost| cost.words.as_str());
    page.labelled("to get there", access, 4)?;
    page.labelled("check", &format!("unbury explain {}", finding.check), 4)
}

/// `[ DANGER ] 1  message`, the message wrapped beside the signal word.
fn signal_line(page: &mut Page, number: &str, finding: &FindingView) -> Result<()> {
    let word = format!(" {} ", finding.signal);
    let first = format!("{word:<9} {number:>2}  ");
    let rest = " ".repeat(first.len());
    let text = page.wrapped(&finding.message, &first, &rest);
    let coloured = page.weigh(&word, Weight::of_signal(&finding.signal));
    page.line(&text.replacen(&word, &coloured, 1))
}

/// The facts that settle most risk for each minute.
fn find_out_first(page: &mut Page, review: &Review, all: bool) -> Result<()> {
    if review.find_out.is_empty() {
        return Ok(());
    }
    page.heading("Find out first: most risk settled per minute")?;
    let limit = if all { usize::MAX } else { SHORT };
    for row in review.find_out.iter().take(limit) {
        let way = match &row.access {
            Some(_) if row.minutes <= row.minutes_there => "in reach".to_owned(),
            Some(cost) => cost.words.clone(),
            None if row.how == "note" => "in the record".to_owned(),
            None => "way in not recorded, 30 min counted".to_owned(),
        };
        let first = format!("{:>7.1}  ", row.risk_per_minute);
        let words = format!("{}: {}", row.place, row.what);
        page.line(&page.wrapped(&words, &first, "         "))?;
        let words = format!(
            "{} {:.0} min, {way}; settles {}",
            row.how,
            row.minutes_there,
            row.settles.join(", ")
        );
        page.line(&page.wrapped(&words, "         ", "         "))?;
    }
    more(page, review.find_out.len(), limit, "facts")
}

fn cannot_tell(page: &mut Page, review: &Review, all: bool) -> Result<()> {
    page.heading(&format!(
        "What cannot be told yet, and what to find out ({})",
        review.cannot_tell.len()
    ))?;
    for finding in &review.cannot_tell {
        signal_line(page, "?", finding)?;
        for missing in &finding.find_out {
            let items = some(&missing.items, if all { usize::MAX } else { 6 });
            page.labelled("find out", &format!("{}: {items}", missing.what), 4)?;
            let access =
                missing.access.as_ref().map_or("way in not recorded", |cost| cost.words.as_str());
            page.labelled("nearest", access, 4)?;
        }
    }
    Ok(())
}

fn readings(page: &mut Page, review: &Review) -> Result<()> {
    if review.readings.is_empty() {
        return Ok(());
    }
    page.heading("Readings against the sums")?;
    for row in &review.readings {
        let strong = if row.verdict == "agrees" { Weight::Quiet } else { Weight::Strong };
        let first = format!("  {:<12}", row.verdict);
        let words = format!(
            "{}, state {}, {}: read {}, sums {} {}",
            row.name, row.state, row.points, row.read, row.computed, row.words
        );
        let text = page.wrapped(words.trim_end(), &first, &" ".repeat(14));
        let weighed = page.weigh(&row.verdict, strong);
        page.line(&text.replacen(&row.verdict, &weighed, 1))?;
    }
    Ok(())
}

fn energised(page: &mut Page, review: &Review) -> Result<()> {
    page.heading("What is energised (details: unbury live)")?;
    for state in &review.states {
        let rows: Vec<&LiveRow> =
            review.live.iter().filter(|row| row.state == state.name).collect();
        page.labelled(&state.name, &live::counts(&rows), 2)?;
    }
    Ok(())
}

fn service(page: &mut Page, review: &Review, all: bool) -> Result<()> {
    page.heading("Dearest to reach (details: unbury wayin)")?;
    let limit = if all { usize::MAX } else { SHORT };
    let hard = review
        .service_access
        .iter()
        .filter(|way| way.cost.as_ref().is_some_and(|c| c.minutes_out > 0.0));
    let rows: Vec<Vec<String>> = hard
        .take(limit)
        .map(|way| vec![way.target.clone(), way.service.clone(), way.words.clone()])
        .collect();
    page.table(&["item", "service", "cost"], &rows, 2)?;
    let lost = review.service_access.iter().filter(|way| way.outcome == "cannot be reached");
    for way in lost {
        page.labelled(&way.target, &way.words, 2)?;
    }
    Ok(())
}

fn sources(page: &mut Page, review: &Review) -> Result<()> {
    page.heading("Sources quoted")?;
    for source in &review.sources {
        page.line(&page.wrapped(
            &format!("[{}] {} ({})", source.key, source.words, source.standing),
            "  ",
            "    ",
        ))?;
    }
    Ok(())
}

/// The first few of a list.
fn some(items: &[String], limit: usize) -> String {
    if items.len() <= limit {
        return items.join(", ");
    }
    format!("{} and {} more", items[..limit].join(", "), items.len() - limit)
}

fn more(page: &mut Page, count: usize, limit: usize, what: &str) -> Result<()> {
    if count > limit {
        page.paragraph(&format!("... and {} more {what}: --all shows them", count - limit), 2)?;
    }
    Ok(())
}

/// `1 wire`, `2 wires`.
fn count(number: usize, what: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{number} {what}{plural}")
}

/// `Dunlin: high-roof panel van`, or the name alone.
fn titled(name: &str, words: &str) -> String {
    if words.is_empty() { name.to_owned() } else { format!("{name}: {words}") }
}
