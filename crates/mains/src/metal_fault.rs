//! A line lying on metal: what follows, in words, and whether that is good, bad or open.

use model::{DeviceId, Place, Pole, Signal};
use units::Second;

use crate::grade::{Grade, NEXT_TO_NOTHING_A, ampere, bad, good, names, no_wire, volt};
use crate::judge::ToFind;
use crate::layout::Scene;
use crate::outcome::{Fault, FaultEnd, MOST_LOADS, Outcome};

/// Grades the worst fault of a variant; of equal ones, one whose earth wire is recorded.
pub(crate) fn grade(scene: Scene<'_>, outcome: &Outcome) -> Grade {
    let is_recorded = |fault: &Fault| fault.on_body || !no_wire(scene, fault.at, Pole::Earth);
    let Some(worst) = outcome.faults.iter().max_by_key(|f| (f.end, is_recorded(f))) else {
        return good("no line", "no line arrives that could lie on metal");
    };
    let said = Said::of(scene, worst);
    if worst.end == FaultEnd::StaysLive && !is_recorded(worst) {
        let what = "look whether an earth wire lands on it, and write it down".to_owned();
        let words =
            format!("{}: no earth wire of it is recorded; without one {}", said.on, said.figures);
        let open = vec![ToFind { what, at: Place::Device(worst.at) }];
        return Grade { open, weight: 0.5, ..good("cannot tell", words) };
    }
    if worst.end == FaultEnd::Opens && outcome.polarity.len() > MOST_LOADS {
        let what = format!(
            "only the first {MOST_LOADS} of its sockets and appliances were tried: split them over several records"
        );
        let open = vec![ToFind { what, at: Place::Device(scene.feed.device) }];
        return Grade { open, ..good("cannot tell", said.with("")) };
    }
    by_end(scene, worst, &said)
}

fn by_end(scene: Scene<'_>, worst: &Fault, said: &Said) -> Grade {
    let places = vec![Place::Device(worst.at)];
    let opener = &said.opener;
    match worst.end {
        FaultEnd::Opens => {
            let within = worst.within_s.map_or_else(String::new, |time_s| {
                format!(" within {} by residual current", Second::from_si(time_s))
            });
            good("opens", said.with(&format!(" until {opener} opens{within}")))
        }
        FaultEnd::MayOpen => said.unclear(
            worst,
            "test it, and read off its curve and rated residual current (a licensed electrician)",
        ),
        FaultEnd::RatingUnknown => said.unclear(
            worst,
            "read off its rated current and rated residual current, and note whether it has a residual-current device at all",
        ),
        FaultEnd::Unnoticed => bad(
            Signal::Caution,
            "unnoticed",
            said.with(", nothing opens and nothing shows; a second fault, or a hand on the other pole, meets the full voltage"),
            places,
        ),
        FaultEnd::FlowsOn if worst.limited => said.of_inverter(scene.feed.device),
        FaultEnd::FlowsOn => bad(
            Signal::Warning,
            "flows on",
            said.with(", and no recorded device opens: heat, and whatever the source itself does"),
            places,
        ),
        FaultEnd::StaysLive => {
            let rest = if opener.is_empty() {
                ", and no recorded device opens".to_owned()
            } else {
                format!("; {opener} opens only by the current through whoever touches it")
            };
            Grade { weight: 2.0, ..bad(Signal::Danger, "stays live", said.with(&rest), places) }
        }
    }
}

/// The words every sentence about a fault is made of.
struct Said {
    on: String,
    figures: String,
    opener: String,
}

impl Said {
    fn of(scene: Scene<'_>, fault: &Fault) -> Said {
        let vehicle = scene.vehicle;
        let on = if fault.on_body {
            "a line on the body".to_owned()
        } else {
            format!("a line on the earth of {}", vehicle.devices[fault.at].name)
        };
        let flows = match (fault.limited, fault.ampere) {
            (true, _) => "all that the source can give flows".to_owned(),
            (false, little) if little < NEXT_TO_NOTHING_A => "next to nothing flows".to_owned(),
            (false, much) => format!("{} flow", ampere(much)),
        };
        let metal_v = volt(fault.metal_v);
        Said {
            on,
            figures: format!("{flows}, the metal stands at {metal_v} against the ground"),
            opener: names(vehicle, &fault.devices),
        }
    }

    fn with(&self, rest: &str) -> String {
        format!("{}: {}{rest}", self.on, self.figures)
    }

    /// Whether the devices in the way open is not known.
    fn unclear(&self, fault: &Fault, what: &str) -> Grade {
        let find = |id: &DeviceId| ToFind { what: what.to_owned(), at: Place::Device(*id) };
        let words = self.with(&format!("; whether {} opens is not known", self.opener));
        Grade {
            open: fault.devices.iter().map(find).collect(),
            weight: 0.5,
            ..good("cannot tell", words)
        }
    }

    /// What an inverter does at a short stands in its manual only.
    fn of_inverter(&self, inverter: DeviceId) -> Grade {
        let what = "read in its manual whether it switches off at a short, and whether it has a residual-current device of its own".to_owned();
        let words =
            self.with("; no recorded device opens, and what the inverter does is not recorded");
        Grade {
            open: vec![ToFind { what, at: Place::Device(inverter) }],
            weight: 0.6,
            ..good("cannot tell", words)
        }
    }
}
