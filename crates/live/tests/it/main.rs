//! The live map against small vehicles worked out by hand, and against a second way of finding the
//! same answer.

mod kinds;
mod mains;
mod oracle;
mod random;
mod trade;

use live::{LiveMap, Status, Use};
use model::Vehicle;

/// A vehicle with the map of its state `s`.
pub(crate) struct Seen {
    pub(crate) vehicle: Vehicle,
    pub(crate) map: LiveMap,
}

/// Reads devices and wires in the form of a record; `state` fills the braces of the state `s`.
pub(crate) fn see(devices: &str, wires: &str, state: &str) -> Seen {
    let text = format!(
        "[vehicle]\nname = \"test\"\nsystem = \"12 V\"\n[parts]\npanel = {{ fixings = \"4 screws\", out = \"5 min\" }}\n\
         [devices]\n{devices}\n[wires]\n{wires}\n[states]\ns = {{ {state} }}\n"
    );
    let catalog = catalog::Catalog::embedded();
    let record = record::read(&text, &catalog);
    assert!(record.diagnostics.is_empty(), "{:?}\n{text}", record.diagnostics);
    let vehicle = record.vehicle;
    let (_, state) =
        vehicle.states.find(|state| state.name == "s").expect("the test names what it wrote");
    let network = network::build(&vehicle, state, &catalog);
    let map = live::map(&vehicle, state, &network);
    Seen { vehicle, map }
}

impl Seen {
    pub(crate) fn wire(&self, name: &str) -> &Use {
        let (id, _) = self
            .vehicle
            .wires
            .find(|wire| wire.name == name)
            .expect("the test names what it wrote");
        self.map.wire(id)
    }

    pub(crate) fn status(&self, wire: &str) -> Status {
        self.wire(wire).status
    }

    pub(crate) fn terminal(&self, device: &str, terminal: &str) -> &Use {
        let (id, _) =
            self.vehicle.devices.find(|d| d.name == device).expect("the test names what it wrote");
        self.map
            .terminal(self.vehicle.terminal_of(id, terminal).expect("the test names what it wrote"))
    }

    /// The way from the first source to a wire.
    pub(crate) fn line(&self, wire: &str) -> String {
        self.wire(wire).from.first().map_or_else(String::new, |way| way.line(&self.vehicle))
    }

    /// The sources of a wire.
    pub(crate) fn sources(&self, wire: &str) -> Vec<&str> {
        let from = &self.wire(wire).from;
        from.iter().map(|way| self.vehicle.devices[way.source].name.as_str()).collect()
    }

    /// Why a wire may be live by its first source.
    pub(crate) fn doubt(&self, wire: &str) -> String {
        let doubt = self.wire(wire).from.first().and_then(|way| way.doubt);
        doubt.map_or_else(String::new, |doubt| doubt.words(&self.vehicle))
    }
}
