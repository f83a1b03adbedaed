//! What checks of looked-at things share: a verdict for an answered look, and one question for many
//! things that nobody looked at.

use model::{
    Confidence, DeviceId, Fact, JointId, Limit, Look, LookedAt, Missing, Place, Role, Signal,
    TerminalId, Vehicle, Wire, WireId,
};

use crate::circuits::is_base_vehicle;
use crate::context::Context;
use crate::outcome::{Failure, Out, missing};

/// From this size on a cable carries what can burn a vehicle, mm²; common practice, no source.
const HEAVY_MM2: f64 = 6.0;

/// What is wrong, and what to do.
pub(crate) struct Wrong {
    pub(crate) message: String,
    pub(crate) limit: Option<Limit>,
    pub(crate) remedy: String,
}

/// Something that was looked at.
pub(crate) struct Seen<'a> {
    pub(crate) place: Place,
    /// The place as people say it.
    pub(crate) name: &'a str,
    pub(crate) look: Look,
    pub(crate) fact: &'a Fact<bool>,
}

/// Whether somebody looked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Looked {
    /// The answer was judged.
    Judged,
    /// Nobody looked.
    No,
}

impl Seen<'_> {
    /// The verdict of an answered look. An assumed answer passes nothing: `find_out` says what to
    /// look at.
    pub(crate) fn judge(
        &self,
        out: &mut Out,
        signal: Signal,
        find_out: &str,
        wrong: impl FnOnce() -> Wrong,
    ) -> Looked {
        let Fact::Known { value: good, origin } = self.fact else { return Looked::No };
        let answer = self.look.words().answer(good);
        match (good, origin.is_evidence()) {
            (true, true) => out.holds(),
            (true, false) => {
                let message = format!("{}: {answer} is only assumed", self.name);
                out.cannot_tell(self.place, signal, message, vec![missing(find_out, self.place)]);
            }
            (false, _) => {
                let wrong = wrong();
                out.fails(Failure {
                    place: self.place,
                    related: Vec::new(),
                    signal,
                    confidence: confidence(self.fact),
                    message: wrong.message,
                    evidence: vec![format!("{answer}: {}", origin.word())],
                    limit: wrong.limit,
                    remedy: wrong.remedy,
                });
            }
        }
        Looked::Judged
    }
}

/// How firm a failure is that rests on one fact.
pub(crate) fn confidence<T>(fact: &Fact<T>) -> Confidence {
    if fact.is_assumed() { Confidence::Likely } else { Confidence::Firm }
}

/// A look at the way of cables.
pub(crate) struct WireLook {
    pub(crate) look: Look,
    pub(crate) signal: Signal,
    pub(crate) find_out: &'static str,
    /// What is wrong with the cable of a name.
    pub(crate) wrong: fn(&str) -> Wrong,
}

impl WireLook {
    /// Judges every cable of the conversion that was looked at, and gives those nobody looked at.
    pub(crate) fn judge(&self, context: &Context<'_>, out: &mut Out) -> Vec<WireId> {
        let unseen = cables(context.vehicle).filter(|(id, wire)| {
            let name = cable_name(wire);
            let seen = Seen {
                place: Place::Wire(*id),
                name,
                look: self.look,
                fact: wire.course.looks.get(self.look),
            };
            seen.judge(out, self.signal, self.find_out, || (self.wrong)(name)) == Looked::No
        });
        unseen.map(|(id, _)| id).collect()
    }
}

/// A look at devices.
pub(crate) struct DeviceLook {
    pub(crate) look: Look,
    pub(crate) signal: Signal,
    pub(crate) find_out: &'static str,
    /// What is wrong with the device of a name.
    pub(crate) wrong: fn(&str) -> Wrong,
}

impl DeviceLook {
    /// Judges a device; the base vehicle's own are nobody's business here.
    pub(crate) fn judge(&self, context: &Context<'_>, id: DeviceId, out: &mut Out) -> Looked {
        let device = &context.vehicle.devices[id];
        if device.base_vehicle {
            return Looked::Judged;
        }
        let seen = Seen {
            place: Place::Device(id),
            name: &device.name,
            look: self.look,
            fact: device.looks.get(self.look),
        };
        seen.judge(out, self.signal, self.find_out, || (self.wrong)(&device.name))
    }
}

/// One question for all places that nobody looked at; none where there are none.
pub(crate) fn ask(out: &mut Out, signal: Signal, message: &str, find_out: &str, at: Vec<Place>) {
    if at.is_empty() {
        return;
    }
    let facts: Vec<Missing> = at.into_iter().map(|place| missing(find_out, place)).collect();
    out.cannot_tell(Place::Vehicle, signal, message, facts);
}

/// The cables of the conversion, each by its first core: what is seen of one core is seen of all.
pub(crate) fn cables(vehicle: &Vehicle) -> impl Iterator<Item = (WireId, &Wire)> {
    let mut last: Option<&str> = None;
    vehicle.wires.iter().filter(move |(id, wire)| {
        let name = cable_name(wire);
        let is_core = name != wire.name;
        let first = !(is_core && last == Some(name));
        last = Some(name);
        first && !is_base_vehicle(vehicle, *id)
    })
}

/// The name of a wire's cable: `ac1` of `ac1/N`, `pv` of `pv+`.
pub(crate) fn cable_name(wire: &Wire) -> &str {
    let cable = wire.name.split('/').next().unwrap_or_default();
    cable.strip_suffix(['+', '-']).unwrap_or(cable)
}

/// Cables that carry much, and those of the mains side.
pub(crate) fn heavy(context: &Context<'_>, unseen: Vec<WireId>) -> Vec<Place> {
    let vehicle = context.vehicle;
    let is_heavy = |id: &WireId| {
        let area = vehicle.wires[*id].area.value();
        vehicle.is_ac(*id) || area.is_some_and(|area| area.si() >= HEAVY_MM2)
    };
    unseen.into_iter().filter(is_heavy).map(Place::Wire).collect()
}

/// Joints of the conversion, with the terminal each is on.
pub(crate) fn joints(vehicle: &Vehicle) -> impl Iterator<Item = (JointId, TerminalId)> + '_ {
    vehicle.joints.iter().filter_map(|(id, joint)| {
        let terminal = vehicle.wires[joint.wire].terminal(joint.end)?;
        (!is_base_vehicle(vehicle, joint.wire)).then_some((id, terminal))
    })
}

/// The largest current of a joint in any state, A; nought where no state sends any through it.
pub(crate) fn worst_a(context: &Context<'_>, id: JointId) -> f64 {
    context.worst(|network| network.joint_branch(id)).map_or(0.0, |worst| worst.ampere)
}

/// The largest current on a terminal of any wire that lands there, A.
pub(crate) fn worst_on(context: &Context<'_>, terminal: TerminalId) -> f64 {
    let wires = context.vehicle.wires_at(terminal);
    let currents = wires.filter_map(|(id, _)| context.worst_in_wire(id));
    currents.map(|worst| worst.ampere).fold(0.0, f64::max)
}

/// Equipment that water or want of air harms most.
pub(crate) fn is_electrics(role: Role) -> bool {
    matches!(
        role,
        Role::Battery
            | Role::Inverter
            | Role::MainsCharger
            | Role::DcDcCharger
            | Role::SolarController
            | Role::DirectController
            | Role::FuseBox
            | Role::AcBreaker
            | Role::ShoreInlet
    )
}

/// A look that a joint may have; a joint is named as people say it.
pub(crate) fn judge_joint(
    context: &Context<'_>,
    id: JointId,
    look: Look,
    signal: Signal,
    find_out: &str,
    out: &mut Out,
    wrong: impl FnOnce(&str) -> Wrong,
) -> Looked {
    debug_assert!(look.words().of.contains(&LookedAt::Joint));
    let name = context.vehicle.joint_name(id);
    let fact = context.vehicle.joints[id].looks.get(look);
    let seen = Seen { place: Place::Joint(id), name: &name, look, fact };
    seen.judge(out, signal, find_out, || wrong(&name))
}
