//! What a technician does to tell suspects apart, and how long each takes.

use std::collections::BTreeMap;

use serde::Deserialize;

/// A way of checking something.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Method {
    /// Volts between two points.
    Volts,
    /// Drop across one piece.
    Drop,
    /// Current by clamp.
    Clamp,
    /// The vehicle's own display.
    Display,
    /// What equipment does.
    Watch,
    /// A look at a joint, and a gentle pull.
    Look,
}

/// How a check is done.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MethodRow {
    /// Its name.
    pub words: String,
    /// Minutes it takes where everything lies open and the state is there.
    pub minutes: f64,
    /// What to do.
    #[serde(rename = "do")]
    pub steps: String,
    /// Key of the source of the minutes.
    pub source: String,
}

/// Minutes to bring about a state.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SettingUp {
    /// Each switch.
    pub switch: f64,
    /// Starting or stopping the engine.
    pub engine: f64,
    /// Plugging the shore lead in or out.
    pub shore: f64,
}

/// How much a look at a joint tells.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    /// Chance that a bad joint looks bad or gives way.
    pub finds: f64,
    /// Chance that a good one does.
    pub false_alarm: f64,
}

/// From when on words are used of fuses and breakers.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WordsUsed {
    /// Multiple of its rating at which a device trips.
    pub trips_from: f64,
    /// Power in its contacts at which it is warm, W.
    pub warm_from_w: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Minutes {
    minutes: f64,
}

/// All of it.
#[derive(Clone, Debug)]
pub struct Checking {
    methods: BTreeMap<Method, MethodRow>,
    /// Minutes to bring about a state.
    pub setting_up: SettingUp,
    /// How much a look tells.
    pub look: Look,
    /// Minutes to search everything where no suspect explains what is seen, opening included.
    pub search_everything_min: f64,
    /// From when on words are used of fuses and breakers.
    pub words: WordsUsed,
    /// Minutes counted for opening where nobody knows what hides a place.
    pub unknown_place_min: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    method: BTreeMap<Method, MethodRow>,
    setting_up: SettingUp,
    look: Look,
    search_everything: Minutes,
    words: WordsUsed,
    unknown_place: Minutes,
}

impl Checking {
    pub(crate) fn embedded() -> Checking {
        let file: File = crate::embedded("checking.toml", include_str!("../data/checking.toml"));
        Checking {
            methods: file.method,
            setting_up: file.setting_up,
            look: file.look,
            search_everything_min: file.search_everything.minutes,
            words: file.words,
            unknown_place_min: file.unknown_place.minutes,
        }
    }

    /// How a check is done.
    pub fn of(&self, method: Method) -> &MethodRow {
        self.methods.get(&method).expect("the catalog describes every method")
    }
}
