//! A small vehicle whose sums can be done by hand. Faults are put into its circuit in plain words and
//! solved in full, apart from everything the search for faults does.

use access::vehicle::costing;
use access::{Costing, Permitted, Problem as Furniture};
use catalog::Catalog;
use circuit::Change;
use model::{JointId, ReadingPoints, StateId, TerminalId, Vehicle};
use network::{Network, read_fault};
use solve::{OperatingPoint, Outcome, Reading, settle};

use crate::{
    Advice, Asked, Benches, Explanation, Observations, Ranking, Suspect, What, advise,
    observations, rank, suspects,
};

/// The pad is a resistance of 12^2/48 = 3 ohm.
pub(super) const VAN: &str = r#"
unbury = 1
[vehicle]
name = "Bench"
region = "europe"
system = "12 V"
[devices]
house = { kind = "lfp battery", holds = "100 Ah", resistance = "5 mOhm", rest = "13.2 V", behind = "nothing" }
dist = { kind = "blade fuse box", ways = ["10 A heat", "10 A light"], behind = "nothing" }
pad = { kind = "heater", power = "48 W", behind = "panel" }
lamp = { kind = "led lights", power = "24 W", behind = "nothing" }
rail = { kind = "busbar", behind = "nothing" }
[wires]
w1 = "house.+ to dist.in, 16 mm2, 1 m, stranded"
w2 = "dist.1 to pad.+, 1.5 mm2, 5 m, stranded"
w3 = "pad.- to rail, 1.5 mm2, 5 m, stranded"
w4 = "dist.2 to lamp.+, 1.5 mm2, 5 m, stranded"
w5 = "lamp.- to rail, 1.5 mm2, 5 m, stranded"
w6 = "rail to house.-, 16 mm2, 1 m, stranded"
[parts]
panel = { is = "panel", out = "10 / 10 / 10 min", back = "5 / 5 / 5 min" }
[states]
evening = { on = ["pad", "lamp"], charge = { house = "60 %" } }
alone = { on = ["pad"], charge = { house = "60 %" } }
low = { on = ["pad"], charge = { house = "20 %" } }
"#;

pub(super) struct Van {
    pub(super) vehicle: Vehicle,
    pub(super) catalog: Catalog,
    pub(super) suspects: Vec<Suspect>,
}

impl Van {
    /// The small vehicle with sections added.
    #[track_caller]
    pub(super) fn new(added: &str) -> Van {
        Van::of(&format!("{VAN}{added}"))
    }

    #[track_caller]
    pub(super) fn of(text: &str) -> Van {
        let catalog = Catalog::embedded();
        let record = record::read(text, &catalog);
        assert!(record.diagnostics.is_empty(), "{:#?}", record.diagnostics);
        let suspects = suspects(&record.vehicle, &catalog);
        Van { vehicle: record.vehicle, catalog, suspects }
    }

    /// A whole vehicle, whose record may have gaps.
    pub(super) fn of_any(text: &str) -> Van {
        let catalog = Catalog::embedded();
        let vehicle = record::read(text, &catalog).vehicle;
        let suspects = suspects(&vehicle, &catalog);
        Van { vehicle, catalog, suspects }
    }

    #[track_caller]
    pub(super) fn state(&self, name: &str) -> StateId {
        self.vehicle.states.find(|state| state.name == name).expect("a state").0
    }

    #[track_caller]
    pub(super) fn terminal(&self, name: &str) -> TerminalId {
        let found = self.vehicle.terminals.ids().find(|id| self.vehicle.terminal_name(*id) == name);
        found.unwrap_or_else(|| panic!("no terminal {name}"))
    }

    #[track_caller]
    pub(super) fn joint(&self, name: &str) -> JointId {
        let found = self.vehicle.joints.ids().find(|id| self.vehicle.joint_name(*id) == name);
        found.unwrap_or_else(|| panic!("no joint {name}"))
    }

    /// The circuit of a state with faults in plain words, solved in full.
    #[track_caller]
    fn settled(&self, state: StateId, faults: &[&str]) -> (Network, OperatingPoint) {
        let of = &self.vehicle.states[state];
        let network = network::build(&self.vehicle, of, &self.catalog);
        let changes: Vec<Change> = faults
            .iter()
            .flat_map(|text| {
                let read = read_fault(text, &self.vehicle, of, &self.catalog, &network);
                read.unwrap_or_else(|no| panic!("{text}: {no}")).changes
            })
            .collect();
        let circuit = network.circuit.changed(&changes).expect("the circuit takes the changes");
        match settle(&circuit) {
            Outcome::Settled(point) => (network, point),
            other => panic!("{faults:?}: {other:?}"),
        }
    }

    /// What an instrument would show in truth.
    #[track_caller]
    pub(super) fn truth(&self, state: StateId, faults: &[&str], points: ReadingPoints) -> f64 {
        let (network, point) = self.settled(state, faults);
        let shown = network::reading::shown(&self.vehicle, &network, points).expect("a place");
        shown.of(match shown.reading {
            Reading::Between(a, b) => point.between(a, b).expect("joined"),
            Reading::Current(branch) => point.current(branch),
        })
    }

    #[track_caller]
    pub(super) fn volts(&self, faults: &[&str], red: &str, black: &str) -> f64 {
        let points = ReadingPoints::Between(self.terminal(red), self.terminal(black));
        self.truth(self.state("evening"), faults, points)
    }

    #[track_caller]
    pub(super) fn over(&self, faults: &[&str], joint: &str) -> f64 {
        let points = ReadingPoints::Over(self.joint(joint));
        self.truth(self.state("evening"), faults, points).abs()
    }

    pub(super) fn seen(&self) -> Observations {
        observations(&self.vehicle, &self.catalog)
    }

    pub(super) fn ranking(&self) -> Ranking {
        let mut benches = Benches::new(&self.vehicle, &self.catalog, &self.suspects);
        let ranking = rank(&mut benches, &self.seen(), &self.catalog);
        let sum: f64 = ranking.explanations.iter().map(|e| e.weight).sum();
        assert!((sum - 1.0).abs() < 1e-9, "weights sum to {sum}");
        ranking
    }

    pub(super) fn furniture(&self) -> (Furniture, Costing) {
        let problem = access::vehicle::problem(&self.vehicle, &self.catalog).problem;
        (problem, costing(6_000, 5_000, Permitted::Anything))
    }

    /// The advice in a state, after everything that was read and seen.
    #[track_caller]
    pub(super) fn advice(&self, now: &str) -> Advice {
        let mut benches = Benches::new(&self.vehicle, &self.catalog, &self.suspects);
        let seen = self.seen();
        let ranking = rank(&mut benches, &seen, &self.catalog);
        let (furniture, costing) = self.furniture();
        let read = |taken: &crate::observe::Taken| (What::Read(taken.points), Some(taken.state));
        let watched = |n: &crate::observe::Noticed| (What::Watch(n.device), Some(n.state));
        let done: Vec<_> =
            seen.taken.iter().map(read).chain(seen.noticed.iter().map(watched)).collect();
        let asked = Asked {
            catalog: &self.catalog,
            seen: &seen,
            ranking: &ranking,
            furniture: &furniture,
            costing,
            now: Some(self.state(now)),
            done: &done,
        };
        let advice = advise(&mut benches, &asked);
        let best = advice.steps.first().expect("there is always a step").minutes;
        assert!(best <= advice.without_checks + 1e-9, "{best} {}", advice.without_checks);
        advice
    }

    pub(super) fn words(&self, explanation: &Explanation) -> Vec<&str> {
        explanation.faults.iter().map(|(at, _)| self.suspects[*at].words.as_str()).collect()
    }

    /// The explanations in words, most likely first.
    pub(super) fn told(&self, ranking: &Ranking) -> String {
        let line =
            |e: &Explanation| format!("{:.4} {:?} {:?}\n", e.weight, self.words(e), e.faults);
        ranking.explanations.iter().take(8).map(line).collect()
    }

    /// Probability of one suspect alone; its words begin like this.
    #[track_caller]
    pub(super) fn weight(&self, ranking: &Ranking, words: &str) -> f64 {
        let is_it = |e: &&Explanation| matches!(self.words(e)[..], [w] if w.starts_with(words));
        let found = ranking.explanations.iter().find(is_it);
        found.unwrap_or_else(|| panic!("no {words} in\n{}", self.told(ranking))).weight
    }
}
