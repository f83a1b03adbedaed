//! What an inverter draws from the battery for the appliances that are on.

use catalog::Catalog;
use model::{Attribute, DeviceId, Role, State, Vehicle};
use solve::{PhasorTrouble, phasor_point};

use crate::feed::{FeedKind, Known, feeds, loads_of};
use crate::layout::Layout;
use crate::metal::Metal;

/// The demand on one inverter in a state.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// The inverter.
    pub inverter: DeviceId,
    /// Power at its alternating-current output, W.
    pub ac_w: f64,
    /// Power drawn from the battery for it, W; `None` when neither record nor catalog has its
    /// efficiency.
    pub dc_w: Option<f64>,
    /// What the direct-current sums take instead, W: idle power plus `power` over efficiency.
    pub taken_w: Option<f64>,
    /// Mains chargers on its output.
    pub chargers: Vec<DeviceId>,
}

/// Direct-current power that each inverter of a state draws for the appliances on its output.
///
/// Symbols: `P` = active power of the appliances, W, `P0` = idle power, W, `e` = efficiency.
/// Equation: `P_dc = P0 + P / e`.
/// Source: definition of efficiency with the idle loss apart; the same form as in `network`.
/// Valid for: appliances that are on and recorded with their power; others count as the trial load.
/// Outside: an unsolvable network gives the trouble.
/// Checked by: `an_inverter_draws_what_its_appliances_take`.
pub fn demand(
    vehicle: &Vehicle,
    state: &State,
    catalog: &Catalog,
) -> Result<Vec<Demand>, PhasorTrouble> {
    let metal = Metal::of(vehicle, state);
    let mut demands = Vec::new();
    for feed in feeds(vehicle, state, &metal) {
        if feed.kind != FeedKind::Inverter {
            continue;
        }
        let known = Known::of(vehicle, state, &metal, feed);
        let scene = crate::scene(vehicle, state, catalog, &metal, feed);
        let layout = Layout::of(scene, &known.given, &[]);
        let point = phasor_point(&layout.circuit)?;
        let ac_w: f64 = layout
            .sources
            .iter()
            .map(|id| {
                let (plus, minus) = layout.circuit.branch(*id).element.ends();
                let volt = point.between(plus, minus).unwrap_or_default();
                -(volt * point.current(*id).conj()).re
            })
            .sum();
        let device = &vehicle.devices[feed.device];
        let number = |attribute| device.number(attribute);
        let drawn = |ac_w: f64| {
            let efficiency = number(Attribute::Efficiency).filter(|share| *share > 0.0)?;
            Some(number(Attribute::Idle)? + ac_w / efficiency)
        };
        demands.push(Demand {
            inverter: feed.device,
            ac_w,
            dc_w: drawn(ac_w),
            taken_w: number(Attribute::Power).and_then(drawn),
            chargers: loads_of(vehicle, &metal, feed)
                .filter(|id| vehicle.devices[*id].role == Role::MainsCharger)
                .collect(),
        });
    }
    Ok(demands)
}
