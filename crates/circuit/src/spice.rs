//! A circuit as a SPICE deck, so that anyone can check us with a simulator of their own.
//!
//! The deck is written for ngspice (its `B` sources carry the nonlinear elements) and asks for
//! the operating point only. It knows neither files nor a way to run anything. A simulator starts
//! from zero volt and may therefore land on the lower of two voltages at which a constant-power
//! load with a very low cut-out is content; for equipment with an ordinary cut-out it does not.
//! Where several regulated sources at their limits charge a nearly full battery, ngspice may find no
//! operating point at all: its iteration has no way of its own to step over so sharp a bend.

use std::fmt::Write as _;

use crate::{Branch, BranchId, Circuit, Element, NodeId, REFERENCE, SingleDiode};

/// `k T / q` at 27 degrees Celsius, V, with the 2019 SI values of k and q (from memory).
const THERMAL_V: f64 = 1.380_649e-23 * 300.15 / 1.602_176_634e-19;
/// Ties an island without a path to the reference to it, ohm. No current flows through it.
const TIE_OHM: f64 = 1e6;
/// From every node to the reference, where something floats: what hangs on an island by a load that may be
/// off is solvable then. At 60 V it carries 0.6 nA.
const SHUNT: &str = ".options rshunt=1e11";

/// Resistances below this are taken to carry their voltage on when a first guess is made, ohm.
const LOW_OHM: f64 = 0.5;
/// Regulated sources and batteries come into a first guess after resistances up to these, ohm.
const REGULATED_AFTER_OHM: f64 = 0.1;
const BATTERY_AFTER_OHM: f64 = 0.2;

/// Writes the deck of a circuit with its guards in the given positions (`true`: on). Guards
/// beyond the end of `positions` are taken where they start.
///
/// Node and element names in the deck are a number followed by what SPICE tolerates of the
/// circuit's own name; a table in comments gives both. Branches whose guard is off appear as
/// comments. Parts of the circuit without any path to the reference are tied to it by one
/// resistor each: only differences of voltage inside them mean something.
pub fn netlist(circuit: &Circuit, title: &str, positions: &[bool]) -> String {
    let mut deck = Deck { circuit, text: format!("* {}\n", one_line(title)) };
    deck.name_table();
    deck.guard_table(positions);
    for (id, branch) in circuit.branches() {
        if is_on(circuit, branch, positions) {
            deck.branch(id, branch);
        } else {
            deck.line(&format!("* off: {}", one_line(&branch.name)));
        }
    }
    let floats = deck.tie_islands(positions);
    deck.first_guess(positions);
    deck.control(positions, floats);
    deck.text
}

/// The name a node has in the deck of [`netlist`]: unique without regard to case.
pub fn deck_node(circuit: &Circuit, node: NodeId) -> String {
    if node == REFERENCE {
        return "0".to_owned();
    }
    format!("n{}_{}", node.0, tolerated(circuit.node_name(node)))
}

struct Deck<'a> {
    circuit: &'a Circuit,
    text: String,
}

impl Deck<'_> {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn node(&self, node: NodeId) -> String {
        deck_node(self.circuit, node)
    }

    fn name_table(&mut self) {
        self.line("* Nodes: name in this deck = name in the circuit (0 is the reference)");
        for node in (0..self.circuit.node_count() as u32).map(NodeId) {
            let name = one_line(self.circuit.node_name(node));
            self.line(&format!("*   {} = {name}", self.node(node)));
        }
    }

    fn guard_table(&mut self, positions: &[bool]) {
        for (k, guard) in self.circuit.guards().iter().enumerate() {
            let position = if position(self.circuit, k, positions) { "on" } else { "off" };
            self.line(&format!("* guard {} is {position}", one_line(&guard.name)));
        }
    }

    fn branch(&mut self, id: BranchId, branch: &Branch) {
        let tag = format!("{}_{}", id.0, tolerated(&branch.name));
        self.line(&format!("* {}", one_line(&branch.name)));
        match branch.element {
            Element::Resistor { a, b, ohm } => self.two_pole("R", &tag, a, b, &number(ohm)),
            Element::Voltage { plus, minus, volt } => {
                self.two_pole("V", &tag, plus, minus, &format!("DC {}", number(volt)));
            }
            Element::Current { from, to, ampere } => {
                self.two_pole("I", &tag, from, to, &format!("DC {}", number(ampere)));
            }
            Element::Diode { anode, cathode, saturation_a, emission } => {
                let (a, k) = (self.node(anode), self.node(cathode));
                self.diode(&tag, &a, &k, saturation_a, emission);
            }
            Element::OneWay { from, to, ohm, blocked_ohm } => {
                let (v, back) = (self.across(from, to), number(1.0 / blocked_ohm));
                let law =
                    format!("{back}*{v}+{}*max({v}, 0)", number(1.0 / ohm - 1.0 / blocked_ohm));
                self.two_pole("B", &tag, from, to, &format!("I = {law}"));
            }
            Element::Motor { plus, minus, armature_ohm, back_emf_v } => {
                let (plus, minus) = (self.node(plus), self.node(minus));
                self.line(&format!("R{tag} {plus} x{tag} {}", number(armature_ohm)));
                self.line(&format!("V{tag} x{tag} {minus} DC {}", number(back_emf_v)));
            }
            Element::Battery { plus, minus, rest_v, discharge_ohm, charge_ohm } => {
                self.battery(&tag, (plus, minus), rest_v, (discharge_ohm, charge_ohm));
            }
            Element::SolarModule { plus, minus, ref diode } => {
                self.solar_module(&tag, plus, minus, diode);
            }
            _ => self.behavioural(&tag, &branch.element),
        }
    }

    /// Elements given by an expression: constant power, lamp, regulated sources, converter.
    fn behavioural(&mut self, tag: &str, element: &Element) {
        match *element {
            Element::ConstantPower { plus, minus, watt, cut_out_v } => {
                let (v, cut) = (self.across(plus, minus), number(cut_out_v));
                let below = number(watt / (cut_out_v * cut_out_v));
                let law = format!("{v} >= {cut} ? {}/{v} : {below}*{v}", number(watt));
                self.two_pole("B", tag, plus, minus, &format!("I = {law}"));
            }
            Element::Lamp { a, b, rated_a, rated_v, exponent } => {
                let v = self.across(a, b);
                let straight = number(rated_a / rated_v * 0.01_f64.powf(exponent - 1.0));
                let law = format!(
                    "abs({v}) < {} ? {straight}*{v} : sgn({v})*{}*pow(abs({v})/{},{})",
                    number(0.01 * rated_v),
                    number(rated_a),
                    number(rated_v),
                    number(exponent)
                );
                self.two_pole("B", tag, a, b, &format!("I = {law}"));
            }
            Element::LimitedSource { plus, minus, set_v, droop_ohm, limit_a } => {
                let ceiling = number(limit_a);
                let law = regulated(&self.across(plus, minus), set_v, droop_ohm, &ceiling);
                self.two_pole("B", tag, minus, plus, &format!("I = {law}"));
            }
            Element::PowerSource { plus, minus, watt, set_v, droop_ohm, limit_a } => {
                let v = self.across(plus, minus);
                let ceiling = format!("min({}, {}/max({v}, 1))", number(limit_a), number(watt));
                let law = regulated(&v, set_v, droop_ohm, &ceiling);
                self.two_pole("B", tag, minus, plus, &format!("I = {law}"));
            }
            _ => self.converter(tag, element),
        }
    }

    fn converter(&mut self, tag: &str, element: &Element) {
        let &Element::Converter {
            in_plus,
            in_minus,
            out_plus,
            out_minus,
            set_v,
            droop_ohm,
            limit_a,
            power_w,
            efficiency,
            idle_w,
        } = element
        else {
            return;
        };
        let (v_in, v_out) = (self.across(in_plus, in_minus), self.across(out_plus, out_minus));
        let ceiling = if power_w.is_finite() {
            format!("min({}, {}/max({v_out}, 1))", number(limit_a), number(power_w))
        } else {
            number(limit_a)
        };
        let out = regulated(&v_out, set_v, droop_ohm, &ceiling);
        self.two_pole("B", &format!("{tag}_out"), out_minus, out_plus, &format!("I = {out}"));
        let (efficiency, idle) = (number(efficiency), number(idle_w));
        let law = format!("({v_out}*{out}/{efficiency}+{idle})/max({v_in}, 1)");
        self.two_pole("B", &format!("{tag}_in"), in_plus, in_minus, &format!("I = {law}"));
    }

    fn diode(&mut self, tag: &str, anode: &str, cathode: &str, saturation_a: f64, emission: f64) {
        self.line(&format!("D{tag} {anode} {cathode} M{tag}"));
        let (is, n) = (number(saturation_a), number(emission));
        self.line(&format!(".model M{tag} D(IS={is} N={n} XTI=0 RS=0)"));
    }

    /// Rest voltage behind the resistance to discharge, and a source that adds what charging takes
    /// more. Written by its current: a battery left alone rests at the bend of a law of voltage,
    /// where ngspice may not come to an end.
    fn battery(
        &mut self,
        tag: &str,
        (plus, minus): (NodeId, NodeId),
        rest_v: f64,
        ohm: (f64, f64),
    ) {
        let (plus, minus) = (self.node(plus), self.node(minus));
        let (discharge_ohm, charge_ohm) = ohm;
        self.line(&format!("R{tag} {plus} y{tag} {}", number(discharge_ohm)));
        let more = number(charge_ohm - discharge_ohm);
        self.line(&format!("B{tag} y{tag} x{tag} V = {more}*max(0, I(V{tag}))"));
        self.line(&format!("V{tag} x{tag} {minus} DC {}", number(rest_v)));
    }

    /// Light current, junction, shunt and series resistor around an inner node.
    fn solar_module(&mut self, tag: &str, plus: NodeId, minus: NodeId, diode: &SingleDiode) {
        let (plus, minus) = (self.node(plus), self.node(minus));
        let has_series = diode.series_ohm > 0.0;
        let inner = if has_series { format!("x{tag}") } else { plus.clone() };
        self.line(&format!("I{tag} {minus} {inner} DC {}", number(diode.light_a)));
        let emission = diode.modified_ideality_v / THERMAL_V;
        self.diode(tag, &inner, &minus, diode.saturation_a, emission);
        if diode.shunt_ohm.is_finite() {
            self.line(&format!("R{tag}_p {inner} {minus} {}", number(diode.shunt_ohm)));
        }
        if has_series {
            self.line(&format!("R{tag}_s {inner} {plus} {}", number(diode.series_ohm)));
        }
    }

    fn two_pole(&mut self, letter: &str, tag: &str, a: NodeId, b: NodeId, value: &str) {
        let (a, b) = (self.node(a), self.node(b));
        self.line(&format!("{letter}{tag} {a} {b} {value}"));
    }

    fn across(&self, a: NodeId, b: NodeId) -> String {
        format!("V({},{})", self.node(a), self.node(b))
    }

    /// True when there are some.
    fn tie_islands(&mut self, positions: &[bool]) -> bool {
        let mut any = false;
        let lowest = lowest_joined(self.circuit, positions);
        let used = used_nodes(self.circuit, positions);
        for node in 1..self.circuit.node_count() {
            if lowest[node] == node && used[node] {
                let name = self.node(NodeId(node as u32));
                self.line(&format!("* {name} and what hangs on it float: tied to be solvable"));
                self.line(&format!("Rtie{node} {name} 0 {}", number(TIE_OHM)));
                any = true;
            }
        }
        any
    }

    /// Where the simulator may start: sources carried along low resistances, nothing solved.
    fn first_guess(&mut self, positions: &[bool]) {
        let guess = spread_sources(self.circuit, positions);
        let used = used_nodes(self.circuit, positions);
        for node in (1..guess.len()).filter(|&n| used[n]) {
            if let Some(volt) = guess[node] {
                let name = self.node(NodeId(node as u32));
                self.line(&format!(".nodeset v({name})={}", number(volt)));
            }
        }
    }

    fn control(&mut self, positions: &[bool], floats: bool) {
        self.line(
            ".options reltol=1e-9 vntol=1e-12 abstol=1e-12 gmin=1e-15 itl1=2000 itl2=500 itl6=200 \
             temp=27 tnom=27",
        );
        if floats {
            self.line(SHUNT);
        }
        self.line(".control\nset numdgt=12\nop");
        let used = used_nodes(self.circuit, positions);
        for node in (1..self.circuit.node_count()).filter(|&n| used[n]) {
            let name = self.node(NodeId(node as u32));
            let _ = writeln!(self.text, "print v({name})");
        }
        self.line("quit\n.endc\n.end");
    }
}

/// What a regulated source delivers, as an expression.
fn regulated(v: &str, set_v: f64, droop_ohm: f64, ceiling: &str) -> String {
    format!("max(0, min({ceiling}, ({}-{v})/{}))", number(set_v), number(droop_ohm))
}

fn position(circuit: &Circuit, guard: usize, positions: &[bool]) -> bool {
    positions.get(guard).copied().unwrap_or(circuit.guards()[guard].starts_on)
}

fn is_on(circuit: &Circuit, branch: &Branch, positions: &[bool]) -> bool {
    branch.while_on.is_none_or(|g| position(circuit, g.0 as usize, positions))
}

/// Nodes that a branch of the deck touches.
fn used_nodes(circuit: &Circuit, positions: &[bool]) -> Vec<bool> {
    let mut used = vec![false; circuit.node_count()];
    for (_, branch) in circuit.branches().filter(|(_, b)| is_on(circuit, b, positions)) {
        for node in branch.element.nodes() {
            used[node.0 as usize] = true;
        }
    }
    used
}

/// The lowest node each node hangs together with; current sources join nothing.
fn lowest_joined(circuit: &Circuit, positions: &[bool]) -> Vec<usize> {
    let mut lowest: Vec<usize> = (0..circuit.node_count()).collect();
    let mut has_changed = true;
    while has_changed {
        has_changed = false;
        for (_, branch) in circuit.branches().filter(|(_, b)| is_on(circuit, b, positions)) {
            if matches!(branch.element, Element::Current { .. }) {
                continue;
            }
            for port in branch.element.nodes().chunks(2) {
                let (a, b) = (port[0].0 as usize, port[1].0 as usize);
                let low = lowest[a].min(lowest[b]);
                has_changed |= lowest[a] != low || lowest[b] != low;
                lowest[a] = low;
                lowest[b] = low;
            }
        }
    }
    lowest
}

/// A guess of node voltages: ideal sources add their voltage and low resistances carry it on, the
/// lowest first. Regulated sources come after wires, batteries after both, so that a battery being
/// charged starts at the voltage of its charger: from there the simulator comes down in few steps.
fn spread_sources(circuit: &Circuit, positions: &[bool]) -> Vec<Option<f64>> {
    let mut guess = vec![None; circuit.node_count()];
    guess[0] = Some(0.0);
    let mut steps: Vec<(f64, NodeId, NodeId, f64)> = circuit
        .branches()
        .filter(|(_, b)| is_on(circuit, b, positions))
        .filter_map(|(_, b)| first_step(&b.element))
        .collect();
    steps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let step = |guess: &mut Vec<_>| steps.iter().any(|&(_, a, b, volt)| carry(guess, a, b, volt));
    while step(&mut guess) {}
    guess
}

/// How an element carries a guess: after which resistances (ohm), from where to where, and how
/// much voltage it adds.
fn first_step(element: &Element) -> Option<(f64, NodeId, NodeId, f64)> {
    match *element {
        Element::Voltage { plus, minus, volt } => Some((0.0, plus, minus, volt)),
        Element::Resistor { a, b, ohm } if ohm < LOW_OHM => Some((ohm, a, b, 0.0)),
        Element::OneWay { from, to, ohm, .. } if ohm < LOW_OHM => Some((ohm, from, to, 0.0)),
        Element::LimitedSource { plus, minus, set_v, .. }
        | Element::PowerSource { plus, minus, set_v, .. } => {
            Some((REGULATED_AFTER_OHM, plus, minus, set_v))
        }
        Element::Converter { out_plus, out_minus, set_v, .. } => {
            Some((REGULATED_AFTER_OHM, out_plus, out_minus, set_v))
        }
        Element::Battery { plus, minus, rest_v, .. } => {
            Some((BATTERY_AFTER_OHM, plus, minus, rest_v))
        }
        _ => None,
    }
}

/// Carries a guess from one end of a source to the other; true if that told something new.
fn carry(guess: &mut [Option<f64>], plus: NodeId, minus: NodeId, volt: f64) -> bool {
    let (plus, minus) = (plus.0 as usize, minus.0 as usize);
    match (guess[plus], guess[minus]) {
        (None, Some(at_minus)) => guess[plus] = Some(at_minus + volt),
        (Some(at_plus), None) => guess[minus] = Some(at_plus - volt),
        _ => return false,
    }
    true
}

/// The shortest text that reads back as the same number.
fn number(value: f64) -> String {
    format!("{value:e}")
}

/// What SPICE tolerates in a name, lower case.
fn tolerated(name: &str) -> String {
    let tolerate = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '_' };
    name.chars().map(tolerate).collect()
}

/// A name or title without line breaks, which would end the comment it stands in.
fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests;
