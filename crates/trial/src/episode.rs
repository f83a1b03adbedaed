//! A case from the complaint to the proven repair, under one policy. The clock runs on true minutes.

use diagnose::{Offered, What};
use model::{
    Condition, DeviceId, Fact, Origin, Place, Reading as Noted, ReadingPoints, Shows, StateId,
    Symptom, Vehicle,
};
use serde::{Deserialize, Serialize};
use testkit::Dice;
use units::Dimension;

use crate::cases::{Case, across};
use crate::desk::{Belief, Desk, Question};
use crate::doors::{Doors, Open};
use crate::ground::Ground;
use crate::policy::{Deed, Policy, Standing};
use crate::technician::{Shown, Technician};
use crate::world::{TrueFault, World, key};

/// Deeds after which the vehicle is stripped.
const MOST_DEEDS: usize = 60;
/// Minutes of a look at one place (estimate).
const LOOK_MIN: f64 = 1.5;
/// Probability that a look at the right place shows what is wrong there: something apart or on the
/// wrong stud, something chafed, a poor contact (own choice). Nothing inside equipment shows.
const LOOK_SHOWS_OPEN: f64 = 0.9;
const LOOK_SHOWS_CHAFED: f64 = 0.8;
const LOOK_SHOWS_POOR: f64 = 0.6;
/// Places that a look everywhere takes in: the likeliest, up to this probability together.
const LOOKED_AT: f64 = 0.98;

/// What came of a case.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// Minutes from the complaint to the proven repair.
    pub minutes: f64,
    /// Of these, opening and closing.
    pub opening: f64,
    /// Expected breakage, in minutes at the workshop's rate.
    pub breakage: f64,
    /// Readings taken.
    pub readings: usize,
    /// Repairs that mended nothing.
    pub wrong: usize,
    /// Repairs made.
    pub repairs: usize,
    /// The vehicle was stripped.
    pub stripped: bool,
    /// Where the first place repaired that was truly faulty, or the best of the true ones, stood in
    /// the ranking at the first repair: 1 is first. 0: not in it.
    pub rank_at_stop: usize,
    /// Statements about the likeliest place before each deed: probability, and whether it was so.
    pub statements: Vec<(f64, bool)>,
    /// Milliseconds of each step: belief, question and choice.
    pub step_ms: Vec<f64>,
}

/// What measures the time of a step and hears how the work goes; the trial itself reads no clock and
/// prints nothing.
pub trait Watch {
    /// Milliseconds since some moment.
    fn now_ms(&self) -> f64;

    /// Told of every deed, in words, before it is done.
    fn hears(&self, words: &dyn Fn() -> String);
}

/// Works on a case until it is cured.
pub fn work(
    ground: &Ground,
    desk: &mut Desk<'_>,
    doors: &Doors<'_>,
    case: &Case,
    policy: &dyn Policy,
    watch: &dyn Watch,
) -> Outcome {
    let mut job = Job::begin(ground, doors, case);
    for _ in 0..MOST_DEEDS {
        let began = watch.now_ms();
        let belief = desk.believe(&job.seen, &job.mended);
        let deed = policy.next(desk, &job.standing(&belief));
        job.outcome.step_ms.push(watch.now_ms() - began);
        watch.hears(&|| job.tells(policy, &belief, &deed));
        job.state(&belief);
        let is_cured = match deed {
            Deed::Check(check) => {
                job.check(&check);
                false
            }
            Deed::Repair(places) => {
                let minutes = |place: &Place| desk.repair_minutes(&belief, *place);
                let minutes = places.iter().map(minutes).sum();
                job.repair(&places, minutes, &belief)
            }
            Deed::LookEverywhere => job.look_everywhere(&belief),
            Deed::Strip => break,
        };
        if is_cured {
            return job.outcome;
        }
    }
    job.strip()
}

/// What whoever was told the cause would take: opening, repair, proof. No way of searching takes less.
pub fn told(ground: &Ground, doors: &Doors<'_>, case: &Case) -> Outcome {
    let mut job = Job::begin(ground, doors, case);
    for fault in &case.faults {
        job.pay_opening(doors.target(&doors.reach_of(fault.place)));
        job.world.mend(fault.place);
        let words = format!("repair {:?}", [fault.place]);
        let minutes = ground.suspects[fault.suspect].minutes;
        job.outcome.minutes += job.technician.minutes(minutes, &words);
        job.outcome.repairs += 1;
        if job.is_cured() {
            break;
        }
    }
    job.outcome
}

/// What is believed, and the question, right after the complaint.
pub fn first_question(
    ground: &Ground,
    desk: &mut Desk<'_>,
    doors: &Doors<'_>,
    case: &Case,
) -> (Belief, Question) {
    let job = Job::begin(ground, doors, case);
    let belief = desk.believe(&job.seen, &[]);
    let question = desk.question(&belief, &case.complaints, job.now, doors);
    (belief, question)
}

struct Job<'a> {
    ground: &'a Ground,
    doors: &'a Doors<'a>,
    case: &'a Case,
    technician: Technician<'a>,
    world: World<'a>,
    /// The record with everything noted so far.
    seen: Vehicle,
    open: Open,
    mended: Vec<Place>,
    /// The state the vehicle stands in.
    now: StateId,
    /// Checks made since something last changed, repeats included.
    done: Vec<(What, Option<StateId>)>,
    /// Checks made in the whole case, repeats included: each has its own luck.
    made: Vec<(What, Option<StateId>)>,
    looked: bool,
    outcome: Outcome,
}

impl<'a> Job<'a> {
    fn begin(ground: &'a Ground, doors: &'a Doors<'a>, case: &'a Case) -> Job<'a> {
        let world = World::new(&ground.vehicle, &ground.catalog, case.faults.clone(), case.seed);
        let mut job = Job {
            ground,
            doors,
            case,
            technician: Technician::new(&ground.catalog, case.seed),
            world,
            seen: ground.vehicle.clone(),
            open: Open::default(),
            mended: Vec::new(),
            now: case.complaints[0].state,
            done: Vec::new(),
            made: Vec::new(),
            looked: false,
            outcome: Outcome::default(),
        };
        job.intake();
        job
    }

    /// The owner's words, the technician's own look, and what was read at the counter.
    fn intake(&mut self) {
        for complaint in self.case.complaints.clone() {
            let by = Origin::Told { by: None, on: None };
            let told = Fact::known(complaint.word, by);
            self.note_word(complaint.state, complaint.device, told);
            self.look_at(complaint.state, complaint.device);
        }
        for (state, points) in self.case.at_counter.clone() {
            self.read(state, points);
        }
    }

    /// Counts a check as made; how often it was made before, in the whole case.
    fn made_before(&mut self, what: What, state: Option<StateId>) -> usize {
        let key = (what, state);
        let again = self.made.iter().filter(|made| **made == key).count();
        self.made.push(key);
        self.done.push(key);
        again
    }

    fn look_at(&mut self, state: StateId, device: DeviceId) {
        let again = self.made_before(What::Watch(device), Some(state));
        if let Some(word) =
            self.technician.calls(&self.world, state, device, (self.mended.len(), again))
        {
            self.note_word(state, device, Fact::known(word, Origin::seen()));
        }
    }

    fn note_word(&mut self, state: StateId, device: DeviceId, shows: Fact<Shows>) {
        self.seen.symptoms.push(Symptom {
            name: format!("n{}", self.seen.symptoms.len() + 1),
            words: "noticed in the trial".to_owned(),
            device: Some(device),
            state: Some(state),
            shows,
            after_s: None,
        });
    }

    fn standing<'s>(&'s self, belief: &'s Belief) -> Standing<'s> {
        Standing {
            belief,
            complaints: &self.case.complaints,
            doors: self.doors,
            open: &self.open,
            now: self.now,
            done: &self.done,
            mended: &self.mended,
            looked: self.looked,
        }
    }

    /// A deed in words, for whoever wants to follow a case.
    fn tells(&self, policy: &dyn Policy, belief: &Belief, deed: &Deed) -> String {
        let vehicle = &self.ground.vehicle;
        let doing = match deed {
            Deed::Check(check) => {
                let state = check.state.map_or("any", |state| vehicle.states[state].name.as_str());
                format!("{:?} in {state}", check.what)
            }
            Deed::Repair(places) => {
                let names: Vec<String> = places.iter().map(|p| vehicle.place_name(*p)).collect();
                format!("repair {}", names.join(" and "))
            }
            Deed::LookEverywhere => "look everywhere".to_owned(),
            Deed::Strip => "strip".to_owned(),
        };
        let likely = belief.places.iter().take(3);
        let likely: Vec<String> =
            likely.map(|(place, p)| format!("{} {p:.2}", vehicle.place_name(*place))).collect();
        let weight = |fault: &TrueFault| {
            let of = belief.places.iter().find(|known| known.0 == fault.place);
            format!("{:.3}", of.map_or(0.0, |known| known.1))
        };
        let truth: Vec<String> = self.world.faults().iter().map(weight).collect();
        let truth = truth.join(", ");
        let outside = belief.ranking.not_in_record;
        let minutes = self.outcome.minutes;
        let ms = self.outcome.step_ms.last().copied().unwrap_or(0.0);
        let likely = likely.join(", ");
        let name = policy.name();
        let read = self.seen.readings.last().map_or(String::new(), |r| format!("{:.3}", r.value));
        format!(
            "{name:>16} {minutes:6.0} min {ms:6.0} ms [{likely}; outside {outside:.2}; truth {truth}] {doing} after {read}"
        )
    }

    /// Takes and notes a reading.
    fn read(&mut self, state: StateId, points: ReadingPoints) {
        let again = self.made_before(What::Read(points), Some(state));
        let Some(shown) = self.technician.reads(&self.world, state, points, again) else { return };
        let is_current = matches!(points, ReadingPoints::In(_) | ReadingPoints::On(_));
        self.seen.readings.push(Noted {
            name: format!("t{}", self.made.len()),
            state,
            points,
            value: shown.value,
            dimension: if is_current { Dimension::Current } else { Dimension::Voltage },
            spread: None,
            note: shown.meter.class.to_owned(),
        });
    }

    /// Opens what is in front of a check and makes it.
    fn check(&mut self, check: &Offered) {
        self.pay_opening(self.doors.target(&check.reach));
        let words = format!("check {:?}", check.what);
        self.outcome.minutes += self.technician.minutes(check.minutes, &words);
        self.outcome.readings += 1;
        self.now = check.state.unwrap_or(self.now);
        match (check.what, check.state) {
            (What::Read(points), Some(state)) => self.read(state, points),
            (What::Watch(device), Some(state)) => self.look_at(state, device),
            (What::Look(joint), _) => {
                self.made_before(check.what, check.state);
                let is_bad = self.technician.finds_bad(&self.world, joint);
                let condition = if is_bad { Condition::Loose } else { Condition::Good };
                self.seen.joints[joint].condition = Fact::known(condition, Origin::seen());
            }
            _ => {}
        }
    }

    fn pay_opening(&mut self, target: diagnose::Target) {
        if let Some(opened) = self.doors.opening(&self.open, target) {
            let minutes = self.doors.true_minutes(&opened, &self.technician);
            self.outcome.minutes += minutes;
            self.outcome.opening += minutes;
            self.outcome.breakage += opened.breakage;
            self.open = opened.open;
        }
    }

    /// Opens places, puts right what is wrong there, proves it. `true`: the complaint is gone.
    fn repair(&mut self, places: &[Place], estimate: f64, belief: &Belief) -> bool {
        if self.outcome.repairs == 0 {
            self.outcome.rank_at_stop = rank(belief, self.world.faults());
        }
        let before = (self.complained_of(), self.proof_readings());
        let mut mended = Vec::new();
        for place in places {
            self.pay_opening(self.doors.target(&self.doors.reach_of(*place)));
            mended.extend(self.world.mend(*place));
        }
        let truly: f64 =
            mended.iter().map(|fault| self.ground.suspects[fault.suspect].minutes).sum();
        let estimate = if mended.is_empty() { estimate } else { truly.max(estimate) };
        let words = format!("repair {places:?}");
        self.outcome.minutes += self.technician.minutes(estimate, &words);
        self.outcome.repairs += 1;
        self.outcome.wrong += usize::from(mended.is_empty());
        self.mended.extend(places);
        if self.is_cured() {
            return true;
        }
        let after = self.proof_readings();
        if before.0 != self.complained_of() || self.differ(&before.1, &after) {
            self.begin_anew();
        }
        false
    }

    /// Whether everything complained of works again.
    fn is_cured(&self) -> bool {
        self.complained_of().into_iter().flatten().all(|shows| shows == Shows::Works)
    }

    /// What everything complained of does. The proof repeats the complaint, as often as it takes to be
    /// sure; its minutes are part of the repair.
    fn complained_of(&self) -> Vec<Option<Shows>> {
        self.case.complaints.iter().map(|c| self.world.shows(c.state, c.device)).collect()
    }

    /// What the proof of a repair reads at the equipment complained of.
    fn proof_readings(&self) -> Vec<Option<Shown>> {
        let again = 1000 + self.outcome.repairs;
        let read = |c: &crate::cases::Complaint| {
            let points = across(self.ground, c.device)?;
            self.technician.reads(&self.world, c.state, points, again)
        };
        self.case.complaints.iter().map(read).collect()
    }

    /// Whether the proof shows that the repair changed something.
    fn differ(&self, before: &[Option<Shown>], after: &[Option<Shown>]) -> bool {
        before.iter().zip(after).any(|pair| match pair {
            (Some(before), Some(after)) => {
                let class = self.ground.catalog.instruments.get(after.meter.class);
                let (gain, zero) = class.map_or((0.0, 0.0), |class| (class.gain, class.zero));
                let unsure = 2.0 * (gain * before.value.abs() + zero + after.meter.step);
                (after.value - before.value).abs() > unsure
            }
            _ => false,
        })
    }

    /// Something changed and the complaint stays: what was read before is about another vehicle. What
    /// the proof showed is noted.
    fn begin_anew(&mut self) {
        self.seen.readings.clear();
        self.seen.symptoms.clear();
        self.done.clear();
        for (complaint, shows) in self.case.complaints.iter().zip(self.complained_of()) {
            if let Some(shows) = shows {
                self.note_word(
                    complaint.state,
                    complaint.device,
                    Fact::known(shows, Origin::seen()),
                );
            }
        }
    }

    /// Opens every place that may be the cause, looks at each, and repairs what a look shows.
    fn look_everywhere(&mut self, belief: &Belief) -> bool {
        self.looked = true;
        let mut together = 0.0;
        let mut places = Vec::new();
        for (place, weight) in &belief.places {
            if together < LOOKED_AT {
                places.push(*place);
            }
            together += weight;
        }
        for place in &places {
            self.pay_opening(self.doors.target(&self.doors.reach_of(*place)));
        }
        for place in places {
            let words = format!("look {place:?}");
            self.outcome.minutes += self.technician.minutes(LOOK_MIN, &words);
            let shows =
                self.world.faults().iter().find(|fault| fault.place == place).map(shows_itself);
            let mut dice = Dice::for_purpose(self.case.seed, key(&words));
            if shows.is_some_and(|probability| dice.chance(probability))
                && self.repair(&[place], 0.0, belief)
            {
                return true;
            }
        }
        false
    }

    /// Everything that may hide a suspect out, everything searched: the cause is found for certain.
    fn strip(mut self) -> Outcome {
        self.outcome.stripped = true;
        let mut places: Vec<Place> = Vec::new();
        for suspect in &self.ground.suspects {
            if !places.contains(&suspect.place) {
                places.push(suspect.place);
            }
        }
        for place in places {
            self.pay_opening(self.doors.target(&self.doors.reach_of(place)));
        }
        let search = self.ground.catalog.checking.search_everything_min;
        self.outcome.minutes += self.technician.minutes(search, "strip");
        let faults: Vec<TrueFault> = self.world.faults().to_vec();
        let repairs: f64 =
            faults.iter().map(|fault| self.ground.suspects[fault.suspect].minutes).sum();
        self.outcome.minutes += self.technician.minutes(repairs, "strip repairs");
        self.outcome
    }

    /// The statement that the likeliest place is the cause, held against the truth.
    fn state(&mut self, belief: &Belief) {
        if let Some((place, weight)) = belief.places.first() {
            let is_so = self.world.faults().iter().any(|fault| fault.place == *place);
            self.outcome.statements.push((weight.min(1.0), is_so));
        }
    }
}

/// Where the best of the truly faulty places stands in the ranking, from 1; 0: nowhere.
fn rank(belief: &Belief, faults: &[TrueFault]) -> usize {
    let is_true = |place: &Place| faults.iter().any(|fault| fault.place == *place);
    belief.places.iter().position(|(place, _)| is_true(place)).map_or(0, |at| at + 1)
}

/// The probability that a look at the place shows the fault.
fn shows_itself(fault: &TrueFault) -> f64 {
    use diagnose::{Fault, Thing};
    match &fault.fault {
        Fault::Open(Thing::Joint(_) | Thing::Wire(_) | Thing::Inner(_))
        | Fault::LandsOn { .. }
        | Fault::Reversed(_) => LOOK_SHOWS_OPEN,
        // A blown fuse shows when it is pulled.
        Fault::Open(Thing::Contact(..)) => LOOK_SHOWS_OPEN,
        Fault::ToBody(_) => LOOK_SHOWS_CHAFED,
        Fault::Series(_) => LOOK_SHOWS_POOR,
        Fault::Open(Thing::Port(_)) | Fault::Factor { .. } | Fault::AsBuilt => 0.0,
    }
}
