//! Steady alternating current: a complex nodal system, solved once, because it is linear.
//!
//! Networks of the mains side of a vehicle have some tens of nodes, so the matrix is dense. Knows
//! no vehicle. A part of the network that nothing joins to the reference floats: its voltages
//! against the reference are undefined, and never zero.

use std::collections::BTreeSet;

use circuit::{AcCircuit, AcElement, BranchId, Complex, NodeId, REFERENCE};
use thiserror::Error;

/// A pivot this much smaller than the largest entry of its column means a singular system.
const SINGULAR: f64 = 1e-15;
/// Share of the largest entry of a column that is enough for a pivot.
const ENOUGH: f64 = 0.1;
/// Largest sum of currents at a node, against the largest current, that is let pass.
const RESIDUAL_PART: f64 = 1e-8;
/// Share of a branch's `|v| / |z|` that rounding may leave in its current.
const ROUNDING: f64 = 64.0 * f64::EPSILON;

/// Why a network has no answer.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PhasorTrouble {
    /// Two ideal sources force one another.
    #[error("ideal sources are joined without any impedance between them")]
    Contradiction,
    /// The answer does not satisfy its own equations.
    #[error("currents miss their balance by {residual_a:.1e} A; no figure is given")]
    Residual {
        /// Largest sum of currents at a node, A.
        residual_a: f64,
    },
}

/// Voltages and currents of a network, root mean square, as complex numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct PhasorPoint {
    volt: Vec<Complex>,
    island: Vec<usize>,
    ampere: Vec<Complex>,
    /// Largest sum of currents at a node, A.
    pub residual_a: f64,
    /// By how much the power delivered misses the power taken, VA.
    pub imbalance_va: f64,
}

impl PhasorPoint {
    /// Voltage of a node against the reference; `None` where it floats.
    pub fn voltage(&self, node: NodeId) -> Option<Complex> {
        self.between(node, REFERENCE)
    }

    /// Voltage of a node against another; `None` where nothing joins the two.
    pub fn between(&self, a: NodeId, b: NodeId) -> Option<Complex> {
        let (a, b) = (a.0 as usize, b.0 as usize);
        (self.island[a] == self.island[b]).then(|| self.volt[a] - self.volt[b])
    }

    /// Current of a branch, from its first terminal through it to its second.
    pub fn current(&self, branch: BranchId) -> Complex {
        self.ampere[branch.0 as usize]
    }

    /// Which part of the network a node lies in; the reference lies in part 0.
    pub fn island(&self, node: NodeId) -> usize {
        self.island[node.0 as usize]
    }
}

/// Voltages and currents of a linear network at its frequency.
///
/// Symbols: `Y` = admittance matrix in S, `v` = node voltages in V, `i_s` = currents of the sources
/// in A, `B` = incidence of sources, `e` = their voltages in V.
/// Equation: `[Y B; B' 0] [v; i_s] = [0; e]`, one node of every island at zero.
/// Source: modified nodal analysis, Ho, Ruehli, Brennan 1975 (from memory).
/// Valid for: any mix of non-zero impedances and sources of one frequency.
/// Outside: sources joined without impedance give [`PhasorTrouble::Contradiction`]; an answer whose
/// currents do not balance is withheld.
/// Checked by: `tests/it/phasor.rs` (ngspice on generated networks, closed forms, properties).
pub fn phasor_point(circuit: &AcCircuit) -> Result<PhasorPoint, PhasorTrouble> {
    let island = circuit.islands();
    let unknown = Unknowns::of(circuit, &island);
    let mut matrix = vec![vec![Complex::ZERO; unknown.count + 1]; unknown.count];
    for (id, branch) in circuit.branches() {
        stamp(&mut matrix, &unknown, id, branch.element);
    }
    let solution = eliminate(matrix).ok_or(PhasorTrouble::Contradiction)?;
    let volt: Vec<Complex> =
        unknown.node.iter().map(|row| row.map_or(Complex::ZERO, |row| solution[row])).collect();
    let at = |node: NodeId| volt[node.0 as usize];
    let ampere: Vec<Complex> = circuit
        .branches()
        .map(|(id, branch)| match branch.element {
            AcElement::Impedance { a, b, ohm } => (at(a) - at(b)) / ohm,
            AcElement::Source { .. } => {
                solution[unknown.source[id.0 as usize].expect("every source has an unknown")]
            }
        })
        .collect();
    checked(circuit, PhasorPoint { volt, island, ampere, residual_a: 0.0, imbalance_va: 0.0 })
}

/// Rows of the system: nodes that are no island's zero, then sources.
struct Unknowns {
    node: Vec<Option<usize>>,
    source: Vec<Option<usize>>,
    count: usize,
}

impl Unknowns {
    fn of(circuit: &AcCircuit, island: &[usize]) -> Unknowns {
        let mut met = vec![false; circuit.node_count()];
        let grounded: Vec<bool> =
            island.iter().map(|island| !std::mem::replace(&mut met[*island], true)).collect();
        let mut node = vec![None; circuit.node_count()];
        let mut count = 0;
        for index in thin_first(circuit).into_iter().filter(|index| !grounded[*index]) {
            node[index] = Some(count);
            count += 1;
        }
        let is_source = |element| matches!(element, AcElement::Source { .. });
        let source = circuit
            .branches()
            .map(|(_, branch)| {
                is_source(branch.element).then(|| {
                    count += 1;
                    count - 1
                })
            })
            .collect();
        Unknowns { node, source, count }
    }
}

/// Nodes in the order in which eliminating them fills the matrix least: each time one with the
/// fewest neighbours left. Wiring is nearly a tree, so next to nothing fills.
fn thin_first(circuit: &AcCircuit) -> Vec<usize> {
    let mut near = vec![BTreeSet::new(); circuit.node_count()];
    for (_, branch) in circuit.branches() {
        let (a, b) = branch.element.ends();
        if a != b {
            near[a.0 as usize].insert(b.0 as usize);
            near[b.0 as usize].insert(a.0 as usize);
        }
    }
    let mut queue: BTreeSet<(usize, usize)> =
        near.iter().enumerate().map(|(node, near)| (near.len(), node)).collect();
    let mut order = Vec::with_capacity(near.len());
    while let Some((_, node)) = queue.pop_first() {
        order.push(node);
        let around: Vec<usize> = std::mem::take(&mut near[node]).into_iter().collect();
        for &a in &around {
            queue.remove(&(near[a].len(), a));
            near[a].remove(&node);
            near[a].extend(around.iter().copied().filter(|b| *b != a));
            queue.insert((near[a].len(), a));
        }
    }
    order
}

fn stamp(matrix: &mut [Vec<Complex>], unknown: &Unknowns, id: BranchId, element: AcElement) {
    let (a, b) = element.ends();
    let rows = [(unknown.node[a.0 as usize], 1.0), (unknown.node[b.0 as usize], -1.0)];
    match element {
        AcElement::Impedance { ohm, .. } => {
            for (row, sign) in rows.iter().filter_map(|(row, sign)| Some(((*row)?, *sign))) {
                for (column, other) in rows.iter().filter_map(|(c, s)| Some(((*c)?, *s))) {
                    matrix[row][column] += ohm.inv() * (sign * other);
                }
            }
        }
        AcElement::Source { volt, .. } => {
            let own = unknown.source[id.0 as usize].expect("every source has an unknown");
            for (row, sign) in rows.iter().filter_map(|(row, sign)| Some(((*row)?, *sign))) {
                matrix[row][own] += sign;
                matrix[own][row] += sign;
            }
            *matrix[own].last_mut().expect("the right-hand side") += volt;
        }
    }
}

/// Gauss elimination, rows exchanged where the diagonal is too small; the last column is the
/// right-hand side. `None` when the system is singular.
fn eliminate(mut matrix: Vec<Vec<Complex>>) -> Option<Vec<Complex>> {
    let size = matrix.len();
    for column in 0..size {
        let largest = matrix.iter().map(|row| row[column].norm()).fold(0.0, f64::max);
        let height = |row: usize| matrix[row][column].norm();
        let highest = (column..size).max_by(|a, b| height(*a).total_cmp(&height(*b)))?;
        // The diagonal keeps the matrix thin; it gives way only to one that is much larger.
        let pivot = if height(column) >= ENOUGH * height(highest) { column } else { highest };
        if matrix[pivot][column].norm() <= SINGULAR * largest {
            return None;
        }
        matrix.swap(column, pivot);
        let (upper, lower) = matrix.split_at_mut(column + 1);
        let top = &upper[column];
        for row in lower.iter_mut().filter(|row| row[column] != Complex::ZERO) {
            let factor = row[column] / top[column];
            for (value, above) in row.iter_mut().zip(top).skip(column) {
                *value -= factor * above;
            }
        }
    }
    let mut solution = vec![Complex::ZERO; size];
    for row in (0..size).rev() {
        let known: Complex =
            (row + 1..size).map(|column| matrix[row][column] * solution[column]).sum();
        solution[row] = (matrix[row][size] - known) / matrix[row][row];
    }
    solution.iter().all(|value| value.is_finite()).then_some(solution)
}

/// Currents at every node and power over all branches; an answer that misses is withheld.
fn checked(circuit: &AcCircuit, mut point: PhasorPoint) -> Result<PhasorPoint, PhasorTrouble> {
    let mut sums = vec![Complex::ZERO; circuit.node_count()];
    let mut rounding_a = 0.0;
    let mut power = Complex::ZERO;
    for (id, branch) in circuit.branches() {
        let (a, b) = branch.element.ends();
        let ampere = point.current(id);
        sums[a.0 as usize] += ampere;
        sums[b.0 as usize] -= ampere;
        if let AcElement::Impedance { ohm, .. } = branch.element {
            let volt = point.volt[a.0 as usize].norm() + point.volt[b.0 as usize].norm();
            rounding_a += ROUNDING * volt / ohm.norm();
        }
        power += (point.volt[a.0 as usize] - point.volt[b.0 as usize]) * ampere.conj();
    }
    let largest_a = point.ampere.iter().map(|ampere| ampere.norm()).fold(0.0, f64::max);
    point.residual_a = sums.iter().map(|sum| sum.norm()).fold(0.0, f64::max);
    point.imbalance_va = power.norm();
    if point.residual_a > RESIDUAL_PART * largest_a + rounding_a {
        return Err(PhasorTrouble::Residual { residual_a: point.residual_a });
    }
    Ok(point)
}
