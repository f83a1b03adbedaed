//! Every state that matters as a circuit on the bench: what suspects, singly or together, would make
//! instruments show and equipment do. A suspect is a variant of the state's circuit. Answers are kept,
//! so that a new reading in a known state costs a look at answers that are there.

use std::collections::HashMap;
use std::rc::Rc;

use catalog::Catalog;
use circuit::{BranchId, Change, Element, Parameter};
use model::{Attribute, DeviceId, Fact, ReadingPoints, Role, Shows, StateId, Vehicle};
use network::{Group, Network, Port};
use solve::variants::{Answer, Variants};
use solve::{Outcome, Reading};

use crate::blow;
use crate::evidence::Prediction;
use crate::fault::Fault;
use crate::spreads::{LEAST_A, Slopes};
use crate::suspects::Suspect;

/// A suspect, by its place in the list, with its size.
pub type Sized = (usize, f64);

/// What one reading would be: one value, or one for each position of what hunts. Points that
/// nothing joins show nothing but a ghost: see `spreads.rs`.
pub type Values = Vec<f64>;

/// Answers to pairs that a state keeps: some 1 kB each. Sizes of pairs are fitted to readings, so that
/// most are asked for once only; when there are as many, all of them go.
const PAIRS_KEPT: usize = 40_000;

/// Below this share of its nominal voltage equipment is called weak; a source below this share of
/// its limit that does not hold its voltage either. Estimates.
const WEAK_SHARE: f64 = 0.88;
/// A load this share of the nominal voltage from being weak, or from working, is on the verge of it
/// (own choice: what the spreads of the sums leave open).
const VERGE_SHARE: f64 = 0.03;
const WEAK_SOURCE_SHARE: f64 = 0.5;
/// A source within this share of the voltage it regulates does what it should.
const HOLDS_SHARE: f64 = 0.985;

/// What a state's circuit does with suspects in it.
pub struct Answered {
    outcome: Option<Outcome<Answer>>,
    /// The circuit was laid out anew for it: its nodes and branches are those of this network.
    anew: Option<Rc<Network>>,
    /// Fuses and breakers that opened.
    opened: Vec<BranchId>,
}

impl Answered {
    fn points(&self) -> &[Answer] {
        match &self.outcome {
            Some(Outcome::Settled(point)) => std::slice::from_ref(point),
            Some(Outcome::Hunts { between, .. }) => between,
            Some(Outcome::Trouble(_)) | None => &[],
        }
    }

    /// Why the circuit has no answer.
    pub fn trouble(&self) -> Option<String> {
        match &self.outcome {
            Some(Outcome::Trouble(t)) => Some(format!("{t:?}")),
            _ => None,
        }
    }

    /// Whether the circuit has an answer at all.
    pub fn is_answered(&self) -> bool {
        !self.points().is_empty()
    }
}

/// How much work an answer is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Effort {
    /// Updates of what is solved already.
    Updates,
    /// A full solve where updates cannot tell.
    Full,
}

impl Effort {
    /// `None`: the effort does not suffice. `Some(None)`: the changes do not fit the circuit.
    fn settle(
        self,
        variants: &mut Variants,
        changes: &[Change],
    ) -> Option<Option<Outcome<Answer>>> {
        match self {
            Effort::Full => Some(variants.settle(changes).ok()),
            Effort::Updates => match variants.settle_by_updates(changes) {
                Ok(outcome) => outcome.map(Some),
                Err(_) => Some(None),
            },
        }
    }
}

/// An answer, and the effort with which it was looked for.
type Found = (Option<Rc<Answered>>, Effort);

/// A circuit laid out anew, because a setting cannot be changed in one that is there.
struct Anew {
    network: Rc<Network>,
    variants: Variants,
}

struct Bench {
    state: StateId,
    network: Rc<Network>,
    variants: Variants,
    anew: HashMap<(usize, u64), Option<Anew>>,
    /// What was found, and with which effort; nothing: the effort did not suffice.
    answers: HashMap<Vec<(usize, u64)>, Found>,
    /// Pairs among the answers.
    pairs: usize,
    /// How readings follow the numbers of the circuit as written; found when first asked for.
    slopes: Option<Slopes>,
    spreads: HashMap<ReadingPoints, (Vec<f64>, f64)>,
}

/// The states on the bench.
pub struct Benches<'v> {
    vehicle: &'v Vehicle,
    catalog: &'v Catalog,
    suspects: &'v [Suspect],
    benches: Vec<Bench>,
}

impl<'v> Benches<'v> {
    /// An empty bench for the suspects of a vehicle.
    pub fn new(vehicle: &'v Vehicle, catalog: &'v Catalog, suspects: &'v [Suspect]) -> Benches<'v> {
        Benches { vehicle, catalog, suspects, benches: Vec::new() }
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &'v Vehicle {
        self.vehicle
    }

    /// The list the suspects' numbers refer to.
    pub fn suspects(&self) -> &'v [Suspect] {
        self.suspects
    }

    /// Puts a state on the bench if it is not there. `false`: its circuit holds a value that no part
    /// has, and nothing can be said of it.
    pub fn add(&mut self, state: StateId) -> bool {
        if self.position(state).is_some() {
            return true;
        }
        let network = network::build(self.vehicle, &self.vehicle.states[state], self.catalog);
        let Ok(variants) = Variants::new(network.circuit.clone()) else { return false };
        self.benches.push(Bench {
            state,
            network: Rc::new(network),
            variants,
            anew: HashMap::new(),
            answers: HashMap::new(),
            pairs: 0,
            slopes: None,
            spreads: HashMap::new(),
        });
        true
    }

    /// How answers were found so far, state by state.
    pub fn counts(&self) -> Vec<(StateId, &solve::variants::Counts)> {
        self.benches.iter().map(|bench| (bench.state, bench.variants.counts())).collect()
    }

    fn position(&self, state: StateId) -> Option<usize> {
        self.benches.iter().position(|bench| bench.state == state)
    }

    /// What the circuit of a state does with these suspects in it; `None` if the state is not on the
    /// bench.
    pub fn answer(&mut self, state: StateId, faults: &[Sized]) -> Option<Rc<Answered>> {
        self.answered(state, faults, Effort::Full)
    }

    /// As [`Benches::answer`], but `None` too where the circuit would have to be solved in full:
    /// for pairs, which are many.
    pub(crate) fn answer_quickly(
        &mut self,
        state: StateId,
        faults: &[Sized],
    ) -> Option<Rc<Answered>> {
        self.answered(state, faults, Effort::Updates)
    }

    fn answered(
        &mut self,
        state: StateId,
        faults: &[Sized],
        effort: Effort,
    ) -> Option<Rc<Answered>> {
        let at = self.position(state)?;
        let key: Vec<(usize, u64)> = faults.iter().map(|(f, size)| (*f, size.to_bits())).collect();
        if let Some((known, took)) = self.benches[at].answers.get(&key)
            && (known.is_some() || *took >= effort)
        {
            // What was found is the same whatever was asked before.
            return known.clone().filter(|_| *took <= effort);
        }
        let answered = self.solve(at, faults, Effort::Updates).map(Rc::new);
        let (answered, took) = match (answered, effort) {
            (None, Effort::Full) => (self.solve(at, faults, Effort::Full).map(Rc::new), effort),
            (answered, _) => (answered, Effort::Updates),
        };
        let bench = &mut self.benches[at];
        if key.len() > 1 {
            if bench.pairs >= PAIRS_KEPT {
                bench.answers.retain(|known, _| known.len() < 2);
                bench.pairs = 0;
            }
            bench.pairs += 1;
        }
        bench.answers.insert(key, (answered.clone(), took));
        answered
    }

    /// `None` where the effort does not suffice.
    fn solve(&mut self, at: usize, faults: &[Sized], effort: Effort) -> Option<Answered> {
        let (vehicle, suspects) = (self.vehicle, self.suspects);
        let resets = |fault: &&Sized| suspects[fault.0].fault.needs_new_layout();
        let reset = faults.iter().find(resets).copied();
        let rest = faults.iter().filter(|fault| Some(**fault) != reset);
        let changes = |network: &Network| -> Vec<Change> {
            rest.clone()
                .flat_map(|(at, size)| suspects[*at].fault.changes(vehicle, network, *size))
                .collect()
        };
        let catalog = self.catalog;
        let shorts = faults.iter().any(|fault| suspects[fault.0].fault.may_short());
        let settle = |network: &Network, variants: &mut Variants| {
            let changes = changes(network);
            match shorts {
                true => blow::until_fuses_hold(vehicle, catalog, network, changes, |changes| {
                    effort.settle(variants, changes)
                }),
                false => effort.settle(variants, &changes).map(|outcome| (outcome, Vec::new())),
            }
        };
        let bench = &mut self.benches[at];
        let Some(reset) = reset else {
            let (outcome, opened) = settle(&bench.network, &mut bench.variants)?;
            return Some(Answered { outcome, anew: None, opened });
        };
        let (state, key) = (bench.state, (reset.0, reset.1.to_bits()));
        if !bench.anew.contains_key(&key) {
            let anew = self.laid_out_anew(state, reset);
            self.benches[at].anew.insert(key, anew);
        }
        let anew = self.benches[at].anew.get_mut(&key).and_then(Option::as_mut);
        let Some(anew) = anew else {
            return Some(Answered { outcome: None, anew: None, opened: Vec::new() });
        };
        let (outcome, opened) = settle(&anew.network, &mut anew.variants)?;
        Some(Answered { outcome, anew: Some(Rc::clone(&anew.network)), opened })
    }

    fn laid_out_anew(&self, state: StateId, (suspect, size): Sized) -> Option<Anew> {
        let Fault::Factor { device, number: Some(number) } = self.suspects[suspect].fault else {
            return None;
        };
        let mut vehicle = self.vehicle.clone();
        let of = &mut vehicle.devices[device];
        let value = of.number(number)? * size;
        of.attributes.insert(number, Fact::assumed(value, "it is suspected"));
        let network = network::build(&vehicle, &vehicle.states[state], self.catalog);
        let variants = Variants::new(network.circuit.clone()).ok()?;
        Some(Anew { network: Rc::new(network), variants })
    }

    /// What an instrument would show; empty where the instrument has no place in the state's circuit
    /// or the circuit has no answer.
    pub fn values(&self, state: StateId, points: ReadingPoints, answered: &Answered) -> Values {
        let Some(at) = self.position(state) else { return Values::new() };
        let network = answered.anew.as_ref().unwrap_or(&self.benches[at].network);
        let Some(shown) = network::reading::shown(self.vehicle, network, points) else {
            return Values::new();
        };
        let is_over = matches!(points, ReadingPoints::Over(_));
        let value = |point: &Answer| match shown.reading {
            Reading::Between(a, b) => {
                // A voltmeter on points that nothing joins discharges them.
                let value = shown.of(point.between(a, b).unwrap_or(0.0));
                if is_over { value.abs() } else { value }
            }
            Reading::Current(branch) => shown.of(point.current(branch)),
        };
        answered.points().iter().map(value).collect()
    }

    /// Whether nothing joins the points of a reading, in any position of what hunts.
    pub fn floats(&self, state: StateId, points: ReadingPoints, answered: &Answered) -> bool {
        let Some(at) = self.position(state) else { return false };
        let network = answered.anew.as_ref().unwrap_or(&self.benches[at].network);
        let shown = network::reading::shown(self.vehicle, network, points);
        let Some(Reading::Between(a, b)) = shown.map(|shown| shown.reading) else { return false };
        answered.points().iter().any(|point| point.between(a, b).is_none())
    }

    /// What equipment does; `None` where the circuit says nothing of it.
    pub fn shows(&self, state: StateId, device: DeviceId, answered: &Answered) -> Option<Shows> {
        let at = self.position(state)?;
        let network = answered.anew.as_ref().unwrap_or(&self.benches[at].network);
        let nominal_v = self.nominal_v();
        shows(network, device, answered, nominal_v)
            .or_else(|| self.protective_shows(network, device, answered))
    }

    /// What all equipment of a state does, in the order of its circuit.
    pub(crate) fn all_shows(&self, state: StateId, answered: &Answered) -> Vec<Option<Shows>> {
        let Some(at) = self.position(state) else { return Vec::new() };
        let network = answered.anew.as_ref().unwrap_or(&self.benches[at].network);
        let does = |port: &Port| shows(network, port.device, answered, self.nominal_v());
        network.ports.iter().map(does).collect()
    }

    /// The word that a load is on the verge of: a little more or less at its terminals, and it shows
    /// that instead.
    pub(crate) fn nearly(
        &self,
        state: StateId,
        device: DeviceId,
        answered: &Answered,
    ) -> Option<Shows> {
        let shows = self.shows(state, device, answered)?;
        let of = &self.vehicle.devices[device];
        let nominal_v = self.nominal_v();
        let (volt, _) = self.supply(state, device, answered).filter(|_| of.role.is_dc_load())?;
        let above = volt - WEAK_SHARE * nominal_v;
        match shows {
            Shows::Works if above < VERGE_SHARE * nominal_v => Some(Shows::Weak),
            Shows::Weak if above > -VERGE_SHARE * nominal_v => Some(Shows::Works),
            _ => None,
        }
    }

    /// Volts between the poles of equipment, of what hunts in the position that leaves it least, and the
    /// amperes through it, unless it hunts; `None` where it is no part of the state's circuit or the
    /// circuit has no answer.
    pub(crate) fn supply(
        &self,
        state: StateId,
        device: DeviceId,
        answered: &Answered,
    ) -> Option<(f64, Option<f64>)> {
        let at = self.position(state)?;
        let network = answered.anew.as_ref().unwrap_or(&self.benches[at].network);
        let port = network.ports.iter().find(|port| port.device == device)?;
        let volts = answered.points().iter().map(|point| volts_at(network, port, point));
        let ampere = match answered.points() {
            [point] => Some(point.current(port.branch).abs()),
            _ => None,
        };
        Some((volts.min_by(f64::total_cmp)?, ampere))
    }

    /// What a fuse, breaker or fuse box does: trips, gets warm, or neither.
    fn protective_shows(
        &self,
        network: &Network,
        device: DeviceId,
        answered: &Answered,
    ) -> Option<Shows> {
        let of = &self.vehicle.devices[device];
        if !matches!(of.role, Role::Fuse | Role::Breaker | Role::FuseBox) {
            return None;
        }
        let point = answered.points().first()?;
        let words = &self.catalog.checking.words;
        let mut shows = Shows::Works;
        for (_, terminal, branch) in network.contacts().iter().filter(|c| c.0 == device) {
            let ampere = point.current(*branch).abs();
            let nodes = network.circuit.branch(*branch).element.nodes();
            let volt = point.between(nodes[0], nodes[1]).unwrap_or(0.0).abs();
            let rated_a = blow::rating(self.vehicle, device, *terminal);
            if answered.opened.contains(branch) {
                return Some(Shows::Trips);
            }
            if rated_a.is_some_and(|rated| ampere >= words.trips_from * rated) {
                return Some(Shows::Trips);
            }
            if volt * ampere >= words.warm_from_w {
                shows = Shows::Warm;
            }
        }
        Some(shows)
    }

    /// Whether equipment is part of a state's circuit, so that what it does can be asked for.
    pub fn has_port(&self, state: StateId, device: DeviceId) -> bool {
        self.position(state).is_some_and(|at| {
            self.benches[at].network.ports.iter().any(|port| port.device == device)
        })
    }

    /// A prediction of a reading with the spreads of the sums around it. The slopes are those of the
    /// vehicle as it is written.
    pub fn prediction(
        &mut self,
        state: StateId,
        points: ReadingPoints,
        expected: f64,
    ) -> Prediction {
        let (per_parameter, own_spread) = self.spread(state, points);
        Prediction { expected, per_parameter, own_spread }
    }

    /// The vehicle's nominal voltage, or the one that stands in for it.
    pub fn nominal_v(&self) -> f64 {
        self.vehicle.nominal.value().map_or(self.catalog.stand_ins.nominal.si(), |v| v.si())
    }

    fn spread(&mut self, state: StateId, points: ReadingPoints) -> (Vec<f64>, f64) {
        let vehicle = self.vehicle;
        let Some(at) = self.position(state) else { return (Vec::new(), 0.0) };
        let Bench { network, slopes, spreads, .. } = &mut self.benches[at];
        let found =
            || slopes.get_or_insert_with(|| Slopes::of(network)).spread(vehicle, network, points);
        spreads.entry(points).or_insert_with(found).clone()
    }
}

/// What equipment does, by its voltage, its current and whether it hunts.
fn shows(
    network: &Network,
    device: DeviceId,
    answered: &Answered,
    nominal_v: f64,
) -> Option<Shows> {
    let port = network.ports.iter().find(|port| port.device == device)?;
    if let Some(Outcome::Hunts { guards, .. }) = &answered.outcome
        && port.guard.is_some_and(|guard| guards.contains(&guard))
    {
        return Some(Shows::Hunts);
    }
    let point = answered.points().first()?;
    let element = &network.circuit.branch(port.branch).element;
    let is_off = point.off().contains(&port.branch)
        || port.guard.is_some_and(|guard| !point.guards()[guard.0 as usize]);
    let volt = volts_at(network, port, point);
    if port.group == Group::Source || port.group == Group::Converter {
        let delivers = point.output_current(port.branch);
        let output_a = delivers.unwrap_or_else(|| -point.current(port.branch));
        let most_a = element.value(Parameter::LimitAmpere).unwrap_or(0.0);
        let holds = element.value(Parameter::SetVolt).is_some_and(|set| volt >= HOLDS_SHARE * set);
        return Some(match () {
            () if is_off || output_a <= LEAST_A => Shows::Dead,
            () if !holds && output_a < WEAK_SOURCE_SHARE * most_a => Shows::Weak,
            () => Shows::Works,
        });
    }
    let usual_a = usual_current(element, nominal_v);
    let draws = point.current(port.branch).abs() > 0.1 * usual_a;
    Some(match () {
        () if is_off || !draws => Shows::Dead,
        () if volt < WEAK_SHARE * nominal_v => Shows::Weak,
        () => Shows::Works,
    })
}

/// Volts between the poles of equipment; 0 where nothing joins them.
fn volts_at(network: &Network, port: &Port, point: &Answer) -> f64 {
    let nodes = (network.stud_node(port.plus), network.stud_node(port.minus));
    nodes.0.zip(nodes.1).and_then(|(a, b)| point.between(a, b)).unwrap_or(0.0)
}

/// What a load draws at the nominal voltage.
fn usual_current(element: &Element, nominal_v: f64) -> f64 {
    match element {
        Element::ConstantPower { watt, .. } => watt / nominal_v,
        Element::Lamp { rated_a, .. } => *rated_a,
        Element::Resistor { ohm, .. } => nominal_v / ohm,
        Element::Motor { armature_ohm, back_emf_v, .. } => (nominal_v - back_emf_v) / armature_ohm,
        _ => 0.0,
    }
}

impl Fault {
    /// Whether the fault is a setting that only a new layout of the circuit can show: thresholds of
    /// what switches itself.
    fn needs_new_layout(&self) -> bool {
        matches!(self, Fault::Factor { number: Some(Attribute::CutOut), .. })
    }
}
