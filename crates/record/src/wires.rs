//! Wires: `house.+ to main-fuse.in, 35 mm2, red, 0.4 m`, or the same as a table. A line between
//! two groups of terminals (`inlet.ac to consumer-unit.in, 3 x 2.5 mm2`) makes a wire for each core.

use diag::{Diagnostic, Span};
use model::{
    Core, Course, End, Fact, Joint, Landing, Look, LookedAt, Looks, Origin, PartId, Place, Wire,
    WireEnd, WireId,
};
use units::conductor::MIN_AREA_MM2;
use units::dimension::MAX_AREA_MM2;
use units::{Celsius, Dimension, Metre, SquareMillimetre};

use crate::cables::{CoreRun, Cores, cores_and_size};
use crate::fact_text::{Stated, stated, with_spread};
use crate::fields;
use crate::looks::WIRE_FIGURES;
use crate::names;
use crate::possible::Must;
use crate::reader::{Reader, quantity_fault};
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

/// Words for how and where a wire runs.
const LAY: [&str; 6] =
    ["sheathed", "loose", "alone", "bundle of 6", "in engine space", "outside engine space"];

/// A length below this in a wire line is likely a size with its square left out.
const SHORTEST_LENGTH_M: f64 = 0.02;

/// Sizes for which a resistance can be told.
const AREA: Must = Must::Between(MIN_AREA_MM2, MAX_AREA_MM2, Dimension::Area);

/// Temperature ratings of insulation that are believed, degrees Celsius: wide bounds around what
/// cables are sold with (60 to 250). Our choice, no source.
const INSULATION: Must = Must::Between(40.0, 1000.0, Dimension::Temperature);

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
    pub(crate) bundle: Fact<u32>,
    pub(crate) engine_space: Fact<bool>,
    behind: Option<PartId>,
    cores: Cores,
    course: Course,
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
        let pieces = self.pieces(words, ",")?;
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
        let runs = self.runs(from, to, said.cores)?;
        Some((runs, said))
    }

    fn wire_table(&mut self, value: &Value<'_>) -> Option<(Vec<CoreRun>, Said)> {
        let table = self.table(value, &fields::wire(), "a wire")?;
        let mut said = Said::default();
        if let Some(value) = table.get("size") {
            let area = self.quantity(value, Dimension::Area);
            let area = self.possible("size", area, AREA, value.span());
            said.area = area.map(|v| SquareMillimetre::from_si(*v));
            said.size_words = value.words().map(|words| plain_size(words.text)).unwrap_or_default();
        }
        if let Some(value) = table.get("length") {
            let length = self.quantity(value, Dimension::Length);
            let length = self.possible("length", length, Must::AboveZero, value.span());
            said.length = length.map(|v| Metre::from_si(*v));
        }
        if let Some(value) = table.get("insulation") {
            let celsius = self.quantity(value, Dimension::Temperature);
            let celsius = self.possible("insulation", celsius, INSULATION, value.span());
            said.insulation = celsius.map(|v| Celsius::from_si(*v));
        }
        if let Some(value) = table.get("core") {
            said.core = self.choice(value, fields::CORES, core_of);
        }
        if let Some(value) = table.get("colour") {
            said.colour = self.text_of(value).map(|words| words.text.to_owned());
        }
        if let Some(value) = table.get("sheathed") {
            let bare = self.bare.clone();
            said.sheathed = self.yes_no(value).map_or(Fact::Unknown, |yes| Fact::known(yes, bare));
        }
        self.lay_of(&table, &mut said);
        self.course_of(&table, &mut said.course);
        if let Some(value) = table.get("behind") {
            said.behind = self.text_of(value).and_then(|words| self.part_named(words));
        }
        let end = |reader: &mut Self, key: &str| match table.get(key) {
            Some(value) => reader.text_of(value).map(|words| words.trim()),
            None => Some(Words::at("unknown", value.span())),
        };
        let (from, to) = (end(self, "from")?, end(self, "to")?);
        Some((self.runs(from, to, None)?, said))
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
        if let Some(count) = value.strip_word("bundle") {
            said.bundle = self.bundle(count, origin);
            return;
        }
        match value.text {
            "" => {}
            "sheathed" | "in conduit" | "enclosed" => said.sheathed = Fact::known(true, origin),
            "alone" => said.bundle = Fact::known(1, origin),
            "in engine space" => said.engine_space = Fact::known(true, origin),
            "outside engine space" => said.engine_space = Fact::known(false, origin),
            "loose" | "unsheathed" => said.sheathed = Fact::known(false, origin),
            word if core_of(word).is_some() => {
                said.core = core_of(word).map_or(Fact::Unknown, |c| Fact::known(c, origin));
            }
            word if is_colour(word) => said.colour = Some(word.to_owned()),
            _ if self.course_piece(value, spread, &origin, &mut said.course) => {}
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
                let fact = self.possible("size", Fact::known(area, origin), AREA, words.span());
                said.area = fact.map(|v| SquareMillimetre::from_si(*v));
                said.size_words = if fact.is_unknown() { "" } else { words.text }.to_owned();
                said.cores = cores;
            }
            Ok((Dimension::Length, length)) => {
                let spread = self.spread(spread, Dimension::Length);
                let fact = with_spread(length, origin, spread);
                let fact = self.possible("length", fact, Must::AboveZero, words.span());
                if !fact.is_unknown() && length < SHORTEST_LENGTH_M {
                    self.short_length(words);
                }
                said.length = fact.map(|v| Metre::from_si(*v));
            }
            Ok((Dimension::Temperature, celsius)) => {
                let fact = Fact::known(celsius, origin);
                let fact = self.possible("insulation", fact, INSULATION, words.span());
                said.insulation = fact.map(|v| Celsius::from_si(*v));
            }
            Ok((dimension, _)) => {
                let message = format!("{} says nothing about a wire", dimension.with_article());
                let fault = Diagnostic::error("wire-piece", message, words.span());
                self.report(fault.help("a fuse is a device of its own: `kind = \"blade fuse\"`"));
            }
            Err(error) if words.looks_like_number() => {
                self.report(quantity_fault(words, &error));
            }
            Err(_) => {
                let known = COLOURS.iter().chain(fields::CORES).chain(&LAY).chain(&WIRE_FIGURES);
                let known = known.copied().chain(Look::answers(LookedAt::Wire));
                let message = format!("`{}` says nothing about a wire", names::shown(words.text));
                let fault = Diagnostic::error("wire-piece", message, words.span());
                self.faults.suggest(
                    fault,
                    words.text,
                    known,
                    "pieces are: size, length, solid/stranded/fine, colour, insulation rating, sheathed, bundle of N, alone, in or outside engine space, behind PART, and what was seen of its way: see the record guide",
                );
            }
        }
    }

    fn short_length(&mut self, words: Words<'_>) {
        self.report(
            Diagnostic::warning(
                "short-length",
                "this is read as the length of the wire",
                words.span(),
            )
            .help(format!("if it is the size, write `{}2`", names::shown(words.text))),
        );
    }

    fn add_wires(&mut self, name: &str, span: Span, runs: Vec<CoreRun>, said: &Said) {
        for run in runs {
            if !self.has_room(self.vehicle.joints.len(), 2, "wire ends", span) {
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
            let full = format!("{name}{}", run.suffix);
            if full != name && self.index.wires.contains_key(&full) {
                self.report(
                    Diagnostic::error(
                        "duplicate",
                        format!("`{full}` is a core of this cable and the name of another wire"),
                        span,
                    )
                    .help("give the cable or the other wire a name of its own"),
                );
                continue;
            }
            let ends = WireEnd::BOTH.map(|end| {
                let joint = self.vehicle.joints.push(unknown_joint(id, end));
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
                bundle: Fact::Unknown,
                engine_space: Fact::Unknown,
                runs_behind: None,
                course: Course::default(),
            };
            apply(said, &mut wire);
            for end in WireEnd::BOTH {
                if let Some(at) = wire.terminal(end) {
                    self.vehicle.terminals[at].wires.push((id, end));
                }
            }
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
        for piece in self.pieces(words, ",").unwrap_or_default() {
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
            format!("there is no wire `{}`", names::shown(words.text)),
            words.span(),
        );
        let known = self.index.wires.keys().map(String::as_str);
        self.faults.suggest(fault, words.text, known, "write it under `[wires]`");
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
    fill(&mut wire.bundle, &said.bundle);
    fill(&mut wire.engine_space, &said.engine_space);
    if wire.colour.is_none() {
        wire.colour = said.colour.clone();
    }
    if wire.runs_behind.is_none() {
        wire.runs_behind = said.behind;
    }
    let (course, says) = (&mut wire.course, &said.course);
    course.looks.fill(&says.looks);
    fill(&mut course.held_every, &says.held_every);
    fill(&mut course.bend, &says.bend);
    fill(&mut course.outside, &says.outside);
    fill(&mut course.hottest, &says.hottest);
    fill(&mut course.from_mains, &says.from_mains);
}

fn fill<T: Clone>(fact: &mut Fact<T>, with: &Fact<T>) {
    if fact.is_unknown() {
        *fact = with.clone();
    }
}

pub(crate) fn core_of(word: &str) -> Option<Core> {
    match word {
        "solid" => Some(Core::Solid),
        "stranded" => Some(Core::Stranded),
        "fine" => Some(Core::Fine),
        _ => None,
    }
}

pub(crate) fn is_colour(word: &str) -> bool {
    word.split(['/', '-', ' ']).all(|piece| COLOURS.contains(&piece))
}

/// The size without a word of origin.
fn plain_size(text: &str) -> String {
    let bare = Origin::seen();
    stated(Words::at(text, Span::default()), &bare)
        .map_or_else(String::new, |s| s.value.text.to_owned())
}

/// The joint of a wire's end of which nothing is said.
fn unknown_joint(wire: WireId, end: WireEnd) -> Joint {
    Joint {
        wire,
        end,
        kind: Fact::Unknown,
        condition: Fact::Unknown,
        resistance: Fact::Unknown,
        strain_relief: Fact::Unknown,
        looks: Looks::default(),
        slack: Fact::Unknown,
        strands: Fact::Unknown,
        lug_mm: Fact::Unknown,
    }
}
