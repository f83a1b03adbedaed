//! The tables of a price: lines, materials, what was agreed to; and the choices of page one.

use analysis::PriceView;
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
    vec![lines(&told, texts), materials(&told, texts), authorisations(&told, texts)]
}

/// The choices as page one prints them: what, and for how much.
#[cfg(feature = "pdf")]
pub(crate) fn choices(view: &PriceView, texts: &Texts) -> Vec<(String, String)> {
    let row = |choice: &analysis::ChoiceView| {
        let n = choice.repairs.len().to_string();
        let minutes = format!("{:.0}", choice.minutes_p80);
        let what = texts.fill(
            &format!("price.{}", choice.id),
            &[("n", n.as_str()), ("minutes", minutes.as_str())],
        );
        let price = match (choice.total.as_str(), choice.without_amount.len()) {
            ("", _) => texts.get("price.no-rate").to_owned(),
            (total, 0) => total.to_owned(),
            (total, _) => texts.fill("price.not-whole", &[("total", total)]),
        };
        (what, price)
    };
    view.choices.iter().map(row).collect()
}

fn cents(cents: Option<i64>) -> Cell {
    cents.map_or_else(|| words(""), Cell::Money)
}

fn lines(view: &PriceView, texts: &Texts) -> Table {
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for choice in &view.choices {
        let title = texts.fill(
            &format!("price.{}", choice.id),
            &[
                ("n", &choice.repairs.len().to_string()),
                ("minutes", &format!("{:.0}", choice.minutes_p80)),
            ],
        );
        rows.push(total_row(&title, choice));
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
            Cell::Number(line.expected_minutes),
            words(""),
            cents(line.cents),
        ]);
    }
    rows.push(total_row(texts.get("price.asked"), &view.asked));
    let columns = ["line", "what", "minutes-three", "minutes-expected", "minutes-p80", "amount"];
    let mut table = table("price", texts, &columns, rows);
    table.head[0] = texts.get("price.line").to_owned();
    if !view.currency.is_empty() {
        table.head[5] = format!("{} ({})", table.head[5], view.currency);
    }
    table
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

fn materials(view: &PriceView, texts: &Texts) -> Table {
    let rows = view.materials.iter().map(|row| {
        vec![
            words(texts.get(&format!("price.sort-{}", row.sort.replace(' ', "-")))),
            words(&row.what),
            Cell::Number(row.quantity),
            words(texts.get(&format!("price.unit-{}", row.unit))),
            words(&row.each),
            words(&row.amount),
            Cell::Words(row.for_repairs.join(", ")),
        ]
    });
    let columns = ["sort", "what", "quantity", "unit", "each", "amount", "for"];
    table("materials", texts, &columns, rows.collect())
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
