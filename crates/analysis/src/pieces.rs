//! Which nodes of a circuit still hang together while branches of it are opened. What joins two pieces
//! that nothing else joins carries no current, whatever the circuit (Kirchhoff's current law for one of
//! the pieces): to open it moves no voltage within either.

use std::collections::BTreeSet;

use circuit::{BranchId, Circuit, Guard, NodeId, Sense};

/// Between which nodes current can go at all, whatever the guards and the laws of elements.
pub(crate) struct Joins {
    nodes: usize,
    /// A branch with each pair of nodes that is a way through it: a converter has two.
    ways: Vec<(BranchId, NodeId, NodeId)>,
    guards: Vec<(NodeId, NodeId)>,
}

/// Nodes by the piece they are in.
pub(crate) struct Pieces {
    over: Vec<u32>,
}

impl Joins {
    pub(crate) fn of(circuit: &Circuit) -> Joins {
        let ways = circuit.branches().flat_map(|(id, branch)| {
            let nodes = branch.element.nodes();
            let pairs: Vec<_> = nodes.chunks_exact(2).map(|pair| (id, pair[0], pair[1])).collect();
            pairs
        });
        let watched = |guard: &Guard| match guard.sense {
            Sense::Between(a, b) => Some((a, b)),
            Sense::Into(_) | Sense::OutOf(_) => None,
        };
        Joins {
            nodes: circuit.node_count(),
            ways: ways.collect(),
            guards: circuit.guards().iter().filter_map(watched).collect(),
        }
    }

    /// The pieces that are left with these branches open.
    pub(crate) fn without(&self, open: &BTreeSet<BranchId>) -> Pieces {
        let mut pieces = Pieces { over: (0..self.nodes as u32).collect() };
        for (_, a, b) in self.ways.iter().filter(|(branch, ..)| !open.contains(branch)) {
            pieces.join(*a, *b);
        }
        pieces
    }

    /// The pieces once more is open, if to open it changes nothing within them: each of the branches was
    /// all that joined two of them, and no guard loses sight of what it watches.
    pub(crate) fn cut_idle(
        &self,
        open: &BTreeSet<BranchId>,
        more: &BTreeSet<BranchId>,
    ) -> Option<Pieces> {
        let mut open = open.clone();
        let before = self.without(&open);
        let mut after = None;
        for branch in more {
            if !open.insert(*branch) {
                continue;
            }
            let pieces = self.without(&open);
            let ways = self.ways.iter().filter(|(id, ..)| id == branch);
            if ways.into_iter().any(|(_, a, b)| pieces.is_joined(*a, *b)) {
                return None;
            }
            after = Some(pieces);
        }
        let Some(after) = after else { return Some(before) };
        let blinded =
            self.guards.iter().any(|(a, b)| before.is_joined(*a, *b) && !after.is_joined(*a, *b));
        (!blinded).then_some(after)
    }
}

impl Pieces {
    /// Whether two nodes are in one piece.
    pub(crate) fn is_joined(&self, a: NodeId, b: NodeId) -> bool {
        self.top(a.0) == self.top(b.0)
    }

    fn top(&self, node: u32) -> u32 {
        let mut node = node;
        while self.over[node as usize] != node {
            node = self.over[node as usize];
        }
        node
    }

    fn join(&mut self, a: NodeId, b: NodeId) {
        let (a, b) = (self.shortened(a.0), self.shortened(b.0));
        // The lower number on top, so that the reference is one.
        self.over[a.max(b) as usize] = a.min(b);
    }

    /// The top, and the way to it halved.
    fn shortened(&mut self, node: u32) -> u32 {
        let mut node = node;
        while self.over[node as usize] != node {
            let above = self.over[node as usize];
            self.over[node as usize] = self.over[above as usize];
            node = above;
        }
        node
    }
}

#[cfg(test)]
mod tests {
    use circuit::{Element, Guard, REFERENCE, Trip};

    use super::*;

    /// A battery with a lamp on it, and a stub of wire: current can go round through the lamp, not into
    /// the stub.
    fn lamp_and_stub() -> (Circuit, [BranchId; 3], [NodeId; 2]) {
        let mut circuit = Circuit::new("minus");
        let (plus, stub) = (circuit.add_node("plus"), circuit.add_node("stub"));
        let battery = Element::Voltage { plus, minus: REFERENCE, volt: 12.0 };
        let battery = circuit.add("battery", battery);
        let lamp = circuit.add("lamp", Element::Resistor { a: plus, b: REFERENCE, ohm: 10.0 });
        let wire = circuit.add("wire", Element::Resistor { a: plus, b: stub, ohm: 1.0 });
        (circuit, [battery, lamp, wire], [plus, stub])
    }

    #[test]
    fn a_stub_is_cut_without_a_change_and_a_lamp_is_not() {
        let (circuit, [_, lamp, wire], [plus, stub]) = lamp_and_stub();
        let joins = Joins::of(&circuit);
        let none = BTreeSet::new();
        let pieces =
            joins.cut_idle(&none, &BTreeSet::from([wire])).expect("a stub carries nothing");
        assert!(!pieces.is_joined(plus, stub) && pieces.is_joined(plus, REFERENCE));
        assert!(joins.cut_idle(&none, &BTreeSet::from([lamp])).is_none());
        // With the lamp out, the battery itself joins two pieces by itself.
        let dark = BTreeSet::from([lamp]);
        assert!(joins.cut_idle(&dark, &BTreeSet::from([BranchId(0)])).is_some());
    }

    #[test]
    fn a_guard_that_would_lose_sight_keeps_a_cut_from_being_idle() {
        let (mut circuit, [.., wire], [_, stub]) = lamp_and_stub();
        circuit.add_guard(Guard {
            name: "cut-out".to_owned(),
            sense: Sense::Between(stub, REFERENCE),
            trip: Trip::LowVoltage { off_below_v: 10.0, on_from_v: 12.0 },
            starts_on: true,
        });
        let joins = Joins::of(&circuit);
        assert!(joins.cut_idle(&BTreeSet::new(), &BTreeSet::from([wire])).is_none());
    }
}
