//! The tree of choices: bounding a node, ruling actions in and out, branching.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::exact::dual::{Dual, Pool, spend};
use crate::exact::greedy::{Good, exchanged, good_plan};
use crate::exact::net::{NONE, Net};
use crate::exact::relaxed::{Limits, Relaxed};
use crate::exact::{Choice, NEVER, Price};

/// With more actions than this to price, bounds come from labels alone.
const LARGEST_PROGRAMME: usize = 600;
/// Slow rounds before the first node is left: it goes on until no neglected landmark is found, since
/// what it finds serves the whole tree. As long as a few later nodes.
const ROOT_PATIENCE: u32 = 400;
/// Slow rounds before a later node is left.
const PATIENCE: u32 = 2;
/// A plan dearer than the best by at most one part in this is tried with single exchanges.
const CLOSE: Price = 10;
/// Most numbers kept in the programmes of open nodes, all together (64 MB).
const KEPT_NUMBERS: usize = 8_000_000;

/// What may still be spent, over all pieces of a question together.
pub(crate) struct Allowance {
    pub(crate) nodes: u64,
    pub(crate) looks: u64,
}

/// The best plan for a piece and what is proved about it.
pub(crate) struct Answer {
    /// The work used, none of it superfluous.
    pub(crate) chosen: Vec<usize>,
    /// No plan costs less.
    pub(crate) least: Price,
    /// Whether nothing cheaper exists.
    pub(crate) proved: bool,
    /// Nodes looked at.
    pub(crate) nodes: u64,
}

/// Finds the cheapest plan; `None` when there is none. `round_up` raises a bound to the next price
/// that a plan can have.
pub(crate) fn search(
    net: &Net,
    work: &[bool],
    round_up: &dyn Fn(Price) -> Price,
    allowance: &mut Allowance,
) -> Option<Answer> {
    let first = exchanged(net, work, good_plan(net, work, &net.price)?);
    let mut tree = Tree {
        net,
        work,
        round_up,
        allowance,
        pool: Pool::default(),
        open: BinaryHeap::new(),
        best: first,
        nodes: 0,
        kept_numbers: 0,
    };
    tree.visit(vec![Choice::Open; net.actions()], &Before::default());
    while let Some(node) = tree.open.pop() {
        if node.bound.0 >= tree.best.cost {
            break; // best first: nothing better is left
        }
        let budget = tree.allowance.nodes > 0 && tree.allowance.looks > 0;
        let Some(branch) = node.branch.filter(|_| budget) else {
            tree.open.push(node);
            break;
        };
        tree.split(node, branch);
    }
    let open = tree.open.iter().map(|node| node.bound.0).min().unwrap_or(NEVER);
    let least = open.min(tree.best.cost);
    let proved = least >= tree.best.cost;
    Some(Answer { chosen: tree.best.chosen, least, proved, nodes: tree.nodes })
}

struct Node {
    bound: Reverse<Price>,
    depth: u32,
    number: Reverse<u64>,
    /// The action to decide next; `None` when the bounding was stopped before one was found.
    branch: Option<usize>,
    choices: Vec<Choice>,
    /// Prices of landmarks, to start the children's bounds with.
    prices: Vec<(usize, Price)>,
    /// The programme solved last, for the children to go on from.
    relaxed: Option<Relaxed>,
}

/// What a node starts with.
#[derive(Default)]
struct Before {
    bound: Price,
    depth: u32,
    prices: Vec<(usize, Price)>,
    relaxed: Option<Relaxed>,
}

struct Tree<'t> {
    net: &'t Net,
    work: &'t [bool],
    round_up: &'t dyn Fn(Price) -> Price,
    allowance: &'t mut Allowance,
    pool: Pool,
    open: BinaryHeap<Node>,
    best: Good,
    nodes: u64,
    kept_numbers: usize,
}

impl Tree<'_> {
    fn split(&mut self, node: Node, branch: usize) {
        self.kept_numbers -= node.relaxed.as_ref().map_or(0, Relaxed::numbers);
        let before = Before {
            bound: node.bound.0,
            depth: node.depth + 1,
            prices: node.prices,
            relaxed: node.relaxed,
        };
        let mut with = node.choices.clone();
        self.include(&mut with, branch);
        self.visit(with, &before);
        let mut without = node.choices;
        without[branch] = Choice::Out;
        self.visit(without, &before);
    }

    /// Bounds a node and keeps it if it may hold something better than the best plan.
    fn visit(&mut self, mut choices: Vec<Choice>, before: &Before) {
        self.nodes += 1;
        self.allowance.nodes = self.allowance.nodes.saturating_sub(1);
        let mut prices = before.prices.clone();
        let mut bound = before.bound;
        let mut relaxed = None;
        loop {
            if !self.force(&mut choices) {
                return;
            }
            let mut dual = Dual::new(self.net, &self.pool, &choices, &prices);
            dual.raise(self.net, &mut self.pool, &mut self.allowance.looks);
            if relaxed.is_none() && self.bound(&choices, &dual) < self.best.cost {
                relaxed = self.relax(&choices, before, &mut dual);
            }
            bound = bound.max(self.bound(&choices, &dual));
            if bound < self.best.cost {
                let share = relaxed.as_ref().map(|relaxed| relaxed.share(&choices));
                self.offer(&dual, share.as_deref());
            }
            if bound >= self.best.cost {
                return;
            }
            let ruled_out = self.rule_out(&mut choices, &dual);
            prices = dual.prices;
            if ruled_out == 0 || self.allowance.looks == 0 {
                return self.keep(choices, Before { bound, depth: before.depth, prices, relaxed });
            }
        }
    }

    /// Keeps a node for later, with the action to branch on.
    fn keep(&mut self, choices: Vec<Choice>, found: Before) {
        let share = found.relaxed.as_ref().map(|relaxed| relaxed.share(&choices));
        let branch = self.branch(&choices, share.as_deref());
        if branch.is_none() && self.allowance.looks > 0 {
            return self.offer_decided(&choices);
        }
        let numbers = found.relaxed.as_ref().map_or(0, Relaxed::numbers);
        let relaxed = found.relaxed.filter(|_| self.kept_numbers + numbers <= KEPT_NUMBERS);
        self.kept_numbers += relaxed.as_ref().map_or(0, Relaxed::numbers);
        self.open.push(Node {
            bound: Reverse(found.bound),
            depth: found.depth,
            number: Reverse(self.nodes),
            branch,
            choices,
            prices: found.prices,
            relaxed,
        });
    }

    /// What a plan at this node costs at least.
    fn bound(&self, choices: &[Choice], dual: &Dual) -> Price {
        if dual.least >= NEVER {
            return NEVER;
        }
        (self.round_up)(self.paid(choices) + dual.least)
    }

    fn paid(&self, choices: &[Choice]) -> Price {
        let taken = choices.iter().zip(&self.net.price).filter(|(c, _)| **c == Choice::In);
        taken.map(|(_, price)| price).sum()
    }

    /// Takes in what is the last open member of a landmark. `false` when a landmark has none left.
    fn force(&mut self, choices: &mut [Choice]) -> bool {
        loop {
            spend(&mut self.allowance.looks, self.pool.rows.len() as u64 / 4);
            let mut forced = NONE;
            for row in &self.pool.rows {
                if row.iter().any(|action| choices[*action] == Choice::In) {
                    continue;
                }
                let mut open = row.iter().filter(|action| choices[**action] == Choice::Open);
                match (open.next(), open.next()) {
                    (None, _) => return false,
                    (Some(only), None) => {
                        forced = *only;
                        break;
                    }
                    _ => {}
                }
            }
            if forced == NONE {
                return true;
            }
            self.include(choices, forced);
        }
    }

    /// One action per fact is enough, so including one excludes its rivals.
    fn include(&self, choices: &mut [Choice], action: usize) {
        choices[action] = Choice::In;
        for &rival in self.net.achievers.of(self.net.gives[action]) {
            if choices[rival] == Choice::Open && self.work[rival] {
                choices[rival] = Choice::Out;
            }
        }
    }

    /// Prices landmarks anew by the linear programme, and keeps the new prices if they prove more.
    fn relax(&mut self, choices: &[Choice], before: &Before, dual: &mut Dual) -> Option<Relaxed> {
        let priced =
            |action: &usize| choices[*action] == Choice::Open && self.net.price[*action] > 0;
        let open: Vec<usize> = (0..self.net.actions()).filter(priced).collect();
        if open.is_empty() || open.len() > LARGEST_PROGRAMME {
            return None;
        }
        let inherited = before.relaxed.as_ref().filter(|r| r.numbers() <= 4 * open.len().pow(2));
        let followed = inherited.map(|relaxed| relaxed.after(choices));
        let mut relaxed = followed
            .unwrap_or_else(|| Relaxed::new(self.net, choices, open, &self.pool, &dual.prices));
        let room = self.best.cost - self.paid(choices);
        let patience = if before.depth == 0 { ROOT_PATIENCE } else { PATIENCE };
        relaxed.improve(
            self.net,
            choices,
            &mut self.pool,
            Limits { room, patience, looks: &mut self.allowance.looks },
        );
        let mut better = Dual::new(self.net, &self.pool, choices, &relaxed.prices());
        better.raise(self.net, &mut self.pool, &mut self.allowance.looks);
        if better.least > dual.least {
            *dual = better;
        }
        Some(relaxed)
    }

    /// Rules out what would cost more than the best plan saves; gives how many.
    fn rule_out(&self, choices: &mut [Choice], dual: &Dual) -> usize {
        let bound = self.paid(choices) + dual.least;
        let mut count = 0;
        for (choice, left) in choices.iter_mut().zip(&dual.left) {
            if *choice == Choice::Open && (self.round_up)(bound + left) >= self.best.cost {
                *choice = Choice::Out;
                count += 1;
            }
        }
        count
    }

    /// Tries the plans that the landmarks' prices and the relaxed plan suggest.
    fn offer(&mut self, dual: &Dual, share: Option<&[f64]>) {
        if let Some(plan) = good_plan(self.net, self.work, &dual.left) {
            self.keep_if_better(plan);
        }
        let Some(share) = share else { return };
        let prices: Vec<Price> = (self.net.price.iter().zip(&dual.left))
            .zip(share)
            .map(|((price, left), share)| match *left {
                NEVER => NEVER,
                _ => (*price as f64 * (1.0 - share.min(1.0))) as Price,
            })
            .collect();
        if let Some(plan) = good_plan(self.net, self.work, &prices) {
            self.keep_if_better(plan);
        }
    }

    /// Nothing is left to decide: what is in is a plan, or there is none here.
    fn offer_decided(&mut self, choices: &[Choice]) {
        let price = |(choice, price): (&Choice, &Price)| match choice {
            Choice::Open => *price,
            Choice::In => 0,
            Choice::Out => NEVER,
        };
        let prices: Vec<Price> = choices.iter().zip(&self.net.price).map(price).collect();
        if let Some(plan) = good_plan(self.net, self.work, &prices) {
            self.keep_if_better(plan);
        }
    }

    fn keep_if_better(&mut self, plan: Good) {
        if plan.cost < self.best.cost + self.best.cost / CLOSE && plan.chosen != self.best.chosen {
            let plan = exchanged(self.net, self.work, plan);
            if plan.cost < self.best.cost {
                self.best = plan;
            }
        }
    }

    /// The open action with the dearest doubt in the relaxed plan; without a relaxed plan, from the
    /// smallest landmark with a choice in it.
    fn branch(&self, choices: &[Choice], share: Option<&[f64]>) -> Option<usize> {
        let open = |action: &usize| choices[*action] == Choice::Open;
        let unsure = share.and_then(|share| {
            let doubt = |action: &usize| share[*action].min(1.0 - share[*action]);
            let weighed = (0..choices.len())
                .filter(|action| open(action) && self.net.price[*action] > 0)
                .filter(|action| doubt(action) > 1.0e-6)
                .map(|action| (doubt(&action) * self.net.price[action] as f64, action));
            weighed.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map(|(_, action)| action)
        });
        unsure.or_else(|| {
            let unmet = self.pool.rows.iter().filter(|row| {
                !row.iter().any(|action| choices[*action] == Choice::In) && row.iter().any(open)
            });
            let row = unmet.min_by_key(|row| row.iter().filter(|action| open(action)).count())?;
            let used = row.iter().find(|a| open(a) && self.best.chosen.contains(a));
            used.or_else(|| row.iter().find(|action| open(action))).copied()
        })
    }
}

impl Node {
    fn rank(&self) -> (Reverse<Price>, u32, Reverse<u64>) {
        (self.bound, self.depth, self.number)
    }
}

impl Ord for Node {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.rank().cmp(&other.rank())
    }
}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.rank() == other.rank()
    }
}

impl Eq for Node {}
