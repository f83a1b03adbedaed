//! Where the cores of a wire line go. A line between two groups of terminals
//! (`inlet.ac to unit.in`), or from a group to an end nobody has seen, makes a wire for each core.

use diag::{Diagnostic, Span};
use model::{Landing, TerminalId};

use crate::limits::MAX_CORES;
use crate::reader::Reader;
use crate::text::Words;

/// One core of a wire line: suffix of its name, and where it goes.
pub(crate) struct CoreRun {
    pub(crate) suffix: String,
    pub(crate) landings: [Landing; 2],
}

/// The cores a line says it has, and where.
pub(crate) type Cores = Option<(u32, Span)>;

/// A core's name in its group and its terminal.
type Group = Vec<(String, TerminalId)>;

impl Reader<'_> {
    /// Where each core goes.
    pub(crate) fn runs(
        &mut self,
        from: Words<'_>,
        to: Words<'_>,
        cores: Cores,
    ) -> Option<Vec<CoreRun>> {
        if let Some((count, span)) = cores
            && !(1..=MAX_CORES).contains(&count)
        {
            self.report(
                Diagnostic::error(
                    "impossible-value",
                    format!("a cable has 1 to {MAX_CORES} cores"),
                    span,
                )
                .help("write for example `3 x 2.5 mm2`"),
            );
            return None;
        }
        match (self.group(from), self.group(to)) {
            (Some(a), Some(b)) => self.between_groups(&a, &b, cores, to),
            (Some(group), None) if is_open(to) => {
                let end = self.landing(to)?;
                self.open_ended(&group, cores, to, |at| [Landing::At(at), end])
            }
            (None, Some(group)) if is_open(from) => {
                let end = self.landing(from)?;
                self.open_ended(&group, cores, from, |at| [end, Landing::At(at)])
            }
            _ => self.single(from, to, cores),
        }
    }

    fn single(&mut self, from: Words<'_>, to: Words<'_>, cores: Cores) -> Option<Vec<CoreRun>> {
        let count = cores.map_or(1, |(count, _)| count);
        if let Some((_, span)) = cores.filter(|(count, _)| *count > 1)
            && !(is_open(from) && is_open(to))
        {
            let message = format!("{count} cores need a group of terminals at both ends");
            self.report(Diagnostic::error("cable-ends", message, span).help(
                "write `inlet.ac to consumer-unit.in, 3 x 2.5 mm2`, or one line for each core",
            ));
            return None;
        }
        let landings = [self.landing(from)?, self.landing(to)?];
        let suffix = |core: u32| if count == 1 { String::new() } else { format!("/{core}") };
        Some((1..=count).map(|core| CoreRun { suffix: suffix(core), landings }).collect())
    }

    fn between_groups(
        &mut self,
        a: &Group,
        b: &Group,
        cores: Cores,
        at: Words<'_>,
    ) -> Option<Vec<CoreRun>> {
        let runs: Vec<CoreRun> = a
            .iter()
            .filter_map(|(core, from)| {
                let (_, to) = b.iter().find(|(other, _)| other == core)?;
                let landings = [Landing::At(*from), Landing::At(*to)];
                Some(CoreRun { suffix: suffix(core), landings })
            })
            .collect();
        self.agrees(runs.len(), cores, at).then_some(runs)
    }

    fn open_ended(
        &mut self,
        group: &Group,
        cores: Cores,
        at: Words<'_>,
        landings: impl Fn(TerminalId) -> [Landing; 2],
    ) -> Option<Vec<CoreRun>> {
        let run = |(core, terminal): &(String, TerminalId)| CoreRun {
            suffix: suffix(core),
            landings: landings(*terminal),
        };
        self.agrees(group.len(), cores, at).then(|| group.iter().map(run).collect())
    }

    /// Whether the ends have as many cores in common as the line says.
    fn agrees(&mut self, found: usize, cores: Cores, at: Words<'_>) -> bool {
        let (message, span) = match cores {
            _ if found == 0 => ("the two ends have no core in common".to_owned(), at.span()),
            Some((count, span)) if count as usize != found => {
                (format!("the line says {count} cores, but its ends have {found} in common"), span)
            }
            _ => return true,
        };
        let fault = Diagnostic::error("cable-ends", message, span);
        self.report(fault.help("look again, or write one line for each core"));
        false
    }

    /// The terminals a group name stands for: `inlet.ac`, `inverter.out`, `panel.dc`. `None` when
    /// the words name a single terminal, or nothing known (which is reported later).
    fn group(&self, words: Words<'_>) -> Option<Group> {
        let (device, group) = words.text.split_once('.')?;
        let device = *self.index.devices.get(device.trim())?;
        if self.vehicle.terminal_of(device, group).is_some() {
            return None;
        }
        let terminals = &self.vehicle.devices[device].terminals;
        let named = |prefix: &str| -> Group {
            terminals
                .iter()
                .filter_map(|id| {
                    let core = self.vehicle.terminals[*id].name.strip_prefix(prefix)?;
                    let core = core.strip_prefix('.').unwrap_or(core);
                    matches!(core, "+" | "-" | "L" | "N" | "PE").then(|| (core.to_owned(), *id))
                })
                .collect()
        };
        let of_side = |dc: bool| -> Group {
            named("")
                .into_iter()
                .filter(|(core, _)| matches!(core.as_str(), "+" | "-") == dc)
                .collect()
        };
        let found = match group {
            "" => return None,
            "dc" => of_side(true),
            "ac" => {
                let own = named("ac");
                if own.is_empty() { of_side(false) } else { own }
            }
            prefix => named(prefix),
        };
        (found.len() > 1).then_some(found)
    }

    fn landing(&mut self, words: Words<'_>) -> Option<Landing> {
        if is_unknown(words) {
            return Some(Landing::Unknown);
        }
        if let Some(part) = words.strip_word("behind") {
            return self.part_named(part).map(Landing::Behind);
        }
        self.terminal_named(words).map(Landing::At)
    }
}

fn is_unknown(words: Words<'_>) -> bool {
    matches!(words.text, "unknown" | "?")
}

/// An end that is on no terminal.
fn is_open(words: Words<'_>) -> bool {
    is_unknown(words) || words.strip_word("behind").is_some()
}

/// `pv1+`, `pv1-`, `ac1/L`.
fn suffix(core: &str) -> String {
    if matches!(core, "+" | "-") { core.to_owned() } else { format!("/{core}") }
}

/// `3 x 2.5 mm2` is three cores of 2.5 mm2.
pub(crate) fn cores_and_size(words: Words<'_>) -> (Cores, Words<'_>) {
    for sign in [" x ", "x", " × ", "×"] {
        if let Some((count, size)) = words.split_once(sign)
            && !count.text.is_empty()
            && count.text.bytes().all(|digit| digit.is_ascii_digit())
        {
            let number = count.text.parse().unwrap_or(u32::MAX);
            return (Some((number, words.span())), size);
        }
    }
    (None, words)
}
