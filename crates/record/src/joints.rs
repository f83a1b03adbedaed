//! Joints at wire ends, the order of things on studs, and what is usual for both.

use std::collections::BTreeMap;

use diag::Diagnostic;
use model::{
    Condition, DeviceId, Fact, Joint, JointId, JointKind, Layer, Look, LookedAt, Looks, Origin,
    Stack, Strands, Surface, TerminalId, WireEnd, WireId,
};
use units::{Dimension, Metre, Ohm};

use crate::fact_text::{Stated, stated, with_spread};
use crate::looks::{self, JOINT_FIGURES};
use crate::names;
use crate::reader::Reader;
use crate::text::Words;
use crate::tree::Entry;

const PIECES: [&str; 7] =
    ["good", "loose", "corroded", "burnt", "strain relief", "no strain relief", "unknown"];

const JOINT_HELP: &str = "pieces are: lug/crimp/spade/screw/plug/solder/twisted/taped/twist-on, good/loose/corroded/burnt, a resistance such as `0.5 mOhm`, strain relief, no strain relief, and what was seen of it: see the record guide";

const STACK_HELP: &str = "layers are: bare/painted/rusty ..., post, stud, bar, `M8 stud`, a wire's name, ... washer, nut, screw";

/// Joints by the terminal they are on.
type Landed = BTreeMap<TerminalId, Vec<JointId>>;

/// What a joint line says.
#[derive(Clone, Default)]
struct Said {
    kind: Fact<JointKind>,
    condition: Fact<Condition>,
    resistance: Fact<Ohm>,
    strain_relief: Fact<bool>,
    looks: Looks,
    slack: Fact<Metre>,
    strands: Fact<Strands>,
    lug_mm: Fact<f64>,
}

impl Reader<'_> {
    /// Single joints win over `all at ...`, whatever their order.
    pub(crate) fn joints(&mut self, lines: &[Entry<'_>]) {
        let landed = self.landed();
        let is_all = |line: &&Entry<'_>| line.key.text.starts_with("all at ");
        for line in lines.iter().filter(|line| !is_all(line)).chain(lines.iter().filter(is_all)) {
            let joints = self.joints_named(line.key, &landed);
            let Some(words) = self.text_of(&line.value) else { continue };
            let said = self.joint_line(words);
            for joint in joints {
                apply(&said, &mut self.vehicle.joints[joint]);
                self.sources.set(model::Place::Joint(joint), line.key.span());
            }
        }
    }

    /// `w12 at fridge.+`, `all at inverter`, `all at neg-bar`.
    fn joints_named(&mut self, key: Words<'_>, landed: &Landed) -> Vec<JointId> {
        if let Some(place) = key.text.strip_prefix("all at ") {
            let words = key.slice(key.text.len() - place.len(), key.text.len()).trim();
            return self.joints_at(words, landed);
        }
        let Some((wire, at)) = key.split_once(" at ") else {
            self.report(
                Diagnostic::error("joint-name", "a joint is a wire at a terminal", key.span())
                    .help(
                        "write `\"w12 at fridge.+\" = \"...\"`, or `\"all at inverter\" = \"...\"`",
                    ),
            );
            return Vec::new();
        };
        let wires = self.wires_named(wire);
        let places = self.terminals_of(at);
        if wires.is_empty() || places.is_empty() {
            return Vec::new();
        }
        let joints: Vec<JointId> = joints_on(&places, landed)
            .filter(|joint| wires.contains(&self.vehicle.joints[*joint].wire))
            .collect();
        if joints.is_empty() {
            self.report(
                Diagnostic::error(
                    "joint-name",
                    format!("the wire `{}` does not land on `{}`", wire.text, at.text),
                    key.span(),
                )
                .help("look where the wire line says it goes"),
            );
        }
        joints
    }

    fn joints_at(&mut self, words: Words<'_>, landed: &Landed) -> Vec<JointId> {
        let places = self.terminals_of(words);
        let joints: Vec<JointId> = joints_on(&places, landed).collect();
        if joints.is_empty() && !places.is_empty() {
            let message = format!("no wire lands on `{}`", words.text);
            self.report(
                Diagnostic::warning("joint-name", message, words.span())
                    .help("look where the wire lines say they go"),
            );
        }
        joints
    }

    /// The joints on every terminal that has some.
    fn landed(&self) -> Landed {
        let mut landed = Landed::new();
        for (_, wire) in self.vehicle.wires.iter() {
            for end in WireEnd::BOTH {
                if let Some(terminal) = wire.terminal(end) {
                    landed.entry(terminal).or_default().push(wire.end(end).joint);
                }
            }
        }
        landed
    }

    /// A terminal, or all terminals of a device.
    fn terminals_of(&mut self, words: Words<'_>) -> Vec<TerminalId> {
        if !words.text.contains('.')
            && let Some(device) = self.index.devices.get(words.text).copied()
        {
            return self.device_terminals(device);
        }
        self.terminal_named(words).into_iter().collect()
    }

    fn device_terminals(&self, device: DeviceId) -> Vec<TerminalId> {
        self.vehicle.devices[device].terminals.clone()
    }

    fn joint_line(&mut self, words: Words<'_>) -> Said {
        let mut said = Said::default();
        for piece in self.pieces(words, ",").unwrap_or_default() {
            let bare = self.bare.clone();
            let Some(Stated { value, spread, origin }) = stated(piece, &bare) else { continue };
            self.joint_piece(value, spread, origin, &mut said);
        }
        said
    }

    fn joint_piece(
        &mut self,
        value: Words<'_>,
        spread: Option<Words<'_>>,
        origin: Origin,
        said: &mut Said,
    ) {
        if let Some(kind) = JointKind::of_word(value.text) {
            said.kind = Fact::known(kind, origin);
        } else if let Some(condition) = condition(value.text) {
            said.condition = Fact::known(condition, origin);
        } else if let Some(relief) = strain_relief(value.text) {
            said.strain_relief = Fact::known(relief, origin);
        } else if looks::look(value.text, LookedAt::Joint, &origin, &mut said.looks) {
        } else if let Some(strands) = looks::strands(value.text) {
            said.strands = Fact::known(strands, origin);
        } else if let Some((size_mm, "lug")) = looks::thread_mm(value.text) {
            said.kind = Fact::known(JointKind::Lug, origin.clone());
            said.lug_mm = Fact::known(size_mm, origin);
        } else if let Some(slack) = self.slack(value, spread, &origin) {
            said.slack = slack;
        } else if value.looks_like_number() {
            let spread = self.spread(spread, Dimension::Resistance);
            if let Some(ohm) = self.number(value, Dimension::Resistance) {
                said.resistance = with_spread(Ohm::from_si(ohm), origin, spread);
            }
        } else {
            let message = format!("`{}` says nothing about a joint", names::shown(value.text));
            let fault = Diagnostic::error("joint-piece", message, value.span());
            let kinds = JointKind::ALL.iter().map(|(_, word)| *word);
            let known = kinds.chain(PIECES).chain(JOINT_FIGURES);
            let known = known.chain(Look::answers(LookedAt::Joint));
            self.faults.suggest(fault, value.text, known, JOINT_HELP);
        }
    }

    pub(crate) fn usual(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(words) = self.text_of(&line.value) else { continue };
            match line.key.text {
                "wire" => self.usual_wire(words),
                "joint" => self.usual_joint(words),
                other => {
                    let message = format!("nothing is usual for `{}`", names::shown(other));
                    let fault = Diagnostic::error("unknown-field", message, line.key.span());
                    self.faults.suggest(fault, other, ["wire", "joint"], "");
                }
            }
        }
    }

    fn usual_joint(&mut self, words: Words<'_>) {
        let why = "written once for all joints under [usual]".to_owned();
        let bare = std::mem::replace(&mut self.bare, Origin::Assumed { why });
        let said = self.joint_line(words);
        self.bare = bare;
        for id in self.vehicle.joints.ids() {
            apply(&said, &mut self.vehicle.joints[id]);
        }
    }

    pub(crate) fn stacks(&mut self, lines: &[Entry<'_>]) {
        for line in lines {
            let Some(terminal) = self.terminal_named(line.key) else { continue };
            let Some(words) = self.text_of(&line.value) else { continue };
            if words.text.trim() == "unknown" {
                continue;
            }
            let (mut layers, mut stud_mm) = (Vec::new(), None);
            for piece in self.pieces(words, ",").unwrap_or_default() {
                let thread = looks::thread_mm(piece.text);
                if let Some((size_mm, "stud" | "post" | "bolt")) = thread {
                    stud_mm = Some(size_mm);
                    layers.push(Layer::Surface(Surface::Bare));
                    continue;
                }
                layers.extend(self.layer(piece, terminal));
            }
            self.vehicle.stacks.push(Stack { terminal, layers, stud_mm });
        }
    }

    /// A wire's name goes first: a wire may be called `washer-pump`.
    fn layer(&mut self, piece: Words<'_>, terminal: TerminalId) -> Option<Layer> {
        if let Some(wires) = self.index.wires.get(piece.text).cloned() {
            return self.lug(piece, &wires, terminal);
        }
        let layer = layer_of(piece.text);
        if layer.is_none() {
            let message =
                format!("`{}` is no wire and nothing known on a stud", names::shown(piece.text));
            let fault = Diagnostic::error("stack-piece", message, piece.span());
            let known = self.index.wires.keys().map(String::as_str);
            self.faults.suggest(fault, piece.text, known, STACK_HELP);
        }
        layer
    }

    fn lug(&mut self, piece: Words<'_>, wires: &[WireId], terminal: TerminalId) -> Option<Layer> {
        let lands = |id: &&WireId| {
            let wire = &self.vehicle.wires[**id];
            WireEnd::BOTH.into_iter().any(|end| wire.terminal(end) == Some(terminal))
        };
        let here = wires.iter().find(lands).copied();
        if here.is_none() {
            let place = self.vehicle.terminal_name(terminal);
            let message = format!("`{}` does not land on `{place}`", piece.text);
            self.report(
                Diagnostic::error("stack-wire", message, piece.span())
                    .help("a stack lists the wires that land on that stud"),
            );
        }
        here.map(Layer::Lug)
    }
}

fn layer_of(text: &str) -> Option<Layer> {
    let surfaces =
        [("painted", Surface::Painted), ("rusty", Surface::Rusty), ("bare", Surface::Bare)];
    match text {
        "nut" | "screw" | "bolt" => Some(Layer::Nut),
        "post" | "stud" | "bar" => Some(Layer::Surface(Surface::Bare)),
        washer if washer.contains("washer") => Some(Layer::Washer(washer.to_owned())),
        other => surfaces
            .iter()
            .find(|(word, _)| other.starts_with(word))
            .map(|(_, surface)| Layer::Surface(*surface)),
    }
}

fn joints_on<'a>(
    places: &'a [TerminalId],
    landed: &'a Landed,
) -> impl Iterator<Item = JointId> + 'a {
    places.iter().filter_map(|place| landed.get(place)).flatten().copied()
}

fn apply(said: &Said, joint: &mut Joint) {
    fill(&mut joint.kind, &said.kind);
    fill(&mut joint.condition, &said.condition);
    fill(&mut joint.resistance, &said.resistance);
    fill(&mut joint.strain_relief, &said.strain_relief);
    joint.looks.fill(&said.looks);
    fill(&mut joint.slack, &said.slack);
    fill(&mut joint.strands, &said.strands);
    fill(&mut joint.lug_mm, &said.lug_mm);
}

fn fill<T: Clone>(fact: &mut Fact<T>, with: &Fact<T>) {
    if fact.is_unknown() {
        *fact = with.clone();
    }
}

fn condition(word: &str) -> Option<Condition> {
    match word {
        "good" => Some(Condition::Good),
        "loose" => Some(Condition::Loose),
        "corroded" => Some(Condition::Corroded),
        "burnt" => Some(Condition::Burnt),
        _ => None,
    }
}

fn strain_relief(words: &str) -> Option<bool> {
    match words {
        "strain relief" => Some(true),
        "no strain relief" => Some(false),
        _ => None,
    }
}
