//! From a circuit with its guards in given positions to the equations of modified nodal
//! analysis: one unknown per node, one per voltage-defined branch. Solves nothing.

use circuit::{BranchId, Circuit, Element, NodeId};

use crate::Trouble;
use crate::islands::{Sets, SourceForest};
use crate::laws::{Law, Regulator};
use crate::sparse::{NO_SLOT, Pattern};

/// Resistances up to this carry their current as an unknown of their own, so that busbars do
/// not spoil the accuracy of everything around them.
pub(crate) const VOLTAGE_DEFINED_UP_TO_OHM: f64 = 1e-6;

/// Two unknowns, either of which may be grounded away.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pair {
    pub(crate) a: u32,
    pub(crate) b: u32,
}

impl Pair {
    pub(crate) fn volt(self, x: &[f64]) -> f64 {
        value(x, self.a) - value(x, self.b)
    }
}

/// `i = siemens (v - emf_v)`.
pub(crate) struct Conductance {
    pub(crate) branch: BranchId,
    pub(crate) pair: Pair,
    pub(crate) siemens: f64,
    pub(crate) emf_v: f64,
}

/// `v - ohm i = volt`, `i` the unknown `row`.
pub(crate) struct SourceRow {
    pub(crate) branch: BranchId,
    pub(crate) pair: Pair,
    pub(crate) row: u32,
    pub(crate) volt: f64,
    pub(crate) ohm: f64,
}

/// A fixed current from `pair.a` through the branch to `pair.b`.
pub(crate) struct Injection {
    pub(crate) branch: BranchId,
    pub(crate) pair: Pair,
    pub(crate) ampere: f64,
}

/// A nonlinear two-terminal element.
pub(crate) struct Port {
    pub(crate) branch: BranchId,
    pub(crate) pair: Pair,
    pub(crate) law: Law,
    /// Highest source of its island.
    pub(crate) source_v: f64,
    pub(crate) slots: [u32; 4],
}

/// A running converter.
#[derive(Clone)]
pub(crate) struct ConverterPorts {
    pub(crate) branch: BranchId,
    pub(crate) input: Pair,
    pub(crate) output: Pair,
    pub(crate) regulator: Regulator,
    pub(crate) efficiency: f64,
    pub(crate) idle_w: f64,
    /// Highest source of the input's island.
    pub(crate) source_v: f64,
    pub(crate) input_slots: [u32; 4],
    pub(crate) output_slots: [u32; 4],
    /// Rows of the input, columns of the output.
    pub(crate) cross_slots: [u32; 4],
}

impl ConverterPorts {
    /// See [`collapsed_ohm`].
    pub(crate) fn collapsed_ohm(&self) -> f64 {
        let full_w = full_power_w(&self.regulator, self.efficiency, self.idle_w);
        collapsed_ohm(self.source_v, full_w)
    }
}

/// What a converter whose feed cannot carry it looks like from its feed: the resistor that holds
/// the feed at half its open voltage when the feed can bring just the power asked for
/// (`P = V0^2/4R`, `R = V0^2/4P`), so that the voltage joins on where the running solution ends.
fn collapsed_ohm(source_v: f64, full_w: f64) -> f64 {
    let open_v = if source_v > 0.0 { source_v } else { 1.0 };
    open_v * open_v / (4.0 * full_w)
}

/// The equations of a circuit in given guard positions.
pub(crate) struct System {
    /// Unknown of a node, [`NO_SLOT`] where the node grounds its island.
    pub(crate) index: Vec<u32>,
    /// Lowest node of a node's island; it grounds the island.
    pub(crate) root: Vec<u32>,
    pub(crate) node_unknowns: usize,
    pub(crate) pattern: Pattern,
    /// Matrix values of the linear part.
    pub(crate) base: Vec<f64>,
    /// Diagonal slot of every node unknown.
    pub(crate) diagonal: Vec<u32>,
    pub(crate) size: usize,
    pub(crate) conductances: Vec<Conductance>,
    pub(crate) rows: Vec<SourceRow>,
    pub(crate) injections: Vec<Injection>,
    pub(crate) ports: Vec<Port>,
    pub(crate) converters: Vec<ConverterPorts>,
    /// Highest source anywhere, V.
    pub(crate) highest_v: f64,
}

/// Which branches take part, and which converters have collapsed.
pub(crate) struct Setting<'a> {
    pub(crate) positions: &'a [bool],
    pub(crate) collapsed: &'a [BranchId],
}

impl Setting<'_> {
    /// Whether a branch is there at all.
    pub(crate) fn has(&self, circuit: &Circuit, branch: BranchId) -> bool {
        circuit.branch(branch).while_on.is_none_or(|g| self.positions[g.0 as usize])
    }
}

impl System {
    /// Finds islands and loops of ideal sources, then lays out unknowns and matrix.
    pub(crate) fn new(circuit: &Circuit, setting: &Setting) -> Result<System, Trouble> {
        let mut sets = join_nodes(circuit, setting)?;
        let root: Vec<u32> = (0..circuit.node_count()).map(|n| sets.root(n) as u32).collect();
        check_returns(circuit, setting, &root)?;
        let source_v = highest_sources(circuit, setting, &root);
        let mut layout = Layout::new(root, source_v);
        for (id, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
            layout.place(id, &branch.element, setting.collapsed.contains(&id));
        }
        Ok(layout.finish())
    }

    /// As [`System::new`], but every island except the reference's keeps an unknown for its lowest
    /// node and is held by [`TIE_S`] to the reference instead. No current flows in a tie, so it
    /// changes no difference of voltage; and unlike a grounded node it can be taken away again.
    pub(crate) fn tied(circuit: &Circuit, setting: &Setting) -> Result<System, Trouble> {
        let mut sets = join_nodes(circuit, setting)?;
        let root: Vec<u32> = (0..circuit.node_count()).map(|n| sets.root(n) as u32).collect();
        let source_v = highest_sources(circuit, setting, &root);
        let mut layout = Layout::tied(root, source_v);
        for (id, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
            layout.place(id, &branch.element, setting.collapsed.contains(&id));
        }
        Ok(layout.finish())
    }
}

/// Conductance that holds an island to the reference in [`System::tied`], S.
pub(crate) const TIE_S: f64 = 1.0;

/// The value of an unknown; grounded ones are zero.
pub(crate) fn value(x: &[f64], unknown: u32) -> f64 {
    if unknown == NO_SLOT { 0.0 } else { x[unknown as usize] }
}

/// Power a converter asks of its feed at full output, W.
pub(crate) fn full_power_w(regulator: &Regulator, efficiency: f64, idle_w: f64) -> f64 {
    let full_v = (regulator.set_v - regulator.limit_a * regulator.droop_ohm).max(0.0);
    (full_v * regulator.limit_a).min(regulator.power_w) / efficiency + idle_w
}

/// Pairs of nodes between which an element settles the difference of voltage. Elements that can
/// never carry current join nothing, and neither does a current source.
pub(crate) fn joins(element: &Element, has_collapsed: bool) -> [Option<(NodeId, NodeId)>; 2] {
    match *element {
        Element::Current { .. } => [None, None],
        Element::ConstantPower { plus, minus, watt, .. } => {
            [(watt.abs() > 0.0).then_some((plus, minus)), None]
        }
        Element::LimitedSource { plus, minus, limit_a, .. } => {
            [(limit_a > 0.0).then_some((plus, minus)), None]
        }
        Element::PowerSource { plus, minus, limit_a, watt, .. } => {
            [(limit_a > 0.0 && watt > 0.0).then_some((plus, minus)), None]
        }
        Element::Converter {
            in_plus,
            in_minus,
            out_plus,
            out_minus,
            limit_a,
            power_w,
            idle_w,
            ..
        } => {
            let can_deliver = limit_a > 0.0 && power_w > 0.0;
            let draws = can_deliver || idle_w > 0.0;
            let delivers = can_deliver && !has_collapsed;
            [draws.then_some((in_plus, in_minus)), delivers.then_some((out_plus, out_minus))]
        }
        _ => {
            let nodes = element.nodes();
            [Some((nodes[0], nodes[1])), None]
        }
    }
}

fn join_nodes(circuit: &Circuit, setting: &Setting) -> Result<Sets, Trouble> {
    let mut sets = Sets::new(circuit.node_count());
    let mut ideal = Sets::new(circuit.node_count());
    let mut forest = SourceForest::default();
    for (id, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
        for (a, b) in joins(&branch.element, setting.collapsed.contains(&id)).into_iter().flatten()
        {
            sets.join(a.0 as usize, b.0 as usize);
        }
        if let Element::Voltage { plus, minus, .. } = branch.element {
            let (a, b) = (plus.0 as usize, minus.0 as usize);
            if !ideal.join(a, b) {
                let mut labels = forest.path(a, b);
                labels.push(id.0 as usize);
                return Err(contradictory(circuit, &labels));
            }
            forest.push(a, b, id.0 as usize);
        }
    }
    Ok(sets)
}

fn contradictory(circuit: &Circuit, labels: &[usize]) -> Trouble {
    let branches: Vec<BranchId> = labels.iter().map(|&l| BranchId(l as u32)).collect();
    Trouble::ContradictorySources { names: names(circuit, &branches), branches }
}

fn names(circuit: &Circuit, branches: &[BranchId]) -> Vec<String> {
    branches.iter().map(|&b| circuit.branch(b).name.clone()).collect()
}

/// A current source between two islands needs another one that brings its current back.
fn check_returns(circuit: &Circuit, setting: &Setting, root: &[u32]) -> Result<(), Trouble> {
    let mut net_a = vec![(0.0_f64, 0.0_f64); root.len()];
    let mut across = Vec::new();
    for (id, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
        let Element::Current { from, to, ampere } = branch.element else { continue };
        let (from, to) = (root[from.0 as usize] as usize, root[to.0 as usize] as usize);
        if from != to && ampere.abs() > 0.0 {
            net_a[from].0 -= ampere;
            net_a[to].0 += ampere;
            net_a[from].1 += ampere.abs();
            net_a[to].1 += ampere.abs();
            across.push((id, from, to));
        }
    }
    let open = |island: usize| net_a[island].0.abs() > 1e-12 * net_a[island].1;
    across.retain(|&(_, from, to)| open(from) || open(to));
    if across.is_empty() {
        return Ok(());
    }
    let branches: Vec<BranchId> = across.iter().map(|a| a.0).collect();
    Err(Trouble::NoReturn { names: names(circuit, &branches), branches })
}

/// The highest source voltage of every island, kept at the island's lowest node.
fn highest_sources(circuit: &Circuit, setting: &Setting, root: &[u32]) -> Vec<f64> {
    let mut highest_v = vec![0.0_f64; root.len()];
    for (_, branch) in circuit.branches().filter(|(id, _)| setting.has(circuit, *id)) {
        let (node, volt) = match branch.element {
            Element::Voltage { plus, volt, .. } => (plus, volt.abs()),
            Element::Battery { plus, rest_v, .. } => (plus, rest_v.abs()),
            Element::LimitedSource { plus, set_v, .. }
            | Element::PowerSource { plus, set_v, .. } => (plus, set_v),
            Element::Converter { out_plus, set_v, .. } => (out_plus, set_v),
            Element::Motor { plus, back_emf_v, .. } => (plus, back_emf_v.abs()),
            Element::SolarModule { plus, ref diode, .. } => {
                (plus, crate::solar::voltage_v(diode, 0.0).unwrap_or(0.0))
            }
            _ => continue,
        };
        let at = &mut highest_v[root[node.0 as usize] as usize];
        *at = at.max(volt);
    }
    highest_v
}

/// Numbers the nodes that are not grounded.
fn unknowns(nodes: usize, is_grounded: impl Fn(usize) -> bool) -> Vec<u32> {
    let mut count = 0;
    let number = |node| {
        if is_grounded(node) {
            return NO_SLOT;
        }
        count += 1;
        count - 1
    };
    (0..nodes).map(number).collect()
}

struct Layout {
    system: System,
    source_v: Vec<f64>,
    entries: Vec<(u32, u32)>,
    /// Linear values, beside their place in `entries`.
    linear: Vec<(usize, f64)>,
    port_entries: Vec<usize>,
    converter_entries: Vec<usize>,
}

impl Layout {
    fn new(root: Vec<u32>, source_v: Vec<f64>) -> Layout {
        let grounded = |node: usize| root[node] as usize == node;
        let index = unknowns(root.len(), grounded);
        Layout::with_unknowns(root, source_v, index)
    }

    fn tied(root: Vec<u32>, source_v: Vec<f64>) -> Layout {
        let index = unknowns(root.len(), |node| node == 0);
        let mut layout = Layout::with_unknowns(root, source_v, index);
        for node in 1..layout.system.root.len() {
            if layout.system.root[node] as usize == node {
                // Entry `u` of the first entries is the diagonal of unknown `u`.
                layout.linear.push((layout.system.index[node] as usize, TIE_S));
            }
        }
        layout
    }

    fn with_unknowns(root: Vec<u32>, source_v: Vec<f64>, index: Vec<u32>) -> Layout {
        let count = index.iter().filter(|&&slot| slot != NO_SLOT).count() as u32;
        let size = count as usize;
        let system = System {
            index,
            root,
            node_unknowns: size,
            pattern: Pattern::new(0, &[]).0,
            base: Vec::new(),
            diagonal: Vec::new(),
            size,
            conductances: Vec::new(),
            rows: Vec::new(),
            injections: Vec::new(),
            ports: Vec::new(),
            converters: Vec::new(),
            highest_v: source_v.iter().copied().fold(0.0, f64::max),
        };
        // Every node has a diagonal entry, so that a leak to ground can be tried.
        let entries = (0..count).map(|u| (u, u)).collect();
        Layout {
            system,
            source_v,
            entries,
            linear: Vec::new(),
            port_entries: Vec::new(),
            converter_entries: Vec::new(),
        }
    }

    fn pair(&self, a: NodeId, b: NodeId) -> Pair {
        Pair { a: self.system.index[a.0 as usize], b: self.system.index[b.0 as usize] }
    }

    fn source_v_at(&self, node: NodeId) -> f64 {
        self.source_v[self.system.root[node.0 as usize] as usize]
    }

    fn place(&mut self, branch: BranchId, element: &Element, has_collapsed: bool) {
        if joins(element, has_collapsed).iter().all(Option::is_none)
            && !matches!(element, Element::Current { .. })
        {
            return;
        }
        match *element {
            Element::Resistor { a, b, ohm } => self.resistive(branch, (a, b), ohm, 0.0),
            Element::Motor { plus, minus, armature_ohm, back_emf_v } => {
                self.resistive(branch, (plus, minus), armature_ohm, back_emf_v);
            }
            Element::Voltage { plus, minus, volt } => self.row(branch, (plus, minus), volt, 0.0),
            Element::Current { from, to, ampere } => {
                let pair = self.pair(from, to);
                self.system.injections.push(Injection { branch, pair, ampere });
            }
            Element::Converter { .. } => self.converter(branch, element, has_collapsed),
            _ => {
                let nodes = element.nodes();
                if let Some(law) = Law::of(element) {
                    self.port(branch, (nodes[0], nodes[1]), law);
                }
            }
        }
    }

    fn resistive(&mut self, branch: BranchId, (a, b): (NodeId, NodeId), ohm: f64, emf_v: f64) {
        if ohm <= VOLTAGE_DEFINED_UP_TO_OHM {
            return self.row(branch, (a, b), emf_v, ohm);
        }
        let (pair, siemens) = (self.pair(a, b), 1.0 / ohm);
        let at = self.stamp(pair, pair);
        for (k, sign) in [1.0, -1.0, -1.0, 1.0].into_iter().enumerate() {
            self.linear.push((at + k, sign * siemens));
        }
        self.system.conductances.push(Conductance { branch, pair, siemens, emf_v });
    }

    fn row(&mut self, branch: BranchId, (plus, minus): (NodeId, NodeId), volt: f64, ohm: f64) {
        let pair = self.pair(plus, minus);
        let row = self.system.size as u32;
        self.system.size += 1;
        for (node, sign) in [(pair.a, 1.0), (pair.b, -1.0)] {
            for entry in [(node, row), (row, node)] {
                self.linear.push((self.entries.len(), sign));
                self.entries.push(entry);
            }
        }
        self.linear.push((self.entries.len(), -ohm));
        self.entries.push((row, row));
        self.system.rows.push(SourceRow { branch, pair, row, volt, ohm });
    }

    fn port(&mut self, branch: BranchId, (first, second): (NodeId, NodeId), law: Law) {
        let (pair, source_v) = (self.pair(first, second), self.source_v_at(first));
        let at = self.stamp(pair, pair);
        self.port_entries.push(at);
        self.system.ports.push(Port { branch, pair, law, source_v, slots: [NO_SLOT; 4] });
    }

    fn converter(&mut self, branch: BranchId, element: &Element, has_collapsed: bool) {
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
        let regulator = Regulator { set_v, droop_ohm, limit_a, power_w };
        let (input, source_v) = (self.pair(in_plus, in_minus), self.source_v_at(in_plus));
        if has_collapsed {
            let ohm = collapsed_ohm(source_v, full_power_w(&regulator, efficiency, idle_w));
            return self.resistive(branch, (in_plus, in_minus), ohm, 0.0);
        }
        let output = self.pair(out_plus, out_minus);
        let at = self.stamp(input, input);
        self.stamp(output, output);
        self.stamp(input, output);
        self.converter_entries.push(at);
        self.system.converters.push(ConverterPorts {
            branch,
            input,
            output,
            regulator,
            efficiency,
            idle_w,
            source_v,
            input_slots: [NO_SLOT; 4],
            output_slots: [NO_SLOT; 4],
            cross_slots: [NO_SLOT; 4],
        });
    }

    /// Four entries, rows of one pair by columns of another; returns where they begin.
    fn stamp(&mut self, rows: Pair, cols: Pair) -> usize {
        let at = self.entries.len();
        self.entries.extend([
            (rows.a, cols.a),
            (rows.a, cols.b),
            (rows.b, cols.a),
            (rows.b, cols.b),
        ]);
        at
    }

    fn finish(mut self) -> System {
        let (pattern, slots) = Pattern::new(self.system.size, &self.entries);
        let mut base = vec![0.0; pattern.slot_count()];
        for (entry, amount) in self.linear {
            if slots[entry] != NO_SLOT {
                base[slots[entry] as usize] += amount;
            }
        }
        let four = |at: usize| [slots[at], slots[at + 1], slots[at + 2], slots[at + 3]];
        for (port, at) in self.system.ports.iter_mut().zip(self.port_entries) {
            port.slots = four(at);
        }
        for (converter, at) in self.system.converters.iter_mut().zip(self.converter_entries) {
            converter.input_slots = four(at);
            converter.output_slots = four(at + 4);
            converter.cross_slots = four(at + 8);
        }
        self.system.diagonal = slots[..self.system.node_unknowns].to_vec();
        self.system.pattern = pattern;
        self.system.base = base;
        self.system
    }
}
