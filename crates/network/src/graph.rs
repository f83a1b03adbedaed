//! What conducts to what: points (studs and wire ends) and links between them, on the
//! direct-current and the mains side alike.

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

impl Link {
    /// Whether a point is its first or its second.
    fn side(&self, point: Point) -> usize {
        usize::from(self.a != point)
    }
}

/// Points and links.
#[derive(Clone, Debug, Default)]
pub struct Graph {
    terminal_count: usize,
    wire_count: usize,
    links: Vec<Link>,
    /// Of each point: its first link and its last one.
    ends: Vec<[u32; 2]>,
    /// Of each link, at its first point and at its second: the next link of that point.
    next: Vec<[u32; 2]>,
}

/// No further link.
const NONE: u32 = u32::MAX;

/// The point of the vehicle's body, always there.
const BODY: Point = Point(0);

impl Graph {
    pub(crate) fn new(terminals: usize, wires: usize) -> Graph {
        let points = 1 + terminals + 2 * wires;
        Graph {
            terminal_count: terminals,
            wire_count: wires,
            links: Vec::new(),
            ends: vec![[NONE; 2]; points],
            next: Vec::new(),
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

    /// The wire a point is an end of.
    pub fn wire_at(&self, point: Point) -> Option<(WireId, WireEnd)> {
        let index = (point.0 as usize).checked_sub(1 + self.terminal_count)?;
        let end = WireEnd::BOTH[index % 2];
        (index / 2 < self.wire_count).then(|| (model::Id::from_index(index / 2), end))
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
        let id = self.links.len() as u32;
        self.links.push(Link { a, b, item, passage });
        self.next.push([NONE; 2]);
        let points = if a == b { &[a][..] } else { &[a, b] };
        for point in points {
            let [first, last] = self.ends[point.0 as usize];
            match last {
                NONE => self.ends[point.0 as usize] = [id; 2],
                _ => {
                    let side = self.links[last as usize].side(*point);
                    self.next[last as usize][side] = id;
                    self.ends[point.0 as usize] = [first, id];
                }
            }
        }
    }

    /// A link.
    pub fn get(&self, id: LinkId) -> &Link {
        &self.links[id.0 as usize]
    }

    /// All links.
    pub fn links(&self) -> impl Iterator<Item = (LinkId, &Link)> {
        self.links.iter().enumerate().map(|(index, link)| (LinkId(index as u32), link))
    }

    /// The links at a point, in the order they were made.
    pub fn links_at(&self, point: Point) -> impl Iterator<Item = (LinkId, &Link)> {
        let mut at = self.ends[point.0 as usize][0];
        std::iter::from_fn(move || {
            let link = self.links.get(at as usize)?;
            let id = LinkId(at);
            at = self.next[at as usize][link.side(point)];
            Some((id, link))
        })
    }

    /// Walks from points over the links `may` allows, shortest first. `may` is told the link and
    /// the point the walk stands on. Costs by what it comes to, not by the size of the graph.
    pub fn walk(
        &self,
        from: impl IntoIterator<Item = Point>,
        mut may: impl FnMut(&Link, Point) -> bool,
    ) -> Walk {
        let mut walk = Walk::new(self.point_count());
        for point in from {
            walk.come(point, None);
        }
        let mut at = 0;
        while let Some(point) = walk.reached.get(at).copied() {
            for (id, link) in self.links_at(point) {
                let next = if link.a == point { link.b } else { link.a };
                if !walk.reaches(next) && may(link, point) {
                    walk.come(next, Some((id, point)));
                }
            }
            at += 1;
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
    /// In the order it came to them.
    reached: Vec<Point>,
    /// Of each of these, over which link and from where; nothing at a start.
    came: Vec<Option<(LinkId, Point)>>,
    /// Places in `reached`, each at its point's slot or the next free one behind it; a power of two of
    /// them, one for each point of the graph or at most half in use.
    slots: Vec<u32>,
    points: usize,
}

/// A slot that is free.
const FREE: u32 = u32::MAX;

/// Most slots of a walk that came nowhere yet.
const FIRST_SLOTS: usize = 1024;

impl Walk {
    fn new(points: usize) -> Walk {
        let slots = points.next_power_of_two().min(FIRST_SLOTS);
        Walk { reached: Vec::new(), came: Vec::new(), slots: vec![FREE; slots], points }
    }

    /// Comes to a point, unless it was there.
    fn come(&mut self, point: Point, how: Option<(LinkId, Point)>) {
        if let Err(slot) = self.find(point) {
            self.slots[slot] = self.reached.len() as u32;
            self.reached.push(point);
            self.came.push(how);
            if self.slots.len() < self.points && 2 * self.reached.len() > self.slots.len() {
                self.spread_out();
            }
        }
    }

    fn spread_out(&mut self) {
        self.slots = vec![FREE; 4 * self.slots.len()];
        for at in 0..self.reached.len() {
            if let Err(slot) = self.find(self.reached[at]) {
                self.slots[slot] = at as u32;
            }
        }
    }

    /// The place of a point in `reached`, or the slot it would have.
    fn find(&self, point: Point) -> Result<usize, usize> {
        let last = self.slots.len() - 1;
        // Neighbours have numbers near each other, and so slots of their own.
        let mut slot = point.0 as usize & last;
        loop {
            match self.slots[slot] {
                FREE => return Err(slot),
                at if self.reached[at as usize] == point => return Ok(at as usize),
                _ => slot = (slot + 1) & last,
            }
        }
    }

    /// True when the walk came to a point.
    pub fn reaches(&self, point: Point) -> bool {
        self.find(point).is_ok()
    }

    /// Every point it came to, nearest first.
    pub fn reached(&self) -> &[Point] {
        &self.reached
    }

    /// The links from the start to a point, in order; empty at the start or if never reached.
    pub fn path(&self, to: Point) -> Vec<LinkId> {
        let how = |point: Point| self.find(point).ok().and_then(|at| self.came[at]);
        let mut path = Vec::new();
        let mut point = to;
        while let Some((link, before)) = how(point) {
            path.push(link);
            point = before;
        }
        path.reverse();
        path
    }
}
