//! What one variant of a feed means for each aspect: good, bad, or open even so, with the words.

use model::{Attribute, DeviceId, Place, Pole, Signal, Vehicle, WireEnd};
use units::{Ampere, Volt};

use crate::feed::{Factor, FeedKind, Known, Variant};
use crate::judge::{Aspect, ToFind};
use crate::layout::Scene;
use crate::metal::of_pole;
use crate::outcome::{BondAt, Outcome, Polarity, Residual};
use crate::trip::Trip;

/// What one variant says of an aspect.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Grade {
    pub(crate) good: bool,
    /// Cannot be told even in this variant.
    pub(crate) open: Vec<ToFind>,
    pub(crate) signal: Signal,
    pub(crate) short: String,
    pub(crate) words: String,
    pub(crate) places: Vec<Place>,
    /// Orders the variants by how bad they are.
    pub(crate) weight: f64,
}

pub(crate) fn grade(
    scene: Scene<'_>,
    known: &Known,
    aspect: Aspect,
    variant: &Variant,
    outcome: &Outcome,
) -> Grade {
    match aspect {
        Aspect::Polarity => polarity(scene, outcome),
        Aspect::Bond => bond(scene, outcome),
        Aspect::Residual => residual(scene, known, outcome),
        Aspect::Touch => touch(scene, variant, outcome),
        Aspect::Fault => crate::metal_fault::grade(scene, outcome),
    }
}

/// What to find out about a factor.
pub(crate) fn to_find(scene: Scene<'_>, factor: Factor) -> ToFind {
    let name = |id: DeviceId| scene.vehicle.devices[id].name.clone();
    let inlet = Place::Device(scene.feed.device);
    match factor {
        Factor::Supply => ToFind {
            what: "at the socket the lead is plugged into, measure line to neutral, line to earth and neutral to earth (a licensed electrician), and note all three".to_owned(),
            at: inlet,
        },
        Factor::Bond(id) => ToFind {
            what: format!("with every source off and locked off, measure neutral to earth at {} for continuity", name(id)),
            at: Place::Device(id),
        },
        Factor::Leakage => leakage(scene),
        Factor::Body => ToFind {
            what: "with every source off and the lead out, measure from the earth pin of the source to bare metal of the body".to_owned(),
            at: inlet,
        },
    }
}

fn leakage(scene: Scene<'_>) -> ToFind {
    let at = Place::Device(scene.feed.device);
    let what = "with a leakage clamp around line and neutral together, each appliance on in turn, read the leakage (a licensed electrician), and note it for each".to_owned();
    ToFind { what, at }
}

pub(crate) fn good(short: impl Into<String>, words: impl Into<String>) -> Grade {
    Grade {
        good: true,
        open: Vec::new(),
        signal: Signal::Notice,
        short: short.into(),
        words: words.into(),
        places: Vec::new(),
        weight: 0.0,
    }
}

pub(crate) fn bad(
    signal: Signal,
    short: impl Into<String>,
    words: impl Into<String>,
    places: Vec<Place>,
) -> Grade {
    Grade { good: false, signal, places, weight: 1.0, ..good(short, words) }
}

fn polarity(scene: Scene<'_>, outcome: &Outcome) -> Grade {
    let at = |wanted: Polarity| -> Vec<DeviceId> {
        outcome.polarity.iter().filter(|(_, p)| *p == wanted).map(|(id, _)| *id).collect()
    };
    let places = |ids: &[DeviceId]| ids.iter().map(|id| Place::Device(*id)).collect::<Vec<_>>();
    let sorts: [(Polarity, Signal, &str, &str); 4] = [
        (Polarity::BothLine, Signal::Danger, "both line", "both contacts are on a line"),
        (
            Polarity::NoNeutral,
            Signal::Warning,
            "no neutral",
            "the line arrives but no neutral: dead to the eye, live to the touch; on two lines the voltage divides over the appliances and burns the weaker ones",
        ),
        (
            Polarity::Reversed,
            Signal::Warning,
            "reversed",
            "line and neutral are swapped: a switch in one pole leaves the parts behind it live",
        ),
        (Polarity::NoLine, Signal::Caution, "no line", "no line arrives"),
    ];
    for (sort, signal, short, words) in sorts {
        let found = at(sort);
        if found.is_empty() {
            continue;
        }
        let unseen = |id: &DeviceId| match sort {
            Polarity::NoNeutral => no_wire(scene, *id, Pole::Neutral),
            Polarity::NoLine => no_wire(scene, *id, Pole::Line),
            Polarity::Correct | Polarity::Reversed | Polarity::BothLine => false,
        };
        let words = format!("at {}: {words}", names(scene.vehicle, &found));
        if found.iter().all(unseen) {
            let what = "see which wires land on it, follow them, and write them down".to_owned();
            let find = |id: &DeviceId| ToFind { what: what.clone(), at: Place::Device(*id) };
            let words = format!("{words}, as far as wires are recorded");
            let open = found.iter().map(find).collect();
            return Grade { open, weight: 0.5, ..good("cannot tell", words) };
        }
        return bad(signal, short, words, places(&found));
    }
    if outcome.polarity.is_empty() {
        let open = vec![ToFind {
            what: "follow the wires from the source to the sockets and write them down".to_owned(),
            at: Place::Device(scene.feed.device),
        }];
        return Grade { open, ..good("no socket", "no socket or appliance is recorded on it") };
    }
    good(
        "correct",
        format!("line and neutral stand right at {}", names(scene.vehicle, &at(Polarity::Correct))),
    )
}

/// Names in a sentence; many are counted.
pub(crate) fn names(vehicle: &Vehicle, ids: &[DeviceId]) -> String {
    const MANY: usize = 4;
    if ids.len() >= MANY {
        return format!("{} sockets and appliances", ids.len());
    }
    let names: Vec<&str> = ids.iter().map(|id| vehicle.devices[*id].name.as_str()).collect();
    names.join(", ")
}

fn bond(scene: Scene<'_>, outcome: &Outcome) -> Grade {
    let vehicle = scene.vehicle;
    let words: Vec<String> = outcome.bonds.iter().map(|at| bond_words(scene, *at)).collect();
    let list = words.join("; ");
    let inside: Vec<Place> = outcome.bonds.iter().filter_map(|at| bond_place(*at)).collect();
    let count = outcome.bonds.len();
    let on_shore = scene.feed.kind == FeedKind::Shore;
    let mut grade = if count >= 2 {
        let words = format!(
            "neutral and earth are joined in {count} places at once ({list}): part of the load current comes back in the earth wire and the body, and a residual-current device trips or is blind"
        );
        bad(Signal::Danger, format!("{count} at once"), words, inside)
    } else if on_shore && !inside.is_empty() {
        let words = format!(
            "the vehicle joins neutral and earth itself while on shore ({list}); the bond belongs to the source"
        );
        bad(Signal::Danger, "in vehicle", words, inside)
    } else if count == 0 {
        let words = "neither pole is joined to earth: a residual-current device cannot see a fault, and the first fault shows nothing. A source for one appliance alone may be meant so: that is for a licensed electrician to judge";
        bad(Signal::Caution, "none", words, vec![Place::Device(scene.feed.device)])
    } else {
        good(short_bond(scene, outcome.bonds[0]), format!("one bond: {list}"))
    };
    if grade.good {
        grade.open = unfollowed(scene, vehicle);
    }
    grade
}

fn short_bond(scene: Scene<'_>, at: BondAt) -> String {
    match at {
        BondAt::Supply => "1, supply".to_owned(),
        BondAt::Device(id) if id == scene.feed.device => "1, source".to_owned(),
        BondAt::CentreTap(_) => "centre tap".to_owned(),
        BondAt::Device(_) | BondAt::Wires(_) => "1, vehicle".to_owned(),
    }
}

fn bond_words(scene: Scene<'_>, at: BondAt) -> String {
    let device = |id: DeviceId| &scene.vehicle.devices[id];
    match at {
        BondAt::Supply => "the supply at its own source".to_owned(),
        BondAt::Device(id) => {
            let origin = device(id).bond.origin().map_or("if closed", |origin| origin.word());
            format!("{} ({origin})", device(id).name)
        }
        BondAt::CentreTap(id) => format!("the centre tap of {}", device(id).name),
        BondAt::Wires(id) => format!("wires at {}", scene.vehicle.terminal_name(id)),
    }
}

fn bond_place(at: BondAt) -> Option<Place> {
    match at {
        BondAt::Supply => None,
        BondAt::Device(id) | BondAt::CentreTap(id) => Some(Place::Device(id)),
        BondAt::Wires(id) => Some(Place::Terminal(id)),
    }
}

/// Mains wires on the feed's neutral or earth that end where nobody has looked.
fn unfollowed(scene: Scene<'_>, vehicle: &Vehicle) -> Vec<ToFind> {
    let Scene { metal, feed, .. } = scene;
    let own = [feed.neutral(vehicle), feed.earth(vehicle)];
    vehicle
        .wires
        .iter()
        .filter(|(_, wire)| {
            let ends = WireEnd::BOTH.map(|end| wire.terminal(end));
            let known = ends.into_iter().flatten().next();
            ends.iter().any(Option::is_none)
                && known.is_some_and(|at| own.into_iter().flatten().any(|o| metal.joined(at, o)))
        })
        .map(|(id, wire)| ToFind {
            what: format!("follow wire {} to its end", wire.name),
            at: Place::Wire(id),
        })
        .collect()
}

fn residual(scene: Scene<'_>, known: &Known, outcome: &Outcome) -> Grade {
    let vehicle = scene.vehicle;
    let rated_a = |id: DeviceId| {
        let fact = vehicle.devices[id].fact(Attribute::Residual);
        fact.evidence().copied().filter(|rated_a| *rated_a > 0.0)
    };
    let trip = |device: Option<DeviceId>| {
        device.and_then(rated_a).map_or_else(
            || Trip::usual(&scene.trips()),
            |rated_a| Trip::of(&scene.trips(), rated_a),
        )
    };
    let share = |seen: &Residual| seen.ampere / trip(seen.device).hold_a;
    let worst = outcome
        .residuals
        .iter()
        .filter(|seen| seen.device.is_none_or(|id| rated_a(id).is_some()))
        .rev()
        .max_by(|a, b| share(a).total_cmp(&share(b)))
        .expect("the source itself is always among them");
    let band = trip(worst.device);
    let at = worst.device.map_or_else(
        || "at the source".to_owned(),
        |id| format!("in {}", vehicle.devices[id].name),
    );
    let load = match worst.trial {
        Some(id) => format!(
            " when {} is drawn at {}",
            scene.catalog.mains.trial_load.value, vehicle.devices[id].name
        ),
        None => " with what the state has on".to_owned(),
    };
    let shown = ampere(worst.ampere);
    let earth = ampere(outcome.earth_a);
    let short = shown.clone();
    if worst.ampere >= band.hold_a {
        let verb = if worst.ampere >= band.trip_a { "trips" } else { "may or may not trip" };
        let words = format!(
            "{shown} do not come back by the live cores, seen {at}{load} ({earth} in the earth wire): a residual-current device of {} {verb}",
            ampere(band.trip_a)
        );
        let places = worst.device.map(Place::Device).into_iter().collect();
        return Grade { weight: worst.ampere, ..bad(Signal::Warning, short, words, places) };
    }
    let holds = format!(
        "a residual-current device of {} holds below {}",
        ampere(band.trip_a),
        ampere(band.hold_a)
    );
    let words = if worst.ampere < NEXT_TO_NOTHING_A {
        format!("next to nothing outside the live cores; {holds}")
    } else {
        format!("at most {shown} outside the live cores, seen {at}{load}; {holds}")
    };
    let deciding = [Factor::Leakage, Factor::Supply].into_iter();
    let open = deciding
        .filter(|factor| known.factors.contains(factor))
        .map(|factor| to_find(scene, factor))
        .collect();
    Grade { open, weight: worst.ampere.min(0.9), ..good(short, words) }
}

/// Below this a current is that of a meter, or rounding, A.
pub(crate) const NEXT_TO_NOTHING_A: f64 = 5e-5;

pub(crate) fn ampere(value: f64) -> String {
    if value < NEXT_TO_NOTHING_A { "0 mA".to_owned() } else { Ampere::from_si(value).to_string() }
}

/// To a tenth of a volt, as a multimeter shows it.
pub(crate) fn volt(value: f64) -> String {
    Volt::from_si((10.0 * value).round() / 10.0).to_string()
}

fn touch(scene: Scene<'_>, variant: &Variant, outcome: &Outcome) -> Grade {
    let limit = |key: &str| scene.catalog.limits.get(key, scene.vehicle.region).value;
    let found = outcome.touch;
    let short = volt(found.meter_v);
    let person = format!(
        "{} through a person of {} standing on the ground",
        ampere(found.person_a),
        scene.catalog.mains.person.value
    );
    let place = vec![Place::Device(scene.feed.device)];
    if found.meter_v >= limit("touch-disconnect") {
        let words =
            format!("the body stands at {short} against the ground ({person}): disconnect at once");
        return Grade { weight: found.meter_v, ..bad(Signal::Danger, short, words, place) };
    }
    if found.hangs_loose {
        let lost = if variant.body {
            "the earth of the supply is lost"
        } else {
            "the body is not on protective earth"
        };
        let words = format!("{lost}: any leakage brings the body towards the voltage of the line");
        return bad(Signal::Danger, "no earth", words, place);
    }
    if found.meter_v >= limit("touch-usual") {
        let words = format!(
            "the body stands at {short} against the ground ({person}): look for leakage and for the earth"
        );
        return Grade {
            weight: found.meter_v / 100.0,
            ..bad(Signal::Warning, short, words, place)
        };
    }
    good(short.clone(), format!("the body stands at {short} against the ground ({person})"))
}

/// No wire is recorded on a pole of a device, or one whose far end nobody has seen.
pub(crate) fn no_wire(scene: Scene<'_>, id: DeviceId, pole: Pole) -> bool {
    let vehicle = scene.vehicle;
    of_pole(vehicle, id, pole, "").all(|pin| {
        let mut wires = vehicle.wires_at(pin).peekable();
        wires.peek().is_none()
            || wires.any(|(wire, end)| vehicle.wires[wire].terminal(end.other()).is_none())
    })
}
