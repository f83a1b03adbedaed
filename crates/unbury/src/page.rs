//! Text on a terminal or in a file: wrapped to the width, coloured only where that is wanted.
//! Hazard colours are used for signal words and for nothing else.

use std::io::{ErrorKind, IsTerminal, Write};

use anyhow::Result;
use unicode_width::UnicodeWidthStr;

use crate::cli::Colour;

/// Width used when the output is no terminal, and the widest used on one.
const WIDTH: usize = 80;

/// How a piece of text stands out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    Strong,
    Quiet,
    Danger,
    Warning,
    Caution,
    Notice,
}

impl Weight {
    /// The weight of a signal word.
    pub(crate) fn of_signal(word: &str) -> Weight {
        match word {
            "DANGER" => Weight::Danger,
            "WARNING" => Weight::Warning,
            "CAUTION" => Weight::Caution,
            _ => Weight::Notice,
        }
    }

    /// Select graphic rendition: the 256-colour entries nearest to the safety-sign colours.
    fn code(self) -> &'static str {
        match self {
            Weight::Strong => "1",
            Weight::Quiet => "2",
            Weight::Danger => "1;38;5;231;48;5;124",
            Weight::Warning => "1;38;5;16;48;5;208",
            Weight::Caution => "1;38;5;16;48;5;220",
            Weight::Notice => "1;38;5;231;48;5;25",
        }
    }
}

/// Where text goes.
pub(crate) struct Page {
    colour: bool,
    colour_on_error: bool,
}

impl Page {
    pub(crate) fn standard(colour: Colour) -> Page {
        let wanted = |terminal: bool| match colour {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => terminal && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty()),
        };
        Page {
            colour: wanted(std::io::stdout().is_terminal()),
            colour_on_error: wanted(std::io::stderr().is_terminal()),
        }
    }

    /// Whether standard error gets colour.
    pub(crate) fn colour_on_error(&self) -> bool {
        self.colour_on_error
    }

    /// Whether standard output gets colour.
    pub(crate) fn colour(&self) -> bool {
        self.colour
    }

    pub(crate) fn raw(&mut self, text: &str) -> Result<()> {
        std::io::stdout().lock().write_all(text.as_bytes())?;
        Ok(())
    }

    /// A question whose answer is typed on the same line.
    pub(crate) fn ask(&mut self, text: &str) -> Result<()> {
        self.raw(text)?;
        std::io::stdout().flush()?;
        Ok(())
    }

    pub(crate) fn json<T: serde::Serialize + ?Sized>(&mut self, value: &T) -> Result<()> {
        let mut text = serde_json::to_string_pretty(value)?;
        text.push('\n');
        self.raw(&text)
    }

    pub(crate) fn blank(&mut self) -> Result<()> {
        self.raw("\n")
    }

    /// A line as it is.
    pub(crate) fn line(&mut self, text: &str) -> Result<()> {
        self.raw(&format!("{}\n", text.trim_end()))
    }

    /// A section heading: strong words over a rule.
    pub(crate) fn heading(&mut self, text: &str) -> Result<()> {
        let rule = "─".repeat(WIDTH);
        let strong = self.weigh(text, Weight::Strong);
        self.raw(&format!("\n{strong}\n{rule}\n"))
    }

    /// A paragraph, indented by so many columns.
    pub(crate) fn paragraph(&mut self, text: &str, indent: usize) -> Result<()> {
        let space = " ".repeat(indent);
        let wrapped = self.wrapped(text, &space, &space);
        self.line(&wrapped)
    }

    /// A paragraph whose first line starts with a label.
    pub(crate) fn labelled(&mut self, label: &str, text: &str, indent: usize) -> Result<()> {
        if text.is_empty() {
            return Ok(());
        }
        let column = indent + label.width().max(10) + 2;
        let first = pad(&format!("{}{label}", " ".repeat(indent)), column);
        let wrapped = self.wrapped(text, &first, &" ".repeat(column));
        let quiet = self.weigh(label, Weight::Quiet);
        self.line(&wrapped.replacen(label, &quiet, 1))
    }

    /// Words wrapped to the width with given indents.
    #[allow(clippy::unused_self, reason = "the width belongs to the page")]
    pub(crate) fn wrapped(&self, text: &str, first: &str, rest: &str) -> String {
        let options = textwrap::Options::new(WIDTH)
            .word_splitter(textwrap::WordSplitter::NoHyphenation)
            .initial_indent(first)
            .subsequent_indent(rest);
        textwrap::fill(text, options)
    }

    /// Text that stands out, where colour is wanted.
    pub(crate) fn weigh(&self, text: &str, weight: Weight) -> String {
        if self.colour {
            format!("\u{1b}[{}m{text}\u{1b}[0m", weight.code())
        } else {
            text.to_owned()
        }
    }

    /// A table: columns as wide as their widest cell, the last one wrapped to what is left.
    pub(crate) fn table(
        &mut self,
        head: &[&str],
        rows: &[Vec<String>],
        indent: usize,
    ) -> Result<()> {
        if rows.is_empty() {
            return Ok(());
        }
        let last = head.len().saturating_sub(1);
        let mut widths: Vec<usize> = head.iter().map(|cell| cell.width()).collect();
        for row in rows {
            for (column, cell) in row.iter().enumerate().take(last) {
                widths[column] = widths[column].max(cell.width());
            }
        }
        shrink(&mut widths, last, WIDTH.saturating_sub(indent));
        let head: Vec<String> = head.iter().map(|cell| (*cell).to_owned()).collect();
        let top = self.row(&widths, &head, indent);
        let quiet = self.weigh(top.trim_end(), Weight::Quiet);
        self.line(&quiet)?;
        for row in rows {
            let text = self.row(&widths, row, indent);
            self.line(&text)?;
        }
        Ok(())
    }

    fn row(&self, widths: &[usize], cells: &[String], indent: usize) -> String {
        let mut first = " ".repeat(indent);
        let last = widths.len().saturating_sub(1);
        for (column, cell) in cells.iter().enumerate().take(last) {
            first.push_str(&pad(&clip(cell, widths[column]), widths[column]));
            first.push_str("  ");
        }
        let words = cells.get(last).map_or("", String::as_str);
        if words.is_empty() {
            return first.trim_end().to_owned();
        }
        let rest = " ".repeat(first.width());
        self.wrapped(words, &first, &rest)
    }
}

/// Takes columns from the widest until the last has room.
fn shrink(widths: &mut [usize], last: usize, total: usize) {
    const LEAST_LAST: usize = 14;
    loop {
        let used: usize = widths[..last].iter().map(|width| width + 2).sum();
        if used + LEAST_LAST <= total {
            return;
        }
        let Some(widest) = widths[..last].iter_mut().max_by_key(|width| **width) else { return };
        if *widest <= 6 {
            return;
        }
        *widest -= 1;
    }
}

fn clip(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    let mut short = String::new();
    for c in text.chars() {
        if short.width() + 2 > width {
            break;
        }
        short.push(c);
    }
    short.push('…');
    short
}

fn pad(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.width());
    format!("{text}{}", " ".repeat(missing))
}

/// True when whoever read the output has gone away (`| head`).
pub(crate) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .chain()
        .filter_map(|cause| cause.downcast_ref::<std::io::Error>())
        .any(|cause| cause.kind() == ErrorKind::BrokenPipe)
}

/// Says on standard error what went wrong.
pub(crate) fn complain(error: &anyhow::Error) {
    let words = format!("error: {error:#}");
    let text = textwrap::fill(&words, textwrap::Options::new(WIDTH).subsequent_indent("       "));
    // If standard error is gone there is nobody left to tell.
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}
