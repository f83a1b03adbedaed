//! What is known of a variant: voltages, currents, islands, equipment that is off. Voltages are
//! put together when they are asked for, from the few numbers that differ from the base.

use std::sync::Arc;

use circuit::{BranchId, Circuit, GuardId, NodeId};

use super::base::{Base, Laid, Place};
use super::plan::{Flow, Plan, linear_flow};
use super::reduced::Found;
use super::{How, Why};
use crate::laws::Law;
use crate::newton::converter_input;
use crate::settle::Sensed;
use crate::{NodeVoltage, OperatingPoint};

/// A solved variant of a circuit, in given guard positions.
///
/// Nodes and branches are those of the circuit without change; what a change added has no id.
pub struct Answer {
    inner: Inner,
}

enum Inner {
    Update(Box<Update>),
    Full { point: Box<OperatingPoint>, why: Why },
}

struct Update {
    circuit: Arc<Circuit>,
    base: Arc<Base>,
    plan: Plan,
    found: Found,
    /// Lowest node of every node's island, where the change moved any.
    roots: Option<Vec<u32>>,
}

impl Answer {
    pub(super) fn full(point: OperatingPoint, why: Why) -> Answer {
        Answer { inner: Inner::Full { point: Box::new(point), why } }
    }

    pub(super) fn update(
        circuit: &Arc<Circuit>,
        base: &Arc<Base>,
        plan: Plan,
        found: Found,
        roots: Option<Vec<u32>>,
    ) -> Result<Answer, Why> {
        let (circuit, base) = (Arc::clone(circuit), Arc::clone(base));
        let update = Update { circuit, base, plan, found, roots };
        match update.stay_unfed() {
            true => Ok(Answer { inner: Inner::Update(Box::new(update)) }),
            false => Err(Why::Mode),
        }
    }

    /// How it was found.
    pub fn how(&self) -> How {
        match &self.inner {
            Inner::Update(update) => How::Update { iterations: update.found.iterations },
            Inner::Full { why, .. } => How::Full(*why),
        }
    }

    /// Positions of the guards the answer belongs to.
    pub fn guards(&self) -> &[bool] {
        match &self.inner {
            Inner::Update(update) => &update.base.positions,
            Inner::Full { point, .. } => &point.guards,
        }
    }

    /// A node's voltage against the reference node.
    pub fn voltage(&self, node: NodeId) -> NodeVoltage {
        match &self.inner {
            Inner::Update(update) => update.voltage(node),
            Inner::Full { point, .. } => point.voltage(node),
        }
    }

    /// Voltage of `a` against `b`, V; `None` if nothing joins them.
    pub fn between(&self, a: NodeId, b: NodeId) -> Option<f64> {
        match &self.inner {
            Inner::Update(update) => update.between(a, b),
            Inner::Full { point, .. } => point.between(a, b),
        }
    }

    /// Current of a branch from its first terminal through it to its second, A, as
    /// [`OperatingPoint::current`].
    pub fn current(&self, branch: BranchId) -> f64 {
        match &self.inner {
            Inner::Update(update) => update.currents(branch).0,
            Inner::Full { point, .. } => point.current(branch),
        }
    }

    /// Current a converter delivers, A; `None` for any other branch, and for one taken out.
    pub fn output_current(&self, branch: BranchId) -> Option<f64> {
        match &self.inner {
            Inner::Update(update) => update.currents(branch).1,
            Inner::Full { point, .. } => point.output_current(branch),
        }
    }

    /// Constant-power loads below their cut-out and converters without output: equipment that is
    /// off.
    pub fn off(&self) -> Vec<BranchId> {
        match &self.inner {
            Inner::Update(update) => update.cut_out(),
            Inner::Full { point, .. } => {
                let mut off = point.cut_out.clone();
                off.extend(&point.collapsed);
                off.sort();
                off
            }
        }
    }

    /// Guards that sense a floating pair and so read nothing.
    pub fn blind_guards(&self) -> Vec<GuardId> {
        match &self.inner {
            Inner::Update(update) => (0_u32..)
                .zip(update.circuit.guards())
                .filter(|(_, g)| self.sensed_by(g.sense).is_none())
                .map(|(k, _)| GuardId(k))
                .collect(),
            Inner::Full { point, .. } => point.blind_guards.clone(),
        }
    }
}

impl Sensed for Answer {
    fn sensed_v(&self, a: NodeId, b: NodeId) -> Option<f64> {
        self.between(a, b)
    }

    fn sensed_a(&self, branch: BranchId) -> f64 {
        self.current(branch)
    }

    fn positions(&self) -> &[bool] {
        self.guards()
    }
}

impl Update {
    fn root(&self, node: NodeId) -> u32 {
        self.roots.as_ref().unwrap_or(&self.base.system.root)[node.0 as usize]
    }

    fn voltage(&self, node: NodeId) -> NodeVoltage {
        match self.root(node) {
            0 => {
                let pair = self.base.pair(node, circuit::REFERENCE);
                NodeVoltage::Known(self.volt(Place::between(pair)))
            }
            island => NodeVoltage::Floating { island },
        }
    }

    fn between(&self, a: NodeId, b: NodeId) -> Option<f64> {
        let joined = self.root(a) == self.root(b);
        joined.then(|| self.volt(Place::between(self.base.pair(a, b))))
    }

    /// What a place sees in this variant: `x - sum of columns times currents beyond the base`.
    fn volt(&self, place: Place) -> f64 {
        let mut volt = place.of(&self.base.x);
        for (column, ampere) in self.base.port_columns.iter().zip(&self.found.beyond_a) {
            if ampere.abs() > 0.0 {
                volt -= ampere * place.of(&column.x);
            }
        }
        let beyond = &self.found.beyond_a[self.base.port_count()..];
        let extras = self.plan.extras.iter().map(|extra| extra.place).zip(beyond);
        let added = self.plan.added.iter().map(|added| added.place).zip(&self.found.added_a);
        for (at, ampere) in extras.chain(added) {
            // The column was found when the variant was solved.
            let column = self.base.column(at.touch).expect("a column that was used before");
            volt -= ampere * at.sign * place.of(&column.x);
        }
        volt
    }

    /// Current of the first port, and of a converter's output.
    fn currents(&self, branch: BranchId) -> (f64, Option<f64>) {
        let volt = |place| self.volt(place);
        let system = &self.base.system;
        if let Some((_, flow)) = self.plan.flows.iter().find(|(b, _)| *b == branch) {
            if let Some(ampere) = linear_flow(*flow, &self.found.added_a, volt) {
                let output_a = self.plan.collapsed.contains(&branch).then_some(0.0);
                return (ampere, output_a);
            }
            return match *flow {
                Flow::Converter(k) => self.converter(k),
                Flow::Port(port) => (self.port_a(port), None),
                _ => (0.0, None),
            };
        }
        match self.base.laid[branch.0 as usize] {
            Laid::Absent => (0.0, self.nothing_out(branch)),
            Laid::Conductance(k) => {
                let c = &system.conductances[k];
                let first_a = c.siemens * (volt(Place::between(c.pair)) - c.emf_v);
                (first_a, self.nothing_out(branch))
            }
            Laid::Row(k) => (volt(Place::row(system.rows[k].row)), None),
            Laid::Injection(k) => (system.injections[k].ampere, None),
            Laid::Port(port) => (self.port_a(port), None),
            Laid::Converter(k) => self.converter(k),
        }
    }

    /// What a converter delivers that does not run.
    fn nothing_out(&self, branch: BranchId) -> Option<f64> {
        let element = &self.circuit.branch(branch).element;
        matches!(element, circuit::Element::Converter { .. }).then_some(0.0)
    }

    /// Converters without feed that the change leaves in.
    fn collapsed(&self) -> impl Iterator<Item = BranchId> + '_ {
        let touched = |branch: &BranchId| self.plan.flows.iter().any(|(b, _)| b == branch);
        self.base.collapsed.iter().copied().filter(move |branch| !touched(branch))
    }

    /// Whether what has no feed in the base has none here either.
    fn stay_unfed(&self) -> bool {
        self.collapsed().all(|converter| {
            let nodes = self.circuit.branch(converter).element.nodes();
            let volt = self.between(nodes[0], nodes[1]);
            self.base.is_unfed(&self.circuit, converter, volt)
        })
    }

    fn law(&self, port: usize) -> Option<&Law> {
        if let Some(extra) = port.checked_sub(self.base.port_count()) {
            return Some(&self.plan.extras[extra].law);
        }
        match self.plan.laws.iter().find(|(p, _)| *p == port) {
            Some((_, law)) => law.as_ref(),
            None => self.base.law(port),
        }
    }

    fn port_a(&self, port: usize) -> f64 {
        self.law(port).map_or(0.0, |law| law.line(self.found.volts[port], 1.0).ampere)
    }

    fn converter(&self, k: usize) -> (f64, Option<f64>) {
        let changed = self.plan.converters.iter().find(|(c, _)| *c == k);
        let Some(converter) =
            changed.map_or(Some(&self.base.system.converters[k]), |(_, c)| c.as_ref())
        else {
            return (0.0, None);
        };
        let input = self.base.system.ports.len() + 2 * k;
        let (in_v, out_v) = (self.found.volts[input], self.found.volts[input + 1]);
        let delivered_a = converter.regulator.delivers(out_v, 1.0).0;
        (converter_input(converter, in_v, out_v, 1.0).0, Some(delivered_a))
    }

    fn cut_out(&self) -> Vec<BranchId> {
        let own = self.base.system.ports.iter().map(|port| port.branch).enumerate();
        let first = self.base.port_count();
        let extras = self.plan.extra_branches.iter().copied().enumerate();
        let mut off: Vec<BranchId> = own
            .chain(extras.map(|(k, branch)| (first + k, branch)))
            .filter(|(port, _)| {
                self.law(*port).is_some_and(|law| law.has_cut_out(self.found.volts[*port]))
            })
            .map(|(_, branch)| branch)
            .chain(self.collapsed())
            .chain(self.plan.collapsed.iter().copied())
            .collect();
        off.sort();
        off.dedup();
        off
    }
}
