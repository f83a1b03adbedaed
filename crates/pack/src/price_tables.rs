//! The tables of a price: lines, materials, what was agreed to; and the choices of page one.

use analysis::{MaterialRow, PriceView};
use wording::{Language, Teller, Texts};

use crate::tables::{Cell, Table, table, words};
use crate::{PackError, PackFile, workbook};

/// Price, materials and authorisations as CSV files and one workbook, in English.
///
/// # Errors
/// [`PackError`] says which table could not be written.
pub fn price_tables(view: &PriceView) -> Result<Vec<PackFile>, PackError> {
    let teller = Teller::new(Language::English, units::System::Metric);
    let texts = teller.texts();
    let all = tables(view, &teller);
    let book = workbook::xlsx(&all, texts.get("section.price"), None)?;
    let mut files = vec![PackFile {
        name: "price.xlsx".to_owned(),
        what: texts.get("file.workbook").to_owned(),
        bytes: book,
    }];
    for one in &all {
        let what = format!("{}: {}", texts.get("file.table"), one.title);
        files.push(PackFile {
            name: format!("{}.csv", one.name),
            what,
            bytes: workbook::csv(one)?,
        });
    }
    Ok(files)
}

/// The tables of a price, told in a language.
pub(crate) fn tables(view: &PriceView, teller: &Teller) -> Vec<Table> {
    let (told, texts) = (teller.price(view), teller.texts());
    let goods = materials(&told, texts, teller.system());
    vec![lines(&told, texts), goods, authorisations(&told, texts)]
}

/// The choices as page one prints them, and what holds for all of them.
#[cfg(feature = "pdf")]
pub(crate) fn choices(view: &PriceView, texts: &Texts) -> (Vec<report::Choice>, String) {
    let row = |choice: &analysis::ChoiceView| {
        let repairs = choice.repairs.len();
        let key = if repairs == 1 { "price.repair" } else { "price.repairs" };
        // What the search for the fault came to is no repair of the list.
        if repairs == 0 {
            return report::Choice {
                what: texts.get(&format!("price.short-{}", choice.id)).to_owned(),
                about: texts.get(&format!("price.none-{}", choice.id)).to_owned(),
                minutes: String::new(),
                price: texts.get("price.not-priced").to_owned(),
            };
        }
        report::Choice {
            what: texts.get(&format!("price.short-{}", choice.id)).to_owned(),
            about: texts.fill(key, &[("n", &repairs.to_string())]),
            minutes: format!("{:.0} min", choice.minutes_p80),
            price: match choice.total.as_str() {
                "" => texts.get("price.no-rate").to_owned(),
                total => total.to_owned(),
            },
        }
    };
    let mut note = texts.get("price.minutes-note").to_owned();
    let is_part = |choice: &analysis::ChoiceView| {
        !choice.total.is_empty() && !choice.without_amount.is_empty()
    };
    if view.choices.iter().any(is_part) {
        note = format!("{note} {}", texts.get("price.not-whole"));
    }
    (view.choices.iter().map(row).collect(), note)
}

fn cents(cents: Option<i64>) -> Cell {
    cents.map_or_else(|| words(""), Cell::Money)
}

fn lines(view: &PriceView, texts: &Texts) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for choice in view.choices.iter().filter(|choice| !choice.repairs.is_empty()) {
        let title = texts.fill(
            &format!("price.{}", choice.id),
            &[
                ("n", &choice.repairs.len().to_string()),
                ("minutes", &format!("{:.0}", choice.minutes_p80)),
            ],
        );
        rows.push(total_row(&title, choice));
    }
    if let Some(choice) = view.choices.iter().find(|choice| choice.repairs == view.asked.repairs) {
        let key = format!("price.short-{}", choice.id);
        let title = texts.get(&key);
        rows.push(amount_row(texts.fill("price.these", &[("choice", title)]), words("")));
    }
    for line in &view.asked.lines {
        let minutes = line.minutes.map_or_else(
            || words(""),
            |[low, likely, high]| Cell::Words(format!("{low} / {likely} / {high}")),
        );
        rows.push(vec![
            words(texts.get(&format!("price.line-{}", line.kind))),
            words(&line.what),
            minutes,
            line.minutes.map_or_else(|| words(""), |_| Cell::Number(line.expected_minutes)),
            words(""),
            cents(line.cents),
        ]);
    }
    for (key, amount) in [("price.net", view.asked.net_cents), ("price.tax", view.asked.tax_cents)]
    {
        if let Some(amount) = amount.filter(|_| view.asked.tax_cents.is_some()) {
            rows.push(amount_row(texts.get(key).to_owned(), Cell::Money(amount)));
        }
    }
    // Which repairs they are stands with the choice that has the same.
    let mut asked = total_row(texts.get("price.asked"), &view.asked);
    if view.choices.iter().any(|choice| choice.repairs == view.asked.repairs) {
        asked[1] = words("");
    }
    rows.push(asked);
    for (key, hour) in [("price.hour", &view.hour), ("price.licensed-hour", &view.licensed_hour)] {
        if !hour.is_empty() {
            // The head of the column says the currency.
            let amount = hour.strip_suffix(&view.currency).unwrap_or(hour).trim_end();
            rows.push(amount_row(texts.get(key).to_owned(), words(amount)));
        }
    }
    let columns = ["line", "what", "minutes-three", "minutes-expected", "minutes-p80", "amount"];
    let mut table = table("price", texts, &columns, rows);
    table.head[0] = texts.get("price.line").to_owned();
    if !view.currency.is_empty() {
        table.head[5] = format!("{} ({})", table.head[5], view.currency);
    }
    table
}

/// A line of the sum that is neither work nor goods.
fn amount_row(title: String, amount: Cell) -> Vec<Cell> {
    vec![Cell::Words(title), words(""), words(""), words(""), words(""), amount]
}

fn total_row(title: &str, choice: &analysis::ChoiceView) -> Vec<Cell> {
    vec![
        words(title),
        Cell::Words(choice.repairs.join(", ")),
        words(""),
        Cell::Number(choice.minutes),
        Cell::Number(choice.minutes_p80),
        cents(choice.total_cents),
    ]
}

/// Goods by the metre stand in feet in US units; what a row comes to stays.
fn materials(view: &PriceView, texts: &Texts, system: units::System) -> Table {
    let in_feet = |row: &MaterialRow| row.unit == "m" && system == units::System::Us;
    let rows = view.materials.iter().map(|row| {
        let (quantity, unit, each) = if in_feet(row) {
            // Up to the next hundredth, as the metres were; what rounding of the sum adds is none.
            let feet = (row.quantity * units::FEET_PER_METRE * 100.0 - 1e-6).ceil() / 100.0;
            (feet, "ft", a_foot(&row.each))
        } else {
            (row.quantity, row.unit.as_str(), row.each.clone())
        };
        vec![
            words(texts.get(&format!("price.sort-{}", row.sort.replace(' ', "-")))),
            words(&row.what),
            Cell::Number(quantity),
            words(texts.get(&format!("price.unit-{unit}"))),
            words(&each),
            words(&row.amount),
            Cell::Words(row.for_repairs.join(", ")),
        ]
    });
    let columns = ["sort", "what", "quantity", "unit", "each", "amount", "for"];
    table("materials", texts, &columns, rows.collect())
}

/// A price for a metre (`1.10 EUR`) as the price for a foot; words that are no price stay.
fn a_foot(metre: &str) -> String {
    let (amount, currency) = metre.split_once(' ').unwrap_or((metre, ""));
    match amount.parse::<f64>() {
        Ok(amount) => {
            format!("{:.2} {currency}", amount / units::FEET_PER_METRE).trim_end().to_owned()
        }
        Err(_) => metre.to_owned(),
    }
}

fn authorisations(view: &PriceView, texts: &Texts) -> Table {
    let mut rows: Vec<Vec<Cell>> = view
        .authorisations
        .iter()
        .map(|given| {
            vec![
                words(&given.on),
                words(&given.by),
                words(&given.channel),
                Cell::Words(given.allows.join(", ")),
                Cell::Words(given.declines.join(", ")),
                words(&given.total),
                words(&given.words),
                words(&given.recorder),
            ]
        })
        .collect();
    for flag in &view.flags {
        let mut row = vec![words(texts.get("price.flag")), words(flag)];
        row.resize_with(8, || words(""));
        rows.push(row);
    }
    let columns = ["when", "who", "channel", "yes-to", "no-to", "total", "their-words", "recorder"];
    table("authority", texts, &columns, rows)
}

#[cfg(test)]
mod tests {
    use analysis::{ChoiceView, PriceLine};

    use super::*;

    #[test]
    fn goods_by_the_metre_are_told_by_the_foot_in_us_units() {
        let wire = MaterialRow {
            sort: "wire".to_owned(),
            quantity: 3.048,
            unit: "m".to_owned(),
            each: "1.00 EUR".to_owned(),
            amount: "3.05 EUR".to_owned(),
            ..MaterialRow::default()
        };
        let view = PriceView { materials: vec![wire], ..PriceView::default() };
        let texts = Texts::of(Language::English);
        let row = |system| materials(&view, &texts, system).rows.remove(0);
        let told = row(units::System::Us);
        // 3.048 m are 10 ft, and a foot of what costs 1.00 a metre costs 0.3048.
        assert_eq!(
            told[2..6],
            [Cell::Number(10.0), words("ft"), words("0.30 EUR"), words("3.05 EUR")]
        );
        let metric = row(units::System::Metric);
        assert_eq!(metric[2..5], [Cell::Number(3.048), words("m"), words("1.00 EUR")]);
        assert_eq!(a_foot(""), "");
    }

    /// 100.00 and 25.00 of lines, a fifth of tax on top: 125.00, 25.00, 150.00.
    #[test]
    fn lines_tax_and_total_of_a_price_add_up() {
        let line = |kind: &str, cents| PriceLine {
            kind: kind.to_owned(),
            cents: Some(cents),
            ..PriceLine::default()
        };
        let asked = ChoiceView {
            lines: vec![line("work", 10_000), line("part", 2_500)],
            net_cents: Some(12_500),
            tax_cents: Some(2_500),
            total_cents: Some(15_000),
            ..ChoiceView::default()
        };
        let view = PriceView { asked, hour: "68.00 EUR".to_owned(), ..PriceView::default() };
        let texts = Texts::of(Language::English);
        let table = lines(&view, &texts);
        let amounts: Vec<Option<i64>> = table
            .rows
            .iter()
            .map(|row| match &row[5] {
                Cell::Money(cents) => Some(*cents),
                _ => None,
            })
            .collect();
        let all = [10_000, 2_500, 12_500, 2_500, 15_000].map(Some);
        assert_eq!(amounts[..5], all);
        assert_eq!(amounts[5], None, "an hour's rate is no part of the sum");
        assert_eq!(amounts.len(), 6);
        // Without a rate of tax there is nothing between the lines and the sum.
        let untaxed = ChoiceView { tax_cents: None, ..view.asked.clone() };
        let view = PriceView { asked: untaxed, ..PriceView::default() };
        assert_eq!(lines(&view, &texts).rows.len(), 3);
    }
}
