//! How a reading follows the numbers of a circuit: derivatives by the adjoint method, and the
//! spread of a reading from the spreads of the numbers it rests on.
//!
//! One transposed solve gives the derivatives of a reading to every number of the circuit. Where
//! the numbers may carry a guard, a cut-out or a limit over its edge, a straight line says
//! nothing; then the circuit is solved for many draws instead, and [`Spread::method`] says so.

mod partial;
mod spread;

use circuit::{BranchId, Circuit, Element, NodeId, Parameter};

use crate::assemble::{Pair, Setting, System, value};
use crate::laws::Law;
use crate::point::solve_with_collapses;
use crate::sparse::{Factors, NO_SLOT};
use crate::tangent::Tangent;
use crate::{Reading, Trouble, validate};

use partial::Place;
pub use spread::{Doubt, Method, NoSpread, Sampling, Spread, spread};

/// Slope given to flat pieces in the matrix, S.
const FLAT_SLOPE_S: f64 = 1e-12;

/// A solved circuit that can be asked how its readings move.
pub struct Sensitivities {
    circuit: Circuit,
    system: System,
    x: Vec<f64>,
    tangent: Tangent,
    factors: Factors,
    /// How every branch is laid out; `None` where it carries nothing.
    places: Vec<Option<Place>>,
}

/// The derivatives of one reading: branch, number, and by how much the reading rises per unit.
pub type Derivatives = Vec<(BranchId, Parameter, f64)>;

impl Sensitivities {
    /// Solves a circuit with its guards in given positions.
    ///
    /// # Errors
    /// [`Trouble`] where there is no operating point, as [`crate::operating_point`].
    pub fn at(circuit: &Circuit, positions: &[bool]) -> Result<Sensitivities, Trouble> {
        validate::check(circuit)?;
        let (expected, given) = (circuit.guards().len(), positions.len());
        if expected != given {
            return Err(Trouble::WrongPositions { expected, given });
        }
        let solved = solve_with_collapses(circuit, positions)?;
        let setting = Setting { positions, collapsed: &solved.collapsed };
        let (system, x) = (solved.system, solved.solution.x);
        let tangent = Tangent::at(&system, &x, FLAT_SLOPE_S);
        let singular = || Trouble::FailedCheck { what: "its tangent is singular".to_owned() };
        let mut factors = Factors::new(&system.pattern).ok_or_else(singular)?;
        factors.factor(&system.pattern, &tangent.matrix(&system)).ok_or_else(singular)?;
        let places = partial::places(circuit, &system, &setting);
        let circuit = circuit.clone();
        Ok(Sensitivities { circuit, system, x, tangent, factors, places })
    }

    /// How a reading `R` follows every number `p` of the circuit, `dR/dp`.
    ///
    /// With `F(x, p) = 0` the equations, `J = dF/dx` and `c = dR/dx` at the solution: solve
    /// `J' l = c`, then `dR/dp = -l' dF/dp`, plus `dR/dp` at fixed `x` where the reading is the
    /// current of the very branch. Source: S. W. Director and R. A. Rohrer, IEEE Trans. Circuit
    /// Theory 16 (1969) 318 (from memory). Valid where no law has an edge at the solution; at an
    /// edge, the derivative of the piece the solution counts to. `None`: nothing joins the nodes.
    /// Checked by: `tests/it/sensitivity.rs`.
    pub fn of(&mut self, reading: Reading) -> Option<Derivatives> {
        let mut adjoint = vec![0.0; self.system.size];
        let own = self.seen(reading, &mut adjoint)?;
        self.factors.substitute_transposed(&mut adjoint)?;
        let mut derivatives = Derivatives::new();
        for (branch, b) in self.circuit.branches() {
            let Some(place) = self.places[branch.0 as usize] else { continue };
            for (parameter, by) in self.partials(place, &b.element) {
                let through = self.through(place, &adjoint, &by);
                let direct = if own == Some(branch) { by.first_a } else { 0.0 };
                derivatives.push((branch, parameter, direct - through));
            }
        }
        Some(derivatives)
    }

    /// Writes `dR/dx` and tells the branch whose own numbers act on the reading directly.
    fn seen(&self, reading: Reading, row: &mut [f64]) -> Option<Option<BranchId>> {
        match reading {
            Reading::Between(a, b) => {
                let root = |node: NodeId| self.system.root[node.0 as usize];
                (root(a) == root(b)).then_some(())?;
                let index = |node: NodeId| self.system.index[node.0 as usize];
                put(row, Pair { a: index(a), b: index(b) }, 1.0);
                Some(None)
            }
            Reading::Current(branch) => {
                let Some(place) = self.places[branch.0 as usize] else { return Some(None) };
                match place {
                    Place::Pair(pair, slope) => put(row, pair, self.slope_s(slope)),
                    Place::Row(row_at) => {
                        row[row_at as usize] = 1.0;
                        return Some(None);
                    }
                    Place::Converter(k) => {
                        let (c, at) = (&self.system.converters[k], self.first_converter_line(k));
                        put(row, c.input, self.tangent.lines[at].slope_s);
                        put(row, c.output, self.tangent.cross_s[k]);
                    }
                }
                Some(Some(branch))
            }
        }
    }

    fn slope_s(&self, slope: partial::Slope) -> f64 {
        match slope {
            partial::Slope::Siemens(siemens) => siemens,
            partial::Slope::Port(port) => self.tangent.lines[port].slope_s,
        }
    }

    fn first_converter_line(&self, k: usize) -> usize {
        self.system.ports.len() + 2 * k
    }

    fn partials(&self, place: Place, element: &Element) -> Vec<(Parameter, partial::By)> {
        match place {
            Place::Pair(pair, _) => partial::of_pair(element, pair.volt(&self.x)),
            Place::Row(row) => partial::of_row(element, self.x[row as usize]),
            Place::Converter(k) => {
                let c = &self.system.converters[k];
                partial::of_converter(element, c.input.volt(&self.x), c.output.volt(&self.x))
            }
        }
    }

    /// `l' dF/dp`.
    fn through(&self, place: Place, adjoint: &[f64], by: &partial::By) -> f64 {
        match place {
            Place::Pair(pair, _) => pair.volt(adjoint) * by.first_a,
            Place::Row(row) => adjoint[row as usize] * by.miss_v,
            Place::Converter(k) => {
                let c = &self.system.converters[k];
                c.input.volt(adjoint) * by.first_a + c.output.volt(adjoint) * by.second_a
            }
        }
    }

    /// The value of a reading at the solution, V or A; `None`: nothing joins the nodes, or the
    /// branch is no resistor, battery or other element whose current follows from its voltage.
    pub(crate) fn value(&self, reading: Reading) -> Option<f64> {
        let branch = match reading {
            Reading::Between(a, b) => return self.volt(a, b),
            Reading::Current(branch) => branch,
        };
        match self.places[branch.0 as usize] {
            Some(Place::Row(row)) => Some(self.x[row as usize]),
            Some(Place::Pair(pair, _)) => {
                let volt = pair.volt(&self.x);
                match self.circuit.branch(branch).element {
                    Element::Resistor { ohm, .. } => Some(volt / ohm),
                    ref element => Law::of(element).map(|law| law.line(volt, 1.0).ampere),
                }
            }
            Some(Place::Converter(_)) | None => None,
        }
    }

    fn volt(&self, a: NodeId, b: NodeId) -> Option<f64> {
        let at = |node: NodeId| node.0 as usize;
        let joined = self.system.root[at(a)] == self.system.root[at(b)];
        let volt = |node| value(&self.x, self.system.index[at(node)]);
        joined.then(|| volt(a) - volt(b))
    }
}

fn put(row: &mut [f64], pair: Pair, amount: f64) {
    for (unknown, sign) in [(pair.a, 1.0), (pair.b, -1.0)] {
        if unknown != NO_SLOT {
            row[unknown as usize] += sign * amount;
        }
    }
}
