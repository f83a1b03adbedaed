//! Whether a verdict on a current would stand if the powers that are only assumed were others.
//!
//! Every state is solved twice: as it stands, and with everything off whose power or limit is only
//! assumed. The lesser of the two is what flows in any case; the difference is what the assumptions
//! bring. A failure counts only if it fails in any case; a pass only if ten times the difference
//! would not undo it; and where twice the difference would, somebody has to find out.

use std::cell::LazyCell;
use std::collections::BTreeSet;

use catalog::ASSUMED_COUNTS_UP_TO;
use circuit::BranchId;
use model::{Attribute, DeviceId, Missing, Place, Role, Vehicle};
use network::{Item, Network, Passage, Port};

use crate::circuits::source_terminals;
use crate::context::{Context, Solved};
use crate::outcome::missing;

/// How much more than assumed makes finding out worth while; see `catalog` source `fault-spread`.
const ASKS_FROM: f64 = 2.0;

/// What a limit makes of a current.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Weighed {
    /// It holds, whatever the assumed powers are.
    Holds,
    /// It holds by the assumed powers, by a good margin: neither a pass nor worth a question.
    Uncounted,
    /// It fails even if nothing assumed draws anything.
    Fails,
    /// It depends on these.
    Depends(Vec<Missing>),
}

/// Devices of assumed power that may contribute to an amount: found once a limit asks for them, as
/// walking their ways takes longer than all checks together.
type Contributors<'a> = LazyCell<Vec<DeviceId>, Box<dyn FnOnce() -> Vec<DeviceId> + 'a>>;

/// An amount (a current, a drop) in one state, as it stands and with the assumed powers off.
pub(crate) struct Amount<'a> {
    pub(crate) all: f64,
    pub(crate) sure: f64,
    pub(crate) devices: Contributors<'a>,
}

impl<'a> Amount<'a> {
    pub(crate) fn new(all: f64, sure: f64, devices: impl FnOnce() -> Vec<DeviceId> + 'a) -> Self {
        Amount { all, sure, devices: LazyCell::new(Box::new(devices)) }
    }

    fn brought(&self) -> f64 {
        (self.all - self.sure).abs()
    }

    fn if_assumed_times(&self, factor: f64) -> f64 {
        self.all.min(self.sure) + factor * self.brought()
    }
}

/// Weighs amounts of all states against a limit.
pub(crate) fn weigh(
    vehicle: &Vehicle,
    amounts: &[Amount<'_>],
    over: impl Fn(f64) -> bool,
) -> Weighed {
    if amounts.iter().any(|amount| over(amount.all.min(amount.sure)) && over(amount.all)) {
        return Weighed::Fails;
    }
    let asked: BTreeSet<DeviceId> = amounts
        .iter()
        .filter(|amount| over(amount.all) || over(amount.if_assumed_times(ASKS_FROM)))
        .flat_map(|amount| amount.devices.iter().copied())
        .collect();
    if !asked.is_empty() {
        let ask = |id| missing(question(vehicle, id), Place::Device(id));
        return Weighed::Depends(that_matter(vehicle, asked).into_iter().map(ask).collect());
    }
    match amounts.iter().any(|amount| over(amount.if_assumed_times(ASSUMED_COUNTS_UP_TO))) {
        true => Weighed::Uncounted,
        false => Weighed::Holds,
    }
}

/// Those that draw at least a tenth of what the largest of them does, as far as that is known: the
/// question is worth a look at a label, not at every lamp's.
fn that_matter(vehicle: &Vehicle, asked: BTreeSet<DeviceId>) -> Vec<DeviceId> {
    let watt = |id: &DeviceId| vehicle.devices[*id].number(Attribute::Power);
    let most_w = asked.iter().filter_map(watt).fold(0.0, f64::max);
    asked
        .into_iter()
        .filter(|id| watt(id).is_none_or(|w| ASSUMED_COUNTS_UP_TO * w >= most_w))
        .collect()
}

fn question(vehicle: &Vehicle, id: DeviceId) -> String {
    let device = &vehicle.devices[id];
    match device.role.is_dc_load() {
        true => format!("find out what {} draws: read its label, or clamp its lead", device.name),
        false => format!("find out the most {} delivers: read its label", device.name),
    }
}

impl<'a> Context<'a> {
    /// The size of a branch's current in every state.
    pub(crate) fn amounts(
        &self,
        mut branch: impl FnMut(&Network) -> Option<BranchId>,
    ) -> Vec<Amount<'a>> {
        let vehicle = self.vehicle;
        let mut amounts = Vec::new();
        for solved in self.states {
            let Some(here) = branch(solved.network) else { continue };
            let largest = |points: &[solve::OperatingPoint], branch: BranchId| {
                points.iter().map(|point| point.current(branch).abs()).fold(0.0, f64::max)
            };
            let all = largest(solved.points, here);
            let sure =
                branch(solved.sure.network).map_or(all, |there| largest(solved.sure.points, there));
            amounts.push(Amount::new(all, sure, move || contributors(vehicle, solved, here)));
        }
        amounts
    }
}

/// The devices left out whose way to a source and back goes through a branch; all of them where the
/// ways are not that simple.
fn contributors(vehicle: &Vehicle, solved: &Solved<'_>, branch: BranchId) -> Vec<DeviceId> {
    let on_way: Vec<DeviceId> = solved
        .network
        .ports
        .iter()
        .filter(|port| solved.sure.left_out.contains(&port.device))
        .filter(|port| branches_on_way(vehicle, solved.network, port).contains(&branch))
        .map(|port| port.device)
        .collect();
    if on_way.is_empty() { solved.sure.left_out.to_vec() } else { on_way }
}

/// Wires, joints and contacts from a port's two terminals to the nearest battery or converter.
fn branches_on_way(vehicle: &Vehicle, network: &Network, port: &Port) -> BTreeSet<BranchId> {
    let graph = &network.graph;
    let mut branches = BTreeSet::new();
    for (start, names) in [(port.plus, ["+", "out+"]), (port.minus, ["-", "out-"])] {
        let walk = graph.walk([graph.stud(start)], |link, _| {
            matches!(link.passage, Passage::Metal | Passage::OneWay | Passage::Maybe)
        });
        let ends = vehicle.devices.iter().filter(|(id, device)| {
            *id != port.device && matches!(device.role, Role::Battery | Role::DcDcCharger)
        });
        let ends = ends.filter_map(|(id, _)| {
            names.iter().find_map(|name| vehicle.terminal_of(id, name)).map(|t| graph.stud(t))
        });
        let nearest = ends.filter(|end| walk.reaches(*end)).min_by_key(|end| walk.path(*end).len());
        let Some(nearest) = nearest else { continue };
        for link in walk.path(nearest) {
            let link = graph.get(link);
            match link.item {
                Item::Wire(wire) => branches.extend(network.wire_branch(wire)),
                Item::Joint(joint) => branches.extend(network.joint_branch(joint)),
                Item::Device(id) => branches.extend(
                    network
                        .contacts_of(id)
                        .iter()
                        .filter(|(_, out, _)| {
                            let stud = graph.stud(*out);
                            stud == link.a || stud == link.b
                        })
                        .map(|(.., branch)| *branch),
                ),
                Item::Body => {}
            }
        }
    }
    branches
}

/// The devices of a state whose current is only assumed: loads of unrecorded power, sources of
/// unrecorded limit.
pub fn assumed_devices(vehicle: &Vehicle, state: &model::State) -> Vec<DeviceId> {
    let unsure = |id: DeviceId| {
        let device = &vehicle.devices[id];
        let known = |attribute| device.fact(attribute).evidence().is_some();
        match device.role {
            role if role.is_dc_load() && !state.on.contains(&id) => false,
            Role::MotorLoad => !known(Attribute::Armature) || !known(Attribute::BackEmf),
            role if role.is_dc_load() => !known(Attribute::Power),
            Role::Alternator | Role::DcDcCharger | Role::MainsCharger => {
                !source_terminals(vehicle, id, device.role).is_empty()
                    && !known(Attribute::Limit)
                    && !known(Attribute::Rated)
            }
            _ => false,
        }
    };
    vehicle.devices.ids().filter(|id| unsure(*id)).collect()
}

#[cfg(test)]
mod tests;
