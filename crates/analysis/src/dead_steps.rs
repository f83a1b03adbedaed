//! The steps of a plan for making dead, in words: hazard, what is done, where to measure, what is
//! expected before and after, the tag.

use std::collections::BTreeSet;

use dead::{Act, Sort};
use live::LiveMap;
use model::{Attribute, DeviceId, Pole, Role, TerminalId};

use crate::dead::Plan;
use crate::dead_readings::{Meter, Probe};
use crate::dead_view::{Caution, DeadStep};

const DANGER: &str = "DANGER";
const WARNING: &str = "WARNING";
const CAUTION: &str = "CAUTION";
const NOTICE: &str = "NOTICE";

impl Plan<'_> {
    /// What to know before the first step.
    pub(crate) fn cautions(&self) -> Vec<Caution> {
        let mut cautions = Vec::new();
        let mut say = |signal: &str, words: String| {
            cautions.push(Caution { signal: signal.to_owned(), words });
        };
        let vehicle = self.vehicle();
        for words in self.case.not_seen() {
            say(WARNING, words);
        }
        let mains = self.area.terminals.iter().any(|t| vehicle.terminals[*t].pole.is_ac())
            || self.area.wires.iter().any(|wire| vehicle.is_ac(*wire));
        if mains {
            say(DANGER, "Mains conductors belong to the area: they kill. Local codes decide who may work on them; people licensed for it do.".to_owned());
        }
        if vehicle.devices.iter().any(|(_, device)| device.high_voltage) {
            say(DANGER, "This vehicle has a high-voltage battery, orange cables: no plan here covers it. Stop at anything orange; people licensed for it.".to_owned());
        }
        let airbags = |id: &DeviceId| vehicle.devices[*id].restraint_system;
        for id in self.area.devices.iter().copied().filter(airbags) {
            say(DANGER, self.airbag_words(id));
        }
        if !self.area.devices.iter().any(airbags) {
            say(WARNING, "Airbags and belt tensioners keep a charge after the battery is off. Near seats, seat boxes, pillars and steering column: do not measure on yellow plugs; the maker of the vehicle says how long to wait (10 s to 30 min were seen).".to_owned());
        }
        if vehicle.devices.iter().any(|(_, device)| device.role == Role::Battery) {
            say(WARNING, "A battery can deliver thousands of ampere into a spanner: burns, molten metal. No rings or watches, insulated tools, the other post covered, eyes protected.".to_owned());
        }
        if let Some(words) = self.refused_words() {
            say(WARNING, words);
        }
        say(NOTICE, "What nobody has seen to be open counts as conducting. A vehicle of somebody else's making may hold a source nobody wrote down: only the readings below say dead.".to_owned());
        cautions
    }

    fn airbag_words(&self, id: DeviceId) -> String {
        let device = &self.vehicle().devices[id];
        let wait = device.fact(Attribute::Wait);
        let how_long = match (wait.value(), wait.origin()) {
            (Some(seconds), Some(origin)) => {
                format!("wait {} ({})", minutes_words(*seconds), origin.word())
            }
            _ => {
                "how long to wait is not recorded: find out in the maker's manual and write `wait` \
                  (10 s to 30 min were seen)"
                    .to_owned()
            }
        };
        format!(
            "{}: can fire after every battery is off. With all batteries of the vehicle off, {how_long}. Do not measure on it; people trained for it.",
            device.label
        )
    }

    /// All steps: tester, loads, actions, proof, tester.
    pub(crate) fn steps(&self, map: &LiveMap) -> Vec<DeadStep> {
        let mut steps = vec![self.tester("before")];
        steps.extend(self.loads_off());
        let mut taken = BTreeSet::new();
        let mut parts = self.parts_for(&mut taken);
        let meter = Meter::new(self);
        for (place, action) in self.order.iter().enumerate() {
            let mut step = self.action(*action, place, &meter);
            step.parts = parts.remove(action).unwrap_or_default();
            steps.push(step);
        }
        steps.extend(self.proofs(&meter, map));
        steps.push(self.tester("after"));
        for (index, step) in steps.iter_mut().enumerate() {
            step.number = index + 1;
        }
        steps
    }

    fn tester(&self, when: &str) -> DeadStep {
        DeadStep {
            key: format!("tester {when}"),
            kind: "tester".to_owned(),
            signal: NOTICE.to_owned(),
            hazard: "A meter with a blown lead or an empty cell shows nothing, and nothing looks like dead."
                .to_owned(),
            what: format!(
                "Prove the tester on a known source, {}. Two probes, tips bare 4 mm at most; no proximity tester.",
                if when == "before" { "before the first reading" } else { "again: no reading above counts without it" }
            ),
            ..DeadStep::default()
        }
    }

    pub(crate) fn loads_off(&self) -> Option<DeadStep> {
        let vehicle = self.vehicle();
        let off =
            |role: Role| role.is_dc_load() || matches!(role, Role::MainsCharger | Role::AcLoad);
        let devices = vehicle.devices.iter().map(|(_, device)| device);
        let devices: Vec<&model::Device> =
            devices.filter(|device| off(device.role) && !device.base_vehicle).collect();
        let first =
            |device: &&&model::Device| matches!(device.role, Role::Inverter | Role::MainsCharger);
        let names: Vec<&str> =
            devices.iter().filter(first).map(|device| device.label.as_str()).collect();
        let loads = devices.len() - names.len();
        (loads + names.len() > 0).then(|| DeadStep {
            key: "loads".to_owned(),
            kind: "loads".to_owned(),
            signal: NOTICE.to_owned(),
            hazard: "Opening a contact under load draws an arc and may weld it.".to_owned(),
            what: if names.is_empty() {
                format!("Engine off. Switch off every load ({loads} recorded).")
            } else {
                format!(
                    "Engine off. Switch off every load ({loads} recorded), and {} at its own switch.",
                    names.join(", ")
                )
            },
            ..DeadStep::default()
        })
    }

    fn action(&self, action: usize, place: usize, meter: &Meter<'_>) -> DeadStep {
        let act = self.act(action);
        let device = &self.vehicle().devices[act.device];
        let (signal, hazard) = Self::hazard(act);
        let mut step = DeadStep {
            key: self.key(act),
            kind: "open".to_owned(),
            signal: signal.to_owned(),
            hazard,
            what: self.what(act),
            device: device.name.clone(),
            at: device.place_words.clone(),
            separates: self.separates(place, meter),
            tag: self.tag(act),
            notes: self.notes(act, place, meter),
            ..DeadStep::default()
        };
        if let Some(probe) = self.proof_point(act, place, meter) {
            let [before, after] = [place, place + 1].map(|done| meter.expected(&probe, done));
            step.probe = probe.words(self.vehicle());
            (step.before, step.before_v) = (before.words, before.volt);
            (step.after, step.after_v) = (after.words, after.volt);
        }
        if act.sort == Sort::Capacitor {
            step.kind = "wait".to_owned();
        }
        step
    }

    pub(crate) fn key(&self, act: &Act) -> String {
        let vehicle = self.vehicle();
        let name = match (act.joint, act.way) {
            (Some(joint), _) => vehicle.joint_name(joint),
            (None, Some(way)) => vehicle.terminal_name(way),
            (None, None) => vehicle.devices[act.device].name.clone(),
        };
        format!("{} {name}", sort_word(act.sort))
    }

    fn what(&self, act: &Act) -> String {
        let vehicle = self.vehicle();
        let label = &vehicle.devices[act.device].label;
        let joint = act.joint.map_or_else(String::new, |joint| vehicle.joint_name(joint));
        match act.sort {
            Sort::Engine => "Stop the engine, key out and kept by whoever works".to_owned(),
            Sort::Shore if vehicle.devices[act.device].role == Role::ShoreInlet => "Unplug the shore lead at the vehicle and lock its plug away; look for a second lead".to_owned(),
            Sort::Shore => format!("No inlet is recorded, but what feeds {label} was not followed: look for a shore lead, unplug it and lock its plug away"),
            Sort::Generator => format!("Stop {label} and lock its start: no starting by itself"),
            Sort::Outside => format!("Switch {label} off, unplug what hangs on it, take it out of the vehicle or tie the plug back"),
            Sort::Cover => format!("Cover {label} wholly with something no light passes, tied down; or work in the dark"),
            Sort::MainsBreaker => format!("Switch off {label}, all its poles"),
            Sort::Switch => format!("Turn off {label}"),
            Sort::Breaker => format!("Switch off {label}"),
            Sort::PulledFuse => match act.way {
                Some(way) => format!("Pull the fuse of {}", vehicle.terminal_name(way)),
                None => format!("Pull {label}"),
            },
            Sort::BoltedFuse => format!("Take out {label}"),
            Sort::Plug => format!("Pull the plug {joint}"),
            Sort::Lug => format!("Take off the lug {joint}, insulate it, tie it back"),
            Sort::BatteryMinus => {
                let lugs = self.minus_lugs(act.device);
                let how_many = match lugs {
                    0 => "whatever is on the minus post (no wire is recorded there)".to_owned(),
                    1 => "the lug on the minus post".to_owned(),
                    many => format!("all {many} lugs on the minus post"),
                };
                format!("Take {how_many} of {label} off, minus first; insulate and tie back; cover both posts")
            }
            Sort::Capacitor => format!("Empty the input capacitors of {label}: {}", self.emptying(act.device)),
        }
    }

    fn minus_lugs(&self, id: DeviceId) -> usize {
        let minus = self.pole(id, Pole::Minus);
        minus.map_or(0, |minus| dead::joints_on(self.vehicle(), minus).len())
    }

    pub(crate) fn pole(&self, id: DeviceId, pole: Pole) -> Option<TerminalId> {
        let terminals = &self.vehicle().devices[id].terminals;
        terminals.iter().copied().find(|t| self.vehicle().terminals[*t].pole == pole)
    }

    /// Through what and how long, `R C ln(V/v)`.
    fn emptying(&self, id: DeviceId) -> String {
        let device = &self.vehicle().devices[id];
        let machines = &self.case.catalog.machines;
        let empty_v = self.case.catalog.dead.limits.empty_v;
        let Some(farad) = device.number(Attribute::Capacitance) else {
            return format!(
                "how long they hold is not recorded, so no wait proves anything. A resistor across \
                 them, never a screwdriver, until the meter stays below {}",
                units::Volt::from_si(empty_v)
            );
        };
        let bleeder = device.number(Attribute::Bleeder);
        let ohm = bleeder.unwrap_or(machines.bleeder_ohm);
        let input = solve::capacitor::Capacitor { farad, volt: self.case.highest_v() };
        let known =
            |fact: model::Fact<f64>| if fact.evidence().is_some() { "" } else { " (assumed)" };
        format!(
            "left alone, {}{} through {}{} fall below {} in {}; measure, do not trust the clock",
            units::Farad::from_si(farad),
            known(device.fact(Attribute::Capacitance)),
            units::Ohm::from_si(ohm),
            if bleeder.is_some() { known(device.fact(Attribute::Bleeder)) } else { " (assumed)" },
            units::Volt::from_si(empty_v),
            minutes_words(input.empties_in_s(ohm, empty_v)),
        )
    }

    fn hazard(act: &Act) -> (&'static str, String) {
        let words = match act.sort {
            Sort::Engine => (
                CAUTION,
                "Belts, fans and exhaust: moving and hot. A start system may restart the engine by itself.",
            ),
            Sort::Shore | Sort::Generator | Sort::MainsBreaker => (
                DANGER,
                "Mains kills. Reversed polarity leaves the neutral live. Covers of mains boxes stay on; inside them people licensed for it work.",
            ),
            Sort::Outside => {
                (WARNING, "It has energy of its own and no switch of the vehicle reaches it.")
            }
            Sort::Cover => (
                WARNING,
                "In any light a module has its full voltage. The cover takes its current away only while it lies on all of it. Roofs: falls.",
            ),
            Sort::Switch | Sort::Breaker => (
                CAUTION,
                "A handle proves nothing: contacts weld, labels are wrong. Only the reading counts.",
            ),
            Sort::PulledFuse => (
                CAUTION,
                "Pulled under load a fuse draws an arc; in a fuse box the clips beside it stay live.",
            ),
            Sort::Plug => (
                WARNING,
                "A plug parted under load draws an arc that does not go out: with direct current from modules above all.",
            ),
            Sort::BatteryMinus => (
                WARNING,
                "A spanner from the post to metal or to the other post: thousands of ampere, burns, bursting. Minus first, so that the spanner cannot close the circuit over the body.",
            ),
            Sort::BoltedFuse | Sort::Lug => (
                WARNING,
                "Bare metal: it counts as live until the meter at this very place says otherwise.",
            ),
            Sort::Capacitor => (
                WARNING,
                "A charged capacitor welds and burns; an inverter that has run holds mains voltage inside.",
            ),
        };
        (words.0, words.1.to_owned())
    }

    fn tag(&self, act: &Act) -> String {
        if act.sort == Sort::Capacitor {
            return String::new();
        }
        let what = match act.sort {
            Sort::Engine => "Do not start.",
            Sort::Cover => "Do not uncover.",
            Sort::Shore | Sort::Outside => "Do not plug in.",
            Sort::Generator => "Do not start.",
            Sort::PulledFuse | Sort::BoltedFuse => "Do not put a fuse in.",
            Sort::Plug | Sort::Lug | Sort::BatteryMinus => "Do not connect.",
            _ => "Do not switch on.",
        };
        format!("{what} Work on {}. By ______ on ______ at ______", self.names.join(", "))
    }

    /// Sources that reach fewer conductors of the area, or of what is worked on, by this action.
    fn separates(&self, place: usize, meter: &Meter<'_>) -> Vec<String> {
        let action = self.order[place];
        // What the whole plan without this one action lets in again.
        let without: Vec<usize> = self.order.iter().copied().filter(|a| *a != action).collect();
        let energised = meter.reach.after(&without);
        let again = |point: &usize| energised[*point] && !self.is_left(*point);
        let points: Vec<usize> = self.points.iter().copied().filter(again).collect();
        let starts = (0..self.asked.sources.len())
            .filter(|start| !points.is_empty() && self.asked.net.starts[*start].fed_by.is_empty());
        let again = starts.filter(|start| meter.reach.touches(*start, &without, &points));
        let names: BTreeSet<String> =
            again.filter_map(|start| Some(self.name(self.asked.sources[start]?))).collect();
        names.into_iter().collect()
    }

    fn notes(&self, act: &Act, place: usize, meter: &Meter<'_>) -> Vec<String> {
        let mut notes = Vec::new();
        if act.reach_unknown {
            notes.push(
                "what hides it is not recorded: find out what has to come out first".to_owned(),
            );
        }
        if act.joint_unknown {
            notes.push("how this joint is made is not recorded; taken for a lug".to_owned());
        }
        if matches!(act.sort, Sort::Lug | Sort::BoltedFuse | Sort::BatteryMinus)
            && let Some(most) = self.prospective(act)
        {
            notes.push(format!("a short circuit here can draw up to {most}"));
        }
        notes.extend(self.current_notes(act, place, meter));
        notes
    }

    /// Where to see that an action worked: a stud of what it opens that is energised before and less so
    /// after; of a source, its poles.
    fn proof_point(&self, act: &Act, place: usize, meter: &Meter<'_>) -> Option<Probe> {
        let graph = &self.network.graph;
        if act.sort == Sort::BatteryMinus {
            let plus = self.pole(act.device, Pole::Plus)?;
            let minus = self.pole(act.device, Pole::Minus)?;
            let black = self.beyond(minus);
            // Where nothing is recorded beyond the minus there is nothing to measure against.
            let is_told = black.is_some() || self.body_is_return();
            return is_told.then_some(Probe { red: plus, black });
        }
        if matches!(act.sort, Sort::Engine | Sort::Cover) {
            return None;
        }
        if !act.sources.is_empty() {
            return self.poles_of(act.device);
        }
        let [before, after] = [place, place + 1].map(|done| meter.energised(done));
        let ends = act.links.iter().flat_map(|link| {
            let row = graph.get(*link);
            [row.b, row.a]
        });
        let mut ends: Vec<network::Point> = ends.collect();
        ends.sort_by_key(|point| {
            let at = graph.index(*point);
            !before[at] || after[at]
        });
        // The loose end of a lug has no stud: its other landing is measured instead.
        let studs = ends
            .into_iter()
            .filter_map(|point| graph.terminal(point).or_else(|| self.far_landing(act)));
        let mut studs = studs.filter(|t| self.vehicle().terminals[*t].pole != Pole::Earth);
        let red = studs.next()?;
        Some(Probe { red, black: self.return_of(red) })
    }

    /// The landing of a joint's wire at its other end.
    fn far_landing(&self, act: &Act) -> Option<TerminalId> {
        let joint = &self.vehicle().joints[act.joint?];
        self.vehicle().wires[joint.wire].terminal(joint.end.other())
    }

    /// Plus and return; of what only has mains, line and neutral.
    fn poles_of(&self, id: DeviceId) -> Option<Probe> {
        let red = self.pole(id, Pole::Plus).or_else(|| self.pole(id, Pole::Line))?;
        Some(Probe { red, black: self.return_of(red) })
    }

    /// The final proof: every stud of the area, and the studs its wires land on.
    fn proofs(&self, meter: &Meter<'_>, map: &LiveMap) -> Vec<DeadStep> {
        let vehicle = self.vehicle();
        let mut studs: BTreeSet<TerminalId> = self.area.terminals.clone();
        for wire in &self.area.wires {
            let ends = model::WireEnd::BOTH.into_iter();
            studs.extend(ends.filter_map(|end| vehicle.wires[*wire].terminal(end)));
        }
        let wanted =
            |t: &TerminalId| !matches!(vehicle.terminals[*t].pole, Pole::Earth | Pole::Minus);
        let mut seen = BTreeSet::new();
        let mut steps = Vec::new();
        for stud in studs.into_iter().filter(wanted) {
            let place = self.network.graph.index(self.network.graph.stud(stud));
            // Studs that metal joins are one point to a meter; one of them is enough in a whole vehicle.
            if self.names.iter().any(|name| name == dead::EVERYTHING)
                && !seen.insert(vehicle.terminals[stud].device)
            {
                continue;
            }
            let probe = Probe { red: stud, black: self.return_of(stud) };
            let ac = vehicle.terminals[stud].pole.is_ac();
            let left = self.is_left(place);
            let status = map.terminal(stud).status.word();
            let after = meter.expected(&probe, self.order.len());
            steps.push(DeadStep {
                key: format!("prove {}", vehicle.terminal_name(stud)),
                kind: "prove".to_owned(),
                signal: if ac || left { DANGER } else { WARNING }.to_owned(),
                hazard: if left {
                    format!("{status}: nothing recorded separates it; see what cannot be isolated.")
                } else {
                    "Until the meter has said so here, it counts as live; measuring is live work."
                        .to_owned()
                },
                what: format!(
                    "Measure {}, direct and alternating, {}",
                    probe.words(vehicle),
                    if ac {
                        "and each of them to the earth and to the body"
                    } else {
                        "and every other conductor there to it"
                    }
                ),
                device: vehicle.devices[vehicle.terminals[stud].device].name.clone(),
                at: vehicle.devices[vehicle.terminals[stud].device].place_words.clone(),
                probe: probe.words(vehicle),
                after: if left { "live".to_owned() } else { after.words },
                after_v: if left { None } else { after.volt },
                ..DeadStep::default()
            });
        }
        steps
    }
}

fn sort_word(sort: Sort) -> &'static str {
    match sort {
        Sort::Engine => "engine",
        Sort::Shore => "shore",
        Sort::Generator => "generator",
        Sort::MainsBreaker => "mains breaker",
        Sort::Outside => "outside",
        Sort::Cover => "cover",
        Sort::Switch => "switch",
        Sort::Breaker => "breaker",
        Sort::PulledFuse => "pull fuse",
        Sort::Plug => "plug",
        Sort::BatteryMinus => "battery minus",
        Sort::BoltedFuse => "bolted fuse",
        Sort::Lug => "lug",
        Sort::Capacitor => "capacitors",
    }
}

/// Seconds for people: below two minutes as seconds.
pub(crate) fn minutes_words(seconds: f64) -> String {
    if seconds < 120.0 {
        format!("{seconds:.0} s")
    } else {
        format!("{:.0} min", (seconds / 60.0).ceil())
    }
}
