//! Which node each end of each wire is on, and which way the wire runs on paper. What is repeated on
//! paper (body, earth) and what is only an end (behind a part, not seen) gets a node for each end.
//!
//! Feed lines run the way a made-up flow would: sources are held high, loads at nothing, all lines
//! are alike, and each line runs from the higher to the lower end (the harmonic function of the
//! graph). So the directions make no circle, and one wire more changes few of them. Return lines run
//! towards the bar on which most of them meet.

use std::collections::{BTreeMap, VecDeque};

use super::input::{Device, End, Rank, Side, Symbol, WiringDrawing};

/// Something a line ends on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Node {
    /// A device, by index.
    Device(usize),
    /// An end.
    Leaf(Leaf),
}

/// An end that is no device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Leaf {
    /// The body or protective earth: a device, drawn anew at each line.
    Joined(usize),
    /// Behind a part.
    Behind(String),
    /// Not seen.
    Unseen,
    /// Back at the same device: its terminal in words.
    Same(String),
}

/// A wire on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Line {
    /// The wire, by index.
    pub(super) wire: usize,
    /// Its ends, as written: node and terminal (0 for leaves).
    pub(super) ends: [(usize, usize); 2],
}

/// Nodes and lines of one sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Net {
    pub(super) nodes: Vec<Node>,
    pub(super) lines: Vec<Line>,
}

impl Net {
    /// The net of some wires of a drawing; `devices` are drawn even if no wire of these is on them.
    pub(super) fn of(drawing: &WiringDrawing, wires: &[usize], devices: &[usize]) -> Net {
        let mut net = Net::default();
        let mut known: BTreeMap<usize, usize> = BTreeMap::new();
        let mut used: Vec<usize> = devices.to_vec();
        for &wire in wires {
            for end in &drawing.wires[wire].ends {
                if let End::At { device, .. } = end {
                    used.push(*device);
                }
            }
        }
        used.sort_unstable();
        used.dedup();
        for device in used.into_iter().filter(|&d| !is_repeated(&drawing.devices[d])) {
            known.insert(device, net.nodes.len());
            net.nodes.push(Node::Device(device));
        }
        for &wire in wires {
            let [from, to] = &drawing.wires[wire].ends;
            let a = net.end(from, &known);
            let b = match (from, to) {
                (End::At { device: one, .. }, End::At { device: other, terminal })
                    if one == other && known.contains_key(one) =>
                {
                    let device = &drawing.devices[*other];
                    net.leaf(Leaf::Same(terminal_name(device, *terminal)))
                }
                _ => net.end(to, &known),
            };
            net.lines.push(Line { wire, ends: [a, b] });
        }
        net
    }

    fn leaf(&mut self, leaf: Leaf) -> (usize, usize) {
        self.nodes.push(Node::Leaf(leaf));
        (self.nodes.len() - 1, 0)
    }

    fn end(&mut self, end: &End, known: &BTreeMap<usize, usize>) -> (usize, usize) {
        match end {
            End::At { device, terminal } => match known.get(device) {
                Some(&node) => (node, *terminal),
                None => self.leaf(Leaf::Joined(*device)),
            },
            End::Behind(part) => self.leaf(Leaf::Behind(part.clone())),
            End::Unseen => self.leaf(Leaf::Unseen),
        }
    }

    pub(super) fn device<'a>(&self, drawing: &'a WiringDrawing, node: usize) -> Option<&'a Device> {
        match self.nodes[node] {
            Node::Device(device) => drawing.devices.get(device),
            Node::Leaf(_) => None,
        }
    }

    fn is_leaf(&self, node: usize) -> bool {
        matches!(self.nodes[node], Node::Leaf(_))
    }

    /// Each line as it runs on paper: from the left node to the right one. Leaves first say on which
    /// side they stand; the order is from the most to the least binding.
    pub(super) fn directed(&self, drawing: &WiringDrawing) -> Vec<(usize, usize)> {
        let flow = self.flow(drawing);
        let distance = self.distances(drawing);
        let outward = self.outward(drawing);
        let direct = |line: &Line| {
            let [(a, at_a), (b, at_b)] = line.ends;
            let forwards = match (self.is_leaf(a), self.is_leaf(b)) {
                (true, true) => true,
                (false, true) => !self.leaf_stands_left(drawing, a, at_a, b),
                (true, false) => self.leaf_stands_left(drawing, b, at_b, a),
                (false, false) if drawing.wires[line.wire].side == Side::Return => {
                    match (distance[a], distance[b]) {
                        (Some(a), Some(b)) => a >= b,
                        _ => true,
                    }
                }
                (false, false) => match outward.get(&line.wire) {
                    Some(&first) => first == a,
                    None => flow[a] > flow[b] - 1e-9,
                },
            };
            if forwards { (a, b) } else { (b, a) }
        };
        self.lines.iter().map(direct).collect()
    }

    /// Whether the leaf of a line stands left of the device at its other end.
    fn leaf_stands_left(
        &self,
        drawing: &WiringDrawing,
        node: usize,
        terminal: usize,
        leaf: usize,
    ) -> bool {
        let Some(device) = self.device(drawing, node) else { return false };
        if matches!(self.nodes[leaf], Node::Leaf(Leaf::Joined(_) | Leaf::Same(_))) {
            return false;
        }
        let side = device.terminals.get(terminal).map_or(Side::Feed, |t| t.side);
        match device.rank {
            Rank::Load => side != Side::Return,
            Rank::Source(_) => false,
            Rank::Between if matches!(device.symbol, Symbol::Bar) => leaf < node,
            Rank::Between => terminal == 0 && device.terminals.len() > 1,
        }
    }

    /// Lines between a battery and what charges it or joins it to another, with the end towards the
    /// battery: they run away from it, so that batteries stand on the left like other sources.
    fn outward(&self, drawing: &WiringDrawing) -> BTreeMap<usize, usize> {
        let is = |node: usize, symbols: fn(Symbol) -> bool| {
            self.device(drawing, node).is_some_and(|device| symbols(device.symbol))
        };
        let meets = |symbol| matches!(symbol, Symbol::Converter { .. } | Symbol::Relay);
        let passes = |symbol| {
            matches!(symbol, Symbol::Fuse | Symbol::Breaker | Symbol::Switch | Symbol::Isolator)
        };
        let mut lines_at: Vec<Vec<&Line>> = vec![Vec::new(); self.nodes.len()];
        for line in self.lines.iter().filter(|l| drawing.wires[l.wire].side == Side::Feed) {
            for (node, _) in line.ends {
                lines_at[node].push(line);
            }
        }
        let mut outward = BTreeMap::new();
        for battery in (0..self.nodes.len()).filter(|&n| is(n, |s| s == Symbol::Battery)) {
            for &start in &lines_at[battery] {
                let mut way = vec![(start, battery)];
                while let Some(&(line, near)) = way.last() {
                    let [(a, _), (b, _)] = line.ends;
                    let far = if a == near { b } else { a };
                    if is(far, meets) {
                        outward.extend(way.iter().map(|(line, near)| (line.wire, *near)));
                        break;
                    }
                    let next = lines_at[far].iter().find(|next| next.wire != line.wire);
                    match next.filter(|_| is(far, passes) && lines_at[far].len() == 2) {
                        Some(next) if way.len() < 8 => way.push((next, far)),
                        _ => break,
                    }
                }
            }
        }
        outward
    }

    /// The made-up flow's height at each node.
    fn flow(&self, drawing: &WiringDrawing) -> Vec<f64> {
        const ROUNDS: usize = 200;
        let count = self.nodes.len();
        let mut height = vec![0.0_f64; count];
        let mut held = vec![false; count];
        for node in 0..count {
            match self.device(drawing, node).map(|device| device.rank) {
                Some(Rank::Source(share)) => {
                    height[node] = share;
                    held[node] = true;
                }
                Some(Rank::Load) => held[node] = true,
                Some(Rank::Between) | None => {}
            }
        }
        let mut beside = vec![Vec::new(); count];
        for line in &self.lines {
            let [(a, _), (b, _)] = line.ends;
            let carries = drawing.wires[line.wire].side != Side::Return;
            if carries && !self.is_leaf(a) && !self.is_leaf(b) {
                beside[a].push(b);
                beside[b].push(a);
            }
        }
        for _ in 0..ROUNDS {
            for node in (0..count).filter(|&n| !held[n] && !beside[n].is_empty()) {
                let sum: f64 = beside[node].iter().map(|&other| height[other]).sum();
                height[node] = sum / beside[node].len() as f64;
            }
        }
        height
    }

    /// How many return lines each node is from the bar where the most of them meet.
    fn distances(&self, drawing: &WiringDrawing) -> Vec<Option<usize>> {
        let count = self.nodes.len();
        let mut beside = vec![Vec::new(); count];
        for line in &self.lines {
            let [(a, _), (b, _)] = line.ends;
            if drawing.wires[line.wire].side == Side::Return && !self.is_leaf(a) && !self.is_leaf(b)
            {
                beside[a].push(b);
                beside[b].push(a);
            }
        }
        let is_bar = |node: usize| {
            self.device(drawing, node).is_some_and(|device| device.symbol == Symbol::Bar)
        };
        let mut order: Vec<usize> = (0..count).filter(|&n| !beside[n].is_empty()).collect();
        order.sort_by_key(|&n| (!is_bar(n), std::cmp::Reverse(beside[n].len()), n));
        let mut distance = vec![None; count];
        for sink in order {
            if distance[sink].is_some() {
                continue;
            }
            distance[sink] = Some(0);
            let mut next = VecDeque::from([(sink, 0)]);
            while let Some((node, far)) = next.pop_front() {
                for &other in &beside[node] {
                    if distance[other].is_none() {
                        distance[other] = Some(far + 1);
                        next.push_back((other, far + 1));
                    }
                }
            }
        }
        distance
    }
}

/// Drawn anew at every line that goes to it.
pub(super) fn is_repeated(device: &Device) -> bool {
    matches!(device.symbol, Symbol::Body | Symbol::Earth)
}

/// `box.3`, or the device alone.
pub(super) fn terminal_name(device: &Device, terminal: usize) -> String {
    match device.terminals.get(terminal) {
        Some(terminal) if !terminal.name.is_empty() => format!("{}.{}", device.name, terminal.name),
        _ => device.name.clone(),
    }
}
