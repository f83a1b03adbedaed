//! The mains side of a vehicle as plain data: sources by states, five cells each, and what a
//! multimeter shows.

use mains::{
    Aspect, Cell, CellVerdict, Fault, FaultEnd, FeedKind, Reading, Readings, Row, Trouble,
};
use model::{DeviceId, Signal, StateId};
use schemars::JsonSchema;
use serde::Serialize;
use units::{Ampere, Volt, Watt};

use crate::case::Case;
use crate::view::{Assumption, HeldAgainst, MissingView, PlaceView, SourceView};

/// Name and version of this form.
pub const MAINS_SCHEMA: &str = "unbury.ac/1";

/// Everything about the mains side.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MainsView {
    /// Name and version of this form.
    pub schema: String,
    /// Sources by states.
    pub rows: Vec<MainsRow>,
    /// Sources that no state has in use, with what to write; states left out.
    pub unused: Vec<String>,
    /// Sockets and appliances that no source reaches as recorded.
    pub not_fed: Vec<String>,
    /// Cautions that go with mains work.
    pub cautions: Vec<String>,
    /// Documents the limits come from.
    pub sources: Vec<SourceView>,
}

/// A source in the states that have it in the same way.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MainsRow {
    /// `none`, `shore`, `inverter` or `generator`.
    pub source: String,
    /// The inlet, inverter or generator.
    pub device: String,
    /// The states.
    pub states: Vec<String>,
    /// How the supply behind the lead is wired, and how that is known; on shore.
    pub supply: String,
    /// Polarity, bond, residual current, touch voltage, fault; empty without a source.
    pub cells: Vec<MainsCell>,
    /// Why there are no cells.
    pub trouble: String,
    /// Devices that join neutral and earth with every source off.
    pub standing_bonds: Vec<String>,
    /// Current in the earth conductor at the source.
    pub earth_current: String,
    /// What a multimeter shows at each socket and appliance.
    pub readings: Vec<SocketReadings>,
    /// What the first socket shows for each wiring of the supply.
    pub by_supply: Vec<SocketReadings>,
    /// A line on metal, place by place.
    pub faults: Vec<FaultLine>,
    /// What the inverter draws for its appliances.
    pub demand: Vec<DemandLine>,
    /// What was assumed for the sums.
    pub assumptions: Vec<Assumption>,
}

/// One cell.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MainsCell {
    /// `polarity`, `bond`, `residual current`, `touch voltage`, `line on metal`.
    pub aspect: String,
    /// `holds`, `fails` or `cannot tell`.
    pub verdict: String,
    /// Signal word of a failure.
    pub signal: String,
    /// The result in a few signs.
    pub short: String,
    /// The result and its cause in words.
    pub words: String,
    /// Places in the record.
    pub places: Vec<PlaceView>,
    /// What to find out.
    pub find_out: Vec<MissingView>,
    /// The limits it was held against.
    pub limits: Vec<HeldAgainst>,
}

/// Readings at a socket, or for a wiring of the supply.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SocketReadings {
    /// The socket, or the wiring.
    pub at: String,
    /// Line to neutral.
    pub line_neutral: String,
    /// Line to earth.
    pub line_earth: String,
    /// Neutral to earth.
    pub neutral_earth: String,
}

/// A line on metal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FaultLine {
    /// Where.
    pub at: String,
    /// Current of the fault.
    pub current: String,
    /// The metal against the ground while nothing has opened.
    pub metal: String,
    /// How it ends.
    pub end: String,
}

/// What an inverter draws from the battery.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct DemandLine {
    /// The inverter.
    pub inverter: String,
    /// The state.
    pub state: String,
    /// Power of the appliances that are on.
    pub appliances: String,
    /// Power drawn from the battery for them.
    pub from_battery: String,
    /// In words, beside what the direct-current sums take.
    pub words: String,
}

impl Case {
    /// The mains side; of one state, or of all.
    pub fn mains_view(&self) -> MainsView {
        let matrix = mains::matrix(self.vehicle(), &self.catalog);
        let name = |id: &DeviceId| self.vehicle().devices[*id].name.clone();
        let rows: Vec<MainsRow> = matrix.rows.iter().map(|row| self.mains_row(row)).collect();
        MainsView {
            schema: MAINS_SCHEMA.to_owned(),
            unused: self.not_covered(&matrix),
            not_fed: matrix.unfed.iter().map(name).collect(),
            cautions: cautions(),
            sources: self.mains_sources(&rows),
            rows,
        }
    }

    /// The network of the mains side of a state's first source as a SPICE deck; `None` when the
    /// state has none.
    pub fn mains_netlist(&self, state: &str) -> Option<String> {
        let vehicle = self.vehicle();
        let (id, state) = vehicle.states.iter().find(|(_, row)| row.name == state)?;
        let matrix = mains::matrix(vehicle, &self.catalog);
        let row = matrix.rows.iter().find(|row| row.states.contains(&id))?;
        let circuit = mains::circuit(vehicle, state, &self.catalog, row.feed?)?;
        let title = format!("{}, state {}, mains side", vehicle.name, state.name);
        Some(circuit::ac_netlist(&circuit, &title))
    }

    fn mains_row(&self, row: &Row) -> MainsRow {
        let vehicle = self.vehicle();
        let name = |id: DeviceId| vehicle.devices[id].name.clone();
        MainsRow {
            source: row.feed.map_or("none", |feed| kind(feed.kind)).to_owned(),
            device: row.feed.map_or_else(String::new, |feed| name(feed.device)),
            states: row.states.iter().map(|id| vehicle.states[*id].name.clone()).collect(),
            supply: self.supply(row),
            cells: row.cells.iter().map(|cell| self.mains_cell(cell)).collect(),
            trouble: row.trouble.as_ref().map_or_else(String::new, |trouble| self.trouble(trouble)),
            standing_bonds: row.standing_bonds.iter().map(|id| name(*id)).collect(),
            earth_current: ampere(row.earth_a),
            readings: row.readings.iter().map(|found| socket(name(found.at), found)).collect(),
            by_supply: row
                .by_supply
                .iter()
                .map(|found| socket(found.supply.key().to_owned(), &found.readings))
                .collect(),
            faults: row.faults.iter().map(|fault| self.fault_line(fault)).collect(),
            demand: self.demands(row),
            assumptions: row
                .assumed
                .iter()
                .map(|assumed| Assumption {
                    what: assumed.what.clone(),
                    why: assumed.why.clone(),
                    items: row.feed.map(|feed| name(feed.device)).into_iter().collect(),
                })
                .collect(),
        }
    }

    fn supply(&self, row: &Row) -> String {
        let on_shore = row.feed.is_some_and(|feed| feed.kind == FeedKind::Shore);
        let Some(state) = row.states.first().filter(|_| on_shore) else { return String::new() };
        let supply = &self.vehicle().states[*state].supply;
        match (supply.value(), supply.origin()) {
            (Some(supply), Some(origin)) => format!("{} ({})", supply.key(), origin.word()),
            _ => "not recorded".to_owned(),
        }
    }

    fn mains_cell(&self, cell: &Cell) -> MainsCell {
        let (verdict, signal, open) = match &cell.verdict {
            CellVerdict::Holds => ("holds", "", &[][..]),
            CellVerdict::Fails(signal) => ("fails", signal.word(), &[][..]),
            CellVerdict::CannotTell(open) => ("cannot tell", Signal::Warning.word(), &open[..]),
        };
        let vehicle = self.vehicle();
        MainsCell {
            aspect: aspect(cell.aspect).to_owned(),
            verdict: verdict.to_owned(),
            signal: signal.to_owned(),
            short: cell.short.clone(),
            words: cell.words.clone(),
            places: cell.places.iter().map(|place| self.place_view(*place)).collect(),
            find_out: open
                .iter()
                .map(|item| MissingView {
                    what: item.what.clone(),
                    items: vec![vehicle.place_name(item.at)],
                    access: None,
                })
                .collect(),
            limits: cell
                .limits
                .iter()
                .map(|key| {
                    let row = self.catalog.limits.get(key, vehicle.region);
                    HeldAgainst { words: row.words.clone(), source: row.source.clone() }
                })
                .collect(),
        }
    }

    fn trouble(&self, trouble: &Trouble) -> String {
        let name = |id: DeviceId| &self.vehicle().devices[id].name;
        match trouble {
            Trouble::Fights([a, b]) => format!(
                "{} and {} feed the same wires: they fight, and one is destroyed; a changeover that breaks before it makes, in line and neutral, belongs between them",
                name(*a),
                name(*b)
            ),
            Trouble::Unsolved(words) => format!("no figures: {words}"),
        }
    }

    fn fault_line(&self, fault: &Fault) -> FaultLine {
        let name = |id: DeviceId| self.vehicle().devices[id].name.as_str();
        let opener = fault.devices.iter().map(|id| name(*id)).collect::<Vec<_>>().join(", ");
        FaultLine {
            at: if fault.on_body { "the body".to_owned() } else { name(fault.at).to_owned() },
            current: if fault.limited { "its limit".to_owned() } else { ampere(fault.ampere) },
            metal: volt(fault.metal_v),
            end: match fault.end {
                FaultEnd::Opens => format!("{opener} opens"),
                FaultEnd::MayOpen => format!("{opener} may open"),
                FaultEnd::RatingUnknown => format!("not recorded: ratings of {opener}"),
                FaultEnd::Unnoticed => "nothing shows".to_owned(),
                FaultEnd::FlowsOn => "nothing opens".to_owned(),
                FaultEnd::StaysLive if opener.is_empty() => "stays live".to_owned(),
                FaultEnd::StaysLive => format!("live until touched, then {opener} opens"),
            },
        }
    }

    fn demands(&self, row: &Row) -> Vec<DemandLine> {
        let is_inverter = row.feed.is_some_and(|feed| feed.kind == FeedKind::Inverter);
        let states = row.states.iter().filter(|_| is_inverter);
        states.flat_map(|state| self.demands_in(*state)).collect()
    }

    fn demands_in(&self, state: StateId) -> Vec<DemandLine> {
        let vehicle = self.vehicle();
        let found = mains::demand(vehicle, &vehicle.states[state], &self.catalog);
        let line = |demand: mains::Demand| {
            let watt = |value: Option<f64>| {
                value.map_or_else(|| "not known".to_owned(), |w| Watt::from_si(w).to_string())
            };
            let (drawn, taken) = (watt(demand.dc_w), watt(demand.taken_w));
            let mut words = if demand.ac_w > 0.5 {
                format!(
                    "the appliances that are on take {}, so {drawn} from the battery; the direct-current sums take {taken} from the inverter's own `power`",
                    watt(Some(demand.ac_w))
                )
            } else {
                format!(
                    "no appliance on it is on in this state; the direct-current sums take {taken} from the inverter's own `power`"
                )
            };
            if !demand.chargers.is_empty() {
                let names: Vec<&str> =
                    demand.chargers.iter().map(|id| vehicle.devices[*id].name.as_str()).collect();
                words.push_str(&format!(
                    "; {} hangs on this inverter and would charge the battery out of itself",
                    names.join(", ")
                ));
            }
            DemandLine {
                inverter: vehicle.devices[demand.inverter].name.clone(),
                state: vehicle.states[state].name.clone(),
                appliances: watt(Some(demand.ac_w)),
                from_battery: drawn,
                words,
            }
        };
        found.unwrap_or_default().into_iter().map(line).collect()
    }

    fn not_covered(&self, matrix: &mains::Matrix) -> Vec<String> {
        let unused = matrix.unused.iter().map(|id| self.unused(*id));
        let left_out = matrix.left_out.iter().map(|id| {
            let name = &self.vehicle().states[*id].name;
            format!("state {name} was left out: too many different ones for one matrix")
        });
        unused.chain(left_out).collect()
    }

    fn unused(&self, id: DeviceId) -> String {
        let device = &self.vehicle().devices[id];
        let what = if device.role == model::Role::ShoreInlet {
            "write a state with `shore = \"plugged\"`"
        } else {
            "write a state that has it `on`"
        };
        format!("no state uses {}: {what}", device.name)
    }

    fn mains_sources(&self, rows: &[MainsRow]) -> Vec<SourceView> {
        let mut keys: Vec<&str> = rows
            .iter()
            .flat_map(|row| &row.cells)
            .flat_map(|cell| &cell.limits)
            .map(|limit| limit.source.as_str())
            .collect();
        keys.sort_unstable();
        keys.dedup();
        keys.into_iter()
            .filter_map(|key| {
                let source = self.catalog.sources.get(key)?;
                Some(SourceView {
                    key: key.to_owned(),
                    words: source.words.clone(),
                    standing: source.standing.words().to_owned(),
                })
            })
            .collect()
    }
}

fn cautions() -> Vec<String> {
    [
        "Mains voltage kills. Work and measurements on it are for people licensed for it; residual-current devices are tested by them with a tester.",
        "Prove dead with a two-pole tester, proved on a known source before and after: each pole to each pole and to the body. No cell of this matrix says that anything is dead.",
        "The figures are those of the record and of an assumed supply. What was not recorded was not judged.",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn kind(kind: FeedKind) -> &'static str {
    match kind {
        FeedKind::Shore => "shore",
        FeedKind::Inverter => "inverter",
        FeedKind::Generator => "generator",
    }
}

fn aspect(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Polarity => "polarity",
        Aspect::Bond => "bond",
        Aspect::Residual => "residual current",
        Aspect::Touch => "touch voltage",
        Aspect::Fault => "line on metal",
    }
}

fn socket(at: String, found: &Readings) -> SocketReadings {
    SocketReadings {
        at,
        line_neutral: reading(found.line_neutral),
        line_earth: reading(found.line_earth),
        neutral_earth: reading(found.neutral_earth),
    }
}

fn reading(reading: Reading) -> String {
    match reading {
        Reading::Volt(value) => volt(value),
        Reading::Floats => "floats".to_owned(),
        Reading::NoContact => "no wire".to_owned(),
    }
}

/// To a tenth of a volt, as a multimeter shows it on its mains range.
fn volt(value: f64) -> String {
    Volt::from_si((10.0 * value).round() / 10.0).to_string()
}

/// To a tenth of a milliampere; below is a meter's own current, or rounding.
fn ampere(value: f64) -> String {
    if value < 5e-5 { "0 mA".to_owned() } else { Ampere::from_si(value).to_string() }
}
