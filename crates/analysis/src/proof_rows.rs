//! Which readings and looks would refute a repair: derived from what it changes in the record, and
//! computed on the mended record.

use circuit::{BranchId, Element};
use mend::{Decided, Limits, Uncertainty};
use model::{
    Attribute, Change, DeviceId, JointId, JointKind, Landing, ReadingPoints, Role, State, StateId,
    TerminalId, WireId,
};
use network::Network;
use units::{Ampere, Dimension, Volt};

use crate::case::{Case, points};
use crate::dead_view::Caution;
use crate::handover_view::IsolationView;
use crate::proof::{Asks, Figure, Row};

/// Lugs on one stud that are read; the others are as good as they look.
const MOST_LUGS: usize = 4;

/// Above this a millivolt range shows nothing, V.
const MILLIVOLTS_TO_V: f64 = 0.4;

/// Rows for all chosen repairs, dead tests first.
pub(crate) fn rows(before: &Case, after: &Case, mends: &[String]) -> Vec<Row> {
    let mut rows = Vec::new();
    if mends.is_empty() {
        return rows;
    }
    rows.extend(made_dead(before, &before.isolation()));
    for mend in after.vehicle().mends.iter().filter(|mend| mends.contains(&mend.name)) {
        let maker = Maker { before, after, mend: &mend.name };
        for row in maker.rows(&mend.changes) {
            match rows.iter_mut().find(|known: &&mut Row| known.key == row.key) {
                Some(known) => known.mends.extend(row.mends),
                None => rows.push(row),
            }
        }
    }
    rows.extend(crate::proof_volts::at_terminals(before, after));
    rows.sort_by_key(|row| !row.is_dead);
    rows
}

pub(crate) fn row(key: String, is_dead: bool, what: String, asks: Asks) -> Row {
    Row {
        key,
        mends: Vec::new(),
        is_dead,
        what,
        points: String::new(),
        state: None,
        state_words: String::new(),
        asks,
        limit: String::new(),
        source: "practice".to_owned(),
        cautions: Vec::new(),
    }
}

/// What was switched off for the work is dead.
pub(crate) fn made_dead(case: &Case, isolation: &IsolationView) -> Vec<Row> {
    let limit_v = case.catalog.dead.limits.dead_v;
    let studs = isolation.steps.iter().flat_map(|step| &step.prove);
    let rows = studs.map(|stud| {
        let figure = Figure {
            dimension: Dimension::Voltage,
            instrument: "multimeter volts",
            expected: 0.0,
            limits: Limits { low: None, high: Some(limit_v) },
            unsigned: true,
            at: None,
        };
        let what = format!("Prove {stud} dead: to its return, and to the body");
        let mut row = row(format!("dead {stud}"), true, what, Asks::Reading(figure));
        row.points = format!("{stud} to its return; {stud} to body");
        row.state_words = "switched off".to_owned();
        row.limit = format!("below {} a conductor is called dead", Volt::from_si(limit_v));
        row.cautions.push(caution(
            "WARNING",
            "prove the meter on a known source before and after; what floats is not dead",
        ));
        row
    });
    rows.collect()
}

fn caution(signal: &str, words: &str) -> Caution {
    Caution { signal: signal.to_owned(), words: words.to_owned() }
}

/// Makes the rows of one repair.
pub(crate) struct Maker<'c> {
    pub(crate) before: &'c Case,
    pub(crate) after: &'c Case,
    pub(crate) mend: &'c str,
}

impl Maker<'_> {
    fn rows(&self, changes: &[Change]) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for change in changes {
            let [section, name, rest @ ..] = change.path.as_slice() else { continue };
            if change.is.is_none() {
                rows.extend(rest.is_empty().then(|| self.gone(section, name)).flatten());
                continue;
            }
            match (section.as_str(), rest.first().map(String::as_str)) {
                ("wires", _) => {
                    rows.extend(self.look_along(name).unwrap_or_else(|| self.wire(name)));
                }
                ("joints", _) => rows.extend(self.joints(name)),
                ("stacks", _) => rows.extend(self.stack(name)),
                ("devices", None) => rows.extend(self.new_device(name)),
                ("devices", Some(field)) => rows.extend(self.field(name, field)),
                _ => {}
            }
        }
        for row in &mut rows {
            row.mends = vec![self.mend.to_owned()];
        }
        rows
    }

    /// A wire is whole, and loses no more than it should.
    fn wire(&self, name: &str) -> Vec<Row> {
        let vehicle = self.after.vehicle();
        let cores = vehicle.wires.iter().filter(|(_, wire)| {
            wire.name == name
                || wire.name.strip_prefix(name).is_some_and(|rest| rest.starts_with('/'))
        });
        let mut rows = Vec::new();
        for (id, wire) in cores {
            let [Landing::At(a), Landing::At(b)] = wire.ends.map(|end| end.landing) else {
                continue;
            };
            if vehicle.is_ac(id) {
                rows.push(self.licensed(&format!("wire {}", wire.name)));
                continue;
            }
            let is_lead =
                wire.length.value().is_some_and(|long| *long <= self.after.catalog.mending.lead);
            if !is_lead {
                rows.extend(self.whole(id, a, b));
                rows.extend(self.drop_along(id, a, b));
            }
        }
        rows
    }

    fn whole(&self, id: WireId, a: TerminalId, b: TerminalId) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let name = &vehicle.wires[id].name;
        let network = self.after.networks.first()?;
        let Element::Resistor { ohm, .. } =
            network.circuit.branch(network.wire_branch(id)?).element
        else {
            return None;
        };
        let proof = &self.after.catalog.mending.proof;
        let figure = Figure {
            dimension: Dimension::Resistance,
            instrument: "multimeter ohms",
            expected: ohm,
            limits: Limits { low: None, high: Some(proof.continuity.si().max(2.0 * ohm)) },
            unsigned: true,
            at: None,
        };
        let what = format!("Continuity of wire {name}, both ends off, from end to end");
        let mut row = row(format!("continuity {name}"), true, what, Asks::Reading(figure));
        row.points =
            format!("{} end to {} end", vehicle.terminal_name(a), vehicle.terminal_name(b));
        row.state_words = "made dead, both ends off".to_owned();
        row.limit = format!("a whole wire reads below {}", proof.continuity);
        row.source.clone_from(&proof.source);
        row.cautions
            .push(caution("CAUTION", "ohms only on what is proved dead: volts destroy the meter"));
        Some(row)
    }

    fn drop_along(&self, id: WireId, a: TerminalId, b: TerminalId) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let name = &vehicle.wires[id].name;
        let (state, ampere) = self.strongest(|network| network.wire_branch(id))?;
        // What hardly carries anything drops nothing that a meter could show.
        if ampere < self.after.catalog.mending.proof.least_current.si() {
            return None;
        }
        let at = ReadingPoints::Between(a, b);
        let expected = self.largest(state, at)?;
        let share = self.after.catalog.mending.proof.share;
        let figure =
            self.volts(expected, Limits { low: None, high: Some(expected * (1.0 + share)) }, at);
        let what = format!("Drop along wire {name} with its joints, under load");
        let mut row = row(format!("along {name}"), false, what, Asks::Reading(figure));
        row.points = format!("{} to {}", vehicle.terminal_name(a), vehicle.terminal_name(b));
        row.state = Some(state);
        row.limit = format!("a quarter above the {} that the sums give", Volt::from_si(expected));
        row.source.clone_from(&self.after.catalog.mending.proof.source);
        row.cautions.push(live());
        Some(row)
    }

    /// Joints by the key of a record line: `w3 at box.1`, `w3 at box`.
    fn joints(&self, key: &str) -> Vec<Row> {
        let vehicle = self.after.vehicle();
        let Some((wire, at)) = key.split_once(" at ") else { return Vec::new() };
        let of_key = vehicle.joints.ids().filter(|id| {
            let joint = &vehicle.joints[*id];
            let facts = &vehicle.wires[joint.wire];
            let Some(terminal) = facts.terminal(joint.end) else { return false };
            let device = &vehicle.devices[vehicle.terminals[terminal].device].name;
            let cable = facts.name.split('/').next();
            (facts.name == wire || cable == Some(wire))
                && (vehicle.terminal_name(terminal) == at || device == at)
        });
        let joints: Vec<JointId> = of_key.collect();
        let on_mains = joints.iter().any(|id| vehicle.is_ac(vehicle.joints[*id].wire));
        if on_mains {
            return vec![self.licensed(key)];
        }
        let is_stud = |id: &JointId| {
            let kind = vehicle.joints[*id].kind.value();
            kind.is_none_or(|kind| matches!(kind, JointKind::Lug | JointKind::Screw))
        };
        let mut rows = vec![pulled(key, joints.iter().all(is_stud))];
        rows.extend(joints.iter().filter_map(|id| self.joint_drop(*id)));
        rows
    }

    fn joint_drop(&self, id: JointId) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let proof = &self.after.catalog.mending.proof;
        let (state, ampere) = self.strongest(|network| network.joint_branch(id))?;
        if ampere < proof.least_current.si() {
            return None;
        }
        let at = ReadingPoints::Over(id);
        let expected = self.largest(state, at)?;
        let published = self.after.catalog.limits.get("joint-drop", vehicle.region);
        let good = proof.times_a_good_joint * expected;
        let name = vehicle.joint_name(id);
        let figure =
            self.volts(expected, Limits { low: None, high: Some(good.min(published.value)) }, at);
        // A joint that stays bad is another finding, and proves nothing of this repair.
        if !self.would_pass(&figure) {
            return None;
        }
        let what = format!("Drop across the joint {name}, under load");
        let mut row = row(format!("over {name}"), false, what, Asks::Reading(figure));
        row.points = format!("{name}: the metal of the wire to what it is joined to");
        row.state = Some(state);
        (row.limit, row.source) = match good < published.value {
            true => (
                format!(
                    "{:.0} times what a good joint drops at {}",
                    proof.times_a_good_joint,
                    Ampere::from_si(ampere)
                ),
                proof.source.clone(),
            ),
            false => (published.words.clone(), published.source.clone()),
        };
        row.cautions.push(live());
        Some(row)
    }

    fn stack(&self, terminal: &str) -> Vec<Row> {
        let vehicle = self.after.vehicle();
        let so = format!("{terminal} bright, lugs first, then washers, then nut; torque marked");
        let look = row(
            format!("look {terminal}"),
            true,
            format!("Look at the stack on {terminal}"),
            Asks::Look(so),
        );
        let on =
            vehicle.stacks.iter().find(|stack| vehicle.terminal_name(stack.terminal) == terminal);
        let lugs = on.into_iter().flat_map(|stack| vehicle.wires_at(stack.terminal));
        let joints = lugs.map(|(wire, end)| vehicle.wires[wire].end(end).joint);
        let mut drops: Vec<Row> = joints.filter_map(|joint| self.joint_drop(joint)).collect();
        drops.truncate(MOST_LUGS);
        std::iter::once(look).chain(drops).collect()
    }

    /// A fuse or isolator that is new.
    fn new_device(&self, name: &str) -> Vec<Row> {
        let vehicle = self.after.vehicle();
        let Some((id, device)) = vehicle.devices.find(|device| device.name == name) else {
            return Vec::new();
        };
        let rated = device.number(Attribute::Rated).map(Ampere::from_si);
        let rated = rated.map_or_else(String::new, |ampere| format!(", {ampere}"));
        let kind = catalog::trade_name(&device.kind);
        let so = format!("{kind} {name}{rated}, labelled, nothing in front of it");
        let mut rows =
            vec![row(format!("look {name}"), true, format!("Look at {name}"), Asks::Look(so))];
        rows.extend(self.opens(id));
        rows.extend(self.carries(id, device.terminals.get(1).copied()));
        rows
    }

    /// With it open nothing is left behind it.
    fn opens(&self, id: DeviceId) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let device = &vehicle.devices[id];
        let out = vehicle.terminal_of(id, "out")?;
        let black = vehicle.devices.iter().find_map(|(battery, facts)| {
            let is_house = facts.role == Role::Battery && !facts.base_vehicle;
            vehicle.terminal_of(battery, "-").filter(|_| is_house)
        })?;
        let mut state = State::at_rest("with it open");
        state.open = vec![id];
        let network = network::build(vehicle, &state, &self.after.catalog);
        let outcome = solve::settle(&network.circuit);
        let at = ReadingPoints::Between(out, black);
        let read = |point| crate::readings::value(vehicle, &network, point, at);
        let left_v = points(&outcome).iter().filter_map(read).map(f64::abs).fold(0.0, f64::max);
        let limit_v = self.after.catalog.dead.limits.dead_v;
        let verb = if device.role.isolates() { "open" } else { "taken out" };
        let what =
            format!("With {} {verb}, engine and sun off, nothing is left behind it", device.name);
        let asks = match left_v < limit_v {
            true => Asks::Reading(Figure {
                dimension: Dimension::Voltage,
                instrument: "multimeter volts",
                expected: left_v,
                limits: Limits { low: None, high: Some(limit_v) },
                unsigned: true,
                at: None,
            }),
            false => Asks::NoNumber(format!(
                "another source feeds {} as well: {} stays there with {} {verb}",
                vehicle.terminal_name(out),
                Volt::from_si(left_v),
                device.name
            )),
        };
        let mut row = row(format!("off {}", device.name), false, what, asks);
        row.points = format!("{} to {}", vehicle.terminal_name(out), vehicle.terminal_name(black));
        row.state_words = format!("{} {verb}, engine off, dark, loads on", device.name);
        row.limit = format!("below {} a conductor is called dead", Volt::from_si(limit_v));
        row.cautions.push(live());
        Some(row)
    }

    /// The current through it stays below its rating.
    fn carries(&self, id: DeviceId, out: Option<TerminalId>) -> Option<Row> {
        let vehicle = self.after.vehicle();
        let device = &vehicle.devices[id];
        let out = out?;
        let way = device.ways.iter().find(|way| way.terminal == out);
        let rated = match way {
            Some(way) => way.rated.value().copied(),
            None => device.number(Attribute::Rated).map(Ampere::from_si),
        }?;
        let (wire, _) = vehicle.wires_at(out).next()?;
        let (state, ampere) = self.strongest(|network| network.wire_branch(wire))?;
        if ampere < self.after.catalog.mending.proof.least_current.si() {
            return None;
        }
        let figure = Figure {
            dimension: Dimension::Current,
            instrument: "clamp",
            expected: ampere,
            limits: Limits { low: None, high: Some(rated.si()) },
            unsigned: true,
            at: Some(ReadingPoints::In(wire)),
        };
        let name = vehicle.terminal_name(out);
        let what = format!("Current through {name} in the state in which most flows");
        let mut row = row(format!("through {name}"), false, what, Asks::Reading(figure));
        row.points = format!("clamp round wire {}", vehicle.wires[wire].name);
        row.state = Some(state);
        row.limit = format!("its rating, {rated}");
        Some(row)
    }

    /// A field of a device that is as it should be.
    fn field(&self, name: &str, field: &str) -> Vec<Row> {
        let vehicle = self.after.vehicle();
        let Some((id, device)) = vehicle.devices.find(|device| device.name == name) else {
            return Vec::new();
        };
        let look = |what: String, so: String| {
            row(format!("look {name} {field}"), true, what, Asks::Look(so))
        };
        match field {
            "rated" => {
                let rated = device.number(Attribute::Rated).map(Ampere::from_si);
                let so = rated.map_or_else(String::new, |rated| {
                    format!("{name} is {rated}, and so says its label")
                });
                let what = match device.role {
                    Role::Fuse => format!("Read the fuse in {name}"),
                    _ => format!("Read the rating of {name}"),
                };
                let mut rows = vec![look(what, so)];
                rows.extend(self.carries(id, device.terminals.get(1).copied()));
                rows
            }
            "ways" => self.ways(id),
            "held" => {
                let held = device.mounting.as_ref().map_or("", |held| held.words.as_str());
                vec![look(
                    format!("Pull at {name} in every direction, as hard as you can"),
                    format!("nothing moves; {held}; bolts marked at their torque"),
                )]
            }
            "residual" => vec![self.licensed(&format!("residual-current device in {name}"))],
            "bond" => vec![self.licensed(&format!("neutral-earth link in {name}"))],
            "behind" => vec![look(
                format!("Get at {name} by the new way"),
                "a hand with a tool gets there, and nothing has to be broken".to_owned(),
            )],
            _ => self.looked_at(name, field).into_iter().collect(),
        }
    }

    /// Ways of a fuse box that have another fuse than before.
    fn ways(&self, id: DeviceId) -> Vec<Row> {
        let device = &self.after.vehicle().devices[id];
        let old = self.before.vehicle().devices.find(|old| old.name == device.name);
        let mut rows = Vec::new();
        for (at, way) in device.ways.iter().enumerate() {
            let was = old.and_then(|(_, old)| old.ways.get(at)).map(|old| old.rated.value());
            let Some(rated) = way.rated.value().filter(|_| was != Some(way.rated.value())) else {
                continue;
            };
            let name = format!("{} way {}", device.name, at + 1);
            let so = format!("{name} is {rated}, and so says its label");
            rows.push(row(
                format!("look {name}"),
                true,
                format!("Read the fuse in {name}"),
                Asks::Look(so),
            ));
            rows.extend(self.carries(id, Some(way.terminal)));
        }
        rows
    }

    /// Whether work that is done as computed passes for certain.
    pub(crate) fn would_pass(&self, figure: &Figure) -> bool {
        let class = self.after.catalog.instruments.get(figure.instrument);
        class.is_some_and(|class| {
            let of = Uncertainty::of_instrument(figure.expected, class.gain, class.zero);
            figure.limits.decide(figure.expected, of) == Decided::Pass
        })
    }

    fn licensed(&self, place: &str) -> Row {
        let so = "tested and certified by a licensed electrician, by the local rules".to_owned();
        let what = format!("Mains side: {place}");
        let mut row = row(format!("certified {place}"), true, what, Asks::Look(so));
        row.cautions.push(caution(
            "DANGER",
            "mains voltage kills: not for this workshop unless it is licensed",
        ));
        row
    }

    pub(crate) fn volts(&self, expected: f64, limits: Limits, at: ReadingPoints) -> Figure {
        let is_fine = limits.high.is_some_and(|high| high < MILLIVOLTS_TO_V);
        let instrument = if is_fine { "multimeter millivolts" } else { "multimeter volts" };
        Figure {
            dimension: Dimension::Voltage,
            instrument,
            expected,
            limits,
            unsigned: limits.low.is_none(),
            at: Some(at),
        }
    }

    /// The state in which a branch carries most, and how much, A.
    pub(crate) fn strongest(
        &self,
        branch: impl Fn(&Network) -> Option<BranchId>,
    ) -> Option<(StateId, f64)> {
        let currents = self.after.states().filter_map(|(id, _, network, outcome)| {
            let branch = branch(network)?;
            let of_points = points(outcome).iter().map(|point| point.current(branch).abs());
            Some((id, of_points.filter(|ampere| ampere.is_finite()).reduce(f64::max)?))
        });
        currents.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, ampere)| *ampere > 0.0)
    }

    pub(crate) fn largest(&self, state: StateId, at: ReadingPoints) -> Option<f64> {
        let values = self.after.values_at(state, at).into_iter().map(f64::abs);
        values.filter(|volt| volt.is_finite()).reduce(f64::max)
    }
}

fn pulled(key: &str, is_on_stud: bool) -> Row {
    let so = match is_on_stud {
        true => "it does not move, the metal is bright, the stud is marked at its torque",
        false => "it does not move, nothing is nicked or bare, it is closed against damp",
    };
    let what = format!("Pull at the joint {key}");
    row(format!("pull {key}"), true, what, Asks::Look(so.to_owned()))
}

pub(crate) fn live() -> Caution {
    caution(
        "WARNING",
        "live: insulated probes, one hand, nothing metal near a battery post; start with covers on that keep hands off mains",
    )
}
