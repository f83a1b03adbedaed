//! From a task to the cheapest plan: makes it smaller, turns costs into whole prices of manageable
//! size, searches each piece, and puts the answers together.
//!
//! Deliberately does not know parts, minutes or money.

use crate::exact::{Allowance, Lists, NEVER, Net, Price, search};
use crate::presolve::reduced;
use crate::task::{COUNT_BITS, Cost, Origin, Task};

/// How much searching is allowed before the best plan so far is returned with its gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Most nodes of the search tree.
    pub nodes: u64,
    /// Most looks at single removals while bounding, over all nodes together.
    pub looks: u64,
}

impl Effort {
    /// Enough to prove the optimum of ordinary vehicles many times over; a few seconds at most.
    pub const USUAL: Self = Self { nodes: 20_000, looks: 60_000_000 };
}

impl Default for Effort {
    fn default() -> Self {
        Self::USUAL
    }
}

/// The best plan found and what is proved about it.
pub(crate) struct Found {
    /// The work of the plan, none of it superfluous.
    pub(crate) chosen: Vec<Origin>,
    /// Cost of the chosen.
    pub(crate) cost: Cost,
    /// Nothing cheaper than this exists.
    pub(crate) least: Cost,
    /// Nodes looked at.
    pub(crate) nodes: u64,
}

/// Finds the cheapest plan; `None` when the goal is out of reach.
pub(crate) fn cheapest(task: &Task, effort: Effort) -> Option<Found> {
    let reduced = reduced(task)?;
    let mut allowance = Allowance { nodes: effort.nodes, looks: effort.looks };
    let mut found = Found { chosen: Vec::new(), cost: 0, least: 0, nodes: 1 };
    for action in &reduced.certain {
        found.chosen.push(action.origin);
        found.cost += action.cost;
        found.least += action.cost;
    }
    for piece in &reduced.pieces {
        let scale = Scale::of(piece);
        let work: Vec<bool> = (0..piece.actions.len()).map(|a| piece.is_work(a)).collect();
        let round_up = |bound| scale.round_up(bound);
        let answer = search(&net(piece, &scale), &work, &round_up, &mut allowance)?;
        let chosen = || answer.chosen.iter().map(|action| &piece.actions[*action]);
        let cost: Cost = chosen().map(|action| action.cost).sum();
        found.chosen.extend(chosen().map(|action| action.origin));
        found.cost += cost;
        let exact = answer.proved && scale.shift == 0;
        found.least += if exact { cost } else { scale.at_least(answer.least).min(cost) };
        found.nodes += answer.nodes;
    }
    Some(found)
}

fn net(task: &Task, scale: &Scale) -> Net {
    Net {
        facts: task.facts,
        goal: task.goal,
        start: task.start,
        needs: Lists::new(task.actions.iter().map(|action| action.needs.as_slice())),
        gives: task.actions.iter().map(|action| action.gives).collect(),
        price: task.actions.iter().map(|action| scale.price(action.cost)).collect(),
        achievers: Lists::new(task.achievers.iter().map(Vec::as_slice)),
        users: Lists::new(task.users.iter().map(Vec::as_slice)),
    }
}

/// Costs as whole prices: money in multiples of its greatest common divisor, times a factor so
/// large that the count of removals below it decides nothing but ties.
struct Scale {
    divisor: Cost,
    /// Bits of money given up so that sums stay in range; 0 unless costs are absurd.
    shift: u32,
    factor: Price,
    /// Most removals a plan can count.
    most: Price,
}

const COUNT: Cost = (1 << COUNT_BITS) - 1;
/// The factor exceeds the highest count by this much, so that bounds can be rounded up in spite of
/// the count below them.
const ROOM: Price = 16;
/// Sums of all prices stay below this.
const LARGEST: Cost = (NEVER / 4) as Cost;

impl Scale {
    fn of(task: &Task) -> Self {
        let money = || task.actions.iter().map(|action| action.cost >> COUNT_BITS);
        let divisor = money().fold(0, greatest_common_divisor).max(1);
        let counted = task.actions.iter().filter(|action| action.cost & COUNT > 0).count();
        let most = counted as Price;
        let factor = ROOM * (most + 1);
        let total: Cost = money().map(|money| money / divisor + 1).sum();
        let mut shift = 0;
        while (total >> shift) * factor as Cost > LARGEST {
            shift += 1;
        }
        Self { divisor, shift, factor, most }
    }

    fn price(&self, cost: Cost) -> Price {
        let money = ((cost >> COUNT_BITS) / self.divisor) >> self.shift;
        money as Price * self.factor + (cost & COUNT) as Price
    }

    /// The smallest multiple of money that a plan of at least this price can have.
    fn money(&self, price: Price) -> Price {
        let beyond_count = price - self.most;
        if beyond_count <= 0 { 0 } else { (beyond_count + self.factor - 1) / self.factor }
    }

    fn round_up(&self, price: Price) -> Price {
        price.max(self.money(price) * self.factor)
    }

    /// What a plan of at least this price costs at least.
    fn at_least(&self, price: Price) -> Cost {
        (((self.money(price) as Cost) << self.shift) * self.divisor) << COUNT_BITS
    }
}

fn greatest_common_divisor(a: Cost, b: Cost) -> Cost {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}
