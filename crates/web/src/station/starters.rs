//! Records to start a case from: arrangements that are common, of our own invention, with every value
//! unknown.

use crate::look::template::escaped;

/// A record to start from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Starter {
    /// Its name in forms.
    pub(crate) key: &'static str,
    /// What it is.
    pub(crate) title: &'static str,
    /// What is in it.
    pub(crate) about: &'static str,
    text: &'static str,
}

/// All of them, the smallest first.
pub(crate) const ALL: [Starter; 5] = [
    Starter {
        key: "bare",
        title: "Bare van",
        about: "nothing but the starter battery",
        text: include_str!("../../starters/bare.toml"),
    },
    Starter {
        key: "small",
        title: "House battery and loads",
        about: "one battery, a fuse box, fridge, lights, pump",
        text: include_str!("../../starters/small.toml"),
    },
    Starter {
        key: "solar",
        title: "Solar and DC-DC",
        about: "house battery charged by the sun and by the engine, with a shunt",
        text: include_str!("../../starters/solar.toml"),
    },
    Starter {
        key: "mains",
        title: "Solar, DC-DC, shore and inverter",
        about: "the same with a shore inlet, mains charger, inverter, consumer unit and sockets",
        text: include_str!("../../starters/mains.toml"),
    },
    Starter {
        key: "two",
        title: "Two batteries on a relay",
        about: "starter and house battery joined by a relay while the engine runs",
        text: include_str!("../../starters/two.toml"),
    },
];

impl Starter {
    /// The record for a vehicle.
    pub(crate) fn record(&self, name: &str, complaint: &str) -> String {
        self.text.replace("%name%", &escaped(name)).replace("%complaint%", &escaped(complaint))
    }
}
