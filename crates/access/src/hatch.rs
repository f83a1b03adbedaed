//! What-if hatches: which one or two new openings lower the yearly cost of service most.
//!
//! A hatch is a new opening in a part. Through it one reaches what the part hides, without taking the
//! part out. What stood in front of the part still has to come out, or to be opened by a hatch of
//! its own; and the hatch helps nothing that needs the part itself to be out. Both are on the
//! careful side: the true saving may be larger, never smaller. Every figure is a proven plan of the
//! changed vehicle. Deliberately does not know whether a part can be cut.

use std::collections::{BTreeMap, BTreeSet};

use crate::estimate::Spread;
use crate::faults::InputError;
use crate::plan::{Plan, Proof, plan};
use crate::problem::{
    Costing, Damage, Part, PartIdx, Presence, Problem, Removal, SetupIdx, Target,
};
use crate::service::Item;

/// A new opening somebody might make.
#[derive(Clone, Debug, PartialEq)]
pub struct Hatch {
    /// The part it is cut into.
    pub part: PartIdx,
    /// Minutes to make it.
    pub make: Spread,
    /// Material, in minor money units.
    pub material_minor: u64,
    /// Minutes to open it.
    pub open: Spread,
    /// Minutes to close it.
    pub close: Spread,
    /// Setups that opening it takes as well, wherever taking the part out takes them: a position to
    /// be taken, but no tool.
    pub keeps: Vec<SetupIdx>,
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// The vehicle as it is.
    pub problem: &'a Problem,
    /// What wants service.
    pub items: &'a [Item],
    /// Hatches that might be made, one for a part.
    pub hatches: &'a [Hatch],
    /// How minutes and breakage are weighed.
    pub costing: &'a Costing,
    /// Years over which the yearly saving is held against the cost of today.
    pub years: f64,
}

/// One or two hatches, weighed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Positions in [`Question::hatches`].
    pub hatches: Vec<usize>,
    /// Cost of making them today: expected minutes at their worth, and material; minor money units.
    pub today_minor: f64,
    /// Expected money saved in a year, minor money units; never below zero.
    pub saved_minor_per_year: f64,
    /// Expected minutes saved in a year. Below zero only where breakage is saved by taking longer.
    pub saved_min_per_year: f64,
    /// Saving over the years asked about, less the cost of today.
    pub net_minor: f64,
    /// The items it helps, most saved first.
    pub helped: Vec<Helped>,
    /// Items that have no way in now and get one, with its expected minutes. They count for nothing in
    /// the saving: what they cost now is not known.
    pub opened: Vec<(usize, f64)>,
    /// Whether every plan behind these figures is proven cheapest.
    pub proof: Proof,
}

/// An item that gets cheaper to reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Helped {
    /// Position in [`Question::items`].
    pub item: usize,
    /// Expected minutes now.
    pub before_min: f64,
    /// Expected minutes with the hatch.
    pub after_min: f64,
    /// Expected money saved each time, minor money units.
    pub saved_minor: f64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Findings {
    /// Single hatches that help something, best first: by what is left over after the years asked
    /// about.
    pub singles: Vec<Proposal>,
    /// The best pair, if two hatches help together.
    pub pair: Option<Proposal>,
    /// Pairs there are.
    pub pairs: usize,
    /// Pairs that had to be planned; the others were shown to be no better by a bound.
    pub pairs_planned: usize,
}

impl Proposal {
    /// Years until the saving has paid for the work; `None` when it never does.
    #[must_use]
    pub fn payback_years(&self) -> Option<f64> {
        (self.saved_minor_per_year > 0.0).then(|| self.today_minor / self.saved_minor_per_year)
    }
}

/// Weighs every single hatch, and finds the best pair.
///
/// Worth of hatches `H`: `years Σ_i rate_i (c_i - c_i(H)) - cost(H)`, with `c_i` the expected cost of
/// the cheapest way to item `i`, over the items that have a rate and a way now. The pair is exact:
/// pairs are taken in the order of an upper bound of their worth until the next bound is no better
/// than the best pair planned. The bound: an item that only one of the two can help is helped as by
/// that one alone; an item both can help is helped at most as by all hatches together. Checked
/// against trying all pairs in `tests/hatches.rs`.
///
/// # Errors
/// All faults of the problem, the items and the costing.
pub fn best_hatches(question: &Question<'_>) -> Result<Findings, Vec<InputError>> {
    let targets: Vec<Target> = question.items.iter().map(|item| item.target.clone()).collect();
    let mut faults = question.problem.faults(&targets, question.costing);
    faults.retain(|fault| !matches!(fault, InputError::NoWayStated { .. }));
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut weighing = Weighing::new(*question);
    let singles: Vec<Proposal> =
        (0..question.hatches.len()).map(|hatch| weighing.proposal(&[hatch])).collect();
    let (pair, pairs, pairs_planned) = weighing.best_pair(&singles);
    let helps = |p: &Proposal| !p.helped.is_empty() || !p.opened.is_empty();
    let mut singles: Vec<Proposal> = singles.into_iter().filter(helps).collect();
    singles.sort_by(|a, b| b.net_minor.total_cmp(&a.net_minor).then(a.hatches.cmp(&b.hatches)));
    Ok(Findings { singles, pair: pair.filter(helps), pairs, pairs_planned })
}

/// Cost, minutes and proof of the cheapest way to an item.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Reached {
    minor: f64,
    minutes: f64,
    proof: Proof,
}

struct Weighing<'a> {
    question: Question<'a>,
    /// By item: parts whose hatch might matter to it.
    closure: Vec<BTreeSet<PartIdx>>,
    before: Vec<Option<Reached>>,
    /// By item: with every hatch made.
    with_all: Vec<Option<Reached>>,
    /// By hatches that might matter to the item, and item.
    known: BTreeMap<(Vec<usize>, usize), Option<Reached>>,
}

impl<'a> Weighing<'a> {
    fn new(question: Question<'a>) -> Self {
        let closure = question.items.iter().map(|item| closure(question.problem, item)).collect();
        let all: Vec<usize> = (0..question.hatches.len()).collect();
        let mut weighing = Self {
            question,
            closure,
            before: Vec::new(),
            with_all: Vec::new(),
            known: BTreeMap::new(),
        };
        let items = 0..question.items.len();
        weighing.before = items.clone().map(|item| weighing.reached(&[], item)).collect();
        weighing.with_all = items.map(|item| weighing.reached(&all, item)).collect();
        weighing
    }

    fn matters(&self, hatch: usize, item: usize) -> bool {
        self.closure[item].contains(&self.question.hatches[hatch].part)
    }

    /// The cheapest way to an item with these hatches made; planned once.
    fn reached(&mut self, hatches: &[usize], item: usize) -> Option<Reached> {
        let matter = hatches.iter().copied().filter(|hatch| self.matters(*hatch, item)).collect();
        let key: (Vec<usize>, usize) = (matter, item);
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let made: Vec<&Hatch> = key.0.iter().map(|hatch| &self.question.hatches[*hatch]).collect();
        let target = &self.question.items[item].target;
        let changed = with_hatches(self.question.problem, target, &made);
        let planned = plan(&changed.0, std::slice::from_ref(&changed.1), self.question.costing);
        let reached = planned.ok().map(|plan: Plan| Reached {
            minor: plan.cost_minor,
            minutes: plan.total.mean_min,
            proof: plan.proof,
        });
        self.known.insert(key, reached);
        reached
    }

    fn today_minor(&self, hatches: &[usize]) -> f64 {
        let worth = self.question.costing.value_of_a_minute;
        let made = hatches.iter().map(|hatch| &self.question.hatches[*hatch]);
        made.map(|hatch| hatch.make.mean_min() * worth + hatch.material_minor as f64).sum()
    }

    fn proposal(&mut self, hatches: &[usize]) -> Proposal {
        let mut proposal = Proposal {
            hatches: hatches.to_vec(),
            today_minor: self.today_minor(hatches),
            saved_minor_per_year: 0.0,
            saved_min_per_year: 0.0,
            net_minor: 0.0,
            helped: Vec::new(),
            opened: Vec::new(),
            proof: Proof::Optimal,
        };
        for item in 0..self.question.items.len() {
            if hatches.iter().any(|hatch| self.matters(*hatch, item)) {
                let after = self.reached(hatches, item);
                add(&mut proposal, self.question.items, item, self.before[item], after);
            }
        }
        proposal.helped.sort_by(|a, b| {
            let rate = |h: &Helped| self.question.items[h.item].per_year.unwrap_or(0.0);
            (rate(b) * b.saved_minor)
                .total_cmp(&(rate(a) * a.saved_minor))
                .then(a.item.cmp(&b.item))
        });
        proposal.net_minor =
            self.question.years * proposal.saved_minor_per_year - proposal.today_minor;
        proposal
    }

    /// Best pair, how many pairs there are, and how many were planned.
    fn best_pair(&mut self, singles: &[Proposal]) -> (Option<Proposal>, usize, usize) {
        let mut bounded = Vec::new();
        for a in 0..self.question.hatches.len() {
            for b in a + 1..self.question.hatches.len() {
                if self.question.hatches[a].part != self.question.hatches[b].part {
                    bounded.push((self.bound(a, b, singles), a, b));
                }
            }
        }
        bounded.sort_by(|x, y| y.0.total_cmp(&x.0).then((x.1, x.2).cmp(&(y.1, y.2))));
        let mut best: Option<Proposal> = None;
        let mut planned = 0;
        for (bound, a, b) in &bounded {
            if best.as_ref().is_some_and(|best| *bound <= best.net_minor) {
                break;
            }
            planned += 1;
            let pair = self.proposal(&[*a, *b]);
            if best.as_ref().is_none_or(|best| pair.net_minor > best.net_minor) {
                best = Some(pair);
            }
        }
        (best, bounded.len(), planned)
    }

    /// No pair is worth more than this.
    fn bound(&self, a: usize, b: usize, singles: &[Proposal]) -> f64 {
        let saved_by = |hatch: usize, item: usize| {
            singles[hatch].helped.iter().find(|h| h.item == item).map_or(0.0, |h| h.saved_minor)
        };
        let at_most = |item: usize| match (self.before[item], self.with_all[item]) {
            (Some(before), Some(after)) => (before.minor - after.minor).max(0.0),
            _ => 0.0,
        };
        let saved: f64 = self
            .question
            .items
            .iter()
            .enumerate()
            .map(|(index, item)| {
                let each = match (self.matters(a, index), self.matters(b, index)) {
                    (true, true) => at_most(index),
                    (true, false) => saved_by(a, index),
                    (false, true) => saved_by(b, index),
                    (false, false) => 0.0,
                };
                each * item.per_year.unwrap_or(0.0)
            })
            .sum();
        // A hair of room, so that sums in another order never cut off the best.
        let worth = self.question.years * saved;
        worth + 1e-9 * worth.abs() - self.today_minor(&[a, b])
    }
}

/// Counts what an item gains.
fn add(
    proposal: &mut Proposal,
    items: &[Item],
    item: usize,
    before: Option<Reached>,
    after: Option<Reached>,
) {
    /// Less than this many minor money units is rounding.
    const NOTHING: f64 = 1e-6;
    let Some(after) = after else { return };
    if after.proof != Proof::Optimal {
        proposal.proof = after.proof;
    }
    let Some(before) = before else {
        proposal.opened.push((item, after.minutes));
        return;
    };
    let saved_minor = before.minor - after.minor;
    if saved_minor <= NOTHING {
        return;
    }
    let rate = items[item].per_year.unwrap_or(0.0);
    proposal.saved_minor_per_year += rate * saved_minor;
    proposal.saved_min_per_year += rate * (before.minutes - after.minutes);
    proposal.helped.push(Helped {
        item,
        before_min: before.minutes,
        after_min: after.minutes,
        saved_minor,
    });
}

/// Every part that might have to come out for an item, whatever the plan.
fn closure(problem: &Problem, item: &Item) -> BTreeSet<PartIdx> {
    let mut closure = BTreeSet::new();
    let mut queue: Vec<PartIdx> = item.target.ways.iter().flatten().copied().collect();
    while let Some(part) = queue.pop() {
        if closure.insert(part) {
            let removals = problem.removals.iter().filter(|removal| removal.part == part);
            queue.extend(removals.flat_map(|removal| &removal.needs));
        }
    }
    closure
}

/// The vehicle and the target with hatches made.
///
/// For each part with a hatch there is a new thing, *past the part*: it is had for nothing once the
/// part is out, or by opening the hatch once whatever stood in front of the part is out or itself
/// passed. Ways to the target ask to be past the part instead of having it out; removals of other
/// parts still ask for it to be out.
fn with_hatches(problem: &Problem, target: &Target, made: &[&Hatch]) -> (Problem, Target) {
    let mut changed = problem.clone();
    let mut past: BTreeMap<PartIdx, PartIdx> = BTreeMap::new();
    for hatch in made {
        past.entry(hatch.part).or_insert_with(|| {
            let name = format!("past {}", problem.parts[hatch.part.0].name);
            changed.parts.push(Part { name, presence: Presence::Fitted });
            PartIdx(changed.parts.len() - 1)
        });
    }
    let passing = |parts: &[PartIdx]| -> Vec<PartIdx> {
        parts.iter().map(|part| past.get(part).copied().unwrap_or(*part)).collect()
    };
    for (part, past) in &past {
        changed.removals.push(free(*past, vec![*part]));
    }
    for hatch in made {
        let of_part = problem.removals.iter().filter(|removal| removal.part == hatch.part);
        let kept = |setup: &&SetupIdx| hatch.keeps.contains(setup);
        let mut fronts: Vec<(Vec<PartIdx>, Vec<SetupIdx>)> = of_part
            .map(|r| (passing(&r.needs), r.setups.iter().filter(kept).copied().collect()))
            .collect();
        fronts.sort();
        fronts.dedup();
        if fronts.is_empty() {
            fronts.push((Vec::new(), Vec::new()));
        }
        changed.removals.extend(fronts.into_iter().map(|(needs, setups)| Removal {
            label: "open the hatch".to_owned(),
            setups,
            minutes_out: hatch.open,
            minutes_back: hatch.close,
            ..free(past[&hatch.part], needs)
        }));
    }
    let ways = target.ways.iter().map(|way| passing(way)).collect();
    (changed, Target { name: target.name.clone(), ways })
}

fn free(part: PartIdx, needs: Vec<PartIdx>) -> Removal {
    Removal {
        part,
        label: String::new(),
        needs,
        setups: Vec::new(),
        minutes_out: Spread::exactly(0.0),
        minutes_back: Spread::exactly(0.0),
        breakage: None,
        damage: Damage::None,
    }
}
