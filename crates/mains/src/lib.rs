//! The mains side of a vehicle, solved: for each state and each source of it polarity, bonds of
//! neutral and earth, residual currents, the voltage of the body, and what follows when a line lies
//! on metal.
//!
//! What the record does not know is tried out every way it may stand; a cell of the matrix holds
//! only if it holds each way, and otherwise names the fact on which it turns. Never says dead.
//!
//! | file | what it holds |
//! |---|---|
//! | `metal.rs` | what metal joins in a state |
//! | `feed.rs` | the sources, and what is not known about them |
//! | `load.rs` | appliances, leakage and wires as impedances |
//! | `layout.rs` | vehicle, source and variant as a network |
//! | `outcome.rs` | the numbers of one variant |
//! | `grade.rs` | what one variant means |
//! | `metal_fault.rs` | the same for a line on metal |
//! | `judge.rs` | verdicts over all variants |
//! | `trip.rs` | when residual-current devices hold and trip |
//! | `reading.rs` | what a multimeter shows at each socket |
//! | `demand.rs` | what an inverter draws from the battery for its appliances |

mod demand;
mod feed;
mod grade;
mod judge;
mod layout;
mod load;
mod metal;
mod metal_fault;
mod outcome;
mod reading;
mod trip;

use catalog::{Catalog, Figure};
use circuit::AcCircuit;
use model::{Bond, DeviceId, Role, Shore, State, StateId, Vehicle};
use units::Ohm;

pub use demand::{Demand, demand};
pub use feed::{Feed, FeedKind};
pub use judge::{Aspect, Cell, CellVerdict, ToFind};
pub use load::Assumed;
pub use outcome::{BondAt, Fault, FaultEnd, Polarity};
pub use reading::{Reading, Readings, SupplyReadings};

use feed::Known;
use layout::{Layout, Scene};
use metal::Metal;

/// A source in the states that have it in the same way.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The states.
    pub states: Vec<StateId>,
    /// The source; `None`: no source of mains power is recorded in these states.
    pub feed: Option<Feed>,
    /// One cell for each aspect; empty without a source.
    pub cells: Vec<Cell>,
    /// Devices that join neutral and earth even without a source.
    pub standing_bonds: Vec<DeviceId>,
    /// Readings at every socket and appliance, the unknown taken as it should be.
    pub readings: Vec<Readings>,
    /// The first socket's readings for each wiring of the supply; on shore only.
    pub by_supply: Vec<SupplyReadings>,
    /// A line on the metal of each appliance and on the body, the unknown as it should be.
    pub faults: Vec<Fault>,
    /// Current in the earth conductor at the source, the unknown as it should be, A.
    pub earth_a: f64,
    /// What was assumed for the sums.
    pub assumed: Vec<Assumed>,
    /// Why there are no cells, if there are none.
    pub trouble: Option<Trouble>,
}

/// Why a source has no cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// Metal joins it to another source of the same state.
    Fights([DeviceId; 2]),
    /// The network has no answer, in words.
    Unsolved(String),
}

/// Everything about the mains side of a vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Matrix {
    /// Sources by states, in the order of the states.
    pub rows: Vec<Row>,
    /// Sources that no state has in use.
    pub unused: Vec<DeviceId>,
    /// Sockets and appliances that no source reaches in any state.
    pub unfed: Vec<DeviceId>,
    /// States beyond what one matrix holds.
    pub left_out: Vec<StateId>,
}

/// Most rows of a matrix; far above any vehicle.
const MOST_ROWS: usize = 24;
/// Most mains wires and poles that are solved; far above any vehicle.
const MOST_JOINS: usize = 500;

/// The matrix of a vehicle; empty when it has no mains side.
pub fn matrix(vehicle: &Vehicle, catalog: &Catalog) -> Matrix {
    let mut matrix = Matrix::default();
    if !vehicle.devices.iter().any(|(_, device)| is_mains(device.role)) {
        return matrix;
    }
    let mut done: Vec<(Stance, Vec<usize>)> = Vec::new();
    let mut unfed: Option<Vec<DeviceId>> = None;
    for (id, state) in vehicle.states.iter() {
        let stance = Stance::of(vehicle, state);
        if let Some((_, rows)) = done.iter().find(|(seen, _)| *seen == stance) {
            for row in rows {
                matrix.rows[*row].states.push(id);
            }
            continue;
        }
        if matrix.rows.len() >= MOST_ROWS {
            matrix.left_out.push(id);
            continue;
        }
        let first = matrix.rows.len();
        let (rows, missed) = rows(vehicle, id, state, catalog);
        matrix.rows.extend(rows);
        done.push((stance, (first..matrix.rows.len()).collect()));
        match &mut unfed {
            Some(kept) => kept.retain(|device| missed.contains(device)),
            None => unfed = Some(missed),
        }
    }
    matrix.unfed = unfed.unwrap_or_default();
    matrix.unused = unused(vehicle, &matrix);
    matrix
}

fn is_mains(role: Role) -> bool {
    matches!(
        role,
        Role::ShoreInlet | Role::Generator | Role::AcBreaker | Role::AcLoad | Role::Inverter
    )
}

/// What of a state matters to the mains side.
#[derive(PartialEq)]
struct Stance {
    shore: Shore,
    supply: model::Fact<model::Supply>,
    on: Vec<DeviceId>,
    open: Vec<DeviceId>,
}

impl Stance {
    fn of(vehicle: &Vehicle, state: &State) -> Stance {
        let pick = |ids: &[DeviceId]| {
            let mut ids: Vec<DeviceId> =
                ids.iter().copied().filter(|id| is_mains(vehicle.devices[*id].role)).collect();
            ids.sort_unstable();
            ids
        };
        Stance {
            shore: state.shore,
            supply: state.supply.clone(),
            on: pick(&state.on),
            open: pick(&state.open),
        }
    }
}

/// The rows of a state, and the sockets none of its sources reaches.
fn rows(
    vehicle: &Vehicle,
    id: StateId,
    state: &State,
    catalog: &Catalog,
) -> (Vec<Row>, Vec<DeviceId>) {
    let metal = Metal::of(vehicle, state);
    let scenes: Vec<Scene<'_>> = feed::feeds(vehicle, state, &metal)
        .into_iter()
        .map(|feed| scene(vehicle, state, catalog, &metal, feed))
        .collect();
    let unfed = judge::unfed(vehicle, &scenes);
    if scenes.is_empty() {
        let row = Row { standing_bonds: standing_bonds(vehicle), ..Row::empty(id, None) };
        return (vec![row], unfed);
    }
    let fight = judge::fight(&scenes);
    let rows = scenes
        .iter()
        .map(|scene| match fight {
            Some(pair) if pair.contains(&scene.feed.device) => {
                let trouble = Some(Trouble::Fights(pair));
                Row { trouble, ..Row::empty(id, Some(scene.feed)) }
            }
            _ => row(*scene, id),
        })
        .collect();
    (rows, unfed)
}

fn scene<'v>(
    vehicle: &'v Vehicle,
    state: &'v State,
    catalog: &'v Catalog,
    metal: &'v Metal,
    feed: Feed,
) -> Scene<'v> {
    Scene { vehicle, state, catalog, metal, feed, grid: catalog.mains.grid(vehicle.region) }
}

impl Row {
    fn empty(id: StateId, feed: Option<Feed>) -> Row {
        Row {
            states: vec![id],
            feed,
            cells: Vec::new(),
            standing_bonds: Vec::new(),
            readings: Vec::new(),
            by_supply: Vec::new(),
            faults: Vec::new(),
            earth_a: 0.0,
            assumed: Vec::new(),
            trouble: None,
        }
    }
}

fn row(scene: Scene<'_>, id: StateId) -> Row {
    let empty = Row::empty(id, Some(scene.feed));
    match filled(scene, empty.clone()) {
        Ok(row) => row,
        Err(trouble) => Row { trouble: Some(Trouble::Unsolved(trouble.to_string())), ..empty },
    }
}

fn filled(scene: Scene<'_>, mut row: Row) -> Result<Row, solve::PhasorTrouble> {
    if scene.metal.joins.len() > MOST_JOINS {
        let words = format!("more than {MOST_JOINS} mains wires and poles are beyond this program");
        return Ok(Row { trouble: Some(Trouble::Unsolved(words)), ..row });
    }
    let known = Known::of(scene.vehicle, scene.state, scene.metal, scene.feed);
    let mut outcomes = Vec::new();
    for variant in known.variants() {
        let outcome = outcome::outcome(scene, &variant)?;
        outcomes.push((variant, outcome));
    }
    row.cells = judge::cells(scene, &known, &outcomes);
    row.readings = reading::readings(scene, &known.given)?;
    if scene.feed.kind == FeedKind::Shore {
        row.by_supply = reading::by_supply(scene, &known.given)?;
    }
    if let Some((_, given)) = outcomes.into_iter().find(|(variant, _)| *variant == known.given) {
        row.faults = given.faults;
        row.earth_a = given.earth_a;
    }
    row.assumed = Layout::of(scene, &known.given, &[]).assumed;
    row.assumed.extend(figures(scene));
    row.assumed.sort();
    row.assumed.dedup();
    Ok(row)
}

/// The figures of the source itself, which no record holds.
fn figures(scene: Scene<'_>) -> Vec<Assumed> {
    let (grid, figures) = (scene.grid, &scene.catalog.mains);
    let assumed = |what: String, why: &str| Assumed { what, why: why.to_owned() };
    let mut list = vec![assumed(
        format!("{}, {} Hz", grid.volt, grid.hertz),
        match scene.vehicle.region {
            Some(_) => "usual supply of the region",
            None => "the region is not recorded",
        },
    )];
    let inside: &[(&str, &Figure<Ohm>)] = match scene.feed.kind {
        FeedKind::Shore => &[
            ("supply line", &figures.supply_line),
            ("supply neutral", &figures.supply_neutral),
            ("supply earth", &figures.supply_earth),
            ("core of the shore lead", &figures.lead_core),
        ],
        FeedKind::Inverter => &[("inverter", &figures.inverter)],
        FeedKind::Generator => &[("generator", &figures.generator)],
    };
    let around = [("person", &figures.person), ("multimeter", &figures.meter)];
    for (name, figure) in inside.iter().copied().chain(around) {
        list.push(assumed(format!("{name} {}", figure.value), &figure.why));
    }
    list
}

/// Devices whose bond is closed, or may be, with every source off.
fn standing_bonds(vehicle: &Vehicle) -> Vec<DeviceId> {
    vehicle
        .devices
        .iter()
        .filter(|(_, device)| device.bond.evidence() == Some(&Bond::Always))
        .map(|(id, _)| id)
        .collect()
}

fn unused(vehicle: &Vehicle, matrix: &Matrix) -> Vec<DeviceId> {
    let used =
        |id: DeviceId| matrix.rows.iter().any(|row| row.feed.is_some_and(|f| f.device == id));
    vehicle
        .devices
        .iter()
        .filter(|(_, device)| {
            matches!(device.role, Role::ShoreInlet | Role::Inverter | Role::Generator)
        })
        .map(|(id, _)| id)
        .filter(|id| !used(*id))
        .collect()
}

/// The network of a row's source as recorded, the unknown as it should be; for decks. `None` when
/// the state has no such source.
pub fn circuit(
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
    feed: Feed,
) -> Option<AcCircuit> {
    let metal = Metal::of(vehicle, state);
    feed::feeds(vehicle, state, &metal).into_iter().find(|found| *found == feed)?;
    let known = Known::of(vehicle, state, &metal, feed);
    Some(Layout::of(scene(vehicle, state, catalog, &metal, feed), &known.given, &[]).circuit)
}
