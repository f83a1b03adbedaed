//! What conducts to what: points (studs and wire ends) and links between them, on the
//! direct-current and the mains side alike.

use std::collections::VecDeque;

use model::{DeviceId, JointId, TerminalId, WireEnd, WireId};

/// A stud or a wire end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point(pub(crate) u32);

/// A link, by its place in the graph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LinkId(pub(crate) u32);

/// What a link stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    /// A wire.
    Wire(WireId),
    /// A joint.
    Joint(JointId),
    /// A device, or one of its ways.
    Device(DeviceId),
    /// The metal of the vehicle's body.
    Body,
}

/// How a link lets current pass, in the state the network was built for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passage {
    /// Metal: both ways.
    Metal,
    /// Through a load: both ways, but it is not metal.
    Load,
    /// Through a source.
    Source,
    /// One way, first point to second.
    OneWay,
    /// It depends on voltages (relay), or cannot be ruled out (back through a converter).
    Maybe,
    /// Opened in this state.
    Open,
}

/// A link between two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Link {
    /// First point.
    pub a: Point,
    /// Second point.
    pub b: Point,
    /// What it stands for.
    pub item: Item,
    /// How it lets current pass.
    pub passage: Passage,
}

/// Points and links.
#[derive(Clone, Debug, Default)]
pub struct Graph {
    terminal_count: usize,
    wire_count: usize,
    links: Vec<Link>,
    at: Vec<Vec<LinkId>>,
}

/// The point of the vehicle's body, always there.
const BODY: Point = Point(0);

impl Graph {
    pub(crate) fn new(terminals: usize, wires: usize) -> Graph {
        let points = 1 + terminals + 2 * wires;
        Graph {
            terminal_count: terminals,
            wire_count: wires,
            links: Vec::new(),
            at: vec![Vec::new(); points],
        }
    }

    /// The body.
    pub fn body(&self) -> Point {
        BODY
    }

    /// The stud of a terminal.
    pub fn stud(&self, terminal: TerminalId) -> Point {
        Point(1 + model::Id::index(terminal) as u32)
    }

    /// An end of a wire, before its joint.
    pub fn wire_end(&self, wire: WireId, end: WireEnd) -> Point {
        let wire = model::Id::index(wire);
        Point((1 + self.terminal_count + 2 * wire + end as usize) as u32)
    }

    /// The terminal a point is the stud of.
    pub fn terminal(&self, point: Point) -> Option<TerminalId> {
        let index = (point.0 as usize).checked_sub(1)?;
        (index < self.terminal_count).then(|| model::Id::from_index(index))
    }

    /// How many points there are.
    pub fn point_count(&self) -> usize {
        1 + self.terminal_count + 2 * self.wire_count
    }

    /// All points.
    pub fn points(&self) -> impl Iterator<Item = Point> + use<> {
        (0..self.point_count() as u32).map(Point)
    }

    /// The place of a point, for tables.
    pub fn index(&self, point: Point) -> usize {
        point.0 as usize
    }

    pub(crate) fn link(&mut self, a: Point, b: Point, item: Item, passage: Passage) {
        let id = LinkId(self.links.len() as u32);
        self.links.push(Link { a, b, item, passage });
        self.at[a.0 as usize].push(id);
        self.at[b.0 as usize].push(id);
    }

    /// A link.
    pub fn get(&self, id: LinkId) -> &Link {
        &self.links[id.0 as usize]
    }

    /// All links.
    pub fn links(&self) -> impl Iterator<Item = (LinkId, &Link)> {
        self.links.iter().enumerate().map(|(index, link)| (LinkId(index as u32), link))
    }

    /// The links at a point.
    pub fn links_at(&self, point: Point) -> impl Iterator<Item = (LinkId, &Link)> {
        self.at[point.0 as usize].iter().map(|id| (*id, self.get(*id)))
    }

    /// Walks from points over the links `may` allows, shortest first. `may` is told the link and
    /// the point the walk stands on.
    pub fn walk(
        &self,
        from: impl IntoIterator<Item = Point>,
        mut may: impl FnMut(&Link, Point) -> bool,
    ) -> Walk {
        let mut walk = Walk { came: vec![None; self.point_count()], reached: Vec::new() };
        let mut queue = VecDeque::new();
        for point in from {
            if walk.came[point.0 as usize].is_none() {
                walk.came[point.0 as usize] = Some(None);
                queue.push_back(point);
            }
        }
        while let Some(point) = queue.pop_front() {
            walk.reached.push(point);
            for (id, link) in self.links_at(point) {
                let next = if link.a == point { link.b } else { link.a };
                if walk.came[next.0 as usize].is_none() && may(link, point) {
                    walk.came[next.0 as usize] = Some(Some((id, point)));
                    queue.push_back(next);
                }
            }
        }
        walk
    }

    /// Walks over metal only.
    pub fn metal(&self, from: impl IntoIterator<Item = Point>) -> Walk {
        self.walk(from, |link, _| link.passage == Passage::Metal)
    }
}

/// Where a walk came to, and how.
#[derive(Clone, Debug)]
pub struct Walk {
    came: Vec<Option<Option<(LinkId, Point)>>>,
    reached: Vec<Point>,
}

impl Walk {
    /// True when the walk came to a point.
    pub fn reaches(&self, point: Point) -> bool {
        self.came[point.0 as usize].is_some()
    }

    /// Every point it came to, nearest first.
    pub fn reached(&self) -> &[Point] {
        &self.reached
    }

    /// The links from the start to a point, in order; empty at the start or if never reached.
    pub fn path(&self, to: Point) -> Vec<LinkId> {
        let mut path = Vec::new();
        let mut point = to;
        while let Some(Some((link, before))) = self.came[point.0 as usize] {
            path.push(link);
            point = before;
        }
        path.reverse();
        path
    }
}
