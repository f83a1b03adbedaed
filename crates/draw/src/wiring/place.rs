//! From columns and rows to points on paper: how wide everything is, where lines turn.

use super::canvas::{Weight, fitting, folded, mark_width, width};
use super::columns::{Columns, Item, What};
use super::input::{Device, Mark, Rank, Symbol, Terminal, Wire, WiringDrawing};
use super::net::{Leaf, Net, Node};
use super::rows::{Rows, Shape, rows, shape, stands_upright};
use super::tracks::{FINE, Tracks, Turn, tracks};

/// Size of words on the drawing, points. Capitals are then 1.8 mm high, the smallest nominal size of
/// lettering in ISO 3098-1 (from memory).
pub(super) const WORDS: f64 = 7.2;
/// Size of words inside symbols.
pub(super) const SMALL: f64 = 6.4;
/// Between two tracks, points.
const TRACK: f64 = 5.0;
/// Least width of a channel.
const CHANNEL: f64 = 8.0;
/// No name is drawn wider.
pub(super) const WIDEST: f64 = 104.0;
/// What stands left and right of the words of a line.
const BESIDE_WORDS: f64 = 3.0;
/// The symbol of something that stands in a line.
pub(super) const IN_LINE: f64 = 22.0;
/// The drawn body of a battery and the like.
pub(super) const CORE: f64 = 30.0;

/// An item on paper.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Box {
    /// Left and right edge of what lines end on.
    pub(super) left: f64,
    pub(super) right: f64,
    /// Top and bottom edge.
    pub(super) top: f64,
    pub(super) bottom: f64,
}

/// A line on paper.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Route {
    /// From the left to the right end.
    pub(super) points: Vec<(f64, f64)>,
    /// Where its words begin, on the line.
    pub(super) words: (f64, f64),
    /// Whether some of them stand under it.
    pub(super) is_stacked: bool,
}

/// Everything on paper, in points before scaling.
#[derive(Clone, Debug, Default)]
pub(super) struct Placed {
    pub(super) columns: Columns,
    pub(super) boxes: Vec<Box>,
    /// Height of every port.
    pub(super) port_y: Vec<f64>,
    pub(super) routes: Vec<Route>,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Lays a net out.
pub(super) fn place(drawing: &WiringDrawing, net: &Net, row: f64) -> Placed {
    let directed = net.directed(drawing);
    let layers = super::layers::layers(drawing, net, &directed);
    let columns =
        Columns::of(drawing, net, &directed, &layers, &layer_widths(drawing, net, &layers));
    let rows = rows(drawing, net, &columns);
    on_paper(drawing, net, columns, &rows, row)
}

fn on_paper(drawing: &WiringDrawing, net: &Net, columns: Columns, rows: &Rows, row: f64) -> Placed {
    let channels = channels(&columns, rows);
    let widths: Vec<f64> = columns
        .order
        .iter()
        .map(|order| {
            let widths = order.iter().map(|&at| extent(drawing, net, &columns, &columns.items[at]));
            widths.fold(0.0, f64::max)
        })
        .collect();
    let mut lefts = Vec::with_capacity(widths.len());
    let mut x = 0.0;
    for (column, width) in widths.iter().enumerate() {
        lefts.push(x);
        x += width + channels.get(column).map_or(0.0, |channel| channel_width(&channel.1));
    }
    let y = |height: i64| height as f64 * row;
    let boxes = columns
        .items
        .iter()
        .enumerate()
        .map(|(at, item)| {
            let (left, right) =
                body(drawing, net, &columns, item, (lefts[item.column], widths[item.column]));
            Box { left, right, top: y(rows.edges[at].0), bottom: y(rows.edges[at].1) }
        })
        .collect::<Vec<Box>>();
    let port_y: Vec<f64> = rows.port.iter().map(|&height| y(height)).collect();
    let mut placed = Placed {
        boxes,
        port_y,
        routes: vec![Route::default(); net.lines.len()],
        width: x,
        height: y(rows.count),
        columns,
    };
    route(&mut placed, &channels, &lefts, &widths, row);
    placed
}

type Channel = (Vec<usize>, Tracks);

/// For each column the links that leave it to the right, and their tracks.
fn channels(columns: &Columns, rows: &Rows) -> Vec<Channel> {
    let mut links: Vec<Vec<usize>> = vec![Vec::new(); columns.order.len().saturating_sub(1)];
    for (at, link) in columns.links.iter().enumerate() {
        links[columns.items[columns.ports[link.from].item].column].push(at);
    }
    links
        .into_iter()
        .map(|links| {
            let turns: Vec<Turn> = links
                .iter()
                .map(|&at| {
                    let link = columns.links[at];
                    Turn { left: FINE * rows.port[link.from], right: FINE * rows.port[link.to] }
                })
                .collect();
            let tracks = tracks(&turns);
            (links, tracks)
        })
        .collect()
}

fn channel_width(tracks: &Tracks) -> f64 {
    CHANNEL + TRACK * (tracks.count.saturating_sub(1)) as f64
}

fn route(placed: &mut Placed, channels: &[Channel], lefts: &[f64], widths: &[f64], row: f64) {
    for (column, (links, tracks)) in channels.iter().enumerate() {
        let start = lefts[column] + widths[column] + CHANNEL / 2.0;
        let track_x = |track: usize| start + TRACK * track as f64;
        for (number, &at) in links.iter().enumerate() {
            let link = placed.columns.links[at];
            let (from, to) = (placed.columns.ports[link.from], placed.columns.ports[link.to]);
            let (y_from, y_to) = (placed.port_y[link.from], placed.port_y[link.to]);
            let mut points = vec![(placed.boxes[from.item].right, y_from)];
            if let Some(track) = tracks.of[number] {
                points.push((track_x(track), y_from));
                if let Some((height, second)) = tracks.detour[number] {
                    let between = height as f64 * row / FINE as f64;
                    points.push((track_x(track), between));
                    points.push((track_x(second), between));
                    points.push((track_x(second), y_to));
                } else {
                    points.push((track_x(track), y_to));
                }
            }
            points.push((placed.boxes[to.item].left, y_to));
            let route = &mut placed.routes[link.line];
            route.points.extend(points);
            if matches!(placed.columns.items[to.item].what, What::Words(_)) {
                route.words = (lefts[column + 1] + BESIDE_WORDS, y_to);
                route.is_stacked = placed.columns.items[to.item].is_stacked;
            }
        }
    }
    for route in &mut placed.routes {
        route.points = without_straight(&route.points);
    }
}

/// Only the points where a line turns, and its ends.
fn without_straight(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for &point in points {
        if kept.last() == Some(&point) {
            continue;
        }
        if let [.., before, last] = kept[..] {
            let level = |a: f64, b: f64, c: f64| (a - b).abs() < 1e-9 && (b - c).abs() < 1e-9;
            if level(before.0, last.0, point.0) || level(before.1, last.1, point.1) {
                kept.pop();
            }
        }
        kept.push(point);
    }
    kept
}

/// Width of the widest node of each layer.
fn layer_widths(drawing: &WiringDrawing, net: &Net, layers: &[usize]) -> Vec<f64> {
    let mut widths = vec![0.0_f64; layers.iter().max().map_or(0, |most| most + 1)];
    for (node, &layer) in layers.iter().enumerate() {
        let width = match net.device(drawing, node) {
            Some(device) => width(&device_words(device), WORDS, Weight::Bold),
            None => 40.0,
        };
        widths[layer] = widths[layer].max(width);
    }
    widths
}

/// How much room an item takes in its column.
fn extent(drawing: &WiringDrawing, net: &Net, columns: &Columns, item: &Item) -> f64 {
    match item.what {
        What::Pass(_) => 0.0,
        What::Words(line) => {
            let wire = &drawing.wires[net.lines[line].wire];
            let words = if item.is_stacked {
                let (above, below) = stacked_words(wire);
                let name = width(&wire.name, WORDS, Weight::Bold);
                let above = name + width(&format!(" {}", above.join(" ")), WORDS, Weight::Plain);
                let below = width(&below.join(" "), WORDS, Weight::Plain);
                above.max(if keeps_facts(wire) { marks_width(&wire.marks) + below } else { 0.0 })
            } else {
                words_width(wire)
            };
            words.max(overlay_width(wire)) + cores_width(wire) + 2.0 * BESIDE_WORDS
        }
        What::Node(node) => match &net.nodes[node] {
            Node::Leaf(leaf) => leaf_width(drawing, leaf),
            Node::Device(device) => {
                let device = &drawing.devices[*device];
                let (body, name) = device_widths(drawing, net, columns, device, item);
                let beside = match shape(drawing, net, item) {
                    Shape::Block if stands_upright(device) => figure_width(device),
                    _ => 0.0,
                };
                let suspicion = device
                    .suspicion
                    .map_or(0.0, |share| width(&suspicion_words(share), SMALL, Weight::Bold) + 3.0);
                body.max(name).max(beside + marks_width(&device.marks) + suspicion + 2.0)
            }
        },
    }
}

/// What lines end on: left-aligned in the column, ends on the left side right-aligned.
fn body(
    drawing: &WiringDrawing,
    net: &Net,
    columns: &Columns,
    item: &Item,
    (left, width): (f64, f64),
) -> (f64, f64) {
    let What::Node(node) = item.what else { return (left, left + width) };
    match &net.nodes[node] {
        Node::Leaf(leaf) if item.west.is_empty() => {
            (left + width - leaf_width(drawing, leaf), left + width)
        }
        Node::Leaf(leaf) => (left, left + leaf_width(drawing, leaf)),
        Node::Device(device) => {
            (left, left + device_widths(drawing, net, columns, &drawing.devices[*device], item).0)
        }
    }
}

/// Width of a device's body, and of its name.
fn device_widths(
    drawing: &WiringDrawing,
    net: &Net,
    columns: &Columns,
    device: &Device,
    item: &Item,
) -> (f64, f64) {
    let name = width(&device_words(device), WORDS, Weight::Bold) + 2.0;
    match shape(drawing, net, item) {
        Shape::Line if device.rank == Rank::Load => (load_inset(device) + name + 3.0, 0.0),
        Shape::Line => {
            let one = |text: &str| {
                width(&fitting(text, WORDS, Weight::Bold, WIDEST), WORDS, Weight::Bold)
            };
            (IN_LINE, one(&device.name).max(one(&device.rating)) + 2.0)
        }
        Shape::Bar if device.symbol == Symbol::Bar => (4.0, name),
        Shape::Bar => (box_width(device, columns, item), name),
        Shape::Block => {
            let words = fitting(&device.name, WORDS, Weight::Bold, WIDEST);
            (block_width(device), width(&words, WORDS, Weight::Bold) + 2.0)
        }
    }
}

/// Where the name of a load begins in its box: after its sign, if it has one.
pub(super) fn load_inset(device: &Device) -> f64 {
    if device.symbol == Symbol::Equipment || device.symbol == Symbol::Block { 4.0 } else { 20.0 }
}

/// Words beside a way of a fuse box are no wider than this.
pub(super) const WAY_WORDS: f64 = 72.0;

/// A fuse box: the bar in the middle, ways towards the faces they leave from.
fn box_width(device: &Device, columns: &Columns, item: &Item) -> f64 {
    let way = way_width(device);
    let faces = f64::from(u8::from(!item.east.is_empty())) + west_ways(columns, item);
    18.0 + way * faces.max(1.0)
}

/// 1 if any way leaves to the left: then the ways there need room too.
pub(super) fn west_ways(columns: &Columns, item: &Item) -> f64 {
    f64::from(u8::from(item.west.iter().any(|&port| columns.ports[port].terminal > 0)))
}

/// Room for one way: number, fuse, words.
pub(super) fn way_width(device: &Device) -> f64 {
    let words = device
        .terminals
        .iter()
        .map(|terminal| width(&way_words(terminal), SMALL, Weight::Plain))
        .fold(20.0, f64::max);
    words + 6.0
}

/// Number of a way and what it feeds.
pub(super) fn way_words(terminal: &Terminal) -> String {
    fitting(format!("{} {}", terminal.name, terminal.words).trim(), SMALL, Weight::Plain, WAY_WORDS)
}

fn block_width(device: &Device) -> f64 {
    let names = device
        .terminals
        .iter()
        .map(|terminal| width(&terminal.name, SMALL, Weight::Plain))
        .fold(0.0, f64::max);
    CORE + 2.0 * (names + 5.0)
}

/// Name and figure of a device, cut to fit.
pub(super) fn device_words(device: &Device) -> String {
    let words = format!("{} {}", device.name, device.rating);
    fitting(words.trim_end(), WORDS, Weight::Bold, WIDEST)
}

/// Where marks begin beside the figure of what stands upright, or beside its name if it has none.
pub(super) fn figure_width(device: &Device) -> f64 {
    let words = if device.rating.is_empty() {
        let name = fitting(&device.name, WORDS, Weight::Bold, WIDEST);
        width(&name, WORDS, Weight::Bold)
    } else {
        width(&device.rating, SMALL, Weight::Plain)
    };
    words + 3.0
}

/// From line to line of the words beside an end.
pub(super) const LEAF_LINE: f64 = 7.0;
/// Words beside an end are no wider than this.
const LEAF_WORDS: f64 = 84.0;

/// Words beside an end, in one line or in two.
pub(super) fn leaf_lines(drawing: &WiringDrawing, leaf: &Leaf) -> Vec<String> {
    let words = match leaf {
        Leaf::Joined(device) => &drawing.devices[*device].name,
        Leaf::Behind(part) => part,
        Leaf::Unseen => drawing.speech.say("not seen"),
        Leaf::Same(terminal) => terminal,
    };
    folded(words, SMALL, LEAF_WORDS)
}

fn leaf_width(drawing: &WiringDrawing, leaf: &Leaf) -> f64 {
    20.0 + leaf_words_width(&leaf_lines(drawing, leaf)) + marks_width(leaf_marks(drawing, leaf))
}

/// Width of the words beside an end.
pub(super) fn leaf_words_width(lines: &[String]) -> f64 {
    lines.iter().map(|line| width(line, SMALL, Weight::Plain)).fold(0.0, f64::max)
}

/// Marks beyond the words of an end: those of the body point or the earth that is drawn there.
pub(super) fn leaf_marks<'a>(drawing: &'a WiringDrawing, leaf: &Leaf) -> &'a [Mark] {
    match leaf {
        Leaf::Joined(device) => &drawing.devices[*device].marks,
        Leaf::Behind(_) | Leaf::Unseen | Leaf::Same(_) => &[],
    }
}

/// Width of what stands over a line.
fn words_width(wire: &Wire) -> f64 {
    width(&wire.name, WORDS, Weight::Bold)
        + width(&format!(" {}", wire.facts.join(" ")), WORDS, Weight::Plain)
}

/// Words of a short line: what stands over it beside its name, and what stands under it.
pub(super) fn stacked_words(wire: &Wire) -> (&[String], &[String]) {
    wire.facts.split_at(wire.facts.len().min(1))
}

/// Whether the words under a line stay beside its marks: a state or a suspicion takes their place.
pub(super) fn keeps_facts(wire: &Wire) -> bool {
    wire.suspicion.is_none() && wire.state.as_ref().is_none_or(|state| state.words.is_empty())
}

/// Room for the strokes that count the conductors of a cable.
pub(super) fn cores_width(wire: &Wire) -> f64 {
    if wire.cores > 1 { 6.0 + 3.0 * wire.cores.min(MOST_STROKES) as f64 } else { 0.0 }
}

/// No cable gets more strokes.
pub(super) const MOST_STROKES: usize = 5;

/// Width of what a state, a finding or a suspicion puts under a line.
pub(super) fn overlay_width(wire: &Wire) -> f64 {
    let state = wire.state.as_ref().map_or("", |state| state.words.as_str());
    let mut total = marks_width(&wire.marks);
    if !state.is_empty() {
        total += width(state, SMALL, Weight::Plain) + 3.0;
    }
    if let Some(share) = wire.suspicion {
        total += width(&suspicion_words(share), SMALL, Weight::Bold) + 3.0;
    }
    total
}

/// Width of marks side by side.
pub(super) fn marks_width(marks: &[Mark]) -> f64 {
    marks.iter().map(|mark| mark_width(&mark.number.to_string()) + 2.0).sum()
}

/// How much something is suspected.
pub(super) fn suspicion_words(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}
