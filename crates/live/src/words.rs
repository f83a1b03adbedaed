//! Ways and doubts in the words of the record.

use model::Vehicle;
use network::{Item, Passage};

use crate::{Doubt, DoubtKind, MAX_NAMES, Reached, Status};

impl Status {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Status::Live => "live",
            Status::MayBeLive => "may be live",
            Status::Return => "return",
            Status::NotReached => "not reached",
        }
    }
}

impl Doubt {
    /// Why the way is only possible, as a clause.
    pub fn words(&self, vehicle: &Vehicle) -> String {
        let name = item_name(vehicle, self.item).unwrap_or_default();
        match self.kind {
            DoubtKind::RelayMayClose => format!("{name} may close"),
            DoubtKind::ThroughConverter => {
                format!("energy through {name} cannot be ruled out in either direction")
            }
            DoubtKind::ThroughElectronics => {
                format!("current through the insides of {name} cannot be ruled out")
            }
            DoubtKind::Changeover => format!("the changeover contact in {name} may be closed"),
            DoubtKind::InsideUnknown => format!("what {name} joins inside is not known"),
            DoubtKind::JoinedUnseen => {
                format!("nobody has seen where {name} goes; it may be joined to others there")
            }
            DoubtKind::FeedUncertain => {
                format!("the record does not tell whether {name} is fed")
            }
            DoubtKind::MayBeOn => format!("{name} has energy of its own and may be on"),
            DoubtKind::StoredCharge => format!("{name} holds charge after everything is off"),
            DoubtKind::OwnCell => format!("a cell inside {name} may feed"),
        }
    }
}

impl Reached {
    /// The way as names of wires and devices, the source left out, joints left out; the last is the
    /// item before the conductor asked about. A load is `through NAME`. Of a way longer than
    /// [`MAX_NAMES`] the last names are told, after `...`.
    pub fn names(&self, vehicle: &Vehicle) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for step in self.tree.steps_back(self.place) {
            let Some(name) = item_name(vehicle, step.item) else { continue };
            let name = match step.passage {
                Passage::Load => format!("through {name}"),
                _ => name,
            };
            if names.len() == MAX_NAMES {
                names.push("...".to_owned());
                break;
            }
            if names.last() != Some(&name) {
                names.push(name);
            }
        }
        names.reverse();
        names
    }

    /// The whole way in one line: `house.+ > w1 > main > w2 > through fridge`.
    pub fn line(&self, vehicle: &Vehicle) -> String {
        let mut pieces = vec![vehicle.terminal_name(self.terminal)];
        pieces.extend(self.names(vehicle));
        pieces.join(" > ")
    }
}

/// Wires, devices and the body have names on a way; joints are left out.
fn item_name(vehicle: &Vehicle, item: Item) -> Option<String> {
    match item {
        Item::Wire(id) => Some(vehicle.wires[id].name.clone()),
        Item::Device(id) => Some(vehicle.devices[id].name.clone()),
        Item::Body => Some("body".to_owned()),
        Item::Joint(_) => None,
    }
}
