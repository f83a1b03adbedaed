//! The columns of a sheet: nodes in the even ones, the words of the lines in the odd ones; a line
//! that crosses a column has a place of its own in it. The order in a column is found by sweeps that
//! move everything to the middle of what it is joined to, and by exchanges of neighbours; it starts
//! from the order of the record and changes only where that takes crossings away.

use std::collections::{BTreeMap, BTreeSet};

use super::input::{Symbol, WiringDrawing};
use super::net::{Net, Node};

/// Something in a column.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub(super) what: What,
    pub(super) column: usize,
    /// Ports on its left and on its right, from the top.
    pub(super) west: Vec<usize>,
    pub(super) east: Vec<usize>,
    /// Whether ports may stand in any order, or only within a terminal.
    pub(super) is_free: bool,
    /// Of words: whether some stand under the line, which takes height and saves width.
    pub(super) is_stacked: bool,
}

/// What an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    /// A node of the net.
    Node(usize),
    /// The words of a line.
    Words(usize),
    /// A line on its way.
    Pass(usize),
}

/// Where a line meets an item.
#[derive(Clone, Copy, Debug)]
pub(super) struct Port {
    pub(super) item: usize,
    pub(super) terminal: usize,
    pub(super) line: usize,
}

/// A piece of a line between neighbouring columns: from an east port to a west port.
#[derive(Clone, Copy, Debug)]
pub(super) struct Link {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) line: usize,
}

/// Items in columns, with their order.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    pub(super) items: Vec<Item>,
    pub(super) ports: Vec<Port>,
    pub(super) links: Vec<Link>,
    /// Items of each column from the top.
    pub(super) order: Vec<Vec<usize>>,
    /// The other end of the link at a port.
    opposite: Vec<Option<usize>>,
}

/// From so many lines on, words in a column of nodes all stand over their lines.
const MANY_WORDS: usize = 6;
const SWEEPS: usize = 12;
const EXCHANGES: usize = 8;

impl Columns {
    /// `widths` are those of the widest node of each layer: long lines have their words where there
    /// is most room anyway.
    pub(super) fn of(
        drawing: &WiringDrawing,
        net: &Net,
        directed: &[(usize, usize)],
        layers: &[usize],
        widths: &[f64],
    ) -> Columns {
        let mut columns = Columns::default();
        let is_free = |node: usize| {
            net.device(drawing, node)
                .is_some_and(|d| matches!(d.symbol, Symbol::Bar | Symbol::FuseBox))
        };
        for (node, &layer) in layers.iter().enumerate() {
            columns.item(What::Node(node), 2 * layer, is_free(node));
        }
        for (at, line) in net.lines.iter().enumerate() {
            let (mut left, mut right) = directed[at];
            if layers[left] > layers[right] {
                (left, right) = (right, left);
            }
            let terminal = |node| line.ends.iter().find(|end| end.0 == node).map_or(0, |end| end.1);
            let mut from = columns.port(left, terminal(left), at, Face::East);
            let words = words_column(layers[left], layers[right], widths);
            for column in 2 * layers[left] + 1..2 * layers[right] {
                let what = if column == words { What::Words(at) } else { What::Pass(at) };
                let item = columns.item(what, column, false);
                let to = columns.port(item, 0, at, Face::West);
                columns.link(from, to, at);
                from = columns.port(item, 0, at, Face::East);
            }
            let to = columns.port(right, terminal(right), at, Face::West);
            columns.link(from, to, at);
        }
        columns.stack_words();
        columns.index();
        columns.start(net);
        columns.untangle();
        columns
    }

    fn item(&mut self, what: What, column: usize, is_free: bool) -> usize {
        self.items.push(Item {
            what,
            column,
            west: Vec::new(),
            east: Vec::new(),
            is_free,
            is_stacked: false,
        });
        self.items.len() - 1
    }

    fn port(&mut self, item: usize, terminal: usize, line: usize, face: Face) -> usize {
        self.ports.push(Port { item, terminal, line });
        let port = self.ports.len() - 1;
        match face {
            Face::West => self.items[item].west.push(port),
            Face::East => self.items[item].east.push(port),
        }
        port
    }

    fn link(&mut self, from: usize, to: usize, line: usize) {
        self.links.push(Link { from, to, line });
    }

    /// Words are stacked between neighbouring columns, and where few lines have theirs in a column
    /// of nodes; where many do, width is dearer than height.
    fn stack_words(&mut self) {
        let mut count: BTreeMap<usize, usize> = BTreeMap::new();
        let words = self.items.iter().filter(|item| matches!(item.what, What::Words(_)));
        words.for_each(|item| *count.entry(item.column).or_default() += 1);
        for item in self.items.iter_mut().filter(|item| matches!(item.what, What::Words(_))) {
            item.is_stacked = item.column % 2 == 1 || count[&item.column] < MANY_WORDS;
        }
    }

    fn index(&mut self) {
        self.opposite = vec![None; self.ports.len()];
        for link in &self.links {
            self.opposite[link.from] = Some(link.to);
            self.opposite[link.to] = Some(link.from);
        }
        let count = self.items.iter().map(|item| item.column + 1).max().unwrap_or_default();
        self.order = vec![Vec::new(); count];
        for at in 0..self.items.len() {
            for face in [Face::West, Face::East] {
                let mut ports = self.side(at, face).clone();
                ports.sort_by_key(|&port| (self.ports[port].terminal, self.ports[port].line));
                *self.side_mut(at, face) = ports;
            }
        }
    }

    /// The order of the record: from each node on the left along its lines, depth first.
    fn start(&mut self, net: &Net) {
        let mut seen = BTreeSet::new();
        let mut starts: Vec<usize> = (0..net.nodes.len()).collect();
        starts.sort_by_key(|&node| {
            let is_leaf = matches!(net.nodes[node], Node::Leaf(_));
            (!self.items[node].west.is_empty(), is_leaf, self.items[node].column, node)
        });
        for start in starts {
            let mut next = vec![start];
            while let Some(item) = next.pop() {
                if !seen.insert(item) {
                    continue;
                }
                self.order[self.items[item].column].push(item);
                let beyond = self.items[item].east.iter().rev();
                next.extend(beyond.filter_map(|&p| self.opposite[p]).map(|p| self.ports[p].item));
            }
        }
    }

    fn side(&self, item: usize, face: Face) -> &Vec<usize> {
        match face {
            Face::West => &self.items[item].west,
            Face::East => &self.items[item].east,
        }
    }

    fn side_mut(&mut self, item: usize, face: Face) -> &mut Vec<usize> {
        match face {
            Face::West => &mut self.items[item].west,
            Face::East => &mut self.items[item].east,
        }
    }

    /// The place of every port of one face of a column, counted from the top.
    fn places(&self, column: usize, face: Face, place: &mut [usize]) {
        let ports = self.order[column].iter().flat_map(|&item| self.side(item, face));
        for (at, &port) in ports.enumerate() {
            place[port] = at;
        }
    }

    fn untangle(&mut self) {
        let mut place = vec![0; self.ports.len()];
        for column in 0..self.order.len() {
            self.sort_ports(column, Face::East, &mut place);
            self.sort_ports(column, Face::West, &mut place);
        }
        let mut best = (self.crossings(), self.state());
        for sweep in 0..SWEEPS {
            let count = self.order.len();
            for step in 1..count {
                let (column, face) = if sweep % 2 == 0 {
                    (step, Face::West)
                } else {
                    (count - 1 - step, Face::East)
                };
                self.sort_column(column, face, &mut place);
            }
            for column in 0..count {
                self.sort_ports(column, Face::East, &mut place);
                self.sort_ports(column, Face::West, &mut place);
            }
            let now = self.crossings();
            if now < best.0 {
                best = (now, self.state());
            }
        }
        self.restore(best.1);
        for _ in 0..EXCHANGES {
            if !self.exchange(&mut place) {
                break;
            }
        }
    }

    /// Order of items, and of ports on both faces of each.
    fn state(&self) -> State {
        let ports = self.items.iter().map(|item| (item.west.clone(), item.east.clone())).collect();
        (self.order.clone(), ports)
    }

    fn restore(&mut self, (order, ports): State) {
        self.order = order;
        for (item, (west, east)) in self.items.iter_mut().zip(ports) {
            (item.west, item.east) = (west, east);
        }
    }

    fn neighbour_column(column: usize, face: Face) -> Option<usize> {
        match face {
            Face::West => column.checked_sub(1),
            Face::East => Some(column + 1),
        }
    }

    /// Moves every item of a column to the mean of what it is joined to on a face; what is joined to
    /// nothing there keeps its row.
    fn sort_column(&mut self, column: usize, face: Face, place: &mut [usize]) {
        let Some(beside) = Columns::neighbour_column(column, face) else { return };
        if beside >= self.order.len() {
            return;
        }
        self.places(beside, face.other(), place);
        let mean = |item: usize| -> Option<f64> {
            let ports = self.side(item, face);
            let sum: usize = ports.iter().filter_map(|&p| self.opposite[p]).map(|p| place[p]).sum();
            (!ports.is_empty()).then(|| sum as f64 / ports.len() as f64)
        };
        let order = self.order[column].clone();
        let rows: Vec<usize> = (0..order.len()).filter(|&at| mean(order[at]).is_some()).collect();
        let mut moving: Vec<(f64, usize)> =
            rows.iter().filter_map(|&at| Some((mean(order[at])?, order[at]))).collect();
        moving.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (at, (_, item)) in rows.into_iter().zip(moving) {
            self.order[column][at] = item;
        }
        self.sort_ports(column, face, place);
    }

    /// Orders the ports of one face of a column by what they lead to, as far as terminals allow.
    fn sort_ports(&mut self, column: usize, face: Face, place: &mut [usize]) {
        let Some(beside) = Columns::neighbour_column(column, face) else { return };
        if beside >= self.order.len() {
            return;
        }
        self.places(beside, face.other(), place);
        for at in self.order[column].clone() {
            let mut ports = self.side(at, face).clone();
            let is_free = self.items[at].is_free;
            let key = |&port: &usize| {
                let terminal = if is_free { 0 } else { self.ports[port].terminal };
                (terminal, self.opposite[port].map_or(0, |other| place[other]))
            };
            ports.sort_by_key(key);
            *self.side_mut(at, face) = ports;
        }
    }

    /// Crossings of links between neighbouring columns.
    pub(super) fn crossings(&self) -> usize {
        let mut place = vec![0; self.ports.len()];
        (1..self.order.len())
            .map(|column| {
                self.places(column, Face::West, &mut place);
                let ends = self.order[column - 1]
                    .iter()
                    .flat_map(|&item| self.side(item, Face::East))
                    .filter_map(|&port| self.opposite[port])
                    .map(|port| place[port])
                    .collect();
                inversions(ends)
            })
            .sum()
    }

    /// Exchanges neighbours in a column where that takes crossings away; says whether any did.
    fn exchange(&mut self, place: &mut [usize]) -> bool {
        let mut has_changed = false;
        for column in 0..self.order.len() {
            for face in [Face::West, Face::East] {
                if let Some(beside) =
                    Columns::neighbour_column(column, face).filter(|&b| b < self.order.len())
                {
                    self.places(beside, face.other(), place);
                }
            }
            for at in 1..self.order[column].len() {
                let (a, b) = (self.order[column][at - 1], self.order[column][at]);
                if self.pair(b, a, place) < self.pair(a, b, place) {
                    self.order[column].swap(at - 1, at);
                    has_changed = true;
                }
            }
            self.sort_ports(column, Face::West, place);
            self.sort_ports(column, Face::East, place);
        }
        has_changed
    }

    /// Crossings of the links of two items with `a` above `b`.
    fn pair(&self, a: usize, b: usize, place: &[usize]) -> usize {
        let ends = |item: usize, face: Face| -> Vec<usize> {
            self.side(item, face)
                .iter()
                .filter_map(|&port| self.opposite[port])
                .map(|port| place[port])
                .collect()
        };
        [Face::West, Face::East]
            .into_iter()
            .map(|face| {
                let below = ends(b, face);
                ends(a, face).iter().map(|a| below.iter().filter(|b| *b < a).count()).sum::<usize>()
            })
            .sum()
    }
}

/// The column for the words of a line: a line between neighbouring layers has only one; a longer one
/// takes the widest column of nodes that it crosses.
fn words_column(left: usize, right: usize, widths: &[f64]) -> usize {
    let crossed = left + 1..right;
    let widest = crossed.max_by(|&a, &b| widths[a].total_cmp(&widths[b]).then(b.cmp(&a)));
    widest.map_or(2 * left + 1, |layer| 2 * layer)
}

type State = (Vec<Vec<usize>>, Vec<(Vec<usize>, Vec<usize>)>);

/// A face of an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Face {
    West,
    East,
}

impl Face {
    fn other(self) -> Face {
        match self {
            Face::West => Face::East,
            Face::East => Face::West,
        }
    }
}

/// Pairs that stand in the wrong order, by merging.
fn inversions(mut values: Vec<usize>) -> usize {
    fn sort(values: &mut [usize], room: &mut Vec<usize>) -> usize {
        if values.len() < 2 {
            return 0;
        }
        let middle = values.len() / 2;
        let (left, right) = values.split_at_mut(middle);
        let mut count = sort(left, room) + sort(right, room);
        room.clear();
        let (mut l, mut r) = (0, 0);
        while l < left.len() || r < right.len() {
            if r == right.len() || (l < left.len() && left[l] <= right[r]) {
                room.push(left[l]);
                l += 1;
            } else {
                count += left.len() - l;
                room.push(right[r]);
                r += 1;
            }
        }
        values.copy_from_slice(room);
        count
    }
    sort(&mut values, &mut Vec::new())
}
