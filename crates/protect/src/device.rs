//! What a fuse or breaker is known to do: rating, class, opening times, what it breaks.

use catalog::{Band, Catalog, Opening};
use model::{Attribute, Breaking, Fact, Missing, Place, Role, Vehicle};
use units::{Ampere, Interval, Volt};

use crate::SLACK;
use crate::behind::Contact;

/// A device as far as its facts go.
#[derive(Clone, Debug)]
pub(crate) struct Device<'a> {
    pub(crate) contact: Contact,
    pub(crate) name: String,
    pub(crate) rated: Option<Ampere>,
    /// Its rating is only assumed.
    pub(crate) is_rating_assumed: bool,
    pub(crate) band: Option<&'a Band>,
    /// What is missing before anything may pass.
    pub(crate) missing: Vec<Missing>,
    breaks: Fact<f64>,
    nominal: Volt,
}

impl<'a> Device<'a> {
    pub(crate) fn of(vehicle: &Vehicle, catalog: &'a Catalog, contact: Contact) -> Device<'a> {
        let device = &vehicle.devices[contact.device];
        let way = device.ways.iter().position(|way| way.terminal == contact.out);
        let (name, rated) = match way {
            Some(index) => {
                (format!("{} way {}", device.name, index + 1), device.ways[index].rated.clone())
            }
            None => {
                let rated = device.fact(Attribute::Rated).map(|ampere| Ampere::from_si(*ampere));
                (device.name.clone(), rated)
            }
        };
        let class = catalog.kinds.get(&device.kind).and_then(|kind| kind.class.as_deref());
        let band = class.and_then(|class| catalog.bands.get(class));
        let mut missing = Vec::new();
        let mut ask =
            |what: String| missing.push(Missing { what, at: Place::Device(contact.device) });
        if rated.evidence().is_none() {
            ask(format!("read the rating of {name}"));
        }
        if let Some(rated) = rated.value()
            && band.is_some_and(|band| !band.covers(*rated))
        {
            ask(format!("find out what {name} is: its class has no rating of {rated}"));
        }
        if band.is_none() {
            ask(format!("find out what class of {} {name} is", noun(device.role)));
        }
        let nominal = vehicle.nominal.value().copied().unwrap_or(catalog.stand_ins.nominal);
        let breaks = device.fact(Attribute::Interrupts);
        let (is_rating_assumed, rated) = (rated.is_assumed(), rated.value().copied());
        Device { contact, name, rated, is_rating_assumed, band, missing, breaks, nominal }
    }

    /// When it opens at a current, A.
    pub(crate) fn opening(&self, ampere_a: f64) -> Opening {
        match (self.band, self.rated) {
            (Some(band), Some(rated)) => band.opening(rated, Ampere::from_si(ampere_a)),
            _ => Opening::default(),
        }
    }

    /// The largest current it carries for good, A: its rating, or what its class says if that is less.
    pub(crate) fn carries_a(&self) -> Option<f64> {
        let share = self.band.and_then(Band::carries).unwrap_or(1.0).min(1.0);
        Some(self.rated?.si() * share)
    }

    /// Its opening times were published and read, not recalled.
    pub(crate) fn is_published(&self) -> bool {
        self.band
            .is_some_and(|band| band.gates().iter().any(|gate| gate.decides && gate.max.is_some()))
    }

    /// It closes again by itself while the fault lasts.
    pub(crate) fn closes_again(&self) -> bool {
        self.band.is_some_and(|band| band.closes_again.is_some())
    }

    /// Whether it can break the currents of the fault right behind it, A.
    pub(crate) fn breaking(&self, fault_a: Interval) -> Breaking {
        let printed = self.breaks.evidence().copied().map(|ampere| (ampere, true));
        let by_class = || {
            let row = self.band?.breaks(self.nominal)?;
            Some((row.ampere.si(), row.decides))
        };
        let high_a = fault_a.high();
        match printed.or_else(by_class) {
            Some((breaks_a, true)) if breaks_a >= high_a * (1.0 - SLACK) => {
                Breaking::Enough { breaks_a, fault_a: high_a }
            }
            Some((breaks_a, true)) if breaks_a < fault_a.low() => {
                Breaking::TooLittle { breaks_a, fault_a: fault_a.low() }
            }
            known => Breaking::Unknown { breaks_a: known.map(|(a, _)| a), fault_a: high_a },
        }
    }

    /// What it breaks was written down, or is published for its class and was read.
    pub(crate) fn breaks_by_what_was_read(&self) -> bool {
        let by_class = || self.band?.breaks(self.nominal).map(|row| row.decides);
        self.breaks.evidence().is_some() || by_class().unwrap_or(false)
    }

    /// Keys of the sources of its figures.
    pub(crate) fn figures(&self) -> Vec<String> {
        let mut all: Vec<String> =
            self.band.into_iter().flat_map(Band::sources).map(ToOwned::to_owned).collect();
        all.sort();
        all.dedup();
        all
    }
}

fn noun(role: Role) -> &'static str {
    if role == Role::Breaker { "breaker" } else { "fuse" }
}
