//! What goes wrong, how often against each other, what puts it right, and what the history of a
//! fault speaks for.

use std::collections::BTreeMap;

use model::Attribute;
use serde::Deserialize;
use units::Dimension;

/// What a fault does to the circuit.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Nothing: the vehicle as it is written does what is seen.
    Nothing,
    /// Carries nothing.
    Open,
    /// An unwanted resistance in series; its size is not known.
    Series,
    /// Joined to the body through next to nothing.
    ToBody,
    /// An end lies on a neighbouring terminal.
    LandsElsewhere,
    /// The two poles are swapped.
    Reversed,
    /// A number is a multiple of what it should be.
    Factor {
        /// Which number; `None`: whatever says how much is drawn.
        number: Option<Attribute>,
        /// The multiples that are tried.
        factors: Vec<f64>,
    },
}

/// What a fault mode befalls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
pub enum Befalls {
    /// A joint on the feed side.
    #[serde(rename = "joint")]
    Joint,
    /// A joint on the return side.
    #[serde(rename = "return joint")]
    ReturnJoint,
    /// A place where the body is used.
    #[serde(rename = "body")]
    Body,
    /// A wire.
    #[serde(rename = "wire")]
    Wire,
    /// Fuse, way of a fuse box, breaker.
    #[serde(rename = "protection")]
    Protection,
    /// Switch, isolator.
    #[serde(rename = "switch")]
    Switch,
    /// Combiner relay.
    #[serde(rename = "combiner relay")]
    CombinerRelay,
    /// Shunt.
    #[serde(rename = "shunt")]
    Shunt,
    /// An end of a wire that may lie elsewhere.
    #[serde(rename = "landing")]
    Landing,
    /// Equipment with two poles.
    #[serde(rename = "poles")]
    Poles,
    /// Equipment with a low-voltage cut-out.
    #[serde(rename = "cut-out")]
    CutOut,
    /// A source that regulates a voltage.
    #[serde(rename = "regulated source")]
    RegulatedSource,
    /// A battery.
    #[serde(rename = "battery")]
    Battery,
    /// A load.
    #[serde(rename = "load")]
    Load,
    /// Alternator, DC-DC charger, mains charger, solar controller, solar module.
    #[serde(rename = "charger")]
    Charger,
    /// The vehicle as built.
    #[serde(rename = "design")]
    Design,
}

/// A way in which something fails.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultMode {
    /// What it befalls.
    pub on: Befalls,
    /// Its class, a key of [`Faults::classes`].
    pub class: String,
    /// A short name, unique for what it befalls.
    pub name: String,
    /// In words, after the name of what it befalls.
    pub words: String,
    /// What it does.
    pub effect: Effect,
    /// Odds against the other modes of its class.
    pub odds: f64,
    /// Key of its source.
    pub source: String,
    /// What puts it right.
    pub remedy: String,
    /// Minutes that takes with its proof, opening apart.
    pub minutes: f64,
}

/// A class of causes.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultClass {
    /// Its name.
    pub name: String,
    /// In words.
    pub words: String,
    /// Its share of all causes.
    pub share: f64,
    /// Key of its source.
    pub source: String,
}

/// What an answer about the history speaks for.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HistoryRow {
    /// The answer.
    pub answer: String,
    /// How much likelier it makes the classes it names.
    pub factors: BTreeMap<String, f64>,
    /// Key of its source.
    pub source: String,
}

/// All of it.
#[derive(Clone, Debug)]
pub struct Faults {
    /// Classes of causes; their shares sum to one.
    pub classes: Vec<FaultClass>,
    /// Ways of failing.
    pub modes: Vec<FaultMode>,
    /// Answers about the history.
    pub history: Vec<HistoryRow>,
    /// Chance that the cause is not in the record.
    pub not_in_record: f64,
    /// Chance that a second, independent defect takes part in what is seen.
    pub second_defect: f64,
    /// How often an owner calls a thing something else than it is.
    pub owner_error: f64,
    /// How often a technician does.
    pub technician_error: f64,
    /// Sizes of an unwanted resistance that are tried, ohm, rising.
    pub resistances_ohm: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    not_in_record: f64,
    second_defect: f64,
    owner_error: f64,
    technician_error: f64,
    resistance: Sizes,
    class: Vec<FaultClass>,
    mode: Vec<RawMode>,
    history: Vec<HistoryRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sizes {
    from: String,
    to: String,
    sizes: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawMode {
    on: Befalls,
    class: String,
    name: String,
    words: String,
    does: String,
    number: Option<String>,
    #[serde(default)]
    factors: Vec<f64>,
    rate: f64,
    split: f64,
    source: String,
    remedy: String,
    minutes: f64,
}

impl Faults {
    pub(crate) fn embedded() -> Faults {
        let file: File = crate::embedded("faults.toml", include_str!("../data/faults.toml"));
        Faults {
            classes: file.class,
            modes: file.mode.into_iter().map(mode).collect(),
            history: file.history,
            not_in_record: file.not_in_record,
            second_defect: file.second_defect,
            owner_error: file.owner_error,
            technician_error: file.technician_error,
            resistances_ohm: sizes(&file.resistance),
        }
    }

    /// The modes that befall something.
    pub fn of(&self, on: Befalls) -> impl Iterator<Item = &FaultMode> {
        self.modes.iter().filter(move |mode| mode.on == on)
    }

    /// The class of a name.
    pub fn class(&self, name: &str) -> Option<&FaultClass> {
        self.classes.iter().find(|class| class.name == name)
    }
}

/// `sizes` values from the first to the last, each the same multiple of the one before.
fn sizes(raw: &Sizes) -> Vec<f64> {
    let from = crate::quantity(&raw.from, Dimension::Resistance);
    let to = crate::quantity(&raw.to, Dimension::Resistance);
    let steps = f64::from(raw.sizes - 1);
    (0..raw.sizes).map(|k| from * (to / from).powf(f64::from(k) / steps)).collect()
}

fn mode(raw: RawMode) -> FaultMode {
    let effect = match raw.does.as_str() {
        "nothing" => Effect::Nothing,
        "open" => Effect::Open,
        "series" => Effect::Series,
        "to-body" => Effect::ToBody,
        "lands-elsewhere" => Effect::LandsElsewhere,
        "reversed" => Effect::Reversed,
        "factor" => Effect::Factor { number: number(raw.number.as_deref()), factors: raw.factors },
        other => panic!("embedded fault mode does something unknown: {other}"),
    };
    FaultMode {
        on: raw.on,
        class: raw.class,
        name: raw.name,
        words: raw.words,
        effect,
        odds: raw.rate * raw.split,
        source: raw.source,
        remedy: raw.remedy,
        minutes: raw.minutes,
    }
}

fn number(key: Option<&str>) -> Option<Attribute> {
    match key {
        Some("draw") => None,
        Some(key) => match Attribute::of_key(key) {
            Some(attribute) => Some(attribute),
            None => panic!("embedded fault mode changes an unknown number: {key}"),
        },
        None => panic!("embedded fault mode changes a number it does not name"),
    }
}
