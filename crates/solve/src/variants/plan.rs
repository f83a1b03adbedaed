//! From edits of a circuit to what they do to its solved equations: currents at places, each with
//! a rule, laws of ports exchanged, and ports added. Solves nothing.

use circuit::{BranchId, Circuit, Edits, Element, NodeId};

use super::Why;
use super::base::{Base, Laid, Place};
use crate::assemble::{ConverterPorts, Pair, TIE_S, VOLTAGE_DEFINED_UP_TO_OHM, joins};
use crate::islands::Sets;
use crate::laws::{Law, Regulator};
use crate::validate;

/// What the current at a place obeys.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rule {
    /// `ohm i = v - emf_v`; a negative resistance takes away one that is there.
    Ohm { ohm: f64, emf_v: f64 },
    /// `i = ampere`.
    Fixed(f64),
}

/// A current that the change adds to the equations.
#[derive(Clone, Copy, Debug)]
pub(super) struct Added {
    pub(super) place: Place,
    pub(super) rule: Rule,
}

/// A nonlinear port that the change adds.
#[derive(Clone, Debug)]
pub(super) struct Extra {
    pub(super) place: Place,
    pub(super) law: Law,
}

/// Where the current of a touched branch is read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Flow {
    /// `i = (v - emf_v)/ohm`.
    Ohm { place: Place, ohm: f64, emf_v: f64 },
    /// The unknown current of a voltage-defined branch.
    Row(u32),
    /// The added current of this number.
    Added(usize),
    /// A known current; that of an open branch is zero.
    Fixed(f64),
    /// The law of a port; added ports come after those of the base.
    Port(usize),
    /// A converter of the base.
    Converter(usize),
}

/// Pairs of nodes that a branch joins.
type Joined = [Option<(NodeId, NodeId)>; 2];

/// What edits do to a base.
#[derive(Default)]
pub(super) struct Plan {
    pub(super) added: Vec<Added>,
    pub(super) extras: Vec<Extra>,
    /// Ports of the base with another law, or none.
    pub(super) laws: Vec<(usize, Option<Law>)>,
    /// Converters of the base with other numbers, or gone.
    pub(super) converters: Vec<(usize, Option<ConverterPorts>)>,
    pub(super) flows: Vec<(BranchId, Flow)>,
    /// Branches that the added ports stand for.
    pub(super) extra_branches: Vec<BranchId>,
    /// Converters that have lost their feed, each of them a resistor to it.
    pub(super) collapsed: Vec<BranchId>,
    /// Pairs of nodes that the change joins.
    links: Vec<(NodeId, NodeId)>,
    /// Which pairs the touched branches join now.
    joined: Vec<(BranchId, Joined)>,
}

/// A branch as the change leaves it.
enum Part {
    Nothing,
    Linear { nodes: (NodeId, NodeId), ohm: f64, emf_v: f64 },
    Current { nodes: (NodeId, NodeId), ampere: f64 },
    Law { nodes: (NodeId, NodeId), law: Law },
    Converter,
}

impl Plan {
    pub(super) fn of(circuit: &Circuit, base: &Base, edits: &Edits) -> Result<Plan, Why> {
        let mut plan = Plan::default();
        let setting = base.setting();
        for (branch, element) in &edits.elements {
            if !validate::fits(element) {
                return Err(Why::Refused);
            }
            if setting.has(circuit, *branch) {
                let series = edits.series.iter().filter(|(b, _)| b == branch).map(|(_, ohm)| ohm);
                plan.edit(base, *branch, element, series.sum())?;
            } else {
                plan.flows.push((*branch, Flow::Fixed(0.0)));
            }
        }
        for (branch, ohm) in &edits.series {
            let is_edited = edits.elements.iter().any(|(b, _)| b == branch);
            if !(ohm.is_finite() && *ohm > 0.0) {
                return Err(Why::Refused);
            }
            if !is_edited && setting.has(circuit, *branch) {
                plan.edit(base, *branch, &circuit.branch(*branch).element, *ohm)?;
            }
        }
        for &(a, b, ohm) in &edits.joins {
            if !(ohm.is_finite() && ohm > 0.0) {
                return Err(Why::Refused);
            }
            let place = Place::between(base.pair(a, b));
            plan.added.push(Added { place, rule: Rule::Ohm { ohm, emf_v: 0.0 } });
            plan.links.push((a, b));
        }
        Ok(plan)
    }

    fn edit(
        &mut self,
        base: &Base,
        branch: BranchId,
        element: &Element,
        series_ohm: f64,
    ) -> Result<(), Why> {
        let part = part(element, series_ohm)?;
        self.joined.push((branch, joins(element, false)));
        match base.laid[branch.0 as usize] {
            Laid::Absent => {}
            Laid::Conductance(k) => {
                if self.changed_conductance(base, branch, k, &part) {
                    return Ok(());
                }
                let c = &base.system.conductances[k];
                let rule = Rule::Ohm { ohm: -1.0 / c.siemens, emf_v: c.emf_v };
                self.added.push(Added { place: Place::between(c.pair), rule });
            }
            Laid::Row(k) => {
                if self.changed_row(base, branch, k, &part) {
                    return Ok(());
                }
                let place = Place::row(base.system.rows[k].row);
                self.added.push(Added { place, rule: Rule::Ohm { ohm: 0.0, emf_v: 0.0 } });
            }
            Laid::Injection(k) => {
                let old = &base.system.injections[k];
                if let Part::Current { nodes, ampere } = part
                    && same(base.pair(nodes.0, nodes.1), old.pair)
                {
                    let (place, rule) =
                        (Place::between(old.pair), Rule::Fixed(ampere - old.ampere));
                    self.added.push(Added { place, rule });
                    self.flows.push((branch, Flow::Fixed(ampere)));
                    return Ok(());
                }
                return Err(Why::Unlike);
            }
            Laid::Port(port) => match part {
                Part::Law { nodes, law } if same(base.pair(nodes.0, nodes.1), base.pairs[port]) => {
                    self.laws.push((port, Some(law)));
                    self.flows.push((branch, Flow::Port(port)));
                    return Ok(());
                }
                _ => self.laws.push((port, None)),
            },
            Laid::Converter(k) => return self.changed_converter(base, branch, k, element, &part),
        }
        self.add(base, branch, part)
    }

    /// Whether the branch is still a resistance between the same nodes, and so one current does.
    fn changed_conductance(
        &mut self,
        base: &Base,
        branch: BranchId,
        k: usize,
        part: &Part,
    ) -> bool {
        let old = &base.system.conductances[k];
        let &Part::Linear { nodes, ohm, emf_v } = part else { return false };
        if ohm <= VOLTAGE_DEFINED_UP_TO_OHM || !same(base.pair(nodes.0, nodes.1), old.pair) {
            return false;
        }
        let place = Place::between(old.pair);
        let more_s = 1.0 / ohm - old.siemens;
        let rule = if more_s.abs() > 0.0 {
            let emf_v = (emf_v / ohm - old.siemens * old.emf_v) / more_s;
            Rule::Ohm { ohm: 1.0 / more_s, emf_v }
        } else {
            Rule::Fixed(-old.siemens * (emf_v - old.emf_v))
        };
        self.added.push(Added { place, rule });
        self.flows.push((branch, Flow::Ohm { place, ohm, emf_v }));
        true
    }

    /// Whether the branch is still linear between the same nodes: `v - ohm i = emf`.
    fn changed_row(&mut self, base: &Base, branch: BranchId, k: usize, part: &Part) -> bool {
        let old = &base.system.rows[k];
        let &Part::Linear { nodes, ohm, emf_v } = part else { return false };
        if !same(base.pair(nodes.0, nodes.1), old.pair) {
            return false;
        }
        let (less_ohm, less_v) = (old.ohm - ohm, old.volt - emf_v);
        let rule = if less_ohm.abs() > 0.0 {
            Rule::Ohm { ohm: 1.0 / less_ohm, emf_v: -less_v / less_ohm }
        } else {
            Rule::Fixed(less_v)
        };
        self.added.push(Added { place: Place::row(old.row), rule });
        self.flows.push((branch, Flow::Row(old.row)));
        true
    }

    fn changed_converter(
        &mut self,
        base: &Base,
        branch: BranchId,
        k: usize,
        element: &Element,
        part: &Part,
    ) -> Result<(), Why> {
        let mut ports = base.system.converters[k].clone();
        match (part, element) {
            (Part::Nothing, _) => {
                self.converters.push((k, None));
                self.flows.push((branch, Flow::Fixed(0.0)));
                Ok(())
            }
            (
                Part::Converter,
                &Element::Converter {
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
                },
            ) if limit_a > 0.0
                && power_w > 0.0
                && same(base.pair(in_plus, in_minus), ports.input)
                && same(base.pair(out_plus, out_minus), ports.output) =>
            {
                ports.regulator = Regulator { set_v, droop_ohm, limit_a, power_w };
                (ports.efficiency, ports.idle_w) = (efficiency, idle_w);
                self.converters.push((k, Some(ports)));
                self.flows.push((branch, Flow::Converter(k)));
                Ok(())
            }
            _ => Err(Why::Unlike),
        }
    }

    /// Puts in what the branch is now, where nothing is any more.
    fn add(&mut self, base: &Base, branch: BranchId, part: Part) -> Result<(), Why> {
        let flow = match part {
            Part::Nothing => Flow::Fixed(0.0),
            // Ideal sources may contradict each other, currents may lose their way back.
            Part::Linear { ohm: 0.0, .. } | Part::Current { .. } | Part::Converter => {
                return Err(Why::Unlike);
            }
            Part::Linear { nodes, ohm, emf_v } => {
                let place = Place::between(base.pair(nodes.0, nodes.1));
                self.added.push(Added { place, rule: Rule::Ohm { ohm, emf_v } });
                self.links.push(nodes);
                Flow::Added(self.added.len() - 1)
            }
            Part::Law { nodes, law } => {
                let place = Place::between(base.pair(nodes.0, nodes.1));
                self.extras.push(Extra { place, law });
                self.extra_branches.push(branch);
                self.links.push(nodes);
                Flow::Port(base.port_count() + self.extras.len() - 1)
            }
        };
        self.flows.push((branch, flow));
        Ok(())
    }

    /// Whether the change joins what hung apart.
    /// Lets converters that run in the base lose their feed; `None` where that moves islands, or the
    /// change touches them.
    pub(super) fn collapse(
        &mut self,
        circuit: &Circuit,
        base: &Base,
        converters: &[BranchId],
    ) -> Option<()> {
        for &branch in converters.iter().filter(|branch| !base.collapsed.contains(branch)) {
            let Laid::Converter(k) = base.laid[branch.0 as usize] else { return None };
            if self.flows.iter().any(|(touched, _)| *touched == branch) {
                return None;
            }
            let converter = &base.system.converters[k];
            let rule = Rule::Ohm { ohm: converter.collapsed_ohm(), emf_v: 0.0 };
            self.flows.push((branch, Flow::Added(self.added.len())));
            self.added.push(Added { place: Place::between(converter.input), rule });
            self.converters.push((k, None));
            self.joined.push((branch, joins(&circuit.branch(branch).element, true)));
            self.collapsed.push(branch);
        }
        (self.roots(circuit, base) == base.system.root).then_some(())
    }

    /// Whether all ports keep the laws they have in the base, and none is added.
    pub(super) fn changes_no_law(&self) -> bool {
        self.extras.is_empty() && self.laws.is_empty() && self.converters.is_empty()
    }

    pub(super) fn joins_islands(&self, base: &Base) -> bool {
        let root = |node: NodeId| base.system.root[node.0 as usize];
        self.links.iter().any(|&(a, b)| root(a) != root(b))
    }

    /// The lowest node of every node's island after the change.
    pub(super) fn roots(&self, circuit: &Circuit, base: &Base) -> Vec<u32> {
        let setting = base.setting();
        let mut sets = Sets::new(circuit.node_count());
        for (id, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
            let edited = self.joined.iter().find(|(b, _)| *b == id);
            let as_was = || joins(&branch.element, setting.collapsed.contains(&id));
            let pairs = edited.map_or_else(as_was, |(_, pairs)| *pairs);
            for (a, b) in pairs.into_iter().flatten() {
                sets.join(a.0 as usize, b.0 as usize);
            }
        }
        for &(a, b) in &self.links {
            sets.join(a.0 as usize, b.0 as usize);
        }
        (0..circuit.node_count()).map(|node| sets.root(node) as u32).collect()
    }

    /// Ties islands that are new, and takes away the ties of islands that are no more.
    pub(super) fn tie(&mut self, base: &Base, roots: &[u32]) {
        for (node, (was, is)) in base.system.root.iter().zip(roots).enumerate().skip(1) {
            let (was, is) = (*was as usize == node, *is as usize == node);
            if was != is {
                let pair = base.pair(NodeId(node as u32), circuit::REFERENCE);
                let ohm = if is { 1.0 / TIE_S } else { -1.0 / TIE_S };
                let rule = Rule::Ohm { ohm, emf_v: 0.0 };
                self.added.push(Added { place: Place::between(pair), rule });
            }
        }
    }
}

/// What an element is to the equations, with a resistance in series.
fn part(element: &Element, series_ohm: f64) -> Result<Part, Why> {
    let is_idle = joins(element, false).iter().all(Option::is_none);
    let nodes = element.nodes();
    let nodes = (nodes[0], nodes[1]);
    let linear = |ohm: f64, emf_v: f64| Part::Linear { nodes, ohm: ohm + series_ohm, emf_v };
    Ok(match *element {
        Element::Current { ampere, .. } if ampere.abs() > 0.0 => Part::Current { nodes, ampere },
        _ if is_idle => Part::Nothing,
        Element::Resistor { ohm, .. } => linear(ohm, 0.0),
        Element::Voltage { volt, .. } => linear(0.0, volt),
        Element::Motor { armature_ohm, back_emf_v, .. } => linear(armature_ohm, back_emf_v),
        Element::Battery { rest_v, discharge_ohm, charge_ohm, .. } => {
            let (discharge_ohm, charge_ohm) = (discharge_ohm + series_ohm, charge_ohm + series_ohm);
            Part::Law { nodes, law: Law::Battery { rest_v, discharge_ohm, charge_ohm } }
        }
        _ if series_ohm > 0.0 => return Err(Why::Unlike),
        Element::Converter { .. } => Part::Converter,
        _ => Part::Law { nodes, law: Law::of(element).ok_or(Why::Unlike)? },
    })
}

fn same(a: Pair, b: Pair) -> bool {
    (a.a, a.b) == (b.a, b.b)
}

/// The current of a touched branch, where it does not need a law.
pub(super) fn linear_flow(flow: Flow, added_a: &[f64], volt: impl Fn(Place) -> f64) -> Option<f64> {
    match flow {
        Flow::Ohm { place, ohm, emf_v } => Some((volt(place) - emf_v) / ohm),
        Flow::Row(row) => Some(volt(Place::row(row))),
        Flow::Added(k) => Some(added_a[k]),
        Flow::Fixed(ampere) => Some(ampere),
        Flow::Port(_) | Flow::Converter(_) => None,
    }
}
