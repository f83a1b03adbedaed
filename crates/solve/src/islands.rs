//! Which nodes hang together, and where ideal sources close a loop without resistance.
//! Knows only edges; decides nothing about voltages.

/// Sets of nodes that hang together (union-find with path halving).
#[derive(Clone, Debug)]
pub(crate) struct Sets {
    parent: Vec<u32>,
}

impl Sets {
    pub(crate) fn new(count: usize) -> Sets {
        Sets { parent: (0..count as u32).collect() }
    }

    /// The set's lowest node.
    pub(crate) fn root(&mut self, node: usize) -> usize {
        let mut at = node;
        while self.parent[at] as usize != at {
            let above = self.parent[self.parent[at] as usize];
            self.parent[at] = above;
            at = above as usize;
        }
        at
    }

    /// Joins two sets; `false` if they were one already. The lower root stays root.
    pub(crate) fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        if a == b {
            return false;
        }
        self.parent[a.max(b)] = a.min(b) as u32;
        true
    }
}

/// Edges of ideal sources, watched for loops.
#[derive(Clone, Debug, Default)]
pub(crate) struct SourceForest {
    edges: Vec<(usize, usize, usize)>,
}

impl SourceForest {
    /// Adds an edge that is known not to close a loop, with a label.
    pub(crate) fn push(&mut self, a: usize, b: usize, label: usize) {
        self.edges.push((a, b, label));
    }

    /// Labels of the edges on the path between two nodes (the loop a new edge would close).
    pub(crate) fn path(&self, from: usize, to: usize) -> Vec<usize> {
        let mut reached = vec![(from, usize::MAX, usize::MAX)];
        let mut next = 0;
        while next < reached.len() {
            let (node, _, _) = reached[next];
            if node == to {
                return trace_back(&reached, next);
            }
            for &(a, b, label) in &self.edges {
                for (near, far) in [(a, b), (b, a)] {
                    if near == node && !reached.iter().any(|r| r.0 == far) {
                        reached.push((far, next, label));
                    }
                }
            }
            next += 1;
        }
        Vec::new()
    }
}

fn trace_back(reached: &[(usize, usize, usize)], end: usize) -> Vec<usize> {
    let mut labels = Vec::new();
    let mut at = end;
    while reached[at].1 != usize::MAX {
        labels.push(reached[at].2);
        at = reached[at].1;
    }
    labels.reverse();
    labels
}
