//! What all variants of a circuit in given guard positions share: the solved circuit, the factors
//! of its equations there, and what a unit current does at every port, each found once.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use circuit::{BranchId, Circuit, Element, NodeId};

use super::known::Known;
use crate::assemble::{Pair, Setting, System, value};
use crate::laws::{Law, Line};
use crate::newton::LEAST_INPUT_V;
use crate::point::solve_with_collapses;
use crate::sparse::{Factors, NO_SLOT};
use crate::tangent::Tangent;

/// Miss a column may keep when it is put back into the equations, as a part of one ampere.
const COLUMN_PART: f64 = 1e-7;

/// Slope given to flat pieces, S: little beside wires, and enough to hold what hangs on it alone.
/// Any slope would do, as what differs from the lines is followed exactly.
const LOOSE_S: f64 = 1e-3;

/// How clearly a collapsed converter must be without feed.
const UNFED_PART: f64 = 0.1;

/// Where something acts on the equations: between two unknowns, or on the equation of a
/// voltage-defined branch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Touch {
    /// Between two nodes' unknowns, the lower first.
    Pair(u32, u32),
    /// The unknown current of a voltage-defined branch.
    Row(u32),
}

impl Touch {
    /// What the place sees of a set of unknowns.
    pub(super) fn of(self, x: &[f64]) -> f64 {
        match self {
            Touch::Pair(a, b) => value(x, a) - value(x, b),
            Touch::Row(row) => x[row as usize],
        }
    }
}

/// A place with a direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) touch: Touch,
    pub(super) sign: f64,
}

impl Place {
    pub(super) fn between(pair: Pair) -> Place {
        let (low, high) = (pair.a.min(pair.b), pair.a.max(pair.b));
        let sign = if pair.a == low { 1.0 } else { -1.0 };
        Place { touch: Touch::Pair(low, high), sign }
    }

    pub(super) fn row(row: u32) -> Place {
        Place { touch: Touch::Row(row), sign: 1.0 }
    }

    pub(super) fn of(self, x: &[f64]) -> f64 {
        self.sign * self.touch.of(x)
    }
}

/// What a unit current taken at a place does.
pub(super) struct Column {
    /// To every unknown.
    pub(super) x: Vec<f64>,
    /// To the voltage of every port.
    pub(super) at_ports: Vec<f64>,
    /// What a unit current taken at every port does to the place.
    pub(super) from_ports: Vec<f64>,
}

/// How a branch is laid out in the equations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Laid {
    /// Not there: its guard is off, or it can carry nothing.
    Absent,
    /// `conductances[k]`.
    Conductance(usize),
    /// `rows[k]`.
    Row(usize),
    /// `injections[k]`.
    Injection(usize),
    /// Port `k`.
    Port(usize),
    /// `converters[k]`; its input is port `ports + 2k`, its output the next.
    Converter(usize),
}

/// A circuit solved in given guard positions, ready for changes.
pub(super) struct Base {
    pub(super) system: System,
    pub(super) positions: Vec<bool>,
    /// Converters without feed, laid out as the resistor they are to it.
    pub(super) collapsed: Vec<BranchId>,
    pub(super) x: Vec<f64>,
    pub(super) laid: Vec<Laid>,
    /// Pair of every port: two-pole elements, then input and output of every converter.
    pub(super) pairs: Vec<Pair>,
    /// Line every port has in the equations, at the solved voltage.
    pub(super) lines: Vec<Line>,
    /// Slope of every converter's input over the voltage of its output.
    pub(super) cross_s: Vec<f64>,
    /// `response[q * ports + p]`: fall of port `p` per ampere taken at port `q`.
    pub(super) response: Vec<f64>,
    pub(super) port_columns: Vec<Arc<Column>>,
    columns: Mutex<HashMap<Touch, Arc<Column>>>,
    factors: Mutex<Factors>,
    values: Vec<f64>,
    pub(super) known: Known,
}

impl Base {
    /// `None` where there is nothing to start from: no operating point, or a converter collapsed that
    /// has a feed and so might run.
    pub(super) fn new(circuit: &Circuit, positions: &[bool]) -> Option<Base> {
        let mut solved = solve_with_collapses(circuit, positions).ok()?;
        let mut collapsed = std::mem::take(&mut solved.collapsed);
        collapsed.retain(|&c| Setting { positions, collapsed: &[] }.has(circuit, c));
        let setting = Setting { positions, collapsed: &collapsed };
        let system = System::tied(circuit, &setting).ok()?;
        let x = carried_over(&solved.system, &solved.solution.x, &system);
        let tangent = Tangent::at(&system, &x, LOOSE_S);
        let values = tangent.matrix(&system);
        let mut factors = Factors::new(&system.pattern)?;
        factors.factor(&system.pattern, &values)?;
        let converter_pairs = system.converters.iter().flat_map(|c| [c.input, c.output]);
        let pairs: Vec<Pair> = system.ports.iter().map(|p| p.pair).chain(converter_pairs).collect();
        let mut base = Base {
            laid: laid_out(circuit, &system),
            positions: positions.to_vec(),
            collapsed,
            x,
            pairs,
            lines: tangent.lines,
            cross_s: tangent.cross_s,
            response: Vec::new(),
            port_columns: Vec::new(),
            columns: Mutex::default(),
            factors: Mutex::new(factors),
            values,
            system,
            known: Known::default(),
        };
        let volt = |pair: Pair| pair.volt(&base.x);
        let unfed = |&c: &BranchId| base.is_unfed(circuit, c, base.input(circuit, c).map(volt));
        if !base.collapsed.iter().all(unfed) {
            return None;
        }
        base.respond()?;
        Some(base)
    }

    /// What every variant of this base is laid out by.
    pub(super) fn setting(&self) -> Setting<'_> {
        Setting { positions: &self.positions, collapsed: &self.collapsed }
    }

    fn input(&self, circuit: &Circuit, converter: BranchId) -> Option<Pair> {
        let nodes = circuit.branch(converter).element.nodes();
        Some(self.pair(*nodes.first()?, *nodes.get(1)?))
    }

    /// Whether a collapsed converter, a resistor to its feed, has no feed that could let it run. Feeds
    /// bring no more current at a higher voltage, and no voltage above the highest source; so the power
    /// there is at most that voltage times the current that flows. Clear: a tenth of what it draws idle.
    pub(super) fn is_unfed(
        &self,
        circuit: &Circuit,
        converter: BranchId,
        volt: Option<f64>,
    ) -> bool {
        let Element::Converter { idle_w, .. } = circuit.branch(converter).element else {
            return false;
        };
        let Laid::Conductance(k) = self.laid[converter.0 as usize] else { return false };
        let volt = volt.unwrap_or(0.0).abs();
        let most_w = self.system.highest_v * volt * self.system.conductances[k].siemens;
        volt < UNFED_PART * LEAST_INPUT_V && most_w <= UNFED_PART * idle_w
    }

    /// Solves once for every port.
    fn respond(&mut self) -> Option<()> {
        let count = self.pairs.len();
        let places: Vec<Place> = self.pairs.iter().map(|&pair| Place::between(pair)).collect();
        let solved: Vec<Vec<f64>> = places
            .iter()
            .map(|place| {
                let mut x = self.unit(place.touch)?;
                x.iter_mut().for_each(|x| *x *= place.sign);
                Some(x)
            })
            .collect::<Option<_>>()?;
        self.response = vec![0.0; count * count];
        for (q, x) in solved.iter().enumerate() {
            for (p, place) in places.iter().enumerate() {
                self.response[q * count + p] = place.of(x);
            }
        }
        for (q, x) in solved.into_iter().enumerate() {
            let at_ports = self.response[q * count..(q + 1) * count].to_vec();
            let from_ports = (0..count).map(|p| self.response[p * count + q]).collect();
            self.port_columns.push(Arc::new(Column { x, at_ports, from_ports }));
        }
        Some(())
    }

    pub(super) fn port_count(&self) -> usize {
        self.pairs.len()
    }

    /// The nodes of every port, in their order.
    pub(super) fn port_nodes(&self, circuit: &Circuit) -> Vec<(NodeId, NodeId)> {
        let nodes = |branch: BranchId| circuit.branch(branch).element.nodes();
        let two_poles = self.system.ports.iter().map(|port| nodes(port.branch));
        let of = |nodes: Vec<NodeId>| {
            nodes.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect::<Vec<_>>()
        };
        let converters = self.system.converters.iter().map(|converter| nodes(converter.branch));
        two_poles.chain(converters).flat_map(of).collect()
    }

    /// The law of a port, unless it belongs to a converter.
    pub(super) fn law(&self, port: usize) -> Option<&Law> {
        self.system.ports.get(port).map(|p| &p.law)
    }

    pub(super) fn pair(&self, a: NodeId, b: NodeId) -> Pair {
        Pair { a: self.system.index[a.0 as usize], b: self.system.index[b.0 as usize] }
    }

    /// What a unit current taken at a place does, solved for once. `None`: it fails its check.
    pub(super) fn column(&self, touch: Touch) -> Option<Arc<Column>> {
        if let Some(column) = held(&self.columns).get(&touch) {
            return Some(Arc::clone(column));
        }
        let x = self.unit(touch)?;
        let at_ports = self.pairs.iter().map(|pair| pair.volt(&x)).collect();
        let from_ports = self.port_columns.iter().map(|column| touch.of(&column.x)).collect();
        let column = Arc::new(Column { x, at_ports, from_ports });
        held(&self.columns).insert(touch, Arc::clone(&column));
        Some(column)
    }

    fn unit(&self, touch: Touch) -> Option<Vec<f64>> {
        let mut unit = vec![0.0; self.system.size];
        match touch {
            Touch::Pair(a, b) => {
                for (unknown, sign) in [(a, 1.0), (b, -1.0)] {
                    if unknown != NO_SLOT {
                        unit[unknown as usize] += sign;
                    }
                }
            }
            Touch::Row(row) => unit[row as usize] = 1.0,
        }
        let mut x = unit.clone();
        held(&self.factors).substitute(&mut x)?;
        let back = self.system.pattern.times(&self.values, &x);
        let fits = back.iter().zip(&unit).all(|(got, wanted)| (got - wanted).abs() <= COLUMN_PART);
        fits.then_some(x)
    }
}

/// What is kept is put in whole, so a thread that ended while it held it leaves nothing half done.
fn held<T>(kept: &Mutex<T>) -> MutexGuard<'_, T> {
    kept.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The unknowns of the grounded equations as those of the tied ones.
fn carried_over(from: &System, x: &[f64], to: &System) -> Vec<f64> {
    let mut carried = vec![0.0; to.size];
    for (node, &slot) in to.index.iter().enumerate() {
        if slot != NO_SLOT {
            carried[slot as usize] = value(x, from.index[node]);
        }
    }
    for (old, new) in from.rows.iter().zip(&to.rows) {
        carried[new.row as usize] = x[old.row as usize];
    }
    carried
}

fn laid_out(circuit: &Circuit, system: &System) -> Vec<Laid> {
    let mut laid = vec![Laid::Absent; circuit.branch_count()];
    let mut note = |branch: BranchId, how: Laid| laid[branch.0 as usize] = how;
    for (k, c) in system.conductances.iter().enumerate() {
        note(c.branch, Laid::Conductance(k));
    }
    for (k, row) in system.rows.iter().enumerate() {
        note(row.branch, Laid::Row(k));
    }
    for (k, j) in system.injections.iter().enumerate() {
        note(j.branch, Laid::Injection(k));
    }
    for (k, port) in system.ports.iter().enumerate() {
        note(port.branch, Laid::Port(k));
    }
    for (k, c) in system.converters.iter().enumerate() {
        note(c.branch, Laid::Converter(k));
    }
    laid
}
