//! Service and hatches in minutes, and how the minutes of a way in are spread.

use analysis::{Case, MinutesSpread, PriceAsked};
use draw::chart::{BeforeAfter, Mark, Pair, Share, Spread};

use super::{picture, sentence};
use crate::Picture;
use crate::voice::Voice;

const QUANTITY: &str = "expected minutes to open and close";

/// Rows of a chart, most minutes a year first; the rest is counted in a note.
const MOST_ROWS: usize = 20;

/// What it takes to reach all that wants service.
pub(crate) fn service(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    let table = case.service_table();
    let title = voice.say(&format!("{}: minutes to reach what wants service", case.vehicle_name()));
    let known = table.items.iter().filter(|item| item.minutes.is_some());
    let rows: Vec<Pair> = known
        .clone()
        .take(MOST_ROWS)
        .map(|item| Pair {
            id: item.item.clone(),
            label: format!("{}: {}", item.label, voice.perhaps(&item.service, ", ")),
            before: item.minutes,
            after: None,
            bearable: item.bearable_minutes,
            words: match (item.minutes, item.per_year) {
                (Some(minutes), Some(rate)) => {
                    let assumed = if item.per_year_origin == "assumed" { "~" } else { "" };
                    voice.say(&format!("{minutes} min, {assumed}{rate} a year"))
                }
                (Some(minutes), None) => {
                    voice.say(&format!("{minutes} min, how often is not known"))
                }
                _ => String::new(),
            },
        })
        .collect();
    let mut notes = vec![left_out(known.count(), table.items.len(), voice)];
    notes.retain(|note| !note.is_empty());
    notes.push(voice.say("How often: a figure after ~ is assumed."));
    let chart = BeforeAfter {
        heading: voice.heading(
            &title,
            voice.say(&format!(
                "Together {} minutes a year over {} items. Those with most minutes a year first.",
                table.index.minutes_per_year, table.index.counted
            )),
            notes,
        ),
        quantity: voice.say(QUANTITY),
        before: voice.say("as the vehicle is"),
        after: String::new(),
        rows,
    };
    picture("minutes-service", &title, draw::chart::before_after(&chart))
}

fn left_out(known: usize, all: usize, voice: &Voice<'_>) -> String {
    let mut pieces = Vec::new();
    if known > MOST_ROWS {
        pieces.push(
            voice.say(&format!(
                "{} more with fewer minutes a year are not shown",
                known - MOST_ROWS
            )),
        );
    }
    if all > known {
        pieces.push(match all - known {
            1 => voice.say("of one no minutes can be told: what is in front of it is not known"),
            several => voice.say(&format!(
                "of {several} no minutes can be told: what is in front of them is not known"
            )),
        });
    }
    sentence(&pieces.join("; "))
}

/// What the best hatch would save.
pub(crate) fn hatch(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    let table = case.hatch_table();
    let best = table.singles.first()?;
    let title = voice.say(&format!("What a hatch would save: {}", best.labels.join(" and ")));
    let rows = best
        .helps
        .iter()
        .take(MOST_ROWS)
        .map(|help| Pair {
            id: help.item.clone(),
            label: help.item.clone(),
            before: Some(help.before_minutes),
            after: Some(help.after_minutes),
            bearable: None,
            words: voice.say(&format!("{} min, then {}", help.before_minutes, help.after_minutes)),
        })
        .collect();
    let told = best.before_cutting.iter().chain(&table.rests_on);
    let notes: Vec<String> = told.map(|note| sentence(&voice.say(note))).collect();
    let chart = BeforeAfter {
        heading: voice.heading(
            &title,
            voice.say(&format!(
                "It saves {} minutes a year and takes {} minutes to make.",
                best.saved_minutes_per_year, best.make_minutes
            )),
            notes,
        ),
        quantity: voice.say(QUANTITY),
        before: voice.say("as the vehicle is"),
        after: voice.say("with the hatch"),
        rows,
    };
    picture("minutes-hatch", &title, draw::chart::before_after(&chart))
}

/// How the minutes are spread of one way in to all that wants service.
pub(crate) fn all(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    let table = case.service_table();
    let names: Vec<String> = table.items.into_iter().map(|item| item.item).collect();
    let title =
        voice.say(&format!("{}: opening all that wants service at once", case.vehicle_name()));
    spread("minutes-all", &title, &case.minutes_spread(&names)?, voice)
}

/// How the minutes of the way in to these things together are spread; `None` where there is no way or
/// nothing has to come out.
pub fn minutes_of(case: &Case, names: &[String]) -> Option<Picture> {
    let title = format!("{}: minutes of the way in to {}", case.vehicle_name(), names.join(", "));
    spread("way-in-minutes", &title, &case.minutes_spread(names)?, &Voice::default())
}

/// How the money of the repairs asked for is spread, where the record has rates.
pub(crate) fn price(case: &Case, voice: &Voice<'_>) -> Option<Picture> {
    if !case.wants_price() {
        return None;
    }
    let spread = case.price_spread(&PriceAsked::default()).ok().flatten()?;
    let title = voice.say(&format!("{}: what the repairs may come to", case.vehicle_name()));
    let mark = |name: &str, value: f64| Mark {
        value,
        plus_minus: 0.0,
        words: format!("{name} {value:.0}\u{a0}{}", spread.currency),
    };
    let chart = Spread {
        heading: voice.heading(
            &title,
            voice.say(&format!(
                "Expected {:.0} {} before tax, {} repairs.",
                spread.mean_money, spread.currency, spread.repairs
            )),
            vec![voice.say(
                "Times count as independent, a breakage falls due or does not. Goods without a price are not \
                 in it. The outermost thousandth on either side is not drawn.",
            )],
        ),
        quantity: voice.say("money before tax"),
        unit: spread.currency.clone(),
        shares: without_tails(&spread.shares),
        p50: mark("P50", spread.p50_money),
        p80: mark("P80", spread.p80_money),
    };
    picture("price", &title, draw::chart::spread(&chart))
}

fn spread(name: &str, title: &str, view: &MinutesSpread, voice: &Voice<'_>) -> Option<Picture> {
    let mark = |name: &str, value: f64| Mark {
        value,
        plus_minus: 0.0,
        words: format!("{name} {value:.0}\u{a0}min"),
    };
    let from: Vec<String> =
        view.from.iter().map(|(word, count)| voice.say(&format!("{word} for {count}"))).collect();
    let chart = Spread {
        heading: voice.heading(
            title,
            voice.say(&format!("Expected {:.0} minutes of work.", view.mean_min)),
            vec![
                voice.say(&format!("Minutes of the steps: {}.", from.join(", "))),
                voice.say(
                    "Steps count as independent; what is rusted in one place is often rusted in the next, so the \
                     truth is if anything wider. The outermost thousandth on either side is not drawn.",
                ),
            ],
        ),
        quantity: voice.say("time to open and close"),
        unit: "min".to_owned(),
        shares: without_tails(&view.shares),
        p50: mark("P50", view.p50_min),
        p80: mark("P80", view.p80_min),
    };
    picture(name, title, draw::chart::spread(&chart))
}

/// The distribution without the outermost thousandth on either side, which would only stretch the axis.
fn without_tails(shares: &[(f64, f64)]) -> Vec<Share> {
    const TAIL: f64 = 0.001;
    let mut before = 0.0;
    let mut kept = Vec::new();
    for (value, part) in shares {
        if before + part > TAIL && before < 1.0 - TAIL {
            kept.push(Share { value: *value, part: *part });
        }
        before += part;
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::{MOST_ROWS, left_out};
    use crate::voice::Voice;

    #[test]
    fn one_item_without_minutes_is_spoken_of_as_one() {
        let told = |known, all| left_out(known, all, &Voice::default());
        assert_eq!(told(3, 3), "");
        assert!(told(3, 4).contains("Of one no minutes can be told: what is in front of it is"));
        assert!(told(3, 6).contains("Of 3 no minutes can be told: what is in front of them is"));
        assert!(told(MOST_ROWS + 1, MOST_ROWS + 2).contains("1 more with fewer minutes"));
    }
}
