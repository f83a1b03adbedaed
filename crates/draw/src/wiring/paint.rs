//! Ink: lines with their words, devices with their names, ends, marks and shades.

use super::canvas::{Anchor, Canvas, Ink, Stroke, Weight, Words, escaped, fitting};
use super::columns::{Item, What};
use super::input::{Device, LineState, Mark, Rank, Side, Status, Symbol, Wire, WiringDrawing};
use super::net::{Leaf, Net, Node};
use super::place::{
    Box, IN_LINE, LEAF_LINE, MOST_STROKES, Placed, Route, SMALL, WIDEST, WORDS, cores_width,
    device_words, figure_width, keeps_facts, leaf_lines, leaf_marks, leaf_words_width, load_inset,
    marks_width, stacked_words, suspicion_words, way_width, way_words, west_ways,
};
use super::rows::{Shape, shape, stands_upright};
use super::symbols::{self, OUTLINE};

/// What is painted, with where everything is.
pub(super) struct Painting<'a> {
    pub(super) drawing: &'a WiringDrawing,
    pub(super) net: &'a Net,
    pub(super) placed: &'a Placed,
}

impl Painting<'_> {
    /// Lines first, then what stands on them.
    pub(super) fn paint(&self, canvas: &mut Canvas) {
        canvas.open_plain("wires");
        for (line, route) in self.net.lines.iter().zip(&self.placed.routes) {
            self.wire(canvas, &self.drawing.wires[line.wire], route);
        }
        canvas.close();
        canvas.open_plain("devices");
        for (at, item) in self.placed.columns.items.iter().enumerate() {
            if let What::Node(node) = item.what {
                match &self.net.nodes[node] {
                    Node::Device(device) => self.device(canvas, at, item, *device),
                    Node::Leaf(leaf) => self.leaf(canvas, at, item, node, leaf),
                }
            }
        }
        canvas.close();
    }

    fn id(&self, kind: &str, name: &str) -> String {
        let clean = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
        let name: String = name.chars().map(clean).collect();
        format!("{}-{kind}-{name}", self.drawing.key)
    }

    fn wire(&self, canvas: &mut Canvas, wire: &Wire, route: &Route) {
        let class = format!("wire {}{}", side_word(wire.side), status_word(wire.state.as_ref()));
        let data = format!(" data-wire=\"{}\"", escaped(&wire.name));
        canvas.open(&class, &self.id("wire", &wire.name), &data, &wire.words);
        if let Some(share) = wire.suspicion {
            for pair in route.points.windows(2) {
                let (a, b) = (pair[0], pair[1]);
                let corner = (a.0.min(b.0) - 3.0, a.1.min(b.1) - 3.0);
                canvas.shade(corner, ((a.0 - b.0).abs() + 6.0, (a.1 - b.1).abs() + 6.0), share);
            }
        }
        let stroke = line_stroke(wire);
        canvas.line(&route.points, stroke);
        let (mut x, y) = route.words;
        if wire.cores > 1 {
            cores(canvas, (x, y), wire.cores);
            x += cores_width(wire);
        }
        let (above, under) =
            if route.is_stacked { stacked_words(wire) } else { (&wire.facts[..], &[][..]) };
        let facts: Vec<&str> = above.iter().map(String::as_str).collect();
        let words = Words {
            at: (x, y - 1.5 - stroke.width / 2.0),
            size: WORDS,
            weight: Weight::Bold,
            anchor: Anchor::Start,
            ink: Ink::Full,
            text: &wire.name,
        };
        canvas.words_with(&words, &facts);
        let mut x = marks(canvas, (x, y + 1.6 + stroke.width / 2.0), &wire.marks);
        if keeps_facts(wire) && !under.is_empty() {
            let at = (x, y + 7.2 + stroke.width / 2.0);
            let weight = Weight::Plain;
            canvas.words(&Words { at, weight, text: &under.join(" "), ..words });
        }
        if let Some(share) = wire.suspicion {
            x = small(
                canvas,
                (x, y + 7.0 + stroke.width / 2.0),
                Weight::Bold,
                &suspicion_words(share),
            );
        }
        if let Some(state) = wire.state.as_ref().filter(|state| !state.words.is_empty()) {
            small(canvas, (x, y + 7.0 + stroke.width / 2.0), Weight::Plain, &state.words);
        }
        canvas.close();
    }

    fn device(&self, canvas: &mut Canvas, at: usize, item: &Item, index: usize) {
        let device = &self.drawing.devices[index];
        let data = format!(" data-device=\"{}\"", escaped(&device.name));
        canvas.open("device", &self.id("device", &device.name), &data, &device.words);
        let frame = self.placed.boxes[at];
        match shape(self.drawing, self.net, item) {
            Shape::Line if device.rank == Rank::Load => load(canvas, device, frame),
            Shape::Line => self.in_line(canvas, device, item, frame),
            Shape::Bar if device.symbol == Symbol::FuseBox => {
                self.fuse_box(canvas, device, item, frame);
            }
            Shape::Bar => bar(canvas, device, frame),
            Shape::Block => self.block(canvas, device, item, frame),
        }
        canvas.close();
    }

    fn in_line(&self, canvas: &mut Canvas, device: &Device, item: &Item, frame: Box) {
        let y = frame.top;
        shade(canvas, device, (frame.left - 2.0, y - 6.0), (IN_LINE + 4.0, 12.0));
        symbols::in_line(canvas, device.symbol, (frame.left, y), IN_LINE);
        for (ports, x) in [(&item.west, frame.left), (&item.east, frame.right)] {
            if ports.is_empty() && device.terminals.len() > 1 {
                canvas.circle((x, y), 1.4, OUTLINE);
            }
        }
        bold(canvas, (frame.left, y - 7.6), &device.name);
        bold(canvas, (frame.left, y + 10.6), &device.rating);
        let under = if device.rating.is_empty() { 7.4 } else { 12.6 };
        below(canvas, (frame.left, y + under), device);
    }

    fn block(&self, canvas: &mut Canvas, device: &Device, item: &Item, frame: Box) {
        let upright = stands_upright(device);
        let size = (frame.right - frame.left, frame.bottom - frame.top);
        shade(canvas, device, (frame.left, frame.top), size);
        if !upright {
            canvas.rect((frame.left, frame.top), size, OUTLINE);
        }
        let over = if upright && !device.rating.is_empty() { 10.4 } else { 2.6 };
        bold(canvas, (frame.left, frame.top - over), &device.name);
        if upright {
            beside_figure(canvas, device, frame);
        } else {
            below(canvas, (frame.left, frame.bottom + 2.0), device);
        }
        let ports = self.terminals(device, item);
        for (terminal, faces) in device.terminals.iter().zip(&ports) {
            self.terminal(canvas, &terminal.name, faces, frame);
        }
        let middle = f64::midpoint(frame.left, frame.right);
        if upright {
            self.leads(canvas, device, &ports, frame, middle);
        } else {
            let y = f64::midpoint(frame.top, frame.bottom);
            symbols::glyph(canvas, device.symbol, (middle, y));
        }
        figure(canvas, device, frame);
    }

    /// Heights of the ports of each terminal, on the left and on the right.
    fn terminals(&self, device: &Device, item: &Item) -> Vec<[Vec<f64>; 2]> {
        let of = |ports: &[usize], terminal: usize| -> Vec<f64> {
            ports
                .iter()
                .filter(|&&port| self.placed.columns.ports[port].terminal == terminal)
                .map(|&port| self.placed.port_y[port])
                .collect()
        };
        (0..device.terminals.len()).map(|t| [of(&item.west, t), of(&item.east, t)]).collect()
    }

    /// A terminal's name inside each face it has wires on, and a stud where there are several.
    fn terminal(&self, canvas: &mut Canvas, words: &str, faces: &[Vec<f64>; 2], frame: Box) {
        let places = [(frame.left, 3.0, Anchor::Start), (frame.right, -3.0, Anchor::End)];
        for (heights, (x, inwards, anchor)) in faces.iter().zip(places) {
            let (Some(first), Some(last)) = (heights.first(), heights.last()) else { continue };
            if heights.len() > 1 {
                canvas.line(&[(x, first - 1.5), (x, last + 1.5)], Stroke::plain(2.4));
            }
            canvas.words(&Words {
                at: (x + inwards, f64::midpoint(*first, *last) - 1.8),
                size: SMALL,
                weight: Weight::Plain,
                anchor,
                ink: Ink::Full,
                text: if words == "-" { "−" } else { words },
            });
        }
    }

    /// Leads from the terminals of something upright to its middle.
    fn leads(
        &self,
        canvas: &mut Canvas,
        device: &Device,
        ports: &[[Vec<f64>; 2]],
        frame: Box,
        middle: f64,
    ) {
        let mut ends = [frame.top + 5.0, frame.bottom - 5.0];
        for (number, faces) in ports.iter().enumerate().take(2) {
            let nearest = |heights: &[f64]| {
                if number == 0 { heights.last().copied() } else { heights.first().copied() }
            };
            let leads: Vec<(f64, f64)> =
                [(nearest(&faces[0]), frame.left), (nearest(&faces[1]), frame.right)]
                    .into_iter()
                    .filter_map(|(y, x)| Some((x, y?)))
                    .collect();
            if leads.is_empty() {
                canvas.circle((middle, ends[number]), 1.4, OUTLINE);
                continue;
            }
            let heights = leads.iter().map(|lead| lead.1);
            let (low, high) = (
                heights.clone().fold(f64::INFINITY, f64::min),
                heights.fold(f64::NEG_INFINITY, f64::max),
            );
            for (x, y) in &leads {
                canvas.line(&[(*x, *y), (middle, *y)], OUTLINE);
            }
            if high > low {
                canvas.line(&[(middle, low), (middle, high)], OUTLINE);
            }
            ends[number] = if number == 0 { high } else { low };
        }
        symbols::upright(canvas, device.symbol, middle, (ends[0], ends[1]));
    }

    fn fuse_box(&self, canvas: &mut Canvas, device: &Device, item: &Item, frame: Box) {
        let size = (frame.right - frame.left, frame.bottom - frame.top);
        shade(canvas, device, (frame.left, frame.top), size);
        canvas.rect((frame.left, frame.top), size, OUTLINE);
        name(canvas, (frame.left, frame.top - 2.6), device);
        below(canvas, (frame.left, frame.bottom + 2.0), device);
        let bar_x = frame.left + 9.0 + way_width(device) * west_ways(&self.placed.columns, item);
        let mut heights = Vec::new();
        for (ports, x, away) in [(&item.west, frame.left, -1.0), (&item.east, frame.right, 1.0)] {
            for &port in ports {
                let terminal = self.placed.columns.ports[port].terminal;
                let y = self.placed.port_y[port];
                heights.push(y);
                let known = device.terminals.get(terminal);
                canvas.line(&[(bar_x, y), (x, y)], OUTLINE);
                if let Some(way) = known.filter(|_| terminal > 0) {
                    let start = if away > 0.0 { bar_x + 4.0 } else { bar_x - 16.0 };
                    canvas.rect((start, y - 2.3), (12.0, 4.6), OUTLINE);
                    canvas.line(&[(start, y), (start + 12.0, y)], OUTLINE);
                    let words_x = if away > 0.0 { bar_x + 4.0 } else { frame.left + 3.0 };
                    small(canvas, (words_x, y - 4.2), Weight::Plain, &way_words(way));
                }
            }
        }
        let ends = heights
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), &y| (y.min(a), y.max(b)));
        if ends.0 < ends.1 {
            canvas.line(&[(bar_x, ends.0), (bar_x, ends.1)], Stroke::plain(2.4));
        }
    }

    fn leaf(&self, canvas: &mut Canvas, at: usize, item: &Item, node: usize, leaf: &Leaf) {
        let frame = self.placed.boxes[at];
        let (x, away) = if item.west.is_empty() { (frame.right, -1.0) } else { (frame.left, 1.0) };
        let y = frame.top;
        let lines = leaf_lines(self.drawing, leaf);
        let (class, data, title) = self.leaf_names(leaf);
        let id = self.id("end", &format!("{node}-{}", lines.join(" ")));
        canvas.open(class, &id, &data, &title);
        match leaf {
            Leaf::Joined(device) if self.drawing.devices[*device].symbol == Symbol::Earth => {
                canvas.line(&[(x, y), (x + 6.0 * away, y)], OUTLINE);
                symbols::earth(canvas, (x + 6.0 * away, y), away);
            }
            Leaf::Joined(_) => {
                canvas.line(&[(x, y), (x + 6.0 * away, y)], OUTLINE);
                symbols::body(canvas, (x + 6.0 * away, y), away);
            }
            Leaf::Behind(_) => {
                let fading = Stroke { dashes: "1.5 2", ..OUTLINE };
                canvas.line(&[(x, y), (x + 9.0 * away, y)], fading);
                symbols::edge(canvas, (x + 10.0 * away, y), away);
            }
            Leaf::Unseen => {
                let fading = Stroke { dashes: "1.5 2", ..OUTLINE };
                canvas.line(&[(x, y), (x + 5.0 * away, y)], fading);
                canvas.circle((x + 10.0 * away, y), 4.6, OUTLINE);
                canvas.words(&Words {
                    at: (x + 10.0 * away, y + 2.3),
                    size: SMALL,
                    weight: Weight::Bold,
                    anchor: Anchor::Middle,
                    ink: Ink::Full,
                    text: "?",
                });
            }
            Leaf::Same(_) => {
                canvas.line(&[(x, y), (x + 10.0 * away, y)], OUTLINE);
                let tip = x + 13.0 * away;
                canvas.solid(&[(tip, y), (tip - 5.0 * away, y - 2.5), (tip - 5.0 * away, y + 2.5)]);
            }
        }
        let anchor = if away > 0.0 { Anchor::Start } else { Anchor::End };
        let first = y + 2.3 - LEAF_LINE / 2.0 * (lines.len() as f64 - 1.0);
        for (row, text) in lines.iter().enumerate() {
            canvas.words(&Words {
                at: (x + 17.0 * away, first + LEAF_LINE * row as f64),
                size: SMALL,
                weight: Weight::Plain,
                anchor,
                ink: Ink::Full,
                text,
            });
        }
        let found = leaf_marks(self.drawing, leaf);
        let beyond = x + (20.0 + leaf_words_width(&lines)) * away;
        let start = if away > 0.0 { beyond } else { beyond - marks_width(found) };
        marks(canvas, (start, y - 3.5), found);
        canvas.close();
    }

    fn leaf_names(&self, leaf: &Leaf) -> (&'static str, String, String) {
        let speech = &self.drawing.speech;
        match leaf {
            Leaf::Joined(device) => {
                let device = &self.drawing.devices[*device];
                let data = format!(" data-device=\"{}\"", escaped(&device.name));
                ("device", data, device.words.clone())
            }
            Leaf::Behind(part) => {
                let data = format!(" data-behind=\"{}\"", escaped(part));
                ("end", data, speech.fill("goes out of sight behind {a}", &[part]))
            }
            Leaf::Unseen => {
                ("end", String::new(), speech.say("nobody has seen where this ends").to_owned())
            }
            Leaf::Same(terminal) => ("end", String::new(), speech.fill("back to {a}", &[terminal])),
        }
    }
}

/// Slanted strokes across the line, one for each conductor.
fn cores(canvas: &mut Canvas, (x, y): (f64, f64), cores: usize) {
    for core in 0..cores.min(MOST_STROKES) {
        let at = x + 2.0 + 3.0 * core as f64;
        canvas.line(&[(at - 1.5, y + 3.5), (at + 1.5, y - 3.5)], Stroke::plain(0.7));
    }
}

/// The figure of a block, inside its lower edge; of what stands upright, under its name.
fn figure(canvas: &mut Canvas, device: &Device, frame: Box) {
    if device.rating.is_empty() {
        return;
    }
    let (at, anchor) = if stands_upright(device) {
        ((frame.left, frame.top - 2.6), Anchor::Start)
    } else {
        ((f64::midpoint(frame.left, frame.right), frame.bottom - 2.4), Anchor::Middle)
    };
    let (size, weight, ink) = (SMALL, Weight::Plain, Ink::Full);
    canvas.words(&Words { at, size, weight, anchor, ink, text: &device.rating });
}

fn load(canvas: &mut Canvas, device: &Device, frame: Box) {
    let y = frame.top;
    let size = (frame.right - frame.left, 12.4);
    canvas.rect((frame.left, y - 6.2), size, OUTLINE);
    shade(canvas, device, (frame.left, y - 6.2), size);
    if device.symbol != Symbol::Equipment {
        symbols::glyph(canvas, device.symbol, (frame.left + 10.0, y));
    }
    canvas.words(&Words {
        at: (frame.left + load_inset(device), y + 2.5),
        size: WORDS,
        weight: Weight::Bold,
        anchor: Anchor::Start,
        ink: Ink::Full,
        text: &device_words(device),
    });
    below(canvas, (frame.left, y + 7.4), device);
}

fn bar(canvas: &mut Canvas, device: &Device, frame: Box) {
    let x = f64::midpoint(frame.left, frame.right);
    shade(canvas, device, (x - 6.0, frame.top), (12.0, frame.bottom - frame.top));
    canvas.line(&[(x, frame.top), (x, frame.bottom)], Stroke::plain(4.0));
    name(canvas, (frame.left, frame.top - 3.0), device);
    below(canvas, (frame.left, frame.bottom + 2.0), device);
}

fn name(canvas: &mut Canvas, at: (f64, f64), device: &Device) {
    bold(canvas, at, &device_words(device));
}

fn bold(canvas: &mut Canvas, at: (f64, f64), text: &str) {
    if text.is_empty() {
        return;
    }
    canvas.words(&Words {
        at,
        size: WORDS,
        weight: Weight::Bold,
        anchor: Anchor::Start,
        ink: Ink::Full,
        text: &fitting(text, WORDS, Weight::Bold, WIDEST),
    });
}

/// Marks and suspicion of what stands upright, after its figure or its name: under it there may be a
/// long way down to its last wire.
fn beside_figure(canvas: &mut Canvas, device: &Device, frame: Box) {
    let x = frame.left + figure_width(device);
    let x = marks(canvas, (x, frame.top - 8.2), &device.marks);
    if let Some(share) = device.suspicion {
        small(canvas, (x, frame.top - 2.6), Weight::Bold, &suspicion_words(share));
    }
}

/// Marks and suspicion under a device.
fn below(canvas: &mut Canvas, (x, y): (f64, f64), device: &Device) {
    let x = marks(canvas, (x, y), &device.marks);
    if let Some(share) = device.suspicion {
        small(canvas, (x, y + 5.6), Weight::Bold, &suspicion_words(share));
    }
}

fn shade(canvas: &mut Canvas, device: &Device, at: (f64, f64), size: (f64, f64)) {
    if let Some(share) = device.suspicion {
        canvas.shade(at, size, share);
    }
}

/// Marks side by side; returns where they end.
fn marks(canvas: &mut Canvas, (mut x, y): (f64, f64), marks: &[Mark]) -> f64 {
    for mark in marks {
        x += canvas.mark((x, y), *mark, &mark.number.to_string()) + 2.0;
    }
    x
}

/// Small words; returns where they end.
fn small(canvas: &mut Canvas, (x, y): (f64, f64), weight: Weight, text: &str) -> f64 {
    canvas.words(&Words {
        at: (x, y),
        size: SMALL,
        weight,
        anchor: Anchor::Start,
        ink: Ink::Full,
        text,
    });
    x + super::canvas::width(text, SMALL, weight) + 3.0
}

/// How a line looks: thicker with the current, broken by what it is in the state shown.
pub(super) fn line_stroke(wire: &Wire) -> Stroke {
    let Some(state) = &wire.state else {
        return match wire.side {
            Side::Signal => Stroke::plain(0.7),
            Side::Feed | Side::Return => Stroke::plain(1.1),
        };
    };
    let ampere = state.current_a.unwrap_or_default().abs();
    let width = (0.9 + 0.38 * ampere.sqrt()).min(5.0);
    match state.status {
        Status::Live => Stroke::plain(width.max(1.3)),
        Status::MayBeLive => Stroke { dashes: "7 1.6 1.6 1.6", ..Stroke::plain(width.max(1.3)) },
        Status::Return => Stroke::quiet(width),
        Status::Floating => Stroke { dashes: "4 3", ..Stroke::plain(0.9) },
        Status::NotReached => Stroke { dashes: "1 2.4", ..Stroke::plain(1.0) },
    }
}

fn side_word(side: Side) -> &'static str {
    match side {
        Side::Feed => "feed",
        Side::Return => "return",
        Side::Signal => "signal",
    }
}

fn status_word(state: Option<&LineState>) -> &'static str {
    match state.map(|state| state.status) {
        None => "",
        Some(Status::Live) => " live",
        Some(Status::MayBeLive) => " may-be-live",
        Some(Status::Return) => " to-return",
        Some(Status::Floating) => " floating",
        Some(Status::NotReached) => " not-reached",
    }
}
