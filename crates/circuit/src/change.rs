//! Changes to a circuit, such as a fault makes: what is changed, and the circuit that results.
//! Ids of nodes and branches stay what they were; what a change adds comes after them. Knows no
//! vehicle and solves nothing.

use crate::{BranchId, Circuit, Element, NodeId, Parameter};

/// One change to a circuit. Several are made one after the other, in their order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// The branch carries nothing any more: open, blown, pulled.
    Open(BranchId),
    /// A resistance is added in series with the branch (its first port).
    Series {
        /// The branch.
        branch: BranchId,
        /// What is added, ohm; above zero.
        ohm: f64,
    },
    /// A new resistance joins two nodes. With [`crate::REFERENCE`]: short to the body.
    Join {
        /// One node.
        a: NodeId,
        /// The other node.
        b: NodeId,
        /// Between them, ohm; above zero.
        ohm: f64,
    },
    /// A terminal of the branch lies on another node.
    Land {
        /// The branch.
        branch: BranchId,
        /// Which of its terminals, in the order of [`Element::nodes`].
        terminal: usize,
        /// Where it lies now.
        on: NodeId,
    },
    /// The two terminals of the branch (of its first port) are swapped.
    Reverse(BranchId),
    /// A number of the element is another.
    Set {
        /// The branch.
        branch: BranchId,
        /// Which number.
        parameter: Parameter,
        /// Its new value, SI unit.
        value: f64,
    },
}

impl Change {
    /// The branch that is changed, unless something is only added.
    pub fn branch(&self) -> Option<BranchId> {
        match *self {
            Change::Join { .. } => None,
            Change::Open(branch)
            | Change::Series { branch, .. }
            | Change::Land { branch, .. }
            | Change::Reverse(branch)
            | Change::Set { branch, .. } => Some(branch),
        }
    }
}

/// A change that the circuit cannot take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BadChange {
    /// The circuit holds no such branch.
    NoBranch(BranchId),
    /// The circuit holds no such node.
    NoNode(NodeId),
    /// The element of the branch has no such terminal.
    NoTerminal(BranchId, usize),
    /// The element of the branch has no such number.
    NoParameter(BranchId, Parameter),
}

impl std::fmt::Display for BadChange {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            BadChange::NoBranch(branch) => write!(f, "the circuit has no branch {}", branch.0),
            BadChange::NoNode(node) => write!(f, "the circuit has no node {}", node.0),
            BadChange::NoTerminal(branch, terminal) => {
                write!(f, "branch {} has no terminal {terminal}", branch.0)
            }
            BadChange::NoParameter(branch, parameter) => {
                write!(f, "branch {} has no number {parameter:?}", branch.0)
            }
        }
    }
}

impl std::error::Error for BadChange {}

/// What a row of changes comes to: every touched branch with its last element, and what is added.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Edits {
    /// Touched branches with their new elements, each once, in the order first touched.
    pub elements: Vec<(BranchId, Element)>,
    /// New resistances: two nodes and ohm.
    pub joins: Vec<(NodeId, NodeId, f64)>,
    /// Resistances in series with branches that are no resistors, ohm.
    pub series: Vec<(BranchId, f64)>,
    /// Branches that were opened; nothing changes them any more.
    opened: Vec<BranchId>,
}

impl Edits {
    /// Sums up changes to a circuit without making them.
    ///
    /// An opened branch becomes a current source of 0 A: it keeps its id, joins nothing, carries
    /// nothing, and whatever else is changed on it no longer matters. A resistance in series with a resistor is added to it.
    ///
    /// # Errors
    /// [`BadChange`] for the first change that names what the circuit does not hold.
    pub fn of(circuit: &Circuit, changes: &[Change]) -> Result<Edits, BadChange> {
        let mut edits = Edits::default();
        for change in changes {
            edits.take(circuit, *change)?;
        }
        Ok(edits)
    }

    fn take(&mut self, circuit: &Circuit, change: Change) -> Result<(), BadChange> {
        let node = |node: NodeId| {
            let exists = (node.0 as usize) < circuit.node_count();
            exists.then_some(node).ok_or(BadChange::NoNode(node))
        };
        if change.branch().is_some_and(|branch| self.opened.contains(&branch)) {
            return Ok(());
        }
        match change {
            Change::Join { a, b, ohm } => self.joins.push((node(a)?, node(b)?, ohm)),
            Change::Open(branch) => {
                let element = self.element(circuit, branch)?;
                let nodes = element.nodes();
                *element = Element::Current { from: nodes[0], to: nodes[1], ampere: 0.0 };
                self.series.retain(|(b, _)| *b != branch);
                self.opened.push(branch);
            }
            Change::Series { branch, ohm: more } => match self.element(circuit, branch)? {
                Element::Resistor { ohm, .. } => *ohm += more,
                _ => self.series.push((branch, more)),
            },
            Change::Land { branch, terminal, on } => {
                let on = node(on)?;
                let mut nodes = self.element(circuit, branch)?.nodes_mut();
                let missing = BadChange::NoTerminal(branch, terminal);
                **nodes.get_mut(terminal).ok_or(missing)? = on;
            }
            Change::Reverse(branch) => {
                let mut nodes = self.element(circuit, branch)?.nodes_mut();
                let (first, second) = (*nodes[0], *nodes[1]);
                *nodes[0] = second;
                *nodes[1] = first;
            }
            Change::Set { branch, parameter, value } => self
                .element(circuit, branch)?
                .set_value(parameter, value)
                .ok_or(BadChange::NoParameter(branch, parameter))?,
        }
        Ok(())
    }

    /// The element of a branch as changed so far.
    fn element(&mut self, circuit: &Circuit, branch: BranchId) -> Result<&mut Element, BadChange> {
        if branch.0 as usize >= circuit.branch_count() {
            return Err(BadChange::NoBranch(branch));
        }
        let at = self.elements.iter().position(|(b, _)| *b == branch).unwrap_or_else(|| {
            self.elements.push((branch, circuit.branch(branch).element.clone()));
            self.elements.len() - 1
        });
        Ok(&mut self.elements[at].1)
    }
}

impl Circuit {
    /// The circuit with changes made.
    ///
    /// # Errors
    /// [`BadChange`] for the first change that names what the circuit does not hold.
    pub fn changed(&self, changes: &[Change]) -> Result<Circuit, BadChange> {
        let edits = Edits::of(self, changes)?;
        let mut circuit = self.clone();
        for (branch, element) in edits.elements {
            circuit.branch_mut(branch).element = element;
        }
        for (branch, ohm) in edits.series {
            let inner = circuit.add_node(format!("{} inside", self.branch(branch).name));
            let while_on = self.branch(branch).while_on;
            let outer = {
                let mut nodes = circuit.branch_mut(branch).element.nodes_mut();
                std::mem::replace(nodes[0], inner)
            };
            let name = format!("in series with {}", self.branch(branch).name);
            circuit.add_while(name, Element::Resistor { a: outer, b: inner, ohm }, while_on);
        }
        for (k, (a, b, ohm)) in edits.joins.into_iter().enumerate() {
            let (from, to) = (self.node_name(a), self.node_name(b));
            let name = format!("added {}: {from} to {to}", k + 1);
            circuit.add(name, Element::Resistor { a, b, ohm });
        }
        Ok(circuit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::REFERENCE;

    fn divider() -> (Circuit, [BranchId; 3], [NodeId; 2]) {
        let mut circuit = Circuit::new("0");
        let [p, q] = ["p", "q"].map(|n| circuit.add_node(n));
        let source =
            circuit.add("source", Element::Voltage { plus: p, minus: REFERENCE, volt: 12.0 });
        let upper = circuit.add("upper", Element::Resistor { a: p, b: q, ohm: 1.0 });
        let lower = circuit.add("lower", Element::Resistor { a: q, b: REFERENCE, ohm: 2.0 });
        (circuit, [source, upper, lower], [p, q])
    }

    #[test]
    fn an_opened_branch_keeps_its_id_and_joins_nothing() {
        let (circuit, [_, upper, lower], [p, q]) = divider();
        let changed = circuit.changed(&[Change::Open(upper)]).unwrap();
        assert_eq!(changed.branch(upper).element, Element::Current { from: p, to: q, ampere: 0.0 });
        assert_eq!(changed.branch(lower), circuit.branch(lower));
        assert_eq!(changed.branch_count(), 3);
    }

    #[test]
    fn a_series_resistance_adds_to_a_resistor_and_gets_a_node_of_its_own_elsewhere() {
        let (circuit, [source, upper, _], [p, _]) = divider();
        let both = [
            Change::Series { branch: upper, ohm: 0.5 },
            Change::Set { branch: upper, parameter: Parameter::Ohm, value: 4.0 },
        ];
        let first = circuit.changed(&both[..1]).unwrap();
        assert_eq!(first.branch(upper).element.value(Parameter::Ohm), Some(1.5));
        let second = circuit.changed(&both).unwrap();
        assert_eq!(second.branch(upper).element.value(Parameter::Ohm), Some(4.0));
        let inside = circuit.changed(&[Change::Series { branch: source, ohm: 0.1 }]).unwrap();
        let inner = NodeId(3);
        assert_eq!(inside.branch(source).element.nodes(), [inner, REFERENCE]);
        let added = &inside.branch(BranchId(3)).element;
        assert_eq!(*added, Element::Resistor { a: p, b: inner, ohm: 0.1 });
    }

    #[test]
    fn landings_reversals_and_shorts_move_only_what_they_name() {
        let (circuit, [source, upper, _], [p, q]) = divider();
        let land = Change::Land { branch: upper, terminal: 1, on: REFERENCE };
        let short = Change::Join { a: q, b: REFERENCE, ohm: 0.01 };
        let changed = circuit.changed(&[land, Change::Reverse(source), short]).unwrap();
        assert_eq!(changed.branch(upper).element.nodes(), [p, REFERENCE]);
        assert_eq!(changed.branch(source).element.nodes(), [REFERENCE, p]);
        assert_eq!(changed.branch(BranchId(3)).element.nodes(), [q, REFERENCE]);
    }

    #[test]
    fn a_change_that_names_what_is_not_there_is_refused() {
        let (circuit, [source, ..], [p, _]) = divider();
        let none = BranchId(9);
        let refused = |change| circuit.changed(&[change]).unwrap_err();
        assert_eq!(refused(Change::Open(none)), BadChange::NoBranch(none));
        let land = Change::Land { branch: source, terminal: 2, on: p };
        assert_eq!(refused(land), BadChange::NoTerminal(source, 2));
        let join = Change::Join { a: NodeId(7), b: p, ohm: 1.0 };
        assert_eq!(refused(join), BadChange::NoNode(NodeId(7)));
        let set = Change::Set { branch: source, parameter: Parameter::Ohm, value: 1.0 };
        assert_eq!(refused(set), BadChange::NoParameter(source, Parameter::Ohm));
    }
}
