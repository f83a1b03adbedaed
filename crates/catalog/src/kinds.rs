//! Kinds of devices: terminals, role, usual values.

use std::collections::BTreeMap;

use model::{Attribute, Chemistry, Pole, Role};
use serde::Deserialize;

/// A value used where the record is silent.
#[derive(Clone, Debug, PartialEq)]
pub struct Usual {
    /// The value in the unit of its dimension.
    pub value: f64,
    /// Why this value.
    pub why: String,
}

/// A kind of device.
#[derive(Clone, Debug, PartialEq)]
pub struct Kind {
    /// What it does in the circuit.
    pub role: Role,
    /// Its terminals: name and pole.
    pub terminals: Vec<(String, Pole)>,
    /// Battery chemistry, if the kind settles it.
    pub chemistry: Option<Chemistry>,
    /// Usual values.
    pub usual: BTreeMap<Attribute, Usual>,
    /// The service it wants, and how often in a year.
    pub service: Option<(String, f64)>,
    /// Cables enter its case.
    pub cable_entries: bool,
    /// Part of the base vehicle.
    pub base_vehicle: bool,
    /// The stricter drop limit applies.
    pub critical: bool,
    /// Joined to the body.
    pub chassis: bool,
    /// Its cable needs no protection.
    pub exempt_cable: bool,
    /// The class of a fuse or breaker, see [`crate::Bands`].
    pub class: Option<String>,
    /// An alternator whose voltage the engine commands.
    pub commanded: bool,
    /// A combiner relay that closes for a charging voltage on either side.
    pub dual_sensing: bool,
    /// Whether things of this kind hold energy of their own.
    pub own_cell: OwnCell,
    /// High voltage of a hybrid or electric drive.
    pub high_voltage: bool,
    /// Airbag, belt tensioner, or their control unit.
    pub restraint_system: bool,
    /// Burns or stores gas.
    pub gas: bool,
}

/// Whether things of a kind hold energy of their own: a cell, a battery inside.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OwnCell {
    /// Not that anybody knows.
    #[default]
    Unusual,
    /// Some do: look.
    Perhaps,
    /// Nearly all do.
    Usual,
}

/// All kinds by name.
#[derive(Clone, Debug)]
pub struct Kinds(BTreeMap<String, Kind>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawKind {
    role: String,
    terminals: Vec<String>,
    chemistry: Option<String>,
    #[serde(default)]
    usual: BTreeMap<String, (String, String)>,
    service: Option<String>,
    per_year: Option<f64>,
    #[serde(default)]
    cable_entries: bool,
    #[serde(default)]
    base_vehicle: bool,
    #[serde(default)]
    critical: bool,
    #[serde(default)]
    chassis: bool,
    #[serde(default)]
    exempt_cable: bool,
    class: Option<String>,
    #[serde(default)]
    commanded: bool,
    #[serde(default)]
    dual_sensing: bool,
    #[serde(default)]
    own_cell: OwnCell,
    #[serde(default)]
    high_voltage: bool,
    #[serde(default)]
    restraint_system: bool,
    #[serde(default)]
    gas: bool,
}

impl Kinds {
    pub(crate) fn embedded() -> Kinds {
        let raw: BTreeMap<String, RawKind> =
            crate::embedded("kinds.toml", include_str!("../data/kinds.toml"));
        Kinds(raw.into_iter().map(|(name, raw)| (name, kind(raw))).collect())
    }

    /// The kind of a name.
    pub fn get(&self, name: &str) -> Option<&Kind> {
        self.0.get(name)
    }

    /// What is usual for a number of a device: by its own kind, else by the first kind of its role, in
    /// name order, that says so.
    pub fn usual(&self, kind: &str, role: Role, attribute: Attribute) -> Option<f64> {
        let of_role = self.0.values().filter(|other| other.role == role);
        let mut kinds = self.get(kind).into_iter().chain(of_role);
        kinds.find_map(|kind| kind.usual.get(&attribute)).map(|usual| usual.value)
    }

    /// All kinds in name order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Kind)> {
        self.0.iter().map(|(name, kind)| (name.as_str(), kind))
    }
}

/// How the trade writes what a record writes small.
const WRITTEN: [(&str, &str); 7] = [
    ("class t", "Class T"),
    ("anl", "ANL"),
    ("dc-dc", "DC-DC"),
    ("usb", "USB"),
    ("led", "LED"),
    ("lfp", "LFP"),
    ("agm", "AGM"),
];

/// A kind as the trade writes it: `class t fuse` is a Class T fuse.
pub fn trade_name(kind: &str) -> String {
    let mut words = format!(" {kind} ");
    for (small, written) in WRITTEN {
        words = words.replace(&format!(" {small} "), &format!(" {written} "));
    }
    words.trim().to_owned()
}

fn kind(raw: RawKind) -> Kind {
    Kind {
        role: role(&raw.role),
        terminals: raw.terminals.iter().map(|text| terminal(text)).collect(),
        chemistry: raw.chemistry.as_deref().map(|name| match name {
            "lfp" => Chemistry::Lfp,
            "agm" => Chemistry::Agm,
            "gel" => Chemistry::Gel,
            "flooded" => Chemistry::Flooded,
            other => panic!("embedded kinds name an unknown chemistry {other}"),
        }),
        usual: raw.usual.into_iter().map(usual).collect(),
        service: raw.service.map(|what| (what, raw.per_year.unwrap_or(0.0))),
        cable_entries: raw.cable_entries,
        base_vehicle: raw.base_vehicle,
        critical: raw.critical,
        chassis: raw.chassis,
        exempt_cable: raw.exempt_cable,
        class: raw.class,
        commanded: raw.commanded,
        dual_sensing: raw.dual_sensing,
        own_cell: raw.own_cell,
        high_voltage: raw.high_voltage,
        restraint_system: raw.restraint_system,
        gas: raw.gas,
    }
}

fn usual((key, (text, why)): (String, (String, String))) -> (Attribute, Usual) {
    let attribute = Attribute::of_key(&key)
        .unwrap_or_else(|| panic!("embedded kinds name an unknown attribute {key}"));
    (attribute, Usual { value: crate::quantity(&text, attribute.dimension()), why })
}

/// `"in+ plus"`: name, space, pole. A terminal with an empty name is the only one of its device.
fn terminal(text: &str) -> (String, Pole) {
    let (name, pole) = text.rsplit_once(' ').unwrap_or(("", text));
    let pole = match pole {
        "plus" => Pole::Plus,
        "minus" => Pole::Minus,
        "line" => Pole::Line,
        "neutral" => Pole::Neutral,
        "earth" => Pole::Earth,
        "signal" => Pole::Signal,
        "any" => Pole::Any,
        other => panic!("embedded kinds name an unknown pole {other}"),
    };
    (name.to_owned(), pole)
}

fn role(name: &str) -> Role {
    match name {
        "battery" => Role::Battery,
        "alternator" => Role::Alternator,
        "dc-dc charger" => Role::DcDcCharger,
        "combiner relay" => Role::CombinerRelay,
        "solar module" => Role::SolarModule,
        "solar controller" => Role::SolarController,
        "direct controller" => Role::DirectController,
        "mains charger" => Role::MainsCharger,
        "inverter" => Role::Inverter,
        "diode" => Role::Diode,
        "fuse" => Role::Fuse,
        "fuse box" => Role::FuseBox,
        "breaker" => Role::Breaker,
        "switch" => Role::Switch,
        "relay" => Role::Relay,
        "junction" => Role::Junction,
        "shunt" => Role::Shunt,
        "monitor" => Role::Monitor,
        "power load" => Role::PowerLoad,
        "heating load" => Role::HeatingLoad,
        "motor load" => Role::MotorLoad,
        "lamp load" => Role::LampLoad,
        "shore inlet" => Role::ShoreInlet,
        "generator" => Role::Generator,
        "ac breaker" => Role::AcBreaker,
        "ac load" => Role::AcLoad,
        "outside source" => Role::OutsideSource,
        "other" => Role::Other,
        other => panic!("embedded kinds name an unknown role {other}"),
    }
}

#[cfg(test)]
mod tests {
    use super::trade_name;

    #[test]
    fn kinds_are_written_as_the_trade_does() {
        assert_eq!(trade_name("class t fuse"), "Class T fuse");
        assert_eq!(trade_name("isolated dc-dc charger"), "isolated DC-DC charger");
        assert_eq!(trade_name("led lights"), "LED lights");
        assert_eq!(trade_name("controlled relay"), "controlled relay");
    }
}
