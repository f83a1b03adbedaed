//! The cheapest set of actions that separates the work area from everything that may feed it, with
//! proof.
//!
//! Which ways of energy there are is not written down beforehand; there may be millions. Instead: plan
//! with the ways known so far, look whether energy still comes in, and if so add that way, for every
//! plan that works must stop it too. The plan at each round is the cheapest for *fewer* demands, so
//! nothing that works is cheaper; when no energy comes in any more it works itself, and so it is
//! cheapest. Planning is done by `access`, for which an action is one more thing to take out: so parts
//! that several actions need out are paid for once.
//!
//! A lug may only be chosen together with covered actions that make it dead: such demands are found the
//! same way. A lug that no covered action makes dead is not offered. Just so with a contact that is not
//! made to break the current it carries: it may only be chosen together with what takes that current
//! away, and where nothing does it is not offered. Knows no vehicle.

use access::{
    Breakage, Costing, Damage, Effort, NoPlan, Part, PartIdx, Plan, Presence, Problem, Proof,
    Removal, Spread as Minutes, Target, never_out, plan_within,
};

use crate::net::{Action, BadNet, Net, Touch};
use crate::spread::{Done, Path, Spread};

/// What is in the way of hands, and what a minute is worth.
#[derive(Clone, Copy, Debug)]
pub struct Ground<'g> {
    /// The parts and how they come out.
    pub problem: &'g Problem,
    /// How minutes and breakage are weighed.
    pub costing: &'g Costing,
    /// What is opened for the work itself, so that it need not be paid for again.
    pub also: &'g [Target],
    /// How much searching is allowed.
    pub effort: Effort,
}

/// The cheapest set of actions, and what is proved of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// The actions, in the order of the question.
    pub chosen: Vec<usize>,
    /// Points of the area that nothing here can make dead. The rest of it is made dead all the same, and
    /// they are separated from all poles but those that always reach them.
    pub stay_live: Vec<usize>,
    /// Poles that feed them.
    pub left: Vec<usize>,
    /// Actions left out because they would be work on live metal: nothing covered makes it dead.
    pub live_work: Vec<usize>,
    /// Actions left out because they would break current they are not made for, and nothing takes it away.
    pub under_load: Vec<usize>,
    /// Actions left out because nobody can get there.
    pub out_of_reach: Vec<usize>,
    /// The way in to all of them, and to what is opened for the work itself.
    pub plan: Plan,
    /// Expected cost of everything, in minor money units.
    pub cost_minor: f64,
    /// Nothing that works costs less than this, in minor money units.
    pub least_minor: f64,
    /// What is proved.
    pub proof: Proof,
    /// Ways of energy that had to be looked at.
    pub demands: usize,
    /// How often it was planned.
    pub rounds: usize,
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// The question has a fault.
    #[error("{0}")]
    Bad(#[from] BadNet),
    /// The parts have a fault.
    #[error("{0}")]
    Parts(#[from] NoPlan),
}

/// Finds the cheapest set.
///
/// # Errors
/// [`NoAnswer`] when the question or the parts have faults. That something cannot be isolated is no
/// error: see [`Answer::stay_live`].
pub fn cheapest(net: &Net, ground: &Ground<'_>) -> Result<Answer, NoAnswer> {
    net.check()?;
    let never = never_out(ground.problem, ground.costing);
    let stays = |part: &PartIdx| never.iter().any(|never| never.part == *part);
    let usable: Vec<bool> = net
        .actions
        .iter()
        .map(|action| action.reach.iter().any(|set| !set.iter().any(stays)))
        .collect();
    let (spread, of_current) = (Spread::new(net), net.of_current());
    let current = Spread::new(&of_current);
    let (areas, demands) = (Vec::new(), Vec::new());
    let mut search = Search { net, ground, spread, current, usable, areas, demands };
    let out_of_reach = (0..search.usable.len()).filter(|a| !search.usable[*a]).collect();
    let loaded: Vec<usize> = (0..net.actions.len()).filter(|a| search.stays_loaded(*a)).collect();
    loaded.iter().for_each(|action| search.usable[*action] = false);
    let live: Vec<usize> = (0..net.actions.len()).filter(|a| search.would_be_live(*a)).collect();
    live.iter().for_each(|action| search.usable[*action] = false);
    let mut answer = search.run()?;
    (answer.live_work, answer.under_load, answer.out_of_reach) = (live, loaded, out_of_reach);
    Ok(answer)
}

/// A demand that every plan that works fulfils: one of these actions, or not the action `unless`.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Demand {
    one_of: Vec<usize>,
    unless: Option<usize>,
}

/// Points of the area, and the poles they cannot be separated from.
struct Piece {
    points: Vec<usize>,
    always: Vec<bool>,
}

struct Search<'s> {
    net: &'s Net,
    ground: &'s Ground<'s>,
    spread: Spread<'s>,
    /// Over [`Net::of_current`].
    current: Spread<'s>,
    usable: Vec<bool>,
    areas: Vec<Piece>,
    demands: Vec<Demand>,
}

impl Search<'_> {
    fn run(mut self) -> Result<Answer, NoAnswer> {
        let left = self.left();
        let stay_live = self.pieces(&left);
        let mut rounds = 0;
        loop {
            rounds += 1;
            let (plan, chosen) = self.planned()?;
            let asks_more = self.comes_in(&chosen);
            if !asks_more && !self.live_lugs(&chosen) && !self.loaded_contacts(&chosen) {
                let stuck = (stay_live, left);
                return Ok(self.answer(plan, &chosen, stuck, rounds));
            }
        }
    }

    /// Poles that still come in after everything that can be done; each stands alone.
    fn left(&self) -> Vec<usize> {
        let gone = vec![false; self.net.starts.len()];
        let mut done = Done { actions: self.usable.clone(), gone };
        let mut left = Vec::new();
        while let Some(path) = self.spread.path(&done, &self.net.area, |_| false) {
            done.gone[path.start] = true;
            left.push(path.start);
        }
        left
    }

    /// Sorts the points of the area by the poles that always reach them; gives those with any.
    fn pieces(&mut self, left: &[usize]) -> Vec<usize> {
        let primary = |start: usize| self.net.starts[start].fed_by.is_empty();
        let alone = |start: usize| {
            let others = (0..self.net.starts.len()).map(|other| other != start && primary(other));
            let done = Done { actions: self.usable.clone(), gone: others.collect() };
            self.spread.energised(&done)
        };
        let reached: Vec<Vec<bool>> = left.iter().map(|start| alone(*start)).collect();
        let mut pieces: Vec<Piece> = Vec::new();
        for point in &self.net.area {
            let mut always = vec![false; self.net.starts.len()];
            for (start, _) in left.iter().zip(&reached).filter(|(_, reached)| reached[*point]) {
                always[*start] = true;
            }
            match pieces.iter_mut().find(|piece| piece.always == always) {
                Some(piece) => piece.points.push(*point),
                None => pieces.push(Piece { points: vec![*point], always }),
            }
        }
        let stays = |piece: &&Piece| piece.always.contains(&true);
        let mut live: Vec<usize> =
            pieces.iter().filter(stays).flat_map(|piece| piece.points.iter().copied()).collect();
        live.sort_unstable();
        self.areas = pieces;
        live
    }

    /// Adds demands for ways that come in, apart from each other; false when none does.
    fn comes_in(&mut self, chosen: &[bool]) -> bool {
        let mut any = false;
        let mut actions = chosen.to_vec();
        for piece in &self.areas {
            let mut done = Done { actions, gone: piece.always.clone() };
            while let Some(path) = self.spread.path(&done, &piece.points, |a| self.usable[a]) {
                path.stopped_by.iter().for_each(|action| done.actions[*action] = true);
                self.demands.push(Demand { one_of: path.stopped_by, unless: None });
                any = true;
            }
            actions = done.actions;
        }
        any
    }

    /// Adds demands for chosen lugs that are still live though covered actions could help.
    fn live_lugs(&mut self, chosen: &[bool]) -> bool {
        let bare: Vec<usize> =
            (0..chosen.len()).filter(|a| chosen[*a] && !self.is_covered(*a)).collect();
        let mut any = false;
        for lug in bare {
            if let Some(path) = self.comes_to(lug, chosen) {
                self.demands.push(Demand { one_of: path.stopped_by, unless: Some(lug) });
                any = true;
            }
        }
        any
    }

    /// Adds demands for chosen contacts that would break current though something could take it away.
    fn loaded_contacts(&mut self, chosen: &[bool]) -> bool {
        let demands: Vec<Demand> = (0..chosen.len())
            .filter(|action| chosen[*action])
            .filter_map(|action| {
                let path = self.drives(action, chosen)?;
                Some(Demand { one_of: path.stopped_by, unless: Some(action) })
            })
            .collect();
        let any = !demands.is_empty();
        self.demands.extend(demands);
        any
    }

    /// Current that an action would break after the fit ones of these, and is not made for.
    fn drives(&self, action: usize, actions: &[bool]) -> Option<Path> {
        let loaded_by = &self.net.actions[action].loaded_by;
        if loaded_by.is_empty() {
            return None;
        }
        let fit = |a: usize| self.net.actions[a].is_fit() && self.usable[a];
        let actions = actions.iter().enumerate().map(|(a, done)| *done && fit(a)).collect();
        let done = Done { actions, gone: self.net.all_but(loaded_by) };
        self.current.path(&done, &self.net.breaks_at(action), fit)
    }

    /// Nothing takes away the current that this action is not made to break.
    fn stays_loaded(&self, action: usize) -> bool {
        self.drives(action, &self.usable).is_some()
    }

    fn is_covered(&self, action: usize) -> bool {
        self.net.actions[action].touch == Touch::Covered
    }

    /// Energy that comes to a lug after the covered ones of these actions.
    fn comes_to(&self, lug: usize, actions: &[bool]) -> Option<Path> {
        let covered = |a: usize| self.is_covered(a) && self.usable[a];
        let actions = actions.iter().enumerate().map(|(a, done)| *done && covered(a)).collect();
        let done = Done { actions, gone: vec![false; self.net.starts.len()] };
        self.spread.path(&done, &self.net.actions[lug].at, covered)
    }

    /// Bare metal that no covered action makes dead.
    fn would_be_live(&self, action: usize) -> bool {
        !self.is_covered(action) && self.comes_to(action, &self.usable).is_some()
    }

    /// The cheapest plan for the demands so far.
    fn planned(&self) -> Result<(Plan, Vec<bool>), NoPlan> {
        let mut question = Question::new(self);
        for demand in &self.demands {
            question.demand(demand);
        }
        let Question { problem, targets, part_of, .. } = question;
        let plan = plan_within(&problem, &targets, self.ground.costing, self.ground.effort)?;
        let mut chosen = vec![false; self.net.actions.len()];
        for (action, part) in part_of.iter().enumerate() {
            chosen[action] =
                part.is_some_and(|part| plan.steps.iter().any(|step| step.part == part));
        }
        Ok((plan, chosen))
    }

    fn answer(
        &self,
        plan: Plan,
        chosen: &[bool],
        (stay_live, left): (Vec<usize>, Vec<usize>),
        rounds: usize,
    ) -> Answer {
        let chosen: Vec<usize> = (0..chosen.len()).filter(|action| chosen[*action]).collect();
        Answer {
            live_work: Vec::new(),
            under_load: Vec::new(),
            out_of_reach: Vec::new(),
            chosen,
            stay_live,
            left,
            cost_minor: plan.cost_minor,
            least_minor: plan.least_minor,
            proof: plan.proof,
            demands: self.demands.len(),
            rounds,
            plan,
        }
    }
}

/// The demands so far as a question to the planner: each action in them is one more part, which is
/// out once it is done.
struct Question<'q> {
    search: &'q Search<'q>,
    problem: Problem,
    targets: Vec<Target>,
    /// By action: its part, once it is asked for.
    part_of: Vec<Option<PartIdx>>,
    /// By part that stands for a conditional demand: nothing is shared between them.
    conditions: Vec<(usize, PartIdx)>,
}

impl<'q> Question<'q> {
    fn new(search: &'q Search<'q>) -> Question<'q> {
        let mut question = Question {
            search,
            problem: search.ground.problem.clone(),
            targets: search.ground.also.to_vec(),
            part_of: vec![None; search.net.actions.len()],
            conditions: Vec::new(),
        };
        // Conditions first: a lug's removals name them.
        for demand in search.demands.iter().filter(|demand| demand.unless.is_some()) {
            let part = question.part("what a lug needs open");
            let lug = demand.unless.unwrap_or_default();
            question.conditions.push((lug, part));
        }
        question
    }

    fn part(&mut self, name: &str) -> PartIdx {
        let part = Part { name: name.to_owned(), presence: Presence::Fitted };
        self.problem.parts.push(part);
        PartIdx(self.problem.parts.len() - 1)
    }

    fn demand(&mut self, demand: &Demand) {
        let parts: Vec<PartIdx> = demand.one_of.iter().map(|a| self.action(*a)).collect();
        if demand.unless.is_none() {
            let ways = parts.into_iter().map(|part| vec![part]).collect();
            self.targets.push(Target { name: "a way of energy".to_owned(), ways });
            return;
        }
        let Some((_, condition)) = self.next_condition(demand) else { return };
        for part in parts {
            self.problem.removals.push(free(condition, part));
        }
    }

    /// The part of a conditional demand: they come in the order of the demands.
    fn next_condition(&mut self, demand: &Demand) -> Option<(usize, PartIdx)> {
        let given = |part: PartIdx| self.problem.removals.iter().any(|r| r.part == part);
        let open = self.conditions.iter();
        open.copied().find(|(lug, part)| Some(*lug) == demand.unless && !given(*part))
    }

    fn action(&mut self, index: usize) -> PartIdx {
        if let Some(part) = self.part_of[index] {
            return part;
        }
        let action = &self.search.net.actions[index];
        let part = self.part(&action.name);
        self.part_of[index] = Some(part);
        let conditions: Vec<PartIdx> =
            self.conditions.iter().filter(|(lug, _)| *lug == index).map(|(_, p)| *p).collect();
        for set in &action.reach {
            let needs = set.iter().chain(&conditions).copied().collect();
            let removal = removal(action, part, needs, self.search.ground.costing);
            self.problem.removals.push(removal);
        }
        part
    }
}

fn removal(action: &Action, part: PartIdx, needs: Vec<PartIdx>, costing: &Costing) -> Removal {
    let cost_minor = (action.risk_min * costing.value_of_a_minute).round().max(0.0) as u64;
    Removal {
        part,
        label: action.name.clone(),
        needs,
        setups: Vec::new(),
        minutes_out: Minutes::exactly(action.minutes),
        minutes_back: Minutes::exactly(action.back_min),
        breakage: Some(Breakage { probability: 1.0, cost_minor }),
        damage: Damage::None,
    }
}

fn free(part: PartIdx, need: PartIdx) -> Removal {
    Removal {
        part,
        label: "open".to_owned(),
        needs: vec![need],
        setups: Vec::new(),
        minutes_out: Minutes::exactly(0.0),
        minutes_back: Minutes::exactly(0.0),
        breakage: None,
        damage: Damage::None,
    }
}
