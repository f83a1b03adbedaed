//! How well a wiring drawing is laid out, measured on the finished SVG as usvg lays it out with the
//! bundled typeface. Knows nothing of how the drawing came about: what is a wire and what is a device
//! it takes from the `data-` attributes that programs are given, where they are from the ink.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use resvg::usvg;
use usvg::tiny_skia_path::{PathSegment, Point, Transform};

/// What was found on one sheet, or on several together.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Quality {
    /// Sheets.
    pub(crate) sheets: usize,
    /// Wires drawn.
    pub(crate) wires: usize,
    /// Devices and ends drawn.
    pub(crate) symbols: usize,
    /// Pairs of symbols whose outlines overlap.
    pub(crate) overlaps: Vec<String>,
    /// Words that lie on words, on lines or on outlines.
    pub(crate) collisions: Vec<String>,
    /// Wires that run through a symbol.
    pub(crate) through: Vec<String>,
    /// Wires that lie on each other for a while.
    pub(crate) shared: Vec<String>,
    /// Anything beyond the sheet.
    pub(crate) outside: Vec<String>,
    /// Crossings of two wires.
    pub(crate) crossings: usize,
    /// Corners of wires.
    pub(crate) bends: usize,
    /// Height of the smallest capitals of wires and devices, mm.
    pub(crate) least_capital_mm: f64,
}

impl Quality {
    /// Everything that must not be.
    pub(crate) fn faults(&self) -> Vec<&String> {
        [&self.overlaps, &self.collisions, &self.through, &self.shared, &self.outside]
            .into_iter()
            .flatten()
            .collect()
    }

    /// Adds what was found on another sheet.
    pub(crate) fn add(&mut self, other: Quality) {
        let least = if self.sheets == 0 { f64::INFINITY } else { self.least_capital_mm };
        self.sheets += other.sheets;
        self.wires += other.wires;
        self.symbols += other.symbols;
        self.overlaps.extend(other.overlaps);
        self.collisions.extend(other.collisions);
        self.through.extend(other.through);
        self.shared.extend(other.shared);
        self.outside.extend(other.outside);
        self.crossings += other.crossings;
        self.bends += other.bends;
        self.least_capital_mm = least.min(other.least_capital_mm);
    }
}

const REGULAR: &[u8] = include_bytes!("../../../report/fonts/Inter-Regular.otf");
const BOLD: &[u8] = include_bytes!("../../../report/fonts/Inter-Bold.otf");

/// Height of a capital over the size of the type, Inter (its OS/2 table: 1490 of 2048 units).
const CAPITAL: f64 = 1490.0 / 2048.0;

fn tree(svg: &str) -> usvg::Tree {
    static FONTS: OnceLock<Arc<usvg::fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = usvg::fontdb::Database::new();
        fonts.load_font_data(REGULAR.to_vec());
        fonts.load_font_data(BOLD.to_vec());
        Arc::new(fonts)
    });
    let options = usvg::Options { fontdb: Arc::clone(fonts), ..usvg::Options::default() };
    usvg::Tree::from_str(svg, &options).expect("usvg reads the drawing")
}

/// A rectangle: left, top, right, bottom.
#[derive(Clone, Copy, Debug)]
struct Area([f64; 4]);

impl Area {
    fn of(rect: usvg::Rect) -> Area {
        Area([rect.left(), rect.top(), rect.right(), rect.bottom()].map(f64::from))
    }

    fn around(self, other: Area) -> Area {
        let (a, b) = (self.0, other.0);
        Area([a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])
    }

    fn shrunk(self, by: f64) -> Area {
        let [l, t, r, b] = self.0;
        Area([l + by, t + by, r - by, b - by])
    }

    fn meets(&self, other: &Area) -> bool {
        let (a, b) = (self.0, other.0);
        a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
    }

    fn holds(&self, other: &Area) -> bool {
        let (a, b) = (self.0, other.0);
        a[0] <= b[0] && a[1] <= b[1] && a[2] >= b[2] && a[3] >= b[3]
    }

    /// Whether a stretch has a point inside (clipping after Liang and Barsky).
    fn cut_by(&self, (from, to): Stretch) -> bool {
        let [left, top, right, bottom] = self.0;
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (p, q) in
            [(-dx, from.0 - left), (dx, right - from.0), (-dy, from.1 - top), (dy, bottom - from.1)]
        {
            if p == 0.0 {
                if q <= 0.0 {
                    return false;
                }
            } else if p < 0.0 {
                enter = enter.max(q / p);
            } else {
                leave = leave.min(q / p);
            }
        }
        enter < leave
    }
}

type Stretch = ((f64, f64), (f64, f64));

/// One element: a wire, a device, an end.
#[derive(Debug, Default)]
struct Element {
    name: String,
    /// Straight pieces of stroked ink; curves as their control polygons.
    strokes: Vec<Stretch>,
    /// Outline of all ink but words.
    area: Option<Area>,
    words: Vec<(String, Area)>,
    /// Grounds of the marks of findings.
    marks: Vec<Area>,
    sizes: Vec<f64>,
}

/// Measures one sheet.
pub(crate) fn measure(svg: &str) -> Quality {
    let kinds = kinds(svg);
    let tree = tree(svg);
    let page = Area([0.0, 0.0, f64::from(tree.size().width()), f64::from(tree.size().height())]);
    let mut elements: BTreeMap<String, Element> = BTreeMap::new();
    gather(tree.root(), "", &kinds, &mut elements);
    let is_wire = |element: &&Element| kinds.get(&element.name) == Some(&Sort::Wire);
    let wires: Vec<&Element> = elements.values().filter(is_wire).collect();
    let symbols: Vec<&Element> =
        elements.values().filter(|e| kinds.get(&e.name) == Some(&Sort::Symbol)).collect();
    // Points of the sheet are CSS pixels here (96 to the inch).
    let mm = 25.4 / 96.0;
    let sizes = elements.values().flat_map(|element| &element.sizes).copied();
    Quality {
        sheets: 1,
        wires: wires.len(),
        symbols: symbols.len(),
        overlaps: overlaps(&symbols),
        collisions: collisions(&elements),
        through: through(&wires, &symbols),
        shared: shared(&wires),
        outside: outside(&elements, page),
        crossings: crossings(&wires),
        bends: wires.iter().map(|wire| corners(&wire.strokes)).sum(),
        least_capital_mm: sizes.fold(f64::INFINITY, f64::min) * CAPITAL * mm,
    }
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sort {
    Wire,
    Symbol,
}

/// The `id` of every wire, device and end, by the attributes given to programs.
fn kinds(svg: &str) -> BTreeMap<String, Sort> {
    let document = usvg::roxmltree::Document::parse(svg).expect("well-formed XML");
    document
        .descendants()
        .filter_map(|node| {
            let id = node.attribute("id")?.to_owned();
            let class = node.attribute("class").unwrap_or_default();
            let class = class.split(' ').next().unwrap_or_default();
            match class {
                "wire" => Some((id, Sort::Wire)),
                "device" | "end" => Some((id, Sort::Symbol)),
                _ => None,
            }
        })
        .collect()
}

fn gather(
    group: &usvg::Group,
    inside: &str,
    kinds: &BTreeMap<String, Sort>,
    elements: &mut BTreeMap<String, Element>,
) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => {
                let own = kinds.contains_key(group.id());
                gather(group, if own { group.id() } else { inside }, kinds, elements);
            }
            usvg::Node::Path(path) => {
                let element = elements.entry(inside.to_owned()).or_default();
                inside.clone_into(&mut element.name);
                ink(path, element);
            }
            usvg::Node::Text(text) => {
                let element = elements.entry(inside.to_owned()).or_default();
                inside.clone_into(&mut element.name);
                let words: String = text.chunks().iter().map(usvg::TextChunk::text).collect();
                let glyphs = text.flattened().bounding_box();
                let glyphs = glyphs.transform(text.abs_transform()).unwrap_or(glyphs);
                let area = Area::of(glyphs);
                element.words.push((words, area));
                if !inside.is_empty() {
                    let scale = f64::from(text.abs_transform().sx);
                    let spans = text.chunks().iter().flat_map(usvg::TextChunk::spans);
                    element.sizes.extend(spans.map(|s| f64::from(s.font_size().get()) * scale));
                }
            }
            usvg::Node::Image(_) => {}
        }
    }
}

fn ink(path: &usvg::Path, element: &mut Element) {
    let Some(_) = path.stroke() else {
        // Solid ink such as an arrow is an outline; what has a colour is the ground of a mark, which
        // is read like words; a pale shade is neither.
        let area = Area::of(path.abs_bounding_box());
        match path.fill().map(|fill| (fill.opacity().get() > 0.99, fill.paint())) {
            Some((true, usvg::Paint::Color(colour))) if !element.name.is_empty() => {
                if colour.red.abs_diff(colour.blue) > 16 {
                    element.marks.push(area);
                } else {
                    grow(element, area);
                }
            }
            _ => {}
        }
        return;
    };
    grow(element, Area::of(path.abs_stroke_bounding_box()));
    let transform = path.abs_transform();
    let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => {
                at = mapped(transform, p);
                start = at;
            }
            PathSegment::LineTo(p) => at = stroke(element, at, mapped(transform, p)),
            PathSegment::QuadTo(p, q) => {
                at = stroke(element, at, mapped(transform, p));
                at = stroke(element, at, mapped(transform, q));
            }
            PathSegment::CubicTo(p, q, r) => {
                for p in [p, q, r] {
                    at = stroke(element, at, mapped(transform, p));
                }
            }
            PathSegment::Close => at = stroke(element, at, start),
        }
    }
}

fn grow(element: &mut Element, area: Area) {
    element.area = Some(element.area.map_or(area, |known| known.around(area)));
}

fn mapped(transform: Transform, mut point: Point) -> (f64, f64) {
    transform.map_point(&mut point);
    (f64::from(point.x), f64::from(point.y))
}

fn stroke(element: &mut Element, from: (f64, f64), to: (f64, f64)) -> (f64, f64) {
    element.strokes.push((from, to));
    to
}

fn overlaps(symbols: &[&Element]) -> Vec<String> {
    let mut found = Vec::new();
    for (at, a) in symbols.iter().enumerate() {
        for b in &symbols[at + 1..] {
            if let (Some(one), Some(other)) = (a.area, b.area)
                && one.shrunk(0.2).meets(&other.shrunk(0.2))
            {
                found.push(format!("{} overlaps {}", a.name, b.name));
            }
        }
    }
    found
}

fn collisions(elements: &BTreeMap<String, Element>) -> Vec<String> {
    let words: Vec<(&Element, &str, Area)> = elements
        .values()
        .flat_map(|e| e.words.iter().map(move |(text, area)| (e, text.as_str(), *area)))
        .collect();
    let mut found = marks(elements, &words);
    for (at, (element, text, area)) in words.iter().enumerate() {
        for (_, other, other_area) in &words[at + 1..] {
            if area.meets(other_area) {
                found.push(format!("`{text}` on `{other}`"));
            }
        }
        for other in elements.values() {
            let near = other.area.is_some_and(|around| around.meets(area));
            if near && other.strokes.iter().any(|stretch| area.cut_by(*stretch)) {
                found.push(format!("`{text}` of {} on ink of {}", element.name, other.name));
            }
        }
    }
    found
}

/// A mark keeps this much from the ink of anything that it does not belong to, so that it is read as a
/// mark of its own device or wire: half a point, in CSS pixels.
const CLEAR: f64 = 0.5 * 96.0 / 72.0;

/// A mark holds its own words and lies on nothing.
fn marks(elements: &BTreeMap<String, Element>, words: &[(&Element, &str, Area)]) -> Vec<String> {
    let mut found = Vec::new();
    for element in elements.values() {
        for mark in &element.marks {
            let around = mark.shrunk(-CLEAR);
            let on_ink = elements
                .values()
                .find(|other| {
                    let area = if other.name == element.name { mark } else { &around };
                    other.strokes.iter().any(|stretch| area.cut_by(*stretch))
                })
                .map(|other| other.name.as_str());
            let own = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
            let on_words = words
                .iter()
                .find(|(_, text, area)| mark.meets(area) && !(own(text) && mark.holds(area)))
                .map(|(_, text, _)| *text);
            for other in [on_ink, on_words].into_iter().flatten() {
                found.push(format!("a mark of {} on {other}", element.name));
            }
        }
    }
    found
}

/// Wires may touch the outline of what they end on, and no more: the widest outline is 4 points.
const TOUCH: f64 = 2.1 * 96.0 / 72.0;

fn through(wires: &[&Element], symbols: &[&Element]) -> Vec<String> {
    let mut found = Vec::new();
    for symbol in symbols {
        let Some(area) = symbol.area else { continue };
        let core = thinned(area);
        for wire in wires {
            if wire.strokes.iter().any(|stretch| core.cut_by(*stretch)) {
                found.push(format!("{} runs through {}", wire.name, symbol.name));
            }
        }
    }
    found
}

/// The inside of a symbol, where no wire has a business; a bar keeps a thread of it.
fn thinned(area: Area) -> Area {
    let [l, t, r, b] = area.0;
    let by = |room: f64| (room / 2.0 - 0.1).clamp(0.0, TOUCH);
    let (x, y) = (by(r - l), by(b - t));
    Area([l + x, t + y, r - x, b - y])
}

/// Wires that lie on each other: level, and together for more than a point.
fn shared(wires: &[&Element]) -> Vec<String> {
    pairs(wires, |a, b| {
        let along = |a: Stretch, b: Stretch, pick: fn((f64, f64)) -> (f64, f64)| {
            let ((a0, la), (a1, lb)) = (pick(a.0), pick(a.1));
            let ((b0, lc), (b1, ld)) = (pick(b.0), pick(b.1));
            let level = [lb, lc, ld].iter().all(|l| (l - la).abs() < 0.3);
            level && a0.max(a1).min(b0.max(b1)) - a0.min(a1).max(b0.min(b1)) > 1.0
        };
        along(a, b, |p| p) || along(a, b, |(x, y)| (y, x))
    })
    .into_iter()
    .map(|(a, b)| format!("{a} lies on {b}"))
    .collect()
}

fn crossings(wires: &[&Element]) -> usize {
    pairs(wires, |a, b| {
        let is_level = |s: Stretch| (s.0.1 - s.1.1).abs() < 0.01;
        let (level, upright) = match (is_level(a), is_level(b)) {
            (true, false) => (a, b),
            (false, true) => (b, a),
            _ => return false,
        };
        let between = |v: f64, a: f64, b: f64| a.min(b) + 0.05 < v && v < a.max(b) - 0.05;
        between(upright.0.0, level.0.0, level.1.0) && between(level.0.1, upright.0.1, upright.1.1)
    })
    .len()
}

/// Pairs of stretches of different wires for which something holds, by the wires' names.
fn pairs(wires: &[&Element], holds: impl Fn(Stretch, Stretch) -> bool) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for (at, a) in wires.iter().enumerate() {
        for b in &wires[at + 1..] {
            let (Some(one), Some(other)) = (a.area, b.area) else { continue };
            if !one.meets(&other) {
                continue;
            }
            for &s in &a.strokes {
                for &t in &b.strokes {
                    if holds(s, t) {
                        found.push((a.name.clone(), b.name.clone()));
                    }
                }
            }
        }
    }
    found
}

fn corners(strokes: &[Stretch]) -> usize {
    strokes
        .windows(2)
        .filter(|pair| {
            let direction =
                |s: Stretch| ((s.1.0 - s.0.0).abs() > (s.1.1 - s.0.1).abs(), s.0 != s.1);
            pair[0].1 == pair[1].0 && direction(pair[0]) != direction(pair[1])
        })
        .count()
}

fn outside(elements: &BTreeMap<String, Element>, page: Area) -> Vec<String> {
    let [left, top, right, bottom] = page.0;
    let is_out = |area: &Area| {
        let [l, t, r, b] = area.0;
        l < left || t < top || r > right || b > bottom
    };
    let mut found = Vec::new();
    for element in elements.values() {
        found.extend(
            element
                .area
                .filter(|area| is_out(area))
                .map(|_| format!("{} leaves the sheet", element.name)),
        );
        let words = element.words.iter().filter(|(_, area)| is_out(area));
        found.extend(words.map(|(text, _)| format!("`{text}` leaves the sheet")));
    }
    found
}
