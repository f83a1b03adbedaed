//! What a policy is: given what is seen and what stands open, the next thing to do.

use diagnose::{Access, Offered, Step, What};
use model::{Place, StateId};

use crate::cases::Complaint;
use crate::desk::{Belief, Desk, Question};
use crate::doors::{Doors, Open};

/// Names in the report.
pub(crate) const OURS: &str = "unbury";
pub(crate) const STRIP: &str = "strip and look";
/// Not a way of searching: what is left when nothing has to be searched.
pub const TOLD: &str = "told the cause";

/// A place that is this likely the cause is repaired (baselines only; own choice, made before any
/// case was run; to be changed on tuning seeds only).
const SURE: f64 = 0.80;
/// A check that tells less than this is not worth making, bit.
const TELLS_BIT: f64 = 0.02;

/// What to do.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// Make a check.
    Check(Offered),
    /// Repair whatever is wrong at these places, and prove it.
    Repair(Vec<Place>),
    /// Open everything that may hide the cause, and look at it.
    LookEverywhere,
    /// Give up searching and strip the vehicle.
    Strip,
}

/// Where the work stands. The truth is not in it.
pub struct Standing<'a> {
    /// What is believed.
    pub belief: &'a Belief,
    /// What the owner complains of.
    pub complaints: &'a [Complaint],
    /// Estimates of opening.
    pub doors: &'a Doors<'a>,
    /// What stands open.
    pub open: &'a Open,
    /// The state the vehicle stands in.
    pub now: StateId,
    /// Checks that were made already.
    pub done: &'a [(What, Option<StateId>)],
    /// Places that were repaired already.
    pub mended: &'a [Place],
    /// Everything was looked at already.
    pub looked: bool,
}

/// The same as a question, for policies that choose from a list.
pub struct View<'a> {
    /// What is believed.
    pub belief: &'a Belief,
    /// What can be done.
    pub question: &'a Question,
    /// Estimates of opening.
    pub doors: &'a Doors<'a>,
    /// What stands open.
    pub open: &'a Open,
    /// Checks that were made already, by their place in [`Question::tests`].
    pub taken: &'a [bool],
}

/// A way of working.
pub trait Policy: Send {
    /// Its name in the report.
    fn name(&self) -> &'static str;

    /// The next thing to do.
    fn next(&self, desk: &mut Desk<'_>, at: &Standing<'_>) -> Deed;
}

/// A way of working that chooses from a list.
pub trait Chooser: Send {
    /// Its name in the report.
    fn name(&self) -> &'static str;

    /// The choice.
    fn choose(&self, view: &View<'_>) -> Choice;
}

/// A choice from a list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Choice {
    /// A check, by its place in [`Question::tests`].
    Check(usize),
    /// The repair of a place.
    Repair(Place),
    /// Nothing is left but to strip.
    Strip,
}

/// All policies, ours first.
pub fn all() -> Vec<Box<dyn Policy>> {
    vec![
        Box::new(Engine),
        Box::new(FixedOrder),
        Box::new(CheapestFirst),
        Box::new(InformationOnly),
        Box::new(StripAndLook),
    ]
}

/// The policies that choose from a list, for small questions.
pub fn choosers() -> Vec<Box<dyn Chooser>> {
    vec![
        Box::new(Planned),
        Box::new(FixedOrder),
        Box::new(CheapestFirst),
        Box::new(InformationOnly),
    ]
}

impl<T: Chooser> Policy for T {
    fn name(&self) -> &'static str {
        Chooser::name(self)
    }

    fn next(&self, desk: &mut Desk<'_>, at: &Standing<'_>) -> Deed {
        let question = desk.question(at.belief, at.complaints, at.now, at.doors);
        let is_done = |check: &Offered| at.done.contains(&(check.what, check.state));
        let taken: Vec<bool> = question.tests.iter().map(|test| is_done(&test.check)).collect();
        let (belief, doors, open) = (at.belief, at.doors, at.open);
        let view = View { belief, question: &question, doors, open, taken: &taken };
        match self.choose(&view) {
            Choice::Check(test) => Deed::Check(question.tests[test].check.clone()),
            Choice::Repair(place) => Deed::Repair(vec![place]),
            Choice::Strip => Deed::Strip,
        }
    }
}

/// The program's own advice.
pub(crate) struct Engine;

impl Policy for Engine {
    fn name(&self) -> &'static str {
        OURS
    }

    fn next(&self, desk: &mut Desk<'_>, at: &Standing<'_>) -> Deed {
        let advice = desk.advice(at.belief, at.doors, at.open, at.now, at.done);
        match advice.steps.first().map(|rated| rated.step) {
            Some(Step::Check(check)) => Deed::Check(advice.checks[check].check.clone()),
            Some(Step::Repair(group)) => {
                Deed::Repair(advice.groups[group].cures.iter().map(|cure| cure.0).collect())
            }
            Some(Step::SearchEverything) | None => Deed::Strip,
        }
    }
}

/// The program's planner on a list as it is, without anything that makes the list.
pub(crate) struct Planned;

impl Chooser for Planned {
    fn name(&self) -> &'static str {
        OURS
    }

    fn choose(&self, view: &View<'_>) -> Choice {
        let Question { problem, weights, repairs, .. } = view.question;
        let mut problem = problem.clone();
        // A check that was made tells nothing more.
        for (check, _) in problem.checks.iter_mut().zip(view.taken).filter(|(_, taken)| **taken) {
            check.outcomes = vec![vec![1.0]; problem.suspects];
        }
        let choice = diagnose::next_action(&problem, view.doors, weights, view.open.clone());
        match choice.ranked.first().map(|ranked| ranked.action) {
            Some(diagnose::Action::Check(check)) => Choice::Check(check),
            Some(diagnose::Action::Repair(repair)) => {
                repairs.get(repair).map_or(Choice::Strip, |place| Choice::Repair(*place))
            }
            None => Choice::Strip,
        }
    }
}

/// The usual walk from the battery outward, point by point.
pub(crate) struct FixedOrder;

impl Chooser for FixedOrder {
    fn name(&self) -> &'static str {
        "fixed order"
    }

    fn choose(&self, view: &View<'_>) -> Choice {
        if let Some(place) = sure(view) {
            return Choice::Repair(place);
        }
        let walk = untaken(view).filter_map(|at| Some((view.question.tests[at].walk?, at)));
        if let Some((_, at)) = walk.min() {
            return Choice::Check(at);
        }
        let rest = untaken(view).find(|at| bits(view, *at) > TELLS_BIT);
        rest.map_or_else(|| likeliest(view), Choice::Check)
    }
}

/// Of the readings that tell something, the one that takes the fewest minutes from here.
pub(crate) struct CheapestFirst;

impl Chooser for CheapestFirst {
    fn name(&self) -> &'static str {
        "cheapest first"
    }

    fn choose(&self, view: &View<'_>) -> Choice {
        if let Some(place) = sure(view) {
            return Choice::Repair(place);
        }
        let minutes = |at: usize| {
            let test = &view.question.tests[at];
            let opening = view.doors.open(view.open, test.behind)?.0;
            Some((test.check.minutes + opening, at))
        };
        untaken(view)
            .filter(|at| bits(view, *at) > TELLS_BIT)
            .filter_map(minutes)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(|| likeliest(view), |(_, at)| Choice::Check(at))
    }
}

/// Most information for each minute of the reading itself; what lies in front is not looked at.
pub(crate) struct InformationOnly;

impl Chooser for InformationOnly {
    fn name(&self) -> &'static str {
        "information only"
    }

    fn choose(&self, view: &View<'_>) -> Choice {
        if let Some(place) = sure(view) {
            return Choice::Repair(place);
        }
        let worth = |at: usize| bits(view, at) / view.question.tests[at].check.minutes;
        untaken(view)
            .filter(|at| bits(view, *at) > TELLS_BIT)
            .map(|at| (worth(at), at))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))
            .map_or_else(|| likeliest(view), |(_, at)| Choice::Check(at))
    }
}

/// Opens everything that may hide the cause and looks; measures only what looking did not show.
pub(crate) struct StripAndLook;

impl Policy for StripAndLook {
    fn name(&self) -> &'static str {
        STRIP
    }

    fn next(&self, desk: &mut Desk<'_>, at: &Standing<'_>) -> Deed {
        if at.looked { InformationOnly.next(desk, at) } else { Deed::LookEverywhere }
    }
}

fn untaken<'a>(view: &'a View<'_>) -> impl Iterator<Item = usize> + 'a {
    (0..view.question.tests.len())
        .filter(|at| !view.taken[*at])
        .filter(|at| view.doors.open(view.open, view.question.tests[*at].behind).is_some())
}

/// The place that is likely enough, if there is one.
fn sure(view: &View<'_>) -> Option<Place> {
    view.belief.places.first().filter(|place| place.1 >= SURE).map(|place| place.0)
}

/// The likeliest place; nothing left: strip.
fn likeliest(view: &View<'_>) -> Choice {
    view.belief.places.first().map_or(Choice::Strip, |place| Choice::Repair(place.0))
}

/// Information of a reading about the place of the next repair, bit: `H(place) - sum_k P(k) H(place | k)`.
pub(crate) fn bits(view: &View<'_>, test: usize) -> f64 {
    let Question { problem, weights, .. } = view.question;
    let mut places: Vec<Option<Place>> = Vec::new();
    let of: Vec<usize> = view
        .belief
        .hypotheses
        .iter()
        .map(|h| {
            places.iter().position(|place| *place == h.place).unwrap_or_else(|| {
                places.push(h.place);
                places.len() - 1
            })
        })
        .collect();
    information_bit(&problem.checks[test].outcomes, weights, &of)
}

/// Information of outcomes about groups, bit. `of[h]` is the group of hypothesis `h`.
pub fn information_bit(outcomes: &[Vec<f64>], weights: &[f64], of: &[usize]) -> f64 {
    let groups = of.iter().max().map_or(0, |most| most + 1);
    let entropy = |weights: &[f64]| {
        let mut by_group = vec![0.0; groups];
        let total: f64 = weights.iter().sum();
        weights.iter().zip(of).for_each(|(weight, group)| by_group[*group] += weight / total);
        diagnose::entropy_bit(&by_group)
    };
    let cells = outcomes.first().map_or(0, Vec::len);
    let after: f64 = (0..cells)
        .map(|cell| {
            let joint: Vec<f64> =
                weights.iter().zip(outcomes).map(|(w, row)| w * row[cell]).collect();
            let share: f64 = joint.iter().sum();
            if share > 0.0 { share * entropy(&joint) } else { 0.0 }
        })
        .sum();
    if cells == 0 { 0.0 } else { entropy(weights) - after }
}
