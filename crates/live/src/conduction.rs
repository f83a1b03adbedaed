//! Everything that may conduct and everything that may feed, whatever the state: what a plan for
//! making dead has to separate. Not known conducting counts as conducting.

use model::{DeviceId, Engine, Pole, Role, Shore, State, TerminalId, Vehicle};
use network::{LinkId, Network, Passage};
use units::Irradiance;

use crate::Cuts;
use crate::rules::Rules;
use crate::sources::{self, Feed, Unfollowed};
use crate::ways::Ways;

/// Something that may conduct between two points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conductor {
    /// First point, by its place in the graph.
    pub a: usize,
    /// Second point.
    pub b: usize,
    /// Only from the first point to the second.
    pub one_way: bool,
    /// Whether it conducts is not known.
    pub doubtful: bool,
    /// The link of the network; none inside devices.
    pub link: Option<LinkId>,
}

/// A pole that may feed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Start {
    /// The source; none for poles beyond [`crate::MAX_SOURCES`].
    pub source: Option<DeviceId>,
    /// Points it feeds, by their place in the graph.
    pub points: Vec<usize>,
    /// Whether it feeds is not known.
    pub doubtful: bool,
    /// Its energy passes diodes both ways.
    pub both_ways: bool,
    /// Points its energy never enters: its own return.
    pub never: Vec<bool>,
    /// Points its energy does not enter once anything on the way was doubtful: returns of others.
    pub held: Vec<bool>,
    /// It gives only what is stored at it.
    pub stored: bool,
    /// It feeds only while one of these points is energised; empty: by itself.
    pub fed_by: Vec<usize>,
}

/// All that may conduct and feed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conduction {
    /// How many points there are.
    pub points: usize,
    /// What may conduct.
    pub conductors: Vec<Conductor>,
    /// What may feed.
    pub starts: Vec<Start>,
}

/// The state in which everything that can feed does: engine, sun, shore, inverters, generators, and
/// nothing open. A network for [`conduction`] has to be built in it.
pub fn worst(vehicle: &Vehicle) -> State {
    let runs = |role| matches!(role, Role::Inverter | Role::Generator | Role::OutsideSource);
    let devices = vehicle.devices.iter().filter(|(_, device)| runs(device.role));
    State {
        engine: Engine::Running,
        sun: Irradiance::from_si(DAYLIGHT_W_PER_M2),
        shore: Shore::Plugged,
        on: devices.map(|(id, _)| id).collect(),
        ..State::at_rest("anything that can feed does")
    }
}

/// Full daylight, as modules are rated in (IEC 60904-3, from memory).
const DAYLIGHT_W_PER_M2: f64 = 1000.0;

/// What may conduct and feed in a vehicle; `network` is that of its [`worst`] state.
pub fn conduction(vehicle: &Vehicle, network: &Network) -> Conduction {
    let state = worst(vehicle);
    let ways = Ways::new(vehicle, network, &Cuts::default());
    let unfollowed = Unfollowed::new(vehicle, network);
    let feeds: Vec<Feed> =
        vehicle.devices.iter().map(|(_, device)| can_feed(device.role)).collect();
    let mut all = sources::list(vehicle, &state, &feeds);
    all.dc.extend(sources::stores(vehicle));
    let rules = Rules::of(vehicle, network, &ways, all);
    let place = |terminal: TerminalId| network.graph.index(network.graph.stud(terminal));
    let starts = rules.all.into_iter().map(|rule| Start {
        fed_by: match (rule.source, rule.starts.first()) {
            (Some(source), Some(start)) if !is_store(rule.doubt) => {
                let inputs = inputs(vehicle, source, *start);
                let known = inputs.iter().all(|input| !unfollowed.is(*input));
                if known { inputs.into_iter().map(place).collect() } else { Vec::new() }
            }
            _ => Vec::new(),
        },
        source: rule.source,
        points: rule.starts.iter().map(|terminal| place(*terminal)).collect(),
        doubtful: rule.doubt.is_some(),
        stored: is_store(rule.doubt),
        both_ways: rule.both_ways,
        never: rule.never,
        held: rule.held,
    });
    let conducting = ways.all().iter().filter(|way| way.passage != Passage::Open);
    let conductors = conducting.map(|way| Conductor {
        a: network.graph.index(way.a),
        b: network.graph.index(way.b),
        one_way: way.passage == Passage::OneWay,
        doubtful: way.passage == Passage::Maybe,
        link: way.link,
    });
    Conduction {
        points: network.graph.point_count(),
        conductors: conductors.collect(),
        starts: starts.collect(),
    }
}

/// What feeds in the worst state; controllers of the sun only pass on.
fn can_feed(role: Role) -> Feed {
    match role {
        Role::Battery
        | Role::Alternator
        | Role::SolarModule
        | Role::ShoreInlet
        | Role::Generator
        | Role::OutsideSource
        | Role::MainsCharger
        | Role::DcDcCharger
        | Role::Inverter => Feed::Certain,
        _ => Feed::None,
    }
}

fn is_store(doubt: Option<crate::Doubt>) -> bool {
    use crate::DoubtKind::{OwnCell, StoredCharge};
    doubt.is_some_and(|doubt| matches!(doubt.kind, StoredCharge | OwnCell))
}

/// What has to be energised for a converter to feed this terminal; empty for what feeds by itself.
fn inputs(vehicle: &Vehicle, source: DeviceId, start: TerminalId) -> Vec<TerminalId> {
    let terminals = &vehicle.devices[source].terminals;
    let of = |poles: &[Pole], group: &str| -> Vec<TerminalId> {
        let fits = |t: &&TerminalId| {
            let row = &vehicle.terminals[**t];
            poles.contains(&row.pole) && row.name.starts_with(group)
        };
        terminals.iter().filter(fits).copied().collect()
    };
    let on_mains = vehicle.terminals[start].pole.is_ac();
    match vehicle.devices[source].role {
        Role::Inverter if on_mains => of(&[Pole::Plus], ""),
        Role::Inverter => of(&[Pole::Line, Pole::Neutral], "in"),
        Role::MainsCharger => of(&[Pole::Line, Pole::Neutral], ""),
        Role::DcDcCharger => of(&[Pole::Plus], "in"),
        _ => Vec::new(),
    }
}
