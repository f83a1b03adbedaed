//! A plan for making dead, for somebody with a meter in one hand.

use analysis::{Contradiction, DeadPlan, DeadStep, NoIsolation, StaysLive};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Longest list of wires that is told in full.
const MOST_WIRES: usize = 12;

/// Everything about one plan.
pub(crate) fn plan(page: &mut Page, plan: &DeadPlan) -> Result<()> {
    page.heading(&format!("Make dead: {}", plan.area.join(", ")))?;
    if let Some(stopped) = &plan.stopped {
        self::stopped(page, stopped)?;
    }
    let whole = plan.area.iter().any(|name| name == "everything");
    let counted = format!("{} wires, {} devices", plan.wires.len(), plan.devices.len());
    let all: Vec<&str> = plan.wires.iter().chain(&plan.devices).map(String::as_str).collect();
    let named = if whole { counted } else { short(&all) };
    page.labelled("area", &named, 2)?;
    for feed in &plan.feeds {
        let by =
            if feed.path.is_empty() { String::new() } else { format!(" by {}", few(&feed.path)) };
        let doubt =
            if feed.doubt.is_empty() { String::new() } else { format!(" ({})", feed.doubt) };
        page.labelled(&feed.status, &format!("from {}{by}{doubt}", feed.source), 2)?;
    }
    page.labelled("work", &plan.cost, 2)?;
    page.labelled("proof", &format!("{}. {}", plan.proof, plan.proof_words), 2)?;
    for finding in &plan.findings {
        no_isolation(page, finding)?;
    }
    page.blank()?;
    for caution in &plan.cautions {
        signalled(page, &caution.signal, &caution.words, 2)?;
    }
    for (at, step) in plan.steps.iter().enumerate() {
        let before = at.checked_sub(1).map(|at| &plan.steps[at]);
        self::step(page, step, before)?;
    }
    stays(page, &plan.stays)?;
    list(page, "Live again if", &plan.live_again_if)?;
    list(page, "Switching on again", &plan.back)?;
    list(page, "This rests on", &plan.rests_on)?;
    list(page, "Sources", &plan.sources)
}

fn stopped(page: &mut Page, stopped: &Contradiction) -> Result<()> {
    signalled(page, "DANGER", &format!("step {}: {}", stopped.step, stopped.words), 2)?;
    page.line("  What could feed it, likeliest first:")?;
    for (index, suspect) in stopped.suspects.iter().enumerate() {
        let words = format!("{}: {}. Look: {}.", suspect.what, suspect.why, suspect.look);
        page.line(&page.wrapped(&words, &format!("  {:>2}  ", index + 1), "      "))?;
    }
    page.blank()
}

fn no_isolation(page: &mut Page, finding: &NoIsolation) -> Result<()> {
    signalled(page, &finding.signal, &format!("NO WAY TO ISOLATE. {}", finding.words), 2)?;
    for instead in &finding.instead {
        page.line(&page.wrapped(instead, "      - ", "        "))?;
    }
    Ok(())
}

fn step(page: &mut Page, step: &DeadStep, before: Option<&DeadStep>) -> Result<()> {
    page.blank()?;
    if step.held {
        let words = format!("HELD: {}", step.what);
        return page.line(&page.wrapped(&words, &format!("{:>3}  ", step.number), "     "));
    }
    // The hazard stands before what is done.
    let head = format!("{:>3}  ", step.number);
    let signal = page.weigh(&step.signal, Weight::of_signal(&step.signal));
    // Said in full once; of steps alike the word stays.
    let same = before.is_some_and(|before| !before.held && before.hazard == step.hazard);
    let hazard = if same { "as in the step before" } else { &step.hazard };
    page.line(&page.wrapped(&format!("{signal}: {hazard}"), &head, "     "))?;
    let at = if step.at.is_empty() { String::new() } else { format!(" ({})", step.at) };
    let stop = if step.what.ends_with('.') { "" } else { "." };
    page.line(&page.wrapped(&format!("{}{at}{stop}", step.what), "     ", "     "))?;
    if !step.parts.is_empty() {
        page.labelled("take out", &step.parts.join(", "), 5)?;
    }
    match (step.before.is_empty(), step.probe.is_empty()) {
        (false, false) => {
            let words = format!("{}: before {}, after {}", step.probe, step.before, step.after);
            page.labelled("meter", &words, 5)?;
        }
        (true, false) => page.labelled("meter", &format!("{}: {}", step.probe, step.after), 5)?,
        _ => {}
    }
    if !step.read.is_empty() {
        page.labelled("read", &format!("{}: {}", step.read, step.verdict), 5)?;
    }
    page.labelled("separates", &step.separates.join(", "), 5)?;
    for note in &step.notes {
        page.labelled("note", note, 5)?;
    }
    page.labelled("tag", &step.tag, 5)
}

fn stays(page: &mut Page, stays: &[StaysLive]) -> Result<()> {
    if stays.is_empty() {
        return Ok(());
    }
    page.heading("What stays live elsewhere, or may")?;
    for stays in stays {
        let wires = |names: &[String]| {
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            short(&names)
        };
        let mut pieces = Vec::new();
        if !stays.wires.is_empty() {
            pieces.push(format!("live: {}", wires(&stays.wires)));
        }
        if !stays.may_be.is_empty() {
            pieces.push(format!("may be live: {}", wires(&stays.may_be)));
        }
        page.labelled(&stays.source, &pieces.join("; "), 2)?;
    }
    Ok(())
}

fn list(page: &mut Page, title: &str, items: &[String]) -> Result<()> {
    if items.is_empty() {
        return Ok(());
    }
    page.heading(title)?;
    for item in items {
        page.line(&page.wrapped(item, "  - ", "    "))?;
    }
    Ok(())
}

fn signalled(page: &mut Page, signal: &str, words: &str, indent: usize) -> Result<()> {
    let weighed = page.weigh(signal, Weight::of_signal(signal));
    let (first, rest) = (" ".repeat(indent), " ".repeat(indent + 4));
    page.line(&page.wrapped(&format!("{weighed}: {words}"), &first, &rest))
}

fn short(names: &[&str]) -> String {
    if names.len() <= MOST_WIRES {
        return names.join(", ");
    }
    format!("{} and {} more", names[..MOST_WIRES].join(", "), names.len() - MOST_WIRES)
}

fn few(path: &[String]) -> String {
    match path {
        [first, .., last] if path.len() > 6 => format!("{first} > ... > {last}"),
        path => path.join(" > "),
    }
}
