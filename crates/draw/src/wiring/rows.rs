//! How high everything stands: as few bends as the order allows. All heights are whole rows of the
//! grid, so that what is nearly level is level.

use super::columns::{Columns, Item, What};
use super::input::{Device, Rank, Symbol, WiringDrawing};
use super::net::{Net, Node};
use super::place::{leaf_lines, overlay_width};
use super::simplex::Places;

/// From line to line where both carry words over them.
pub(super) const ABOVE_WORDS: i64 = 2;
/// Between ports of one face.
const PORTS: i64 = 3;
/// Over the top edge of a block: its name.
const NAME: i64 = 3;

/// Heights in rows of the grid.
#[derive(Clone, Debug, Default)]
pub(super) struct Rows {
    /// Of each port.
    pub(super) port: Vec<i64>,
    /// Top and bottom edge of each item.
    pub(super) edges: Vec<(i64, i64)>,
    /// Rows needed.
    pub(super) count: i64,
}

/// How an item is made up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// A line goes through, or ends: one height.
    Line,
    /// A rectangle with terminals in a fixed order.
    Block,
    /// A bar or box with ports anywhere.
    Bar,
}

/// How an item is made up.
pub(super) fn shape(drawing: &WiringDrawing, net: &Net, item: &Item) -> Shape {
    let What::Node(node) = item.what else { return Shape::Line };
    let Node::Device(device) = net.nodes[node] else { return Shape::Line };
    let device = &drawing.devices[device];
    match device.symbol {
        Symbol::Bar | Symbol::FuseBox => Shape::Bar,
        _ if is_inline(device, item) => Shape::Line,
        _ => Shape::Block,
    }
}

/// Two terminals, one line on each face at most: drawn on the line.
fn is_inline(device: &Device, item: &Item) -> bool {
    let stands_in_line = !matches!(
        device.symbol,
        Symbol::Block
            | Symbol::Battery
            | Symbol::SolarModule
            | Symbol::Generator
            | Symbol::Relay
            | Symbol::Converter { .. }
            | Symbol::Meter
    );
    stands_in_line
        && device.terminals.len() <= 2
        && item.west.len() <= 1
        && item.east.len() <= 1
        && !(item.west.is_empty() && item.east.is_empty())
}

/// Places of an item.
struct Spans {
    top: usize,
    bottom: usize,
    above: i64,
    below: i64,
}

/// Finds the heights of everything on a sheet.
pub(super) fn rows(drawing: &WiringDrawing, net: &Net, columns: &Columns) -> Rows {
    let mut places = Places::default();
    let mut port = vec![0; columns.ports.len()];
    let spans: Vec<Spans> = columns
        .items
        .iter()
        .map(|item| match shape(drawing, net, item) {
            Shape::Line => line(drawing, net, item, &mut places, &mut port),
            Shape::Block => block(drawing, net, columns, item, &mut places, &mut port),
            Shape::Bar => bar(drawing, net, item, &mut places, &mut port),
        })
        .collect();
    let end = places.place();
    for order in &columns.order {
        for pair in order.windows(2) {
            let (a, b) = (&spans[pair[0]], &spans[pair[1]]);
            places.apart(a.bottom, b.top, a.below + b.above, 0);
        }
        for &item in order {
            places.apart(spans[item].bottom, end, spans[item].below, 0);
        }
    }
    let first = places.place();
    for span in &spans {
        places.apart(first, span.top, span.above, 0);
    }
    places.apart(first, end, 0, HEIGHT);
    for link in &columns.links {
        let is_on_its_way =
            |port: usize| !matches!(columns.items[columns.ports[port].item].what, What::Node(_));
        let weight = match (is_on_its_way(link.from), is_on_its_way(link.to)) {
            (true, true) => 8,
            (true, false) | (false, true) => 4,
            (false, false) => 2,
        };
        places.level(port[link.from], port[link.to], weight);
    }
    let y = places.solve();
    Rows {
        port: port.iter().map(|&place| y[place]).collect(),
        edges: spans.iter().map(|span| (y[span.top], y[span.bottom])).collect(),
        count: y[end] - y[first],
    }
}

/// What one row more of the whole sheet costs, against a bend of one row.
const HEIGHT: i64 = 1;

fn line(
    drawing: &WiringDrawing,
    net: &Net,
    item: &Item,
    places: &mut Places,
    port: &mut [usize],
) -> Spans {
    let place = places.place();
    for &at in item.west.iter().chain(&item.east) {
        port[at] = place;
    }
    let (above, below) = match item.what {
        What::Words(_) if item.is_stacked => (ABOVE_WORDS, 2),
        What::Words(line) => {
            let wire = &drawing.wires[net.lines[line].wire];
            (ABOVE_WORDS, if overlay_width(wire) > 0.0 { 2 } else { 1 })
        }
        What::Pass(_) => (1, 1),
        What::Node(node) => match &net.nodes[node] {
            Node::Leaf(leaf) if leaf_lines(drawing, leaf).len() > 1 => (2, 2),
            Node::Leaf(_) => (2, 1),
            Node::Device(device) => {
                let device = &drawing.devices[*device];
                let has_marks = i64::from(!device.marks.is_empty() || device.suspicion.is_some());
                match device.rank {
                    Rank::Load => (2, 1 + 2 * has_marks),
                    _ => (3, if device.rating.is_empty() { 1 } else { 3 } + 2 * has_marks),
                }
            }
        },
    };
    Spans { top: place, bottom: place, above, below }
}

/// A rectangle: terminals from the top, each with its ports on both faces.
fn block(
    drawing: &WiringDrawing,
    net: &Net,
    columns: &Columns,
    item: &Item,
    places: &mut Places,
    port: &mut [usize],
) -> Spans {
    let (top, bottom) = (places.place(), places.place());
    let device = match item.what {
        What::Node(node) => net.device(drawing, node),
        _ => None,
    };
    let count = device.map_or(0, |device| device.terminals.len());
    let is_upright = device.is_some_and(stands_upright);
    let mut last: [Option<usize>; 2] = [None, None];
    for terminal in 0..count {
        let faces = [&item.west, &item.east].map(|ports| {
            let of_terminal = |at: &&usize| columns.ports[**at].terminal == terminal;
            ports.iter().filter(of_terminal).copied().collect::<Vec<usize>>()
        });
        let before = last;
        for (face, ports) in faces.iter().enumerate() {
            for &at in ports {
                let place = places.place();
                port[at] = place;
                match last[face] {
                    Some(over) => places.apart(over, place, PORTS, 1),
                    None => places.apart(top, place, first_row(is_upright, terminal), 1),
                }
                // Terminals keep clear of each other across the block.
                if let Some(over) = before[1 - face].or(before[face]).filter(|_| is_upright) {
                    places.apart(over, place, UPRIGHT - 1, 0);
                } else if let Some(over) = before[1 - face] {
                    places.apart(over, place, 2, 0);
                }
                last[face] = Some(place);
            }
        }
        if let (Some(&left), Some(&right)) = (faces[0].first(), faces[1].first()) {
            places.level(port[left], port[right], 3);
        }
    }
    for over in last.into_iter().flatten() {
        let is_bare = faces_of(columns, item, 1) == 0;
        let below = if !is_upright {
            2
        } else if is_bare {
            UPRIGHT
        } else {
            1
        };
        places.apart(over, bottom, below, 0);
    }
    places.apart(top, bottom, least_height(device), 12);
    let has_marks =
        device.is_some_and(|d| !is_upright && (!d.marks.is_empty() || d.suspicion.is_some()));
    let figure = i64::from(device.is_some_and(|d| is_upright && !d.rating.is_empty()));
    Spans { top, bottom, above: NAME + 2 * figure, below: 1 + 2 * i64::from(has_marks) }
}

/// Rows between the plus and the minus of something upright, where one of them is bare.
const UPRIGHT: i64 = 5;

/// Rows from the top edge to the first port; where that is the minus, the bare plus needs room.
fn first_row(is_upright: bool, terminal: usize) -> i64 {
    match (is_upright, terminal) {
        (true, 0) => 1,
        (true, _) => UPRIGHT,
        (false, _) => 3,
    }
}

/// How many wires are on a terminal.
fn faces_of(columns: &Columns, item: &Item, terminal: usize) -> usize {
    let ports = item.west.iter().chain(&item.east);
    ports.filter(|&&port| columns.ports[port].terminal == terminal).count()
}

/// Drawn between its plus above and its minus below, without an outline.
pub(super) fn stands_upright(device: &Device) -> bool {
    matches!(device.symbol, Symbol::Battery | Symbol::SolarModule | Symbol::Generator)
        && device.terminals.len() == 2
}

/// Rows that the symbol in a block needs.
fn least_height(device: Option<&Device>) -> i64 {
    match device.map(|device| device.symbol) {
        Some(Symbol::Battery | Symbol::SolarModule | Symbol::Generator) => 6,
        Some(Symbol::Relay | Symbol::Converter { .. }) => 6,
        _ => 5,
    }
}

/// A bar: as tall as its ports ask for.
fn bar(
    drawing: &WiringDrawing,
    net: &Net,
    item: &Item,
    places: &mut Places,
    port: &mut [usize],
) -> Spans {
    let (top, bottom) = (places.place(), places.place());
    let device = match item.what {
        What::Node(node) => net.device(drawing, node),
        _ => None,
    };
    let is_box = device.is_some_and(|device| device.symbol == Symbol::FuseBox);
    let has_marks = device.is_some_and(|d| !d.marks.is_empty() || d.suspicion.is_some());
    for ports in [&item.west, &item.east] {
        let mut last = None;
        for &at in ports {
            let place = places.place();
            port[at] = place;
            match last {
                Some(over) => places.apart(over, place, PORTS, 0),
                None => places.apart(top, place, if is_box { 3 } else { 1 }, 0),
            }
            last = Some(place);
        }
        if let Some(over) = last {
            places.apart(over, bottom, 1, 0);
        }
    }
    places.apart(top, bottom, 2, 1);
    Spans { top, bottom, above: NAME, below: 1 + 2 * i64::from(has_marks) }
}
