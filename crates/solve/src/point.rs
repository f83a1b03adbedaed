//! An operating point: voltages, currents and powers that passed their own check. The check
//! reads the circuit itself, not the equations built from it. Knows no vehicle.

use circuit::{BranchId, Circuit, Element, GuardId, NodeId, REFERENCE, Sense};

use crate::Trouble;
use crate::assemble::{Setting, System, VOLTAGE_DEFINED_UP_TO_OHM, value};
use crate::newton::{self, LEAST_INPUT_V, Solution, converter_input};
use crate::settle::Sensed;
use crate::validate;

/// Imbalance allowed at a node, A.
const RESIDUAL_A: f64 = 1e-9;
/// Imbalance allowed at a node, as a part of the currents that meet there.
const RESIDUAL_PART: f64 = 1e-9;
/// Rounding steps allowed on `conductance x voltage` when currents are summed.
const ROUNDINGS: f64 = 16.0;
/// Miss allowed between power delivered and power taken, as a part of the power turned over.
const POWER_PART: f64 = 1e-8;

/// How a circuit is to be solved.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// Positions of the guards (`true`: on). `None`: where they start.
    pub guards: Option<Vec<bool>>,
}

/// What is known of a node's voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NodeVoltage {
    /// Against the reference node, V.
    Known(f64),
    /// No path to the reference: undefined, and above all not zero. Nodes of one island share
    /// its number; differences inside it are known ([`OperatingPoint::between`]).
    Floating {
        /// Number of the island, its lowest node.
        island: u32,
    },
}

/// A solved circuit in given guard positions.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Constant-power loads that rest below their cut-out voltage: the equipment is off.
    pub cut_out: Vec<BranchId>,
    /// Converters whose feed is absent or cannot carry them: no output, the feed pulled down.
    pub collapsed: Vec<BranchId>,
    /// Guards that sense a floating pair and so read nothing.
    pub blind_guards: Vec<GuardId>,
    /// Largest sum of currents at any node, A; zero in an exact world.
    pub residual_a: f64,
    /// Power delivered by all branches that deliver, W; equals what the others take.
    pub delivered_w: f64,
    /// Linear solves spent.
    pub iterations: u32,
    /// Positions of the guards this point belongs to.
    pub guards: Vec<bool>,
    /// Lowest node of every node's island.
    island: Vec<u32>,
    /// Voltage against the island's lowest node, V.
    volt: Vec<f64>,
    currents: Vec<BranchCurrent>,
    power_w: Vec<f64>,
}

/// Current of the first port; of a converter also what its output delivers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct BranchCurrent {
    first_a: f64,
    output_a: Option<f64>,
}

impl OperatingPoint {
    /// A node's voltage against the reference node.
    pub fn voltage(&self, node: NodeId) -> NodeVoltage {
        let at = node.0 as usize;
        match self.island[at] {
            0 => NodeVoltage::Known(self.volt[at]),
            island => NodeVoltage::Floating { island },
        }
    }

    /// Voltage of `a` against `b`, V; `None` if nothing joins them.
    pub fn between(&self, a: NodeId, b: NodeId) -> Option<f64> {
        let (a, b) = (a.0 as usize, b.0 as usize);
        (self.island[a] == self.island[b]).then(|| self.volt[a] - self.volt[b])
    }

    /// Current of a branch from its first-named terminal through it to its second, A. A
    /// converter: its input current. A branch whose guard is off: zero.
    pub fn current(&self, branch: BranchId) -> f64 {
        self.currents[branch.0 as usize].first_a
    }

    /// Current a converter delivers out of `out_plus`, A; `None` for any other branch.
    pub fn output_current(&self, branch: BranchId) -> Option<f64> {
        self.currents[branch.0 as usize].output_a
    }

    /// Power a branch takes, W; negative if it delivers. A converter: its losses.
    pub fn power(&self, branch: BranchId) -> f64 {
        self.power_w[branch.0 as usize]
    }

    /// What a guard reads: V or A; `None` if it senses a floating pair.
    pub fn sensed(&self, sense: Sense) -> Option<f64> {
        self.sensed_by(sense)
    }

    /// Whether a load rests below its cut-out voltage, or a converter has collapsed.
    pub fn is_off(&self, branch: BranchId) -> bool {
        self.cut_out.contains(&branch) || self.collapsed.contains(&branch)
    }
}

/// Solves a circuit with its guards held in position.
///
/// Modified nodal analysis with Newton iteration (Ho, Ruehli, Brennan, IEEE Trans. Circuits and
/// Systems 22, 1975; from memory). Of several solutions that a constant-power load may have, the
/// one with the higher voltage is found. The answer is checked before it is handed out: currents
/// sum to zero at every node, and power delivered equals power taken.
///
/// # Errors
/// [`Trouble`] says why there is no answer; it never comes with numbers.
pub fn operating_point(circuit: &Circuit, options: &Options) -> Result<OperatingPoint, Trouble> {
    validate::check(circuit)?;
    let starts = || circuit.guards().iter().map(|g| g.starts_on).collect();
    let positions: Vec<bool> = options.guards.clone().unwrap_or_else(starts);
    if positions.len() != circuit.guards().len() {
        let (expected, given) = (circuit.guards().len(), positions.len());
        return Err(Trouble::WrongPositions { expected, given });
    }
    let solved = solve_with_collapses(circuit, &positions)?;
    Draft::new(circuit, &positions, solved).finish()
}

pub(crate) struct Solved {
    pub(crate) system: System,
    pub(crate) solution: Solution,
    pub(crate) collapsed: Vec<BranchId>,
}

/// Solves with every converter running if that is possible; otherwise with all of them collapsed
/// and then as many running, tried in the order of the circuit, as their feeds can carry.
pub(crate) fn solve_with_collapses(
    circuit: &Circuit,
    positions: &[bool],
) -> Result<Solved, Trouble> {
    let mut spent = 0;
    if let Some(solved) = attempt(circuit, positions, Vec::new(), &mut spent)? {
        return Ok(solved);
    }
    let converters: Vec<BranchId> = circuit
        .branches()
        .filter(|(_, b)| matches!(b.element, Element::Converter { .. }))
        .map(|(id, _)| id)
        .collect();
    let all = converters.clone();
    let nothing = |spent: u32| Trouble::NoOperatingPoint { iterations: spent };
    if all.is_empty() {
        return Err(nothing(spent));
    }
    let mut best = attempt(circuit, positions, all, &mut spent)?.ok_or(nothing(spent))?;
    for candidate in converters {
        let fewer: Vec<BranchId> =
            best.collapsed.iter().copied().filter(|&c| c != candidate).collect();
        if let Some(solved) = attempt(circuit, positions, fewer, &mut spent)? {
            best = solved;
        }
    }
    Ok(best)
}

/// `None` if there is no solution, or one in which a running converter has no feed.
fn attempt(
    circuit: &Circuit,
    positions: &[bool],
    collapsed: Vec<BranchId>,
    spent: &mut u32,
) -> Result<Option<Solved>, Trouble> {
    let system = System::new(circuit, &Setting { positions, collapsed: &collapsed })?;
    match newton::solve(&system) {
        Ok(mut solution) => {
            *spent += solution.iterations;
            solution.iterations = *spent;
            let all_fed =
                system.converters.iter().all(|c| c.input.volt(&solution.x) >= LEAST_INPUT_V);
            Ok(all_fed.then_some(Solved { system, solution, collapsed }))
        }
        Err(not_found) => {
            *spent += not_found.iterations;
            Ok(None)
        }
    }
}

/// An operating point before its check.
struct Draft<'a> {
    circuit: &'a Circuit,
    point: OperatingPoint,
}

impl<'a> Draft<'a> {
    fn new(circuit: &'a Circuit, positions: &[bool], solved: Solved) -> Draft<'a> {
        let Solved { system, solution, mut collapsed } = solved;
        collapsed.retain(|&c| Setting { positions, collapsed: &[] }.has(circuit, c));
        let x = &solution.x;
        let volt: Vec<f64> = system.index.iter().map(|&u| value(x, u)).collect();
        let (currents, cut_out) = read_currents(circuit, &system, x);
        let point = OperatingPoint {
            cut_out,
            collapsed,
            blind_guards: Vec::new(),
            residual_a: 0.0,
            delivered_w: 0.0,
            iterations: solution.iterations,
            guards: positions.to_vec(),
            island: system.root,
            volt,
            currents,
            power_w: Vec::new(),
        };
        Draft { circuit, point }
    }

    fn finish(mut self) -> Result<OperatingPoint, Trouble> {
        self.point.blind_guards = (0_u32..)
            .zip(self.circuit.guards())
            .filter(|(_, g)| self.point.sensed(g.sense).is_none())
            .map(|(k, _)| GuardId(k))
            .collect();
        self.check_currents()?;
        self.check_power()?;
        Ok(self.point)
    }

    fn check_currents(&mut self) -> Result<(), Trouble> {
        let count = self.circuit.node_count();
        let mut nodes = vec![NodeSum::default(); count];
        for (id, branch) in self.circuit.branches() {
            let current = self.point.currents[id.0 as usize];
            let siemens = steepness_s(&branch.element);
            let nodes_of = branch.element.nodes();
            for (port, ampere) in [current.first_a, -current.output_a.unwrap_or(0.0)]
                .into_iter()
                .take(nodes_of.len() / 2)
                .enumerate()
            {
                let (a, b) = (nodes_of[2 * port].0 as usize, nodes_of[2 * port + 1].0 as usize);
                let size_v = self.point.volt[a].abs() + self.point.volt[b].abs();
                nodes[a].add(ampere, siemens * size_v);
                nodes[b].add(-ampere, siemens * size_v);
            }
        }
        self.gather_at_grounds(&mut nodes);
        for (node, sum) in nodes.iter().enumerate() {
            let is_balanced = sum.net_a.abs() <= sum.allowed_a();
            if !is_balanced {
                let name = self.circuit.node_name(NodeId(node as u32));
                let what = format!("{:e} A unaccounted for at `{name}`", sum.net_a);
                return Err(Trouble::FailedCheck { what });
            }
            self.point.residual_a = self.point.residual_a.max(sum.net_a.abs());
        }
        Ok(())
    }

    /// Whatever is allowed to go missing at the nodes of an island turns up at the node that
    /// grounds it, where no equation was solved.
    fn gather_at_grounds(&self, nodes: &mut [NodeSum]) {
        for node in 0..nodes.len() {
            let root = self.point.island[node] as usize;
            if root != node {
                nodes[root].rounding_a += nodes[node].rounding_a;
                nodes[root].gathered_a += RESIDUAL_PART * nodes[node].traffic_a;
            }
        }
    }

    fn check_power(&mut self) -> Result<(), Trouble> {
        let (mut delivered_w, mut taken_w, mut allowed_w) = (0.0, 0.0, 0.0);
        for (id, branch) in self.circuit.branches() {
            let current = self.point.currents[id.0 as usize];
            let nodes = branch.element.nodes();
            let across = |k: usize| {
                let (a, b) = (nodes[k].0 as usize, nodes[k + 1].0 as usize);
                self.point.volt[a] - self.point.volt[b]
            };
            let mut flows_w = vec![across(0) * current.first_a];
            if let Some(output_a) = current.output_a {
                flows_w.push(-across(2) * output_a);
            }
            for watt in &flows_w {
                if *watt < 0.0 { delivered_w -= watt } else { taken_w += watt }
            }
            self.point.power_w.push(flows_w.iter().sum());
            let siemens = steepness_s(&branch.element);
            let size_v = nodes.iter().map(|n| self.point.volt[n.0 as usize].abs()).sum::<f64>();
            allowed_w += ROUNDINGS * f64::EPSILON * siemens * size_v * size_v;
        }
        allowed_w += POWER_PART * taken_w + RESIDUAL_A;
        let is_balanced = (delivered_w - taken_w).abs() <= allowed_w;
        if !is_balanced {
            let what = format!("{delivered_w} W delivered but {taken_w} W taken");
            return Err(Trouble::FailedCheck { what });
        }
        self.point.delivered_w = delivered_w;
        Ok(())
    }
}

#[derive(Clone, Copy, Default)]
struct NodeSum {
    net_a: f64,
    traffic_a: f64,
    rounding_a: f64,
    /// What the other nodes of the island were allowed in proportion to their currents.
    gathered_a: f64,
}

impl NodeSum {
    fn add(&mut self, ampere: f64, rounding_a: f64) {
        self.net_a += ampere;
        self.traffic_a += ampere.abs();
        self.rounding_a += rounding_a;
    }

    fn allowed_a(&self) -> f64 {
        RESIDUAL_A
            + RESIDUAL_PART * self.traffic_a
            + self.gathered_a
            + ROUNDINGS * f64::EPSILON * self.rounding_a
    }
}

/// Steepest slope an element's current can have because a voltage is rounded, S.
fn steepness_s(element: &Element) -> f64 {
    match *element {
        Element::Resistor { ohm, .. } if ohm > VOLTAGE_DEFINED_UP_TO_OHM => 1.0 / ohm,
        Element::Motor { armature_ohm, .. } if armature_ohm > VOLTAGE_DEFINED_UP_TO_OHM => {
            1.0 / armature_ohm
        }
        Element::Battery { discharge_ohm, charge_ohm, .. } => 1.0 / discharge_ohm.min(charge_ohm),
        Element::OneWay { ohm, .. } => 1.0 / ohm,
        Element::LimitedSource { droop_ohm, .. }
        | Element::PowerSource { droop_ohm, .. }
        | Element::Converter { droop_ohm, .. } => 1.0 / droop_ohm,
        _ => 0.0,
    }
}

fn read_currents(
    circuit: &Circuit,
    system: &System,
    x: &[f64],
) -> (Vec<BranchCurrent>, Vec<BranchId>) {
    let mut currents: Vec<BranchCurrent> = circuit
        .branches()
        .map(|(_, b)| BranchCurrent {
            first_a: 0.0,
            output_a: matches!(b.element, Element::Converter { .. }).then_some(0.0),
        })
        .collect();
    for c in &system.conductances {
        currents[c.branch.0 as usize].first_a = c.siemens * (c.pair.volt(x) - c.emf_v);
    }
    for row in &system.rows {
        currents[row.branch.0 as usize].first_a = x[row.row as usize];
    }
    for j in &system.injections {
        currents[j.branch.0 as usize].first_a = j.ampere;
    }
    let mut cut_out = Vec::new();
    for port in &system.ports {
        let volt = port.pair.volt(x);
        currents[port.branch.0 as usize].first_a = port.law.line(volt, 1.0).ampere;
        if port.law.has_cut_out(volt) {
            cut_out.push(port.branch);
        }
    }
    for c in &system.converters {
        let (in_v, out_v) = (c.input.volt(x), c.output.volt(x));
        let current = &mut currents[c.branch.0 as usize];
        current.first_a = converter_input(c, in_v, out_v, 1.0).0;
        current.output_a = Some(c.regulator.delivers(out_v, 1.0).0);
    }
    (currents, cut_out)
}

const _: () = assert!(REFERENCE.0 == 0, "island 0 is the reference's island");
