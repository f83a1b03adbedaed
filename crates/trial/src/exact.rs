//! Small questions taken from cases: what each policy is expected to take, against the proven best
//! plan. Minutes are estimates here, so that both sides count the same.

use diagnose::{Access, Problem, exact_minutes};
use model::Place;

use crate::desk::{Belief, Hypothesis, Question};
use crate::doors::{Doors, Open};
use crate::policy::{Choice, Chooser, View, bits};

/// A question is cut down to so many hypotheses and readings.
const HYPOTHESES: usize = 5;
const TESTS: usize = 6;
/// Beliefs the exact plan may look at.
const NODES: usize = 30_000;
/// Weights below this are none.
const NOTHING: f64 = 1e-9;
/// Deeds after which a policy is taken to strip.
const DEEPEST: usize = 24;

/// A small question.
pub struct Small {
    belief: Belief,
    question: Question,
}

impl Small {
    /// Cuts a question down to the likeliest hypotheses and the readings that tell most about them.
    /// `None` if fewer than two hypotheses are left.
    pub fn of(belief: &Belief, question: &Question, doors: &Doors<'_>) -> Option<Small> {
        let few: Vec<usize> = (0..belief.hypotheses.len())
            .filter(|h| belief.hypotheses[*h].place.is_some())
            .take(HYPOTHESES)
            .collect();
        if few.len() < 2 {
            return None;
        }
        let open = Open::default();
        let taken = vec![false; question.tests.len()];
        let view = View { belief, question, doors, open: &open, taken: &taken };
        let mut tests: Vec<(f64, usize)> =
            (0..question.tests.len()).map(|test| (bits(&view, test), test)).collect();
        tests.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        tests.truncate(TESTS);
        let mut problem = question.problem.clone();
        problem.suspects = few.len();
        problem.checks = tests
            .iter()
            .map(|(_, test)| {
                let mut check = question.problem.checks[*test].clone();
                check.outcomes = few.iter().map(|h| check.outcomes[*h].clone()).collect();
                check
            })
            .collect();
        for repair in &mut problem.repairs {
            repair.cures = few.iter().map(|h| repair.cures[*h]).collect();
        }
        let hypotheses: Vec<Hypothesis> =
            few.iter().map(|h| belief.hypotheses[*h].clone()).collect();
        let belief = weighed(belief, hypotheses);
        let question = Question {
            tests: tests.iter().map(|(_, test)| question.tests[*test].clone()).collect(),
            repairs: question.repairs.clone(),
            problem,
            weights: belief.hypotheses.iter().map(|h| h.weight).collect(),
        };
        Some(Small { belief, question })
    }

    /// Expected minutes of the best plan; `None` if it is too large to be proven.
    pub fn best(&self, doors: &Doors<'_>) -> Option<f64> {
        let Question { problem, weights, .. } = &self.question;
        exact_minutes(problem, doors, weights, Open::default(), NODES)
    }

    /// Expected minutes of a policy that only looks through instruments.
    pub fn expected(&self, doors: &Doors<'_>, policy: &dyn Chooser) -> f64 {
        let weights = self.question.weights.clone();
        let at = Stand {
            weights,
            open: Open::default(),
            taken: vec![false; self.question.tests.len()],
            mended: Vec::new(),
        };
        self.follow(doors, policy, &at, DEEPEST)
    }

    fn follow(&self, doors: &Doors<'_>, policy: &dyn Chooser, at: &Stand, deepest: usize) -> f64 {
        let mut hypotheses = self.belief.hypotheses.clone();
        hypotheses.iter_mut().zip(&at.weights).for_each(|(h, weight)| h.weight = *weight);
        let mut belief = weighed(&self.belief, hypotheses);
        belief.places.retain(|(place, weight)| *weight > NOTHING && !at.mended.contains(place));
        let question = Question {
            tests: self.question.tests.clone(),
            repairs: self.question.repairs.clone(),
            problem: self.question.problem.clone(),
            weights: belief.hypotheses.iter().map(|h| h.weight).collect(),
        };
        let view =
            View { belief: &belief, question: &question, doors, open: &at.open, taken: &at.taken };
        let choice = if deepest == 0 { Choice::Strip } else { policy.choose(&view) };
        let next = |at: &Stand| self.follow(doors, policy, at, deepest - 1);
        match choice {
            Choice::Check(test) => self.measured(doors, at, test, next),
            Choice::Repair(place) => self.repaired(doors, at, place, next),
            Choice::Strip => strip(&self.question.problem),
        }
    }

    fn measured(
        &self,
        doors: &Doors<'_>,
        at: &Stand,
        test: usize,
        next: impl Fn(&Stand) -> f64,
    ) -> f64 {
        let check = &self.question.problem.checks[test];
        let mut then = at.clone();
        let mut minutes = check.minutes + then.reach(doors, check.behind);
        then.taken[test] = true;
        for cell in 0..check.outcomes[0].len() {
            let joint: Vec<f64> =
                at.weights.iter().zip(&check.outcomes).map(|(w, row)| w * row[cell]).collect();
            let share: f64 = joint.iter().sum();
            if share > NOTHING {
                then.weights = joint.iter().map(|w| w / share).collect();
                minutes += share * next(&then);
            }
        }
        minutes
    }

    fn repaired(
        &self,
        doors: &Doors<'_>,
        at: &Stand,
        place: Place,
        next: impl Fn(&Stand) -> f64,
    ) -> f64 {
        let Some(which) = self.question.repairs.iter().position(|known| *known == place) else {
            return strip(&self.question.problem);
        };
        let repair = &self.question.problem.repairs[which];
        let mut then = at.clone();
        let minutes = repair.minutes + then.reach(doors, repair.behind);
        let left: Vec<f64> =
            at.weights.iter().zip(&repair.cures).map(|(w, cures)| w * (1.0 - cures)).collect();
        let share: f64 = left.iter().sum();
        if share <= NOTHING {
            return minutes;
        }
        then.weights = left.iter().map(|w| w / share).collect();
        then.mended.push(place);
        minutes + share * next(&then)
    }
}

#[derive(Clone)]
struct Stand {
    weights: Vec<f64>,
    open: Open,
    taken: Vec<bool>,
    mended: Vec<Place>,
}

impl Stand {
    fn reach(&mut self, doors: &Doors<'_>, behind: Option<diagnose::Target>) -> f64 {
        let opened = behind.and_then(|target| Access::open(doors, &self.open, target));
        let Some((minutes, open)) = opened else { return 0.0 };
        self.open = open;
        minutes
    }
}

fn strip(problem: &Problem) -> f64 {
    problem.repairs.last().map_or(0.0, |strip| strip.minutes)
}

/// A belief of these hypotheses alone.
fn weighed(of: &Belief, mut hypotheses: Vec<Hypothesis>) -> Belief {
    let total: f64 = hypotheses.iter().map(|h| h.weight).sum();
    hypotheses.iter_mut().for_each(|h| h.weight /= total);
    let mut places: Vec<(Place, f64)> = Vec::new();
    for hypothesis in &hypotheses {
        let Some(place) = hypothesis.place else { continue };
        match places.iter_mut().find(|known| known.0 == place) {
            Some(known) => known.1 += hypothesis.weight,
            None => places.push((place, hypothesis.weight)),
        }
    }
    places.sort_by(|a, b| b.1.total_cmp(&a.1));
    Belief { hypotheses, places, ..of.clone() }
}
