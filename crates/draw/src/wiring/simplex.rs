//! Places on a line so that what belongs together is level: the least weighted sum of lengths of
//! `from -> to` under `y[to] - y[from] >= length`, in whole numbers.
//!
//! The network simplex of Gansner, Koutsofios, North and Vo ("A Technique for Drawing Directed
//! Graphs", IEEE Transactions on Software Engineering 19(3), 1993, section 2.4), with one change: it
//! starts from a star. Every place has a least value, its longest way from the root; an edge of that
//! length and no weight changes no answer and is tight at the start.

/// A condition with a weight: `y[to] - y[from] >= length`, at `weight` for each unit of distance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Condition {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) length: i64,
    pub(super) weight: i64,
}

/// Collects conditions and wishes, then places.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    count: usize,
    conditions: Vec<Condition>,
    /// Pairs that should be level.
    wishes: Vec<(usize, usize, i64)>,
}

/// Pivots for each place after which the best so far is taken.
const MOST_PIVOTS: usize = 60;
/// Of how many candidates the worst is taken out.
const CANDIDATES: usize = 24;

impl Places {
    /// A new place.
    pub(super) fn place(&mut self) -> usize {
        self.count += 1;
        self.count - 1
    }

    /// Demands `y[to] - y[from] >= length`; each unit of distance costs `weight`.
    pub(super) fn apart(&mut self, from: usize, to: usize, length: i64, weight: i64) {
        self.conditions.push(Condition { from, to, length, weight });
    }

    /// Wishes `a` and `b` level; each unit of difference costs `weight`.
    pub(super) fn level(&mut self, a: usize, b: usize, weight: i64) {
        if a != b {
            self.wishes.push((a, b, weight));
        }
    }

    /// A value for each place, from 0 upwards. Conditions that go round in a circle are given up.
    pub(super) fn solve(mut self) -> Vec<i64> {
        let least = self.least();
        let wanted = self.count;
        let mut least = least;
        for &(a, b, weight) in &self.wishes {
            let between = least.len();
            least.push(least[a].min(least[b]));
            for to in [a, b] {
                self.conditions.push(Condition { from: between, to, length: 0, weight });
            }
        }
        let mut tree = Tree::star(least, self.conditions);
        tree.improve();
        let lowest = tree.y[..wanted].iter().copied().min().unwrap_or_default();
        tree.y[..wanted].iter().map(|y| y - lowest).collect()
    }

    /// The longest way to each place; leaves out conditions that close a circle.
    fn least(&mut self) -> Vec<i64> {
        let mut waits = vec![0_usize; self.count];
        let mut after: Vec<Vec<usize>> = vec![Vec::new(); self.count];
        for (at, condition) in self.conditions.iter().enumerate() {
            waits[condition.to] += 1;
            after[condition.from].push(at);
        }
        let mut least = vec![0_i64; self.count];
        let mut ready: Vec<usize> = (0..self.count).filter(|&v| waits[v] == 0).collect();
        let mut is_done = vec![false; self.count];
        while let Some(v) = ready.pop() {
            is_done[v] = true;
            for &at in &after[v] {
                let Condition { to, length, .. } = self.conditions[at];
                least[to] = least[to].max(least[v] + length);
                waits[to] -= 1;
                if waits[to] == 0 {
                    ready.push(to);
                }
            }
        }
        self.conditions.retain(|c| is_done[c.from] && is_done[c.to]);
        least
    }
}

/// A spanning tree of tight edges over places 0.. and the root, which is the last.
struct Tree {
    y: Vec<i64>,
    edges: Vec<Condition>,
    /// Edges at each place.
    at: Vec<Vec<usize>>,
    parent: Vec<usize>,
    /// The edge to the parent.
    up: Vec<usize>,
    children: Vec<Vec<usize>>,
    depth: Vec<usize>,
    /// Cut value of the edge to the parent.
    cut: Vec<i64>,
    stamp: Vec<usize>,
    round: usize,
}

impl Tree {
    fn star(least: Vec<i64>, mut edges: Vec<Condition>) -> Tree {
        let root = least.len();
        let count = root + 1;
        let mut cut = vec![0; count];
        for edge in &edges {
            cut[edge.to] += edge.weight;
            cut[edge.from] -= edge.weight;
        }
        let first = edges.len();
        edges.extend((0..root).map(|v| Condition {
            from: root,
            to: v,
            length: least[v],
            weight: 0,
        }));
        let mut at = vec![Vec::new(); count];
        for (number, edge) in edges.iter().enumerate() {
            at[edge.from].push(number);
            at[edge.to].push(number);
        }
        let mut children = vec![Vec::new(); count];
        children[root] = (0..root).collect();
        let mut y = least;
        y.push(0);
        Tree {
            y,
            at,
            parent: vec![root; count],
            up: (0..count).map(|v| first + v.min(root.saturating_sub(1))).collect(),
            children,
            depth: (0..count).map(|v| usize::from(v != root)).collect(),
            cut,
            stamp: vec![0; count],
            round: 0,
            edges,
        }
    }

    fn root(&self) -> usize {
        self.y.len() - 1
    }

    fn slack(&self, edge: usize) -> i64 {
        let Condition { from, to, length, .. } = self.edges[edge];
        self.y[to] - self.y[from] - length
    }

    fn improve(&mut self) {
        let mut next = 0;
        for _ in 0..MOST_PIVOTS * self.y.len() {
            let Some(leaving) = self.leaving(&mut next) else { return };
            self.pivot(leaving);
        }
    }

    /// A place whose edge upwards has a negative cut value: the worst of the first few.
    fn leaving(&self, next: &mut usize) -> Option<usize> {
        let root = self.root();
        let (mut worst, mut seen) = (None, 0);
        for step in 0..root {
            let v = (*next + step) % root;
            if self.cut[v] < 0 {
                if worst.is_none_or(|w: usize| self.cut[v] < self.cut[w]) {
                    worst = Some(v);
                }
                seen += 1;
                if seen == CANDIDATES {
                    *next = (v + 1) % root;
                    return worst;
                }
            }
        }
        *next = 0;
        worst
    }

    /// Places below `v` in the tree, `v` first; each gets the stamp of this round.
    fn below(&mut self, v: usize) -> Vec<usize> {
        self.round += 1;
        let mut found = vec![v];
        self.stamp[v] = self.round;
        let mut at = 0;
        while let Some(&place) = found.get(at) {
            at += 1;
            for &child in &self.children[place] {
                self.stamp[child] = self.round;
                found.push(child);
            }
        }
        found
    }

    /// Takes the edge above `v` out of the tree and puts the tightest edge across in.
    fn pivot(&mut self, v: usize) {
        let below = self.below(v);
        // The part on the `to` side of the leaving edge moves away from the other.
        let moves_up = self.edges[self.up[v]].to == v;
        let mut entering: Option<(i64, usize)> = None;
        for &place in &below {
            for &edge in &self.at[place] {
                let Condition { from, to, .. } = self.edges[edge];
                let inside = |p: usize| self.stamp[p] == self.round;
                // Crosses against the direction of the leaving edge.
                let crosses = if moves_up {
                    inside(from) && !inside(to)
                } else {
                    inside(to) && !inside(from)
                };
                if crosses {
                    let slack = self.slack(edge);
                    if entering.is_none_or(|best| (slack, edge) < best) {
                        entering = Some((slack, edge));
                    }
                }
            }
        }
        let Some((slack, entering)) = entering else {
            // Nothing holds it: cannot happen while weights are not negative.
            self.cut[v] = 0;
            return;
        };
        let shift = if moves_up { slack } else { -slack };
        for &place in &below {
            self.y[place] += shift;
        }
        self.exchange(v, entering);
    }

    fn exchange(&mut self, v: usize, entering: usize) {
        let Condition { from, to, .. } = self.edges[entering];
        let is_inside = |tree: &Tree, p: usize| tree.stamp[p] == tree.round;
        let (x, z) = if is_inside(self, from) { (from, to) } else { (to, from) };
        let change = self.cut[v];
        self.change_cuts(x, z, x == from, change);
        self.hang(v, x, z, entering);
        self.cut[x] = -change;
        self.renew_depths(x);
    }

    /// Along the way in the tree from `x` to `z`: edges that point as the entering edge does round
    /// the circle lose, the others gain.
    fn change_cuts(&mut self, x: usize, z: usize, leaves_x: bool, change: i64) {
        let (mut a, mut b) = (x, z);
        // Going round: x -> z over the entering edge, then back from z to x through the tree.
        while a != b {
            let (p, from_x_side) = if self.depth[a] >= self.depth[b] {
                let p = a;
                a = self.parent[a];
                (p, true)
            } else {
                let p = b;
                b = self.parent[b];
                (p, false)
            };
            let points_up = self.edges[self.up[p]].from == p;
            // On the side of x the way back goes down to x; on the side of z it goes up from z.
            let along = if from_x_side { !points_up } else { points_up };
            let same = along == leaves_x;
            self.cut[p] += if same { -change } else { change };
        }
    }

    /// Hangs the part below `v` on `z` by its place `x`.
    fn hang(&mut self, v: usize, x: usize, z: usize, entering: usize) {
        let above = self.parent[v];
        self.children[above].retain(|&child| child != v);
        let (mut place, mut edge, mut cut, mut over) = (x, entering, 0, z);
        loop {
            let (next, next_edge, next_cut) = (self.parent[place], self.up[place], self.cut[place]);
            self.parent[place] = over;
            self.up[place] = edge;
            self.cut[place] = cut;
            self.children[over].push(place);
            if place == v {
                break;
            }
            self.children[next].retain(|&child| child != place);
            (over, place, edge, cut) = (place, next, next_edge, next_cut);
        }
    }

    fn renew_depths(&mut self, x: usize) {
        for place in self.below(x) {
            self.depth[place] = self.depth[self.parent[place]] + 1;
        }
    }
}
