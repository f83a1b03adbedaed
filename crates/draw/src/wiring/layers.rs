//! In which column each node stands: sources left, then what protects and distributes, loads in one
//! column, the bars of the return right of them.

use super::input::{Rank, Side, Symbol, WiringDrawing};
use super::net::{Net, Node};

/// The column of each node, from 0. Nodes joined by a line are never in the same column.
pub(super) fn layers(
    drawing: &WiringDrawing,
    net: &Net,
    directed: &[(usize, usize)],
) -> Vec<usize> {
    let graph = Acyclic::of(drawing, net, directed);
    let mut least = vec![0; net.nodes.len()];
    let earliest = graph.earliest(&least);
    let in_column = loads_in_column(drawing, net, &graph);
    let column = in_column
        .iter()
        .filter(|&&node| !graph.before[node].iter().any(|other| in_column.contains(other)))
        .map(|&node| earliest[node])
        .max()
        .unwrap_or_default();
    for &node in &in_column {
        least[node] = column;
    }
    let mut layer = graph.earliest(&least);
    for &node in graph.order.iter().rev() {
        let is_pulled = graph.before[node].is_empty();
        if let Some(next) = graph.after[node].iter().map(|&n| layer[n]).min().filter(|_| is_pulled)
        {
            layer[node] = next - 1;
        }
    }
    place_leaves(net, directed, &mut layer);
    layer
}

/// Loads whose return goes on to something, or that hang on a fuse box: they stand in one column.
fn loads_in_column(drawing: &WiringDrawing, net: &Net, graph: &Acyclic) -> Vec<usize> {
    let is_box = |node: &usize| {
        net.device(drawing, *node).is_some_and(|device| device.symbol == Symbol::FuseBox)
    };
    (0..net.nodes.len())
        .filter(|&node| net.device(drawing, node).is_some_and(|d| d.rank == Rank::Load))
        .filter(|&node| {
            !graph.after[node].is_empty()
                || graph.before[node]
                    .iter()
                    .any(|b| is_box(b) || graph.before[*b].iter().any(is_box))
        })
        .collect()
}

/// The lines between devices, without those that would close a circle.
struct Acyclic {
    before: Vec<Vec<usize>>,
    after: Vec<Vec<usize>>,
    /// Every node after those before it.
    order: Vec<usize>,
}

impl Acyclic {
    fn of(drawing: &WiringDrawing, net: &Net, directed: &[(usize, usize)]) -> Acyclic {
        let count = net.nodes.len();
        let mut graph = Acyclic {
            before: vec![Vec::new(); count],
            after: vec![Vec::new(); count],
            order: Vec::new(),
        };
        let is_device = |node: usize| matches!(net.nodes[node], Node::Device(_));
        let mut lines: Vec<usize> = (0..net.lines.len())
            .filter(|&at| is_device(directed[at].0) && is_device(directed[at].1))
            .collect();
        // What carries the feed binds first.
        lines.sort_by_key(|&at| match drawing.wires[net.lines[at].wire].side {
            Side::Feed => 0,
            Side::Return => 1,
            Side::Signal => 2,
        });
        for at in lines {
            let (from, to) = directed[at];
            if !graph.reaches(to, from) {
                graph.before[to].push(from);
                graph.after[from].push(to);
            }
        }
        graph.order = graph.sorted();
        graph
    }

    fn reaches(&self, from: usize, wanted: usize) -> bool {
        let mut seen = vec![false; self.after.len()];
        let mut next = vec![from];
        while let Some(node) = next.pop() {
            if node == wanted {
                return true;
            }
            if !std::mem::replace(&mut seen[node], true) {
                next.extend(&self.after[node]);
            }
        }
        false
    }

    fn sorted(&self) -> Vec<usize> {
        let mut waits: Vec<usize> = self.before.iter().map(Vec::len).collect();
        let mut order: Vec<usize> = (0..waits.len()).filter(|&node| waits[node] == 0).collect();
        let mut at = 0;
        while let Some(&node) = order.get(at) {
            at += 1;
            for &next in &self.after[node] {
                waits[next] -= 1;
                if waits[next] == 0 {
                    order.push(next);
                }
            }
        }
        order
    }

    /// The longest way to each node, no less than `least`.
    fn earliest(&self, least: &[usize]) -> Vec<usize> {
        let mut layer = least.to_vec();
        for &node in &self.order {
            for &next in &self.after[node] {
                layer[next] = layer[next].max(layer[node] + 1);
            }
        }
        layer
    }
}

/// Leaves stand right beside their device; a wire of which both ends are leaves stands where there
/// is most room.
fn place_leaves(net: &Net, directed: &[(usize, usize)], layer: &mut [usize]) {
    let is_leaf = |node: usize| matches!(net.nodes[node], Node::Leaf(_));
    let needs_room = directed.iter().any(|&(a, b)| is_leaf(a) && !is_leaf(b) && layer[b] == 0);
    if needs_room {
        layer.iter_mut().for_each(|layer| *layer += 1);
    }
    let last = (0..net.nodes.len()).filter(|&n| !is_leaf(n)).map(|n| layer[n]).max().unwrap_or(0);
    for &(a, b) in directed {
        match (is_leaf(a), is_leaf(b)) {
            (true, false) => layer[a] = layer[b] - 1,
            // On the other side where it would stand in a column of its own.
            (false, true) if layer[a] == last && last > 0 => layer[b] = layer[a] - 1,
            (false, true) => layer[b] = layer[a] + 1,
            _ => {}
        }
    }
    let loose: Vec<(usize, usize)> =
        directed.iter().copied().filter(|&(a, b)| is_leaf(a) && is_leaf(b)).collect();
    let columns = layer.iter().max().map_or(1, |most| most + 1).max(2);
    let mut filled = vec![0_usize; columns];
    for (node, at) in layer.iter().enumerate() {
        if !loose.iter().any(|&(a, b)| a == node || b == node) {
            filled[*at] += 1;
        }
    }
    for (a, b) in loose {
        let at = (0..columns - 1).min_by_key(|&k| filled[k].max(filled[k + 1])).unwrap_or_default();
        (layer[a], layer[b]) = (at, at + 1);
        filled[at] += 1;
        filled[at + 1] += 1;
    }
}
