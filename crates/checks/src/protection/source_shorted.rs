//! Check: `source-shorted`.

use model::{
    Attribute, Confidence, DeviceId, Landing, Place, Role, Signal, TerminalId, WireEnd, WireId,
};
use network::{Graph, Item, Link, LinkId, Network, Passage, Point};

use crate::circuits::wires_of;
use crate::context::Context;
use crate::outcome::{Failure, Out, missing, practice};
use crate::registry::Check;

pub(crate) const CHECK: Check =
    Check::new("source-shorted", include_str!("../../spec/source-shorted.md"), check);

fn check(context: &Context<'_>, out: &mut Out) {
    for (id, device) in context.vehicle.devices.iter() {
        let terminal = |name| context.vehicle.terminal_of(id, name);
        if let (Role::Battery, Some(plus), Some(minus)) =
            (device.role, terminal("+"), terminal("-"))
        {
            judge(&Battery { context, id, plus, minus }, out);
        }
    }
}

/// A battery with its posts.
struct Battery<'c> {
    context: &'c Context<'c>,
    id: DeviceId,
    plus: TerminalId,
    minus: TerminalId,
}

fn judge(battery: &Battery<'_>, out: &mut Out) {
    let name = &battery.context.vehicle.devices[battery.id].name;
    let place = Place::Device(battery.id);
    let now = |link: &Link| link.passage == Passage::Metal;
    let later = |link: &Link| now(link) || battery.may_close(link);
    if let Some((state, network, path)) = battery.way(now) {
        out.fails(battery.shorted(state, network, &path));
    } else if let Some((_, network, path)) = battery.way(later) {
        let contacts = battery.open_contacts(network, &path);
        let message = format!("plus and minus of {name} are joined once {contacts} closes");
        let facts = vec![missing(format!("find out whether {contacts} ever closes"), place)];
        out.cannot_tell(place, Signal::Warning, message, facts);
    } else if battery.may_be_joined_unseen() {
        let message = format!("whether an unseen wire joins plus and minus of {name} is not known");
        let what = "read the volts across it as it stands, and note them";
        out.cannot_tell(place, Signal::Notice, message, vec![missing(what, place)]);
    } else {
        out.holds();
    }
}

impl Battery<'_> {
    /// The way from plus to minus over some links, through other batteries only from minus to
    /// plus: a battery the wrong way round closes the loop too.
    fn way(&self, over: impl Fn(&Link) -> bool) -> Option<(&str, &Network, Vec<LinkId>)> {
        self.context.states.iter().find_map(|solved| {
            let graph = &solved.network.graph;
            let end = graph.stud(self.minus);
            let walk = graph.walk([graph.stud(self.plus)], |link, at| {
                over(link) || self.adds_up(graph, link, at)
            });
            let path = walk.reaches(end).then(|| walk.path(end))?;
            Some((solved.state.name.as_str(), solved.network, path))
        })
    }

    fn adds_up(&self, graph: &Graph, link: &Link, at: Point) -> bool {
        let Item::Device(other) = link.item else { return false };
        let vehicle = self.context.vehicle;
        other != self.id
            && vehicle.devices[other].role == Role::Battery
            && vehicle.terminal_of(other, "-").is_some_and(|minus| graph.stud(minus) == at)
    }

    /// A switch or fuse that is open now, or the contact of a relay.
    fn may_close(&self, link: &Link) -> bool {
        let Item::Device(id) = link.item else { return false };
        let role = self.context.vehicle.devices[id].role;
        link.passage == Passage::Open
            || (link.passage == Passage::Maybe && role == Role::CombinerRelay)
    }

    fn open_contacts(&self, network: &Network, path: &[LinkId]) -> String {
        let links = path.iter().map(|link| network.graph.get(*link));
        let names: Vec<&str> = links
            .filter(|link| self.may_close(link))
            .filter_map(|link| match link.item {
                Item::Device(id) => Some(self.context.vehicle.devices[id].name.as_str()),
                _ => None,
            })
            .collect();
        names.join(" and ")
    }

    /// Wires on both posts go on where nobody has looked, and nobody has read a voltage: a battery
    /// that shows its rest voltage is not shorted.
    fn may_be_joined_unseen(&self) -> bool {
        let vehicle = self.context.vehicle;
        let is_lost = |end: &model::End| !matches!(end.landing, Landing::At(_));
        let lost: Vec<WireId> = (vehicle.wires.iter())
            .filter(|(_, facts)| facts.ends.iter().any(is_lost))
            .map(|(wire, _)| wire)
            .collect();
        let unseen = |terminal: TerminalId| {
            self.context.states.iter().any(|solved| {
                let graph = &solved.network.graph;
                let walk = graph.metal([graph.stud(terminal)]);
                lost.iter().any(|wire| {
                    WireEnd::BOTH.iter().any(|end| walk.reaches(graph.wire_end(*wire, *end)))
                })
            })
        };
        let is_read = vehicle.devices[self.id].fact(Attribute::Rest).evidence().is_some();
        !is_read && !lost.is_empty() && unseen(self.plus) && unseen(self.minus)
    }

    fn shorted(&self, state: &str, network: &Network, path: &[LinkId]) -> Failure {
        let vehicle = self.context.vehicle;
        let name = &vehicle.devices[self.id].name;
        let wires = wires_of(network, path);
        let names: Vec<&str> =
            wires.iter().map(|wire| vehicle.wires[*wire].name.as_str()).collect();
        Failure {
            place: Place::Device(self.id),
            related: wires.iter().map(|wire| Place::Wire(*wire)).collect(),
            signal: Signal::Danger,
            confidence: Confidence::Firm,
            message: format!("metal joins plus and minus of {name}"),
            evidence: vec![format!("state {state}, by {}", names.join(", "))],
            limit: practice(
                "no way of metal from plus to minus, and batteries joined plus to plus or in series",
            ),
            remedy: format!(
                "do not switch on; take the cable off {name} and find out whether the record or the vehicle is wrong"
            ),
        }
    }
}
