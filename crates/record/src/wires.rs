//! Wires: `house.+ to main-fuse.in, 35 mm2, red, 0.4 m`, or the same as a table. A line between
//! two groups of terminals (`inlet.ac to consumer-unit.in, 3 x 2.5 mm2`) makes a wire for each core.

use diag::{Diagnostic, Span};
use model::{
    Core, End, Fact, Joint, Landing, Origin, PartId, Place, TerminalId, Wire, WireEnd, WireId,
};
use units::{Celsius, Dimension, Metre, SquareMillimetre};

use crate::fact_text::{Stated, stated, with_spread};
use crate::fields;
use crate::names;
use crate::reader::{Reader, has_room, quantity_fault};
use crate::text::Words;
use crate::tree::{Entry, Value};

/// Words that are colours of insulation.
const COLOURS: [&str; 18] = [
    "black",
    "red",
    "blue",
    "yellow",
    "green",
    "white",
    "brown",
    "grey",
    "gray",
    "orange",
    "pink",
    "violet",
    "purple",
    "tan",
    "clear",
    "green/yellow",
    "green-yellow",
    "silver",
];

/// A length below this in a wire line is likely a size with its square left out.
const SHORTEST_LENGTH_M: f64 = 0.02;

/// What a line says about a wire besides where it goes.
#[derive(Clone, Default)]
pub(crate) struct Said {
    area: Fact<SquareMillimetre>,
    size_words: String,
    length: Fact<Metre>,
    core: Fact<Core>,
    insulation: Fact<Celsius>,
    colour: Option<String>,
    sheathed: Fact<bool>,
    behind: Option<PartId>,
    cores: Option<u32>,
}

/// One core of a wire line: suffix of its name, and where it goes.
struct CoreRun {
    suffix: String,
    landings: [Landing; 2],
}

impl Reader<'_> {
    pub(crate) fn wires(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(name) = self.name(&line.key) else { continue };
            let read = match line.value.entries() {
                Some(_) => self.wire_table(&line.value),
                None => self.wire_line(&line.value),
            };
            if let Some((runs, said)) = read {
                self.add_wires(name, line.key.span(), runs, &said);
            }
        }
    }

    fn wire_line(&mut self, value: &Value<'_>) -> Option<(Vec<CoreRun>, Said)> {
        let words = self.text_of(value)?;
        let pieces = words.split(",");
        let first = *pieces.first()?;
        let Some((from, to)) = first.split_once(" to ") else {
            self.report(
                Diagnostic::error("wire-line", "a wire goes from one terminal to another", first.span())
                    .help("write `fuse-box.3 to fridge.+, 2.5 mm2, 4 m`; an end nobody has seen is `unknown`"),
            );
            return None;
        };
        let mut said = Said::default();
        for piece in &pieces[1..] {
            self.wire_piece(*piece, &mut said);
        }
        let runs = self.runs(from, to, said.cores, words.span())?;
        Some((runs, said))
    }

    fn wire_table(&mut self, value: &Value<'_>) -> Option<(Vec<CoreRun>, Said)> {
        let table = self.table(value, &fields::wire(), "a wire")?;
        let mut said = Said::default();
        if let Some(value) = table.get("size") {
            said.area =
                self.quantity(value, Dimension::Area).map(|v| SquareMillimetre::from_si(*v));
            said.size_words = value.words().map(|words| plain_size(words.text)).unwrap_or_default();
        }
        if let Some(value) = table.get("length") {
            said.length = self.quantity(value, Dimension::Length).map(|v| Metre::from_si(*v));
        }
        if let Some(value) = table.get("insulation") {
            said.insulation =
                self.quantity(value, Dimension::Temperature).map(|v| Celsius::from_si(*v));
        }
        if let Some(value) = table.get("core") {
            said.core = self.choice(value, fields::CORES, core);
        }
        if let Some(value) = table.get("colour") {
            said.colour = self.text_of(value).map(|words| words.text.to_owned());
        }
        if let Some(value) = table.get("sheathed") {
            let bare = self.bare.clone();
            said.sheathed = self.yes_no(value).map_or(Fact::Unknown, |yes| Fact::known(yes, bare));
        }
        if let Some(value) = table.get("behind") {
            said.behind = self.text_of(value).and_then(|words| self.part_named(words));
        }
        let end = |reader: &mut Self, key: &str| match table.get(key) {
            Some(value) => reader.text_of(value),
            None => Some(Words::at("unknown", value.span())),
        };
        let (from, to) = (end(self, "from")?, end(self, "to")?);
        Some((self.runs(from, to, None, value.span())?, said))
    }

    /// One comma-separated piece of a wire line.
    pub(crate) fn wire_piece(&mut self, piece: Words<'_>, said: &mut Said) {
        let bare = self.bare.clone();
        if piece.text.starts_with("unknown ") {
            return;
        }
        let Some(Stated { value, spread, origin }) = stated(piece, &bare) else { return };
        if let Some(rest) = value.strip_word("behind") {
            said.behind = self.part_named(rest);
            return;
        }
        match value.text {
            "" => {}
            "sheathed" | "in conduit" | "enclosed" => said.sheathed = Fact::known(true, origin),
            "loose" | "unsheathed" => said.sheathed = Fact::known(false, origin),
            word if core(word).is_some() => {
                said.core = core(word).map_or(Fact::Unknown, |c| Fact::known(c, origin));
            }
            word if is_colour(word) => said.colour = Some(word.to_owned()),
            _ => self.wire_quantity(value, spread, origin, said),
        }
    }

    fn wire_quantity(
        &mut self,
        words: Words<'_>,
        spread: Option<Words<'_>>,
        origin: Origin,
        said: &mut Said,
    ) {
        let (cores, words) = cores_and_size(words);
        match units::parse_any(words.text) {
            Ok((Dimension::Area, area)) => {
                said.area = Fact::known(SquareMillimetre::from_si(area), origin);
                said.size_words = words.text.to_owned();
                said.cores = cores;
            }
            Ok((Dimension::Length, length)) => {
                let spread = spread.and_then(|words| self.number(words, Dimension::Length));
                if length < SHORTEST_LENGTH_M {
                    self.report(
                        Diagnostic::warning(
                            "short-length",
                            "this is read as the length of the wire",
                            words.span(),
                        )
                        .help(format!("if it is the size, write `{}2`", words.text)),
                    );
                }
                said.length = with_spread(Metre::from_si(length), origin, spread);
            }
            Ok((Dimension::Temperature, celsius)) => {
                said.insulation = Fact::known(Celsius::from_si(celsius), origin);
            }
            Ok((dimension, _)) => {
                let message = format!("{} says nothing about a wire", dimension.with_article());
                let fault = Diagnostic::error("wire-piece", message, words.span());
                self.report(fault.help("a fuse is a device of its own: `kind = \"blade fuse\"`"));
            }
            Err(error) if words.text.starts_with(|c: char| c.is_ascii_digit()) => {
                self.report(quantity_fault(words, &error));
            }
            Err(_) => {
                let known =
                    COLOURS.iter().chain(fields::CORES).chain(&["sheathed", "loose"]).copied();
                let message = format!("`{}` says nothing about a wire", words.text.escape_debug());
                let fault = Diagnostic::error("wire-piece", message, words.span());
                let fault = names::suggest(fault, words.text, known, "");
                self.report(fault.help(
                    "pieces are: size, length, solid/stranded/fine, colour, insulation rating, sheathed, behind PART",
                ));
            }
        }
    }

    /// Where each core goes.
    fn runs(
        &mut self,
        from: Words<'_>,
        to: Words<'_>,
        cores: Option<u32>,
        line: Span,
    ) -> Option<Vec<CoreRun>> {
        let from_group = self.group(from);
        let to_group = self.group(to);
        if let (Some(a), Some(b)) = (&from_group, &to_group) {
            return self.grouped_runs(a, b, cores, line);
        }
        if let Some(cores) = cores.filter(|n| *n > 1) {
            let message = format!("{cores} cores need a group of terminals at both ends");
            self.report(Diagnostic::error("cable-ends", message, line).help(
                "write `inlet.ac to consumer-unit.in, 3 x 2.5 mm2`, or one line for each core",
            ));
            return None;
        }
        let landings = [self.landing(from)?, self.landing(to)?];
        Some(vec![CoreRun { suffix: String::new(), landings }])
    }

    fn grouped_runs(
        &mut self,
        a: &[(String, TerminalId)],
        b: &[(String, TerminalId)],
        cores: Option<u32>,
        line: Span,
    ) -> Option<Vec<CoreRun>> {
        let runs: Vec<CoreRun> = a
            .iter()
            .filter_map(|(core, from)| {
                let (_, to) = b.iter().find(|(other, _)| other == core)?;
                let landings = [Landing::At(*from), Landing::At(*to)];
                Some(CoreRun { suffix: format!("/{core}"), landings })
            })
            .collect();
        if runs.is_empty() || cores.is_some_and(|n| n as usize != runs.len()) {
            let message = format!(
                "the two ends share {} cores, but the line says {}",
                runs.len(),
                cores.map_or_else(|| "none".to_owned(), |n| n.to_string()),
            );
            self.report(
                Diagnostic::error("cable-ends", message, line).help("write one line for each core"),
            );
            return None;
        }
        Some(runs)
    }

    /// The terminals a group name stands for: `inlet.ac`, `inverter.out`, `panel.dc`. `None` when
    /// the words name a single terminal, or nothing known (which is reported later).
    fn group(&self, words: Words<'_>) -> Option<Vec<(String, TerminalId)>> {
        let (device, group) = words.text.split_once('.')?;
        let device = *self.index.devices.get(device.trim())?;
        if self.vehicle.terminal_of(device, group).is_some() {
            return None;
        }
        let terminals = &self.vehicle.devices[device].terminals;
        let named = |prefix: &str| -> Vec<(String, TerminalId)> {
            terminals
                .iter()
                .filter_map(|id| {
                    let core = self.vehicle.terminals[*id].name.strip_prefix(prefix)?;
                    let core = core.strip_prefix('.').unwrap_or(core);
                    matches!(core, "+" | "-" | "L" | "N" | "PE").then(|| (core.to_owned(), *id))
                })
                .collect()
        };
        let found = match group {
            "dc" => named("")
                .into_iter()
                .filter(|(core, _)| matches!(core.as_str(), "+" | "-"))
                .collect(),
            "ac" => {
                let own = named("ac");
                if own.is_empty() {
                    named("")
                        .into_iter()
                        .filter(|(core, _)| !matches!(core.as_str(), "+" | "-"))
                        .collect()
                } else {
                    own
                }
            }
            prefix => named(prefix),
        };
        (found.len() > 1).then_some(found)
    }

    fn landing(&mut self, words: Words<'_>) -> Option<Landing> {
        if words.text == "unknown" {
            return Some(Landing::Unknown);
        }
        if let Some(part) = words.strip_word("behind") {
            return self.part_named(part).map(Landing::Behind);
        }
        self.terminal_named(words).map(Landing::At)
    }

    fn add_wires(&mut self, name: &str, span: Span, runs: Vec<CoreRun>, said: &Said) {
        for run in runs {
            if !has_room(&self.vehicle.joints) {
                return;
            }
            let id = self.vehicle.wires.next_id();
            if let [Landing::At(a), Landing::At(b)] = run.landings
                && a == b
            {
                self.report(
                    Diagnostic::error(
                        "wire-to-itself",
                        format!("`{name}` ends where it starts"),
                        span,
                    )
                    .help("a wire joins two different terminals"),
                );
                continue;
            }
            let full = format!(
                "{name}{}",
                if run.suffix == "/+" {
                    "+".into()
                } else if run.suffix == "/-" {
                    "-".into()
                } else {
                    run.suffix.clone()
                }
            );
            let ends = WireEnd::BOTH.map(|end| {
                let joint = self.vehicle.joints.push(Joint {
                    wire: id,
                    end,
                    kind: Fact::Unknown,
                    condition: Fact::Unknown,
                    resistance: Fact::Unknown,
                    strain_relief: Fact::Unknown,
                });
                self.sources.set(Place::Joint(joint), span);
                End { landing: run.landings[end as usize], joint }
            });
            self.sources.set(Place::Wire(id), span);
            self.index_wire(name, &full, id);
            let mut wire = Wire {
                name: full,
                ends,
                area: Fact::Unknown,
                size_words: String::new(),
                length: Fact::Unknown,
                core: Fact::Unknown,
                insulation: Fact::Unknown,
                colour: None,
                sheathed: Fact::Unknown,
                runs_behind: None,
            };
            apply(said, &mut wire);
            self.vehicle.wires.push(wire);
        }
    }

    /// A cable's own name means all its cores; each core also has its name.
    fn index_wire(&mut self, line: &str, core: &str, id: WireId) {
        self.index.wires.entry(line.to_owned()).or_default().push(id);
        if core != line {
            self.index.wires.insert(core.to_owned(), vec![id]);
        }
    }

    /// `[usual] wire = "..."`: fills what no wire line said.
    pub(crate) fn usual_wire(&mut self, words: Words<'_>) {
        let mut said = Said::default();
        let bare = std::mem::replace(
            &mut self.bare,
            Origin::Assumed { why: "written once for all wires under [usual]".to_owned() },
        );
        for piece in words.split(",") {
            self.wire_piece(piece, &mut said);
        }
        self.bare = bare;
        for id in self.vehicle.wires.ids() {
            apply(&said, &mut self.vehicle.wires[id]);
        }
    }

    /// All wires of a name (a cable has several).
    pub(crate) fn wires_named(&mut self, words: Words<'_>) -> Vec<WireId> {
        if let Some(ids) = self.index.wires.get(words.text) {
            return ids.clone();
        }
        let fault = Diagnostic::error(
            "unknown-wire",
            format!("there is no wire `{}`", words.text.escape_debug()),
            words.span(),
        );
        let known = self.index.wires.keys().map(String::as_str);
        let fault = names::suggest(fault, words.text, known, "no wire is written yet");
        self.report(fault);
        Vec::new()
    }
}

/// Fills what the wire does not know yet.
fn apply(said: &Said, wire: &mut Wire) {
    if wire.area.is_unknown() {
        wire.area = said.area.clone();
        wire.size_words = said.size_words.clone();
    }
    fill(&mut wire.length, &said.length);
    fill(&mut wire.core, &said.core);
    fill(&mut wire.insulation, &said.insulation);
    fill(&mut wire.sheathed, &said.sheathed);
    if wire.colour.is_none() {
        wire.colour = said.colour.clone();
    }
    if wire.runs_behind.is_none() {
        wire.runs_behind = said.behind;
    }
}

fn fill<T: Clone>(fact: &mut Fact<T>, with: &Fact<T>) {
    if fact.is_unknown() {
        *fact = with.clone();
    }
}

/// `3 x 2.5 mm2` is three cores of 2.5 mm².
fn cores_and_size(words: Words<'_>) -> (Option<u32>, Words<'_>) {
    for sign in [" x ", "x", " × ", "×"] {
        if let Some((count, size)) = words.split_once(sign)
            && let Ok(cores) = count.text.parse::<u32>()
        {
            return (Some(cores), size);
        }
    }
    (None, words)
}

fn core(word: &str) -> Option<Core> {
    match word {
        "solid" => Some(Core::Solid),
        "stranded" => Some(Core::Stranded),
        "fine" => Some(Core::Fine),
        _ => None,
    }
}

fn is_colour(word: &str) -> bool {
    word.split(['/', '-', ' ']).all(|piece| COLOURS.contains(&piece))
}

/// The size without a word of origin.
fn plain_size(text: &str) -> String {
    let bare = Origin::seen();
    stated(Words::at(text, Span::default()), &bare)
        .map_or_else(String::new, |s| s.value.text.to_owned())
}
