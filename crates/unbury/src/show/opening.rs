//! A way in and the way back, for somebody with a tool in each hand: what to have ready, each step
//! with its bag, and the bags counted out again.

use analysis::{FixingView, Opening, OpeningStep, OpeningTarget, PutBack, Ready};
use anyhow::Result;

use crate::page::{Page, Weight};

/// Width of a page; the minutes of a step end here.
const RIGHT_EDGE: usize = 80;

/// Everything about one opening.
pub(crate) fn whole(page: &mut Page, opening: &Opening) -> Result<()> {
    let names: Vec<&str> = opening.targets.iter().map(|target| target.target.as_str()).collect();
    page.heading(&format!("Way in to {}", names.join(", ")))?;
    targets(page, &opening.targets)?;
    cost(page, opening)?;
    ready(page, &opening.ready)?;
    let mut before: Option<&OpeningStep> = None;
    for step in &opening.steps {
        page.blank()?;
        let same = before.filter(|before| before.otherwise == step.otherwise);
        let otherwise = same.map_or(step.otherwise.as_str(), |_| "as for the step before");
        self::step(page, step, otherwise)?;
        before = Some(step);
    }
    way_back(page, opening)?;
    bags(page, opening)
}

fn targets(page: &mut Page, targets: &[OpeningTarget]) -> Result<()> {
    for target in targets {
        let name = if target.label == target.target {
            target.target.clone()
        } else {
            format!("{} ({})", target.label, target.target)
        };
        let mut words = format!("{name}: {}", target.outcome);
        if !target.words.is_empty() {
            words.push_str(&format!("; {}", target.words));
        }
        if !target.lines.is_empty() {
            let lines: Vec<String> = target.lines.iter().map(ToString::to_string).collect();
            let plural = if lines.len() == 1 { "" } else { "s" };
            words.push_str(&format!(" (line{plural} {} of the record)", lines.join(", ")));
        }
        page.line(&page.wrapped(&words, "  ", "    "))?;
    }
    Ok(())
}

fn cost(page: &mut Page, opening: &Opening) -> Result<()> {
    let Some(cost) = opening.cost.as_ref().filter(|_| !opening.steps.is_empty()) else {
        return Ok(());
    };
    page.labelled("work", &cost.words, 2)?;
    if let (Some(half), Some(most)) = (opening.minutes_p50, opening.minutes_p80) {
        let words = format!("within {most:.0} min, in and back; 5 of 10 within {half:.0} min");
        page.labelled("8 of 10", &words, 2)?;
    }
    page.labelled("proof", &opening.proof, 2)?;
    let out: Vec<&str> = opening.already_out.iter().map(|part| part.label.as_str()).collect();
    page.labelled("out already", &out.join(", "), 2)
}

fn ready(page: &mut Page, ready: &[Ready]) -> Result<()> {
    let of = |kind: &str| -> String {
        let of_kind = ready.iter().filter(|item| item.kind == kind);
        of_kind.map(|item| item.name.as_str()).collect::<Vec<_>>().join(", ")
    };
    page.labelled("tools", &of("tool"), 2)?;
    let steps = |item: &Ready| -> String {
        let numbers: Vec<String> = item.steps.iter().map(ToString::to_string).collect();
        let plural = if numbers.len() == 1 { "" } else { "s" };
        format!("step{plural} {}", numbers.join(", "))
    };
    for item in ready.iter().filter(|item| item.kind == "position" && item.name != "standing") {
        page.labelled(&item.name, &format!("for {}", steps(item)), 2)?;
    }
    for item in ready.iter().filter(|item| item.kind == "second person") {
        page.labelled("two people", &format!("for {}", steps(item)), 2)?;
    }
    Ok(())
}

fn step(page: &mut Page, step: &OpeningStep, otherwise: &str) -> Result<()> {
    let how = if step.how == "take out" { String::new() } else { format!(": {}", step.how) };
    let head = format!("{:>3}  {}{how}", step.number, step.label);
    with_minutes(page, &head, &step.label, step.minutes_out)?;
    if !step.fixings.is_empty() {
        let mut words = words_of(&step.fixings);
        if let Some(bag) = step.bag {
            words.push_str(&format!("  -> bag {bag}"));
        }
        page.labelled("undo", &words, 5)?;
    }
    let tools = if step.tools.is_empty() { "by hand".to_owned() } else { step.tools.join(", ") };
    page.labelled("with", &tools, 5)?;
    if step.position != "standing" {
        page.labelled("position", &step.position, 5)?;
    }
    if step.people == 2 {
        let why = if step.people_because.is_empty() { "" } else { ", " };
        page.labelled("people", &format!("two{why}{}", step.people_because), 5)?;
    }
    page.labelled("damage", &step.damage, 5)?;
    let minutes = format!(
        "{} in, {} back; {}",
        figure(step.minutes_out),
        figure(step.minutes_back),
        step.minutes_from
    );
    page.labelled("minutes", &minutes, 5)?;
    page.labelled("because", &step.because, 5)?;
    page.labelled("else", otherwise, 5)
}

/// A line with the minutes at the right edge; `strong` is the part of it that stands out.
fn with_minutes(page: &mut Page, head: &str, strong: &str, minutes: f64) -> Result<()> {
    let minutes = format!("{} min", figure(minutes));
    let head = page.wrapped(head, "", "     ");
    let last = head.lines().last().map_or(0, |line| line.chars().count());
    let text = if last + 2 + minutes.len() <= RIGHT_EDGE {
        format!("{head}{}{minutes}", " ".repeat(RIGHT_EDGE - last - minutes.len()))
    } else {
        format!("{head}\n{}{minutes}", " ".repeat(RIGHT_EDGE - minutes.len()))
    };
    let weighed = page.weigh(strong, Weight::Strong);
    page.line(&text.replacen(strong, &weighed, 1))
}

fn way_back(page: &mut Page, opening: &Opening) -> Result<()> {
    if opening.back.is_empty() && opening.already_out.is_empty() {
        return Ok(());
    }
    page.heading("The way back")?;
    let fetch: Vec<&str> = opening
        .ready
        .iter()
        .filter(|item| item.kind == "tool for the way back")
        .map(|item| item.name.as_str())
        .collect();
    page.labelled("besides", &fetch.join(", "), 2)?;
    let new: Vec<&str> = opening.supplies.iter().map(|supply| supply.words.as_str()).collect();
    page.labelled("have new", &new.join(", "), 2)?;
    for part in &opening.back {
        let number = part.step.map_or_else(String::new, |step| step.to_string());
        put_back(page, &number, part)?;
    }
    if !opening.already_out.is_empty() {
        page.blank()?;
        page.paragraph("Out before this began; put back when nothing behind is wanted:", 2)?;
        for part in &opening.already_out {
            put_back(page, "-", part)?;
        }
    }
    for item in opening.ready.iter().filter(|item| item.kind == "cleaning up") {
        let words = format!("{}, {} min", item.name, figure(item.minutes_back));
        page.labelled("clean up", &words, 2)?;
    }
    Ok(())
}

fn put_back(page: &mut Page, number: &str, part: &PutBack) -> Result<()> {
    with_minutes(page, &format!("{number:>3}  {}", part.label), &part.label, part.minutes)?;
    let held: Vec<String> = part.fixings.iter().map(fixing_back).collect();
    let mut words = held.join(", ");
    if let Some(bag) = part.bag {
        words.push_str(&format!("  <- bag {bag}"));
    }
    page.labelled("do up", &words, 5)?;
    page.labelled("with", &part.tools.join(", "), 5)?;
    page.labelled("new", &part.new.join(", "), 5)
}

/// `4 x bolt to 45 N m`.
fn fixing_back(fixing: &FixingView) -> String {
    if fixing.torque.is_empty() {
        fixing.words.clone()
    } else {
        format!("{} to {}", fixing.words, fixing.torque)
    }
}

fn bags(page: &mut Page, opening: &Opening) -> Result<()> {
    if opening.bags.is_empty() {
        return Ok(());
    }
    page.heading("Bags: count in, count back")?;
    let rows: Vec<Vec<String>> = opening
        .bags
        .iter()
        .map(|bag| {
            let back: u32 = opening
                .back
                .iter()
                .filter(|part| part.bag == Some(bag.number))
                .flat_map(|part| &part.fixings)
                .filter(|fixing| fixing.loose)
                .map(|fixing| fixing.count)
                .sum();
            vec![
                bag.number.to_string(),
                bag.count.to_string(),
                back.to_string(),
                format!("{}: {}", bag.label, words_of(&bag.fixings)),
            ]
        })
        .collect();
    page.table(&["bag", "in", "back", "of"], &rows, 2)
}

fn words_of(fixings: &[FixingView]) -> String {
    fixings.iter().map(|fixing| fixing.words.as_str()).collect::<Vec<_>>().join(", ")
}

/// Minutes for people: whole ones, halves below three.
fn figure(minutes: f64) -> String {
    if minutes < 3.0 { format!("{minutes:.1}") } else { format!("{minutes:.0}") }
}
