//! Tables as CSV and as a workbook (Office Open XML, ECMA-376).

use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, Workbook, Worksheet, XlsxError,
};

use crate::tables::{Cell, Table, money};
use crate::{Day, PackError};

/// Most characters a cell of a workbook holds (ECMA-376 leaves it open; the usual programs take 32767).
const MOST_IN_CELL: usize = 32_000;

/// Widest column, in characters.
const WIDEST: usize = 60;

/// The time written into a workbook of which no day is known: nothing here has a clock.
const NO_DAY: Day = Day { year: 2000, month: 1, day: 1 };

/// A table as CSV (RFC 4180), in UTF-8.
pub(crate) fn csv(table: &Table) -> Result<Vec<u8>, PackError> {
    let failed =
        |fault: &dyn std::fmt::Display| PackError::Table(table.name.to_owned(), fault.to_string());
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&table.head).map_err(|fault| failed(&fault))?;
    for row in &table.rows {
        writer.write_record(row.iter().map(plain)).map_err(|fault| failed(&fault))?;
    }
    writer.into_inner().map_err(|fault| failed(&fault))
}

fn plain(cell: &Cell) -> String {
    match cell {
        Cell::Words(words) => not_a_formula(words),
        Cell::Number(number) => number.to_string(),
        Cell::Money(cents) => money(*cents),
    }
}

/// A cell that a spreadsheet would take for a formula gets a leading quote mark.
fn not_a_formula(cell: &str) -> String {
    let is_number =
        cell.starts_with(['-', '+']) && cell[1..].starts_with(|c: char| c.is_ascii_digit());
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && !is_number {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// All tables as sheets of one workbook.
pub(crate) fn xlsx(
    tables: &[Table],
    title: &str,
    dated: Option<Day>,
) -> Result<Vec<u8>, PackError> {
    workbook(tables, title, dated.unwrap_or(NO_DAY))
        .map_err(|fault| PackError::Table("tables.xlsx".to_owned(), fault.to_string()))
}

fn workbook(tables: &[Table], title: &str, day: Day) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let made = ExcelDateTime::from_ymd(day.year, day.month, day.day)?;
    let properties = DocProperties::new().set_title(clipped(title)).set_creation_datetime(&made);
    book.set_properties(&properties);
    for table in tables {
        sheet(book.add_worksheet(), table)?;
    }
    book.save_to_buffer()
}

fn sheet(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let head = Format::new().set_bold().set_text_wrap().set_align(FormatAlign::Top);
    let body = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    sheet.set_name(&table.title)?;
    for (column, words) in (0u16..).zip(&table.head) {
        sheet.write_string_with_format(0, column, clipped(words), &head)?;
        sheet.set_column_width(column, width(table, usize::from(column)))?;
    }
    for (row, cells) in (1u32..).zip(&table.rows) {
        for (column, cell) in (0u16..).zip(cells) {
            match cell {
                Cell::Words(words) => {
                    sheet.write_string_with_format(row, column, clipped(words), &body)?
                }
                Cell::Number(number) => {
                    sheet.write_number_with_format(row, column, *number, &body)?
                }
                #[allow(clippy::cast_precision_loss, reason = "cents, exact in a double")]
                Cell::Money(cents) => {
                    sheet.write_number_with_format(row, column, *cents as f64 / 100.0, &body)?
                }
            };
        }
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    let (rows, columns) = (table.rows.len(), table.head.len());
    if let (Ok(last_row), Ok(columns)) = (u32::try_from(rows), u16::try_from(columns)) {
        sheet.autofilter(0, 0, last_row, columns.saturating_sub(1))?;
    }
    Ok(())
}

/// As wide as its widest cell, within reason.
#[allow(clippy::cast_precision_loss, reason = "at most sixty characters")]
fn width(table: &Table, column: usize) -> f64 {
    let length = |cell: &Cell| match cell {
        Cell::Words(words) => words.chars().count(),
        Cell::Number(_) | Cell::Money(_) => 8,
    };
    let cells = table.rows.iter().filter_map(|row| row.get(column)).map(length);
    let head = table.head.get(column).map_or(0, |words| words.chars().count());
    (cells.chain([head]).max().unwrap_or(0) + 2).clamp(8, WIDEST) as f64
}

fn clipped(words: &str) -> String {
    if words.chars().count() <= MOST_IN_CELL {
        return words.to_owned();
    }
    let mut short: String = words.chars().take(MOST_IN_CELL).collect();
    short.push('…');
    short
}
