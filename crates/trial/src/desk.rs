//! What is believed after everything seen, and the question that follows from it: which checks can be
//! made, what each would show, which repairs there are. Beliefs, checks and repairs are the program's
//! own, the same for every policy; only the choosing differs.

use std::collections::VecDeque;
use std::rc::Rc;

use catalog::Method;
use diagnose::{
    Advice, Asked, Benches, Check, Observations, Offered, Problem, Ranking, Repair, Sized, Target,
    What, advise, look, offered, rank,
};
use model::{Place, ReadingPoints, Shows, StateId, TerminalId, Vehicle};

use crate::cases::{Complaint, across};
use crate::doors::{Doors, Open};
use crate::ground::Ground;
use crate::technician::STRAY_SHARE;

/// Hypotheses kept, the likeliest; less likely ones than this decide nothing.
const KEPT: usize = 24;
const LEAST_WEIGHT: f64 = 1e-3;
/// Beliefs that are remembered.
const REMEMBERED: usize = 64;
/// Predictions further apart than so many standard deviations are told apart by one reading.
const TOLD_APART: f64 = 3.0;

/// One way in which everything can be explained.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// Suspects with their sizes; empty: not in the record.
    pub faults: Vec<Sized>,
    /// Its probability.
    pub weight: f64,
    /// Where the next repair is made if it is true.
    pub place: Option<Place>,
}

/// What is believed.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// What it rests on.
    pub seen: Observations,
    /// The program's ranking, without what was mended.
    pub ranking: Rc<Ranking>,
    /// Hypotheses, likeliest first; their weights sum to one.
    pub hypotheses: Vec<Hypothesis>,
    /// Probability that a place is the cause or part of it, likeliest first.
    pub places: Vec<(Place, f64)>,
}

/// A check that can be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// The check.
    pub check: Offered,
    /// What has to be open.
    pub behind: Target,
    /// Its place on the usual walks from the battery outward: which complaint, how far along.
    pub walk: Option<(usize, usize)>,
}

/// What can be done next.
pub struct Question {
    /// Checks, in the order of the checks of the problem.
    pub tests: Vec<Test>,
    /// Places of repairs, in the order of the repairs of the problem; the last repair of the problem
    /// is to strip everything.
    pub repairs: Vec<Place>,
    /// The same as numbers; its suspects are the hypotheses.
    pub problem: Problem,
    /// Weights of the hypotheses.
    pub weights: Vec<f64>,
}

/// The desk of a vehicle.
pub struct Desk<'v> {
    ground: &'v Ground,
    benches: Benches<'v>,
    /// Beliefs worked out last, for policies that come to the same point.
    known: VecDeque<Belief>,
}

impl<'v> Desk<'v> {
    /// An empty desk.
    pub fn new(ground: &'v Ground) -> Desk<'v> {
        let benches = Benches::new(&ground.vehicle, &ground.catalog, &ground.suspects);
        Desk { ground, benches, known: VecDeque::new() }
    }

    /// What is believed after everything noted in `seen`, and repairs that did not cure.
    pub fn believe(&mut self, seen: &Vehicle, mended: &[Place]) -> Belief {
        let mut observations = diagnose::observations(seen, &self.ground.catalog);
        observations.no_cure.extend(mended);
        if let Some(belief) = self.known.iter().find(|belief| belief.seen == observations) {
            return belief.clone();
        }
        let belief = self.weigh(observations);
        self.known.push_front(belief.clone());
        self.known.truncate(REMEMBERED);
        belief
    }

    fn weigh(&mut self, observations: Observations) -> Belief {
        let ranking = rank(&mut self.benches, &observations, &self.ground.catalog);
        let place = |at: usize| self.ground.suspects[at].place;
        let part = &ranking.part;
        let mut hypotheses: Vec<Hypothesis> = ranking
            .explanations
            .iter()
            .map(|e| {
                let likeliest = |a: &&Sized, b: &&Sized| part[a.0].total_cmp(&part[b.0]);
                let first = e.faults.iter().max_by(likeliest).map(|(at, _)| place(*at));
                Hypothesis { faults: e.faults.clone(), weight: e.weight, place: first }
            })
            .collect();
        let mut places: Vec<(Place, f64)> = Vec::new();
        for hypothesis in &hypotheses {
            for (at, _) in &hypothesis.faults {
                match places.iter_mut().find(|known| known.0 == place(*at)) {
                    Some(known) => known.1 += hypothesis.weight,
                    None => places.push((place(*at), hypothesis.weight)),
                }
            }
        }
        places.sort_by(|a, b| b.1.total_cmp(&a.1));
        hypotheses.truncate(KEPT);
        hypotheses.retain(|hypothesis| hypothesis.weight > LEAST_WEIGHT);
        let total: f64 = hypotheses.iter().map(|h| h.weight).sum();
        hypotheses.iter_mut().for_each(|h| h.weight /= total.max(f64::MIN_POSITIVE));
        Belief { seen: observations, ranking: Rc::new(ranking), hypotheses, places }
    }

    /// The program's own advice.
    pub fn advice(
        &mut self,
        belief: &Belief,
        doors: &Doors<'_>,
        open: &Open,
        now: StateId,
        done: &[(What, Option<StateId>)],
    ) -> Advice {
        let asked = Asked {
            catalog: &self.ground.catalog,
            seen: &belief.seen,
            ranking: &belief.ranking,
            furniture: &doors.furniture(open),
            costing: doors.costing(),
            now: Some(now),
            done,
        };
        advise(&mut self.benches, &asked)
    }

    /// The question that follows, for the policies that are held against it.
    pub fn question(
        &mut self,
        belief: &Belief,
        complaints: &[Complaint],
        now: StateId,
        doors: &Doors<'_>,
    ) -> Question {
        let tests = self.tests(belief, complaints, now, doors);
        let checks = tests.iter().map(|test| self.check(belief, test)).collect();
        let mut repairs: Vec<Place> = Vec::new();
        for place in belief.hypotheses.iter().filter_map(|h| h.place) {
            if !repairs.contains(&place) {
                repairs.push(place);
            }
        }
        let mut as_numbers: Vec<Repair> =
            repairs.iter().map(|place| self.repair(belief, *place, doors)).collect();
        as_numbers.push(Repair {
            minutes: self.ground.catalog.checking.search_everything_min,
            behind: None,
            cures: vec![1.0; belief.hypotheses.len()],
        });
        let problem = Problem { suspects: belief.hypotheses.len(), checks, repairs: as_numbers };
        let weights = belief.hypotheses.iter().map(|h| h.weight).collect();
        Question { tests, repairs, problem, weights }
    }

    /// Estimated minutes of a repair, opening apart: of the likeliest suspect of the place.
    pub fn repair_minutes(&self, belief: &Belief, place: Place) -> f64 {
        let suspects = &self.ground.suspects;
        let of = |h: &Hypothesis| {
            let here = h.faults.iter().map(|(at, _)| &suspects[*at]).find(|s| s.place == place);
            here.map(|suspect| suspect.minutes)
        };
        let any = suspects.iter().find(|suspect| suspect.place == place).map(|s| s.minutes);
        belief.hypotheses.iter().find_map(of).or(any).unwrap_or(0.0)
    }

    fn repair(&self, belief: &Belief, place: Place, doors: &Doors<'_>) -> Repair {
        let cures = |h: &Hypothesis| if h.place == Some(place) { 1.0 } else { 0.0 };
        Repair {
            minutes: self.repair_minutes(belief, place),
            behind: Some(doors.target(&doors.reach_of(place))),
            cures: belief.hypotheses.iter().map(cures).collect(),
        }
    }

    /// The checks that the program offers: readings in the states complained of, volts against the
    /// one black point, a watch on equipment, a look at joints that are suspected.
    fn tests(
        &self,
        belief: &Belief,
        complaints: &[Complaint],
        now: StateId,
        doors: &Doors<'_>,
    ) -> Vec<Test> {
        let ground = self.ground;
        let walks: Vec<(StateId, Vec<TerminalId>)> =
            complaints.iter().map(|c| (c.state, ground.walk(c.device))).collect();
        let complained = |state| complaints.iter().any(|complaint| complaint.state == state);
        let is_kept = |offer: &Offered| match offer.what {
            What::Watch(_) | What::Look(_) => true,
            What::Read(points) => {
                offer.state.is_some_and(complained)
                    && (offer.method != Method::Volts || self.is_usual(points))
            }
        };
        let all = offered(&ground.vehicle, &ground.catalog, &belief.seen, Some(now));
        let joints = belief.places.iter().take(KEPT).filter_map(|(place, _)| match place {
            Place::Joint(joint) => look(&ground.vehicle, &ground.catalog, *joint),
            _ => None,
        });
        all.into_iter()
            .filter(is_kept)
            .chain(joints)
            .map(|check| {
                let red = match check.what {
                    What::Read(ReadingPoints::Between(red, black))
                        if check.method == Method::Volts && black == ground.black =>
                    {
                        Some(red)
                    }
                    _ => None,
                };
                let walk = red.and_then(|red| {
                    walks.iter().enumerate().find_map(|(which, (state, walk))| {
                        let at = walk.iter().position(|at| *at == red)?;
                        (check.state == Some(*state)).then_some((which, at))
                    })
                });
                Test { behind: doors.target(&check.reach), walk, check }
            })
            .collect()
    }

    /// Against the black point, or across equipment.
    fn is_usual(&self, points: ReadingPoints) -> bool {
        let ReadingPoints::Between(red, black) = points else { return true };
        let device = self.ground.vehicle.terminals[red].device;
        black == self.ground.black || across(self.ground, device) == Some(points)
    }

    /// What a check would show under each hypothesis, as outcomes that one check tells apart.
    fn check(&mut self, belief: &Belief, test: &Test) -> Check {
        let outcomes = match test.check.what {
            What::Read(points) => self.reading(belief, test, points),
            What::Watch(device) => self.words(belief, test, device),
            What::Look(joint) => self.looks(belief, Place::Joint(joint)),
        };
        Check { minutes: test.check.minutes, behind: Some(test.behind), outcomes }
    }

    fn reading(&mut self, belief: &Belief, test: &Test, points: ReadingPoints) -> Vec<Vec<f64>> {
        let Some(state) = test.check.state else { return vec![vec![1.0]; belief.hypotheses.len()] };
        self.benches.add(state);
        let predicted: Vec<Option<(f64, f64)>> = belief
            .hypotheses
            .iter()
            .map(|h| self.predicted(h, state, points, test.check.method))
            .collect();
        let mut sorted: Vec<(f64, f64)> = predicted.iter().flatten().copied().collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A cell ends where the next prediction is out of reach of the reading.
        let mut ends: Vec<f64> = Vec::new();
        for pair in sorted.windows(2) {
            if pair[1].0 - pair[0].0 > TOLD_APART * pair[0].1.hypot(pair[1].1) {
                ends.push(0.5 * (pair[0].0 + pair[1].0));
            }
        }
        let cells = ends.len() + 1;
        let of = |at: &Option<(f64, f64)>| match at {
            Some((value, _)) => {
                row(ends.iter().filter(|end| value > *end).count(), cells, STRAY_SHARE)
            }
            None => vec![1.0 / cells as f64; cells],
        };
        predicted.iter().map(of).collect()
    }

    fn words(&mut self, belief: &Belief, test: &Test, device: model::DeviceId) -> Vec<Vec<f64>> {
        let Some(state) = test.check.state else { return vec![vec![1.0]; belief.hypotheses.len()] };
        self.benches.add(state);
        let shows: Vec<Option<Shows>> = belief
            .hypotheses
            .iter()
            .map(|h| {
                let answered = self.benches.answer(state, &h.faults)?;
                if h.faults.is_empty() {
                    None
                } else {
                    self.benches.shows(state, device, &answered)
                }
            })
            .collect();
        let mut kinds: Vec<Shows> = shows.iter().flatten().copied().collect();
        kinds.sort_unstable();
        kinds.dedup();
        let cells = kinds.len().max(1);
        let error = self.ground.catalog.faults.technician_error;
        let of =
            |shows: &Option<Shows>| match shows.and_then(|s| kinds.iter().position(|k| *k == s)) {
                Some(mine) => row(mine, cells, error),
                None => vec![1.0 / cells as f64; cells],
            };
        shows.iter().map(of).collect()
    }

    fn looks(&self, belief: &Belief, place: Place) -> Vec<Vec<f64>> {
        let odds = &self.ground.catalog.checking.look;
        let is_here = |(at, _): &Sized| self.ground.suspects[*at].place == place;
        let of = |h: &Hypothesis| {
            let bad = if h.faults.iter().any(is_here) { odds.finds } else { odds.false_alarm };
            vec![bad, 1.0 - bad]
        };
        belief.hypotheses.iter().map(of).collect()
    }

    /// Expected value with its standard deviation, sums and instrument together.
    fn predicted(
        &mut self,
        hypothesis: &Hypothesis,
        state: StateId,
        points: ReadingPoints,
        method: Method,
    ) -> Option<(f64, f64)> {
        if hypothesis.faults.is_empty() {
            return None;
        }
        let answered = self.benches.answer(state, &hypothesis.faults)?;
        let value = *self.benches.values(state, points, &answered).first()?;
        let prediction = self.benches.prediction(state, points, value);
        let fine = self.ground.catalog.instruments.get("multimeter millivolts")?;
        let class = match points {
            ReadingPoints::In(_) => "clamp",
            ReadingPoints::On(_) => "display",
            _ if method == Method::Drop && fine.most.is_some_and(|m| value.abs() <= m) => {
                "multimeter millivolts"
            }
            _ => "multimeter volts",
        };
        let instrument = self.ground.catalog.instruments.get(class)?;
        let meter = (instrument.gain * value.abs() + instrument.zero) / 3.0_f64.sqrt();
        let shared = prediction.per_parameter.iter().map(|s| s * s).sum::<f64>().sqrt();
        Some((value, meter.hypot(shared).hypot(prediction.own_spread)))
    }
}

/// One outcome for certain but for a share that is spread over all.
fn row(mine: usize, cells: usize, spread: f64) -> Vec<f64> {
    let of = |cell: usize| spread / cells as f64 + if cell == mine { 1.0 - spread } else { 0.0 };
    (0..cells).map(of).collect()
}
