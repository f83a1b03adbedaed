//! What appliances, chargers and wires are as impedances. Linear: an appliance is the impedance
//! that draws its power at the nominal voltage.

use catalog::{Catalog, Grid};
use circuit::Complex;
use model::{Attribute, Core, DeviceId, JointKind, Role, State, Vehicle, WireEnd, WireId};
use units::{Celsius, Conductor};

/// Least impedance of a piece of metal, ohm; keeps the sums apart from a perfect conductor.
const LEAST_OHM: f64 = 1e-4;

/// A value the sums had to assume.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Assumed {
    /// What, with its value.
    pub what: String,
    /// Why.
    pub why: String,
}

/// An appliance or charger rather than a bare socket.
pub(crate) fn is_appliance(vehicle: &Vehicle, state: &State, id: DeviceId) -> bool {
    let device = &vehicle.devices[id];
    match device.role {
        Role::MainsCharger => true,
        Role::AcLoad => {
            let has = |attribute| !device.fact(attribute).is_unknown();
            state.on.contains(&id) || has(Attribute::Power) || has(Attribute::Leakage)
        }
        _ => false,
    }
}

/// Active power a load draws at nominal voltage, W; `None` when it is off or no load.
pub(crate) fn power_w(
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
    id: DeviceId,
    assumed: &mut Vec<Assumed>,
) -> Option<f64> {
    let device = &vehicle.devices[id];
    match device.role {
        Role::AcLoad if state.on.contains(&id) => {
            Some(device.number(Attribute::Power).unwrap_or_else(|| {
                let trial = &catalog.mains.trial_load;
                assumed.push(Assumed {
                    what: format!("{} draws {}", device.name, trial.value),
                    why: "its power is not recorded".to_owned(),
                });
                trial.value.si()
            }))
        }
        Role::MainsCharger => {
            let ampere =
                device.number(Attribute::Limit).or_else(|| device.number(Attribute::Rated))?;
            let volt = device.number(Attribute::Regulates)?;
            let efficiency = &catalog.mains.charger_efficiency;
            assumed.push(Assumed {
                what: format!("{} charges at its limit, {}", device.name, efficiency.value),
                why: efficiency.why.clone(),
            });
            Some(ampere * volt / efficiency.value.si())
        }
        _ => None,
    }
    .filter(|watt| *watt > 0.0)
}

/// Impedance that draws a power at a voltage.
///
/// Symbols: `U` = voltage [V], `P` = active power [W], `c` = power factor, lagging.
/// Equation: `Z = (U^2 c / P) (c + j sqrt(1 - c^2))`.
/// Source: definition of complex power, `S = U^2 / Z*`.
/// Valid for: `P > 0`, `0 < c <= 1`. Outside: not called.
/// Checked by: `an_appliance_draws_its_power_at_nominal_voltage`.
pub(crate) fn impedance(volt: f64, watt: f64, power_factor: f64) -> Complex {
    let size = volt * volt * power_factor / watt;
    Complex::new(size * power_factor, size * (1.0 - power_factor * power_factor).max(0.0).sqrt())
}

/// Power factor of a load: as recorded, 1 where the record is silent.
pub(crate) fn power_factor(vehicle: &Vehicle, id: DeviceId) -> f64 {
    vehicle.devices[id].number(Attribute::PowerFactor).unwrap_or(1.0)
}

/// Impedance between line and earth through which a current leaks, taken as that of filter
/// capacitors: `Z = -j U / I`.
pub(crate) fn leak(grid: Grid, ampere: f64) -> Complex {
    Complex::new(0.0, -grid.volt.si() / ampere)
}

/// A wire with its two joints, ohm: `R = r(A, T) l + R1 + R2`, see
/// [`units::conductor_ohm_per_metre`].
pub(crate) fn wire_ohm(
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
    id: WireId,
    assumed: &mut Vec<Assumed>,
) -> f64 {
    let (wire, stand_ins) = (&vehicle.wires[id], &catalog.stand_ins);
    let mut missing = |what: String| {
        let why = "not recorded; stand-in for the sums".to_owned();
        assumed.push(Assumed { what: format!("wire {}: {what}", wire.name), why });
    };
    let area = wire.area.value().copied().unwrap_or_else(|| {
        missing(format!("size {}", stand_ins.wire_area));
        stand_ins.wire_area
    });
    let length = wire.length.value().copied().unwrap_or_else(|| {
        missing(format!("length {}", stand_ins.wire_length));
        stand_ins.wire_length
    });
    let class = match wire.core.value() {
        Some(Core::Solid) => Conductor::Solid,
        Some(Core::Fine) => Conductor::Flexible,
        Some(Core::Stranded) | None => Conductor::Stranded,
    };
    let per_metre =
        units::conductor_ohm_per_metre(area, class, state.temperature).unwrap_or_else(|outside| {
            missing(format!("size {} at 20 C, because {outside}", stand_ins.wire_area));
            units::conductor_ohm_per_metre(stand_ins.wire_area, class, Celsius::from_si(20.0))
                .expect("the stand-in size at 20 C lies in every table")
        });
    let joints: f64 =
        WireEnd::BOTH.into_iter().map(|end| joint_ohm(vehicle, catalog, id, end)).sum();
    (per_metre * length.si() + joints).max(LEAST_OHM)
}

fn joint_ohm(vehicle: &Vehicle, catalog: &Catalog, wire: WireId, end: WireEnd) -> f64 {
    let joint = &vehicle.joints[vehicle.wires[wire].end(end).joint];
    let usual = match joint.kind.value() {
        Some(JointKind::Lug) => catalog.stand_ins.joint_lug,
        _ => catalog.stand_ins.joint_other,
    };
    joint.resistance.value().copied().unwrap_or(usual).si()
}
